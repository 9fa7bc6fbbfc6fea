"""The figures of a drill as one picture: for each entry, what became of its boats."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from leadsman.book.drill_page import worst_first
from leadsman.plotting import of_hundred

#: Grey of each part of a bar and its hatching, so that the picture reads on any printer.
_PARTS = (
    ("right", "isolated rightly", "#d9d9d9", ""),
    ("handed_over", "handed over", "#8c8c8c", ""),
    ("condemned", "sound part renewed", "#000000", ""),
    ("endless", "without an end", "#ffffff", "xxxx"),
)


def least_right(figures: Mapping[str, Any], count: int = 20) -> list[str]:
    """The codes of the conditions with the least rightly isolated, for a picture that fits a page."""
    return [s["code"] for s in worst_first(figures)[:count]]


def alt_text(figures: Mapping[str, Any]) -> str:
    """What the picture says, in a sentence."""
    total = figures["total"]
    worst = min(figures["entries"], key=lambda s: s["right"], default=None)
    told = f"Of {total['boats']} simulated boats {total['right']:.0%} were isolated rightly"
    if worst is None:
        return f"{told}."
    return f"{told}; the least, {worst['right']:.0%}, under {worst['code']} {worst['title']}."


def svg(figures: Mapping[str, Any], width_mm: float = 120.0, codes: Sequence[str] = ()) -> str:
    """Bars of one entry a line, from all boats; the same figures give the same bytes."""
    scores = [s for s in worst_first(figures) if not codes or s["code"] in codes]
    places = range(len(scores))
    # Legend and axis need their room however few the bars are.
    height = max(45.0, 22.0 + 3.8 * len(scores))
    with of_hundred(
        [s["code"] for s in scores], width_mm, height, 8, "of a hundred boats with one fault"
    ) as (axes, written):
        left = [0.0] * len(scores)
        for key, name, colour, hatch in _PARTS:
            values = [100 * min(s[key], 1 - so_far / 100) for s, so_far in zip(scores, left, strict=True)]
            axes.barh(
                places,
                values,
                left=left,
                color=colour,
                hatch=hatch,
                edgecolor="black",
                linewidth=0.4,
                label=name,
            )
            left = [a + b for a, b in zip(left, values, strict=True)]
    return written[0]
