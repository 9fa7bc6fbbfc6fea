"""The figures of a drill as one picture: for each entry, what became of its boats."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from leadsman.book.drill_page import worst_first
from leadsman.content.model.handbook_words import DrillWords
from leadsman.content.model.phrases import filled
from leadsman.plotting import of_hundred

#: Grey of each part of a bar and its hatching, so that the picture reads on any printer.
_PARTS = (
    ("right", "#d9d9d9", ""),
    ("handed_over", "#8c8c8c", ""),
    ("condemned", "#000000", ""),
    ("endless", "#ffffff", "xxxx"),
)


def least_right(figures: Mapping[str, Any], count: int = 20) -> list[str]:
    """The codes of the conditions with the least rightly isolated, for a picture that fits a page."""
    return [s["code"] for s in worst_first(figures)[:count]]


def alt_text(figures: Mapping[str, Any], words: DrillWords) -> str:
    """What the picture says, in a sentence."""
    total = figures["total"]
    worst = min(figures["entries"], key=lambda s: s["right"], default=None)
    boats, right = total["boats"], f"{total['right']:.0%}"
    if worst is None:
        return filled(words.told, boats=boats, right=right)
    return filled(
        words.told_least,
        boats=boats,
        right=right,
        least=f"{worst['right']:.0%}",
        code=worst["code"],
        title=worst["title"],
    )


def svg(
    figures: Mapping[str, Any], words: DrillWords, width_mm: float = 120.0, codes: Sequence[str] = ()
) -> str:
    """Bars of one entry a line, from all boats; the same figures give the same bytes."""
    scores = [s for s in worst_first(figures) if not codes or s["code"] in codes]
    places = range(len(scores))
    # Legend and axis need their room however few the bars are.
    height = max(45.0, 22.0 + 3.8 * len(scores))
    names = [s["code"] for s in scores]
    with of_hundred(names, width_mm, height, 8, str(words.axis)) as (axes, written):
        left = [0.0] * len(scores)
        for key, colour, hatch in _PARTS:
            values = [100 * min(s[key], 1 - so_far / 100) for s, so_far in zip(scores, left, strict=True)]
            axes.barh(
                places,
                values,
                left=left,
                color=colour,
                hatch=hatch,
                edgecolor="black",
                linewidth=0.4,
                label=words.bars[key],
            )
            left = [a + b for a, b in zip(left, values, strict=True)]
    return written[0]
