"""The figures of a drill as a page prints them: totals beside their targets, one row a condition, what still fails."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

#: How many of the book's wrong turns the page names.
TURNS = 8


@dataclass(frozen=True)
class DrillTotal:
    """One figure of the whole book beside what the edition wants of it."""

    what: str
    figure: str
    wanted: str
    of: int


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
class DrillTurn:
    """A wrong turn of the book, and one boat whose diary shows it."""

    entry: str
    fault: str
    what: str
    count: int
    boat: str


@dataclass(frozen=True)
class DrillPage:
    """Everything that the page prints; plain data, so that another process can have it."""

    boats: int
    totals: tuple[DrillTotal, ...]
    below: tuple[str, ...]
    """The conditions below the share that the edition wants of the whole, by code, with their own."""
    rows: tuple[DrillRow, ...]
    turns: tuple[DrillTurn, ...]
    svg: str
    text: str


def drill_page(figures: Mapping[str, Any], wanted: Mapping[str, float], svg: str, text: str) -> DrillPage:
    """The page of a drill's figures, with the least rightly isolated condition first.

    ``wanted`` holds the targets of the edition: ``right``, ``condemned``, ``endless``, ``over_best``,
    ``doubles_safe``, ``sound_convicted``, as shares.

    Examples
    --------
    >>> share(0.9734), share(0.0), share(0.0004), share(0.9996), minutes(14.66)
    ('97', '0', '0.1', '99.9', '15')
    """
    scores = worst_first(figures)
    rows = [
        DrillRow(s["entry"], s["code"], s["title"], s["boats"], share(s["right"]), share(s["condemned"]),
                 share(s["handed_over"]), minutes(s["minutes"]), minutes(s["best_minutes"]))
        for s in scores
    ]  # fmt: skip
    below = [f"{s['code']} {share(s['right'])}" for s in scores if s["right"] < wanted["right"]]
    turns = [
        DrillTurn(t["entry"], t["fault"].replace("-", " "), t["what"], t["count"], t["boats"][0])
        for t in figures["turns"][:TURNS]
    ]
    return DrillPage(
        figures["boats"], _totals(figures["total"], wanted), tuple(below), tuple(rows), tuple(turns), svg, text
    )  # fmt: skip


def worst_first(figures: Mapping[str, Any]) -> list[Any]:
    """The conditions of a drill, that with the least rightly isolated first; of equals by code."""
    return sorted(figures["entries"], key=lambda s: (s["right"], s["code"]))


def _totals(total: Mapping[str, Any], wanted: Mapping[str, float]) -> tuple[DrillTotal, ...]:
    boats = total["boats"]
    return (
        DrillTotal("right", share(total["right"]), share(wanted["right"]), boats),
        DrillTotal("renewed", share(total["condemned"]), share(wanted["condemned"]), boats),
        DrillTotal("endless", share(total["endless"]), share(wanted["endless"]), boats),
        DrillTotal("over", f"{100 * total['over_best']:.0f}", share(wanted["over_best"]), boats),
        DrillTotal("doubles", share(total["doubles_safe"]), share(wanted["doubles_safe"]), total["doubles"]),
        DrillTotal(
            "sound", share(total["sound_convicted"]), share(wanted["sound_convicted"]), total["sound"]
        ),
        DrillTotal("telephone", share(total["telephone_solved"]), "", total["telephone"]),
    )


def share(value: float) -> str:
    """A share in whole hundredths; what is neither none nor all is never printed as such."""
    hundredths = min(max(100 * value, 0.1), 99.9) if 0 < value < 1 else 100 * value
    whole = f"{hundredths:.0f}"
    return whole if whole not in ("0", "100") or value in (0, 1) else f"{hundredths:.1f}"


def minutes(value: float) -> str:
    """Whole minutes; a dash where no order of checks is compared."""
    return f"{value:.0f}" if value else "\u2013"
