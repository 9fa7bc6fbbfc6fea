"""A finished PDF passes every validator, says all its text, and is the same each time."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pikepdf
import pymupdf
import pytest

import validators
from leadsman.errors import OutputError
from leadsman.press import fonts, page_numbers
from leadsman.press.gate import Refused
from leadsman.press.typeset import Typesetter, render_pdf


def refusal(typesetter: Typesetter, tmp_path: Path, html: str, css: str = "", **options: object) -> str:
    """Return the text with which a document is refused; nothing may be written."""
    out = tmp_path / "refused.pdf"
    with pytest.raises(OutputError) as caught:
        render_pdf(html, css, out=out, title="Refused", typesetter=typesetter, **options)  # type: ignore[arg-type]
    assert not list(tmp_path.iterdir())
    return str(caught.value)


def test_three_validators_find_nothing(sample_pdf: Path) -> None:
    """PDF/UA-1 (ISO 14289-1) as far as three independent programs can tell."""
    assert validators.pdf_findings(sample_pdf) == []


def test_page_references_are_true_in_print(sample_pdf: Path) -> None:
    with pymupdf.open(sample_pdf) as document:
        texts = [page.get_text() for page in document]
        destinations = document.resolve_names()
    contents = re.findall(r"^Chapter (\d)\n(\d+)$", texts[0], re.MULTILINE)
    assert len(contents) == 4
    for chapter, page in contents:
        assert destinations[f"chapter-{chapter}"]["page"] == int(page) - 1
        assert f"Chapter {chapter}: the depth is blank" in texts[int(page) - 1].replace("\n", " ")
    references = re.findall(r"chapter on page\s(\d+)", " ".join(texts))
    assert sorted(references) == sorted(page for _, page in contents)


def test_every_inside_link_lands(sample_pdf: Path) -> None:
    with pymupdf.open(sample_pdf) as document:
        links = [link for page in document for link in page.get_links()]
    inside = [link for link in links if link["kind"] in (pymupdf.LINK_GOTO, pymupdf.LINK_NAMED)]
    assert len(inside) >= 8
    assert all(link["page"] >= 0 for link in inside)


def test_links_say_where_they_lead(sample_pdf: Path) -> None:
    with pikepdf.open(sample_pdf) as pdf:
        described = {
            str(note.Contents)
            for page in pdf.pages
            for note in page.get("/Annots", [])
            if note.Subtype == "/Link"
        }
    assert {"the next chapter", "Chapter 2", "the office (https://example.org/2)"} <= described


def test_title_and_language_stand_in_the_file(sample_pdf: Path) -> None:
    with pikepdf.open(sample_pdf) as pdf:
        assert str(pdf.Root.Lang) == "en-GB"
        assert str(pdf.docinfo.Title) == "Handbook for the bench"
        assert pdf.Root.ViewerPreferences.DisplayDocTitle


def test_figure_boxes_lie_around_the_drawing(sample_pdf: Path) -> None:
    """ISO 32000-1 table 344: BBox in the page's own units, origin below left."""
    with pikepdf.open(sample_pdf) as pdf:
        figures = [e for e in pdf.objects if isinstance(e, pikepdf.Dictionary) and e.get("/S") == "/Figure"]
        assert len(figures) == 4
        for figure in figures:
            left, bottom, right, top = (float(v) for v in figure.A.BBox)
            assert (right - left, top - bottom) == pytest.approx((60, 30), abs=0.1)
            page = pikepdf.Page(figure.Pg)
            with pymupdf.open(sample_pdf) as document:
                drawn = document[page.index].get_drawings()
                hulls = [d["rect"] for d in drawn if d["type"] == "s" and d["rect"].width > 50 / 1.4]
            height = float(page.trimbox[3])
            assert any(
                left <= r.x0 and r.x1 <= right and bottom <= height - r.y1 and height - r.y0 <= top
                for r in hulls
            )


