"""The supply ladder: the three bands, the verdicts, and the limits of lamp, leg, joint and cranking."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.registry import NoAnswer
from leadsman.compute.supply.cranking import battery_resistance, cranking_minimum, cranking_voltage
from leadsman.compute.supply.plug_checks import (
    lamp_test,
    leg_limit,
    measured_loop,
    plug_bands,
    plug_verdict,
    readout_verdict,
)

LEAD = {"length_m": 6.0, "conductor": "16 AWG"}


@given(
    source=st.floats(11, 14.5),
    current=st.floats(0.2, 5),
    length=st.floats(0.5, 8),
    excess=st.floats(-0.2, 1.5),
)
def test_verdict_agrees_with_the_bands(source: float, current: float, length: float, excess: float) -> None:
    """The limits that the card prints are the limits at which the verdict changes."""
    lead = {"length_m": length, "conductor": "14 AWG", "current_a": current, "low_limit_v": 10.0}
    bands = plug_bands(source_v=source, **lead)
    plug = min(bands.expected - excess, source)
    verdict = plug_verdict(source_v=source, plug_v=plug, **lead).verdict
    near = min(abs(plug - bands.find_joint_below), abs(plug - bands.convicted_below)) < 1e-6

    if not near:
        assert ("convicted" in verdict) == (plug < bands.convicted_below)
        assert ("bad joint" in verdict) == (plug < bands.find_joint_below)


def test_bands_stand_in_order_on_a_sound_installation() -> None:
    """Expected, then bad joint, then convicted."""
    bands = plug_bands(source_v=12.6, current_a=3.0, low_limit_v=10.0, **LEAD)

    assert bands.expected > bands.find_joint_below > bands.convicted_below
    assert bands.expected - bands.find_joint_below == pytest.approx(0.15)


def test_over_three_percent_alone_convicts_nothing() -> None:
    """A sound 16 AWG lead drops 0.86 V at 4 A over 8 m, 7 % of 12 V, and the verdict is clean (common
    practice)."""
    verdict = plug_verdict(
        source_v=12.6, plug_v=11.6, current_a=4.0, length_m=8.0, conductor="16 AWG", low_limit_v=10.0
    )

    assert verdict.drop > 2 * 0.36
    assert verdict.verdict == "as expected"


def test_within_three_percent_can_still_hide_a_bad_joint() -> None:
    """On a short thick lead a drop of 0.33 V is within 3 % and a bad joint all the same (common practice)."""
    verdict = plug_verdict(
        source_v=12.6, plug_v=12.27, current_a=2.0, length_m=1.0, conductor="12 AWG", low_limit_v=10.0
    )

    assert verdict.drop < 0.36
    assert verdict.verdict == "bad joint: find it"


@pytest.mark.parametrize(
    ("source_v", "plug_v", "length_m", "expected"),
    [
        (12.6, 12.7, 6.0, "readings do not agree"),
        (12.6, 10.2, 6.0, "supply convicted: bad joint"),
        (10.3, 9.9, 3.0, "supply convicted: battery low"),
        (11.2, 10.2, 9.0, "supply convicted: lead too thin"),
    ],
)
def test_each_conviction_has_its_own_reason(
    source_v: float, plug_v: float, length_m: float, expected: str
) -> None:
    """The same low volts mean a joint, a battery or a thin lead."""
    verdict = plug_verdict(
        source_v=source_v,
        plug_v=plug_v,
        current_a=4.0,
        length_m=length_m,
        conductor="16 AWG",
        low_limit_v=10.0,
    )

    assert verdict.verdict == expected


def test_24_volt_systems_use_the_same_ladder() -> None:
    """The joint's 0.15 V is of the joint, not of the system."""
    bands = plug_bands(source_v=25.2, current_a=2.0, low_limit_v=20.0, **LEAD)

    assert bands.expected - bands.find_joint_below == pytest.approx(0.15)
    assert bands.convicted_below == 20.5


@pytest.mark.parametrize(
    ("idle_v", "loaded_v", "expected"),
    [
        (12.5, 12.2, "average clear"),
        (12.5, 12.1, "look: measure at the plug"),
        (12.5, 11.9, "feed side convicted"),
        (11.0, 10.9, "look: measure at the plug"),
        (12.0, 12.5, "readings do not agree"),
    ],
)
def test_own_readout(idle_v: float, loaded_v: float, expected: str) -> None:
    """Up to 0.3 V clears, above 0.5 V convicts, and the value must stand 1 V above the low limit (common
    practice)."""
    assert readout_verdict(idle_v=idle_v, loaded_v=loaded_v, low_limit_v=10.0) == expected


