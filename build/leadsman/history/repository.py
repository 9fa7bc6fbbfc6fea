"""Revisions of a content folder, read from git's own store: the working tree and the index stay as they are.

A repository may come from anybody. So git is never started in it: it is started in an empty repository of our
own that borrows the other one's objects, and to which only the names of branches and tags were copied. The
configuration, hooks, attributes, filters, index and working tree of that repository are thus not seen at all, nor
those of the user and the system. What is read is read into memory, under limits, and nothing is written.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import subprocess
import sys
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from leadsman.errors import LeadsmanError, UsageError, quoted
from leadsman.files import Refused, read_regular, reason, size, walk
from leadsman.history.objects import LIMITS, HistoryError, Limits, Reader, files_below
from leadsman.press.temporary import temporary_folder

#: What git may see of this process's surroundings. Its own variables are set anew below.
_KEPT = ("PATH", "LD_LIBRARY_PATH", "SYSTEMROOT", "TMPDIR", "TEMP", "TMP")
#: Nothing may ask, lock, fetch, follow a replacement, or answer in another language.
_ENVIRONMENT = {
    "GIT_CONFIG_NOSYSTEM": "1",
    "GIT_CONFIG_SYSTEM": os.devnull,
    "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_ATTR_NOSYSTEM": "1",
    "GIT_ALLOW_PROTOCOL": "none",
    "GIT_NO_LAZY_FETCH": "1",
    "GIT_NO_REPLACE_OBJECTS": "1",
    "GIT_OPTIONAL_LOCKS": "0",
    "GIT_TERMINAL_PROMPT": "0",
    "LC_ALL": "C",
}
#: A graph of commits and an index of packs are not needed, and may name files that nobody looked at.
_SETTINGS = (
    "protocol.allow=never", "core.fsmonitor=false", f"core.hooksPath={os.devnull}", "core.commitGraph=false",
    "core.multiPackIndex=false", "core.packedGitWindowSize=32m", "core.packedGitLimit=256m", "log.showSignature=false", "log.mailmap=false",
    "log.follow=false", "color.ui=false", "i18n.logOutputEncoding=UTF-8",
)  # fmt: skip
#: How long git may take for a question about all commits, and for one about a single name [s].
_TIMEOUT_S, _SHORT_S = 60, 9
#: Address space of a git process [bytes], and the most that it may answer to one question.
_MEMORY, _MOST_ANSWER = 1_000_000_000, 4_000_000
#: Files that hold a name's commit, and how many there may be.
_NAMES, _MOST_NAMES = ("HEAD", "ORIG_HEAD", "FETCH_HEAD", "MERGE_HEAD"), 20_000
_MOST_COMMITS = 1000
#: Files of objects that are looked at before git is, and folders of objects that one repository may borrow from.
_MOST_OBJECTS, _MOST_BORROWED = 500_000, 20


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
        return short if self.asked.startswith(short) else f"{quoted(self.asked)} ({short})"


@dataclass(frozen=True)
class Repository:
    """The git repository that a folder lies in, and the folder's path inside it."""

    root: Path
    inside: str
    is_shallow: bool
    """Whether this clone holds only the latest part of the history."""
    _scratch: Path = field(repr=False)
    _objects: Path = field(repr=False)
    limits: Limits = LIMITS

    @classmethod
    @contextlib.contextmanager
    def of(cls, folder: Path, limits: Limits = LIMITS) -> Iterator[Repository]:
        """Open the repository around a folder; :class:`UsageError` when there is none, or no git."""
        resolved = folder.resolve()
        root, own, common = _found(resolved, folder)
        with temporary_folder() as scratch:
            _hold_to_files(common / "objects")
            _copy_names(own, common, scratch)
            is_shallow = (scratch / "shallow").is_file()
            inside = resolved.relative_to(root).as_posix()
            repository = cls(root, inside, is_shallow, scratch, common / "objects", limits)
            repository._settle(common)
            yield repository

    def _settle(self, common: Path) -> None:
        """Write the configuration of the empty repository: the kind of ids is all that counts of the other one."""
        (self._scratch / "config").write_text(
            "[core]\n\trepositoryformatversion = 0\n\tbare = true\n", "utf-8"
        )
        try:
            given = read_regular(common / "config", 1_000_000)
        except Refused:
            return
        copy = self._scratch / "given"
        copy.write_bytes(given)
        listed = self._run(
            "config", "--no-includes", "--file", str(copy), "--get-regexp", r"^extensions\."
        ).stdout
        copy.unlink()
        extensions = dict(
            line.lower().partition(" ")[::2] for line in listed.decode("utf-8", "replace").splitlines()
        )
        if extensions.get("extensions.refstorage", "files") != "files":
            raise HistoryError(
                "this repository keeps its names in a form that leadsman does not read; use one made with --ref-format=files"
            )
        if extensions.get("extensions.objectformat") == "sha256":
            text = "[core]\n\trepositoryformatversion = 1\n\tbare = true\n[extensions]\n\tobjectformat = sha256\n"
            (self._scratch / "config").write_text(text, "utf-8")

    def resolve(self, name: str) -> Revision:
        """The commit that a name means: a tag, a branch, a commit id, ``HEAD~3``."""
        if not name.strip() or "\0" in name:
            raise UsageError(self._unknown(name))
        done = self._run("rev-parse", "--verify", "--quiet", "--end-of-options", f"{name}^{{commit}}")
        if done.returncode != 0:
            raise UsageError(self._unknown(name))
        commit = done.stdout.decode("ascii", "replace").strip()
        date, _, subject = self._text("log", "-1", "--format=%cs %s", commit, "--").partition(" ")
        return Revision(name, commit, date, quoted(subject, 100))

    def _unknown(self, name: str) -> str:
        if self.is_shallow:
            return (
                f"'{quoted(name)}' is no revision in this clone, whose history is cut short; "
                "fetch the rest with: git fetch --unshallow"
            )
        return f"'{quoted(name)}' is no revision; give a tag, a branch, a commit, or HEAD~1"

    def files(self, revision: Revision, path: str) -> dict[str, bytes]:
        """The files below ``path`` at a revision: path below it, and bytes.

        Raises
        ------
        HistoryError
            When there is no such folder, when an object lacks or is broken, or when anything below is no plain file
            with a plain name or exceeds the limits; then nothing is given.
        """
        with Reader(self._start, revision.label, self.limits) as reader:
            return files_below(reader, revision.commit, "" if path == "." else path)

    def subjects(self, old: Revision, new: Revision | None) -> list[Revision]:
        """The commits that touched the folder from one revision to another, the latest first."""
        span = f"{old.commit}..{new.commit if new else 'HEAD'}"
        text = self._text("log", f"-{_MOST_COMMITS}", "--format=%H %cs %s", span, "--", self.inside or ".")
        lines = [line.split(" ", 2) for line in text.splitlines()]
        return [
            Revision(commit[:10], commit[:10], date, quoted(rest[0] if rest else "", 100))
            for commit, date, *rest in lines
        ]

    def _text(self, *words: str) -> str:
        done = self._run(*words)
        if done.returncode != 0:
            raise HistoryError(f"git {words[0]} failed: {_told(done)}")
        return done.stdout.decode("utf-8", "replace").strip()

    def _start(self, *words: str) -> subprocess.Popen[bytes]:
        """Start git in the empty repository; it can use no more than a stated part of the memory."""
        kept = {name: os.environ[name] for name in _KEPT if name in os.environ}
        places = {
            "GIT_DIR": str(self._scratch),
            "GIT_OBJECT_DIRECTORY": str(self._objects),
            "HOME": str(self._scratch),
        }
        settings = [word for setting in _SETTINGS for word in ("-c", setting)]
        try:
            process = subprocess.Popen(
                ["git", "--no-pager", "--literal-pathspecs", *settings, *words],
                cwd=self._scratch,
                env={**kept, **_ENVIRONMENT, **places},
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
            )
        except FileNotFoundError:
            raise UsageError("git is not installed; revisions are read with it") from None
        if sys.platform == "linux":
            import resource  # not everywhere

            with contextlib.suppress(OSError):
                resource.prlimit(process.pid, resource.RLIMIT_AS, (_MEMORY, _MEMORY))
        return process

    def _run(self, *words: str) -> subprocess.CompletedProcess[bytes]:
        process = self._start(*words)
        assert process.stdin
        assert process.stdout
        assert process.stderr
        seconds = _TIMEOUT_S if "--" in words and words[1] != "-1" else _SHORT_S
        late = threading.Timer(seconds, process.kill)
        late.start()
        try:
            process.stdin.close()
            out = process.stdout.read(_MOST_ANSWER + 1)
            if len(out) > _MOST_ANSWER:
                process.kill()
                raise HistoryError(f"git {words[0]} answers with more than {size(_MOST_ANSWER)}; refused")
            told = process.stderr.read(10_000)
            process.wait()
        finally:
            expired = late.finished.is_set()
            late.cancel()
            process.kill()
            process.wait()
            process.stdout.close()
            process.stderr.close()
        if expired:
            raise HistoryError(f"git {words[0]} did not answer in {seconds} s; refused")
        return subprocess.CompletedProcess(words, process.returncode, out, told)