def test_page_map_gives_the_pages_of_the_engine(
    typesetter: Typesetter, sample_html: str, sample_style: str, tmp_path: Path
) -> None:
    """The memo saves time only: pages, text and links equal those with the engine's own counters."""
    first = render_pdf(sample_html, sample_style, out=tmp_path / "a.pdf", title="H", typesetter=typesetter)
    again = render_pdf(
        sample_html,
        sample_style,
        out=tmp_path / "b.pdf",
        title="H",
        typesetter=typesetter,
        page_of=first.page_of,
    )
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()
    assert first.page_of == again.page_of
    layout = typesetter.lay_out(
        sample_html.replace("data-page-of=", "data-other="),
        [sample_style, "[data-other]::before { content: target-counter(attr(data-other url), page) }"],
        title="H",
    )
    (tmp_path / "c.pdf").write_bytes(typesetter.write(layout).data)
    with pymupdf.open(tmp_path / "a.pdf") as one, pymupdf.open(tmp_path / "c.pdf") as other:
        assert [p.get_text() for p in one] == [p.get_text() for p in other]
        assert [p.get_pixmap(dpi=50).samples for p in one] == [p.get_pixmap(dpi=50).samples for p in other]


def test_a_right_page_map_needs_one_layout(
    typesetter: Typesetter, sample_html: str, sample_style: str
) -> None:
    layouts = []

    def lay_out(html: str) -> object:
        layouts.append(html)
        parsed = typesetter.engine.HTML(string=html, url_fetcher=typesetter.fetcher)
        return parsed.render(
            stylesheets=[typesetter.sheet(fonts.font_faces_css()), typesetter.sheet(sample_style)],
            font_config=typesetter.font_configuration,
        )

    _, page_of = page_numbers.render_with_page_numbers(lay_out, sample_html)
    assert len(layouts) == 2
    layouts.clear()
    page_numbers.render_with_page_numbers(lay_out, sample_html, page_of)
    assert len(layouts) == 1
    layouts.clear()
    wrong = {anchor: page + 100 for anchor, page in page_of.items()}
    assert page_numbers.render_with_page_numbers(lay_out, sample_html, wrong)[1] == page_of
    assert len(layouts) == 2


def test_numbers_in_blocks_of_their_own_are_right_after_one_layout(
    typesetter: Typesetter, tmp_path: Path
) -> None:
    """The same pages come out as when every number was known beforehand: text and pixels."""
    style = "@page { size: 80mm 60mm; margin: 5mm } .n { display: inline-block; min-width: 9mm; text-align: right } h1 { break-before: page }"
    body = '<p>See <i>far</i>, page <b class=n data-page-of="#far"></b>, and <b class=n data-page-of="#near"></b> too.</p>'
    body += (
        "<h1 id=near>Near</h1><p>Words.</p>" * 1
        + "<h1>Between</h1><p>Words.</p>" * 9
        + "<h1 id=far>Far</h1><p>End.</p>"
    )
    layouts = []

    def lay_out(html: str) -> Any:
        layouts.append(html)
        parsed = typesetter.engine.HTML(string=html, url_fetcher=typesetter.fetcher)
        sheets = [typesetter.sheet(fonts.font_faces_css() + page_numbers.PAGE_NUMBER_CSS + style)]
        return parsed.render(stylesheets=sheets, font_config=typesetter.font_configuration)

    document, page_of = page_numbers.render_with_page_numbers(lay_out, body)
    assert (len(layouts), page_of) == (1, {"near": 2, "far": 12})
    known = lay_out(page_numbers.fill_page_numbers(body, page_of))
    drawn = []
    for number, made in enumerate((document, known)):
        (tmp_path / f"{number}.pdf").write_bytes(made.write_pdf())
        page = pymupdf.open(tmp_path / f"{number}.pdf")[0]
        drawn.append((" ".join(page.get_text().split()), page.get_pixmap(dpi=120).samples))
    assert "page 12, and 2 too" in drawn[0][0]
    assert drawn[0] == drawn[1]


class _Turning:
    """A document whose anchor moves each time that it is laid out."""

    def __init__(self, number: int) -> None:
        page = type("Page", (), {"anchors": {"a": (0, 0)}, "_page_box": None})()
        blank = type("Page", (), {"anchors": {}, "_page_box": None})()
        self.pages = [*[blank] * (number % 2), page]


def test_numbers_that_never_settle_are_left_to_the_engine() -> None:
    seen: list[str] = []

    def lay_out(html: str) -> _Turning:
        seen.append(html)
        return _Turning(len(seen))

    page_numbers.render_with_page_numbers(lay_out, '<span data-page-of="#a"></span>')
    assert len(seen) == page_numbers.MOST_LAYOUTS + 1
    assert "data-page=" in seen[-2]
    assert "data-page=" not in seen[-1]


