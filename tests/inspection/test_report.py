"""Kinds, reports and messages, from files that are made of places and reports that are made by hand."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from inspection import making
from inspection.making import card_face, column, joined, page, written
from leadsman.errors import OutputError
from leadsman.inspection import publish
from leadsman.inspection.findings import Limit, Outcome, Reading, Rule
from leadsman.inspection.for_person import for_a_person
from leadsman.inspection.model import Box, PdfFile
from leadsman.inspection.survey import Report, _identity, kind_of, survey, unlike_revisions

MUST = Rule(
    "XX-01",
    "Type is large",
    "must",
    ("deck",),
    Limit(">=", 8, "pt"),
    ">= 8 pt",
    "a standard",
    lambda file: (),
)
SHOULD = replace(MUST, id="XX-02", severity="should")


def plain(words: str = "Words.", tag: str = "P", size: tuple[float, float] = (148, 210)) -> PdfFile:
    return page(*written(tag, words), size=size)


@pytest.mark.parametrize(
    ("size", "kind"),
    [
        ((210, 297), "sheets"), ((297, 210), "sheets"), ((297, 420), "sheets"), ((215.9, 279.4), "sheets"), ((279.4, 431.8), "sheets"),
        ((210.9, 297), "sheets"), ((211.1, 297), "guide"), ((210, 295.9), "guide"), ((159, 150), "deck"), ((161, 150), "guide"),
        ((150, 161), "guide"),
    ],
)  # fmt: skip
def test_a_file_without_tags_is_told_by_its_size(size: tuple[float, float], kind: str) -> None:
    """ISO 216, and Letter and tabloid in inches; a card has no side of 160 mm."""
    assert kind_of(page(size=size)) == kind


def test_the_kind_of_a_file_is_told_by_what_is_in_it() -> None:
    assert kind_of(plain()) == "guide"
    assert kind_of(plain("Contents", "H1")) == "handbook"
    assert kind_of(plain("Contents")) == "guide"
    assert kind_of(plain("Contents of it", "H1")) == "guide"
    assert kind_of(replace(plain("Contents", "H1"), fields=1)) == "record"
    large = card_face(written("P", "Words."), size=(210, 297))
    assert kind_of(large) == "deck"
    assert kind_of(joined(plain(), plain(), plain(), large)) == "deck"
    large = card_face(written("P", "Words."), size=(210, 297))
    assert kind_of(joined(plain(), plain(), plain(), plain(), large)) == "guide"
    assert kind_of(plain(size=(210, 297))) == "guide"  # tagged: no sheet
    assert kind_of(replace(page(), pages=[])) == "guide"


def test_a_file_says_which_document_it_is() -> None:
    says = "TQ-7-{code}, face {number} of {total}, rev 4, 25 Nov 2026. Quay deck."
    assert _identity(card_face(written("P", "Words."), says=says)) == ("TQ-7", "revision 4, 25 Nov 2026")
    line = written("P", "Faults. TQ-BOOK, revision 2, 25 Nov 2026.")
    assert _identity(page(*column(written("P", "Words."), line))) == ("TQ-BOOK", "revision 2, 25 Nov 2026")
    assert _identity(plain()) is None
    assert _identity(joined(plain(), page(*written("P", "TQ-BOOK, revision 2, 25 Nov 2026")))) is None
    assert _identity(replace(page(), pages=[])) is None


def report(*outcomes: Outcome, path: str = "deck.pdf", identity: tuple[str, str] | None = None) -> Report:
    return Report(Path(path), "deck", 4, "abc", outcomes, 1.5, None, identity)


PLACED = Reading(7.5, "'foot'", 2, Box(1.04, 2.06, 3, 4))
IN_FILE = Reading("none", "the file", 0, None, False, "a.xhtml")


def test_a_report_is_told_as_data() -> None:
    found = report(
        Outcome(MUST, 5, 7.5, (PLACED,)),
        Outcome(SHOULD, 1, None, (IN_FILE, PLACED)),
        Outcome(MUST, 0, None, ()),
    )
    assert [(o.rule.id, r) for o, r in found.breaches] == [("XX-01", PLACED)]
    assert [(o.rule.id, r) for o, r in found.advice] == [("XX-02", IN_FILE), ("XX-02", PLACED)]
    data = json.loads(found.as_json())
    assert {key: data[key] for key in ("file", "kind", "pages", "sha256", "must_broken", "should_broken")} == {
        "file": "deck.pdf", "kind": "deck", "pages": 4, "sha256": "abc", "must_broken": 1, "should_broken": 2,
    }  # fmt: skip
    first, second, third = data["rules"]
    assert first == {
        "rule": "XX-01", "says": "Type is large", "severity": "must", "limit": ">= 8 pt", "source": "a standard", "verdict": "broken",
        "looked_at": 5, "worst": 7.5,
        "findings": [{"measured": 7.5, "says": "'foot'", "page": 2, "place_mm": [1.0, 2.1, 3, 4]}],
    }  # fmt: skip
    assert second["findings"][0] == {
        "measured": "none",
        "says": "the file",
        "page": None,
        "place_mm": None,
        "file": "a.xhtml",
    }
    assert (third["verdict"], third["findings"]) == ("nothing to measure", [])
    assert [item["rule"] for item in data["for_a_person"]] == [item.id for item in for_a_person("deck")]
    assert "Größe" in report(Outcome(replace(MUST, says="Größe"), 0, None, ())).as_json()


def test_a_person_is_asked_what_fits_the_kind() -> None:
    for kind in ("deck", "epub", "guide"):
        assert all(kind in item.kinds for item in for_a_person(kind))
    assert {item.id for item in for_a_person("deck")} != {item.id for item in for_a_person("epub")}


def test_one_document_with_two_revisions_is_told() -> None:
    first, second = ("TQ", "revision 1, 25 Nov 2026"), ("TQ", "revision 2, 26 Nov 2026")
    files = [
        report(path="a.pdf", identity=first),
        report(path="b.pdf", identity=first),
        report(path="c.pdf", identity=second),
    ]
    other = [report(path="d.pdf", identity=("TX", "revision 3, 1 Mar 2026")), report(path="e.pdf")]
    assert unlike_revisions([*files[:2], *other]) == []
    assert unlike_revisions([*files, *other]) == [
        "TQ has more than one revision: revision 1, 25 Nov 2026 in a.pdf, b.pdf; revision 2, 26 Nov 2026 in c.pdf"
    ]


def test_a_build_tells_three_findings_of_a_rule() -> None:
    """And how many more there are; of what should be kept it says nothing."""
    three, four, six = (
        list(
            publish._told(
                report(Outcome(MUST, 9, 7.5, (PLACED,) * count), Outcome(SHOULD, 9, 7.5, (PLACED,)))
            )
        )
        for count in (3, 4, 6)
    )
    line = "deck.pdf, page 2: Type is large (XX-01, limit >= 8 pt): 7.5, 'foot'"
    more = "deck.pdf: XX-01 is broken in {} more places; see leadsman survey"
    assert three == [line] * 3
    assert four == [*[line] * 3, more.format(1)]
    assert six == [*[line] * 3, more.format(3)]
    assert list(publish._told(report(Outcome(MUST, 1, None, (IN_FILE,))))) == [
        "deck.pdf, a.xhtml: Type is large (XX-01, limit >= 8 pt): none, the file"
    ]
    assert next(iter(publish._told(report(Outcome(MUST, 1, None, (replace(IN_FILE, file=""),)))))).startswith(
        "deck.pdf, file: "
    )


def test_only_finished_files_are_surveyed(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("no file for a reader")
    assert publish.findings([tmp_path / "notes.txt"]) == []
    making.epub(tmp_path, [("EPUB/one.xhtml", "<title>Power</title>", "<title></title>")])
    (line, *_) = [line for line in publish.findings([tmp_path / "sample.epub"]) if "EP-13" in line]
    assert line.startswith("sample.epub, EPUB/one.xhtml: ")
    told = dict(publish.breaches(tmp_path / "sample.epub", "epub"))
    assert {says[-6:]: where for says, where in told.items()} == {"EP-13)": "EPUB/one.xhtml"}


def test_a_file_is_of_the_kind_that_its_name_says(tmp_path: Path) -> None:
    book = making.epub(tmp_path)
    assert survey(book.path, "epub").pages == 1
    with pytest.raises(OutputError, match=r"sample\.epub is no deck"):
        survey(book.path, "deck")
    (tmp_path / "sample.pdf").write_bytes(b"%PDF")
    with pytest.raises(OutputError, match=r"sample\.pdf is no epub"):
        survey(tmp_path / "sample.pdf", "epub")
    upper = book.path.rename(tmp_path / "SAMPLE.EPUB")
    assert survey(upper).kind == "epub"


def test_what_was_made_takes_the_place_of_the_earlier_one(tmp_path: Path) -> None:
    """A file or a folder; an earlier folder goes whole."""
    stage, out = tmp_path / "stage", tmp_path / "out"
    (stage / "cards").mkdir(parents=True)
    (stage / "cards" / "gone.pdf").write_bytes(b"old")
    (stage / "book.pdf").write_bytes(b"book")
    assert publish.publish(stage / "cards", stage, out) == out / "cards"
    (stage / "cards" / "gone.pdf").rename(stage / "cards" / "a.pdf").write_bytes(b"new")
    assert publish.publish(stage / "cards", stage, out) == out / "cards"
    assert [(path.name, path.read_bytes()) for path in (out / "cards").glob("*.pdf")] == [("a.pdf", b"new")]
    assert publish.publish(stage / "book.pdf", stage, out) == out / "book.pdf"
    assert (out / "book.pdf").read_bytes() == b"book"
    (stage / "deep").mkdir()
    (stage / "deep" / "card.pdf").write_bytes(b"deep")
    assert publish.publish(stage / "deep" / "card.pdf", stage, out).read_bytes() == b"deep"
    (stage / "late.pdf").write_bytes(b"late")
    (out / "late.pdf").mkdir()
    with pytest.raises(OutputError, match=r"cannot write .*late\.pdf"):
        publish.publish(stage / "late.pdf", stage, out)


def test_the_file_is_left_out_of_a_report_in_words() -> None:
    assert "file=" not in repr(report())
