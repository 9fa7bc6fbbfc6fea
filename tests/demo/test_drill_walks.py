"""Walks of the drill through every entry of the project, and the boats that they are made on."""

from __future__ import annotations

import numpy as np

from drill.test_run import owner_only
from leadsman.content.catalogue import Catalogue
from leadsman.drill.installations import Wanted, choose, with_sound_lead
from leadsman.drill.run import Drill, drillable, run, tasks
from leadsman.drill.technician import MOST_STEPS


def test_no_walk_is_without_an_end(catalogue: Catalogue, book: Drill) -> None:
    """Every entry, a few boats of each kind: each ends at a finding or a hand-over, within anybody's patience."""
    entries = drillable(catalogue)
    for kind in ("fault", "sound", "telephone"):
        for outcome in run(book, tasks(entries, 2 * len(entries), 9, kind)):
            assert not outcome.shows or outcome.walk.end in ("finding", "hand-over"), outcome.id
            assert outcome.walk.steps <= MOST_STEPS
            assert outcome.walk.unmapped == 0, outcome.id


def test_on_the_telephone_only_what_an_owner_may_do_is_done(book: Drill) -> None:
    owner_only(book, "dead-unit")


def test_a_boat_of_one_fault_has_no_thin_lead_beneath_it(catalogue: Catalogue) -> None:
    # 12 m of 1 mm2 at 3.8 A lose 1.7 V of 12 V: 3 % is the most for an electronic unit (ABYC E-11, from memory).
    rng = np.random.default_rng(1)
    changed = {}
    for boat in catalogue.boats.values():
        fitted = choose(catalogue, Wanted(boat=boat.id), rng, "in-service")
        mended = with_sound_lead(fitted)
        assert mended.boat.supply.lead_length_m == boat.supply.lead_length_m
        if mended.boat.supply.conductor != boat.supply.conductor:
            changed[boat.id] = mended.boat.supply.conductor
    # 0.36 V at 12 V, 3.8 A, two times 12 m and 19.15 ohm mm2/km warm: 4.8 mm2, so 6 (by hand).
    assert changed == {"pintail": "6 mm2"}