def _found(resolved: Path, asked: Path) -> tuple[Path, Path, Path]:
    """The working folder of a repository, its own git folder, and the one that it shares with its sisters."""
    for root in (resolved, *resolved.parents):
        own = root / ".git"
        try:
            if own.is_symlink() or not own.exists():
                continue
            if own.is_file():
                own = root / _pointed(own, "gitdir:")
            common = own / _pointed(own / "commondir") if (own / "commondir").is_file() else own
            if (own / "HEAD").is_file() and (common / "objects").is_dir():
                return root, own, common
        except (Refused, OSError) as refused:
            why = reason(refused) if isinstance(refused, OSError) else refused
            raise UsageError(f"{asked} is not in a git repository that can be read: .git {why}") from None
    if shutil.which("git") is None:
        raise UsageError("git is not installed; revisions are read with it")
    raise UsageError(f"{asked} is not in a git repository")


def _hold_to_files(objects: Path) -> None:
    """Refuse all but regular files among the objects, and among those that they borrow.

    git would wait at a pipe for ever, and what lies behind a link was not looked at. What cannot be looked at whole
    is refused too, so that git opens nothing that was not seen here.
    """
    if objects.is_symlink():
        raise _not_held("objects", "is a link, no folder")
    waiting, seen = [objects], set[Path]()
    while waiting:
        here = _real_folder(waiting.pop())
        if here is None or here in seen:
            continue
        if len(seen) > _MOST_BORROWED:
            raise HistoryError(f"this repository borrows from more than {_MOST_BORROWED} folders; refused")
        seen.add(here)
        for path, why in walk(here, _MOST_OBJECTS, 3):
            if why:
                raise _not_held(path.name, why)
        alternates = here / "info" / "alternates"
        try:
            listed = read_regular(alternates, 100_000) if os.path.lexists(alternates) else b""
        except Refused as refused:
            raise _not_held(alternates.name, str(refused)) from None
        waiting += [here / os.fsdecode(line) for line in borrowed_folders(listed)]


