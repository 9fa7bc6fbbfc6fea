"""Repositories from somebody who means harm: each is read without running or writing anything, or refused in a line.

The attacks are those that git's own documentation warns of (git-config(1), gitattributes(5), git(1) "SECURITY") and
trees that git's own commands would not make, written object by object.
"""

from __future__ import annotations

import hashlib
import itertools
import os
import subprocess
import sys
import zlib
from collections.abc import Iterator
from pathlib import Path

import pytest

import memory
import small_content
from leadsman.errors import LeadsmanError
from leadsman.history.objects import LIMITS, HistoryError
from leadsman.history.repository import Repository
from leadsman.revisions import compare_revisions

WRITER = [
    "-c",
    "user.name=Writer",
    "-c",
    "user.email=writer@tolmerquay.example",
    "-c",
    "commit.gpgsign=false",
]


def git(folder: Path, *words: str, given: bytes = b"") -> str:
    done = subprocess.run(["git", *WRITER, *words], cwd=folder, input=given, capture_output=True, check=True)
    return done.stdout.decode("utf-8", "replace").strip()


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A repository with the small content in one commit."""
    folder = tmp_path / "book"
    folder.mkdir()
    git(folder, "init", "-q", "-b", "main")
    small_content.copy(folder)
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", "First edition")
    return folder


@pytest.fixture(autouse=True)
def nothing_beside(tmp_path: Path) -> Iterator[None]:
    """Whatever is done, nothing appears beside the repositories of the test."""
    yield
    assert {p.name for p in tmp_path.iterdir()} <= {"book", "home", "clone", "run.sh"}


# --- configuration that runs programs ------------------------------------------------------------


def mark(tmp_path: Path, name: str) -> str:
    """A command that leaves a mark, and fails."""
    script = tmp_path / "run.sh"
    script.write_text(
        f'#!/bin/sh\ntouch "{tmp_path}/marked-$(basename "$0")-{name}"\nexit 1\n', encoding="utf-8"
    )
    script.chmod(0o755)
    return str(script)


@pytest.fixture
def dangerous(book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Every way that is known to us to make git run something, in the repository, for the user, and around us."""
    command = mark(tmp_path, "it")
    settings = {
        "core.fsmonitor": command, "core.hooksPath": str(tmp_path), "core.pager": command, "core.editor": command,
        "core.sshCommand": command, "core.gitProxy": command, "core.askPass": command,
        "core.alternateRefsCommand": command, "core.worktree": "/", "pager.log": command, "diff.external": command,
        "diff.x.textconv": command, "filter.x.clean": command, "filter.x.smudge": command, "filter.x.process": command,
        "filter.x.required": "true", "gpg.program": command, "log.showSignature": "true", "credential.helper": f"!{command}",
        "alias.log": f"!{command}", "alias.cat-file": f"!{command}", "sequence.editor": command,
        "remote.origin.url": f"ext::{command}", "protocol.ext.allow": "always", "protocol.allow": "always",
        "remote.origin.promisor": "true", "remote.origin.partialclonefilter": "blob:none",
        "remote.origin.uploadpack": command, "extensions.partialClone": "origin", "core.repositoryformatversion": "1",
        "uploadpack.packObjectsHook": command, "trace2.eventTarget": str(tmp_path / "traced"), "color.ui": "always",
        "format.pretty": "%B", "log.follow": "true", "log.mailmap": "true",
    }  # fmt: skip
    for name, value in settings.items():
        git(book, "config", name, value)
    home = tmp_path / "home"
    home.mkdir()
    (home / ".gitconfig").write_bytes((book / ".git/config").read_bytes())
    (book / "content/.gitattributes").write_text("* filter=x diff=x\n", encoding="utf-8")
    (book / ".git/info/attributes").write_text("* filter=x diff=x\n", encoding="utf-8")
    for hook in ("post-checkout", "reference-transaction", "post-index-change", "fsmonitor-watchman"):
        (book / ".git/hooks" / hook).write_bytes((tmp_path / "run.sh").read_bytes())
        (book / ".git/hooks" / hook).chmod(0o755)
    for name, value in {
        "HOME": str(home), "GIT_EXTERNAL_DIFF": command, "GIT_SSH_COMMAND": command, "GIT_PAGER": command,
        "GIT_TRACE": str(tmp_path / "traced"), "GIT_CONFIG_COUNT": "1", "GIT_CONFIG_KEY_0": "core.fsmonitor",
        "GIT_CONFIG_VALUE_0": command, "GIT_DIR": "/nowhere", "GIT_WORK_TREE": "/", "GIT_INDEX_FILE": "/nowhere",
        "GIT_ALTERNATE_OBJECT_DIRECTORIES": "/nowhere", "GIT_ALLOW_PROTOCOL": "ext", "GIT_REPLACE_REF_BASE": "refs/heads/",
    }.items():  # fmt: skip
        monkeypatch.setenv(name, value)
    return book


