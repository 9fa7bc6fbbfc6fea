"""The supply in pictures: volts from battery to plug, and where the probes go."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from leadsman.book.computed import ComputedTable
from leadsman.compute.supply.plug_checks import ONE_BLOCK_V
from leadsman.content.model.figure_words import ProbeWords
from leadsman.content.model.phrases import filled
from leadsman.output.figures.drawing import (
    CARD_WIDTH,
    DASHED,
    LINE,
    THICK,
    THIN,
    Drawing,
    Point,
    spread,
)
from leadsman.output.figures.figure import Figure
from leadsman.output.figures.numbers import Numbers, plain_words, quantity, volts
from leadsman.units import present

#: Where the greatest and the least volts of the ladder stand on the sheet.
_TOP, _FOOT = 9.0, 52.0


def voltage_ladder(numbers: Numbers) -> Iterator[Figure]:
    """Volts along the lead of one boat, from battery to plug, and the three bands at the plug."""
    table = numbers.table("plug-volts")
    if table is None:
        return
    rungs = [Ladder(numbers, table, name) for name in (row.record_id for row in table.rows)]
    # The boat whose lead drops most and still feeds its unit shows the bands best.
    able = [ladder for ladder in rungs if ladder.serves and ladder.joint_v > ladder.convicted_v]
    if not able:
        return
    ladder = max(able, key=lambda found: found.source_v - found.plug_v)
    drawing = Drawing(CARD_WIDTH, 60)
    ladder.draw(drawing)
    words = ladder.words
    text = filled(
        words.text,
        name=ladder.name,
        current=ladder.current,
        lead=ladder.lead,
        source=volts(ladder.source_v),
        contacts=volts(ladder.contacts_v),
        copper=volts(ladder.copper_v),
        sound=ladder.printed[0],
        bad=ladder.printed[1],
        convicted=ladder.printed[2],
        low=quantity(ladder.low_limit_v, "V"),
    )
    yield Figure(
        "voltage-ladder", str(words.title), filled(words.caption, name=ladder.name), plain_words(text), drawing.svg(),
        ("feed-falls-under-load", "which-part", "plug-volts"),
    )  # fmt: skip


class Ladder:
    """The volts of one boat's lead, as its row of the table has them."""

    def __init__(self, numbers: Numbers, table: ComputedTable, boat_id: str) -> None:
        boat = numbers.catalogue.boats[boat_id]
        row = [item.record_id for item in table.rows].index(boat_id)
        given: dict[str, Any] = {**numbers.boat(boat), **table.fixed}
        bands = numbers.ask("supply.plug_bands", given)
        self.words = numbers.words.volts
        self.name = str(boat.name)
        self.printed = [cell.text for cell in table.cells[row]]
        self.source_v = float(given["block_v"]) * boat.supply.nominal_v / ONE_BLOCK_V
        self.low_limit_v = float(given["low_limit_v"])
        self.plug_v, self.joint_v, self.convicted_v = (float(v) for v in bands[:3])
        self.serves = bands.lead == "serves"
        # The unit holds its power, so it draws what the volts at its plug make of it.
        self.current_a = float(given["unit_power_w"]) / self.plug_v
        self.current = present(self.current_a, "A", "up", step=0.1)
        self.contacts_v = self.current_a * float(given["contact_ohm"])
        self.copper_v = self.source_v - self.plug_v - self.contacts_v
        size = str(given["conductor"]).replace("mm2", "mm\u00b2")
        length = numbers.depth(float(given["length_m"]), "nearest", step=1, us_step=1)
        self.lead = filled(self.words.of_lead, length=length, conductor=size)

    def level(self, value_v: float) -> float:
        """Where some volts stand on the sheet."""
        greatest, least = self.source_v, self.low_limit_v - 0.2
        return _TOP + (greatest - value_v) / (greatest - least) * (_FOOT - _TOP)

    def draw(self, drawing: Drawing) -> None:
        """The steps on the left, the bands and their words on the right."""
        words = self.words
        at, level = [1.0, 9.0, 20.0, 43.0], self.level
        plug = self.plug_v
        after = self.source_v - self.contacts_v
        top, bad, convicted, low = (
            level(v) for v in (plug, self.joint_v, self.convicted_v, self.low_limit_v)
        )
        left, right = at[3], 53.0
        bands = ((level(self.source_v), bad, None), (bad, convicted, 2.6), (convicted, _FOOT, 1.1))
        for upper, lower, spacing in bands:
            outline = [(left, upper), (right, upper), (right, lower), (left, lower)]
            if spacing:
                drawing.hatch(outline, angle_deg=45, spacing=spacing)
            drawing.path([*outline, outline[0]], stroke=THIN)
        # Volts fall in steps at the joints and evenly along the copper.
        drawing.path([(at[0], level(self.source_v)), (at[1], level(self.source_v)), (at[1], level(after)), (at[2], level(after)),
                      (at[3], top), (right, top)], stroke=THICK)  # fmt: skip
        for x, label in ((at[0], words.battery), (at[2], words.lead)):
            drawing.text((x, _TOP - 2.4), label)
        drawing.text(((left + right) / 2, _TOP - 2.4), words.plug, anchor="middle")
        told = [
            f"{self.name}, {self.current}",
            self.lead,
            filled(words.joints, volts=volts(self.contacts_v)),
            filled(words.copper, volts=volts(self.copper_v)),
        ]
        drawing.lines((at[0], level(after) + 9), told, step=4.8)
        drawing.line((left - 2, low), (right + 2, low), LINE, DASHED)
        marks = [
            (level(self.source_v), filled(words.source, volts=volts(self.source_v)), False),
            (top, filled(words.sound, volts=self.printed[0]), True),
            (bad, filled(words.bad, volts=self.printed[1]), True),
            (convicted, str(words.convicted), True),
            (convicted, filled(words.below, volts=self.printed[2]), True),
            (low, filled(words.low, volts=quantity(self.low_limit_v, "V")), False),
        ]
        told_of = None
        for (mark, said, bold), place in zip(
            marks, spread([m for m, _, _ in marks], 4.6, 3, 56), strict=True
        ):
            # The second line of one mark needs no stroke of its own.
            if mark != told_of:
                drawing.path([(right, mark), (right + 1, mark), (right + 2.6, place)], stroke=THIN)
            told_of = mark
            drawing.text((right + 3.2, place + 1.3), said, bold=bold)


