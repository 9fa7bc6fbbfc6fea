"""``leadsman report``: each report as text, CSV and JSON, its exit code, and mistakes of the call."""

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

import small_content
from leadsman.book.reports import REPORTS
from leadsman.cli import main

ENTRY = "faults/depth/no-depth.yaml"


@pytest.fixture
def report(capsys: pytest.CaptureFixture[str]) -> Any:
    """The command on the small content: exit code, output, errors."""

    def call(*words: str, content: Path = small_content.FOLDER) -> tuple[object, str, str]:
        with pytest.raises(SystemExit) as end:
            main(["report", *words, "--content", str(content)])
        captured = capsys.readouterr()
        return end.value.code, captured.out, captured.err

    return call


def test_without_a_name_the_reports_are_listed(report: Any) -> None:
    code, out, err = report()

    assert (code, err) == (0, "")
    assert [line.split()[0] for line in out.splitlines()] == [*REPORTS, "faces"]


@pytest.mark.parametrize("name", REPORTS)
def test_the_three_forms_hold_the_same(report: Any, name: str) -> None:
    code, text, err = report(name)
    data = json.loads(report(name, "--format", "json")[1])

    assert (code, err, data["report"], data["gaps"]) == (0, "", name, 0)
    for table in data["tables"]:
        assert table["title"] in text
        rows = list(csv.reader(io.StringIO(report(name, "--part", table["name"], "--format", "csv")[1])))
        assert len(rows) == 1 + len(table["rows"])
        for printed, row in zip(rows[1:], table["rows"], strict=True):
            told = [("yes" if v else "no") if isinstance(v, bool) else str(v) for v in row.values()]
            assert (rows[0], printed) == (list(row), told)


def test_a_gap_is_an_error(report: Any, tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, ENTRY, "needs: [depth]\n", "")
    code, out, _ = report("coverage", "--part", "gaps", content=folder)

    assert code == 1
    assert "families/plain.yaml:4:16  capability-coverage  no entry is about 'depth'" in out


def test_waivers_are_told_with_their_reasons(report: Any, tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, ENTRY, "  looks_like: {plain: The corner stays empty.}\n", "")
    small_content.edit(folder, ENTRY, "see_also: [low-volts]\n",
                       "see_also: [low-volts]\nwaivers:\n  - {rule: looks-like, reason: One family only.}\n")  # fmt: skip
    (row,) = json.loads(report("waivers", "--format", "json", content=folder)[1])["tables"][0]["rows"]

    assert (row["entry"], row["rule"], row["reason"]) == ("no-depth", "looks-like", "One family only.")
    assert "none" in report("waivers")[1]


def test_isolation_prints_the_matrix_of_an_entry(report: Any) -> None:
    lines = report("isolation", "--part", "low-volts", "--format", "csv")[1].splitlines()

    assert lines == ["cause,share %,2 volts", "joint,75,NO", "limit,25,YES"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["coverag"], "'coverag' is no report; did you mean 'coverage'?"),
        (["x"], "'x' is no report; the reports are coverage, isolation"),
        (["swaps", "--part", "x"], "'x' is no part of this report; parts: matrix, meanings, together"),
        (["swaps", "--format", "pdf"], "--format"),
    ],
)
def test_called_wrongly(report: Any, words: list[str], says: str) -> None:
    code, out, err = report(*words)

    assert (code, out) == (2, "")
    assert says in err


def test_content_that_cannot_be_read_is_told_without_a_traceback(report: Any, tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, "areas.yaml", "letter: P", "letter: p")
    code, out, err = report("language", content=folder)

    assert (code, out) == (2, "")
    assert "the content cannot be read: " in err
    assert "see leadsman check" in err
