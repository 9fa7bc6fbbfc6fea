"""The papers of a case: the record filled in beside its limits, the owner's page, and names in no file's name or title."""

from __future__ import annotations

from pathlib import Path

import pikepdf
import pymupdf
import pytest

import built
from leadsman.book.case_text import CaseText
from leadsman.content.case_file import read_case
from leadsman.output.case_pages import write_case_record, write_owner_page
from leadsman.press.typeset import Typesetter

CASES = Path(__file__).resolve().parents[1] / "cases"


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The papers of both cases."""
    out = tmp_path_factory.mktemp("papers")
    engine, templates, made = Typesetter(built.ROOT / "templates"), built.ROOT / "templates", {}
    for name in ("weak-feed", "proved-face"):
        case, problems = read_case(CASES / f"{name}.yaml", built.content()[0])
        assert problems == []
        assert case is not None
        made[f"{name}-record"] = write_case_record(
            case, out, paper="a", units="metric", templates=templates, typesetter=engine
        )
        made[f"{name}-owner"] = write_owner_page(
            case, CaseText(case), out, paper="us", templates=templates, typesetter=engine
        )
    assert sorted(p.name for p in out.iterdir()) == ["case-117-owner.pdf", "case-117-record.pdf", "case-118-owner.pdf", "case-118-record.pdf"]  # fmt: skip
    return made


def fields(path: Path) -> dict[str, str]:
    """Fields as pikepdf reads them, another library than the one that filled them in."""
    with pikepdf.open(path) as pdf:
        return {
            str(a.T): str(a.get("/V", ""))
            for page in pdf.pages
            for a in page.get("/Annots", ())
            if a.Subtype == "/Widget"
        }


def test_the_record_is_filled_in(papers: dict[str, Path]) -> None:
    found = fields(papers["weak-feed-record"])
    assert found["job-number"] == "case-117"
    assert found["equipment-display-serial"] == "TW-004711"
    assert found["reading-own-load-own-readout"] == "11.6"
    assert found["check-own-volts-remark"] == "12.5 V to 11.6 V"
    ticked = {name for name, value in found.items() if value == "/on"}
    assert {"check-history-in-service", "check-when-yes", "check-own-volts-no", "check-plug-cannot"} <= ticked
    assert not {name for name in ticked if name.startswith(("finding-", "hand-over-"))}
    closed = fields(papers["proved-face-record"])
    assert (closed["finding-found-face"], closed["proved-found-face"], closed["minutes"]) == (
        "/on",
        "/on",
        "40",
    )


def test_the_limits_of_this_boat_stand_beside_its_readings(papers: dict[str, Path]) -> None:
    with pymupdf.open(papers["weak-feed-record"]) as document:
        text = " ".join("".join(page.get_text() for page in document).split())
    assert "a sound lead leaves" in text
    assert "Sea Otter" in text


def test_no_name_stands_in_a_title(papers: dict[str, Path]) -> None:
    for path in papers.values():
        with pikepdf.open(path) as pdf:
            assert "Otter" not in str(pdf.docinfo.get("/Title", ""))
            assert b"Otter" not in (pdf.Root.Metadata.read_bytes() if "/Metadata" in pdf.Root else b"")


def test_the_owners_page_is_one_page_with_the_proof(papers: dict[str, Path]) -> None:
    with pymupdf.open(papers["proved-face-owner"]) as document:
        assert document.page_count == 1
        text = document[0].get_text()
    assert "4.2 m by lead line" in text
    assert "Sea Otter" in text


def test_a_box_is_painted_ticked_only_where_it_is(papers: dict[str, Path]) -> None:
    """What is printed counts: a box of the value "off" is empty, the one that is on holds a mark (by sight of pixels)."""
    ink: dict[bool, set[int]] = {True: set(), False: set()}
    with pymupdf.open(papers["weak-feed-record"]) as document:
        for page in document:
            for box in page.widgets():
                if box.field_type == pymupdf.PDF_WIDGET_TYPE_CHECKBOX:
                    inner = pymupdf.Rect(box.rect.x0 + 2, box.rect.y0 + 2, box.rect.x1 - 2, box.rect.y1 - 2)
                    painted = page.get_pixmap(dpi=432, clip=inner, colorspace=pymupdf.csGRAY)
                    ink[box.field_value == box.on_state()].add(sum(v < 128 for v in painted.samples))
    assert ink[False] == {0}
    assert min(ink[True]) > 10
