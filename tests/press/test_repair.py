"""What the engine leaves undone, that it still does, and that each repair mends its part of it."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from pikepdf import Dictionary, Name

import validators
from leadsman.press import boxes, typeset
from leadsman.press.repair import repair
from leadsman.press.typeset import Layout, Typesetter


@pytest.fixture(scope="module")
def layout(typesetter: Typesetter, sample_html: str, sample_style: str) -> Layout:
    """Return the document with everything, laid out."""
    return typesetter.lay_out(sample_html, sample_style, title="Handbook for the bench")


@pytest.fixture(scope="module")
def raw(layout: Layout) -> bytes:
    """Return it as the engine writes it."""
    with typeset.fixed_font_date():
        return bytes(layout.document.write_pdf(pdf_variant="pdf/ua-1", pdf_forms=True))


@pytest.fixture(scope="module")
def texts(layout: Layout) -> list[list[str]]:
    """Return the texts of its links."""
    return boxes.link_texts(layout.document)


def elements(pdf: pikepdf.Pdf) -> Iterator[Any]:
    """Yield each structure element that the tree reaches."""
    waiting = [pdf.Root.StructTreeRoot.K]
    while waiting:
        node = waiting.pop()
        if isinstance(node, pikepdf.Array):
            waiting.extend(list(node)[::-1])
        elif isinstance(node, Dictionary) and "/S" in node:
            yield node
            waiting.append(node.get("/K", pikepdf.Array()))


def test_the_engine_still_needs_each_repair(raw: bytes, tmp_path: Path) -> None:
    """WeasyPrint 70.0: when one of these is gone, its repair can go too."""
    path = tmp_path / "raw.pdf"
    path.write_bytes(raw)
    found = " ".join(validators.pdf_findings(path))
    for rule in ("UA-15-003", "LNK-004", "LST-002", "PAG-001", "TAG-020", "LINK-LINK-TAG"):
        assert rule in found, rule


def test_each_repair_is_made(raw: bytes, texts: list[list[str]]) -> None:
    done = repair(raw, link_texts=texts)
    assert done.findings == []
    assert set(done.counts) == {
        "empty elements removed",
        "figure boxes moved to page space",
        "form appearances added",
        "header scopes set",
        "id trees added",
        "links described",
        "list bodies made",
        "nested link annotations removed",
        "running texts made artifacts",
    }


def test_the_same_bytes_in_give_the_same_bytes_out(raw: bytes, texts: list[list[str]]) -> None:
    assert repair(raw, link_texts=texts).data == repair(raw, link_texts=texts).data


def test_a_mended_file_needs_nothing_more(raw: bytes, texts: list[list[str]]) -> None:
    once = repair(raw, link_texts=texts).data
    with pikepdf.open(io.BytesIO(once)) as pdf:
        kept = [
            [
                str(note.Contents).partition(" (http")[0]
                for note in page.get("/Annots", [])
                if note.Subtype == "/Link"
            ]
            for page in pdf.pages
        ]
    again = repair(once, link_texts=kept)
    assert again.findings == []
    for what in ("empty elements removed", "running texts made artifacts", "list bodies made"):
        assert what not in again.counts


def test_running_heads_are_artifacts_and_text_is_not(raw: bytes, texts: list[list[str]]) -> None:
    """ISO 14289-1, 7.1: real content is tagged, everything else is an artifact."""
    with pikepdf.open(io.BytesIO(repair(raw, link_texts=texts).data)) as pdf:
        reached = {e.objgen for e in elements(pdf)}
        numbers = pdf.Root.StructTreeRoot.ParentTree.Nums
        owners = {int(numbers[i]): numbers[i + 1] for i in range(0, len(numbers), 2)}
        for page in pdf.pages:
            pagination = 0
            for instruction in pikepdf.parse_content_stream(page):
                if str(instruction.operator) != "BDC":
                    continue
                tag, properties = instruction.operands
                if tag == Name.Artifact:
                    pagination += properties.get("/Type") == "/Pagination"
                else:
                    owner = owners[int(page.StructParents)][int(properties.MCID)]
                    assert owner.objgen in reached
            assert pagination >= 1


@pytest.mark.parametrize(
    "items",
    [
        "<li>Plain",
        "<li>Text<p>and a block",
        "<li><p>A block</p>and text",
        "<li><p>One</p><p>Two</p>",
        "<li>Text<ul><li>inner<p>block</ul>",
        '<li style="list-style-position: outside">Outside<p>and a block',
        '<li style="list-style: none">No marker<p>and a block',
        "<li><h2>Heading</h2>text",
    ],
)
def test_list_items_are_label_and_body(typesetter: Typesetter, tmp_path: Path, items: str) -> None:
    """ISO 32000-1, 14.8.4.3.3: LI holds Lbl and LBody and nothing else."""
    done = typeset.render_pdf(
        f"<h1>A</h1><ol>{items}</ol>",
        out=tmp_path / "a.pdf",
        title="Lists of all sorts",
        typesetter=typesetter,
    )
    with pikepdf.open(done.path) as pdf:
        found = [e for e in elements(pdf) if e.S == "/LI"]
        assert found
        for item in found:
            kinds = [str(kid.S) for kid in item.K]
            assert kinds in (["/Lbl", "/LBody"], ["/LBody"])
        assert all(e.P.S == "/LI" for e in elements(pdf) if e.S in ("/Lbl", "/LBody"))
    assert validators.page_findings(done.path) == []


def test_header_cells_head_columns_and_rows(raw: bytes, texts: list[list[str]]) -> None:
    with pikepdf.open(io.BytesIO(repair(raw, link_texts=texts).data)) as pdf:
        cells = [e for e in elements(pdf) if e.S == "/TH"]
        by_part = {(str(cell.P.P.S), str(cell.A.Scope)) for cell in cells}
        assert by_part == {("/THead", "/Column"), ("/TBody", "/Row")}
        names = pdf.Root.StructTreeRoot.IDTree.Names
        keys = [bytes(names[i]) for i in range(0, len(names), 2)]
        assert keys == sorted(keys)
        assert len(keys) == len(set(keys)) == len(cells)


def test_one_annotation_for_a_link_with_parts(raw: bytes, texts: list[list[str]]) -> None:
    """The engine makes one for the <b> inside the <a> as well."""
    with (
        pikepdf.open(io.BytesIO(raw)) as before,
        pikepdf.open(io.BytesIO(repair(raw, link_texts=texts).data)) as after,
    ):
        count = [
            sum(note.Subtype == "/Link" for page in pdf.pages for note in page.get("/Annots", []))
            for pdf in (before, after)
        ]
        assert count[0] - count[1] == 4
        ids = {int(note.StructParent) for page in after.pages for note in page.get("/Annots", [])}
        numbers = after.Root.StructTreeRoot.ParentTree.Nums
        keys = {int(numbers[i]) for i in range(0, len(numbers), 2)}
        assert keys == ids | set(range(len(after.pages)))


def test_every_annotation_prints(raw: bytes, texts: list[list[str]]) -> None:
    """ISO 32000-1 table 165: bit 3 of F."""
    with pikepdf.open(io.BytesIO(repair(raw, link_texts=texts).data)) as pdf:
        notes = [note for page in pdf.pages for note in page.get("/Annots", [])]
        assert notes
        assert all(int(note.F) & 4 for note in notes)


def test_link_texts_that_do_not_fit_are_a_finding(raw: bytes, texts: list[list[str]]) -> None:
    findings = repair(raw, link_texts=[texts[0][:-1], *texts[1:]]).findings
    assert findings == [f"page 1: {len(texts[0])} links but {len(texts[0]) - 1} link texts"]


def test_a_foreign_font_is_a_finding(raw: bytes, texts: list[list[str]]) -> None:
    """A character that fell through to a font of the machine shows in the name of the font."""
    with pikepdf.open(io.BytesIO(raw)) as pdf:
        for item in pdf.objects:
            if isinstance(item, Dictionary) and item.get("/Type") == "/FontDescriptor":
                item.FontName = Name("/ABCDEF+Some-Other-Sans")
                break
        changed = io.BytesIO()
        pdf.save(changed)
    assert repair(changed.getvalue(), link_texts=texts).findings == [
        "a text is set in the font ABCDEF+Some-Other-Sans, which no style names"
    ]


def test_a_figure_without_words_is_a_finding_and_stays(raw: bytes, texts: list[list[str]]) -> None:
    """It must not be hidden as decoration."""
    with pikepdf.open(io.BytesIO(raw)) as pdf:
        figure = next(e for e in elements(pdf) if e.S == "/Figure")
        number = pikepdf.Page(figure.Pg).index + 1
        del figure.Alt
        changed = io.BytesIO()
        pdf.save(changed)
    done = repair(changed.getvalue(), link_texts=texts)
    assert done.findings == [f"page {number}: a picture has no text alternative (alt or <title>)"]
    with pikepdf.open(io.BytesIO(done.data)) as pdf:
        assert sum(e.S == "/Figure" for e in elements(pdf)) == 4
