"""What counts as lost text, and what is only laid out differently."""

from __future__ import annotations

from pathlib import Path

import pytest
import tinyhtml5
from hypothesis import given
from hypothesis import strategies as st

from leadsman.press import completeness
from leadsman.press.typeset import Typesetter, render_pdf


def runs(body: str) -> list[str]:
    """Return the runs of text of a piece of HTML."""
    return completeness.source_texts(tinyhtml5.parse(body, namespace_html_elements=False))


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ("<p>Switch <b>the unit</b> on.</p><p>Wait.</p>", ["Switch the unit on.", "Wait."]),
        ("<ul><li>One<ul><li>Inner</ul>rest<li>Two</ul>", ["One", "Inner", "rest", "Two"]),
        ("<table><tr><th>A<td>1<tr><th>B<td>2</table>", ["A", "1", "B", "2"]),
        ("<p>Line<br>break", ["Line", "break"]),
        ("<p>on page <span data-page-of='#x'></span>, then", ["on page", ", then"]),
        ("<p hidden>secret<p>seen<!-- not this --> too", ["seen too"]),
        ("<title>T</title><style>p{}</style><svg><text>drawn</text></svg>after", ["after"]),
        ("<select><option>a</select><button>b</button><textarea>c</textarea><label>L</label>", ["L"]),
        ("", []),
    ],
)
def test_runs_of_the_source(body: str, expected: list[str]) -> None:
    assert runs(body) == expected


def test_layout_may_change_these_and_nothing_else() -> None:
    normalised = completeness.normalised
    assert normalised("ﬁrst") == normalised("FIRST")
    assert normalised("discon\u00adnect") == normalised("discon-\nnect")
    assert normalised("m²") == normalised("m2")
    assert normalised("0.15 V") != normalised("0.51 V")


@given(st.text(max_size=60))
def test_normalising_twice_changes_nothing(text: str) -> None:
    once = completeness.normalised(text)
    assert completeness.normalised(once) == once


@pytest.fixture(scope="module")
def long_pdf(typesetter: Typesetter, tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, list[str]]:
    """Return a file whose paragraphs run over page breaks between running heads, and its paragraphs."""
    words = (
        "The echo comes back from the bottom after twice the depth divided by the speed of sound number {}."
    )
    paragraphs = [" ".join(words.format(10 * i + k) for k in range(9)) for i in range(12)]
    html = "<h1>Echo</h1>" + "".join(f"<p>{text}</p>" for text in paragraphs)
    css = "@page { size: 80mm 60mm; margin: 12mm; @top-left { content: 'Echo' } @bottom-left { content: 'Revision 3' } }"
    out = tmp_path_factory.mktemp("long") / "a.pdf"
    render_pdf(html, css, out=out, title="A long text", typesetter=typesetter)
    return out.read_bytes(), paragraphs


def test_text_over_page_breaks_is_found(long_pdf: tuple[bytes, list[str]]) -> None:
    pdf, paragraphs = long_pdf
    pages = completeness.page_texts(pdf)
    assert any(not any(completeness.normalised(p) in page for page in pages) for p in paragraphs)
    assert completeness.missing_texts(pdf, paragraphs) == []


def test_changed_or_repeated_text_is_missing(long_pdf: tuple[bytes, list[str]]) -> None:
    pdf, paragraphs = long_pdf
    changed = paragraphs[3].replace("number 34", "number 43")
    assert completeness.missing_texts(pdf, [changed]) == [changed]
    once = "number 57."
    assert completeness.missing_texts(pdf, [once]) == []
    assert completeness.missing_texts(pdf, [once, once]) == [once]


def test_two_that_run_over_are_counted(long_pdf: tuple[bytes, list[str]]) -> None:
    """A text that runs over a page break once is not found twice."""
    pdf, paragraphs = long_pdf
    assert completeness.missing_texts(pdf, [*paragraphs, *paragraphs]) == paragraphs


def test_hyphens_ligatures_and_capitals_are_no_loss(typesetter: Typesetter, tmp_path: Path) -> None:
    text = "Disconnecting an unidentifiable transducer configuration offline is inefficient. " * 4
    css = "@page { size: 50mm 90mm; margin: 8mm } p { hyphens: auto; text-transform: uppercase }"
    html = f"<h1>Find</h1><p>{text}</p><p style='text-transform: none'>{text}</p>"
    done = render_pdf(html, css, out=tmp_path / "a.pdf", title="A narrow text", typesetter=typesetter)
    assert completeness.missing_texts(done.path.read_bytes(), [text, text]) == []


def test_like_texts_do_not_hide_one_that_breaks_off(typesetter: Typesetter, tmp_path: Path) -> None:
    """Many texts with the same beginning, some of them over a page break: none is missing, and a lost one is."""
    places = ("Harrow Bank", "Lake Vessany", "Tolmer Estuary")
    lines = [f"; Which band serves where, {places[n % 3]}, page" for n in range(90)]
    marks = [f'{line} <span data-page-of="#end"></span>' for line in lines]
    body = f"<h1>Tables</h1><p>{''.join(marks)}</p><p id=end>End</p>"
    for width in range(60, 90, 10):
        style = f"@page {{ size: {width}mm 60mm; margin: 15mm 5mm; @top-left {{ content: 'Tables' }} }} p {{ margin: 0 }}"
        style += " body { font: 10pt 'Leadsman Text' } h1 { font: 700 12pt 'Leadsman Head' }"
        pdf = render_pdf(body, style, out=tmp_path / "a.pdf", title="Tables", typesetter=typesetter)
        assert pdf.page_count > 3
    data = (tmp_path / "a.pdf").read_bytes()
    assert completeness.missing_texts(data, [*lines, lines[0]]) == [lines[0]]
