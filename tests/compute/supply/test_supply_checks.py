"""The supply ladder: the three bands, the verdicts, and the limits of lamp, leg, joint and cranking."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.registry import NoAnswer
from leadsman.compute.supply.cranking import battery_resistance, cranking_minimum, cranking_voltage
from leadsman.compute.supply.load_checks import lamp_test, leg_limit, measured_loop
from leadsman.compute.supply.plug_checks import lead_drop_limit, plug_bands, plug_verdict
from leadsman.compute.supply.readout_checks import readout_fall, readout_floor, readout_verdict

LEAD = {"length_m": 6.0, "conductor": "16 AWG"}
#: The trade's margins (common practice, no source), with the limit at the same temperature as the expectation.
MARGINS = {
    "warm_c": 20.0, "joint_allowance_v": 0.15, "low_limit_margin_v": 0.5, "working_drop_pct": 10.0,
}  # fmt: skip
SAME = {"same_volts_v": 0.05}
LAMP = {"lamp_current_a": 1.75, "design_drop_pct": 3.0, "joint_allowance_v": 0.15}


@given(
    source=st.floats(11, 14.5),
    current=st.floats(0.2, 5),
    length=st.floats(0.5, 8),
    excess=st.floats(-0.2, 1.5),
)
def test_verdict_agrees_with_the_bands(source: float, current: float, length: float, excess: float) -> None:
    """The limits that the card prints are the limits at which the verdict changes."""
    lead = {
        "length_m": length,
        "conductor": "14 AWG",
        "unit_power_w": 12 * current,
        "low_limit_v": 10.0,
    } | MARGINS
    bands = plug_bands(block_v=source, **lead)
    plug = min(bands.expected - excess, source)
    verdict = plug_verdict(source_v=source, plug_v=plug, **lead, **SAME).verdict
    near = min(abs(plug - bands.find_joint_below), abs(plug - bands.convicted_below)) < 1e-6

    if not near:
        assert ("convicted" in verdict) == (plug < bands.convicted_below)
        assert ("bad joint" in verdict) == (plug < bands.find_joint_below)


def test_bands_stand_in_order_on_a_sound_installation() -> None:
    """Expected, then bad joint, then convicted."""
    bands = plug_bands(block_v=12.6, unit_power_w=36.0, low_limit_v=10.0, **LEAD, **MARGINS)

    assert bands.expected > bands.find_joint_below > bands.convicted_below
    assert bands.expected - bands.find_joint_below == pytest.approx(0.15)


def test_over_three_percent_alone_convicts_nothing() -> None:
    """A sound 16 AWG lead drops 0.86 V at 4 A over 8 m, 7 % of 12 V, and the verdict is clean (common
    practice)."""
    verdict = plug_verdict(
        source_v=12.6, plug_v=11.6, unit_power_w=4.0 * 11.6, length_m=8.0, conductor="16 AWG", low_limit_v=10.0,
        **MARGINS, **SAME,
    )  # fmt: skip

    assert verdict.drop > 2 * 0.36
    assert verdict.verdict == "as expected"


def test_within_three_percent_can_still_hide_a_bad_joint() -> None:
    """On a short thick lead a drop of 0.33 V is within 3 % and a bad joint all the same (common practice)."""
    verdict = plug_verdict(
        source_v=12.6, plug_v=12.27, unit_power_w=24.0, length_m=1.0, conductor="12 AWG", low_limit_v=10.0,
        **MARGINS, **SAME,
    )  # fmt: skip

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
        unit_power_w=4.0 * 11.0,
        length_m=length_m,
        conductor="16 AWG",
        low_limit_v=10.0,
        **MARGINS,
        **SAME,
    )

    assert verdict.verdict == expected


def test_a_dying_24_volt_feed_is_convicted_long_before_the_units_low_limit() -> None:
    """The joint's 0.15 V is of the joint, not of the system; a unit that runs down to 10.5 V would still run on a
    24 V bank at 13 V, which is flat. So the system's 24 V less the 10 % that the standards allow judge it."""
    one, two = (
        plug_bands(block_v=12.5, nominal_v=nominal, unit_power_w=45.6, low_limit_v=10.5, **LEAD, **MARGINS)
        for nominal in (12.0, 24.0)
    )

    assert one.convicted_below == 11.0
    assert two.convicted_below == pytest.approx(21.6)
    assert two.expected - two.find_joint_below == pytest.approx(0.15)
    assert 25.0 - two.expected < (12.5 - one.expected) / 1.9


