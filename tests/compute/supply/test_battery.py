"""Batteries: the table both ways, what is refused, the verdicts and the windows."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.registry import NoAnswer
from leadsman.compute.supply.battery import (
    WINDOW_V,
    battery_verdict,
    battery_window,
    block_balance,
    rest_voltage,
    rest_voltage_from_gravity,
    state_of_charge,
)


@given(
    charge=st.floats(0, 100),
    chemistry=st.sampled_from(["flooded", "AGM"]),
    system=st.sampled_from(["12 V", "24 V", "36 V"]),
)
def test_charge_and_rest_volts_are_inverse(charge: float, chemistry: str, system: str) -> None:
    """Lead-acid rest volts tell the charge, for one block and for several in series."""
    volts = rest_voltage(charge_pct=charge, chemistry=chemistry, system=system)

    assert state_of_charge(rest_v=volts, chemistry=chemistry, system=system) == pytest.approx(
        charge, abs=1e-6
    )


@pytest.mark.parametrize("chemistry", ["flooded", "AGM", "LFP"])
def test_rest_volts_rise_with_charge(chemistry: str) -> None:
    """Monotonic over the whole range."""
    volts = rest_voltage(charge_pct=np.linspace(0, 100, 101), chemistry=chemistry)

    assert np.all(np.diff(volts) > 0)


@pytest.mark.parametrize(("volts", "charge"), [(12.7, 100), (12.4, 75), (12.2, 50), (12.0, 25)])
def test_the_round_figures_of_practice(volts: float, charge: float) -> None:
    """12.7, 12.4, 12.2 and 12.0 V are 100, 75, 50 and 25 % (common practice, no source), to a tenth of
    charge."""
    assert state_of_charge(rest_v=volts, chemistry="flooded") == pytest.approx(charge, abs=10)


@pytest.mark.parametrize("volts", [12.75, 13.0, 13.2, 13.25, 13.3, 13.49])
def test_lithium_iron_phosphate_is_not_inferred_from_its_plateau(volts: float) -> None:
    """40 to 70 % all stand at 13.2-13.3 V: the formula refuses to guess (common practice, no source)."""
    with pytest.raises(NoAnswer, match="tell nothing"):
        state_of_charge(rest_v=volts, chemistry="LFP")


def test_lithium_iron_phosphate_near_its_ends_is_told() -> None:
    """Below a fifth and at full the volts do say something."""
    assert state_of_charge(rest_v=12.6, chemistry="LFP") == pytest.approx(10)
    assert state_of_charge(rest_v=13.5, chemistry="LFP") == 100


@pytest.mark.parametrize(
    ("volts", "reason"), [(13.4, "surface charge"), (11.0, "dead cell"), (12.76, "surface charge")]
)
def test_volts_outside_the_table_are_refused_with_the_reason(volts: float, reason: str) -> None:
    """Neither clamped to full nor to empty."""
    with pytest.raises(NoAnswer, match=reason):
        state_of_charge(rest_v=volts, chemistry="flooded")


def test_one_bad_value_refuses_the_array() -> None:
    """A table is not filled with silent gaps."""
    with pytest.raises(NoAnswer):
        state_of_charge(rest_v=np.array([12.4, 14.0]), chemistry="flooded")


def test_gravity_rule_against_the_table() -> None:
    """SG + 0.84 V per cell stands within 0.03 V of the table at full and within 0.14 V at empty."""
    table = rest_voltage(charge_pct=np.array([100.0, 0.0]), chemistry="flooded")
    rule = rest_voltage_from_gravity(specific_gravity=np.array([1.265, 1.120]))

    assert np.abs(table - rule) == pytest.approx([0.02, 0.13], abs=0.005)


@pytest.mark.parametrize(
    ("volts", "chemistry", "state", "expected"),
    [
        (12.2, "flooded", "lights on", "fit to test with"),
        (12.19, "flooded", "lights on", "weak: charge and repeat"),
        (11.79, "flooded", "lights on", "flat: charge, find why"),
        (12.8, "LFP", "lights on", "fit to test with"),
        (0.0, "LFP", "rested", "protection open or dead"),
        (13.6, "flooded", "engine running", "charging"),
        (14.6, "flooded", "engine running", "charging"),
        (15.0, "flooded", "engine running", "high: look"),
        (15.01, "flooded", "engine running", "over-voltage"),
        (12.4, "flooded", "engine running", "not charging"),
    ],
)
def test_verdicts_change_at_the_limits_of_practice(
    volts: float, chemistry: str, state: str, expected: str
) -> None:
    """12.2 V with lights on clears lead-acid, 12.8 V LFP; 13.6-14.6 V running; above 15.0 V over-voltage
    (practice)."""
    assert battery_verdict(battery_v=volts, chemistry=chemistry, state=state) == expected
    assert battery_verdict(battery_v=2 * volts, chemistry=chemistry, state=state, system="24 V") == expected


@given(
    low=st.floats(5, 11), high=st.floats(12, 36), drop=st.floats(0, 2), pack=st.sampled_from(sorted(WINDOW_V))
)
def test_window_verdict_agrees_with_its_margins(low: float, high: float, drop: float, pack: str) -> None:
    """``fits`` means that both margins are there."""
    fit = battery_window(pack=pack, low_limit_v=low, high_limit_v=high, drop_v=drop)

    assert (fit.verdict == "fits") == (fit.low_margin >= 0 and fit.high_margin >= 0)


def test_four_lithium_ion_cells_are_too_much_for_some_units() -> None:
    """16.8 V full against a limit of 16 V, and no trouble for a unit that accepts 17 V (common practice)."""
    assert battery_window(pack="lithium-ion 4 cells", low_limit_v=10.0, high_limit_v=16.0).verdict.startswith(
        "too high"
    )
    assert battery_window(pack="lithium-ion 4 cells", low_limit_v=10.0, high_limit_v=17.0).verdict == "fits"


def test_a_tapped_block_is_found() -> None:
    """12 V taken from the lower block of a 24 V battery drains that block (common practice, no source)."""
    assert block_balance(upper_v=12.6, lower_v=12.6).verdict == "equal"
    assert "tapped" in block_balance(upper_v=12.7, lower_v=12.3).verdict
    assert "upper" in block_balance(upper_v=12.3, lower_v=12.7).verdict


@pytest.mark.parametrize(
    ("chemistry", "charged_v", "floating_v"),
    [("flooded", 12.7, 13.5), ("AGM", 12.9, 13.5), ("LFP", 13.4, 14.2)],
)
@pytest.mark.parametrize("state", ["rested", "lights on"])
def test_a_charger_is_told_from_a_full_battery(
    chemistry: str, charged_v: float, floating_v: float, state: str
) -> None:
    """Full at rest, and floating or on charge; per block (common practice, no source)."""
    for system, blocks in (("12 V", 1), ("24 V", 2)):
        told = [
            str(battery_verdict(battery_v=blocks * v, chemistry=chemistry, state=state, system=system))
            for v in (charged_v, floating_v)
        ]
        assert told == ["fit to test with", "charger on or over-voltage"]


@pytest.mark.parametrize(
    ("chemistry", "state", "fit", "flat", "high"),
    [
        ("flooded", "rested", 12.5, 11.8, 12.9), ("AGM", "rested", 12.6, 11.9, 13.2), ("LFP", "rested", 12.8, 12.0, 13.8),
        ("flooded", "lights on", 12.2, 11.8, 12.9), ("AGM", "lights on", 12.2, 11.8, 13.2), ("LFP", "lights on", 12.8, 12.0, 13.8),
    ],
)  # fmt: skip
def test_a_battery_is_judged_at_its_volts(
    chemistry: str, state: str, fit: float, flat: float, high: float
) -> None:
    """Volts of a 12 V block by chemistry and state (common practice, no source); a limit belongs to the better side."""

    def of(volts: float) -> str:
        return str(battery_verdict(battery_v=volts, chemistry=chemistry, state=state))

    dead = "protection open or dead"
    words = (
        "flat: charge, find why",
        "weak: charge and repeat",
        "fit to test with",
        "charger on or over-voltage",
    )
    assert [of(7.99), of(8.0)] == [dead, words[0]]
    assert [of(flat - 0.01), of(flat)] == [words[0], words[1]]
    assert [of(fit - 0.01), of(fit)] == [words[1], words[2]]
    assert [of(high), of(high + 0.01)] == [words[2], words[3]]


@pytest.mark.parametrize(
    ("volts", "verdict"),
    [
        (12.49, "not charging"), (12.5, "charging poorly"), (13.59, "charging poorly"), (13.6, "charging"), (14.6, "charging"),
        (14.61, "high: look"), (15.0, "high: look"), (15.01, "over-voltage"),
    ],
)  # fmt: skip
def test_an_alternator_is_judged_at_its_volts(volts: float, verdict: str) -> None:
    """Volts of a 12 V block with the engine running (common practice, no source)."""
    assert str(battery_verdict(battery_v=volts, chemistry="flooded", state="engine running")) == verdict


@pytest.mark.parametrize(
    ("apart", "verdict"), [(0.2, "equal"), (-0.2, "equal"), (0.21, "lower"), (-0.21, "upper")]
)
def test_blocks_differ_by_two_tenths_of_a_volt(apart: float, verdict: str) -> None:
    """Common practice, no source."""
    assert str(block_balance(upper_v=12.5 + apart, lower_v=12.5).verdict).startswith(verdict)


@pytest.mark.parametrize(
    ("low", "high", "verdict"),
    [
        (12.0, 16.8, "fits"), (12.1, 16.8, "too low when nearly empty"), (12.0, 16.7, "too high when full or charging"),
        (12.1, 16.7, "fits at neither end"),
    ],
)  # fmt: skip
def test_a_window_is_judged_at_both_its_ends(low: float, high: float, verdict: str) -> None:
    """Four lithium-ion cells hold 12.0 V at 3 V a cell and 16.8 V at 4.2 V."""
    assert battery_window(pack="lithium-ion 4 cells", low_limit_v=low, high_limit_v=high).verdict == verdict


@pytest.mark.parametrize("volts", [12.7, 13.5])
def test_the_ends_of_the_plateau_still_tell_something(volts: float) -> None:
    """Only what lies between 12.7 and 13.5 V is refused."""
    assert 0 < state_of_charge(rest_v=volts, chemistry="LFP") <= 100


def test_a_full_battery_may_stand_a_tenth_of_a_volt_above_its_table() -> None:
    """The spread between makes; a table's ends are inside it (BCI: flooded 12.65 V full)."""
    full, empty = (float(rest_voltage(charge_pct=charge, chemistry="flooded")) for charge in (100.0, 0.0))

    assert state_of_charge(rest_v=full + 0.1, chemistry="flooded") == 100
    assert state_of_charge(rest_v=empty, chemistry="flooded") == 0
    with pytest.raises(NoAnswer, match="surface charge"):
        state_of_charge(rest_v=full + 0.101, chemistry="flooded")
    with pytest.raises(NoAnswer, match="dead cell"):
        state_of_charge(rest_v=empty - 0.001, chemistry="flooded")


@pytest.mark.parametrize(
    ("pack", "cells", "empty_v", "charging_v"),
    [
        ("lithium-ion 3 cells", 3, 3.0, 4.2), ("lithium-ion 4 cells", 4, 3.0, 4.2), ("LFP 4 cells", 4, 2.5, 3.65), ("LFP 8 cells", 8, 2.5, 3.65),
        ("flooded 12 V", 6, 11.8 / 6, 14.8 / 6), ("flooded 24 V", 12, 11.8 / 6, 14.8 / 6), ("AGM 12 V", 6, 11.8 / 6, 2.45), ("AGM 24 V", 12, 11.8 / 6, 2.45),
    ],
)  # fmt: skip
def test_a_pack_spans_the_volts_of_its_cells(
    pack: str, cells: int, empty_v: float, charging_v: float
) -> None:
    """3.0 to 4.2 V a lithium-ion cell, 2.5 to 3.65 V an LFP cell, 2.45 or 2.47 V a lead cell on charge (common practice)."""
    assert WINDOW_V[pack] == pytest.approx((cells * empty_v, cells * charging_v))
