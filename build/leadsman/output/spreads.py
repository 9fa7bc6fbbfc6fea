"""Where a condition stands in the printed handbook: its card on two facing pages, the rest where there is room for it.

A condition begins on a left page. What its card has no room for (likelihoods, pictures, methods) fills the pages that
the card leaves open, and stands behind the area's cards where they leave none: no page is then left empty.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from leadsman.press.measure import natural_sizes
from leadsman.press.typeset import Typesetter

#: The pieces that may follow the card, in the order in which they are wanted there.
FOLLOWING = ("likely", "rest", "method")
#: What a page loses at its foot, since a step is never split [mm].
_LOST_MM = 10.0
#: A ladder this near to a full page is not sure to stand on it [mm].
_CLOSE_MM = 2.0
#: Room that is left over, so that no piece runs on for a line [mm].
_SPARE_MM = 6.0


@dataclass(frozen=True)
class InPrint:
    """A condition in the printed book, as HTML."""

    front: str
    """The ladder, on a left page."""
    back: str
    """The ends, on the right one."""
    likely: str
    """Likelihoods and displays."""
    method: str
    """By step and letter: minutes, place and method, what an answer means, what to record."""
    rest: str
    """Pictures and references."""


@dataclass(frozen=True)
class Placing:
    """How the conditions stand, as their heights ask for it."""

    flowing: frozenset[str] = frozenset()
    """The conditions whose ladder needs more than its page: the ends follow at once."""
    at_card: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """By condition, the pieces that follow its card."""

    def spread(self, name: str, printed: InPrint) -> str:
        """The card with what follows it."""
        flows = " flows" if name in self.flowing else ""
        more = "".join(_raised(getattr(printed, piece)) for piece in self.at_card.get(name, ()))
        return (
            f'<section class="spread"><div class="front{flows}">{printed.front}</div>'
            f'<div class="back">{printed.back}</div>{more}</section>'
        )

    def behind(self, name: str, printed: InPrint) -> str:
        """What stands behind the area's cards."""
        here = self.at_card.get(name, ())
        pieces = [piece for piece in ("method", "likely", "rest") if piece not in here]
        return "".join(getattr(printed, piece) for piece in pieces)


def _raised(html: str) -> str:
    """Headings one level up: behind the card there is one level less above them."""
    return re.sub(r"(</?h)([4-6])\b", lambda match: f"{match[1]}{int(match[2]) - 1}", html)


def place_spreads(
    conditions: Mapping[str, InPrint],
    css: Sequence[str],
    *,
    page_mm: tuple[float, float],
    room_mm: tuple[float, float],
    typesetter: Typesetter,
    language: str,
) -> Placing:
    """Measure every piece and place it.

    Parameters
    ----------
    conditions
        By id, in the order of the book.
    css
        The style sheets of the book.
    page_mm, room_mm
        Width and height of a page, and of what stands between its margins [mm].
    typesetter, language
        The engine, and the language of the book.
    """
    names = ("front", "back", *FOLLOWING)
    html = "".join(
        f'<section class="spread"><div class="piece {piece}" id="{name}--{piece}">{getattr(printed, piece)}</div></section>'
        for name, printed in conditions.items()
        for piece in names
    )
    # Headings do not count here, only heights: an outline of pieces has gaps.
    html = re.sub(r"<(/?)h[1-6]\b", r"<\1h3", html)
    alone = [*css, f"@page {{ margin: 0 }} body {{ width: {room_mm[0]:g}mm }}"]
    sizes = natural_sizes(
        typesetter, html, alone, class_name="piece", page_width_mm=page_mm[0], language=language
    )
    heights = {size.id: size.height_mm for size in sizes}
    found = {
        name: placed({piece: heights.get(f"{name}--{piece}", 0.0) for piece in names}, room_mm[1])
        for name in conditions
    }
    return Placing(
        frozenset(name for name, (flows, _) in found.items() if flows),
        {name: pieces for name, (_, pieces) in found.items() if pieces},
    )


def placed(heights: Mapping[str, float], room: float) -> tuple[bool, tuple[str, ...]]:
    """Whether the ends follow the ladder at once, and which pieces follow them, from the heights [mm].

    Examples
    --------
    A card of two pages whose right one is half empty takes the likelihoods; its pictures find no room.

    >>> placed({"front": 170, "back": 90, "likely": 70, "rest": 60, "method": 100}, room=186)
    (False, ('likely',))

    A ladder of a page and a half leaves more than half of the fourth page: all fits.

    >>> placed({"front": 250, "back": 180, "likely": 90, "rest": 60, "method": 100}, room=186)
    (True, ('likely', 'rest', 'method'))
    """
    flows = heights["front"] > room - _CLOSE_MM
    page = room - _LOST_MM
    used = heights["front"] + heights["back"] if flows else heights["back"]
    pages = max(1, math.ceil(used / page)) if used > room else 1
    left = (page if pages > 1 else room) * pages - used
    if (pages + (not flows)) % 2:
        left += page
    found: list[str] = []
    for piece in FOLLOWING:
        if piece == "method" and len(found) < sum(heights[name] > 0 for name in FOLLOWING[:-1]):
            break  # It bears the heading of what stands behind the cards.
        if 0 < heights[piece] <= left - _SPARE_MM:
            found.append(piece)
            left -= heights[piece]
    return flows, tuple(found)
