"""Conductors: gauges, constructions and temperature, against tables and against each other."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.registry import OutOfRange
from leadsman.compute.supply import conductors
from leadsman.compute.supply.conductors import (
    AWG_NAMES,
    CONDUCTORS,
    METRIC_NAMES,
    SAE_NAMES,
    conductor_area,
    conductor_resistance,
    equivalent_gauge,
    temperature_factor,
)

#: Stranded coated copper at 75 degC, ohm per 1000 ft: NFPA 70 (2011), Chapter 9 Table 8.
NEC_COATED = {"18 AWG": 8.45, "16 AWG": 5.29, "14 AWG": 3.26, "12 AWG": 2.05, "10 AWG": 1.29}


@pytest.mark.parametrize("series", [AWG_NAMES, SAE_NAMES, METRIC_NAMES])
def test_sizes_are_listed_from_thin_to_thick(series: tuple[str, ...]) -> None:
    """Area rises along each series, as the search for the smallest size relies on."""
    areas = [conductor_area(conductor=name) for name in series]

    assert areas == sorted(areas)


@pytest.mark.parametrize("construction", ["tinned", "stranded", "solid"])
@pytest.mark.parametrize("series", [AWG_NAMES, SAE_NAMES, METRIC_NAMES])
def test_resistance_falls_with_size(series: tuple[str, ...], construction: str) -> None:
    """A thicker conductor of one series and construction never has more resistance."""
    resistances = [conductor_resistance(conductor=name, construction=construction) for name in series]

    assert resistances == sorted(resistances, reverse=True)


@pytest.mark.parametrize("conductor", CONDUCTORS)
def test_construction_orders_the_resistance(conductor: str) -> None:
    """Solid copper is the least, tinned flexible cable the most."""
    solid, stranded, tinned = (
        conductor_resistance(conductor=conductor, construction=kind)
        for kind in ("solid", "stranded", "tinned")
    )

    assert solid < stranded < tinned


def test_three_gauge_numbers_halve_the_area() -> None:
    """AWG by definition: three numbers are a factor of 92^(6/39) = 2.005."""
    assert conductor_area(conductor="10 AWG") / conductor_area(conductor="16 AWG") == pytest.approx(
        92 ** (12 / 39), rel=1e-12
    )


@pytest.mark.parametrize("size", ["16", "14", "12", "10", "8", "6", "4"])
def test_sae_gauge_has_less_copper_than_awg(size: str) -> None:
    """SAE minimum areas lie 5 to 12 % below AWG nominal (SAE J1127, from memory; practice says about 10
    %)."""
    ratio = conductor_area(conductor=f"{size} SAE") / conductor_area(conductor=f"{size} AWG")

    assert 0.88 <= ratio <= 0.95


@pytest.mark.parametrize(("conductor", "ohm_per_1000_ft"), NEC_COATED.items())
def test_coated_strands_of_land_practice_lie_within_the_constructions(
    conductor: str, ohm_per_1000_ft: float
) -> None:
    """NFPA 70 (2011) Table 8, coated: above plain strands, and never above the design resistance."""
    coated = ohm_per_1000_ft / 0.3048
    plain = conductor_resistance(conductor=conductor, construction="stranded", temperature_c=75.0)
    tinned = conductor_resistance(conductor=conductor, construction="tinned", temperature_c=75.0)

    assert plain < coated <= tinned


@pytest.mark.parametrize(
    ("size", "circular_mils", "ohm_per_1000_ft"), [("18 AWG", 1900, 6.23), ("16 AWG", 2426, 4.81)]
)
def test_the_aircraft_table_is_no_maximum_where_its_strands_hold_more_copper(
    size: str, circular_mils: int, ohm_per_1000_ft: float
) -> None:
    """FAA AC 43.13-1B Table 11-9 (2001): its 18 AWG has 1900 circular mils, not 1624, and its 16 AWG 2426,
    not 2583."""
    nominal = conductor_area(conductor=size) / 5.067075e-4
    design = conductor_resistance(conductor=size, temperature_c=20.0)

    assert design >= ohm_per_1000_ft / 0.3048 * (1 - 1e-9)
    assert (design > 1.05 * ohm_per_1000_ft / 0.3048) == (circular_mils > nominal)


@pytest.mark.parametrize(("name", "least", "most"), [("1.5 mm2", 1.125, 1.20), ("2.5 mm2", 1.125, 1.20)])
def test_tinned_class_5_lies_above_pure_copper(name: str, least: float, most: float) -> None:
    """IEC 60228 (2004) class 5 tinned stands 12 to 20 % above rho/A."""
    ratio = conductor_resistance(conductor=name, temperature_c=20.0) / conductor_resistance(
        conductor=name, construction="solid", temperature_c=20.0
    )

    assert least <= ratio <= most


def test_temperature_factor_by_the_coefficient() -> None:
    """The two published forms agree: (234.5 + T)/254.5 and 1 + 0.00393 (T - 20), within 0.1 % up to 100
    degC."""
    temperatures = np.linspace(-40, 100, 29)

    assert temperature_factor(temperature_c=temperatures) == pytest.approx(
        1 + 0.00393 * (temperatures - 20), rel=1e-3
    )


@pytest.mark.parametrize(("temperature_c", "percent"), [(30, 3.9), (50, 11.8), (60, 15.7), (75, 21.6)])
def test_rise_at_the_usual_temperatures(temperature_c: float, percent: float) -> None:
    """IACS copper: 3.9, 11.8, 15.7 and 21.6 % above 20 degC."""
    assert 100 * (temperature_factor(temperature_c=temperature_c) - 1) == pytest.approx(percent, abs=0.06)


@given(area=st.floats(0.33, 107.2))
def test_equivalent_gauge_brackets_the_area(area: float) -> None:
    """The proposed size has no less copper, and the nearest is it or the size below."""
    gauge = equivalent_gauge(area_mm2=area)
    index = AWG_NAMES.index(gauge.not_smaller)

    assert conductor_area(conductor=gauge.not_smaller) >= area * (1 - 1e-8)
    assert gauge.nearest in AWG_NAMES[max(index - 1, 0) : index + 1]


def test_the_nearest_gauge_is_no_safe_substitute() -> None:
    """1.5 mm2 is nearest to 16 AWG, which has less copper; 2.5 mm2 is larger than 14 AWG."""
    assert equivalent_gauge(area_mm2=1.5) == ("16 AWG", "14 AWG")
    assert conductor_area(conductor="16 AWG") < 1.5
    assert conductor_area(conductor="14 AWG") < 2.5


def test_arrays_keep_their_shape() -> None:
    """Areas in a grid give names in the same grid."""
    gauge = equivalent_gauge(area_mm2=np.array([[1.5, 2.5], [4.0, 6.0]]))

    assert gauge.nearest.shape == (2, 2)
    assert gauge.nearest[1, 0] == "12 AWG"


#: Greatest ohm/km at 20 degC of class 5, plain and tinned, by area [mm2] (IEC 60228:2004, Table 3; from memory).
CLASS_5_PLAIN = (
    39.0,
    26.0,
    19.5,
    13.3,
    7.98,
    4.95,
    3.30,
    1.91,
    1.21,
    0.780,
    0.554,
    0.386,
    0.272,
    0.206,
    0.161,
)
CLASS_5_TINNED = (
    40.1,
    26.7,
    20.0,
    13.7,
    8.21,
    5.09,
    3.39,
    1.95,
    1.24,
    0.795,
    0.565,
    0.393,
    0.277,
    0.210,
    0.164,
)
#: Greatest ohm per 1000 ft of tin-plated strands, 22 to 4/0 AWG (FAA AC 43.13-1B, Table 11-9; from memory).
TINNED_AWG = (16.2, 9.88, 6.23, 4.81, 3.06, 2.02, 1.26, 0.70, 0.44, 0.28, 0.18, 0.15, 0.12, 0.09, 0.07, 0.06)


def test_the_tables_of_conductors_are_those_of_their_standards() -> None:
    """Each written down a second time, column by column; a metric conductor is named by its area."""
    assert tuple(plain for _, plain, _ in conductors.IEC_CLASS_5.values()) == CLASS_5_PLAIN
    assert tuple(tinned for _, _, tinned in conductors.IEC_CLASS_5.values()) == CLASS_5_TINNED
    assert [f"{area:g} mm2" for area, _, _ in conductors.IEC_CLASS_5.values()] == list(conductors.IEC_CLASS_5)
    assert tuple(conductors.FAA_TINNED_OHM_PER_1000_FT.values()) == TINNED_AWG
    indices = [int(name.split()[0]) if "/" not in name else 1 - int(name[0]) for name in conductors.AWG_INDEX]
    assert list(conductors.AWG_INDEX.values()) == indices


@pytest.mark.parametrize(("celsius", "taken"), [(-40.0, True), (-41.0, False), (200.0, True), (201.0, False)])
def test_copper_is_counted_from_forty_below_to_two_hundred(celsius: float, taken: bool) -> None:
    """The insulation ends there on either side (common practice)."""
    try:
        temperature_factor(temperature_c=celsius)
    except OutOfRange:
        assert not taken
    else:
        assert taken


@pytest.mark.parametrize("name", METRIC_NAMES)
def test_a_metric_conductor_is_called_by_its_area(name: str) -> None:
    """IEC 60228: the nominal cross-section."""
    assert conductor_area(conductor=name) == float(name.removesuffix(" mm2"))
