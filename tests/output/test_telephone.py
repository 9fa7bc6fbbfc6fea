"""The telephone book as finished files: landscape A4 and Letter, an EPUB, and the rules of the printed page kept."""

from __future__ import annotations

import dataclasses
import re
from pathlib import Path

import pymupdf
import pytest

import built
import validators
from leadsman.inspection import publish
from leadsman.output import call_page, telephone
from leadsman.output.call_page import Arrangement
from leadsman.output.templating import stylesheet
from leadsman.press.typeset import Typesetter
from leadsman.store import Store

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


def test_arrangements_are_estimated_with_the_measures_of_the_style_sheet() -> None:
    """Each width that is tried is one that the sheet sets, with the same gap, margins, columns and lines."""
    css = (built.ROOT / "templates/css/telephone.css").read_text(encoding="utf-8")

    def number(pattern: str) -> float:
        (found,) = re.findall(pattern, css)
        return float(found)

    widths = dict(re.findall(r"\.split-(\d+) \.ask \{ width: ([\d.]+)% \}", css))
    margins = dict(re.findall(r"\.split-(\d+) \.ends \{ margin-left: ([\d.]+)% \}", css))
    assert {int(split) for split in widths} == {int(split) for split in margins} == set(call_page.SPLITS)
    for split in call_page.SPLITS:
        assert float(widths[str(split)]) == split
        assert float(margins[str(split)]) - split == pytest.approx(100 * call_page._GAP)
    top, right, foot, left = map(
        float, re.findall(r"@page \{ margin: (\d+)mm (\d+)mm (\d+)mm (\d+)mm", css)[0]
    )
    assert right + left == call_page._MARGINS_MM
    assert top + foot == call_page._TOP_AND_FOOT_MM
    assert number(r"\.steps th:nth-child\(1\) \{ width: (\d+)mm") == call_page._NUMBER_MM
    assert number(r"\.steps th:nth-child\(2\) \{ width: (\d+)%") == 100 * call_page._SAY
    size_pt, pitch = map(float, re.findall(r"body \{ font: 400 (\d+)pt/([\d.]+)", css)[0])
    assert size_pt * pitch * built.MM_PER_PT == pytest.approx(call_page._LINE_MM, abs=0.001)


@pytest.mark.parametrize("paper", ["a", "us"])
def test_each_of_the_three_calls_fills_one_page(files: dict[str, Path], paper: str) -> None:
    """The page begins with its code and the danger words, and ends with the menu paths."""
    with pymupdf.open(files[paper]) as document:
        pages = [
            page
            for page in document
            if page.search_for("The answer means") and not page.search_for("First of all")
        ]
        assert len(pages) == 3
        for page, title in zip(
            pages, ("Depth never appeared", "Restarts on transmit", "Streaks or snow"), strict=True
        ):
            for wanted in (title, "WARNING" if page.search_for("WARNING") else "DANGER"):
                assert page.search_for(wanted)[0].y1 < page.search_for("The answer means")[0].y0, wanted
            for family in ("Holm", "Skerry", "Tideway"):
                assert page.search_for(f"Read out, {family}:"), family


@pytest.mark.parametrize("display", ["Holm", "Skerry", "Tideway"])
def test_a_display_has_its_menus_letter_for_letter(files: dict[str, Path], display: str) -> None:
    """Each name as on the screen; spelt is what the ear takes for another word. Alphabet: ITU Radio Regulations,
    appendix 14 (from memory)."""
    catalogue, _ = built.content()
    family = next(f for f in catalogue.families.values() if f.name == display)
    with pymupdf.open(files["a"]) as document:
        (text,) = (
            t for t in (" ".join(p.get_text().split()) for p in document) if f"Display: {display}" in t
        )
    plain = re.sub(r" ?\((?:[A-Z](?:-[A-Z])+|plus sign)\)", "", text)
    for task, names in family.menus.items():
        record = catalogue.records["tasks"][task]
        wanted = f"{record.noun or record.name}: {' › '.join(str(name) for name in names)}"
        assert (wanted in plain) == bool(record.owner_may), task
    spelt = re.findall(r"(\S+(?: key)?) \(([A-Z](?:-[A-Z])+)\)", text)
    assert spelt
    for name, letters in spelt:
        assert letters.replace("-", "") in name.upper().split()
    assert "A Alfa, B Bravo" in text
    assert "Z Zulu" in text


