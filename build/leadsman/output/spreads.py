"""Where a condition stands in the printed handbook: its card on two facing pages, the rest where there is room for it.

A condition begins on a left page. What its card has no room for (methods, likelihoods, displays, pictures) fills what the
card leaves open on its pages, and stands in the part behind all cards where they leave too little. There it runs on from
condition to condition, so that no page is left empty.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from leadsman.press.measure import natural_sizes
from leadsman.press.typeset import Typesetter

#: In the ends, where it is said that a condition goes on behind the cards.
MORE_AT = '<span class="more-at"></span>'
#: The pieces that the page of the ladder may take; methods and references stand after the ends.
_BELOW_LADDER = ("likely", "displays", "picture")
#: What a page loses at its foot where lines or rows of a piece run on [mm].
_LOST_MM = 9.0
#: What keeps the ends apart from the ladder [mm].
_ENDS_MM = 3.5
#: Room that is left over, so that no block runs on to another page for a line [mm].
_SPARE_MM = 2.0
#: What the heading of a condition takes behind the cards: so much is won where nothing of it stands there [mm].
_HEADING_MM = 14.0
#: Methods are wanted beside the card before anything else: so much more they count [mm].
_WANTED_MM = 12.0
#: Of more pieces than this the first ones are tried in every selection.
_TRIED = 9


@dataclass(frozen=True)
class InPrint:
    """A condition in the printed book, as HTML."""

    front: Sequence[str]
    """The ladder on the left page: its head, each step."""
    back: Sequence[str]
    """The ends on the right page: hazards, each end, what else the card says."""
    heading: str
    """What names the condition behind the cards."""
    more: str
    """The heading of its methods where they stand beside the card."""
    at: tuple[str, str]
    """What says where it goes on behind the cards: with its methods, or without."""
    pieces: Mapping[str, str]
    """By name, in their order behind the cards: "method", "likely", "displays", "picture-1" and so on, "under"."""


@dataclass(frozen=True)
class Spread:
    """How one condition stands, as its heights ask for it."""

    flows: bool = False
    """The ends follow the ladder at once, since one of them needs more than its page."""
    below: tuple[str, ...] = ()
    """The pieces on the page of the ladder."""
    after: tuple[str, ...] = ()
    """The pieces that follow the ends."""


@dataclass(frozen=True)
class Placing:
    """How the conditions stand."""

    spreads: Mapping[str, Spread] = field(default_factory=dict)
    """By condition; one that was not measured stands by itself, all else behind the cards."""

    def spread(self, name: str, printed: InPrint, opener: str = "") -> str:
        """The card with what stands beside it, after what opens its area."""
        its = self.spreads.get(name, Spread())
        below, after = (
            "".join(_beside(piece, printed) for piece in pieces) for pieces in (its.below, its.after)
        )
        rest = self._rest(name, printed)
        at = printed.at["method" not in rest] if rest else ""
        return (
            f'<section class="spread"><div class="front{" flows" if its.flows else ""}">{opener}'
            f'{"".join(printed.front)}{below}</div><div class="back">{"".join(printed.back).replace(MORE_AT, at)}</div>{after}</section>'
        )

    def behind(self, name: str, printed: InPrint) -> list[str]:
        """What stands behind the cards, in blocks; none where all of it stands beside its card."""
        blocks = [printed.pieces[piece] for piece in self._rest(name, printed)]
        return [printed.heading + blocks[0], *blocks[1:]] if blocks else []

    def _rest(self, name: str, printed: InPrint) -> list[str]:
        its = self.spreads.get(name, Spread())
        return [piece for piece in printed.pieces if piece not in (*its.below, *its.after)]


def _beside(piece: str, printed: InPrint) -> str:
    """A piece as it stands beside its card: one level of headings less is above it."""
    text = re.sub(r"(</?h)([4-6])\b", lambda match: f"{match[1]}{int(match[2]) - 1}", printed.pieces[piece])
    return printed.more + text if piece == "method" else text


def place_spreads(
    conditions: Mapping[str, InPrint],
    css: Sequence[str],
    *,
    page_mm: tuple[float, float],
    room_mm: tuple[float, float],
    typesetter: Typesetter,
    language: str,
    openers: Mapping[str, str] | None = None,
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
    openers
        By the first condition of each area, what opens the area above it.
    """
    # A padding keeps the margins of what stands in a piece inside its measure.
    alone = [
        *css,
        f"@page {{ margin: 0 }} body {{ width: {room_mm[0]:g}mm }} .piece {{ padding: 0.05mm 0 }}",
    ]
    spreads = {}
    for name, printed in conditions.items():
        # One by one: all pieces of a book as one document take a gigabyte.
        sizes = natural_sizes(
            typesetter,
            _to_measure(name, printed, (openers or {}).get(name, "")),
            alone,
            class_name="piece",
            page_width_mm=page_mm[0],
            language=language,
            late_numbers=True,
        )
        spreads[name] = _placed(name, printed, {size.id: size.height_mm for size in sizes}, room_mm[1])
    return Placing(spreads)