def test_a_warm_sound_lead_is_no_bad_joint() -> None:
    """Copper resists 7.9 % more at 40 than at 20 degC (0.393 % a kelvin, IEC 60228): the limit moves with it."""
    cold = plug_bands(block_v=12.5, unit_power_w=45.6, low_limit_v=10.5, **LEAD, **MARGINS)
    warm = plug_bands(block_v=12.5, unit_power_w=45.6, low_limit_v=10.5, **LEAD, **MARGINS | {"warm_c": 40.0})

    assert warm.expected == cold.expected
    assert 0.05 < cold.find_joint_below - warm.find_joint_below < 0.09


@pytest.mark.parametrize(("length_m", "expected"), [(5.0, "serves"), (12.0, "too thin")])
def test_a_lead_that_cannot_serve_says_so(length_m: float, expected: str) -> None:
    """12 m of 1 mm2 leave 10.24 V of 12.5 V to 45.6 W (the quadratic by hand): below 10.5 + 0.5 V."""
    bands = plug_bands(
        block_v=12.5, unit_power_w=45.6, length_m=length_m, conductor="1 mm2", contact_ohm=0.04, low_limit_v=10.5, **MARGINS
    )  # fmt: skip

    assert bands.lead == expected
    if length_m == 12.0:
        assert bands.expected == pytest.approx(10.24, abs=0.01)


def test_any_lead_has_the_limit_of_its_own_boat() -> None:
    """For the same lead and unit the limit of any lead is the battery less the boat's own bad-joint volts."""
    bands = plug_bands(
        block_v=12.2,
        unit_power_w=36.0,
        contact_ohm=0.05,
        low_limit_v=10.0,
        **LEAD,
        **MARGINS | {"warm_c": 40.0},
    )
    limit = lead_drop_limit(
        current_a=3.0, block_v=12.2, contact_ohm=0.05, temperature_c=40.0, joint_allowance_v=0.15, **LEAD
    )

    assert limit == pytest.approx(12.2 - bands.find_joint_below)


@pytest.mark.parametrize(
    ("idle_v", "loaded_v", "expected"),
    [
        (12.5, 12.2, "average clear"),
        (12.5, 12.19, "look: measure at the plug"),
        (12.5, 12.0, "look: measure at the plug"),
        (12.5, 11.99, "feed side convicted"),
        (10.1, 9.8, "average clear"),
        (10.0, 9.79, "battery low: charge it"),
        (12.2, 12.5, "average clear"),
        (12.2, 12.51, "readings do not agree"),
        (12.5, 12.1, "look: measure at the plug"),
        (12.5, 11.9, "feed side convicted"),
        (9.9, 9.7, "battery low: charge it"),
        (12.0, 12.5, "readings do not agree"),
    ],
)
def test_own_readout(idle_v: float, loaded_v: float, expected: str) -> None:
    """Up to the sound change clears, above 0.5 V convicts; low with little fall is the battery (common practice)."""
    assert (
        readout_verdict(idle_v=idle_v, loaded_v=loaded_v, change_v=0.3, bad_change_v=0.5, floor_v=9.8)
        == expected
    )


def test_the_floor_allows_for_the_readouts_own_error() -> None:
    """A plug at exactly low limit + 0.5 V, read 0.2 to 0.7 V low (common practice), never falls below the floor."""
    floor = readout_floor(
        low_limit_v=10.8, low_limit_margin_v=0.5, working_drop_pct=10.0, readout_error_v=0.7
    )

    assert all(11.3 - error >= floor - 1e-9 for error in (0.2, 0.5, 0.7))