def test_lost_text_is_caught(typesetter: Typesetter, tmp_path: Path) -> None:
    """A flex column of fixed height drops its last items without a word in the log."""
    steps = "".join(f"<li>Step number {i} of the long list</li>" for i in range(60))
    html = f'<h1>Too full</h1><div class="face"><ol>{steps}</ol></div>'
    css = """
        @page { size: 105mm 148mm; margin: 8mm }
        .face { height: 100mm; display: flex; flex-direction: column }
    """
    told = refusal(typesetter, tmp_path, html, css)
    assert "text lost on the way to the page: 'Step number 59 of the long list'" in told
    assert "Step number 0 " not in told


def test_clipped_text_is_caught(typesetter: Typesetter, tmp_path: Path) -> None:
    told = refusal(
        typesetter,
        tmp_path,
        '<h1>Cut</h1><div style="height:10mm;overflow:hidden"><p style="margin-top:30mm">Mind the fuse</p></div>',
    )
    assert "Mind the fuse" in told


def test_required_texts_are_looked_for(typesetter: Typesetter, tmp_path: Path) -> None:
    told = refusal(typesetter, tmp_path, "<h1>Card</h1>", required_texts=["Card", "Superseded by revision 4"])
    assert "text lost on the way to the page: 'Superseded by revision 4'" in told
    assert "'Card'" not in told


@pytest.mark.parametrize(
    ("html", "css", "words"),
    [
        ("<h1>A ⚠ sign</h1>", "", "U+26A0"),
        ("<h1>漢</h1>", "", "U+6F22"),
        ("<h1>A</h1><p>x", "p { font-family: Garamond }", "unknown font family 'Garamond'"),
        ('<h1>A</h1><p style="font-family: monospace">x', "", "unknown font family 'monospace'"),
        ("<h1>A</h1>", "p { colour: red }", "unknown property"),
        ("<h1>A</h1>", "p { width: very }", "invalid value"),
        ("<h1>A</h1>", '@font-face { font-family: q; src: url("font://source/x.ttf") }', "declares a font"),
        (
            '<style>@font-face { font-family: q; src: local("Arial") }</style><h1>A</h1>',
            "",
            "declares a font",
        ),
        ('<h1>A</h1><p><a href="#nowhere">there</a>', "", "No anchor #nowhere"),
        ('<h1>A</h1><p><a href="#a"></a><p id="a">x', "", "has no text"),
        ('<h1>A</h1><p><a href="javascript:alert(1)">x</a>', "", "leads nowhere outside this build"),
        ('<h1>A</h1><p><a href="../notes.txt">x</a>', "", "leads nowhere outside this build"),
        ('<h1>A</h1><svg width="9" height="9"><rect width="9" height="9"/></svg>', "", "no text alternative"),
        ("<h1>A</h1><h3>B</h3>", "", "heading level skipped: h3 follows h1"),
        ("<p>A</p>", "", "no heading"),
        (
            "<h1>A</h1><table><tbody><tr><th>Fuse</th><td>3 A</td></tr></tbody></table>",
            "",
            "the header cell 'Fuse' in a table body lacks scope=\"row\"",
        ),
    ],
)
def test_faults_stop_the_build(
    typesetter: Typesetter, tmp_path: Path, html: str, css: str, words: str
) -> None:
    assert words in refusal(typesetter, tmp_path, html, css)


def test_a_refused_style_is_refused_again(typesetter: Typesetter, tmp_path: Path) -> None:
    """A faulty style must not be let through by the memory of parsed styles."""
    css = "h1 { colour: blue }"
    first = refusal(typesetter, tmp_path, "<h1>A</h1>", css)
    assert refusal(typesetter, tmp_path, "<h1>A</h1>", css) == first


def test_a_style_is_parsed_once(typesetter: Typesetter) -> None:
    assert typesetter.sheet("h1 { color: #123 }") is typesetter.sheet("h1 { color: #123 }")


def test_all_findings_come_at_once(typesetter: Typesetter, tmp_path: Path) -> None:
    html = '<h1>A</h1><img src="https://example.org/a.png" alt="a"><p style="font-family: serif">x ☃'
    with pytest.raises(Refused) as caught:
        render_pdf(html, out=tmp_path / "x.pdf", title="X", typesetter=typesetter)
    text = str(caught.value)
    assert text.startswith("x.pdf was not written:\n  ")
    for words in ("refused address https://example.org/a.png", "'serif'"):
        assert words in text


