"""Plots by matplotlib as SVG of true size: the same numbers give the same bytes."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

_MM_PER_INCH = 25.4


@contextmanager
def plotted(width_mm: float, height_mm: float, how: dict[Any, Any]) -> Iterator[tuple[Any, Any, list[str]]]:
    """A sheet with its axes, in settings of matplotlib; the finished SVG is put into the list."""
    import matplotlib

    matplotlib.use("svg")
    from matplotlib.figure import Figure as Sheet

    with matplotlib.rc_context({"svg.hashsalt": "leadsman", "svg.fonttype": "path", **how}):
        sheet = Sheet(figsize=(width_mm / _MM_PER_INCH, height_mm / _MM_PER_INCH), layout="constrained")
        written: list[str] = []
        yield sheet, sheet.add_subplot(), written
        stream = io.StringIO()
        sheet.savefig(stream, format="svg", metadata={"Date": None, "Creator": None})
        written.append(stream.getvalue())


@contextmanager
def of_hundred(
    names: list[str], width_mm: float, height_mm: float, size_pt: float, what: str
) -> Iterator[tuple[Any, list[str]]]:
    """Axes of what is counted of a hundred: one named line each from the top down, the legend above."""
    with plotted(width_mm, height_mm, {"font.size": size_pt}) as (sheet, axes, written):
        yield axes, written
        axes.set_yticks(list(range(len(names))), names)
        axes.invert_yaxis()
        axes.set(xlim=(0, 100), xlabel=what)
        axes.spines[["top", "right"]].set_visible(False)
        sheet.legend(loc="outside upper center", ncols=2, frameon=False)
