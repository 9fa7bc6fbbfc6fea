"""Voltage drop and volts at the plug: the three forms, the convention of lengths, and loads of constant
power."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.registry import NoAnswer
from leadsman.compute.supply.conductors import AWG_NAMES, METRIC_NAMES
from leadsman.compute.supply.drop_rules import (
    area_circular_mils,
    voltage_drop_circular_mils,
    voltage_drop_square_millimetres,
)
from leadsman.compute.supply.voltage_drop import (
    load_current,
    loop_resistance,
    plug_voltage,
    plug_voltage_constant_power,
    voltage_drop,
)

CURRENT = st.floats(0.1, 20)
LENGTH = st.floats(0.1, 30)


@given(current=CURRENT, length=LENGTH, factor=st.floats(0.1, 4))
def test_drop_is_proportional_to_current_and_to_length(current: float, length: float, factor: float) -> None:
    """Ohm's law: any factor on current or length is the same factor on the drop."""
    base = voltage_drop(current_a=current, length_m=length, conductor="14 AWG")

    assert voltage_drop(current_a=current * factor, length_m=length, conductor="14 AWG") == pytest.approx(
        base * factor
    )
    assert voltage_drop(
        current_a=current, length_m=min(length * factor, 100), conductor="14 AWG"
    ) == pytest.approx(base * min(length * factor, 100) / length)


def test_lengths_are_one_way() -> None:
    """The drop of both conductors: 1 A over 1000/2/2 m of a 1 ohm/km pair would be 0.5 V, not 0.25 or 1 V."""
    resistance = loop_resistance(length_m=50.0, conductor="1 mm2", temperature_c=20.0)

    # IEC 60228 class 5 tinned 1 mm2 is 20.0 ohm/km; 50 m out and 50 m back are 100 m of conductor.
    assert resistance == pytest.approx(2.0)


@pytest.mark.parametrize(
    "conductor", ["16 AWG", "14 AWG", "12 AWG", "10 AWG", "1 mm2", "1.5 mm2", "6 mm2", "10 mm2"]
)
def test_the_default_lies_above_both_rules(conductor: str) -> None:
    """At 30 degC the table drop stands above the K = 10.75 result, and further above the 0.0164 result."""
    table = voltage_drop(current_a=4.0, length_m=7.0, conductor=conductor)
    us = voltage_drop_circular_mils(current_a=4.0, length_m=7.0, conductor=conductor)
    metric = voltage_drop_square_millimetres(current_a=4.0, length_m=7.0, conductor=conductor)

    assert 1.13 <= table / us <= 1.28
    assert us / metric == pytest.approx(0.017871 / 0.0164, rel=1e-4)


def test_the_metric_rule_is_optimistic() -> None:
    """0.0164 lies 4.9 % below pure copper at 20 degC, so that no limit may rest on it."""
    rule = voltage_drop_square_millimetres(current_a=5.0, length_m=10.0, conductor="2.5 mm2")
    copper = voltage_drop(
        current_a=5.0, length_m=10.0, conductor="2.5 mm2", construction="solid", temperature_c=20.0
    )

    assert rule / copper == pytest.approx(0.951, abs=0.001)


@pytest.mark.parametrize(
    ("length_m", "conductor", "least", "most"), [(2.0, "14 AWG", 12.3, 12.6), (8.0, "16 AWG", 11.9, 12.2)]
)
def test_plug_volts_of_practice(length_m: float, conductor: str, least: float, most: float) -> None:
    """Rested full battery, 3 A: 12.3-12.6 V on a short lead, 11.9-12.2 V on long 16 AWG (common practice, no
    source)."""
    volts = plug_voltage(source_v=12.65, current_a=3.0, length_m=length_m, conductor=conductor)

    assert least <= volts <= most


@given(source=st.floats(10, 15), power=st.floats(1, 40), length=st.floats(0.5, 8))
def test_a_constant_power_load_balances(source: float, power: float, length: float) -> None:
    """At the solution the load gets its power and the lead its drop, on the upper branch."""
    result = plug_voltage_constant_power(source_v=source, power_w=power, length_m=length, conductor="14 AWG")
    loop = loop_resistance(
        length_m=length, conductor="14 AWG", construction="stranded", temperature_c=20.0, contact_ohm=0.03
    )

    assert result.voltage * result.current == pytest.approx(power)
    assert source - result.current * loop == pytest.approx(result.voltage)
    assert result.voltage >= source / 2


def test_constant_power_draws_more_than_constant_current() -> None:
    """A switch-mode display drops more on a lead than its current at full volts would."""
    lead = {"length_m": 6.0, "conductor": "16 AWG"}
    steady = plug_voltage(source_v=12.0, current_a=3.0, **lead)
    power = plug_voltage_constant_power(source_v=12.0, power_w=36.0, **lead)

    assert power.voltage < steady
    assert power.current > 3.0


def test_too_much_power_has_no_answer_and_says_why() -> None:
    """Beyond V^2/(4R) the quadratic has no root; the message names the most that the lead can pass."""
    with pytest.raises(NoAnswer, match=r"at most 1\d\d W .* restarts"):
        plug_voltage_constant_power(source_v=12.0, power_w=500.0, length_m=8.0, conductor="16 AWG")


def test_a_drop_beyond_the_source_has_no_answer() -> None:
    """A constant current that the lead cannot carry is refused instead of giving negative volts."""
    with pytest.raises(NoAnswer, match="whole source voltage"):
        plug_voltage(source_v=12.0, current_a=100.0, length_m=20.0, conductor="16 AWG")


def test_design_current_is_taken_at_the_lowest_volts() -> None:
    """36 W at 10 V draw 3.6 A, more than the 2.85 A at 12.65 V."""
    assert load_current(power_w=36.0, lowest_v=10.0) > load_current(power_w=36.0, lowest_v=12.65)


def test_a_grid_is_one_call() -> None:
    """Currents down and lengths across broadcast, and agree with single calls."""
    currents, lengths = np.array([[1.0], [2.0], [4.0]]), np.array([2.0, 5.0, 8.0])
    grid = voltage_drop(current_a=currents, length_m=lengths, conductor="1.5 mm2")

    assert grid.shape == (3, 3)
    for (i, current), (j, length) in itertools.product(enumerate(currents[:, 0]), enumerate(lengths)):
        assert grid[i, j] == voltage_drop(
            current_a=float(current), length_m=float(length), conductor="1.5 mm2"
        )


@pytest.mark.parametrize("conductor", [AWG_NAMES[0], AWG_NAMES[-1], METRIC_NAMES[0], METRIC_NAMES[-1]])
def test_a_scalar_call_gives_a_python_float(conductor: str) -> None:
    """So that printing and JSON need no NumPy."""
    assert type(voltage_drop(current_a=1.0, length_m=1.0, conductor=conductor)) is float


@given(
    current=CURRENT, length=LENGTH, nominal=st.sampled_from([12.0, 24.0]), percent=st.sampled_from([3, 10])
)
def test_the_required_area_gives_the_permitted_drop(
    current: float, length: float, nominal: float, percent: float
) -> None:
    """The US rule both ways: a conductor of exactly the required area drops exactly the limit, of nominal volts."""
    area = area_circular_mils(current_a=current, length_m=length, nominal_v=nominal, drop_pct=percent)
    drop_1mm2 = voltage_drop_circular_mils(current_a=current, length_m=length, conductor="1 mm2")

    assert drop_1mm2 / area == pytest.approx(nominal * percent / 100)
