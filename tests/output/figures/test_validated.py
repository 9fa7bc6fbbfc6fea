"""Every picture in a small PDF, held against the outside validators; in an EPUB: test_handbook_epub.py."""

from pathlib import Path

import pytest

import built
import drawn
import validators
from leadsman.press.completeness import normalised
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
