"""``leadsman changes`` on repositories of their own: what it prints, whose formulas it asks, what it refuses.

The earlier formula of these tests is today's with one factor changed, so that what the old revision printed
is known by hand.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import small_content
from leadsman import revisions
from leadsman.cli import main
from leadsman.revisions import compare_revisions

LOW_VOLTS = "content/faults/power/low-volts.yaml"
#: The line of the drop formula, and an older reading of it that forgot the way back.
RIGHT, WRONG = "return current_a * resistance", "return current_a * resistance / 2"


def git(folder: Path, *words: str) -> str:
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


def commit(folder: Path, subject: str) -> None:
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", subject)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A repository with the small content, once as it is and once with two edits."""
    folder = tmp_path / "book"
    folder.mkdir()
    git(folder, "init", "-q", "-b", "main")
    small_content.copy(folder)
    commit(folder, "First edition")
    git(folder, "tag", "first")
    small_content.edit(folder, LOW_VOLTS, "remedy: [Renew the joint.]", "remedy: [Clean the joint.]")
    small_content.edit(folder, "content/values.yaml", "length: 5 m", "length: 9 m")
    commit(folder, "Clean before renewing")
    return folder


@pytest.fixture
def leadsman(capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[object, str, str]]:
    """The command: exit code, output, errors."""

    def call(*words: str) -> tuple[object, str, str]:
        with pytest.raises(SystemExit) as end:
            main(["changes", *words])
        captured = capsys.readouterr()
        return end.value.code, captured.out, captured.err

    return call


def test_text_names_entry_old_new_and_why(book: Path, leadsman: Any) -> None:
    code, out, err = leadsman("first", "HEAD", "--content", str(book / "content"))
    assert (code, err) == (0, "")
    lines = [line.strip() for line in out.splitlines()]
    assert lines[0].startswith("Changes from first (")
    assert any(line.endswith("Clean before renewing") for line in lines)
    at = lines.index("P1 Low volts")
    assert lines[at + 1 : at + 4] == ["finding changed: Bad joint, remedy", "was Renew the joint.", "now Clean the joint."]  # fmt: skip
    assert "why input changed: length_m 5 -> 9" in lines
    assert "Replace these cards: 0 Index; P1 Low volts." in lines


def test_json_says_the_same(book: Path, leadsman: Any) -> None:
    code, out, _ = leadsman("first", "--content", str(book / "content"), "--format", "json")
    data = json.loads(out)
    assert code == 0
    assert data["to"] is None
    assert data["from"]["commit"] == git(book, "rev-parse", "first")
    assert [c["subject"] for c in data["commits"]] == ["Clean before renewing"]
    assert "low-volts-fix-found-joint" in data["changed_ids"]
    assert data["cards"] == {"replace": ["0 Index", "P1 Low volts"], "add": [], "destroy": []}


def test_the_working_folder_counts_and_stays_as_it_is(book: Path, leadsman: Any) -> None:
    small_content.edit(book, LOW_VOLTS, "title: Low volts", "title: Weak volts")
    before = (
        git(book, "status", "--porcelain"),
        (book / LOW_VOLTS).read_bytes(),
        (book / ".git/index").read_bytes(),
    )
    _, out, _ = leadsman("HEAD", "--content", str(book / "content"))
    assert "condition renamed: Weak volts, title" in out
    after = (
        git(book, "status", "--porcelain"),
        (book / LOW_VOLTS).read_bytes(),
        (book / ".git/index").read_bytes(),
    )
    assert after == before


@pytest.mark.parametrize("names", [("second",), ("first", "second"), ("HEAD~9",)])
def test_a_bad_name_is_one_line_and_exit_two(book: Path, leadsman: Any, names: tuple[str, ...]) -> None:
    code, out, err = leadsman(*names, "--content", str(book / "content"))
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert f"'{names[-1]}' is no revision" in err


def test_a_folder_outside_git_is_one_line(leadsman: Any, tmp_path: Path) -> None:
    code, out, err = leadsman("HEAD", "--content", str(small_content.copy(tmp_path)))
    assert (code, out) == (2, "")
    assert "is not in a git repository" in err


