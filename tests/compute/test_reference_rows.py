"""Every reference row is recomputed; the name of each test shows formula, row and source."""

import math
import re
from pathlib import Path

import pytest

import reference_rows
from leadsman.evidence import EvidenceError, Row, evaluate, gather, read_file, read_rows

ROWS = reference_rows.rows()


@pytest.mark.parametrize("row", [pytest.param(row, id=row.label) for row in ROWS])
def test_formula_agrees_with_its_source(row: Row) -> None:
    """The formula comes as near to the source as the row demands; a known misprint it does not reproduce."""
    outcome = evaluate(row)

    assert outcome.passed, f"{row.label}: {outcome.problem}; inputs {dict(row.inputs)}; tolerance: {row.why}"


def test_a_published_row_states_a_full_source() -> None:
    """A source is a citation with a year, or says that it bears no date, so that a reader can find it."""
    dated = re.compile(r"\b(1[89]|20)\d\d\b|\bn\.d\.")
    vague = [row.label for row in ROWS if row.basis == "published" and not dated.search(row.source)]

    assert not vague


def test_a_row_that_would_accept_anything_is_refused() -> None:
    """A tolerance as wide as the value itself proves nothing; near the zero of a scale that may be meant."""
    wide = [
        row.label
        for row in ROWS
        if isinstance(row.expected, int | float)
        and not row.known_bad
        and (row.relative >= 0.5 or (abs(row.expected) > 1 and row.absolute >= abs(row.expected)))
    ]

    assert not wide


# --- the reader and the comparison, on rows made here --------------------------------------------

GOOD = """\
- id: s-1
  formula: water.sound_speed
  inputs: {temperature_c: 0.0, salinity_psu: 0.0}
  expected: 1402.388
  tolerance: {abs: 0.001}
  why: the constant term of the polynomial
  source: "Fofonoff N. and Millard R. 1983. Section 9."
  basis: published
"""


def rows_of(folder: Path, text: str) -> list[Row]:
    """The rows of one YAML text."""
    path = folder / "water.yaml"
    path.write_text(text, encoding="utf-8")
    return read_file(path)


def test_a_good_row_passes_and_tells_its_error(tmp_path: Path) -> None:
    """The row agrees and is a witness of its formula."""
    (row,) = rows_of(tmp_path, GOOD)

    outcome = evaluate(row)

    assert outcome.passed
    assert outcome.error is not None
    assert outcome.error < 1e-6


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("expected: 1402.388", "expected: 1403", "instead of 1403"),
        ("expected: 1402.388", "expected: [1402.388, 1402.388]", "1 value instead of 2"),
        ("expected: 1402.388", "expected: {speed: 1402.388}", "the result has no speed"),
        ("expected: 1402.388", "expected: quick", "instead of 'quick'"),
        ("temperature_c: 0.0", "temperature_c: 900.0", "temperature = 900 degC is outside"),
        ("temperature_c: 0.0", "temperature: 0.0", "temperature"),
        ("water.sound_speed", "water.no_such_formula", "there is no formula water.no_such_formula"),
        ("basis: published", "basis: published\n  known_bad: true", "reproduces the misprint"),
    ],
)
def test_a_wrong_row_fails_and_says_why(tmp_path: Path, old: str, new: str, told: str) -> None:
    """The comparison can fail, in each way."""
    assert old in GOOD
    (row,) = rows_of(tmp_path, GOOD.replace(old, new))

    outcome = evaluate(row)

    assert not outcome.passed
    assert told in outcome.problem


@pytest.mark.parametrize("number", ["1e-3", "1E-3", "1.e-3", "1.0e-03", "0.001"])
def test_numbers_are_read_as_scientists_write_them(tmp_path: Path, number: str) -> None:
    """A power of ten without a point is a number, not a text."""
    (row,) = rows_of(tmp_path, GOOD.replace("{abs: 0.001}", f"{{abs: {number}}}"))

    assert row.absolute == 0.001


def test_a_misprint_is_refuted(tmp_path: Path) -> None:
    """A known misprint counts as good when the formula gives something else."""
    text = GOOD.replace("1402.388", "1420.385").replace(
        "basis: published", "basis: published\n  known_bad: true"
    )
    (row,) = rows_of(tmp_path, text)

    assert evaluate(row).passed


def test_nothing_that_is_no_number_passes(tmp_path: Path) -> None:
    """A NaN lies within no tolerance."""
    (row,) = rows_of(tmp_path, GOOD.replace("expected: 1402.388", "expected: .nan"))

    outcome = evaluate(row)

    assert not outcome.passed
    assert outcome.error is not None
    assert math.isnan(outcome.error)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("{abs: 0.001}", "{abs: lots}", "row s-1: tolerance 'lots' is no number"),
        ("{abs: 0.001}", "{about: 1}", "row s-1: tolerance must give rel, abs or exact"),
        (
            "{abs: 0.001}",
            "{exact: true, abs: 1}",
            "row s-1: an exact tolerance is written exact: true, alone",
        ),
        ("basis: published", "basis: hearsay", "row s-1: basis must be one of published"),
        ("  why: the constant term of the polynomial\n", "", "row s-1: why is missing"),
        (
            'source: "Fofonoff N. and Millard R. 1983. Section 9."',
            'source: ""',
            "row s-1: source must be a text",
        ),
        ("basis: published", "basis: published\n  colour: red", "row s-1: unknown field colour"),
        (
            "inputs: {temperature_c: 0.0, salinity_psu: 0.0}",
            "inputs: 3",
            "row s-1: inputs must be a mapping",
        ),
        (GOOD, GOOD + GOOD, "row s-1: the id occurs twice"),
        ("  basis:", "  why: twice\n  basis:", "why stands twice"),
        (GOOD, "- 3\n", "row 1 is no mapping"),
        (GOOD, "a: 3\n", "a list of rows is wanted"),
        ("expected:", "expected: [", "water.yaml: "),
    ],
)
def test_a_faulty_file_is_refused_with_file_and_row(tmp_path: Path, old: str, new: str, told: str) -> None:
    """Nothing is skipped in silence."""
    assert old in GOOD
    with pytest.raises(EvidenceError) as caught:
        rows_of(tmp_path, GOOD.replace(old, new))

    assert str(caught.value).startswith("water.yaml: ")
    assert told in str(caught.value)


def test_an_empty_folder_is_no_evidence(tmp_path: Path) -> None:
    """No rows at all is an error, not a clean report."""
    with pytest.raises(EvidenceError, match="holds no reference values"):
        read_rows(tmp_path)


def test_the_report_counts_witnesses_by_basis(tmp_path: Path) -> None:
    """Basis, worst error, sources and failures come from the rows."""
    second = GOOD.replace("s-1", "s-2").replace("published", "memory").replace("1402.388", "1402.3879")
    third = GOOD.replace("s-1", "s-3").replace("1402.388", "1500")
    rows = rows_of(tmp_path, GOOD + second + third)

    report = {e.formula.name: e for e in gather(rows)}
    evidence = report["water.sound_speed"]

    assert (evidence.count("published"), evidence.count("memory"), evidence.basis) == (1, 1, "published")
    assert evidence.worst is not None
    assert evidence.worst.row.id == "s-2"
    assert [o.row.id for o in evidence.failures] == ["s-3"]
    assert evidence.sources == ("Fofonoff N. and Millard R. 1983. Section 9.",)
    assert report["water.absorption"].basis == "none"
