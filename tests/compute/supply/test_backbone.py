"""Network power: how feed and load share the drop, and the budget to the farthest node."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.registry import NoAnswer
from leadsman.compute.supply.backbone import TRUNK_OHM_PER_M, backbone_budget, backbone_drop, network_load

LUMPED, SPREAD, CENTRE = "end, load at the far end", "end, load spread", "centre, load spread"


@pytest.mark.parametrize(("feed", "share"), [(SPREAD, 1 / 2), (CENTRE, 1 / 8)])
def test_shares_against_a_chain_of_nodes(feed: str, share: float) -> None:
    """Two thousand equal nodes, summed segment by segment with Kirchhoff's laws, give the same drop."""
    nodes, length_m, current_a = 2000, 40.0, 2.0
    # Load beyond each segment, from an end feed; for a centre feed, one half of the backbone with half the
    # load.
    part = 1.0 if feed == SPREAD else 0.5
    beyond = current_a * part * (np.arange(nodes, 0, -1) - 0.5) / nodes
    chain = np.sum(2 * TRUNK_OHM_PER_M["thin"] * (length_m * part / nodes) * beyond)

    drop = backbone_drop(length_m=length_m, current_a=current_a, trunk="thin", feed=feed)
    lumped = backbone_drop(length_m=length_m, current_a=current_a, trunk="thin", feed=LUMPED)

    assert drop == pytest.approx(chain, rel=1e-3)
    assert drop == pytest.approx(share * lumped)


@given(source=st.floats(9.5, 15), length=st.floats(1, 100), current=st.floats(0.05, 3))
def test_the_longest_backbone_leaves_exactly_the_least(source: float, length: float, current: float) -> None:
    """A backbone of the stated longest length has no margin left."""
    budget = backbone_budget(source_v=source, length_m=length, current_a=current, trunk="thin", feed=SPREAD)
    if budget.longest <= 200:
        again = backbone_budget(
            source_v=source, length_m=budget.longest, current_a=current, trunk="thin", feed=SPREAD
        )

        assert again.margin == pytest.approx(0, abs=1e-9)
    assert (budget.margin >= -1e-9) == (length <= budget.longest * (1 + 1e-9))


def test_a_supply_at_the_least_has_no_answer() -> None:
    """With 9 V at the feed no length can leave 9 V."""
    with pytest.raises(NoAnswer, match="no backbone can serve"):
        backbone_budget(source_v=9.0, length_m=1.0, current_a=0.1, trunk="thick", feed=LUMPED)


def test_warm_cable_drops_more() -> None:
    """10 % at 45 degC."""
    cold, warm = (
        backbone_drop(length_m=20.0, current_a=1.0, trunk="thin", feed=LUMPED, temperature_c=t)
        for t in (20.0, 45.0)
    )

    assert warm / cold == pytest.approx(1.098, abs=0.001)


def test_load_units() -> None:
    """Twenty units are one ampere."""
    assert network_load(load_units=20.0) == pytest.approx(1.0)
