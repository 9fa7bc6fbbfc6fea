"""Revisions of a content folder, read from git's own store: the working tree and the index stay as they are."""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from leadsman.errors import LeadsmanError, UsageError

#: Nothing here may ask a question, take a lock, fetch what a partial clone lacks, or answer in another language.
_ENVIRONMENT = {
    "GIT_OPTIONAL_LOCKS": "0",
    "GIT_TERMINAL_PROMPT": "0",
    "GIT_NO_LAZY_FETCH": "1",
    "GIT_NO_REPLACE_OBJECTS": "1",
    "LC_ALL": "C",
}
_REGULAR = {"100644", "100755"}


class HistoryError(LeadsmanError):
    """The history lacks what was asked of it; the message says what, and what to do."""


@dataclass(frozen=True)
class Revision:
    """One commit: the name by which it was asked for, its id, date and subject."""

    asked: str
    commit: str
    date: str
    subject: str

    @property
    def label(self) -> str:
        """The name asked for with the short id: ``v1.2 (3fa0c1d2e4)``."""
        short = self.commit[:10]
        return short if self.asked.startswith(short) else f"{self.asked} ({short})"


@dataclass(frozen=True)
class Repository:
    """The git repository that a folder lies in, and the folder's path inside it."""

    root: Path
    inside: str

    @classmethod
    def of(cls, folder: Path) -> Repository:
        """The repository around a folder; :class:`UsageError` when there is none, or no git."""
        resolved = folder.resolve()
        done = _run(resolved, "rev-parse", "--show-toplevel")
        if done.returncode != 0:
            raise UsageError(f"{folder} is not in a git repository: {_told(done)}")
        root = Path(os.fsdecode(done.stdout).rstrip("\n")).resolve()
        return cls(root, resolved.relative_to(root).as_posix())

    @property
    def is_shallow(self) -> bool:
        """Whether this clone holds only the latest part of the history."""
        return self._text("rev-parse", "--is-shallow-repository") == "true"

    def resolve(self, name: str) -> Revision:
        """The commit that a name means: a tag, a branch, a commit id, ``HEAD~3``."""
        done = _run(self.root, "rev-parse", "--verify", "--quiet", "--end-of-options", f"{name}^{{commit}}")
        if done.returncode != 0 or not name.strip():
            raise UsageError(self._unknown(name))
        commit = done.stdout.decode().strip()
        date, _, subject = self._text(
            "log", "-1", "--no-show-signature", "--format=%cs %s", commit
        ).partition(" ")
        return Revision(name, commit, date, subject)

    def _unknown(self, name: str) -> str:
        if self.is_shallow:
            return (
                f"'{name}' is no revision in this clone, whose history is cut short; "
                "fetch the rest with: git fetch --unshallow"
            )
        return f"'{name}' is no revision; give a tag, a branch, a commit, or HEAD~1"

    def extract(self, revision: Revision, path: str, target: Path) -> int:
        """Write the files below ``path`` at a revision into ``target``; how many they were."""
        entries = list(self._entries(revision, path))
        for name, data in zip((e[0] for e in entries), self._blobs([e[1] for e in entries]), strict=True):
            file = target / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(data)
        return len(entries)

    def tree_id(self, revision: Revision, path: str) -> str | None:
        """The id of a folder's contents at a revision; None where it did not exist."""
        done = _run(self.root, "rev-parse", "--verify", "--quiet", f"{revision.commit}:{path}")
        return done.stdout.decode().strip() if done.returncode == 0 else None

    def is_ancestor(self, revision: Revision, of: str = "HEAD") -> bool:
        """Whether a revision lies in the history of another one (HEAD by default)."""
        return _run(self.root, "merge-base", "--is-ancestor", revision.commit, of).returncode == 0

    def differs(self, revision: Revision, path: str) -> bool:
        """Whether the working tree's files below ``path`` differ from those of a revision."""
        if _run(self.root, "diff", "--quiet", revision.commit, "--", path).returncode != 0:
            return True
        return bool(self._text("ls-files", "--others", "--exclude-standard", "--", path))

    def subjects(self, old: Revision, new: Revision | None) -> list[Revision]:
        """The commits that touched the folder from one revision to another, the latest first."""
        span = f"{old.commit}..{new.commit if new else 'HEAD'}"
        text = self._text("log", "--no-show-signature", "--format=%h %cs %s", span, "--", self.inside or ".")
        lines = [line.split(" ", 2) for line in text.splitlines()]
        return [Revision(short, short, date, rest[0] if rest else "") for short, date, *rest in lines]

    def _entries(self, revision: Revision, path: str) -> Iterator[tuple[str, str]]:
        if path not in ("", "."):
            done = _run(self.root, "cat-file", "-t", f"{revision.commit}:{path}")
            if done.stdout.strip() != b"tree":
                raise HistoryError(f"{revision.label} holds no {path}/")
        where = revision.commit if path in ("", ".") else f"{revision.commit}:{path}"
        listed = _checked(self.root, "ls-tree", "-r", "-z", where).stdout
        for line in listed.split(b"\0"):
            if not line:
                continue
            facts, _, raw = line.partition(b"\t")
            mode, _, object_id = facts.decode().split(" ")
            name = os.fsdecode(raw)
            if mode in _REGULAR and ".." not in PurePosixPath(name).parts:
                yield name, object_id

    def _blobs(self, object_ids: list[str]) -> Iterator[bytes]:
        given = "".join(f"{object_id}\n" for object_id in object_ids).encode()
        out = _checked(self.root, "cat-file", "--batch", given=given).stdout
        at = 0
        for object_id in object_ids:
            end = out.index(b"\n", at)
            head = re.fullmatch(rb"[0-9a-f]+ blob ([0-9]+)", out[at:end])
            if head is None:
                raise HistoryError(f"a file of that revision ({object_id[:10]}) is not in this clone")
            size = int(head[1])
            yield out[end + 1 : end + 1 + size]
            at = end + 2 + size

    def _text(self, *words: str) -> str:
        return _checked(self.root, *words).stdout.decode("utf-8", "replace").strip()


def _checked(folder: Path, *words: str, given: bytes | None = None) -> subprocess.CompletedProcess[bytes]:
    done = _run(folder, *words, given=given)
    if done.returncode != 0:
        raise HistoryError(f"git {words[0]} failed: {_told(done)}")
    return done


def _run(folder: Path, *words: str, given: bytes | None = None) -> subprocess.CompletedProcess[bytes]:
    # A hook or a rebase may have set these for another repository.
    environment = {
        k: v for k, v in os.environ.items() if k not in ("GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE")
    }
    try:
        return subprocess.run(
            ["git", "--no-pager", *words],
            cwd=folder,
            env={**environment, **_ENVIRONMENT},
            input=b"" if given is None else given,
            capture_output=True,
            check=False,
        )
    except FileNotFoundError:
        raise UsageError("git is not installed; revisions are read with it") from None


def _told(done: subprocess.CompletedProcess[bytes]) -> str:
    lines = done.stderr.decode("utf-8", "replace").strip().splitlines()
    return lines[0].removeprefix("fatal: ") if lines else f"exit code {done.returncode}"
