"""When to replace without looking: both ways cost the same at the threshold."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.diagnosis import replacing as diagnosis

CHANCE = st.floats(0, 1)


@given(inspect=st.floats(0, 20), replace=st.floats(0.5, 30), verify=st.floats(0, 10), chance=CHANCE)
def test_the_threshold_is_where_both_ways_take_as_long(
    inspect: float, replace: float, verify: float, chance: float
) -> None:
    """Inspect, and replace if faulty; or replace outright and prove."""
    threshold = diagnosis.replace_threshold(inspect_min=inspect, replace_min=replace, verify_min=verify)
    saved = inspect + chance * replace - (replace + verify)

    assert saved == pytest.approx((chance - threshold) * replace, abs=1e-9)
