"""Hatching, spreading and measuring on the sheet."""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import drawn
from leadsman.output.figures.drawing import Drawing, hatch_lines, spread, text_width


@settings(max_examples=60, derandomize=True)
@given(
    st.floats(2, 40), st.floats(2, 40), st.floats(0, 179), st.floats(0.5, 4),
)  # fmt: skip
def test_hatching_fills_a_box_evenly_and_stays_inside(
    wide: float, high: float, angle: float, step: float
) -> None:
    lines = hatch_lines([(0, 0), (wide, 0), (wide, high), (0, high)], angle, step)
    total = 0.0
    for (x1, y1), (x2, y2) in lines:
        assert all(-1e-6 <= x <= wide + 1e-6 for x in (x1, x2))
        assert all(-1e-6 <= y <= high + 1e-6 for y in (y1, y2))
        total += math.hypot(x2 - x1, y2 - y1)
    # Cavalieri: strokes at even distances measure the area, but for what the first and last of them miss.
    assert total * step == pytest.approx(wide * high, abs=1.01 * step * math.hypot(wide, high))


@settings(max_examples=60, derandomize=True)
@given(st.lists(st.floats(10, 50), min_size=1, max_size=6))
def test_labels_are_moved_apart_and_keep_their_order(levels: list[float]) -> None:
    placed = spread(sorted(levels), 4.5, 5, 55)
    assert all(b - a >= 4.5 - 1e-9 for a, b in itertools.pairwise(placed))
    assert placed[-1] <= 55


def test_a_label_is_measured_as_its_font_says() -> None:
    for words in ("bad joint below 12.00 V", "leans 21°", "KEEL SIDE"):
        for weight in (500, 700):
            wanted = drawn.width(words, 12 * drawn.MM_PER_PT, str(weight))
            assert text_width(words, 12, weight) == pytest.approx(wanted, rel=0.03)


def test_words_in_a_drawing_cannot_break_out_of_it() -> None:
    drawing = Drawing(10, 10)
    drawing.text((1, 5), "<script>&")
    assert "&lt;script&gt;&amp;" in drawing.svg()