def probes(numbers: Numbers) -> Iterator[Figure]:
    """Where the probes go on the supply: lamp at the parted plug, battery posts, the two legs, each joint."""
    if "lamp-limits" not in numbers.catalogue.tables:
        return
    words = numbers.words.probes
    drawing = Drawing(CARD_WIDTH, 60)
    positive, negative, post, plug = 16.0, 44.0, 17.0, 77.0
    _battery_and_lead(drawing, post, positive, negative, plug, words)
    _lamp(drawing, (plug, positive), (plug, negative), words)
    _meter(drawing, "1", (plug + 12.5, 30), (plug, positive + 3.5), (plug, negative - 3.5))
    _meter(drawing, "2", (4, 30), (post, positive + 3.5), (post, negative - 3.5))
    _meter(drawing, "3", (46, 6), (post, positive), (plug, positive))
    _meter(drawing, "4", (46, 54), (post, negative), (plug, negative))
    joint, share = numbers.value("joint-drop") or "", numbers.value("leg-share") or words.half
    rows = [
        *words.drop,
        filled(words.legs, share=share),
        filled(words.joint_limit, limit=joint) if joint else words.each_joint,
    ]
    drawing.lines((29, 27.0), rows, step=4.5)
    text = filled(words.text, share=share, joint=filled(words.each, limit=joint) if joint else "")
    yield Figure(
        "probes", str(words.title), str(words.caption), plain_words(text), drawing.svg(),
        ("dead-unit", "feed-falls-under-load", "lamp-limits"),
    )  # fmt: skip


def _battery_and_lead(
    drawing: Drawing, post: float, positive: float, negative: float, plug: float, words: ProbeWords
) -> None:
    for level, sign in ((positive, "+"), (negative, "\u2212")):
        drawing.path([(post, 30), (post, level), (plug, level)], stroke=THICK)
        drawing.text((plug - 4.5, level + (6 if sign == "+" else -3.4)), sign, bold=True)
        drawing.circle((plug, level), 1.7, fill="#000", stroke=0)
    drawing.box((post - 6, 23.5), 12, 13)
    drawing.text((post, 28.6), "+", anchor="middle", bold=True)
    drawing.text((post, 34.4), "\u2212", anchor="middle", bold=True)
    for x, label in ((29.0, words.fuse), (51.0, words.joint)):
        drawing.box((x, positive - 1.8), 8, 3.6)
        drawing.text((x + 4, positive + 6), label, anchor="middle")
    drawing.box((51, negative - 1.8), 8, 3.6)


def _lamp(drawing: Drawing, upper: Point, lower: Point, words: ProbeWords) -> None:
    middle, radius = (upper[1] + lower[1]) / 2, 3.4
    drawing.line(upper, (upper[0], middle - radius))
    drawing.line((lower[0], middle + radius), lower)
    drawing.circle((upper[0], middle), radius)
    reach = radius * 0.7
    for side in (-1, 1):
        drawing.line((upper[0] - reach, middle - side * reach), (upper[0] + reach, middle + side * reach))
    drawing.text((upper[0] - 4.6, middle + 1.3), words.lamp, anchor="end")


def _meter(drawing: Drawing, name: str, centre: Point, first: Point, second: Point) -> None:
    """A meter with its two leads, dashed, to the points that it measures between."""
    across = abs(first[0] - second[0]) < abs(first[1] - second[1])
    for point in (first, second):
        corner = (centre[0], point[1]) if across else (point[0], centre[1])
        drawing.path([point, corner, centre], stroke=LINE, dash=DASHED)
        drawing.circle(point, 0.8, stroke=LINE)
    drawing.badge(centre, name)
