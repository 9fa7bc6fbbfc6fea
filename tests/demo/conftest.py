"""The demonstration content, read once, and boats drawn from it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from leadsman.content.catalogue import Catalogue, load
from leadsman.drill.case import Case
from leadsman.drill.faults import inject
from leadsman.drill.installations import sound_state
from leadsman.drill.run import Drill
from simulated_boats import Boat, installation_for


@pytest.fixture(scope="session")
def catalogue(repository: Path) -> Catalogue:
    return load(repository / "content")


@pytest.fixture(scope="session")
def book(catalogue: Catalogue) -> Drill:
    return Drill(catalogue)


@pytest.fixture
def boat(book: Drill) -> Boat:
    """Draw a boat: sound, or with faults, at a place, from a seed."""

    def drawn(
        *faults: str, seed: int = 1, symptom: str = "", place: str = "ordinary", name: str | None = None
    ) -> Case:
        rng = np.random.default_rng(seed)
        fitted = installation_for(book.catalogue, faults[0] if faults else "", rng, name)
        sound = sound_state(fitted, rng, place)
        state = sound.copy()
        for fault in faults:
            inject(fault, state, fitted, rng)
        return Case(state, sound, fitted, book.card, rng, symptom)

    return drawn
