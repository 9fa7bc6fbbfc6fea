"""Lay a ladder onto sheets: its rungs on the fronts, behind them the ends to which these rungs lead.

Two faces are a sheet. Whatever an answer on a front names by a letter stands on the back of that sheet, once more
where two fronts name it. A ladder that is a little taller than its front goes on at the head of the back, before a
condition takes a second sheet. Nothing is shrunk: what does not fit is told with its measure.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from typing import Any

from leadsman.book.rungs import End, Ladder, Rung

#: Heights by the name of a block [mm].
Heights = Mapping[str, float]


@dataclass(frozen=True)
class Extra:
    """Something on a back beside the ends: what to bring, a table, a picture, places for readings."""

    id: str
    kind: str
    data: Any
    rungs: frozenset[str] = frozenset()
    """The rungs that use it; without any it stands on the first sheet."""
    named: bool = False
    """Whether a printed text names it, and its place behind it where it stands elsewhere."""


@dataclass(frozen=True)
class Room:
    """What a face offers [mm], and in how many columns the ends stand."""

    face_mm: float
    columns: int
    extras_in_columns: bool = False


@dataclass(frozen=True)
class Sheet:
    """One sheet of a card: what stands on its front and on its back."""

    number: int
    rungs: tuple[Rung, ...]
    columns: tuple[tuple[End, ...], ...]
    extras: tuple[Extra, ...]
    front_extras: tuple[Extra, ...]
    """What found no room on the back and stands below the ladder."""
    front_mm: float
    back_mm: float
    rungs_mm: float
    """What steps and answers take of the front [mm]."""
    over: tuple[Rung, ...] = ()
    """The last rungs, where they go on at the head of the back."""

    @property
    def steps(self) -> tuple[Rung, ...]:
        """All its rungs."""
        return (*self.rungs, *self.over)

    @property
    def ends(self) -> tuple[End, ...]:
        """The ends on its back in their order."""
        return tuple(end for column in self.columns for end in column)


@dataclass(frozen=True)
class Plan:
    """A card on its sheets, and by how much its fullest front and back are too tall [mm]; zero where all fits."""

    ladder: Ladder
    sheets: tuple[Sheet, ...]
    over_front_mm: float
    over_back_mm: float
    moved: tuple[Extra, ...] = ()
    """Tables and pictures that stand on the table sheet of the set, for want of room."""

    @property
    def fits(self) -> bool:
        """Whether everything has its room."""
        return self.over_front_mm <= 0 and self.over_back_mm <= 0


def rung_block(ladder: Ladder, rung: Rung, *, top: bool) -> str:
    """The name of a rung's block; at the top of a face it says its place and its cautions once more."""
    return f"{ladder.id}-rung-{rung.id}{'-top' if top else ''}"


def end_block(ladder: Ladder, end: End) -> str:
    """The name of an end's block."""
    return f"{ladder.id}-ending-{end.id}"


def head_block(ladder: Ladder, side: str, first: bool) -> str:
    """The name of the block at the head of a face."""
    return f"{ladder.id}-head-{side}{'' if first else '-more'}"


def over_block(ladder: Ladder) -> str:
    """The name of the block at the head of a back on which the ladder goes on."""
    return f"{ladder.id}-head-over"


def strip_block(ladder: Ladder, parts: Sequence[Rung | End]) -> str:
    """The name of the block of hazards for some rungs or ends."""
    ids = [str(p.step.number) if isinstance(p, Rung) else p.letter for p in parts if p.grave]
    return f"{ladder.id}-strip-{'-'.join(ids)}" if ids else ""


def spans(count: int, sheets: int) -> Iterator[tuple[tuple[int, int], ...]]:
    """Every way to cut so many rungs into that many runs.

    Examples
    --------
    >>> list(spans(3, 2))
    [((0, 1), (1, 3)), ((0, 2), (2, 3))]
    """
    for cuts in combinations(range(1, count), sheets - 1):
        edges = (0, *cuts, count)
        yield tuple(pairwise(edges))


def plan_sheets(
    ladder: Ladder,
    extras: Sequence[Extra],
    heights: Callable[[Iterable[str]], Heights],
    room: Room,
    most: int,
    *,
    tables_may_move: bool = True,
    goes_over: bool = False,
) -> Plan:
    """The card on as few sheets as it fits, at most so many; else the attempt that comes nearest.

    Parameters
    ----------
    ladder, extras
        What stands on its fronts and backs.
    heights
        Gives the heights of named blocks [mm].
    room
        What a face offers.
    most
        So many sheets at the most.
    tables_may_move
        Whether a table or a picture that finds no room may stand on the table sheet of the set.
    goes_over
        Whether the last rungs may stand at the head of the back, where that saves a second sheet.
    """
    best: Plan | None = None
    # A table that finds no room goes to the table sheet of the set, before the condition takes a second sheet.
    ways = _ways(extras) if tables_may_move else [(tuple(extras), ())]
    for count in range(1, min(most, len(ladder.rungs)) + 1):
        cuts = list(spans(len(ladder.rungs), count))
        for kept, moved in ways:
            tried = [_laid(ladder, kept, moved, cut, heights, room) for cut in cuts]
            best = min(tried, key=lambda plan: _badness(plan, room))
            if best.fits:
                return best
        for kept, moved in ways if goes_over and count == 1 else ():
            for front in range(len(ladder.rungs) - 1, 0, -1):
                over = _laid(ladder, kept, moved, cuts[0], heights, room, front)
                if over.fits:
                    return over
                best = min(best, over, key=lambda plan: _badness(plan, room))
    assert best is not None
    return best


