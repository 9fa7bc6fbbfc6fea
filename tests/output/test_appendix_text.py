"""What stands as plain text in the program, as the appendix prints it."""

from __future__ import annotations

import pytest

from leadsman.compute.registry import Number, formulas
from leadsman.output.appendix_text import bounds, technical


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("0.3 K near 25 degC.", "0.3 K near 25 °C"),
        ("within 5 deg of level", "within 5° of level"),
        ("(tilt/width)^2 >= 0.5", "(tilt/width)² ≥ 0.5"),
        ("8 ohm/km of 2.5 mm2", "8 Ω/km of 2.5 mm²"),
        ("groups of 2 1 after another", "groups of 2 1 after another"),
    ],
)
def test_typed_units_become_signs_and_plain_numbers_stay(typed: str, printed: str) -> None:
    """Unit symbols of the SI Brochure (BIPM, 2019, chapter 5): a degree of angle follows its number closely."""
    assert technical(typed).replace("\u202f", " ") == printed


def test_resistances_print_in_the_unit_that_leaves_a_short_number() -> None:
    assert bounds(Number("r", "ohm", 0.0, 1e8, "")).replace("\u202f", " ") == "0 Ω to 100 MΩ"


def test_every_bound_of_every_formula_can_be_printed() -> None:
    for formula in formulas().values():
        for number in (i for i in formula.inputs if isinstance(i, Number)):
            assert " to " in bounds(number)
            assert "e+" not in bounds(number), formula.name
