"""How much room things take, before and after layout, so that overflow is known and not printed.

A face that is too full does not look so: the engine splits it over two pages, cuts it, or drops its
last lines. So its natural height is taken beforehand on an endless page, and afterwards each face
must stand alone on one page.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from leadsman.errors import counted
from leadsman.press import boxes
from leadsman.store import digest

if TYPE_CHECKING:
    from leadsman.press.typeset import Typesetter

#: Longer than any face and short of the engine's limits.
ENDLESS_MM = 5000.0

#: What stands for a place that others may refer to, outside of what is measured.
_ANCHOR = re.compile(r'<p class="anchor" id="([^"]+)">[^<]*</p>')


@dataclass(frozen=True)
class NaturalSize:
    """The room that one element would take if nothing held it back."""

    id: str
    height_mm: float
    width_mm: float


def natural_sizes(
    typesetter: Typesetter,
    html: str,
    css: str | Sequence[str] = (),
    *,
    class_name: str,
    page_width_mm: float,
    title: str = "measure",
    language: str = "en-GB",
    late_numbers: bool = False,
) -> list[NaturalSize]:
    """Natural size of each element of a class, laid out on an endless page of the given width.

    Parameters
    ----------
    typesetter
        The engine to use.
    html, css
        The document as it will be printed.
    class_name
        The class of the elements to measure.
    page_width_mm
        The width of the page that the elements will be printed on [mm].
    late_numbers
        Page numbers are measured as stand-ins; the places that they name need not be there.

    Returns
    -------
    list of NaturalSize
        Margin height and width with the element's id, in document order.

    Notes
    -----
    Fixed, least and greatest heights of the element itself are lifted; its own margins, padding and
    widths stay, as do the page's margins. Accuracy is that of the engine's layout, about 0.01 mm.
    """
    endless = f"""
        @page {{ size: {page_width_mm}mm {ENDLESS_MM}mm !important }}
        .{class_name} {{
            height: auto !important; min-height: 0 !important; max-height: none !important;
            overflow: visible !important; break-inside: avoid !important
        }}
    """
    sheets = [*([css] if isinstance(css, str) else css), endless]
    blocks = _blocks(html, class_name) if typesetter.store is not None else []
    if typesetter.store is None or not blocks:
        return _laid_out(typesetter, html, sheets, class_name, title, language, late_numbers)
    context = digest(typesetter.key, sheets, class_name, language, late_numbers)
    keys = {block.id: digest(context, html[block.start : block.end]) for block in blocks}
    known = {
        name: NaturalSize(name, *found)
        for name, key in keys.items()
        if (found := typesetter.store.get_data("blocks", key)) is not None
    }
    if len(known) < len(blocks):
        rest = _only_asked_for(_without(html, [block for block in blocks if block.id in known]))
        for size in _laid_out(typesetter, rest, sheets, class_name, title, language, late_numbers):
            known[size.id] = size
            typesetter.store.put_data("blocks", keys[size.id], [size.height_mm, size.width_mm])
    return [known[block.id] for block in blocks if block.id in known]


@dataclass(frozen=True)
class _Block:
    """An element of the measured class, by its place in the text of the document."""

    id: str
    start: int
    end: int


def _blocks(html: str, class_name: str) -> list[_Block]:
    """The elements to measure in document order; none where they cannot be told apart by the text alone."""
    found: list[_Block] = []
    opening = re.compile(rf'<(\w+)\s[^<>]*?class="(?:[^"]*\s)?{re.escape(class_name)}(?:\s[^"]*)?"[^<>]*>')
    at = 0
    while match := opening.search(html, at):
        named = re.search(r'\sid="([^"]+)"', match[0])
        end = _end(html, match[1], match.end())
        if named is None or end is None:
            return []
        found.append(_Block(named[1], match.start(), end))
        at = end
    return found if len({block.id for block in found}) == len(found) else []


def _end(html: str, tag: str, start: int) -> int | None:
    """Where the element of that tag ends whose content begins at ``start``."""
    depth = 1
    for match in re.finditer(rf"<(/?){tag}\b[^<>]*>", html[start:]):
        depth += -1 if match[1] else 1
        if depth == 0:
            return start + match.end()
    return None


def _without(html: str, blocks: Sequence[_Block]) -> str:
    """The document without some blocks; what others may refer to in them stays as an anchor."""
    parts, at = [], 0
    for block in blocks:
        parts.append(html[at : block.start])
        inside = re.findall(r'\sid="([^"]+)"', html[block.start : block.end])
        parts += [f'<p class="anchor" id="{name}">.</p>' for name in inside]
        at = block.end
    return "".join([*parts, html[at:]])


def _only_asked_for(html: str) -> str:
    """The document without the places (``<p class="anchor" id="...">``) that nothing in it refers to."""
    asked = set(re.findall(r'(?:href|data-page-of)="#([^"]+)"', html))
    return _ANCHOR.sub(lambda found: found[0] if found[1] in asked else "", html)


def _laid_out(
    typesetter: Typesetter,
    html: str,
    sheets: Sequence[str],
    class_name: str,
    title: str,
    language: str,
    late_numbers: bool,
) -> list[NaturalSize]:
    layout = typesetter.lay_out(
        html, sheets, title=title, language=language, late_numbers=late_numbers, target=title
    )
    return [
        NaturalSize(
            id=box.element.get("id") or "",
            height_mm=round(box.margin_height() * boxes.MM_PER_PX, 3),
            width_mm=round(box.margin_width() * boxes.MM_PER_PX, 3),
        )
        for page in layout.document.pages
        for box in boxes.element_boxes(page, class_name)
    ]


def face_findings(document: Any, class_name: str) -> list[str]:
    """What is wrong unless each element of a class stands alone on one page and each page holds one."""
    pages_of: dict[int, list[int]] = {}
    names: dict[int, str] = {}
    findings = []
    for number, page in enumerate(document.pages, start=1):
        found = list(boxes.element_boxes(page, class_name))
        if not found:
            findings.append(f"page {number} holds no {class_name}")
        if len(found) > 1:
            findings.append(f"page {number} holds {counted(len(found), 'element')} of class {class_name}")
        for box in found:
            key = id(box.element)
            pages_of.setdefault(key, []).append(number)
            names[key] = box.element.get("id") or boxes.text_of(box)[:40]
            findings.extend(_overflow(page, box, names[key], number))
    findings.extend(
        f"{class_name} '{names[key]}' runs over pages {', '.join(map(str, numbers))}"
        for key, numbers in pages_of.items()
        if len(numbers) > 1
    )
    return findings


def _overflow(page: Any, face: Any, name: str, number: int) -> list[str]:
    """Text of a face that stands outside the page."""
    outside = [
        box.text
        for box in boxes.walk(face)
        if boxes.is_text(box)
        and (
            box.position_x < -0.5
            or box.position_y < -0.5
            or box.position_x + box.width > page.width + 0.5
            or box.position_y + box.height > page.height + 0.5
        )
    ]
    return [f"'{name}' on page {number}: the text '{text[:40]}' leaves the page" for text in outside]
