"""Boats of the drill for tests: how one is drawn, and an installation that can have a fault."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from leadsman.content.catalogue import Catalogue
from leadsman.drill.boats import Installation
from leadsman.drill.case import Case
from leadsman.drill.faults import FAULTS, suits
from leadsman.drill.installations import Wanted, choose

Boat = Callable[..., Case]


def installation_for(
    catalogue: Catalogue, fault: str, rng: np.random.Generator, boat: str | None = None
) -> Installation:
    """An installation that can have the fault; it raises where a hundred draws find none."""
    needs = FAULTS[fault].only if fault else ()
    for _ in range(100):
        wanted = Wanted(
            boat=boat,
            capabilities=tuple(n for n in needs if n in ("network", "side", "forward")),
            battery="lithium" if "lithium" in needs else None,
            housing=next((n for n in needs if n in ("in-hull", "through-hull", "transom")), None),
        )
        fitted = choose(catalogue, wanted, rng, "in-service")
        fitted = replace(fitted, has_adapter=True, second_sounder=True)
        if not fault or suits(fault, fitted):
            return fitted
    raise AssertionError(f"no boat can have {fault}")
