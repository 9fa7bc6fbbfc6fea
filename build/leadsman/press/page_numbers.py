"""Page numbers in the text ("page 12"), laid out with numbers that are already right.

Left to itself the engine lays every page out again whenever a page number in the text changes, two
to three times per page. Here the numbers of the last layout are put into the HTML beforehand, and wrong
ones are put right in the laid-out pages where each stands in an inline block with room for it: then one
layout is enough, and the pages are the same.

A template writes ``<span data-page-of="#ID"></span>`` where the number of the page of ``ID`` belongs,
outside the ``<a>``: a number inside the link would become a link of its own.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Set
from typing import Any

from leadsman.press import boxes

#: The style that prints the numbers. Without a number it asks the engine to find it out.
PAGE_NUMBER_CSS = """
[data-page-of][data-page]::before { content: attr(data-page) }
[data-page-of]:not([data-page])::before { content: target-counter(attr(data-page-of url), page) }
"""

#: After this many layouts that disagree, the engine's own (slow, convergent) way is taken.
MOST_LAYOUTS = 3

_REFERENCE = re.compile(r'\s+data-page="[^"]*"|(\sdata-page-of="#([^"]*)")')


def fill_page_numbers(html: str, page_of: Mapping[str, int] | None) -> str:
    """Write each page number into its place; with None, leave the numbers to the engine.

    An anchor that is not in the map yet gets "00", so that the first layout is close to the last.

    Examples
    --------
    >>> fill_page_numbers('<span data-page-of="#supply"></span>', {"supply": 7})
    '<span data-page-of="#supply" data-page="7"></span>'
    """

    def fill(match: re.Match[str]) -> str:
        if match[1] is None or page_of is None:
            return match[1] or ""
        return f'{match[1]} data-page="{page_of.get(match[2], "00")}"'

    return _REFERENCE.sub(fill, html)


def with_stand_ins(html: str) -> str:
    """The document with "00" in each place of a page number, for numbers that are put in later.

    Examples
    --------
    >>> with_stand_ins('<span data-page-of="#supply"></span>')
    '<span data-page-of="#supply" data-page="00"></span>'
    """
    return fill_page_numbers(html, {})


def pages_of_anchors(document: Any) -> dict[str, int]:
    """The number of the page on which each anchor of a laid-out document stands, counted from 1."""
    found: dict[str, int] = {}
    for number, page in enumerate(document.pages, start=1):
        for anchor in page.anchors:
            found.setdefault(anchor, number)
    return found


def render_with_page_numbers(
    lay_out: Callable[[str], Any],
    html: str,
    page_of: Mapping[str, int] | None = None,
) -> tuple[Any, dict[str, int]]:
    """Lay ``html`` out until the page numbers printed in it are those of its pages.

    Parameters
    ----------
    lay_out
        Makes a laid-out document of HTML.
    html
        The document, with ``data-page-of`` where a page number belongs.
    page_of
        The pages of the anchors in the last layout of a similar document, to begin with.

    Returns
    -------
    tuple
        The laid-out document and the pages of its anchors, to be kept for the next time.
    """
    wanted = {match[2] for match in _REFERENCE.finditer(html) if match[2] is not None}
    if not wanted:
        document = lay_out(html)
        return document, pages_of_anchors(document)
    # The first guess only decides how often a layout is needed, never how it ends.
    guess = dict(page_of or {})
    for _ in range(MOST_LAYOUTS):
        document = lay_out(fill_page_numbers(html, guess))
        found = pages_of_anchors(document)
        if all(found.get(anchor) == guess.get(anchor) for anchor in wanted) or _put_in(
            document, found, wanted
        ):
            return document, found
        guess = found
        # Two laid-out books at once would be twice the memory.
        del document
    document = lay_out(fill_page_numbers(html, None))
    return document, pages_of_anchors(document)


def _put_in(document: Any, page_of: Mapping[str, int], wanted: Set[str]) -> bool:
    """Put the numbers into the laid-out pages; false where one has no block of its own with the room.

    In such a block (``display: inline-block; min-width``) a number of other digits moves nothing else.
    """
    places = list(boxes.slots(document, "data-page-of"))
    if {address.removeprefix("#") for address, _, _ in places} != wanted:
        return False
    for address, box, block in places:
        number = page_of.get(address.removeprefix("#"))
        if number is None or (box.text != str(number) and block is None):
            return False
        if not boxes.put_text(box, str(number), block.width if block is not None else box.width):
            return False
    return True
