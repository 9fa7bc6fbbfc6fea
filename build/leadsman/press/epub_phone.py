"""What a small screen needs beyond the HTML of the print edition: room for tables, and pictures in any font.

A table keeps its columns, so that on a phone it may be wider than the page; and a picture is drawn for the
narrow type of the print edition, which a reader's device does not have.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Any

import pymupdf

from leadsman.press import xhtml
from leadsman.press.fonts import FACES, HEAD, font_bytes

SCROLLING = "scroll"
#: Tables of more columns stand row below row on a narrow screen, each cell with its head before it.
MOST_COLUMNS = 3
STACKED = "stacked"
_SIZE = re.compile(r"([\d.]+)(px)?")
_WEIGHTS = {"normal": 400, "bold": 700}


def fit(body: Any) -> None:
    """Change the body of a chapter in place: a box around each table, a width for each text of a picture.

    A header cell without words becomes a plain cell, since there is nothing in it to read out.
    """
    for cell in list(body.iter(f"{{{xhtml.XHTML}}}th")):
        if not "".join(cell.itertext()).strip():
            cell.tag = f"{{{xhtml.XHTML}}}td"
            cell.attrib.pop("scope", None)
    tables = list(body.iter(f"{{{xhtml.XHTML}}}table"))
    taken = {element.get("id") for element in xhtml.elements(body)}
    for number, table in enumerate(tables, start=1):
        _give_heads(table)
        _give_box(table, number, taken)
    for text in list(body.iter(f"{{{xhtml.SVG}}}text")):
        _give_width(text)


def _give_heads(table: Any) -> None:
    """Put the head of its column before each cell of a wide table, for a screen on which it is stacked."""
    heads: dict[int, list[str]] = {}
    taken: set[tuple[int, int]] = set()
    for level, row in enumerate(table.iterfind(f"{{{xhtml.XHTML}}}thead/{{{xhtml.XHTML}}}tr")):
        column = 0
        for cell in row:
            while (level, column) in taken:
                column += 1
            across, down = int(cell.get("colspan", "1")), int(cell.get("rowspan", "1"))
            words = " ".join("".join(cell.itertext()).split())
            for n in range(column, column + across):
                if words:
                    heads.setdefault(n, []).append(words)
                taken |= {(level + below, n) for below in range(down)}
            column += across
    if max((column for _, column in taken), default=0) < MOST_COLUMNS:
        return
    table.set("class", f"{table.get('class', '')} {STACKED}".strip())
    for row in table.iterfind(f"{{{xhtml.XHTML}}}tbody/{{{xhtml.XHTML}}}tr"):
        for column, cell in enumerate(row):
            # The first cell names its row, unless it is a reading like the others.
            if column in heads and (column or cell.tag == f"{{{xhtml.XHTML}}}td"):
                label = cell.makeelement(f"{{{xhtml.XHTML}}}span", {"class": "head"})
                label.text, label.tail = f"{', '.join(heads[column])}: ", cell.text
                cell.text = None
                cell.insert(0, label)


def _give_box(table: Any, number: int, taken: set[str | None]) -> None:
    """Let the table scroll sideways in a box of its own, which a keyboard reaches and a screen reader names.

    The role is ``group``: a ``region`` would make each table a landmark.
    """
    caption = table.find(f"{{{xhtml.XHTML}}}caption")
    box = table.makeelement(f"{{{xhtml.XHTML}}}div", {"class": SCROLLING, "tabindex": "0", "role": "group"})
    if caption is not None:
        name = caption.get("id")
        if name is None:
            while (name := f"caption-{number}") in taken:
                number += 1
            caption.set("id", name)
            taken.add(name)
        box.set("aria-labelledby", name)
    else:
        box.set("aria-label", "Table")
    box.tail, table.tail = table.tail, None
    table.getparent().replace(table, box)
    box.append(table)


def _give_width(text: Any) -> None:
    """Keep the width that the text has in print, whatever font the device puts in its place.

    Only the narrow face is measured; a text of several pieces is left alone.
    """
    size = _SIZE.fullmatch(_inherited(text, "font-size") or "")
    family = (_inherited(text, "font-family") or "").split(",")[0].strip(" '\"")
    words = " ".join((text.text or "").split())
    if not size or family != HEAD or len(text) or not words or text.get("textLength"):
        return
    weight = _inherited(text, "font-weight") or "400"
    width = _face(int(_WEIGHTS.get(weight, weight))).text_length(words, fontsize=float(size[1]))
    text.set("textLength", f"{width:.2f}")
    text.set("lengthAdjust", "spacingAndGlyphs")


def _inherited(element: Any, name: str) -> str | None:
    while element is not None:
        if value := element.get(name):
            return str(value)
        element = element.getparent()
    return None


@cache
def _face(weight: int) -> Any:
    """The narrow face whose weight is nearest."""
    faces = [face for face in FACES if face.family == HEAD and face.weight]
    nearest = min(faces, key=lambda face: abs((face.weight or 0) - weight))
    data = font_bytes(nearest.package, nearest.file)
    return pymupdf.Font(fontbuffer=data)  # type: ignore[no-untyped-call]
