"""A boat's own numbers for its owner's guide: volts, lead, tilt, depths in its waters, thermistor.

Each is a value or a table that the content declares, narrowed to this boat: its bands, its waters, its own
display's limits, its tilt and, for an in-hull transducer, its laminate. Limits keep the side that the content
rounds them to, so that the shallow end is never printed too small and the deep end never too great.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from leadsman.book.computed import Number, compute_table, compute_value, compute_word, show
from leadsman.book.inputs import boat_inputs, through
from leadsman.compute.registry import NoAnswer, formulas
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.base import Prose
from leadsman.content.model.edition import DepthWindow, GuideEdition
from leadsman.content.model.equipment import Boat, Transducer
from leadsman.content.model.phrases import Phrases, filled
from leadsman.content.model.reference import Shown
from leadsman.content.model.table import Axis, Cell, Table

#: The id under which the boat of a guide stands in the catalogue while its numbers are computed.
THIS_BOAT = "this-boat"
#: The greatest tilt for which the echo formulas hold [deg].
_MOST_TILT_DEG = 30.0


@dataclass(frozen=True)
class NumberLine:
    """One number of the boat, with the words around it."""

    id: str
    label: str
    text: str
    says: Prose | None = None


@dataclass(frozen=True)
class Grid:
    """A small table: what stands above it, its heads and its cells, all as printed."""

    id: str
    caption: str
    head: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    """Each row with its head as the first cell."""


@dataclass(frozen=True)
class BoatNumbers:
    """Everything that the page of a boat's own numbers prints."""

    lines: tuple[NumberLine, ...]
    grids: tuple[Grid, ...]
    thin_lead: bool = False
    """Whether the boat's power lead, however sound, leaves its display too little."""


def boat_numbers(
    edition: GuideEdition,
    boat: Boat,
    catalogue: Catalogue,
    units: str,
    known: dict[Hashable, tuple[Grid, ...]] | None = None,
) -> BoatNumbers:
    """Compute the page of one boat.

    ``known`` keeps the depths for other boats of one fleet with the same equipment in the same waters.

    Raises
    ------
    TableError
        When a value or table of the edition cannot be computed for this boat.
    """
    boat = boat.model_copy(update={"id": THIS_BOAT})
    own = dataclasses.replace(
        catalogue, records={**catalogue.records, "boats": {**catalogue.boats, THIS_BOAT: boat}}
    )
    transducer = own.transducers[boat.transducer]
    lines = []
    thin = _is_too_thin(edition, own, units)
    for name, number in edition.numbers.items():
        if number.nominal_v not in (None, boat.supply.nominal_v):
            continue
        if number.lead is not None and (number.lead == "too thin") != thin:
            continue
        if number.housings and transducer.housing not in number.housings:
            continue
        assert number.value.computed is not None
        computation = number.value.computed.model_copy(update={"boat": THIS_BOAT})
        value = number.value.model_copy(update={"computed": computation})
        try:
            text = compute_value(value, own, units).number.text
        except NoAnswer:
            if thin:
                # Such a lead does not pass the display's power at all.
                continue
            text = str(own.phrases(edition.language).guide.no_depth)
        lines.append(NumberLine(name, str(number.label), text, number.says))
    if edition.window is None:
        return BoatNumbers(tuple(lines), (), thin)
    # All that the depths hang on; names and leads are not among it.
    key = (boat.display, boat.transducer, tuple(boat.waters), boat.deadrise_deg, boat.element_tilt_deg,
           boat.shaft_angle_deg, boat.face_levelled, boat.material, boat.laminate_mm, units)  # fmt: skip
    grids = (known or {}).get(key) or tuple(_grids(edition, edition.window, boat, own, units))
    if known is not None:
        known[key] = grids
    return BoatNumbers(tuple(lines), grids, thin)


def _is_too_thin(edition: GuideEdition, own: Catalogue, units: str) -> bool:
    """Whether the boat's lead cannot feed its display even when every joint is sound."""
    if edition.lead is None:
        return False
    try:
        said = compute_word(edition.lead.model_copy(update={"boat": THIS_BOAT}), own)
    except NoAnswer:
        return True
    return said == "too thin"