def test_whole_documents_must_agree_on_title_and_language(typesetter: Typesetter, tmp_path: Path) -> None:
    whole = '<!DOCTYPE html><html lang="{}"><head><title>{}</title></head><body><h1>A</h1></body></html>'
    assert "language en-GB" in refusal(typesetter, tmp_path, whole.format("de", "Refused"))
    assert "another <title>" in refusal(typesetter, tmp_path, whole.format("en-GB", "Else"))
    done = render_pdf(
        whole.format("en-GB", "Q &amp; A"), out=tmp_path / "a.pdf", title="Q & A", typesetter=typesetter
    )
    with pikepdf.open(done.path) as pdf:
        assert str(pdf.docinfo.Title) == "Q & A"


def test_bleed_box_is_trim_plus_bleed(typesetter: Typesetter, tmp_path: Path) -> None:
    """3 mm is 8.504 pt; the marks need more room than the bleed, so the page has 10 mm of it."""
    css = "@page { size: 105mm 148mm; margin: 10mm; bleed: 10mm; marks: crop cross }"
    done = render_pdf(
        "<h1>Card</h1>", css, out=tmp_path / "a.pdf", title="Card", bleed_mm=3, typesetter=typesetter
    )
    with pikepdf.open(done.path) as pdf:
        trim, bleed = ([float(v) for v in box] for box in (pdf.pages[0].TrimBox, pdf.pages[0].BleedBox))
    assert [a - b for a, b in zip(trim, bleed, strict=True)] == pytest.approx(
        [8.504, 8.504, -8.504, -8.504], abs=2e-3
    )
    assert trim[2] - trim[0] == pytest.approx(105 / 25.4 * 72, abs=1e-3)
    assert validators.pdf_findings(done.path) == []


def test_missing_bleed_is_refused(typesetter: Typesetter, tmp_path: Path) -> None:
    told = refusal(typesetter, tmp_path, "<h1>Card</h1>", "@page { bleed: 2mm }", bleed_mm=3)
    assert "page 1: the page has no bleed of 3 mm" in told


def test_a_torn_off_caption_is_refused(typesetter: Typesetter, tmp_path: Path) -> None:
    table = "<table><caption>Voltages</caption><thead><tr><th>A</th></tr></thead><tbody><tr><td>1</td></tr></tbody>"
    html = f'<h1>A</h1><div style="height:{{}}mm"></div>{table}</table>'
    css = "@page { size: 100mm 100mm; margin: 0 } table { break-inside: avoid }"
    assert any(
        "caption of a table stands on another page" in _told(typesetter, tmp_path, html.format(height), css)
        for height in range(70, 90)
    )


def _told(typesetter: Typesetter, tmp_path: Path, html: str, css: str) -> str:
    try:
        render_pdf(html, css, out=tmp_path / "a.pdf", title="A title", typesetter=typesetter)
    except OutputError as error:
        return str(error)
    return ""


def test_a_right_document_follows_a_refused_one(typesetter: Typesetter, tmp_path: Path) -> None:
    """Nothing of a refusal stays in the reused engine."""
    refusal(typesetter, tmp_path, '<h1>A</h1><img src="http://127.0.0.1:9/x.png" alt="x">')
    assert render_pdf("<h1>A</h1>", out=tmp_path / "a.pdf", title="A", typesetter=typesetter).page_count == 1


def test_the_earlier_file_survives_a_refusal(typesetter: Typesetter, tmp_path: Path) -> None:
    out = tmp_path / "deck.pdf"
    out.write_bytes(b"the earlier edition")
    with pytest.raises(Refused):
        render_pdf("<p>no heading</p>", out=out, title="Deck", typesetter=typesetter)
    assert out.read_bytes() == b"the earlier edition"
    assert list(tmp_path.iterdir()) == [out]


def test_form_fields_keep_what_is_typed(sample_pdf: Path, tmp_path: Path) -> None:
    with pymupdf.open(sample_pdf) as document:
        fields = {w.field_name: w for page in document for w in page.widgets()}
        assert {"serial", "proved"} == set(fields)
        assert fields["serial"].field_label == "Serial number"
    with pymupdf.open(sample_pdf) as document:
        for page in document:
            for widget in page.widgets():
                widget.field_value = True if widget.field_name == "proved" else "AB-1204"
                widget.update()
        document.save(tmp_path / "filled.pdf")
    with pymupdf.open(tmp_path / "filled.pdf") as document:
        assert "AB-1204" in "".join(page.get_text() for page in document)
