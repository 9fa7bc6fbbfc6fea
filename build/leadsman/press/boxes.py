"""Reading the laid-out pages: the one place that knows how the engine keeps its boxes.

The box tree is no public interface of the engine, so its version is pinned and every use of it goes
through these functions, which the tests hold against finished pages.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from leadsman.press.engine import split_first_line
from leadsman.press.fonts import FAMILIES

MM_PER_PX = 25.4 / 96
PT_PER_PX = 0.75


def page_box(page: Any) -> Any:
    """The outermost box of a laid-out page."""
    return page._page_box


def walk(box: Any) -> Iterator[Any]:
    """Every box below and including ``box``, in document order."""
    waiting = [box]
    while waiting:
        # An absolutely placed box stands behind a placeholder.
        current = waiting.pop()
        current = getattr(current, "_box", current)
        yield current
        children = getattr(current, "all_children", None)
        if children is not None:
            waiting.extend(reversed(list(children())))


def classes(box: Any) -> list[str]:
    """The classes of the element that a box was made for; none for an anonymous box."""
    element = getattr(box, "element", None)
    return [] if element is None else (element.get("class") or "").split()


def element_boxes(page: Any, class_name: str) -> Iterator[Any]:
    """The principal box of each element of a class on a page, not the parts inside it."""
    seen: set[int] = set()
    for box in walk(page_box(page)):
        element = getattr(box, "element", None)
        # A pseudo-element shares its element but is marked in the tag ("div::before").
        if element is None or class_name not in classes(box) or "::" in str(box.element_tag):
            continue
        if id(element) not in seen:
            seen.add(id(element))
            yield box


def is_text(box: Any) -> bool:
    """Whether a box is a run of text on one line."""
    return type(box).__name__ == "TextBox"


def text_of(box: Any) -> str:
    """The text of all text boxes below ``box``."""
    return "".join(part.text for part in walk(box) if is_text(part))


def slots(document: Any, attribute: str) -> Iterator[tuple[str, Any, Any]]:
    """Each text of a pseudo-element whose element has the attribute: its value, its box, and the element's own block."""
    for page in document.pages:
        yield from page_slots(page, attribute)


def page_slots(page: Any, attribute: str) -> Iterator[tuple[str, Any, Any]]:
    """The same of one page."""
    waiting = [(page_box(page), None)]
    while waiting:
        box, block = waiting.pop()
        box = getattr(box, "_box", box)
        element = getattr(box, "element", None)
        value = element.get(attribute) if element is not None else None
        pseudo = "::" in str(getattr(box, "element_tag", ""))
        # The lines inside a block carry its element too.
        if value is not None and not pseudo and "Line" not in type(box).__name__:
            block = box if "Block" in type(box).__name__ else None
        if is_text(box):
            if value is not None and pseudo:
                yield value, box, block
        elif hasattr(box, "all_children"):
            waiting.extend((child, block) for child in box.all_children())


def margin_texts(page: Any) -> list[Any]:
    """The text boxes in the margins of a page: running heads and folio."""
    return _texts(child for child in page_box(page).children if type(child).__name__ == "MarginBox")


def body_texts(page: Any) -> list[Any]:
    """The text boxes of a page that do not stand in its margins."""
    return _texts(child for child in page_box(page).children if type(child).__name__ != "MarginBox")


def _texts(parts: Iterable[Any]) -> list[Any]:
    return [box for part in parts for box in walk(part) if is_text(box)]


def values_of(page: Any, attribute: str) -> set[str]:
    """The values of an attribute on all elements that stand on a page, whole or in part."""
    found = (getattr(box, "element", None) for box in walk(page_box(page)))
    return {element.get(attribute) for element in found if element is not None and element.get(attribute)}


def first_with(page: Any, attribute: str) -> str | None:
    """The value of an attribute on the element with which the text of a page begins, or on one around it."""
    box = page_box(page).children[0]
    while (box := getattr(box, "_box", box)) is not None:
        element = getattr(box, "element", None)
        if element is not None and element.get(attribute):
            return str(element.get(attribute))
        children = list(getattr(box, "children", ()))
        box = children[0] if children else None
    return None


def handed_on(document: Any, strings: Mapping[str, str]) -> dict[str, str]:
    """The named strings (``string-set``) as they stand at the end of a document that began with these."""
    found = dict(strings)
    for page in document.pages:
        for box in walk(page_box(page)):
            found.update(getattr(box, "string_set", None) or ())
    return found


def ends_right(box: Any) -> bool:
    """Whether a text box keeps its right edge when its text changes."""
    return box.style["text_align_all"] in ("right", "end")


def put_text(box: Any, text: str, room_px: float) -> bool:
    """Let a text box hold another text of one line where it has the room; nothing else on the page moves."""
    if box.text == text:
        return True
    layout, _, resume, width, *_ = split_first_line()(text, box.style, None, None, 0)
    if resume is not None or width > room_px + 0.01:
        return False
    if ends_right(box):
        box.position_x += box.width - width
    box.text, box.pango_layout, box.width = text, layout, width
    return True


def unknown_families(document: Any) -> list[str]:
    """A finding for each font family that a text asks for and that is not one of ours."""
    found: dict[str, str] = {}
    for page in document.pages:
        for box in walk(page_box(page)):
            if is_text(box):
                for family in box.style["font_family"]:
                    if family not in FAMILIES:
                        found.setdefault(family, box.text)
    return [
        f"unknown font family '{family}' for the text '{text[:40]}': use one of {', '.join(sorted(FAMILIES))}"
        for family, text in found.items()
    ]


def link_texts(document: Any) -> list[list[str]]:
    """The text of each link on each page, in the order in which the engine writes the links."""
    return [
        [_link_text(box) for kind, _, _, box in page.links if kind in ("internal", "external")]
        for page in document.pages
    ]


def _link_text(box: Any) -> str:
    element = box.element
    if element is None:
        return " ".join(text_of(box).split())
    pictures = [child.get("alt") or "" for child in element.iter() if child.tag == "img"]
    return " ".join("".join([*element.itertext(), *pictures]).split())
