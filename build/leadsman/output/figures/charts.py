"""Curves and bars by matplotlib, in the house type, with the numbers of the edition's own tables."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import cache
from importlib.resources import as_file, files
from typing import Any

from leadsman.book.computed import ComputedTable, printed_as, show
from leadsman.book.inputs import axis_records
from leadsman.content.model.phrases import filled
from leadsman.output.figures.drawing import CARD_WIDTH, TYPE
from leadsman.output.figures.figure import Figure
from leadsman.output.figures.numbers import Numbers, plain_words
from leadsman.plotting import plotted
from leadsman.press.fonts import PACKAGES
from leadsman.units import convert, quantity_text, round_to, symbol

#: Marks of a logarithmic axis.
_TICKS = (0.5, 1, 2, 3, 5, 10, 20, 30, 50, 100)
#: Currents whose lengths the text tells [A].
_TOLD_A = (2.0, 4.0)
_DASHES = ("solid", "dashed", "dashdot", "dotted")


@cache
def _type_name() -> str:
    from matplotlib import font_manager

    with as_file(files(PACKAGES["barlow"]) / "files" / "BarlowSemiCondensed-Medium.ttf") as path:
        font_manager.fontManager.addfont(str(path))
        return font_manager.FontProperties(fname=str(path)).get_name()


@contextmanager
def _sheet(height_mm: float, width_mm: float = CARD_WIDTH) -> Iterator[tuple[Any, Any, list[str]]]:
    """Axes on a sheet of true size, in the house type; the finished SVG is put into the list."""
    how: dict[Any, Any] = {
        "font.family": _type_name(), "font.weight": 500, "axes.labelweight": 500, "font.size": TYPE, "axes.labelsize": TYPE,
        "axes.linewidth": 1.0, "xtick.major.width": 1.0, "ytick.major.width": 1.0, "grid.linewidth": 0.55,
        "grid.color": "#767676", "hatch.linewidth": 0.7,
    }  # fmt: skip
    with plotted(width_mm, height_mm, how) as found:
        yield found


def longest_run(numbers: Numbers) -> Iterator[Figure]:
    """Longest one-way lead against current, a curve for each conductor of the edition's own table."""
    table = numbers.table("longest-run-3-metric" if numbers.metric else "longest-run-3-awg")
    if table is None:
        return
    currents = [float(row.inputs["current_a"]) for row in table.rows]
    unit, span = numbers.depth_unit, list[float]()
    words = numbers.words.longest_run
    with _sheet(72) as (_, axes, written):
        for column, (head, dash) in enumerate(zip(table.column_heads, _DASHES, strict=False)):
            # The curve itself is not rounded; every number in words is, to the safe side.
            lengths = [convert(float(cells[column].exact), "m", unit) for cells in table.cells]
            axes.plot(currents, lengths, color="black", linestyle=dash, linewidth=1.6)
            axes.annotate(
                head.replace("\u202f", " "),
                (currents[-1], lengths[-1]),
                textcoords="offset points",
                xytext=(12, -3),
            )
            span += lengths
        axes.set(xlabel=words.current, ylabel=filled(words.one_way, unit=unit), xscale="log", yscale="log")
        ticks = [tick for tick in _TICKS if min(span) <= tick <= max(span)]
        axes.set_yticks(ticks, [f"{tick:g}" for tick in ticks])
        axes.set_xticks(currents, [f"{current:g}" for current in currents])
        axes.minorticks_off()
        axes.grid()
    at = {current: number for number, current in enumerate(currents)}
    low, high = (table.cells[at[current]] for current in _TOLD_A)
    currents_told = [quantity_text(int(current), "A").replace("\u202f", " ") for current in _TOLD_A]
    first, *others = (
        filled(
            words.one,
            name=head,
            long=low[column].text,
            current=currents_told[0],
            short=high[column].text,
            more=currents_told[1],
        )
        for column, head in enumerate(table.column_heads)
    )
    names = "; ".join([first, *(filled(words.another, name=other) for other in others)])
    text = filled(words.text, drop=quantity_text(float(table.fixed["drop_pct"]), "%"), names=names)
    yield Figure(
        "longest-run", str(words.title), str(words.caption), plain_words(text),
        written[0], ("never-worked-since-fitting", "restarts-on-transmit", "longest-run-3-metric", "longest-run-3-awg"),
    )  # fmt: skip


def thermistor(numbers: Numbers) -> Iterator[Figure]:
    """Resistance of the thermistors against the water's temperature, on a logarithmic scale."""
    table = numbers.table("thermistor")
    if table is None:
        return
    words = numbers.words.thermistor
    unit = "degC" if numbers.metric else "degF"
    water = [convert(float(row.inputs["temperature_c"]), "degC", unit) for row in table.rows]
    curves = _unlike(table)
    with _sheet(70) as (_, axes, written):
        for (names, readings), dash in zip(curves, _DASHES, strict=False):
            axes.plot(water, readings, color="black", linestyle=dash, linewidth=1.6, marker="o", markersize=3)
            axes.annotate(
                ", ".join(names), (water[1], readings[1]), textcoords="offset points", xytext=(6, 5)
            )
        axes.set(xlabel=filled(words.water, unit=quantity_text(1, unit)[2:]), ylabel=words.ohms, yscale="log")
        axes.set_yticks([5, 10, 20, 50, 100], ["5", "10", "20", "50", "100"])
        axes.minorticks_off()
        axes.grid()
    first, middle, last = 0, len(table.cells) // 2, len(table.cells) - 1
    told = " ".join(
        filled(
            words.curve,
            name=head,
            first=table.cells[first][column].text,
            cold=table.row_heads[first],
            middle=table.cells[middle][column].text,
            mild=table.row_heads[middle],
            last=table.cells[last][column].text,
            warm=table.row_heads[last],
        )
        for column, head in enumerate(table.column_heads)
    )
    text = filled(words.text, names=told)
    yield Figure(
        "thermistor-curve", str(words.title), str(words.caption),
        plain_words(text), written[0], ("temperature-wrong", "thermistor"),
    )  # fmt: skip


