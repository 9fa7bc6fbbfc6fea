"""The figures of a drill as a page prints them: totals in words, one row a condition, a picture with its text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class DrillRow:
    """One condition: how many boats, what became of a hundred of them, and the minutes."""

    entry: str
    code: str
    title: str
    boats: int
    right: str
    renewed: str
    handed_over: str
    minutes: str
    best: str


@dataclass(frozen=True)
class DrillPage:
    """Everything that the page prints; plain data, so that another process can have it."""

    boats: int
    seed: int
    right: str
    renewed: str
    handed_over: str
    minutes: str
    best: str
    doubles: int
    doubles_safe: str
    sound: int
    sound_convicted: str
    telephone: int
    telephone_solved: str
    checks: int
    rows: tuple[DrillRow, ...]
    svg: str
    text: str


def drill_page(figures: Mapping[str, Any], svg: str, text: str) -> DrillPage:
    """The page of a drill's figures, with the least rightly isolated condition first.

    Examples
    --------
    >>> share(0.9734), share(0.0), minutes(14.66)
    ('97', '0', '15')
    """
    total = figures["total"]
    rows = [
        DrillRow(s["entry"], s["code"], s["title"], s["boats"], share(s["right"]), share(s["condemned"]),
                 share(s["handed_over"]), minutes(s["minutes"]), minutes(s["best_minutes"]))
        for s in sorted(figures["entries"], key=lambda s: (s["right"], s["code"]))
    ]  # fmt: skip
    return DrillPage(
        total["boats"], figures["seed"], share(total["right"]), share(total["condemned"]), share(total["handed_over"]),
        minutes(total["minutes"]), minutes(total["best_minutes"]), total["doubles"], share(total["doubles_safe"]),
        total["sound"], share(total["sound_convicted"]), total["telephone"], share(total["telephone_solved"]),
        figures["coverage"]["checks"], tuple(rows), svg, text,
    )  # fmt: skip


def share(value: float) -> str:
    """A share in whole hundredths."""
    return f"{100 * value:.0f}"


def minutes(value: float) -> str:
    """Whole minutes."""
    return f"{value:.0f}"
