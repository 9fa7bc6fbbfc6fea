"""The nodal analysis of a boat's supply, held against closed solutions and published rows."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from leadsman.drill import circuit


def one(source_v: float, ohm: float, watts: float, **more: float) -> circuit.Volts:
    """A source with one resistance in line, shared out over the parts, and a constant-power load."""
    parts = {
        "source_v": source_v, "source_ohm": ohm * 0.1, "holder_ohm": ohm * 0.1, "positive_ohm": ohm * 0.35,
        "negative_ohm": ohm * 0.35, "plug_ohm": ohm * 0.1, "unit_w": watts, "lamp_ohm": 1e12, "shared_a": 0.0,
    }  # fmt: skip
    return circuit.solve(circuit.supply(**(parts | more)))


@pytest.mark.parametrize(
    ("source_v", "watts", "ohm", "volts"),
    [
        # Own arithmetic on V = (E + sqrt(E^2 - 4 P R)) / 2, the stable upper root, 2026 (basis: library).
        (12.65, 30, 0.2, 12.15643),
        (12.0, 30, 0.5, 10.58258),
        (12.0, 30, 1.0, 8.44949),
        (24.0, 30, 1.0, 22.67708),
    ],
)
def test_constant_power_load_takes_the_upper_operating_point(
    source_v: float, watts: float, ohm: float, volts: float
) -> None:
    found = one(source_v, ohm, watts)

    assert found.holds[0]
    assert found.unit[0] == pytest.approx(volts, abs=1e-4)


def test_beyond_the_greatest_power_the_supply_collapses() -> None:
    """Pmax = E^2/(4R): 25 W of 10 V through 1 ohm (public physics notebook, worked exercise, n.d.)."""
    assert one(10.0, 1.0, 24.9).holds[0]
    assert not one(10.0, 1.0, 25.1).holds[0]
    assert one(10.0, 1.0, 25.1).unit[0] == 0.0


def test_a_dead_unit_leaves_full_volts_at_its_plug() -> None:
    """Unit off: a meter at the plug reads the battery, however poor the joint (own reasoning, drill row 97)."""
    found = one(12.0, 1.0, 0.0)

    assert found.plug[0] == pytest.approx(12.0, abs=1e-6)


@given(
    source_v=st.floats(9, 30), ohm=st.floats(0.01, 3), watts=st.floats(1, 100), lamp=st.floats(5, 100),
    shared=st.floats(0, 3),
)  # fmt: skip
def test_volts_and_currents_add_up(
    source_v: float, ohm: float, watts: float, lamp: float, shared: float
) -> None:
    """Kirchhoff: the source's fall equals the current times the resistance; power in equals power out."""
    found = one(source_v, ohm, watts, lamp_ohm=lamp, shared_a=shared)
    if not found.holds[0]:
        return
    plug = found.plug[0]
    current = found.current[0] + plug / lamp + shared

    assert source_v - found.post[0] == pytest.approx(current * ohm * 0.1, abs=1e-6)
    assert found.positive_drop[0] == pytest.approx(current * ohm * 0.45, abs=1e-6)
    assert found.negative_drop[0] == pytest.approx(current * ohm * 0.35, abs=1e-6)
    assert found.unit[0] * found.current[0] == pytest.approx(watts, rel=1e-6)
    assert found.unit[0] >= 0


def test_many_boats_at_once_are_the_boats_one_by_one() -> None:
    rng = np.random.default_rng(4)
    ohm, watts = rng.uniform(0.05, 2, 50), rng.uniform(5, 60, 50)
    together = circuit.solve(
        circuit.supply(source_v=12.6, source_ohm=0.02, holder_ohm=0.01, positive_ohm=ohm, negative_ohm=ohm / 2,
                       plug_ohm=0.02, unit_w=watts, lamp_ohm=1e12, shared_a=0.0)
    )  # fmt: skip
    for place in range(50):
        alone = circuit.solve(
            circuit.supply(source_v=12.6, source_ohm=0.02, holder_ohm=0.01, positive_ohm=ohm[place],
                           negative_ohm=ohm[place] / 2, plug_ohm=0.02, unit_w=watts[place], lamp_ohm=1e12, shared_a=0.0)
        )  # fmt: skip
        assert together.unit[place] == pytest.approx(alone.unit[0], abs=1e-9)
        assert together.holds[place] == alone.holds[0]


def test_copper_agrees_with_the_published_rows(repository: Path) -> None:
    """Gauge and resistivity against IEC 60028 over ASTM B258 (tests/reference/conductors.yaml); ours has 3 % of lay."""
    rows = yaml.safe_load((repository / "tests/reference/conductors.yaml").read_text("utf-8"))
    checked = 0
    for row in rows:
        inputs = row.get("inputs", {})
        if row["formula"] != "supply.conductor_resistance" or inputs.get("construction") != "solid":
            continue
        if (
            "/" in str(inputs["conductor"])
            or not str(inputs["conductor"]).endswith("AWG")
            or not isinstance(row["expected"], float)
        ):
            continue
        area = circuit.gauge_mm2(int(str(inputs["conductor"]).split()[0]))
        ohm = circuit.lead_ohm(area, 1000.0, float(inputs["temperature_c"]))
        assert ohm / 1.03 == pytest.approx(row["expected"], rel=0.01), row["id"]
        checked += 1
    assert checked >= 4