def _unlike(table: ComputedTable) -> list[tuple[list[str], list[float]]]:
    """Curves with the names that share them: what differs by less than a twentieth is one stroke in a picture."""
    found: list[tuple[list[str], list[float]]] = []
    for column, head in enumerate(table.column_heads):
        readings = [float(cells[column].printed or 0) for cells in table.cells]
        for names, others in found:
            if all(abs(a - b) <= 0.05 * b for a, b in zip(readings, others, strict=True)):
                names.append(head)
                break
        else:
            found.append(([head], readings))
    return sorted(found, key=lambda curve: -curve[1][0])


def readable_depths(numbers: Numbers) -> Iterator[Figure]:
    """For each water and band, the depths from the shallowest to the deepest readable one, on the cautious side."""
    words = numbers.words.readable
    for water_id, water in numbers.catalogue.waters.items():
        bars = _bars(numbers, water_id)
        if not bars:
            continue
        unit = numbers.depth_unit
        told = " ".join(
            filled(
                words.bar,
                name=label,
                least=_limit(numbers, "shallowest-depth", low, "up"),
                greatest=_limit(numbers, "deepest-depth", high, "down"),
            )
            for label, low, high in bars
        )
        yield Figure(
            f"depths-{water_id}", filled(words.title, water=water.name), str(words.caption),
            plain_words(filled(words.text, water=water.name, bottom=water.sediment.replace("-", " "), names=told)),
            _bar_chart(bars, filled(words.axis, unit=unit)),
            ("deepest-depth", "shallowest-depth"),
        )  # fmt: skip


def _limit(numbers: Numbers, name: str, value: float, side: Any) -> str:
    """A depth in steps of the table that holds such depths, so that picture and table say the same."""
    table, unit = numbers.table(name), symbol(numbers.depth_unit)
    # Of a range, the end that is rounded to the wanted side.
    ends = [end for cell in table.table.cells for end in (cell, cell.to) if end] if table else []
    found = next((end for end in ends if end.show and end.show.round == side), None)
    if found is None:
        return quantity_text(round_to(value, side, digits=2), unit)
    return show(value, unit, printed_as(found, numbers.units)).text


def _bars(numbers: Numbers, water_id: str) -> list[tuple[str, float, float]]:
    catalogue = numbers.catalogue
    water = next(axis_records("water", [water_id], None, catalogue))
    bars = []
    for band in axis_records("band", [], None, catalogue, numbers.units, names_hull=True):
        # Of the displays that know the transducer, the one that shows least.
        transducer = band.record_id.partition("/")[0]
        family = [f for f in catalogue.families.values() if transducer in f.transducers]
        display = {
            "least_depth_m": max((f.least_depth_m for f in family), default=0.4),
            "greatest_depth_m": min((f.greatest_depth_m for f in family), default=900.0),
        }
        offered = {**band.inputs, **water.inputs, **display}
        low = numbers.ask(
            "echo.shallowest_depth", {**offered, **_given(numbers, "shallowest-depth")}
        ).pessimistic
        high = numbers.ask("echo.deepest_depth", {**offered, **_given(numbers, "deepest-depth")}).pessimistic
        bars.append((band.label, float(numbers.in_depth_unit(low)), float(numbers.in_depth_unit(high))))
    return sorted(bars, key=lambda bar: bar[2])


def _given(numbers: Numbers, name: str) -> Mapping[str, Any]:
    """What a table fixes for all its cells, such as the doubt about the sound speed: the picture counts with it too."""
    table = numbers.table(name)
    return table.fixed if table is not None else {}


def _bar_chart(bars: Sequence[tuple[str, float, float]], x_label: str) -> str:
    with _sheet(9.6 * len(bars) + 16, 110.0) as (_, axes, written):
        for row, (label, low, high) in enumerate(bars):
            # White and hatch apart: a tile of the hatch with a ground leaves a sliver of it at an end, seen as a fine line.
            axes.barh(row, high - low, left=low, height=0.36, facecolor="white", linewidth=0)
            axes.barh(
                row,
                high - low,
                left=low,
                height=0.36,
                facecolor="none",
                edgecolor="black",
                hatch="////",
                linewidth=1,
            )
            axes.annotate(
                label, (low, row), textcoords="offset points", xytext=(0, 8.5),
                bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.0},
            )  # fmt: skip
        axes.set(xlabel=x_label, xscale="log", yticks=[])
        axes.set_xlim(left=0.75 * min(low for _, low, _ in bars))
        axes.set_ylim(-0.6, len(bars) - 0.1)
        axes.grid(axis="x", which="major")
        axes.set_axisbelow(True)
        axes.xaxis.set_major_formatter("{x:g}")
    return written[0]
