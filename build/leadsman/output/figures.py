"""Pictures drawn from the computation: charts by matplotlib, diagrams as plain SVG, all with a text that says the same."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass

from leadsman.book.inputs import axis_records, boat_inputs
from leadsman.compute.registry import formulas
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.equipment import Boat
from leadsman.output.svg import safe_svg
from leadsman.units import convert, quantity_text, round_to

_FONT = 'font-family="Leadsman Text"'


@dataclass(frozen=True)
class Figure:
    """A picture: inline SVG whose title is its text alternative."""

    id: str
    title: str
    svg: str
    text: str


def figures(catalogue: Catalogue, units: str = "metric") -> list[Figure]:
    """All pictures of the handbook, with the numbers of its content."""
    drawn = [longest_run_chart(units)]
    drawn += [depth_chart(catalogue, water, units) for water in catalogue.waters]
    tilted = max(catalogue.boats.values(), key=lambda boat: boat.deadrise_deg)
    drawn.append(hull_section(tilted, catalogue))
    drawn.append(beam_on_slope(catalogue, units))
    return drawn


def longest_run_chart(units: str = "metric") -> Figure:
    """Longest one-way lead against current for common conductors at 3 % of 12 V."""
    currents = [1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0]
    sizes = (
        ("18 AWG", "16 AWG", "14 AWG", "12 AWG")
        if units != "metric"
        else ("1 mm2", "1.5 mm2", "2.5 mm2", "4 mm2")
    )
    run = formulas()["supply.longest_run"]
    unit = "ft" if units != "metric" else "m"
    lines = []
    for size in sizes:
        lengths = [
            convert(run(conductor=size, current_a=a, nominal_v=12.0, drop_pct=3.0), "m", unit)
            for a in currents
        ]
        lines.append((size.replace("mm2", "mm²"), currents, lengths))
    text = "Longest one-way lead at a drop of 3 % of 12 V. " + " ".join(
        f"A lead of {name} may be {_at(xs, ys, 2.0, unit)} long at 2 A and {_at(xs, ys, 4.0, unit)} at 4 A."
        for name, xs, ys in lines
    )
    svg = _line_chart(lines, "Current, A", f"Longest one-way lead, {unit}")
    return _figure("longest-run", "Longest lead by current and conductor", svg, text)


def _at(xs: Sequence[float], ys: Sequence[float], x: float, unit: str) -> str:
    return quantity_text(round_to(ys[list(xs).index(x)], "down", step="0.5"), unit)


def _line_chart(
    lines: Sequence[tuple[str, Sequence[float], Sequence[float]]], x_label: str, y_label: str
) -> str:
    import matplotlib

    matplotlib.use("svg")
    from matplotlib.figure import Figure as Canvas

    with matplotlib.rc_context({"svg.hashsalt": "leadsman", "svg.fonttype": "path", "font.size": 9}):
        canvas = Canvas(figsize=(4.4, 3.1))
        axes = canvas.add_subplot()
        for (name, xs, ys), dash in zip(lines, ("solid", "dashed", "dashdot", "dotted"), strict=False):
            axes.plot(xs, ys, color="black", linestyle=dash, linewidth=1.4)
            axes.annotate(name, (xs[1], ys[1]), textcoords="offset points", xytext=(4, 3), fontsize=9)
        axes.set(xlabel=x_label, ylabel=y_label)
        axes.set_ylim(bottom=0)
        axes.grid(color="#767676", linewidth=0.5)
        return _written(canvas)


def _written(canvas: object) -> str:
    stream = io.StringIO()
    canvas.savefig(stream, format="svg", metadata={"Date": None, "Creator": None}, bbox_inches="tight")  # type: ignore[attr-defined]
    return stream.getvalue()


def depth_chart(catalogue: Catalogue, water_id: str, units: str = "metric") -> Figure:
    """For each band, the depths from the shallowest to the deepest readable one, as bars on a log scale."""
    water = next(axis_records("water", [water_id], None, catalogue))
    unit = "ft" if units != "metric" else "m"
    deepest, shallowest = formulas()["echo.deepest_depth"], formulas()["echo.shallowest_depth"]
    bars = []
    for band in axis_records("band", [], None, catalogue):
        offered = {**band.inputs, **water.inputs, "least_depth_m": 0.4, "greatest_depth_m": 900.0}
        low = shallowest(
            **{i.argument: offered[i.argument] for i in shallowest.inputs if i.argument in offered}
        )
        high = deepest(**{i.argument: offered[i.argument] for i in deepest.inputs if i.argument in offered})
        bars.append(
            (
                band.label,
                convert(float(_pessimistic(low)), "m", unit),
                convert(float(_pessimistic(high)), "m", unit),
            )
        )
    name = str(catalogue.waters[water_id].name)
    text = f"Readable depths in {name}, boat at rest, on the cautious side. " + " ".join(
        f"The band {label} reads from {quantity_text(round_to(low, 'up', digits=2), unit)} down to {quantity_text(round_to(high, 'down', digits=2), unit)}."
        for label, low, high in bars
    )
    return _figure(
        f"depths-{water_id}",
        f"Which band reads where: {name}",
        _bar_chart(bars, f"Depth below the face, {unit}"),
        text,
    )


def _pessimistic(result: object) -> float:
    """The end of the band that keeps the reader safe."""
    return float(result.pessimistic)  # type: ignore[attr-defined]


def _bar_chart(bars: Sequence[tuple[str, float, float]], x_label: str) -> str:
    import matplotlib

    matplotlib.use("svg")
    from matplotlib.figure import Figure as Canvas

    with matplotlib.rc_context({"svg.hashsalt": "leadsman", "svg.fonttype": "path", "font.size": 9}):
        canvas = Canvas(figsize=(4.6, 0.34 * len(bars) + 0.9))
        axes = canvas.add_subplot()
        for row, (label, low, high) in enumerate(reversed(bars)):
            axes.barh(
                row,
                high - low,
                left=low,
                height=0.42,
                facecolor="white",
                edgecolor="black",
                hatch="///",
                linewidth=1,
            )
            axes.annotate(label, (low, row), textcoords="offset points", xytext=(0, 6.5), fontsize=7.5)
        axes.set(xlabel=x_label, xscale="log", yticks=[])
        axes.set_ylim(-0.6, len(bars))
        axes.grid(axis="x", which="both", color="#767676", linewidth=0.3)
        axes.xaxis.set_major_formatter("{x:g}")
        return _written(canvas)


def hull_section(boat: Boat, catalogue: Catalogue) -> Figure:
    """A hull's section at the transducer with its deadrise, the element's tilt, and the tilt that is left."""
    inputs = boat_inputs(boat, catalogue)
    rise, tilt = boat.deadrise_deg, boat.element_tilt_deg
    left = rise - tilt
    beam = float(inputs["beamwidth_deg"])
    slope = math.tan(math.radians(rise))
    keel_y, half = 150.0, 110.0
    chine_y = keel_y - half * slope
    x, y = 150 + 55, keel_y - 55 * slope
    parts = [
        f'<path d="M{150 - half} {chine_y - 45} L{150 - half} {chine_y} L150 {keel_y} L{150 + half} {chine_y} L{150 + half} {chine_y - 45}" fill="none" stroke="#000" stroke-width="2.5"/>',
        '<line x1="10" y1="95" x2="290" y2="95" stroke="#000" stroke-width="1" stroke-dasharray="6 3"/>',
        f'<text x="12" y="90" font-size="11" {_FONT}>waterline</text>',
        f'<rect x="{x - 9}" y="{y - 3}" width="18" height="8" fill="#000" transform="rotate({-left:.2f} {x} {y})"/>',
        _ray(x, y, 0.0, 100, "2 3"), _ray(x, y, left, 100, ""), _ray(x, y, left - beam / 2, 95, "5 3"), _ray(x, y, left + beam / 2, 95, "5 3"),
        f'<text x="20" y="200" font-size="11" {_FONT}>deadrise {quantity_text(round(rise), "deg")}</text>',
        f'<text x="20" y="216" font-size="11" {_FONT}>element {quantity_text(round(tilt), "deg")}</text>',
        f'<text x="20" y="232" font-size="11" {_FONT}>tilt left {quantity_text(round(left), "deg")}</text>',
        f'<text x="20" y="248" font-size="11" {_FONT}>beam {quantity_text(round(beam), "deg")}</text>',
    ]  # fmt: skip
    text = (
        f"Section of {boat.name} at the transducer: deadrise {rise:g} degrees, element tilted {tilt:g} degrees, so "
        f"{left:g} degrees of tilt are left athwartships. The beam is {beam:g} degrees wide. "
        "The dotted line is plumb; the solid line is the axis of the beam."
    )
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 260">{"".join(parts)}</svg>'
    return _figure("hull-section", f"Deadrise, element and residual tilt: {boat.name}", svg, text)


def _ray(x: float, y: float, angle_deg: float, length: float, dash: str) -> str:
    end_x = x + length * math.sin(math.radians(angle_deg))
    end_y = y + length * math.cos(math.radians(angle_deg))
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<line x1="{x:.1f}" y1="{y:.1f}" x2="{end_x:.1f}" y2="{end_y:.1f}" stroke="#000" stroke-width="1.2"{dashes}/>'


def beam_on_slope(catalogue: Catalogue, units: str = "metric") -> Figure:
    """A beam over a sloping bottom: the first echo comes from the upper edge and reads shallow."""
    band = next(axis_records("band", [], None, catalogue))
    beam = float(band.inputs["beamwidth_deg"])
    depth, slope = 10.0, 20.0
    half = math.radians(beam / 2)
    rise = math.tan(math.radians(slope))
    # The nearest point of the insonified slope: the foot of the perpendicular, or the beam's edge before it.
    angle = min(math.radians(slope), half)
    nearest = depth / (math.cos(angle) + rise * math.sin(angle))
    unit = "ft" if units != "metric" else "m"
    shown = quantity_text(round_to(convert(nearest, "m", unit), "nearest", step="0.1"), unit)
    true = quantity_text(round_to(convert(depth, "m", unit), "nearest", step="0.1"), unit)
    scale, x0, y0 = 16.0, 140.0, 30.0
    bottom = y0 + depth * scale
    reach = 135.0
    parts = [
        f'<line x1="10" y1="{y0 - 8}" x2="290" y2="{y0 - 8}" stroke="#000" stroke-width="1" stroke-dasharray="6 3"/>',
        f'<path d="M{x0 - 16} {y0 - 8} L{x0 - 10} {y0} L{x0 + 10} {y0} L{x0 + 16} {y0 - 8} Z" fill="#000"/>',
        f'<line x1="{x0 - reach}" y1="{bottom + reach * rise:.1f}" x2="{x0 + reach}" y2="{bottom - reach * rise:.1f}" stroke="#000" stroke-width="2.5"/>',
        _ray(x0, y0, 0.0, depth * scale, "2 3"),
        _ray(x0, y0, beam / 2, 1.02 * nearest * scale if angle == half else depth * scale / (math.cos(half) + rise * math.sin(half)), "5 3"),
        _ray(x0, y0, -beam / 2, depth * scale / (math.cos(half) - rise * math.sin(half)), "5 3"),
        _ray(x0, y0, math.degrees(angle), nearest * scale, ""),
        f'<text x="{x0 - 95}" y="{y0 + 60}" font-size="11" {_FONT}>plumb {true}</text>',
        f'<text x="{x0 + 45}" y="{y0 + 60}" font-size="11" {_FONT}>first echo {shown}</text>',
    ]  # fmt: skip
    text = (
        f"A beam {beam:g} degrees wide over a bottom that slopes {slope:g} degrees. The plumb depth is {true}; the first echo "
        f"comes from the uphill side of the beam and reads {shown}. The deep side of the slope stays hidden."
    )
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 260">{"".join(parts)}</svg>'
    return _figure("beam-on-slope", "The beam on a slope", svg, text)


def _figure(figure_id: str, title: str, svg: str, text: str) -> Figure:
    return Figure(figure_id, title, safe_svg(svg, name=figure_id, title=f"{title}. {text}"), text)
