"""The drawings are true to scale: angles and lengths are measured on the sheet and held against plain geometry."""

import math

import built
import drawn
from leadsman.content.model.equipment import Boat
from leadsman.output.figures import beam, echogram, hull, transom
from leadsman.output.figures.drawing import LINE, THICK

#: Points of a drawing are written to a hundredth of a millimetre.
SHEET = 0.02


def corrie() -> Boat:
    """The boat of the demo content with the steepest element."""
    return built.content()[0].boats["corrie"]


def bearing(start: tuple[float, float], end: tuple[float, float]) -> float:
    """Angle of a stroke off straight down, positive to the right [deg]."""
    return math.degrees(math.atan2(end[0] - start[0], end[1] - start[1]))


def test_the_bottom_rises_by_the_deadrise_and_each_beam_leans_by_what_is_left() -> None:
    figure = drawn.everything()["hull-section"]
    (section,) = [points for points in drawn.of_width(figure, THICK) if len(points) == 5]
    _, chine, keel, other, _ = section
    for end in (chine, other):
        slope = math.degrees(math.atan2(keel[1] - end[1], abs(keel[0] - end[0])))
        assert abs(slope - corrie().deadrise_deg) < 0.1
    cones = [
        points for points in drawn.of_width(figure, LINE) if len(points) == 3 and points[0][1] > points[1][1]
    ]
    assert len(cones) == 2
    for (first, face, second), lean in zip(cones, (-21.0, 1.0), strict=True):
        edges = bearing(face, first), bearing(face, second)
        # CH 185, 11.4 degrees to half power; Corrie's 21 degrees less the element's 20, or less none.
        assert abs(abs(edges[0] - edges[1]) - 11.4) < 0.1
        assert abs(sum(edges) / 2 - lean) < 0.1


def test_the_print_on_the_slope_lies_between_the_edges_of_the_beam() -> None:
    figure = drawn.everything()["beam-on-slope"]
    (low, high) = drawn.of_width(figure, 1.4)[0]
    half, slope, depth = math.radians(23.6 / 2), math.radians(beam.SLOPE_DEG), beam.DEPTHS[0]
    # Where a ray x = y tan(a) meets the bottom y = d - x tan(s), by plane trigonometry.
    reach = [depth * math.tan(a) / (1 + math.tan(slope) * math.tan(a)) for a in (-half, half)]
    for (x, y), wanted in zip((low, high), reach, strict=True):
        assert abs((x - beam.FACE[0]) / beam.SCALE - wanted) < SHEET
        assert abs((y - beam.FACE[1]) / beam.SCALE - (depth - wanted * math.tan(slope))) < SHEET
    # On a level bottom the same beam would cover twice the depth times the tangent of half its width.
    level = 2 * depth * math.tan(half)
    assert math.dist(low, high) / beam.SCALE > level


def test_the_first_echo_is_the_nearest_bottom_in_the_beam() -> None:
    figure = drawn.everything()["beam-on-slope"]
    half, slope, depth = 23.6 / 2, beam.SLOPE_DEG, beam.DEPTHS[0]
    rays = [math.radians(-half + 2 * half * n / 2000) for n in range(2001)]
    nearest = min(depth * math.cos(math.radians(slope)) / math.cos(a - math.radians(slope)) for a in rays)
    ends = [points for points in drawn.of_width(figure, THICK) if tuple(points[1]) == beam.FACE]
    assert abs(math.dist(*ends[0]) / beam.SCALE - nearest) < SHEET
    assert f"shows {nearest:.1f} m" in figure.text


def test_the_block_is_drawn_half_size_and_cut_at_the_deadrise() -> None:
    figure = drawn.everything()["fairing-block"]
    cut = max((p for p in drawn.of_width(figure, THICK) if len(p) == 2), key=lambda p: math.dist(*p))
    (x1, y1), (x2, y2) = cut
    assert abs((x2 - x1) * hull.BLOCK_SCALE - 120) < 0.05
    rise = (y1 - y2) * hull.BLOCK_SCALE
    assert abs(rise - 120 * math.tan(math.radians(corrie().deadrise_deg))) < 0.05
    outlines = [p for p in drawn.of_width(figure, LINE) if len(p) == 5 and p[0][0] == x1]
    corner, thin, thick, *_ = outlines[0]
    assert abs((corner[1] - thin[1]) * hull.BLOCK_SCALE - 12) < 0.05
    assert abs((corner[1] - thick[1]) * hull.BLOCK_SCALE - (12 + rise)) < 0.05
    # To the nearest: these are marks to cut by, and a millimetre too much turns the cut by half a degree.
    assert "58 mm at the outboard side" in figure.text
    assert 58 < 12 + rise <= 59


def test_transom_distances_are_to_scale() -> None:
    figure = drawn.everything()["transom-clearances"]
    lengths = {label.words.replace("\u202f", " "): label for label in drawn.labels(figure)}
    shafts = [points for points in drawn.of_width(figure, 0.2) if len(points) == 2]
    for words, true_mm in (("0.4 m", 400.0), ("0.75 m", 750.0)):
        label = lengths[words]
        level = (label.top + label.bottom) / 2
        halves = [p for p in shafts if p[0][1] == p[1][1] and abs(p[0][1] - level) < 1.5]
        ends = [x for p in halves for x, _ in p]
        assert abs((max(ends) - min(ends)) * transom.SCALE - true_mm) < 1.0


def test_the_echogram_has_the_band_and_both_returns_at_one_scale() -> None:
    """Dead zone by half the way of sound in pulse, ring-down and recovery (Urick 1983, chapter 2)."""
    figure = drawn.everything()["dead-zone"]
    catalogue, _ = built.content()
    band = next(b for b in catalogue.transducers["td-70-190"].bands if b.id == "td-70")
    ring_ms = 80 * band.quality_factor / (20 * math.pi * math.log10(math.e) * band.frequency_khz)
    zone = 1500 * (band.pulse_short_ms + ring_ms + band.receiver_recovery_ms) / 2000
    immersion, depth = catalogue.boats["sedge"].face_immersion_m, echogram.DEPTHS[0]
    levels = {round(points[0][1], 2) for _, points in drawn.strokes(figure) if len(points) == 2}
    for wanted in (zone, depth, 2 * depth + immersion):
        assert any(abs((level - echogram.TOP) / echogram.SCALE - wanted) < SHEET for level in levels), wanted
    assert f"{2 * depth + immersion:.1f} m" in figure.text
