"""The supply in pictures: volts from battery to plug, and where the probes go."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from leadsman.book.computed import ComputedTable
from leadsman.compute.supply.plug_checks import ONE_BLOCK_V
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
    text = (
        f"{ladder.name}: unit transmitting at full brightness, engine off, {ladder.current} through {ladder.lead}. "
        f"The battery gives {volts(ladder.source_v)}; sound joints and contacts take {volts(ladder.contacts_v)}, the copper out and back "
        f"{volts(ladder.copper_v)}; a sound lead leaves {ladder.printed[0]} at the plug. Below {ladder.printed[1]} look for a bad joint. "
        f"Below {ladder.printed[2]} the supply is convicted. The unit's own low limit is {quantity(ladder.low_limit_v, 'V')}. "
        "If the battery reads otherwise, shift all but the last two by the difference."
    )
    caption = f"{ladder.name}'s lead as an example; the table of volts at the plug gives each boat's own."
    yield Figure(
        "voltage-ladder", "Volts from battery to plug", caption, plain_words(text), drawing.svg(),
        ("restarts-on-transmit", "which-part", "plug-volts"),
    )  # fmt: skip


class Ladder:
    """The volts of one boat's lead, as its row of the table has them."""

    def __init__(self, numbers: Numbers, table: ComputedTable, boat_id: str) -> None:
        boat = numbers.catalogue.boats[boat_id]
        row = [item.record_id for item in table.rows].index(boat_id)
        given: dict[str, Any] = {**numbers.boat(boat), **table.fixed}
        bands = numbers.ask("supply.plug_bands", given)
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
        self.lead = f"{numbers.depth(float(given['length_m']), 'nearest', step=1, us_step=1)} of {size}"

    def level(self, value_v: float) -> float:
        """Where some volts stand on the sheet."""
        greatest, least = self.source_v, self.low_limit_v - 0.2
        return _TOP + (greatest - value_v) / (greatest - least) * (_FOOT - _TOP)

    def draw(self, drawing: Drawing) -> None:
        """The steps on the left, the bands and their words on the right."""
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
        for x, words in ((at[0], "battery"), (at[2], "lead")):
            drawing.text((x, _TOP - 2.4), words)
        drawing.text(((left + right) / 2, _TOP - 2.4), "plug", anchor="middle")
        told = [f"{self.name}, {self.current}", self.lead, f"joints \u2212{volts(self.contacts_v)}",
                f"copper \u2212{volts(self.copper_v)}"]  # fmt: skip
        drawing.lines((at[0], level(after) + 9), told, step=4.8)
        drawing.line((left - 2, low), (right + 2, low), LINE, DASHED)
        marks = [
            (level(self.source_v), f"battery {volts(self.source_v)}", False),
            (top, f"sound lead {self.printed[0]}", True),
            (bad, f"bad joint below {self.printed[1]}", True),
            (convicted, "supply convicted", True),
            (convicted, f"below {self.printed[2]}", True),
            (low, f"low limit {quantity(self.low_limit_v, 'V')}", False),
        ]
        for (mark, words, bold), place in zip(
            marks, spread([m for m, _, _ in marks], 4.6, 3, 56), strict=True
        ):
            if words.startswith("below"):
                drawing.text((right + 3.2, place + 1.3), words, bold=bold)
                continue
            drawing.path([(right, mark), (right + 1, mark), (right + 2.6, place)], stroke=THIN)
            drawing.text((right + 3.2, place + 1.3), words, bold=bold)


def probes(numbers: Numbers) -> Iterator[Figure]:
    """Where the probes go on the supply: lamp at the parted plug, battery posts, the two legs, each joint."""
    if "lamp-limits" not in numbers.catalogue.tables:
        return
    drawing = Drawing(CARD_WIDTH, 60)
    positive, negative, post, plug = 16.0, 44.0, 17.0, 77.0
    _battery_and_lead(drawing, post, positive, negative, plug)
    _lamp(drawing, (plug, positive), (plug, negative))
    _meter(drawing, "1", (plug + 12.5, 30), (plug, positive + 3.5), (plug, negative - 3.5))
    _meter(drawing, "2", (4, 30), (post, positive + 3.5), (post, negative - 3.5))
    _meter(drawing, "3", (46, 6), (post, positive), (plug, positive))
    _meter(drawing, "4", (46, 54), (post, negative), (plug, negative))
    joint, share = numbers.value("joint-drop") or "", numbers.value("leg-share") or "half"
    rows = [
        "2 less 1: no more",
        "than in the table",
        f"3 and 4: {share} each",
        f"joint: {joint} or less" if joint else "then each joint",
    ]
    drawing.lines((29, 27.0), rows, step=4.5)
    text = (
        "The feed off, the power plug apart, the lamp clipped across its contacts, then the feed on. Meter 1 across the plug's contacts "
        "beside the lamp, meter 2 across the battery posts at the same moment. Meter 2 less meter 1 is the drop. It is no more than the table "
        "of the lamp test gives for the boat. Meter 3 goes with the long lead from battery positive to the plug's positive contact. Meter 4 goes from battery "
        f"negative to its negative contact. Each leg drops {share} of that or less. Then walk the worse leg joint by joint, across holder contacts, "
        f"switch and crimp{f', each {joint} or less' if joint else ''}. Clip the lamp outside engine and fuel spaces."
    )
    yield Figure(
        "probes", "Where the probes go", "Lamp lit, all readings under that load: plug, battery, then leg by leg.", plain_words(text), drawing.svg(),
        ("dead-unit", "restarts-on-transmit", "lamp-limits"),
    )  # fmt: skip


def _battery_and_lead(drawing: Drawing, post: float, positive: float, negative: float, plug: float) -> None:
    for level, sign in ((positive, "+"), (negative, "\u2212")):
        drawing.path([(post, 30), (post, level), (plug, level)], stroke=THICK)
        drawing.text((plug - 4.5, level + (6 if sign == "+" else -3.4)), sign, bold=True)
        drawing.circle((plug, level), 1.7, fill="#000", stroke=0)
    drawing.box((post - 6, 23.5), 12, 13)
    drawing.text((post, 28.6), "+", anchor="middle", bold=True)
    drawing.text((post, 34.4), "\u2212", anchor="middle", bold=True)
    for x, words in ((29.0, "fuse"), (51.0, "joint")):
        drawing.box((x, positive - 1.8), 8, 3.6)
        drawing.text((x + 4, positive + 6), words, anchor="middle")
    drawing.box((51, negative - 1.8), 8, 3.6)


def _lamp(drawing: Drawing, upper: Point, lower: Point) -> None:
    middle, radius = (upper[1] + lower[1]) / 2, 3.4
    drawing.line(upper, (upper[0], middle - radius))
    drawing.line((lower[0], middle + radius), lower)
    drawing.circle((upper[0], middle), radius)
    reach = radius * 0.7
    for side in (-1, 1):
        drawing.line((upper[0] - reach, middle - side * reach), (upper[0] + reach, middle + side * reach))
    drawing.text((upper[0] - 4.6, middle + 1.3), "lamp", anchor="end")


def _meter(drawing: Drawing, name: str, centre: Point, first: Point, second: Point) -> None:
    """A meter with its two leads, dashed, to the points that it measures between."""
    across = abs(first[0] - second[0]) < abs(first[1] - second[1])
    for point in (first, second):
        corner = (centre[0], point[1]) if across else (point[0], centre[1])
        drawing.path([point, corner, centre], stroke=LINE, dash=DASHED)
        drawing.circle(point, 0.8, stroke=LINE)
    drawing.badge(centre, name)
