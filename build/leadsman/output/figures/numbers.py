"""The numbers of one edition as pictures print them: from its own tables, formulas and units."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from leadsman.book.computed import ComputedTable, compute_table, compute_value
from leadsman.book.inputs import band_inputs, boat_inputs
from leadsman.compute.registry import Formula, formulas
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.equipment import Boat, Transducer
from leadsman.units import Direction, convert, parse, present, quantity_text


class Numbers:
    """What the content of an edition gives to its pictures, each table and value computed once."""

    def __init__(self, catalogue: Catalogue, units: str = "metric", language: str = "en") -> None:
        self.catalogue = catalogue
        self.units = units
        self.phrases = catalogue.phrases(language)
        self.words = self.phrases.figures
        self._tables: dict[str, ComputedTable] = {}

    @property
    def metric(self) -> bool:
        """Whether lengths stand in metres."""
        return self.units == "metric"

    def table(self, name: str) -> ComputedTable | None:
        """A table of the content with its cells, or nothing where the content has none of that name."""
        if name not in self.catalogue.tables:
            return None
        if name not in self._tables:
            self._tables[name] = compute_table(self.catalogue.tables[name], self.catalogue, self.units)
        return self._tables[name]

    def value(self, name: str) -> str | None:
        """A value of the content as the prose prints it."""
        if name not in self.catalogue.values:
            return None
        return compute_value(self.catalogue.values[name], self.catalogue, self.units).number.text

    def length_mm(self, name: str) -> float:
        """A declared length of the content, to draw it true to scale [mm]."""
        declared = parse(str(self.catalogue.values[name].declared))
        return convert(declared.value, declared.unit, "mm")

    def ask(self, name: str, offered: Mapping[str, Any], **more: Any) -> Any:
        """The result of a formula with what it takes of the records' inputs, and with further ones."""
        formula: Formula = formulas()[name]
        taken = {i.argument: offered[i.argument] for i in formula.inputs if i.argument in offered}
        return formula(**{**taken, **more})

    def boat(self, boat: Boat) -> dict[str, Any]:
        """Everything that a boat gives to a formula."""
        return boat_inputs(boat, self.catalogue)

    def band(self, transducer: Transducer, number: int = 0) -> dict[str, Any]:
        """What a transducer's band that looks down gives to a formula."""
        down = [band for band in transducer.bands if band.looks == "down"]
        return dict(band_inputs(down[number]))

    def depth(self, value_m: float, side: Direction, step: float = 0.1, us_step: float = 0.5) -> str:
        """A depth or distance in metres or feet."""
        if self.metric:
            return present(value_m, "m", side, step=step)
        return present(value_m, "m", side, to="ft", step=us_step)

    def size(self, value_mm: float, side: Direction, step: float = 1, us_step: float = 0.1) -> str:
        """A small length in millimetres or inches."""
        if self.metric:
            return present(value_mm, "mm", side, step=step)
        return present(value_mm, "mm", side, to="in", step=us_step)

    def round_depth(self, metres: float, feet: float) -> float:
        """A depth that is round in the printed unit, for an example [m]."""
        return metres if self.metric else convert(feet, "ft", "m")

    def in_depth_unit(self, value_m: Any) -> Any:
        """Lengths for an axis in metres or feet."""
        return value_m if self.metric else convert(value_m, "m", "ft")

    @property
    def depth_unit(self) -> str:
        """The unit of such an axis."""
        return "m" if self.metric else "ft"


def angle(value_deg: float, side: Direction = "nearest") -> str:
    """An angle in whole degrees: nobody measures finer on a boat."""
    return present(value_deg, "deg", side, step=1)


def volts(value_v: float, side: Direction = "nearest", step: float = 0.05) -> str:
    """Volts as a meter shows them."""
    return present(value_v, "V", side, step=step)


def plain_words(text: str) -> str:
    """The words of a text without the signs that keep a line together, for a text that is read aloud."""
    return text.replace("\u202f", " ")


def quantity(value: float, unit: str) -> str:
    """A declared quantity as it stands in the content."""
    return quantity_text(int(value) if value == int(value) else value, unit)
