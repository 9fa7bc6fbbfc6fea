"""Every picture in a small PDF and a small EPUB, held against the outside validators."""

import datetime
from pathlib import Path

import pytest

import built
import drawn
import validators
from leadsman.press.completeness import normalised
from leadsman.press.epub import Chapter, Metadata, write_epub
from leadsman.press.typeset import Typesetter, render_pdf

#: As wide as the text of a half sheet.
STYLE = "@page { size: A5; margin: 14mm } svg { overflow: visible; vertical-align: bottom; max-width: 100%; height: auto }"


@pytest.fixture(scope="module")
def pages() -> str:
    """Return all pictures, each below its heading."""
    return "<h1>Pictures</h1>" + "".join(
        f'<h2 id="picture-{figure.id}">{figure.title}</h2>{figure.svg}<p>{figure.caption}</p>'
        for figure in drawn.everything().values()
    )


def test_a_pdf_of_all_pictures_passes_and_each_has_its_alternative(
    pages: str, typesetter: Typesetter, tmp_path: Path
) -> None:
    """PDF/UA-1 (ISO 14289-1), 7.3: a figure has an alternate description."""
    out = tmp_path / "pictures.pdf"
    render_pdf(pages, STYLE, out=out, title="Pictures of the handbook", typesetter=typesetter)
    assert validators.pdf_findings(out) == []
    alternatives = [normalised(text) for text in built.figure_alternatives(out)]
    assert alternatives == [normalised(f"{f.title}. {f.text}") for f in drawn.everything().values()]


def test_an_epub_takes_all_pictures(pages: str, tmp_path: Path) -> None:
    """EPUB 3.3 by epubcheck."""
    out = tmp_path / "pictures.epub"
    metadata = Metadata(
        creator="Workshop",
        publisher="Workshop",
        description="Pictures.",
        date="2026-11-25",
        access_modes=("textual", "visual"),
        access_modes_sufficient=("textual",),
        features=("tableOfContents", "readingOrder", "structuralNavigation", "alternativeText"),
        hazards=("none",),
        summary="Every picture has a text that says the same.",
    )
    write_epub(
        out,
        identifier="urn:uuid:5f3c2a52-5a37-4f2a-9d63-0b6b0f8f9c11",
        title="Pictures",
        language="en-GB",
        modified=datetime.datetime(2026, 11, 25, tzinfo=datetime.UTC),
        chapters=[Chapter("pictures", "pictures.xhtml", "Pictures", pages)],
        css="svg { max-width: 100%; height: auto }",
        metadata=metadata,
    )
    assert validators.run_epubcheck(out) == []