def test_the_fall_is_that_of_a_lead_at_the_design_drop() -> None:
    """3 % of 12 V is 0.36 V (ABYC E-11); twice on 24 V; one step of the readout beside it."""
    given = {"design_drop_pct": 3.0, "idle_share_pct": 30.0, "readout_step_v": 0.1}

    assert readout_fall(nominal_v=12.0, **given) == pytest.approx(0.36 * 0.7 + 0.1)
    assert readout_fall(nominal_v=24.0, **given) - 0.1 == pytest.approx(2 * 0.36 * 0.7)
    # Two batteries in series add the fall of both (Kirchhoff).
    assert readout_fall(nominal_v=24.0, battery_fall_v=0.2, **given) - 0.1 == pytest.approx(
        2 * (0.36 * 0.7 + 0.2)
    )


def test_lamp_limit_belongs_to_the_lead() -> None:
    """A longer lead may drop more; the design loop depends on the unit alone."""
    short, long = (lamp_test(length_m=m, conductor="16 AWG", unit_power_w=36.0, **LAMP) for m in (2.0, 8.0))

    assert short.drop_limit < long.drop_limit
    assert short.design_loop == long.design_loop == pytest.approx(0.36 / 3)
    assert long.loop_limit == pytest.approx(long.drop_limit / 1.75)


def test_a_sound_lead_passes_its_own_lamp_test() -> None:
    """Loop resistance measured with the lamp on a sound lead stays below the limit; 0.15 ohm more fails."""
    limits = lamp_test(unit_power_w=36.0, **LEAD, **LAMP)
    sound = limits.drop_limit - 0.15
    loop = measured_loop(source_v=12.6, plug_v=12.6 - sound, current_a=1.75, **SAME)

    assert loop < limits.loop_limit
    assert loop + 0.15 > limits.loop_limit


def test_a_plug_above_its_battery_is_refused() -> None:
    """Such readings were not taken at one moment."""
    with pytest.raises(NoAnswer, match="at one moment"):
        measured_loop(source_v=12.0, plug_v=12.5, current_a=1.0, **SAME)


def test_leg_and_joint() -> None:
    """A leg is half of the lead; a joint 0.05 V from 2 to 4 A and less below (common practice, no source)."""
    limits = leg_limit(
        drop_limit_v=0.5, current_a=np.array([1.0, 2.0, 4.0]), joint_drop_v=0.05, leg_share_pct=50.0
    )

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
        source_v=12.6, plug_v=11.7, unit_power_w=12 * currents, length_m=lengths, conductor="16 AWG", low_limit_v=10.0,
        **MARGINS, **SAME,
    )  # fmt: skip

    assert {np.shape(output) for output in grid} == {(2, 3)}
    for i, j in np.ndindex(2, 3):
        single = plug_verdict(
            source_v=12.6, plug_v=11.7, unit_power_w=12 * float(currents[i, 0]), length_m=float(lengths[j]),
            conductor="16 AWG", low_limit_v=10.0, **MARGINS, **SAME,
        )  # fmt: skip
        assert single.verdict == grid.verdict[i, j]
        assert single.excess == pytest.approx(grid.excess[i, j])


def test_a_readout_that_stands_still_is_clear() -> None:
    """Where a sound feed is to show no fall at all, none is what it shows."""
    assert (
        readout_verdict(idle_v=12.5, loaded_v=12.5, change_v=0.0, bad_change_v=0.5, floor_v=9.8)
        == "average clear"
    )


@pytest.mark.parametrize(
    ("celsius", "volts"),
    [
        (-18.0, 8.5), (-15.005, 8.6), (-12.0, 8.7), (-9.5, 8.8), (-7.0, 8.9), (-3.89, 9.0), (-1.0, 9.1), (1.5, 9.2), (4.0, 9.3),
        (7.225, 9.35), (10.0, 9.4), (12.775, 9.45), (16.0, 9.5), (18.0, 9.55), (20.0, 9.6), (30.0, 9.6),
    ],
)  # fmt: skip
def test_the_cranking_minimum_lies_on_and_between_its_rows(celsius: float, volts: float) -> None:
    """BCI load test: 8.5 V at 0 degF and 9.6 V at 70, by tens of degF; halfway between two rows half of both."""
    assert cranking_minimum(temperature_c=celsius) == pytest.approx(volts, abs=1e-6)