def _ways(extras: Sequence[Extra]) -> list[tuple[tuple[Extra, ...], tuple[Extra, ...]]]:
    """What stays and what is moved: nothing, the picture, the table, both."""
    kinds = [kind for kind in ("picture", "table") if any(extra.kind == kind for extra in extras)]
    found: list[tuple[tuple[Extra, ...], tuple[Extra, ...]]] = [(tuple(extras), ())]
    for gone in [*({kind} for kind in kinds), *([set(kinds)] if len(kinds) > 1 else [])]:
        moved = tuple(extra for extra in extras if extra.kind in gone)
        where = where_blocks(moved)
        found.append(((*(x for x in extras if x not in moved), *where), moved))
    return found


def with_spare(
    plan: Plan, spare: Sequence[Extra], heights: Callable[[Iterable[str]], Heights], room: Room
) -> Plan:
    """The plan with what serves but need not be on the card, in the order of its use, where a back has room for it.

    A block stands behind the rungs that use it where there is room, else on the first back that has some.
    """
    sheets, known = list(plan.sheets), heights([extra.id for extra in spare])
    for extra in spare:
        order = sorted(
            range(len(sheets)), key=lambda at: not extra.rungs & {rung.id for rung in sheets[at].rungs}
        )
        for at in order:
            sheet = sheets[at]
            if sheet.back_mm + known[extra.id] <= room.face_mm:
                sheets[at] = replace(
                    sheet, extras=(*sheet.extras, extra), back_mm=sheet.back_mm + known[extra.id]
                )
                break
    return replace(plan, sheets=tuple(sheets))


def where_blocks(extras: Sequence[Extra]) -> list[Extra]:
    """The lines that tell where a moved table or picture stands, if no text of the card does."""
    return [
        Extra(f"{extra.id}-where", "where", extra)
        for extra in extras
        if extra.kind in ("table", "picture") and not extra.named
    ]


def _badness(plan: Plan, room: Room) -> tuple[float, float]:
    """How much is too tall, then how uneven the fronts are."""
    over = max(plan.over_front_mm, 0) + max(plan.over_back_mm, 0)
    return over, max(max(sheet.front_mm, sheet.back_mm) for sheet in plan.sheets) / room.face_mm


def _laid(
    ladder: Ladder,
    extras: Sequence[Extra],
    moved: tuple[Extra, ...],
    cut: Sequence[tuple[int, int]],
    heights: Callable[[Iterable[str]], Heights],
    room: Room,
    front: int | None = None,
) -> Plan:
    sheets, waiting = [], list(extras)
    for number, (start, stop) in enumerate(cut, 1):
        rungs = ladder.rungs[start:stop]
        ends = ladder.ends_behind(rungs, last=number == len(cut))
        here = {rung.id for rung in rungs}
        last = number == len(cut)
        mine = [extra for extra in waiting if last or not extra.rungs or extra.rungs & here]
        waiting = [extra for extra in waiting if extra not in mine]
        sheets.append(_sheet(ladder, number, rungs, ends, mine, heights, room, front))
    over_front = max(sheet.front_mm for sheet in sheets) - room.face_mm
    over_back = max(sheet.back_mm for sheet in sheets) - room.face_mm
    return Plan(ladder, tuple(sheets), round(max(over_front, 0.0), 1), round(max(over_back, 0.0), 1), moved)


def _sheet(
    ladder: Ladder, number: int, rungs: Sequence[Rung], ends: Sequence[End], extras: Sequence[Extra],
    heights: Callable[[Iterable[str]], Heights], room: Room, first_over: int | None,
) -> Sheet:  # fmt: skip
    rungs, over = rungs[:first_over], rungs[first_over:] if first_over else ()
    names, more = (
        [rung_block(ladder, rung, top=at == 0) for at, rung in enumerate(run)] for run in (rungs, over)
    )
    front = [head_block(ladder, "front", number == 1), strip_block(ladder, rungs), *names]
    head = over_block(ladder) if over else head_block(ladder, "back", number == 1)
    back = [head, strip_block(ladder, [*over, *ends]), *more]
    asked = [*front, *back, *(extra.id for extra in extras), *(end_block(ladder, end) for end in ends)]
    known = heights(filter(None, asked))
    columns = balanced(ends, [known[end_block(ladder, end)] for end in ends], room.columns)
    tallest = max((sum(known[end_block(ladder, end)] for end in column) for column in columns), default=0.0)
    front_mm = sum(known[name] for name in front if name)
    back_mm = sum(known[name] for name in back if name) + tallest + sum(known[x.id] for x in extras)
    rungs_mm = sum(known[name] for name in names)
    behind, before = list(extras), list[Extra]()
    # What does not fit behind the ladder may stand below it: nearer to the step that needs it.
    for extra in sorted(extras, key=lambda x: -known[x.id]):
        if back_mm > room.face_mm and front_mm + known[extra.id] <= room.face_mm:
            behind.remove(extra)
            before.append(extra)
            front_mm, back_mm = front_mm + known[extra.id], back_mm - known[extra.id]
    return Sheet(
        number, tuple(rungs), columns, tuple(behind), tuple(before), front_mm, back_mm, rungs_mm, tuple(over)
    )


def balanced(ends: Sequence[End], heights_mm: Sequence[float], columns: int) -> tuple[tuple[End, ...], ...]:
    """The ends in their order in columns, the tallest of which is as low as can be."""
    if columns == 1 or len(ends) < 2:
        return (tuple(ends),)
    cut = min(range(1, len(ends)), key=lambda at: max(sum(heights_mm[:at]), sum(heights_mm[at:])))
    return tuple(ends[:cut]), tuple(ends[cut:])
