"""What a limit of the supply is held against: readings that pass or fail, and margins that are given."""

import pytest

from leadsman.book.sound_supply import Reading
from leadsman.compute.registry import Number, formulas


def test_a_real_fault_still_fails() -> None:
    """The judge can say no: a limit just missed on either side."""
    assert not Reading("c", "w", 1.01, "at most", 1.0).passes
    assert not Reading("c", "w", 0.99, "at least", 1.0).passes


@pytest.mark.parametrize(
    ("formula", "item"),
    [
        ("supply.plug_bands", "joint_allowance"), ("supply.plug_bands", "low_limit_margin"),
        ("supply.plug_verdict", "joint_allowance"), ("supply.plug_verdict", "same_volts"),
        ("supply.lamp_test", "joint_allowance"), ("supply.lead_drop_limit", "joint_allowance"),
        ("supply.readout_floor", "readout_error"), ("supply.readout_verdict", "change"),
        ("supply.readout_verdict", "bad_change"), ("supply.leg_limit", "joint_drop"),
        ("supply.measured_loop", "same_volts"),
    ],
)  # fmt: skip
def test_no_formula_holds_a_margin_of_its_own(formula: str, item: str) -> None:
    """A margin is an input that must be given, so that no second number can hide in a default."""
    found = next(i for i in formulas()[formula].inputs if i.name == item)
    assert isinstance(found, Number)
    assert found.default is None