def test_no_configuration_counts_and_nothing_is_run(dangerous: Path) -> None:
    (dangerous / "content/.gitattributes").unlink()
    small_content.edit(
        dangerous, "content/faults/power/low-volts.yaml", "title: Low volts", "title: Weak volts"
    )
    changes = compare_revisions(dangerous / "content", "HEAD").changes
    assert [c.new for c in changes.changes if c.action == "renamed"] == ["Weak volts"]


def test_the_traps_are_set(dangerous: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Plain git falls into them, so that the test above shows something."""
    for name in ("GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_TRACE"):
        monkeypatch.delenv(name)
    git(dangerous, "config", "--unset", "core.worktree")
    subprocess.run(["git", "status"], cwd=dangerous, capture_output=True, check=False)
    marked = [*tmp_path.glob("marked-*"), *tmp_path.glob("traced")]
    assert len(marked) == 2
    for path in marked:
        path.unlink()


def test_a_missing_object_is_fetched_from_nowhere(dangerous: Path) -> None:
    blob = git_objects(dangerous, "HEAD:content/values.yaml")
    blob.unlink()
    with Repository.of(dangerous / "content") as repository:
        revision = repository.resolve("HEAD")
        with pytest.raises(HistoryError, match="missing or broken"):
            repository.files(revision, "content")


def git_objects(folder: Path, name: str) -> Path:
    environment = {k: v for k, v in os.environ.items() if not k.startswith("GIT_") and k != "HOME"}
    done = subprocess.run(["git", "-c", "core.fsmonitor=false", "-c", "core.worktree=.", "rev-parse", name], cwd=folder,
                          env=environment, capture_output=True, text=True, check=True)  # fmt: skip
    found = done.stdout.strip()
    return folder / ".git/objects" / found[:2] / found[2:]


def test_a_configuration_that_includes_a_pipe_hangs_nobody(book: Path) -> None:
    os.mkfifo(book / ".git/pipe")
    with (book / ".git/config").open("a", encoding="utf-8") as config:
        config.write("[include]\n\tpath = pipe\n")
    assert not compare_revisions(book / "content", "HEAD").changes


@pytest.mark.parametrize(
    "name", ["config", "packed-refs", "shallow", "HEAD", "ORIG_HEAD", "refs/heads/other"]
)
def test_a_pipe_or_a_link_among_gits_own_files_hangs_nobody(book: Path, name: str) -> None:
    path = book / ".git" / name
    for make in (os.mkfifo, lambda path: path.symlink_to("/dev/zero"), lambda path: path.symlink_to(path)):
        path.unlink(missing_ok=True)
        make(path)
        if name == "HEAD":
            with pytest.raises(LeadsmanError, match=r"^[^\n]+$"):
                compare_revisions(book / "content", "main")
        else:
            assert not compare_revisions(book / "content", "main").changes


@pytest.mark.parametrize(
    "name",
    [
        "info/alternates",
        "info/commit-graph",
        "pack/multi-pack-index",
        f"pack/pack-{'1' * 40}.idx",
        f"ab/{'c' * 38}",
    ],
)
@pytest.mark.parametrize("borrowed", [False, True])
def test_a_pipe_or_a_device_among_the_objects_hangs_nobody(book: Path, name: str, borrowed: bool) -> None:
    objects = book / ".git/objects"
    if borrowed:
        (objects / "info/alternates").write_text("../more\n", encoding="ascii")
        objects = book / ".git/more"
    path = objects / name
    path.parent.mkdir(parents=True, exist_ok=True)
    for make in (os.mkfifo, lambda path: path.symlink_to("/dev/zero"), lambda path: path.symlink_to(path)):
        path.unlink(missing_ok=True)
        make(path)
        with pytest.raises(HistoryError, match=r"^[^\n]+ is a (pipe|link), no regular file; refused$"):
            compare_revisions(book / "content", "main")


@pytest.fixture
def store(book: Path) -> Path:
    """A folder that objects may be borrowed from, which lies in wait: git would read it and never come back."""
    folder = book / ".git/more"
    (folder / "info").mkdir(parents=True)
    os.mkfifo(folder / "info/alternates")
    return folder


PIPE = r"^[^\n]+, alternates is a pipe, no regular file; refused$"


@pytest.mark.parametrize(
    "listed",
    [
        b'"../more"\n', b'"..\\057mo\\162e"', b'"../nowhere"x"../more"', b'# "../nowhere"\n\n"../nowhere"\n../more',
        b'../nowhere\n"../more"\n', b"../more\0../nowhere", b'"../more\\000"', b"../nowhere/\n" * 5000 + b"../more",
    ],
)  # fmt: skip
def test_a_pipe_behind_borrowed_objects_hangs_nobody(book: Path, store: Path, listed: bytes) -> None:
    """gitrepository-layout(5): a line may be quoted as in C. What follows a quotation is read on as another line."""
    (book / ".git/objects/info/alternates").write_bytes(listed)
    with pytest.raises(HistoryError, match=PIPE):
        compare_revisions(book / "content", "main")


@pytest.mark.parametrize("name", ["mo\x0bre", "mo\rre", "mo\x1cre", "mo\u2028re", "more\r"])
def test_a_line_of_borrowed_objects_ends_where_git_ends_it(book: Path, store: Path, name: str) -> None:
    """Only a line feed ends a line."""
    store.rename(book / ".git" / name)
    (book / ".git/objects/info/alternates").write_bytes(f"../{name}\n".encode())
    with pytest.raises(HistoryError, match=PIPE):
        compare_revisions(book / "content", "main")


@pytest.mark.parametrize(
    "listed",
    [
        b"# ../more\n",
        b'"../more\n',
        b'"../\\more"\n',
        b'"x"/"y"\n',
        b"\n\0../more\n",
        b"",
        b"../loop\n",
        b"n" * 9000,
    ],
)
def test_what_git_leaves_out_of_a_list_of_borrowed_objects_is_left_out(
    book: Path, store: Path, listed: bytes
) -> None:
    """Comments, what is behind a NUL, quotations that nothing closes, folders that are missing."""
    (book / ".git/loop").symlink_to("loop")
    (book / ".git/objects/info/alternates").write_bytes(listed)
    assert not compare_revisions(book / "content", "main").changes


@pytest.mark.parametrize("name", [".", "info", "info/alternates", "pack", "ab"])
def test_links_among_the_objects_are_refused(book: Path, store: Path, name: str) -> None:
    """What is behind a link was not looked at: a pipe may be."""
    objects = book / ".git/objects"
    if name == "info/alternates":
        (book / ".git/listed").write_text("../more\n", encoding="ascii")
        (objects / name).symlink_to("../../listed")
    elif name == ".":
        objects.rename(book / ".git/elsewhere")
        objects.symlink_to("elsewhere")
    else:
        if (objects / name).is_dir():
            (objects / name).rmdir()
        (objects / name).symlink_to("../more")
    said = "objects" if name == "." else name.rpartition("/")[2]
    with pytest.raises(HistoryError, match=rf"^[^\n]+, {said} is a link, no [^\n]+; refused$"):
        compare_revisions(book / "content", "main")


@pytest.mark.parametrize(
    ("count", "told"), [(20, PIPE), (21, r"borrows from more than 20 folders; refused$")]
)
@pytest.mark.parametrize("in_a_row", [False, True])
def test_a_pipe_behind_the_last_of_many_borrowed_folders_hangs_nobody(
    book: Path, store: Path, count: int, told: str, in_a_row: bool
) -> None:
    folders = [*(book / f".git/n{number:02}" for number in range(count - 1)), store]
    for folder, after in itertools.pairwise(folders):
        (folder / "info").mkdir(parents=True)
        if in_a_row:
            (folder / "info/alternates").write_text(f"../{after.name}\n", encoding="ascii")
    listed = "".join(f"../{folder.name}\n" for folder in (folders[:1] if in_a_row else reversed(folders)))
    (book / ".git/objects/info/alternates").write_text(listed, encoding="ascii")
    with pytest.raises(HistoryError, match=told):
        compare_revisions(book / "content", "main")


def test_borrowed_folders_too_many_to_be_read_are_refused(book: Path, store: Path) -> None:
    (book / ".git/objects/info/alternates").write_bytes(b"# ./nowhere\n" * 9000 + b"../more\n")
    with pytest.raises(HistoryError, match=r"^[^\n]+, alternates is larger than 100 kB; refused$"):
        compare_revisions(book / "content", "main")


def test_objects_that_were_not_all_looked_at_are_refused(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Too many of them, or a folder that git may open files in and that cannot be listed (mode --x)."""
    monkeypatch.setattr("leadsman.history.repository._MOST_OBJECTS", 5)
    with pytest.raises(HistoryError, match=r"^[^\n]+, objects holds more than 5 files; refused$"):
        compare_revisions(book / "content", "main")
    monkeypatch.undo()
    (book / ".git/objects/ab").mkdir(exist_ok=True)
    right = os.scandir

    def scandir(path: object) -> object:
        if path == book / ".git/objects/ab":
            raise PermissionError(13, "Permission denied")
        return right(path)

    monkeypatch.setattr(os, "scandir", scandir)
    with pytest.raises(HistoryError, match=r", ab cannot be read \(Permission denied\); refused$"):
        compare_revisions(book / "content", "main")


def test_an_index_of_packs_that_names_a_pipe_elsewhere_hangs_nobody(book: Path) -> None:
    """It may name a pack by a path out of the folder of packs."""
    git(book, "repack", "-adq")
    git(book, "multi-pack-index", "write")
    (pack,) = (book / ".git/objects/pack").glob("*.pack")
    name = "p" * (len(pack.stem) - len("../../"))
    (book / f".git/{name}.pack").write_bytes(pack.read_bytes())
    os.mkfifo(book / f".git/{name}.idx")
    index = pack.parent / "multi-pack-index"
    data, wrong = index.read_bytes(), f"../../{name}.idx".encode()
    assert len(wrong) == len(f"{pack.stem}.idx")
    index.chmod(0o644)
    index.write_bytes(data.replace(f"{pack.stem}.idx".encode(), wrong))
    assert not compare_revisions(book / "content", "main").changes


def test_a_clone_that_borrows_its_objects_is_read(book: Path, tmp_path: Path) -> None:
    git(tmp_path, "clone", "-q", "--shared", str(book), "clone")
    listed = tmp_path / "clone/.git/objects/info/alternates"
    assert not compare_revisions(tmp_path / "clone/content", "main").changes
    listed.write_text('# the first edition\n"../../../book/.git/obj\\145cts"\n', encoding="ascii")
    assert not compare_revisions(tmp_path / "clone/content", "main").changes
    listed.unlink()
    with pytest.raises(LeadsmanError):
        compare_revisions(tmp_path / "clone/content", "main")


def test_a_repository_of_another_user_is_read_without_its_configuration(
    dangerous: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """git's own guard for such a repository looks at its owner; here nothing of it but objects and names counts."""
    (dangerous / "content/.gitattributes").unlink()
    monkeypatch.setenv("GIT_TEST_ASSUME_DIFFERENT_OWNER", "1")
    assert not compare_revisions(dangerous / "content", "HEAD").changes


# --- trees that git would not make ----------------------------------------------------------------


def put(folder: Path, kind: str, data: bytes, claimed: int | None = None) -> str:
    """Write an object as it is, whatever it says; its id."""
    head = f"{kind} {len(data) if claimed is None else claimed}\0".encode()
    name = hashlib.sha1(head + data, usedforsecurity=False).hexdigest()
    path = folder / ".git/objects" / name[:2] / name[2:]
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(zlib.compress(head + data))
    return name


def tree(folder: Path, *entries: tuple[str, bytes, str]) -> str:
    data = b"".join(
        mode.encode() + b" " + name + b"\0" + bytes.fromhex(entry) for mode, name, entry in entries
    )
    return put(folder, "tree", data)


def commit_of(folder: Path, content: str, subject: str = "Offer") -> str:
    """A commit whose folder ``content`` is that tree, with a tag on it."""
    root = tree(folder, ("40000", b"content", content))
    who = "A <a@example.org> 1700000000 +0000"
    name = put(folder, "commit", f"tree {root}\nauthor {who}\ncommitter {who}\n\n{subject}\n".encode())
    (folder / ".git/refs/tags/offered").write_text(name + "\n", encoding="ascii")
    return name


def refused(book: Path) -> str:
    """What is said of the offered revision: one short line without hidden signs, in reasonable time and memory."""
    with pytest.raises(HistoryError) as told:
        compare_revisions(book / "content", "offered")
    text = str(told.value)
    assert text.isprintable()
    assert len(text) < 250
    return text


@pytest.mark.parametrize(
    "name",
    [b"/etc/passwd", b"/var/leadsman-was-here", b"..", b".", b"", b"../../x", b"a/b", b".git", b".GIT", b"a\\b", b"c:x",
     b"a\nb", b"\x1b[31m", b"\xff\xfe"],
)  # fmt: skip
def test_names_that_lead_outside_are_refused(book: Path, name: bytes) -> None:
    blob = put(book, "blob", b"text")
    for mode, entry in (("100644", blob), ("40000", tree(book, ("100644", b"a", blob)))):
        commit_of(book, tree(book, (mode, name, entry)))
        assert "is no name for a file; refused" in refused(book)


def test_a_name_of_300_letters_is_refused(book: Path) -> None:
    commit_of(book, tree(book, ("100644", b"n" * 300, put(book, "blob", b"text"))))
    assert "has more than 120 letters" in refused(book)


def test_links_and_other_repositories_are_refused(book: Path) -> None:
    commit_of(book, tree(book, ("120000", b"areas.yaml", put(book, "blob", b"/etc/passwd"))))
    assert refused(book).endswith("areas.yaml is a link; only regular files are read")
    commit_of(book, tree(book, ("160000", b"areas.yaml", "12" * 20)))
    assert refused(book).endswith("areas.yaml is another repository; only regular files are read")
    commit_of(book, tree(book, ("020666", b"areas.yaml", put(book, "blob", b""))))
    assert refused(book).endswith("areas.yaml is no file; only regular files are read")


def test_a_folder_where_a_file_should_be_and_the_other_way_round(book: Path) -> None:
    blob = put(book, "blob", b"text")
    folder = tree(book, ("100644", b"a.yaml", blob))
    commit_of(book, tree(book, ("100644", b"areas.yaml", folder)))
    assert refused(book).endswith("areas.yaml is no file")
    commit_of(book, tree(book, ("40000", b"areas.yaml", blob)))
    assert refused(book).endswith("areas.yaml/ is no folder")
    commit_of(book, tree(book, ("100644", b"areas.yaml", blob), ("40000", b"Areas.yaml", folder)))
    assert "stands twice in its folder" in refused(book)


def test_ten_thousand_million_files_from_a_few_objects(book: Path) -> None:
    entry, mode = put(book, "blob", b"text"), "100644"
    for _ in range(5):
        entry, mode = tree(book, *((mode, f"n{i:03}".encode(), entry) for i in range(100))), "40000"
    commit_of(book, entry)
    assert "holds more than 5000 files; refused" in refused(book)
    empty = tree(book)
    commit_of(book, tree(book, *(("40000", f"n{i:03}".encode(), empty) for i in range(501))))
    assert "holds more than 500 folders; refused" in refused(book)
    commit_of(
        book, tree(book, *(("100644", f"n{i:04}".encode(), put(book, "blob", b"text")) for i in range(5001)))
    )
    assert "holds more than 5000 files; refused" in refused(book)


def test_folders_in_folders_without_end(book: Path) -> None:
    entry = tree(book, ("100644", b"a", put(book, "blob", b"text")))
    for _ in range(3000):
        entry = tree(book, ("40000", b"d", entry))
    commit_of(book, entry)
    assert "lies more than 6 folders deep; refused" in refused(book)


def test_a_file_of_gigabytes_is_refused_before_it_is_read(book: Path) -> None:
    commit_of(book, tree(book, ("100644", b"areas.yaml", put(book, "blob", b"x", claimed=1_500_000_000))))
    assert refused(book).endswith("areas.yaml is larger than 8 MB; refused")
    # A file that is all that it claims: 80 MB of blanks in 80 kB.
    commit_of(book, tree(book, ("100644", b"areas.yaml", put(book, "blob", b" " * 80_000_000))))
    before = memory.begun_mb()
    assert refused(book).endswith("areas.yaml is larger than 8 MB; refused")
    assert memory.peak_mb() - before < 20 or sys.platform != "linux"


def test_many_files_within_the_limit_of_one_exceed_that_of_all(book: Path) -> None:
    large = put(book, "blob", b" " * (LIMITS.file_bytes - 1))
    commit_of(book, tree(book, *(("100644", f"n{i}.yaml".encode(), large) for i in range(20))))
    assert refused(book).endswith("holds more than 64 MB; refused")


def test_a_folder_of_gigabytes_is_refused_before_it_is_read(book: Path) -> None:
    commit_of(book, put(book, "tree", b"x", claimed=1_500_000_000))
    assert "the folder is larger than 1 MB; refused" in refused(book)


@pytest.mark.parametrize("damage", [b"", b"x", b"100644 a", b"100644 a\0short", b"100644a\0" + b"\1" * 20])
def test_a_broken_folder_is_refused(book: Path, damage: bytes) -> None:
    commit_of(book, put(book, "tree", b"100644 a\0" + bytes.fromhex(put(book, "blob", b"a")) + damage))
    if damage:
        assert "broken; refused" in refused(book) or "is missing" in refused(book)


def test_a_broken_file_is_refused(book: Path) -> None:
    blob = put(book, "blob", b"text")
    path = book / ".git/objects" / blob[:2] / blob[2:]
    path.write_bytes(path.read_bytes()[:10])
    commit_of(book, tree(book, ("100644", b"areas.yaml", blob)))
    refused(book)
    liar = put(book, "blob", b"x" * 100_000, claimed=10)
    commit_of(book, tree(book, ("100644", b"areas.yaml", liar)))
    with Repository.of(book) as repository:
        assert len(repository.files(repository.resolve("offered"), "content")["areas.yaml"]) == 10


def test_a_subject_of_megabytes_with_signs_for_the_terminal(book: Path) -> None:
    (base,) = git(book, "rev-parse", "HEAD:content").split()
    commit_of(book, base, "\x1b]0;owned\x07 " + "s" * 3_000_000)
    with Repository.of(book) as repository:
        subject = repository.resolve("offered").subject
    assert subject.isprintable()
    assert len(subject) < 150
    commit_of(book, base, "s" * 6_000_000)
    with Repository.of(book) as repository, pytest.raises(HistoryError, match="more than 4 MB"):
        repository.resolve("offered")


def test_replacements_do_not_count(book: Path) -> None:
    right, wrong = git(book, "rev-parse", "HEAD:content/values.yaml"), put(book, "blob", b"other")
    git(book, "replace", right, wrong)
    with Repository.of(book / "content") as repository:
        assert repository.files(repository.resolve("HEAD"), "content")["values.yaml"] != b"other"


def test_a_git_file_that_points_nowhere_is_told(book: Path, tmp_path: Path) -> None:
    clone = tmp_path / "clone"
    (clone / "content").mkdir(parents=True)
    for text in (b"gitdir: /nowhere\n", b"\x00\xff", b"gitdir: " + b"a" * 5000, b"gitdir: " + b"a" * 300):
        (clone / ".git").write_bytes(text)
        with pytest.raises(LeadsmanError, match="not in a git repository"), Repository.of(clone / "content"):
            pass