def _not_held(name: str, why: str) -> HistoryError:
    return HistoryError(f"among the objects of this repository, {quoted(name)} {why}; refused")


def _real_folder(path: Path) -> Path | None:
    """The folder behind a path; None for what git does not borrow from either: it is missing, or no folder."""
    try:
        real = path.resolve(strict=True)
        return real if real.is_dir() else None
    except (OSError, RuntimeError):  # RuntimeError: a link that leads to itself, before Python 3.13
        return None


#: A path quoted as in C; git takes quotation marks that it cannot undo for a part of the path.
_QUOTATION = re.compile(rb'"((?:[^"\\]|\\(?:[abfnrtv"\\]|[0-3][0-7]{2}))*)"')
_LINE = re.compile(rb"[^\n]*")
_ESCAPE = re.compile(rb"\\([0-3][0-7]{2}|.)")
_ESCAPED = dict(zip(b"abfnrtv", b"\a\b\f\n\r\t\v", strict=True))


def borrowed_folders(listed: bytes) -> Iterator[bytes]:
    """The paths in a file ``info/alternates``, taken apart as git does it (gitrepository-layout(5), git's own parser).

    Only a line feed ends a line, and a NUL the file; ``#`` begins a comment. After a quoted path one sign is left out,
    whatever it is, and the next path begins.

    Examples
    --------
    >>> list(borrowed_folders(b'# own\\n../a b\\n"../c\\\\011d"\\n'))
    [b'../a b', b'../c\\td']
    """
    listed, at = listed.partition(b"\0")[0], 0
    while at < len(listed):
        if found := _QUOTATION.match(listed, at):
            path = _ESCAPE.sub(_unescaped, found[1]).partition(b"\0")[0]
        elif found := _LINE.match(listed, at):
            path = b"" if found[0].startswith(b"#") else found[0]
        assert found is not None
        if path:
            yield path
        at = found.end() + 1


def _unescaped(escape: re.Match[bytes]) -> bytes:
    given = escape[1]
    return bytes([int(given, 8) if len(given) == 3 else _ESCAPED.get(given[0], given[0])])


def _pointed(file: Path, word: str = "") -> str:
    text = os.fsdecode(read_regular(file, 4096)).strip("\r\n")
    if not text.startswith(word) or "\0" in text:
        raise Refused("points nowhere")
    return text.removeprefix(word).strip()


def _copy_names(own: Path, common: Path, scratch: Path) -> None:
    """Copy what says which commit a name means; a name that cannot be read is not known afterwards."""
    (scratch / "refs").mkdir()
    (scratch / "objects").mkdir()
    wanted = [(own / name, name, 4096) for name in _NAMES]
    wanted += [(common / "packed-refs", "packed-refs", 8_000_000), (common / "shallow", "shallow", 8_000_000)]
    for path, why in walk(common / "refs", _MOST_NAMES, 20):
        name = path.relative_to(common).as_posix()
        if not why and re.fullmatch(r"refs(/[^/\x00-\x20]{1,200})+", name):
            wanted.append((path, name, 4096))
    for path, name, most in wanted:
        with contextlib.suppress(Refused):
            data = read_regular(path, most)
            target = scratch / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
    if not (scratch / "HEAD").is_file():
        raise HistoryError("the repository's HEAD cannot be read; is it a clone that was cut off?")


def _told(done: subprocess.CompletedProcess[bytes]) -> str:
    lines = done.stderr.decode("utf-8", "replace").strip().splitlines()
    return quoted(lines[0].removeprefix("fatal: "), 200) if lines else f"exit code {done.returncode}"


__all__ = ["HistoryError", "LeadsmanError", "Repository", "Revision"]
