"""Where each face of a card goes on a print-shop sheet, so that front and back meet after the sheet is turned.

Every length is in millimetres, every point from the lower left corner of the page as it is read. A card is
turned like a page of a book, about its upright axis: what lies ``u`` from the left edge of its front lies
``u`` from the right edge of its back.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from leadsman.errors import OutputError

#: Paper by name [mm]: the short edge, then the long one (ISO 216; ANSI Y14.1 A and B).
PAPERS_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4), "a3": (297.0, 420.0), "tabloid": (279.4, 431.8)}
Flip = Literal["long-edge", "short-edge", "fold"]
FLIPS: tuple[Flip, ...] = ("long-edge", "short-edge", "fold")
#: Bleed beyond the trim, the length of a crop mark, and what an office printer leaves unprinted at the edge.
BLEED_MM, MARK_MM, EDGE_MM = 3.0, 5.0, 4.3
#: Strip at the foot of a sheet for the scale bar and the line that names the sheet.
FOOT_MM = 17.0


@dataclass(frozen=True)
class Slot:
    """The trimmed area of one face on a page: lower left corner, size, and whether it stands on its head."""

    left_mm: float
    bottom_mm: float
    width_mm: float
    height_mm: float
    upside_down: bool = False

    @property
    def matrix(self) -> tuple[float, float, float, float, float, float]:
        """The PDF matrix [mm] that puts the face's lower left trim corner, at (0, 0), where it belongs."""
        if self.upside_down:
            return (-1.0, 0.0, 0.0, -1.0, self.left_mm + self.width_mm, self.bottom_mm + self.height_mm)
        return (1.0, 0.0, 0.0, 1.0, self.left_mm, self.bottom_mm)


@dataclass(frozen=True)
class Plan:
    """How the cards of one size lie on one paper."""

    page_mm: tuple[float, float]
    flip: Flip
    fronts: tuple[Slot, ...]
    backs: tuple[Slot, ...]
    """The back of ``fronts[i]``: on the other page of the sheet, or beside it where the sheet is folded."""
    gap_mm: float

    @property
    def per_sheet(self) -> int:
        """Cards on a sheet."""
        return len(self.fronts)

    @property
    def two_sided(self) -> bool:
        """Whether the sheet is printed on both sides."""
        return self.flip != "fold"

    def sheets(self, cards: int, *, stacked: bool = False) -> Iterator[list[int | None]]:
        """For each sheet the numbers of its cards, slot by slot; None where a slot stays empty.

        ``stacked`` deals the cards so that the cut piles, laid on each other, are in order.
        """
        count = -(-cards // self.per_sheet)
        for sheet in range(count):
            places = range(self.per_sheet)
            numbers = [slot * count + sheet if stacked else sheet * self.per_sheet + slot for slot in places]
            yield [number if number < cards else None for number in numbers]


def plan(trim_mm: tuple[float, float], paper: str, flip: Flip) -> Plan:
    """The arrangement that takes the most cards on a sheet, upright before landscape where both take as many.

    Raises
    ------
    OutputError
        When not one card fits the paper with its bleed, its marks and the foot line.
    """
    short, long = PAPERS_MM[paper]
    found = [p for page in ((short, long), (long, short)) if (p := _arranged(trim_mm, page, flip))]
    if not found:
        raise OutputError(f"a card of {trim_mm[0]:g} x {trim_mm[1]:g} mm does not fit {paper} with its marks")
    return max(found, key=lambda p: p.per_sheet)


def _arranged(trim_mm: tuple[float, float], page: tuple[float, float], flip: Flip) -> Plan | None:
    width, height = trim_mm
    unit = 2 * width if flip == "fold" else width
    around = BLEED_MM + MARK_MM + EDGE_MM
    across = page[0] - 2 * around
    # The same room at head and foot: the middle of the cards is the middle of the sheet, however it is turned.
    along = page[1] - 2 * max(FOOT_MM + MARK_MM + BLEED_MM, around)
    tight, wide = 2 * BLEED_MM, 2 * (BLEED_MM + MARK_MM)
    columns, rows = (
        int((room + tight) // (size + tight)) for room, size in ((across, unit), (along, height))
    )
    if columns < 1 or rows < 1:
        return None
    roomy = columns * (unit + wide) - wide <= across and rows * (height + wide) - wide <= along
    gap = wide if roomy else tight
    left = (page[0] - columns * (unit + gap) + gap) / 2
    bottom = (page[1] - rows * (height + gap) + gap) / 2
    fronts = [
        Slot(left + column * (unit + gap), bottom + row * (height + gap), width, height)
        for row in reversed(range(rows))
        for column in range(columns)
    ]
    return Plan(page, flip, tuple(fronts), tuple(_back(slot, page, flip) for slot in fronts), gap)


def _back(front: Slot, page: tuple[float, float], flip: Flip) -> Slot:
    if flip == "fold":
        return Slot(front.left_mm + front.width_mm, front.bottom_mm, front.width_mm, front.height_mm)
    upright = page[1] >= page[0]
    if upright == (flip == "long-edge"):
        # Turned about the upright axis, like the card itself: mirrored left and right.
        left = page[0] - front.left_mm - front.width_mm
        return Slot(left, front.bottom_mm, front.width_mm, front.height_mm)
    # Turned head over heels: mirrored top and bottom, so that the back must stand on its head.
    bottom = page[1] - front.bottom_mm - front.height_mm
    return Slot(front.left_mm, bottom, front.width_mm, front.height_mm, upside_down=True)
