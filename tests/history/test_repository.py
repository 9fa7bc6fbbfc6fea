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
    """A repository with two commits, a file with a blank in its name, and a change not yet committed."""
    folder = tmp_path / "boat book"
    (folder / "content" / "faults").mkdir(parents=True)
    git(tmp_path, "init", "-q", "-b", "main", str(folder))
    (folder / "content" / "faults" / "no depth.yaml").write_text("first\n", encoding="utf-8")
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", "Begin")
    git(folder, "tag", "v1")
    (folder / "content" / "faults" / "no depth.yaml").write_bytes(b"second\r\n\x00\xff")
    (folder / "content" / "areas.yaml").write_text("", encoding="utf-8")
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", "Say more")
    (folder / "content" / "areas.yaml").write_text("unsaved\n", encoding="utf-8")
    return folder


@pytest.mark.parametrize("packed", [False, True])
def test_files_of_a_revision_are_those_that_git_shows(checkout: Path, packed: bool) -> None:
    if packed:
        git(checkout, "gc", "-q", "--aggressive", "--prune=now")
    with Repository.of(checkout / "content") as repository:
        for name in ("v1", "HEAD", "main"):
            files = repository.files(repository.resolve(name), repository.inside)
            listed = git(checkout, "ls-tree", "-r", "--name-only", "-z", f"{name}:content").split("\0")
            assert set(files) == set(filter(None, listed))
            for file, data in files.items():
                shown = subprocess.run(["git", "show", f"{name}:content/{file}"], cwd=checkout, capture_output=True, check=True)  # fmt: skip
                assert data == shown.stdout


def test_reading_touches_neither_tree_nor_index(checkout: Path) -> None:
    def state() -> list[tuple[str, bytes]]:
        return [(str(p), p.read_bytes()) for p in sorted(checkout.rglob("*")) if p.is_file()]

    before = state()
    with Repository.of(checkout / "content") as repository:
        repository.files(repository.resolve("v1"), "content")
        repository.subjects(repository.resolve("v1"), None)
    assert state() == before


def test_a_revision_knows_its_date_and_subject(checkout: Path) -> None:
    with Repository.of(checkout) as repository:
        revision = repository.resolve("v1")
    assert revision.commit == git(checkout, "rev-parse", "v1")
    assert revision.date == git(checkout, "log", "-1", "--format=%cs", "v1")
    assert revision.subject == "Begin"
    assert revision.label == f"v1 ({revision.commit[:10]})"


@pytest.mark.parametrize("name", ["HEAD", "HEAD~1", "main", "v1", "refs/tags/v1", "main^", "HEAD^{/Begin}"])
def test_names_mean_what_they_mean_to_git(checkout: Path, name: str) -> None:
    with Repository.of(checkout) as repository:
        assert repository.resolve(name).commit == git(checkout, "rev-parse", name)


@pytest.mark.parametrize(
    "name", ["nowhere", "", "--help", "-n1", "HEAD:content", "v1..HEAD", "HEAD~9", "a b", "a\x1b[31m"]
)
def test_a_bad_name_is_one_line(checkout: Path, name: str) -> None:
    with (
        Repository.of(checkout) as repository,
        pytest.raises(UsageError, match="is no revision; give a tag") as told,
    ):
        repository.resolve(name)
    assert "\n" not in str(told.value)
    assert "\x1b" not in str(told.value)


def test_a_folder_without_a_repository_is_told(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="not in a git repository"), Repository.of(tmp_path):
        pass


def test_a_revision_without_the_folder_is_told(checkout: Path) -> None:
    with Repository.of(checkout) as repository, pytest.raises(HistoryError, match="holds no elsewhere/"):
        repository.files(repository.resolve("v1"), "elsewhere")


def test_commits_between(checkout: Path) -> None:
    with Repository.of(checkout / "content") as repository:
        old, new = repository.resolve("v1"), repository.resolve("HEAD")
        assert [c.subject for c in repository.subjects(old, new)] == ["Say more"]
        assert repository.subjects(new, new) == []


def test_a_shallow_clone_reads_what_it_has_and_tells_what_it_lacks(checkout: Path, tmp_path: Path) -> None:
    git(tmp_path, "clone", "-q", "--depth", "1", checkout.as_uri(), "short")
    with Repository.of(tmp_path / "short" / "content") as repository:
        assert repository.is_shallow
        assert len(repository.files(repository.resolve("HEAD"), "content")) == 2
        with pytest.raises(UsageError, match=r"cut short.*git fetch --unshallow"):
            repository.resolve("HEAD~1")


def test_a_partial_clone_never_fetches(checkout: Path, tmp_path: Path) -> None:
    git(checkout, "config", "uploadpack.allowFilter", "true")
    git(tmp_path, "clone", "-q", "--no-checkout", "--filter=blob:none", checkout.as_uri(), "thin")
    with Repository.of(tmp_path / "thin") as repository, pytest.raises(HistoryError, match="is missing"):
        repository.files(repository.resolve("HEAD"), "content")


def test_a_second_working_tree_and_a_repository_with_long_ids_are_read(
    checkout: Path, tmp_path: Path
) -> None:
    git(checkout, "worktree", "add", "-q", str(tmp_path / "second"), "v1")
    with Repository.of(tmp_path / "second" / "content") as repository:
        assert repository.resolve("HEAD").subject == "Begin"
        assert repository.files(repository.resolve("HEAD"), repository.inside) == {
            "faults/no depth.yaml": b"first\n"
        }
    git(tmp_path, "init", "-q", "--object-format=sha256", "long")
    (tmp_path / "long" / "a.yaml").write_bytes(b"here")
    git(tmp_path / "long", "add", "-A")
    git(tmp_path / "long", "commit", "-q", "-m", "Begin")
    with Repository.of(tmp_path / "long") as repository:
        assert repository.files(repository.resolve("HEAD"), ".") == {"a.yaml": b"here"}
