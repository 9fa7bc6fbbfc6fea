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
from typing import NamedTuple

from leadsman.output.pieces import Scale

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
    """The ends on the right page: hazards, each end."""
    tail: str
    """What else the card says: which displays it holds for, what to bring, where it goes on."""
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
    tail_below: bool = False
    """The tail stands below the ladder, since the ends fill their page."""
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
        tail = printed.tail.replace(MORE_AT, printed.at["method" not in rest] if rest else "")
        first, last = (tail, "") if its.tail_below else ("", tail)
        return (
            f'<section class="spread"><div class="front{" flows" if its.flows else ""}">{opener}'
            f'{"".join(printed.front)}{first}{below}</div><div class="back">{"".join(printed.back)}{last}</div>{after}</section>'
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
    conditions: Mapping[str, InPrint], scale: Scale, openers: Mapping[str, str] | None = None
) -> Placing:
    """Measure every piece and place it.

    Parameters
    ----------
    conditions
        By id, in the order of the book.
    scale
        How pieces are measured, and what a page holds.
    openers
        By the first condition of each area, what opens the area above it.
    """
    spreads = {}
    for name, printed in conditions.items():
        # One by one: all pieces of a book as one document take a gigabyte.
        pieces = {f"{name}--{block}": text for block, text in _blocks(printed, (openers or {}).get(name, ""))}
        spreads[name] = _placed(name, printed, scale.heights(pieces, "spread"), scale.room_mm[1])
    return Placing(spreads)


def _blocks(printed: InPrint, opener: str) -> Iterator[tuple[str, str]]:
    """Everything of a condition that is measured, by name."""
    for number, text in enumerate(printed.front):
        yield f"front-{number}", text if number else opener + text
    for number, text in enumerate(printed.back):
        yield f"back-{number}", text
    yield "tail", printed.tail.replace(MORE_AT, printed.at[0])
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
    return placed(front, back, height("tail"), sizes, room)


def placed(
    front: Sequence[float], back: Sequence[float], tail: float, pieces: Mapping[str, float], room: float
) -> Spread:
    """Whether the ends follow the ladder at once, where the tail stands, and which pieces stand below and after.

    Parameters
    ----------
    front, back
        The heights of the blocks of the ladder and of the ends [mm]; none is broken over two pages.
    tail
        The height of what else the card says [mm]: it follows the ends, unless it would cost a page there.
    pieces
        The height of each piece [mm], in the order behind the cards.
    room
        The height of a page [mm].

    Examples
    --------
    A card of two pages that leave room: the likelihoods find it below the ladder, the methods after the ends.

    >>> placed([60, 40], [80], 10, {"method": 88, "likely": 70, "under": 12}, room=186)
    Spread(flows=False, tail_below=False, below=('likely',), after=('method',))

    A ladder of a page and a half leaves more than half of the fourth page: all fits.

    >>> placed([125, 125], [90, 80], 10, {"method": 70, "likely": 90, "under": 12}, room=186)
    Spread(flows=True, tail_below=False, below=(), after=('method', 'likely', 'under'))

    Ends that fill their page leave the tail to that of the ladder.

    >>> placed([60, 60], [90, 90], 10, {"method": 70}, room=186)
    Spread(flows=False, tail_below=True, below=(), after=())
    """
    card = _card(front, [*back, tail], room)
    tail_below = not card.flows and card.pages > 1 and tail <= card.open_below
    if tail_below:
        shorter = _card([*front, tail], back, room)
        tail_below = shorter.pages < card.pages and not shorter.flows
        card = shorter if tail_below else card
    tried = list(pieces)[:_TRIED]
    best: tuple[float, tuple[str, ...], tuple[str, ...]] = (0.0, (), ())
    for below in _selections([name for name in tried if name.startswith(_BELOW_LADDER)]):
        if not _fit([pieces[name] for name in below], [card.open_below], [False] * len(below)):
            continue
        for after in _selections([name for name in tried if name not in below]):
            won = sum(pieces[name] for name in (*below, *after))
            won += _HEADING_MM * (len(below) + len(after) == len(pieces)) + _WANTED_MM * ("method" in after)
            if won > best[0] and _fit(
                [pieces[name] for name in after],
                card.left,
                [not name.startswith("picture") for name in after],
            ):
                best = (won, below, after)
    return Spread(card.flows, tail_below, best[1], best[2])


class _Card(NamedTuple):
    """How ladder and ends stand."""

    flows: bool
    pages: int
    """The ends' own, with the one that is left over before the next condition."""
    left: list[float]
    """What the ends leave of their last page, and a whole page after it [mm]."""
    open_below: float
    """What the ladder leaves of its page [mm]."""


def _card(front: Sequence[float], back: Sequence[float], room: float) -> _Card:
    ladder, ends = _stand(front, room), _stand([_ENDS_MM, *back], room)
    both = _stand([*front, _ENDS_MM, *back], room)
    # A leaf has two pages, and the ends turn it where the ladder has a page for itself.
    flows = ladder[0] > 1 or both[0] <= ends[0] - ends[0] % 2
    begun, used = both if flows else ends
    pages = begun + (begun + (not flows)) % 2
    return _Card(flows, pages, [room - used, *([room] * (pages - begun))], 0.0 if flows else room - ladder[1])


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
