"""Rules on tags, on files whose tags, fonts or metadata are damaged after they were made.

ISO 14289-1:2014 (PDF/UA-1) is the measure; the undamaged file is passed by three outside validators elsewhere.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pikepdf
import pymupdf
import pytest
from pikepdf import Array, Dictionary, Name

from inspection import making


def _elements(node: Any) -> Iterator[Any]:
    if isinstance(node, Array):
        for kid in node:
            yield from _elements(kid)
    elif isinstance(node, Dictionary) and "/S" in node:
        yield node
        yield from _elements(node.get("/K"))


def _first(pdf: pikepdf.Pdf, tag: str) -> Any:
    return next(e for e in _elements(pdf.Root.StructTreeRoot.K) if tag == e.S)


def _untag(pdf: pikepdf.Pdf) -> None:
    page = pdf.pages[0]
    page.Contents = pdf.make_stream(page.Contents.read_bytes() + b"\n10 10 20 20 re f\n")


def _no_metadata(pdf: pikepdf.Pdf) -> None:
    del pdf.Root.Metadata


def _no_title_shown(pdf: pikepdf.Pdf) -> None:
    del pdf.Root["/ViewerPreferences"]


def _no_language(pdf: pikepdf.Pdf) -> None:
    del pdf.Root["/Lang"]


def _cell_in_table(pdf: pikepdf.Pdf) -> None:
    _first(pdf, "/TR").S = Name.Div


def _item_without_body(pdf: pikepdf.Pdf) -> None:
    _first(pdf, "/LBody").S = Name.Div


def _no_tab_order(pdf: pikepdf.Pdf) -> None:
    for page in pdf.pages:
        if "/Tabs" in page:
            del page["/Tabs"]


def _no_font_file(pdf: pikepdf.Pdf) -> None:
    for font in pdf.pages[0].Resources.Font.values():
        descriptor = font.DescendantFonts[0].FontDescriptor
        if "/FontFile2" in descriptor:
            del descriptor["/FontFile2"]


def _suspects(pdf: pikepdf.Pdf) -> None:
    pdf.Root.MarkInfo.Suspects = True


def _other_font(pdf: pikepdf.Pdf) -> None:
    for font in pdf.pages[0].Resources.Font.values():
        font.BaseFont = Name("/ABCDEF+SomethingElse")


def _order_turned(pdf: pikepdf.Pdf) -> None:
    section = next(e for e in _elements(pdf.Root.StructTreeRoot.K) if e.S == "/Sect" and len(e.K) > 3)
    section.K = Array(list(reversed(list(section.K))))


BROKEN: dict[str, Callable[[pikepdf.Pdf], None]] = {
    "PD-01": _untag,
    "PD-03": _no_metadata,
    "PD-04": _no_title_shown,
    "PD-05": _no_language,
    "PD-08": _cell_in_table,
    "PD-10": _item_without_body,
    "PD-12": _no_tab_order,
    "PD-13": _no_font_file,
    "PD-17": _suspects,
    "PD-23": _order_turned,
    "FN-01": _other_font,
}


@pytest.fixture(scope="module")
def sample() -> bytes:
    return making.pdf(making.BOOK, making.BOOK_CSS)


@pytest.mark.parametrize("name", list(BROKEN))
def test_damage_to_the_tags_is_found(tmp_path: Path, sample: bytes, name: str) -> None:
    whole = making.outcome(name, "handbook", making.read(sample, tmp_path))
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(sample)) as pdf:
        BROKEN[name](pdf)
        pdf.save(out)
    damaged = making.outcome(name, "handbook", making.read(out.getvalue(), tmp_path))

    assert whole.verdict == "kept"
    assert damaged.breaches, f"{name} was not found broken in {damaged.looked_at} places"


def test_a_file_without_any_tags_is_read(tmp_path: Path) -> None:
    """Made by another program: its letters and sizes are read all the same, its tags are missed."""
    document: Any = pymupdf.open()  # type: ignore[no-untyped-call]
    document.new_page(width=298, height=420).insert_text((72, 72), "No tags here", fontsize=11)
    path = tmp_path / "other.pdf"
    path.write_bytes(document.tobytes())
    file = making.read(path.read_bytes(), tmp_path)

    (run,) = file.runs
    assert (run.text, run.size_pt) == ("No tags here", 11.0)
    # A place of 72 pt is one inch.
    assert run.box.left == pytest.approx(25.4, abs=0.01)
    assert making.outcome("PD-01", "deck", file).breaches
    assert making.outcome("PD-13", "deck", file).breaches
    assert making.outcome("PD-17", "deck", file).breaches
