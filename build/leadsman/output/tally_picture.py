"""What closed cases teach, as a picture: each share as written and after the cases, with its interval."""

from __future__ import annotations

import io
from collections.abc import Sequence

from leadsman.book.learning import Learnt
from leadsman.errors import counted

_MM_PER_INCH = 25.4


def alt_text(learnt: Sequence[Learnt]) -> str:
    """What the picture says, in a sentence."""
    changed = sum(len(found.changed) for found in learnt)
    return f"{counted(len(learnt), 'condition')} by history; {counted(changed, 'written likelihood')} outside the interval of the cases."


def svg(learnt: Sequence[Learnt], codes: dict[str, str], width_mm: float = 160.0) -> str:
    """One line a cause: a cross for the written share, a dot with its interval for the learnt one."""
    import matplotlib

    matplotlib.use("svg")
    from matplotlib.figure import Figure as Sheet

    lines = [(f"{codes[f.entry]} {c.cause} ({f.history})", c) for f in learnt for c in f.causes]
    height = 16.0 + 4.0 * max(1, len(lines))
    with matplotlib.rc_context({"svg.hashsalt": "leadsman", "svg.fonttype": "path", "font.size": 7}):
        sheet = Sheet(figsize=(width_mm / _MM_PER_INCH, height / _MM_PER_INCH), layout="constrained")
        axes = sheet.add_subplot()
        places = list(range(len(lines)))
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
        axes.set_yticks(places, [name for name, _ in lines])
        axes.invert_yaxis()
        axes.set(xlim=(0, 100), xlabel="likelihood, of a hundred boats")
        axes.spines[["top", "right"]].set_visible(False)
        sheet.legend(loc="outside upper center", ncols=2, frameon=False)
        stream = io.StringIO()
        sheet.savefig(stream, format="svg", metadata={"Date": None, "Creator": None})
    return stream.getvalue()