def test_lamp_limit_belongs_to_the_lead() -> None:
    """A longer lead may drop more; the design loop depends on the unit alone."""
    short, long = (lamp_test(length_m=m, conductor="16 AWG", current_a=3.0) for m in (2.0, 8.0))

    assert short.drop_limit < long.drop_limit
    assert short.design_loop == long.design_loop == pytest.approx(0.36 / 3)
    assert long.loop_limit == pytest.approx(long.drop_limit / 1.75)


def test_a_sound_lead_passes_its_own_lamp_test() -> None:
    """Loop resistance measured with the lamp on a sound lead stays below the limit; 0.15 ohm more fails."""
    limits = lamp_test(current_a=3.0, **LEAD)
    sound = limits.drop_limit - 0.15
    loop = measured_loop(source_v=12.6, plug_v=12.6 - sound, current_a=1.75)

    assert loop < limits.loop_limit
    assert loop + 0.15 > limits.loop_limit


def test_a_plug_above_its_battery_is_refused() -> None:
    """Such readings were not taken at one moment."""
    with pytest.raises(NoAnswer, match="at one moment"):
        measured_loop(source_v=12.0, plug_v=12.5, current_a=1.0)


def test_leg_and_joint() -> None:
    """A leg is half of the lead; a joint 0.05 V from 2 to 4 A and less below (common practice, no source)."""
    limits = leg_limit(drop_limit_v=0.5, current_a=np.array([1.0, 2.0, 4.0]))

    assert list(limits.leg) == [0.25, 0.25, 0.25]
    assert list(limits.joint) == pytest.approx([0.025, 0.05, 0.05])


def test_cranking_restarts_a_unit_on_a_shared_battery() -> None:
    """A dip to 6-9 V is what a weak starting battery does (common practice); the margin says that it
    restarts."""
    resistance = 2 * battery_resistance(cold_cranking_a=400.0)
    dip = cranking_voltage(
        rest_v=12.4, crank_current_a=150.0, battery_resistance_ohm=resistance, current_a=2.0,
        loop_resistance_ohm=0.2, low_limit_v=10.0,
    )  # fmt: skip

    assert 6 <= dip.battery <= 9
    assert dip.margin < 0


def test_without_a_starter_there_is_no_dip() -> None:
    """No current, no drop."""
    still = cranking_voltage(
        rest_v=12.4, crank_current_a=0.0, battery_resistance_ohm=0.01, current_a=0.0,
        loop_resistance_ohm=0.2, low_limit_v=10.0,
    )  # fmt: skip

    assert (still.battery, still.plug) == (12.4, 12.4)


def test_a_battery_that_cannot_deliver_has_no_answer() -> None:
    """More current than the internal resistance passes."""
    with pytest.raises(NoAnswer, match="cannot deliver"):
        cranking_voltage(
            rest_v=12.0, crank_current_a=900.0, battery_resistance_ohm=0.02, current_a=0.0,
            loop_resistance_ohm=0.0, low_limit_v=10.0,
        )  # fmt: skip


def test_the_cranking_minimum_falls_in_the_cold() -> None:
    """Never rises as the battery cools, and is 9.6 V at 20 degC and above (battery load-test table)."""
    volts = cranking_minimum(temperature_c=np.linspace(-18, 50, 69))

    assert np.all(np.diff(volts) >= 0)
    assert np.all(volts[-31:] == 9.6)


def test_every_output_has_the_shape_of_the_inputs_together() -> None:
    """Currents down and lengths across fill each output of a verdict alike, and agree with single calls."""
    currents, lengths = np.array([[1.0], [4.0]]), np.array([2.0, 5.0, 8.0])
    grid = plug_verdict(
        source_v=12.6, plug_v=11.7, current_a=currents, length_m=lengths, conductor="16 AWG", low_limit_v=10.0
    )

    assert {np.shape(output) for output in grid} == {(2, 3)}
    for i, j in np.ndindex(2, 3):
        single = plug_verdict(
            source_v=12.6, plug_v=11.7, current_a=float(currents[i, 0]), length_m=float(lengths[j]),
            conductor="16 AWG", low_limit_v=10.0,
        )  # fmt: skip
        assert single.verdict == grid.verdict[i, j]
        assert single.excess == pytest.approx(grid.excess[i, j])