def _grids(edition: GuideEdition, window: DepthWindow, boat: Boat, own: Catalogue, units: str) -> list[Grid]:
    narrowed = _Narrowed(boat, own, units, own.phrases(edition.language))
    grids = [narrowed.depths(window), narrowed.suitability(own.tables[window.suitability])]
    if window.thermistor and narrowed.transducer.thermistor is not None:
        grids.append(narrowed.thermistor(own.tables[window.thermistor]))
    return grids


class _Narrowed:
    """The content's tables, narrowed to one boat."""

    def __init__(self, boat: Boat, own: Catalogue, units: str, phrases: Phrases) -> None:
        self.boat, self.own, self.units = boat, own, units
        self.words, self.links = phrases.guide, phrases.links
        self.transducer: Transducer = own.transducers[boat.transducer]
        self.family = own.families[boat.display]
        self.bands = [band for band in self.transducer.bands if band.looks == "down"]
        self.waters = [own.waters[name] for name in boat.waters]
        # Through a core, a tank or metal there is nothing to promise.
        self.deaf = self.transducer.housing == "in-hull" and boat.material != "solid-grp"

    def depths(self, window: DepthWindow) -> Grid:
        """From which to which depth each band gives a firm number, on a bad day, in each water."""
        shallow = self._by_band(self.own.tables[window.shallow], None)
        deep = []
        for name in window.deep:
            season = next((a.season for a in _axes(self.own.tables[name]) if a.each == "water"), None)
            waters = Axis(
                each="water", only=[w.id for w in self.waters], season=season, head=self.words.water
            )
            deep.append(self._by_band(self.own.tables[name], waters))
        rows = []
        for index, band in enumerate(self.bands):
            cells = [f"{band.name}{self._through()}"]
            for column in range(len(self.waters)):
                deepest = [number for table in deep for number in table[index][column]]
                cells.append(self._range(shallow[index][0], deepest))
            rows.append(tuple(cells))
        across = tuple(str(w.name) for w in self.waters)
        return Grid("depths", str(self.words.depths), str(self.words.band), across, tuple(rows))

    def _range(self, shallowest: Sequence[Number], deepest: Sequence[Number]) -> str:
        if self.deaf or not all(number.answered for number in (*shallowest, *deepest)):
            return str(self.words.no_depth)
        # Of several numbers the most cautious holds.
        least = max(shallowest, key=lambda number: number.printed or 0)
        most = min(deepest, key=lambda number: number.printed or 0)
        if least.printed is None or most.printed is None or most.printed <= least.printed:
            return str(self.words.no_depth)
        return filled(self.words.span, least=least.text, greatest=most.text)

    def suitability(self, table: Table) -> Grid:
        """Which band serves at the shallow and at the deep end of each water, in a word."""
        bands = Axis(each="band", only=[self.transducer.id], head=self.words.band)
        rows: list[tuple[str, ...]] = []
        for water in self.waters:
            given = {
                **self._given(table),
                "temperature": f"{water.summer_c} C",
                "salinity": f"{water.salinity_psu} PSU",
                "sediment": water.sediment,
                "wind": f"{water.wind_mps} m/s",
            }
            depths = sorted({water.shallow_m, water.deep_m})
            axis = Axis(input="depth", values=[f"{depth} m" for depth in depths], head=self.words.depth)
            changes = {"rows": axis, "columns": bands, "given": given, "cells": [Cell(output="word")]}
            found = compute_table(table.model_copy(update=changes), self.own, self.units)
            for depth, cells in zip(depths, found.cells, strict=True):
                words = [str(self.words.no_depth) if self.deaf else cell.text for cell in cells]
                rows.append((f"{water.name}, {_depth(depth, self.units)}", *words))
        across = tuple(str(band.name) for band in self.bands)
        return Grid("bands", str(self.words.bands), str(self.words.bands_head), across, tuple(rows))

    def thermistor(self, table: Table) -> Grid:
        """The thermistor by water temperature, for the dealer's meter."""
        temperatures = next(axis for axis in _axes(table) if axis.input == "temperature")
        own = Axis(each="transducer", only=[self.transducer.id], head=self.words.transducer)
        found = compute_table(
            table.model_copy(update={"rows": temperatures, "columns": own}), self.own, self.units
        )
        rows = tuple((head, cells[0].text) for head, cells in zip(found.row_heads, found.cells, strict=True))
        water, resistance = map(str, self.words.thermistor_heads)
        return Grid("thermistor", str(self.words.thermistor), water, (resistance,), rows)

    def _by_band(self, table: Table, columns: Axis | None) -> list[list[list[Number]]]:
        """The table's numbers for this transducer: of each band, of each column, whatever it counts."""
        bands = Axis(each="band", only=[self.transducer.id], head=self.words.band)
        numbers = [end for cell in table.cells if cell.show is not None for end in _ends(cell)]
        table = table.model_copy(update={"rows": bands, "columns": columns, "cells": numbers})
        found = compute_table(table.model_copy(update={"given": self._given(table)}), self.own, self.units)
        return [
            [list(line[at : at + len(numbers)]) for at in range(0, len(line), len(numbers))]
            for line in found.cells
        ]

    def _given(self, table: Table) -> dict[str, Any]:
        """The table's own inputs, with those of the boat where the formula takes them."""
        own: dict[str, str] = {
            "greatest_depth": f"{self.family.greatest_depth_m} m",
            "least_depth": f"{self.family.least_depth_m} m",
            "tilt": f"{min(self._tilt_deg(), _MOST_TILT_DEG):.3f} deg",
        }
        if self.transducer.housing == "in-hull":
            own["laminate"] = f"{self.boat.laminate_mm or 0.0} mm"
        takes = _inputs(table)
        return {**table.given, **{name: text for name, text in own.items() if name in takes}}

    def _tilt_deg(self) -> float:
        """How far the beam stands off straight down with the boat at rest."""
        if self.transducer.housing not in ("through-hull", "in-hull"):
            # A bracket is levelled on the boat.
            return 0.0
        offered = boat_inputs(self.boat, self.own)
        found = formulas()["hull.residual_tilt"](
            **{name: offered[name] for name in ("deadrise_deg", "element_tilt_deg", "shaft_angle_deg")}
        )
        return float(found.total)

    def _through(self) -> str:
        """The boat's own hull, where the transducer sounds through it."""
        own = self.boat.laminate_mm if self.transducer.housing == "in-hull" and not self.deaf else None
        return through(own, self.units, self.links)