def test_a_call_holds_danger_words_menu_paths_and_three_ends(files: dict[str, Path]) -> None:
    with pymupdf.open(files["a"]) as document:
        text = " ".join("".join(page.get_text() for page in document).split())
    for wanted in ("Touch no switch", "Read out, Skerry: LIST key ›", "Sounding › Strength › Self-set", "Solved, with its proof",
                   "Come in, if the boat can travel", "I come, if not, and bring this", "cause named here in 37",
                   "Not until then", "Reach of each band", "No depth since it was switched on"):  # fmt: skip
        assert wanted in text, wanted


def test_tables_that_a_note_names_lie_beside_the_telephone() -> None:
    """D5's summer table sends to the winter one in its notes, a note of D6 to the share of the sound speed."""
    catalogue, _ = built.content()
    edition = catalogue.editions["telephone-book"].model_copy(
        update={"entries": ["no-bottom-deep", "wrong-by-constant"]}
    )
    book = telephone.telephone_book(edition, catalogue, built.ROOT / "templates")
    held = re.findall(r'<h2 id="table-([^"]+)"', book.tables)
    assert {"deepest-depth", "deepest-depth-winter", "depth-bias"} <= set(held)
    assert len(held) == len(set(held))
    assert set(re.findall(r'href="#table-([^"]+)"', book.tables)) == {"deepest-depth-winter"}


def test_the_foot_of_a_table_does_not_name_the_last_display(files: dict[str, Path]) -> None:
    with pymupdf.open(files["a"]) as document:
        pages = [page.get_text() for page in document]
    first = next(n for n, text in enumerate(pages) if "Tables for calls" in text)
    assert all("Display:" in text for text in pages[first - 3 : first])
    assert not any("Display:" in text for text in pages[first:])


def test_a_height_is_kept_whatever_else_is_measured(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A call that was measured after another is known when it is measured alone; all in the edition's language."""
    catalogue, _ = built.content()
    templates = built.ROOT / "templates"
    edition = catalogue.editions["telephone-book"].model_copy(update={"entries": LOOKED_AT})
    book = telephone.telephone_book(edition, catalogue, templates)
    engine = Typesetter(templates, store=Store(tmp_path / "store"))
    css = [stylesheet(templates, "tokens", "telephone")]
    wanted = [(n, Arrangement(split, below)) for n in (0, 1) for split, below in ((70, False), (70, True))]
    heights = telephone._measured(book, wanted, css, engine)
    assert list(heights) == wanted
    assert len(set(heights.values())) == len(wanted)
    languages = set()
    real = engine.lay_out

    def lay_out(html: str, *given: object, **named: object) -> object:
        languages.add(named["language"])
        return real(html, *given, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(engine, "lay_out", lay_out)
    assert telephone._measured(book, wanted[:0:-1], css, engine) == {k: heights[k] for k in wanted[:0:-1]}
    assert languages == set(), "measured again"
    foreign = dataclasses.replace(book, edition=edition.model_copy(update={"language": "de"}))
    telephone._measured(foreign, wanted[:1], css, engine)
    assert languages == {"de"}


def test_the_pdf_is_tagged_as_it_should_be(files: dict[str, Path]) -> None:
    """PDF/UA-1 (ISO 14289-1) by machine."""
    assert validators.pdf_findings(files["a"], skip=built.HANDBOOK_WAIVERS) == []
