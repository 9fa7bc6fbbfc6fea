"""The collector rests while many objects are made, and is put back."""

import gc

from leadsman.collector import relaxed_collector


def test_the_garbage_collector_is_put_back() -> None:
    before = gc.get_threshold()
    with relaxed_collector():
        assert gc.get_threshold() != before
    assert gc.get_threshold() == before