def _ends(cell: Cell) -> list[Cell]:
    """A range as the two cells of its ends, of which a guide takes the cautious one."""
    if cell.to is None:
        return [cell]
    other = {name: getattr(cell.to, name) for name in ("output", "show", "show_us", "show_fathoms")}
    return [cell.model_copy(update={"to": None}), cell.model_copy(update={**other, "to": None})]


def _inputs(table: Table) -> set[str]:
    return {item.name for item in formulas()[table.formula].inputs}


def _axes(table: Table) -> list[Axis]:
    return [axis for axis in (table.rows, table.columns) if axis is not None]


def _depth(depth_m: float, units: str) -> str:
    unit, step = ("m", 0.5 if depth_m % 1 else 1.0) if units == "metric" else ("ft", 1.0)
    return show(depth_m, "m", Shown(unit=unit, step=step, round="nearest")).text


def as_slots(numbers: BoatNumbers) -> Mapping[str, str]:
    """Every printed text of the page by the name of its place, for pages that are laid out once."""
    slots = {f"number-{line.id}": line.text for line in numbers.lines}
    for grid in numbers.grids:
        slots |= {f"{grid.id}-head-{column}": text for column, text in enumerate(grid.columns, 1)}
        slots |= {f"{grid.id}-{row}-{column}": text
                  for row, cells in enumerate(grid.rows, 1) for column, text in enumerate(cells)}  # fmt: skip
    return slots
