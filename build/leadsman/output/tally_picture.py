"""What closed cases teach, as a picture: each share as written and after the cases, with its interval."""

from __future__ import annotations

from collections.abc import Sequence

from leadsman.book.learning import Learnt
from leadsman.errors import counted
from leadsman.plotting import of_hundred


def alt_text(learnt: Sequence[Learnt]) -> str:
    """What the picture says, in a sentence."""
    changed = sum(len(found.changed) for found in learnt)
    return f"{counted(len(learnt), 'condition')} by history; {counted(changed, 'written likelihood')} outside the interval of the cases."


def svg(learnt: Sequence[Learnt], codes: dict[str, str], width_mm: float = 160.0) -> str:
    """One line a cause: a cross for the written share, a dot with its interval for the learnt one."""
    lines = [(f"{codes[f.entry]} {c.cause} ({f.history})", c) for f in learnt for c in f.causes]
    names, places = [name for name, _ in lines], list(range(len(lines)))
    height = 16.0 + 4.0 * max(1, len(lines))
    with of_hundred(names, width_mm, height, 7, "likelihood, of a hundred boats") as (axes, written):
        axes.hlines(
            places, [100 * c.low for _, c in lines], [100 * c.high for _, c in lines], color="black", lw=1.2
        )
        axes.plot(
            [100 * c.mean for _, c in lines],
            places,
            "o",
            color="black",
            ms=3,
            label="after the cases, with 95 %",
        )
        axes.plot([100 * c.written for _, c in lines], places, "x", color="#0b4a46", ms=4, label="as written")
    return written[0]
