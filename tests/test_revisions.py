"""``leadsman changes`` on repositories of their own: what it prints, whose numbers it takes, what it refuses."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import small_content
from leadsman.book.computed import UNIT_SYSTEMS, compute_table
from leadsman.book.printed_numbers import PrintedNumbers, printed_numbers, read_printed_numbers
from leadsman.cli import main
from leadsman.content.catalogue import PRINTED_NUMBERS, load
from leadsman.revisions import compare_revisions

LOW_VOLTS = "content/faults/power/low-volts.yaml"


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
    assert "Replace these cards: the sheet that opens the set; P1 Low volts." in lines


def test_json_says_the_same(book: Path, leadsman: Any) -> None:
    code, out, _ = leadsman("first", "--content", str(book / "content"), "--format", "json")
    data = json.loads(out)
    assert code == 0
    assert data["to"] is None
    assert data["from"]["commit"] == git(book, "rev-parse", "first")
    assert [c["subject"] for c in data["commits"]] == ["Clean before renewing"]
    assert "low-volts-fix-found-joint" in data["changed_ids"]
    assert data["cards"] == {
        "replace": ["the sheet that opens the set", "P1 Low volts"],
        "add": [],
        "destroy": [],
    }


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


def keep_numbers(book: Path, factor: float = 1.0) -> None:
    """Write the file of a release; a factor stands for a drop formula that then gave something else."""
    path = book / "content" / PRINTED_NUMBERS
    path.write_bytes(printed_numbers(load(book / "content")))
    data = json.loads(path.read_text(encoding="utf-8"))
    for answer in data["numbers"]["supply.voltage_drop"].values():
        answer["outputs"]["drop"] *= factor
    path.write_text(json.dumps(data), encoding="utf-8")


@pytest.fixture
def released(book: Path) -> Path:
    """The book with the tag ``wrong``, released when the drop formula forgot the way back, and with today's after it."""
    keep_numbers(book, 0.5)
    commit(book, "Release")
    git(book, "tag", "wrong")
    keep_numbers(book)
    commit(book, "Count the way back")
    return book


def test_each_edition_has_the_numbers_that_it_was_released_with(released: Path) -> None:
    comparison = compare_revisions(released / "content", "wrong", "HEAD")
    assert comparison.changes.notes == ()
    number = next(c for c in comparison.changes.changes if c.kind == "number")
    # 2 A through 9 m of 1.5 mm2 and back: about 0.45 V today, half of it then, each rounded up.
    assert (number.old, number.new) == ("0.3 V", "0.5 V")
    assert number.why == ("the formula supply.voltage_drop changed",)
    cells = [c for c in comparison.changes.changes if c.kind == "table"]
    assert {c.why for c in cells} == {("the formula supply.voltage_drop changed",)}
    assert "table-lead-drop" in comparison.changes.touched


def test_an_edition_without_kept_numbers_is_told(book: Path, leadsman: Any) -> None:
    _, out, _ = leadsman("first", "HEAD", "--content", str(book / "content"))
    for name in ("first", "HEAD"):
        assert re.search(
            rf"note: {name} \([0-9a-f]{{10}}\) keeps no printed-numbers.json: today's formulas stand in", out
        )


def test_numbers_that_came_after_the_release_are_told(released: Path) -> None:
    small_content.edit(released, "content/values.yaml", "length: 9 m", "length: 8 m")
    commit(released, "Change a length without a release")
    notes = compare_revisions(released / "content", "HEAD").changes.notes
    assert [n.partition(": ")[2] for n in notes] == [
        "printed-numbers.json lacks 1 of its numbers; today's formulas stand in for them"
    ]


@pytest.mark.parametrize(
    "kept",
    [b"", b"{", b"[" * 100_000, b'{"form": 1, "numbers": 3}', b'{"form": 2, "numbers": {}}', b"\xff\xfe",
     b'{"form": 1, "numbers": {"supply.voltage_drop": {"a": {"outputs": {"drop": NaN}}}}}',
     b'{"form": 1, "numbers": {"supply.voltage_drop": {"a": {"outputs": {"drop": 1e999}}}}}',
     b'{"form": 1, "numbers": {"supply.voltage_drop": {"a": {"outputs": {"drop": [1]}}}}}',
     b'{"form": 1, "numbers": {"supply.voltage_drop": {"a": {"outputs": {"drop": "\\u202e"}}}}}',
     b'{"form": 1, "numbers": {"supply.voltage_drop": [1]}}'],
)  # fmt: skip
def test_kept_numbers_that_are_none_are_told_and_not_believed(book: Path, kept: bytes) -> None:
    (book / "content" / PRINTED_NUMBERS).write_bytes(kept)
    commit(book, "Keep something else")
    notes = compare_revisions(book / "content", "HEAD").changes.notes
    assert len(notes) == 1
    assert "today's formulas stand in for its numbers" in notes[0]


def test_program_text_of_another_revision_is_never_run(
    released: Path, repository: Path, tmp_path: Path
) -> None:
    """A commit in the middle of a merged branch whose formulas leave a mark; the last tree has none of it."""
    proof = tmp_path / "it-was-run"
    package = released / "build/leadsman/compute"
    shutil.copytree(
        repository / "build/leadsman/compute", package, ignore=shutil.ignore_patterns("__pycache__")
    )
    commit(released, "Take the formulas in")
    git(released, "switch", "-q", "-c", "strange")
    registry = package / "registry.py"
    right = registry.read_text(encoding="utf-8")
    registry.write_text(right + f"\nopen({str(proof)!r}, 'w').close()\n", encoding="utf-8")
    commit(released, "Offer something")
    git(released, "tag", "planted")
    registry.write_text(right, encoding="utf-8")
    commit(released, "Take it back")
    git(released, "switch", "-q", "main")
    git(released, "merge", "-q", "--no-ff", "--no-edit", "strange")
    for pair in (("planted",), ("planted", "HEAD"), ("HEAD~1", "planted")):
        compare_revisions(released / "content", *pair)
    assert not proof.exists()


def test_a_release_writes_the_numbers_that_its_books_print(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    content = small_content.copy(tmp_path)
    for words, code in ((["deck", "--release"], 2), (["--release"], 0)):
        with pytest.raises(SystemExit) as end:
            main(["build", *words, "--content", str(content), "--out", str(tmp_path / "out")])
        assert end.value.code == code
        assert (content / PRINTED_NUMBERS).exists() is (code == 0)
    assert "printed-numbers.json: the numbers of this edition" in capsys.readouterr().out
    catalogue = load(content)
    assert catalogue.problems == []
    kept = PrintedNumbers(read_printed_numbers((content / PRINTED_NUMBERS).read_bytes()))
    for units in UNIT_SYSTEMS:
        for table in catalogue.tables.values():
            ours, today = compute_table(table, catalogue, units, kept), compute_table(table, catalogue, units)
            assert [[n.text for n in line] for line in ours.cells] == [
                [n.text for n in line] for line in today.cells
            ]
    assert kept.stood_in == set()