def _to_measure(name: str, printed: InPrint, opener: str) -> str:
    """The pieces of a condition as one document."""
    html = "".join(
        f'<section class="spread"><div class="piece" id="{name}--{block}">{text}</div></section>'
        for block, text in _blocks(printed, opener)
    )
    # Headings do not count here, only heights: an outline of pieces has gaps.
    return re.sub(r"<(/?)h[1-6]\b", r"<\1h3", html)


def _blocks(printed: InPrint, opener: str) -> Iterator[tuple[str, str]]:
    """Everything of a condition that is measured, by name."""
    for number, text in enumerate(printed.front):
        yield f"front-{number}", text if number else opener + text
    for number, text in enumerate(printed.back):
        yield f"back-{number}", text.replace(MORE_AT, printed.at[0])
    for name in printed.pieces:
        yield name, _beside(name, printed)


def _placed(name: str, printed: InPrint, heights: Mapping[str, float], room: float) -> Spread:
    def height(block: str) -> float:
        return heights.get(f"{name}--{block}", 0.0)

    front = [height(f"front-{number}") for number in range(len(printed.front))]
    # The hazards of the ends stay with the first of them.
    strip, *ends = [height(f"back-{number}") for number in range(len(printed.back))]
    back = [strip + sum(ends[:1]), *ends[1:]]
    sizes = {piece: height(piece) for piece in printed.pieces}
    flows, below, after = placed(front, back, sizes, room)
    return Spread(flows, below, after)


def placed(
    front: Sequence[float], back: Sequence[float], pieces: Mapping[str, float], room: float
) -> tuple[bool, tuple[str, ...], tuple[str, ...]]:
    """Whether the ends follow the ladder at once, which pieces stand below it and which follow the ends.

    Parameters
    ----------
    front, back
        The heights of the blocks of the ladder and of the ends [mm]; none is broken over two pages.
    pieces
        The height of each piece [mm], in the order behind the cards.
    room
        The height of a page [mm].

    Examples
    --------
    A card of two pages that leave room: the likelihoods find it below the ladder, the methods after the ends.

    >>> placed([60, 40], [90], {"method": 88, "likely": 70, "under": 12}, room=186)
    (False, ('likely',), ('method',))

    A ladder of a page and a half leaves more than half of the fourth page: all fits.

    >>> placed([125, 125], [90, 90], {"method": 70, "likely": 90, "under": 12}, room=186)
    (True, (), ('method', 'likely', 'under'))
    """
    ladder, ends = _stand(front, room), _stand([_ENDS_MM, *back], room)
    both = _stand([*front, _ENDS_MM, *back], room)
    # A leaf has two pages, and the ends turn it where the ladder has a page for itself.
    flows = ladder[0] > 1 or both[0] <= ends[0] - ends[0] % 2
    begun, used = both if flows else ends
    pages = begun + (begun + (not flows)) % 2
    # What the ends leave of their last page, and a whole page after it.
    left = [room - used, *([room] * (pages - begun))]
    open_below = 0.0 if flows else room - ladder[1]
    tried = list(pieces)[:_TRIED]
    best: tuple[float, tuple[str, ...], tuple[str, ...]] = (0.0, (), ())
    for below in _selections([name for name in tried if name.startswith(_BELOW_LADDER)]):
        if not _fit([pieces[name] for name in below], [open_below], [False] * len(below)):
            continue
        for after in _selections([name for name in tried if name not in below]):
            won = sum(pieces[name] for name in (*below, *after))
            won += _HEADING_MM * (len(below) + len(after) == len(pieces)) + _WANTED_MM * ("method" in after)
            if won > best[0] and _fit(
                [pieces[name] for name in after], left, [not name.startswith("picture") for name in after]
            ):
                best = (won, below, after)
    return flows, best[1], best[2]


def _stand(blocks: Sequence[float], room: float) -> tuple[int, float]:
    """On how many pages blocks stand, and how far down on the last one [mm]."""
    pages, used = 1, 0.0
    for block in blocks:
        if used + block > room - _SPARE_MM and used:
            pages, used = pages + 1, 0.0
        used += block
    return pages, used


def _selections(names: Sequence[str]) -> Iterator[tuple[str, ...]]:
    for count in range(len(names) + 1):
        yield from combinations(names, count)


def _fit(sizes: Sequence[float], room: Sequence[float], breaks: Sequence[bool]) -> bool:
    """Whether pieces stand one after the other in the room of these pages, where some of them may break."""
    page, left = 0, room[0] - _SPARE_MM
    for size, may_break in zip(sizes, breaks, strict=True):
        while size > left:
            if page + 1 == len(room):
                return False
            page += 1
            size -= max(0.0, left - _LOST_MM) if may_break else 0.0
            left = room[page] - _SPARE_MM
        left -= size
    return True
