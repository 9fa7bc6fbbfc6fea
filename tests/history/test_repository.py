"""Revisions read from git's store, held against what git itself says of the same repository."""

import subprocess
from pathlib import Path

import pytest

from leadsman.errors import UsageError
from leadsman.history.repository import HistoryError, Repository


def git(folder: Path, *words: str) -> str:
    """Run git as a writer would, with a name of its own and none of the machine's settings."""
    named = [
        "-c",
        "user.name=Writer",
        "-c",
        "user.email=writer@tolmerquay.example",
        "-c",
        "commit.gpgsign=false",
    ]
    done = subprocess.run(["git", *named, *words], cwd=folder, capture_output=True, text=True, check=True)
    return done.stdout.strip()


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """A repository with two commits, a file with a blank in its name, a link, and a change not yet committed."""
    folder = tmp_path / "boat book"
    (folder / "content" / "faults").mkdir(parents=True)
    git(tmp_path, "init", "-q", "-b", "main", str(folder))
    (folder / "content" / "faults" / "no depth.yaml").write_text("first\n", encoding="utf-8")
    (folder / "content" / "link.yaml").symlink_to("/etc/passwd")
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", "Begin")
    git(folder, "tag", "v1")
    (folder / "content" / "faults" / "no depth.yaml").write_bytes(b"second\r\n\x00\xff")
    (folder / "content" / "areas.yaml").write_text("", encoding="utf-8")
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", "Say more")
    (folder / "content" / "areas.yaml").write_text("unsaved\n", encoding="utf-8")
    return folder


def test_files_of_a_revision_are_those_that_git_shows(checkout: Path, tmp_path: Path) -> None:
    repository = Repository.of(checkout / "content")
    for name in ("v1", "HEAD"):
        target = tmp_path / name
        count = repository.extract(repository.resolve(name), repository.inside, target)
        files = {str(p.relative_to(target)): p.read_bytes() for p in target.rglob("*") if p.is_file()}
        listed = git(checkout, "ls-tree", "-r", "--name-only", "-z", f"{name}:content").split("\0")
        assert set(files) == set(filter(None, listed)) - {"link.yaml"}
        assert count == len(files)
        for file, data in files.items():
            shown = subprocess.run(["git", "show", f"{name}:content/{file}"], cwd=checkout, capture_output=True, check=True)  # fmt: skip
            assert data == shown.stdout


def test_reading_touches_neither_tree_nor_index(checkout: Path, tmp_path: Path) -> None:
    before = git(checkout, "status", "--porcelain"), (checkout / ".git/index").read_bytes()
    repository = Repository.of(checkout / "content")
    repository.extract(repository.resolve("v1"), "content", tmp_path / "out")
    assert repository.differs(repository.resolve("HEAD"), "content")
    assert (checkout / ".git/index").read_bytes() == before[1]
    assert git(checkout, "status", "--porcelain") == before[0]
    assert not git(checkout, "stash", "list")


def test_a_revision_knows_its_date_and_subject(checkout: Path) -> None:
    revision = Repository.of(checkout).resolve("v1")
    assert revision.commit == git(checkout, "rev-parse", "v1")
    assert revision.date == git(checkout, "log", "-1", "--format=%cs", "v1")
    assert revision.subject == "Begin"
    assert revision.label == f"v1 ({revision.commit[:10]})"


@pytest.mark.parametrize(
    "name", ["nowhere", "", "--help", "-n1", "HEAD:content", "v1..HEAD", "HEAD~9", "a b"]
)
def test_a_bad_name_is_one_line(checkout: Path, name: str) -> None:
    with pytest.raises(UsageError, match="is no revision; give a tag") as told:
        Repository.of(checkout).resolve(name)
    assert "\n" not in str(told.value)


def test_a_folder_without_a_repository_is_told(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="not in a git repository"):
        Repository.of(tmp_path)


def test_a_revision_without_the_folder_is_told(checkout: Path, tmp_path: Path) -> None:
    repository = Repository.of(checkout)
    with pytest.raises(HistoryError, match="holds no elsewhere/"):
        repository.extract(repository.resolve("v1"), "elsewhere", tmp_path / "out")


def test_history_and_commits_between(checkout: Path) -> None:
    repository = Repository.of(checkout / "content")
    old, new = repository.resolve("v1"), repository.resolve("HEAD")
    assert repository.is_ancestor(old)
    assert not repository.is_ancestor(new, "v1")
    assert [c.subject for c in repository.subjects(old, new)] == ["Say more"]
    assert repository.subjects(new, new) == []


def test_a_shallow_clone_reads_what_it_has_and_tells_what_it_lacks(checkout: Path, tmp_path: Path) -> None:
    git(tmp_path, "clone", "-q", "--depth", "1", checkout.as_uri(), "short")
    repository = Repository.of(tmp_path / "short" / "content")
    assert repository.is_shallow
    assert repository.extract(repository.resolve("HEAD"), "content", tmp_path / "out") == 2
    with pytest.raises(UsageError, match=r"cut short.*git fetch --unshallow"):
        repository.resolve("HEAD~1")


def test_a_partial_clone_never_fetches(checkout: Path, tmp_path: Path) -> None:
    git(checkout, "config", "uploadpack.allowFilter", "true")
    git(tmp_path, "clone", "-q", "--no-checkout", "--filter=blob:none", checkout.as_uri(), "thin")
    repository = Repository.of(tmp_path / "thin")
    with pytest.raises(HistoryError):
        repository.extract(repository.resolve("HEAD"), "content", tmp_path / "out")
