"""The telephone book as finished files: landscape A4 and Letter, an EPUB, and the rules of the printed page kept."""

from __future__ import annotations

from pathlib import Path

import pymupdf
import pytest

import built
import validators
from leadsman.inspection import publish
from leadsman.output import telephone
from leadsman.press.typeset import Typesetter

LOOKED_AT = ["depth-never-appeared", "restarts-on-transmit", "noise-streaks"]


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """A book of three conditions on both papers, and as EPUB."""
    catalogue, _ = built.content()
    out, templates = tmp_path_factory.mktemp("telephone"), built.ROOT / "templates"
    engine, made = Typesetter(templates), {}
    for paper in ("a", "us"):
        edition = catalogue.editions["telephone-book"].model_copy(
            update={"entries": LOOKED_AT, "paper": paper}
        )
        book = telephone.telephone_book(edition, catalogue, templates)
        made[paper] = telephone.write_pdf(
            book, out=out / f"{paper}.pdf", templates=templates, typesetter=engine
        ).path
    made["epub"] = telephone.write_epub_book(book, out=out / "book.epub", templates=templates).path
    return made


@pytest.mark.parametrize("form", ["a", "us", "epub"])
def test_no_rule_that_must_be_kept_is_broken(files: dict[str, Path], form: str) -> None:
    assert list(publish.findings([files[form]])) == []


def test_the_paper_lies_on_its_side(files: dict[str, Path]) -> None:
    """ISO 216 A4; Letter is 11 x 8.5 in (ANSI/ASME Y14.1 A)."""
    for paper, size_mm in (("a", (297.0, 210.0)), ("us", (279.4, 215.9))):
        with pymupdf.open(files[paper]) as document:
            for page in document:
                assert (
                    page.rect.width * built.MM_PER_PT,
                    page.rect.height * built.MM_PER_PT,
                ) == pytest.approx(size_mm, abs=0.1)


def test_a_call_holds_danger_words_menu_paths_and_three_ends(files: dict[str, Path]) -> None:
    with pymupdf.open(files["a"]) as document:
        text = " ".join("".join(page.get_text() for page in document).split())
    for wanted in ("Touch no switch", "LIST key > Sounding > Strength > Self-set", "Solved, with its proof", "Come in",
                   "I come, and bring this", "names the cause in 37 of a hundred calls", "Not until then"):  # fmt: skip
        assert wanted in text, wanted


def test_the_pdf_is_tagged_as_it_should_be(files: dict[str, Path]) -> None:
    """PDF/UA-1 (ISO 14289-1) by machine."""
    assert validators.pdf_findings(files["a"], skip=built.HANDBOOK_WAIVERS) == []
