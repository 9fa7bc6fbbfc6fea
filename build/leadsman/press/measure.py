"""How much room things take, before and after layout, so that overflow is known and not printed.

A face that is too full does not look so: the engine splits it over two pages, cuts it, or drops its
last lines. So its natural height is taken beforehand on an endless page, and afterwards each face
must stand alone on one page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from leadsman.press import boxes

if TYPE_CHECKING:
    from leadsman.press.typeset import Typesetter

#: Longer than any face and short of the engine's limits.
ENDLESS_MM = 5000.0


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
    sheets = [css] if isinstance(css, str) else list(css)
    layout = typesetter.lay_out(html, [*sheets, endless], title=title, language=language, target=title)
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
            findings.append(f"page {number} holds {len(found)} elements of class {class_name}")
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
