"""What the sheets measure once they are laid out, condition by condition, and the first edition's figures beside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from leadsman.book.passages import Words
from leadsman.book.reports import Cell, Report
from leadsman.book.reports import Sheet as Table
from leadsman.book.rungs import head_lines
from leadsman.book.sheet_plan import Plan
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import DeckEdition
from leadsman.output.deck import FORMATS, SHEETS, plan_deck
from leadsman.press.typeset import Typesetter

#: The first edition, as it was measured on its finished A6 deck of eight conditions: what, and how much.
FIRST_EDITION: dict[str, Cell] = {
    "conditions with a card": 8,
    "sheets": 43,
    "conditions on one sheet": "not measured",
    "letters answered on the same sheet, %": 50,
    "conditions with more than three jumps": 7,
    "jumps back": 0,
    "steps and answers, share of a front, %": 35,
    "mean fill of a face, %": 74,
    "blank faces": 5,
    "backs under a third full": "not measured",
    "hazards at heads of faces": 100,
    "pictures": "not measured",
}
#: A ladder has so many jumps at most.
_MOST_JUMPS = 3
#: A back less full than this looks unfinished.
_THIRD = 1 / 3


def faces_report(catalogue: Catalogue, templates: Path, typesetter: Typesetter) -> Report:
    """The measures of every deck of sheets, each format by itself.

    A gap is a condition that does not fit the sheets that its edition grants it.
    """
    tables, gaps = [], 0
    for edition in catalogue.editions.values():
        if not isinstance(edition, DeckEdition):
            continue
        for size in edition.formats:
            if size in SHEETS:
                plans = plan_deck(edition, catalogue, size, templates=templates, typesetter=typesetter)
                words = Words(catalogue, edition.units)
                tables += [_totals(plans, size), _each(plans, size, words)]
                gaps += sum(not plan.fits for plan in plans)
    return Report(tuple(tables), gaps)


def _totals(plans: Sequence[Plan], size: str) -> Table:
    rows = tuple((what, FIRST_EDITION[what], now) for what, now in totals(plans, size))
    return Table(f"totals-{size}", f"Sheets, {size}", ("measure", "first edition", "now"), rows,
                 "first edition: eight conditions on A6 cards, as measured on its finished file")  # fmt: skip


def totals(plans: Sequence[Plan], size: str) -> Iterator[tuple[str, Cell]]:
    """The measures of a whole deck."""
    room = FORMATS[size].room.face_mm
    sheets = [sheet for plan in plans for sheet in plan.sheets]
    fills = [share for sheet in sheets for share in (sheet.front_mm / room, sheet.back_mm / room)]
    letters = [
        (leaves.target.id, {end.id for end in sheet.ends})
        for sheet in sheets for rung in sheet.steps for leaves in rung.exits
        if leaves.target.kind in ("fix", "hand-over")
    ]  # fmt: skip
    yield "conditions with a card", len(plans)
    yield "sheets", len(sheets)
    yield "conditions on one sheet", sum(len(plan.sheets) == 1 and plan.fits for plan in plans)
    yield (
        "letters answered on the same sheet, %",
        _per_cent(sum(name in ends for name, ends in letters), len(letters)),
    )
    yield "conditions with more than three jumps", sum(p.ladder.forward_jumps > _MOST_JUMPS for p in plans)
    yield "jumps back", sum(plan.ladder.backward_jumps for plan in plans)
    yield (
        "steps and answers, share of a front, %",
        _per_cent(sum(s.rungs_mm for s in sheets), room * len(sheets)),
    )
    yield "mean fill of a face, %", _per_cent(sum(fills), len(fills))
    yield "blank faces", sum(share == 0 for share in fills)
    yield "backs under a third full", sum(sheet.back_mm < _THIRD * room for sheet in sheets)
    yield (
        "hazards at heads of faces",
        sum(len(head_lines(sheet.rungs)) + len(head_lines(sheet.ends)) for sheet in sheets),
    )
    yield "pictures", sum(extra.kind == "picture" for s in sheets for extra in (*s.extras, *s.front_extras))


def _per_cent(part: float, whole: float) -> int:
    return round(100 * part / whole) if whole else 0


def _each(plans: Sequence[Plan], size: str, words: Words) -> Table:
    heads = ("card", "sheets", "front %", "back %", "steps %", "jumps", "back up", "returns", "words", "hazards", "too tall mm")  # fmt: skip
    rows = tuple(tuple(_row(plan, FORMATS[size].room.face_mm, words)) for plan in plans)
    return Table(f"conditions-{size}", f"Conditions, {size}", heads, rows,
                 "front, back: how full the fullest is; steps: share of the fronts' height; returns: to a place that was left")  # fmt: skip


def _row(plan: Plan, room_mm: float, words: Words) -> Iterator[Cell]:
    ladder, sheets = plan.ladder, plan.sheets
    yield ladder.code
    yield len(sheets)
    yield _per_cent(max(sheet.front_mm for sheet in sheets), room_mm)
    yield _per_cent(max(sheet.back_mm for sheet in sheets), room_mm)
    yield _per_cent(sum(sheet.rungs_mm for sheet in sheets), room_mm * len(sheets))
    yield ladder.forward_jumps
    yield ladder.backward_jumps
    yield ladder.returns
    yield sum(prose.words(words.text(text)) for text in _texts(plan))
    yield sum(len(head_lines(sheet.rungs)) + len(head_lines(sheet.ends)) for sheet in sheets)
    yield round(max(plan.over_front_mm, plan.over_back_mm), 1)


def _texts(plan: Plan) -> Iterator[str]:
    """The words of steps and fixes."""
    for rung in plan.ladder.rungs:
        yield from (rung.step.check.body.do, rung.step.check.body.see)
    for end in plan.ladder.ends:
        if end.fix is not None:
            finding = end.fix.finding
            yield from (finding.says, *finding.instructions)
