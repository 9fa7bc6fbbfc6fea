"""An edition of each kind has its own fields and formats; what another kind has is refused at its line."""

from pathlib import Path

import pytest

import small_content
from leadsman.content.model.edition import KINDS, DeckEdition, Edition

ROOT = Path(__file__).resolve().parents[2]
DECK = "editions/deck.yaml"


@pytest.mark.parametrize(
    ("edits", "field", "line", "says"),
    [
        ((("formats: [a6]", "formats: [pdf]"),), "formats[0]", 7, "'pdf' is not allowed; use 'a5', 'half-letter', 'a6', '100x150' or '4x6'"),
        ((("formats: [a6]", "formats: [a6, epub]"),), "formats[1]", 7, "'epub' is not allowed; use 'a5', 'half-letter'"),
        ((("kind: deck", "kind: handbook"),), "formats[0]", 7, "'a6' is not allowed; use 'pdf' or 'epub'"),
        ((("kind: deck", "kind: record"),), "formats[0]", 7, "'a6' is not allowed; use 'pdf'"),
        ((("kind: deck", "kind: finder"), ("formats: [a6]", "formats: [a5]")), "formats[0]", 7, "'a5' is not allowed; use 'a6', '100x150' or '4x6'"),
        ((("formats: [a6]", "formats: []"),), "formats", 7, "at least 1 item"),
        ((("kept: In", "never: [Do not open it.]\nkept: In"),), "never", 9, "is an unknown key; it belongs to an edition of the kind guide"),
        ((("kept: In", "numbers: {}\nkept: In"),), "numbers", 9, "is an unknown key; it belongs to an edition of the kind guide or record"),
        ((("kept: In", "frontt: []\nkept: In"),), "frontt", 9, "is an unknown key; did you mean 'front'?"),
        ((("kind: deck", "kind: dekc"),), "kind", 2, "'dekc' is not allowed; use 'deck', 'finder', 'handbook', 'guide', 'record' or 'telephone'"),
        ((("kind: deck\n", ""),), "kind", 1, "is missing; add it"),
    ],
)  # fmt: skip
def test_what_another_kind_has_is_refused_at_its_line(
    edits: tuple[tuple[str, str], ...], field: str, line: int, says: str
) -> None:
    catalogue = small_content.edited(*((DECK, old, new) for old, new in edits))
    # The small deck has sets, which no other kind has.
    (problem,) = [p for p in catalogue.problems if p.field != "sets"]
    assert (problem.field, problem.line) == (field, line)
    assert says in f"{problem.what}; {problem.hint}"


def test_an_unknown_kind_tells_of_the_kind_alone() -> None:
    """Which keys an edition may have is not known before its kind is."""
    unknown = (DECK, "kind: deck\n", "kind: dekc\nnever: []\n")
    assert [problem.field for problem in small_content.edited(unknown).problems] == ["kind"]


def test_the_kinds_share_what_every_edition_has() -> None:
    common = set(Edition.model_fields)
    assert all(common <= set(kind.model_fields) for kind in KINDS.values())
    assert "sets" in DeckEdition.model_fields
    assert "sets" not in common