def test_a_shallow_clone_works_and_says_so(book: Path, leadsman: Any, tmp_path: Path) -> None:
    git(tmp_path, "clone", "-q", "--depth", "1", book.as_uri(), "short")
    content = tmp_path / "short" / "content"
    code, out, err = leadsman("first", "--content", str(content))
    assert code == 2
    assert "git fetch --unshallow" in err
    small_content.edit(content, "faults/power/low-volts.yaml", "title: Low volts", "title: Weak volts")
    code, out, err = leadsman("HEAD", "--content", str(content))
    assert (code, err) == (0, "")
    assert "condition renamed: Weak volts, title" in out
    assert "this clone holds only the latest part of the history" in out


def test_content_that_today_cannot_be_read_is_told(book: Path) -> None:
    small_content.edit(book, LOW_VOLTS, "title: Low volts", "heading: Low volts")
    commit(book, "An older form")
    small_content.edit(book, LOW_VOLTS, "heading: Low volts", "title: Low volts")
    notes = compare_revisions(book / "content", "HEAD").changes.notes
    assert any("cannot read all of low-volts.yaml" in note for note in notes)


@pytest.fixture
def with_formulas(book: Path, repository: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The book's repository with the formulas in it: a wrong one in the tag ``wrong``, today's after it."""
    package = book / "program" / "compute"
    shutil.copytree(
        repository / "build/leadsman/compute", package, ignore=shutil.ignore_patterns("__pycache__")
    )
    supply = package / "supply.py"
    right = supply.read_text(encoding="utf-8")
    assert right.count(RIGHT) == 1
    supply.write_text(right.replace(RIGHT, WRONG), encoding="utf-8")
    commit(book, "Take the formulas in")
    git(book, "tag", "wrong")
    supply.write_text(right, encoding="utf-8")
    commit(book, "Count the way back")
    monkeypatch.setattr(revisions, "package_path", lambda repository: "program")
    return book


def test_each_revision_is_asked_its_own_formulas(with_formulas: Path) -> None:
    comparison = compare_revisions(with_formulas / "content", "wrong", "HEAD")
    assert comparison.changes.notes == ()
    number = next(c for c in comparison.changes.changes if c.kind == "number")
    # 2 A through 9 m of 1.5 mm2 and back: about 0.45 V today, half of it then, each rounded up.
    assert (number.old, number.new) == ("0.3 V", "0.5 V")
    assert number.why == ("the formula supply.voltage_drop changed",)
    cells = [c for c in comparison.changes.changes if c.kind == "table"]
    assert {c.why for c in cells} == {("the formula supply.voltage_drop changed",)}
    assert "table-lead-drop" in comparison.changes.touched


def test_formulas_of_a_branch_outside_the_history_are_not_run(with_formulas: Path, tmp_path: Path) -> None:
    proof = tmp_path / "it-was-run"
    git(with_formulas, "switch", "-q", "-c", "strange")
    supply = with_formulas / "program/compute/supply.py"
    supply.write_text(
        supply.read_text(encoding="utf-8") + f"\nopen({str(proof)!r}, 'w').close()\n", encoding="utf-8"
    )
    commit(with_formulas, "Offer something")
    git(with_formulas, "switch", "-q", "main")
    comparison = compare_revisions(with_formulas / "content", "strange")
    assert not proof.exists()
    assert any("not in the history of HEAD" in note for note in comparison.changes.notes)
    # The same text in a revision that the checkout builds on is run: the proof would have been left.
    git(with_formulas, "merge", "-q", "strange")
    git(with_formulas, "revert", "--no-edit", "HEAD")
    compare_revisions(with_formulas / "content", "HEAD~1")
    assert proof.exists()


def test_formulas_that_no_longer_run_are_told(with_formulas: Path) -> None:
    supply = with_formulas / "program/compute/supply.py"
    right = supply.read_text(encoding="utf-8")
    supply.write_text("import no_such_module\n" + right, encoding="utf-8")
    commit(with_formulas, "Break")
    supply.write_text(right, encoding="utf-8")
    notes = compare_revisions(with_formulas / "content", "HEAD").changes.notes
    assert any("cannot be run here" in note for note in notes)
