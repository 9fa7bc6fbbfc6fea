"""What stands exactly at a limit: on which side it counts, for limits of places, sizes and colours that a test can meet."""

from __future__ import annotations

from typing import Any

import pytest

from inspection import making
from inspection.making import (
    BOLD,
    card_face,
    column,
    element,
    in_turn,
    joined,
    letters,
    page,
    shape,
    step_of,
    written,
)
from leadsman.inspection import colour_rules, roles, type_rules
from leadsman.inspection.model import BLACK, MM_PER_PT, WHITE, Block, Box, Element, PdfFile, words_of
from leadsman.inspection.shapes import shapes

Readings = list[tuple[float | str, str, int]]


def readings(rule: str, file: PdfFile, kind: str = "deck") -> Readings:
    """All that a rule measured: value, words, page."""
    return [(r.measured, r.says, r.page) for r in making.rule(rule, kind).read(file)]


def kept(rule: str, file: PdfFile, kind: str = "deck") -> bool:
    return making.outcome(rule, kind, file).verdict == "kept"


# --- places --------------------------------------------------------------------------------------


def test_yes_may_stand_a_whole_millimetre_off() -> None:
    texts = []
    for number, left in enumerate((10.0, 10.0, 11.0), 1):
        texts += step_of(
            number, "Look.", written("P", "Is it?"), written("P", "YES → 9", left=left, face=BOLD)
        )
    assert kept("CK-11", card_face(*texts))


def test_a_text_that_touches_the_end_mark_is_not_behind_it() -> None:
    file = card_face(written("P", "Words."), turn="END of P1")
    bottom = next(run for run in file.runs if run.text.startswith("END")).box.bottom
    file.pages[0].runs.append(letters("More", 30, bottom, 40, bottom + 3, element=element("P")))
    assert kept("CK-06", file)


def test_tabs_may_touch_and_stand_a_whole_millimetre_off() -> None:
    def tabbed(word: str, left: float, size_pt: float = 10.5, code: str = "P1") -> PdfFile:
        tab = written("P", letters(word, left, 1, left + 20, 4, size_pt=size_pt))
        return card_face(written("P", "Words."), tab=tab, code=code)

    assert kept("N1-10", joined(tabbed("Power", 30.0), tabbed("Echo", 50.0, code="E1")))
    assert kept("N1-10", joined(tabbed("Power", 30.0), tabbed("Echo", 10.0, code="E1")))
    assert kept("N1-10", joined(tabbed("Power", 30.0), tabbed("Power", 31.0, code="P2")))
    assert kept("N1-10", tabbed("Power", 30.0, size_pt=9.99))


def test_half_a_millimetre_and_a_share_of_the_size_part_nothing() -> None:
    first = letters("loose", -10, 10, 0, 14)
    one = Element("P", None, 1)
    assert words_of([first, letters("wire", 0, 10.5, 9, 14.5)]) == "loosewire"
    assert words_of([first, letters("wire", 0.15 * 12.0 * MM_PER_PT, 10, 9, 14)]) == "loosewire"
    low = 0.3 * 12.0 * MM_PER_PT
    assert len(Block(one, 1, [letters("a", 0, -4, 4, 0.0), letters("b", 5, -3, 9, low)]).lines) == 2


def test_a_title_begins_above_two_centimetres() -> None:
    """Places of the sample page begin 30 mm down."""
    lines = [letters("Dead", 10, -10, 60, -5, size_pt=15), letters("unit", 10, -6, 40, -1, size_pt=15)]
    for run in lines:
        run.face = BOLD
    assert making.outcome("TY-04", "deck", page(*written("P", *lines))).verdict == "broken"


def test_an_end_that_is_half_a_millimetre_higher_is_no_inversion() -> None:
    runs = [
        written("P", letters(f"text {n}", *box))[0]
        for n, box in enumerate(((10, 20, 40, 24), (10, 15.5, 40, 19.5)))
    ]
    assert kept("PD-23", page(*in_turn(runs)), "handbook")


def test_a_tab_may_reach_a_millimetre_into_the_title() -> None:
    def title(bottom: float, size_pt: float = 10.5, head_pt: float = 15.0) -> str:
        tab = written("P", letters("Power", 10, 1, 40, bottom, size_pt=size_pt))
        head = written("P", letters("Dead unit", 10, 8, 60, 13, size_pt=head_pt))
        head[0].face = BOLD
        foot = making.lowered(
            written("P", "TQ-P1, face 1 of 1, rev 1, 25 Nov 2026. Quay deck.", size_pt=8), 139
        )
        face = roles.face_of(page(*in_turn([*tab, *head, *foot])).pages[0])
        assert face is not None
        return face.title.text

    assert title(9.0) == "Dead unit"
    assert title(4.0, size_pt=11.0, head_pt=11.0) == "Power"  # of one size


class Drawing:
    """A page of which only the drawings are known."""

    def __init__(self, *drawn: dict[str, Any]) -> None:
        self.drawn = drawn

    def get_cdrawings(self, *, extended: bool) -> list[dict[str, Any]]:
        return list(self.drawn) if extended else []


def seen(*drawn: dict[str, Any]) -> list[Any]:
    return shapes(Drawing(*drawn), 1, lambda box: Box(*box))


def test_fills_at_the_limits_of_what_is_seen() -> None:
    fill = {"type": "f", "fill": BLACK, "items": [("re",)], "level": 1}
    clip = {"type": "clip", "level": 0, "items": []}
    assert [s.is_rule for s in seen({**fill, "rect": (0, 0, 50, 0.01)})] == [True]
    assert [s.is_rule for s in seen({**fill, "rect": (0, 0, 50, 1.3)})] == [False]
    whole = {**fill, "rect": (0, 0, 40, 30), "even_odd": True}
    assert len(seen({**clip, "scissor": (0, 0, 2.0, 0.5)}, whole)) == 1
    assert len(seen({**fill, "rect": (0, 0, 9, 9), "fill_opacity": 0.02})) == 1


# --- sizes ---------------------------------------------------------------------------------------


def test_a_hundredth_below_a_size_still_counts() -> None:
    assert kept("TY-20", page(*written("P", "Off", size_pt=9.99)))
    grey = (119 / 255,) * 3
    assert kept("CO-02", page(*written("P", "Off", size_pt=17.99, colour=grey)), "handbook")
    face = card_face(
        written("P", "↓ is YES: go on down to it.", size_pt=9.99),
        *step_of(1, "Look.", written("P", "↓", "NO → A")),
    )
    assert kept("N1-04", face)


def test_a_size_that_is_a_twentieth_of_a_point_less_is_a_remark() -> None:
    found = Block(
        element("P"), 1, [letters("Some words", 0, 0, 9, 4), letters("note", 9, 0, 12, 4, size_pt=12 - 0.05)]
    )
    assert [run.text for run in roles.main_runs(found)] == ["Some words"]


# --- colours: the measure itself is put at the limit ----------------------------------------------


@pytest.fixture
def lit(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Return a function that lets a measure of the rules have one value."""

    def put(value: float, *names: str, module: Any = colour_rules) -> None:
        for name in names:
            monkeypatch.setattr(module, name, lambda *of: value)

    return put


def test_a_contrast_at_its_limit_is_enough(lit: Any) -> None:
    """WCAG 2.2: at least 4.5, 3 and 7."""
    words = page(*written("P", "Off"))
    lit(4.5, "contrast", "red_contrast")
    assert kept("CO-02", words, "handbook")
    assert kept("CO-05", words)
    assert kept("CO-06", words)
    lit(3.0, "contrast")
    assert kept("CO-02", page(*written("P", "Off", size_pt=18)), "handbook")
    assert kept("CO-03", page(shape(20, 40, 60, 40.2, line=BLACK, pt=0.5)))
    lit(1.02, "contrast")
    assert readings("CO-03", page(shape(20, 40, 60, 40.2, line=WHITE, pt=0.5))) == []


def test_a_luminance_at_its_limit(lit: Any) -> None:
    red = page(*written("P", "WARNING", colour=(0.8, 0.0, 0.0)))
    lit(0.4, "luminance")
    assert kept("CO-07", red)
    lit(colour_rules.BLACKISH, "luminance")
    field = shape(20, 40, 30, 50, fill=(1.0, 0.82, 0.0))
    assert not kept("CO-08", page(field, shape(20, 50, 30, 50.2, line=BLACK, pt=1)))
    assert readings("CO-09", page(*written("P", "Off"))) == []
    framed = [shape(5, 38, 60, 38.2, line=BLACK, pt=1), shape(8, 28, 8.2, 40, line=BLACK, pt=1)]
    assert not kept("CO-06", page(*column(written("P", "WARNING", colour=(1.0, 0.0, 0.0)), top=34), *framed))
    again = column(written("P", "WARNING", colour=(1.0, 0.0, 0.0)), written("P", "WARNING", size_pt=12))
    assert not kept("CO-06", page(*again))
    lit(0.4, "luminance", module=type_rules)
    assert readings("TY-10", page(*written("P", "Off"))) == []


def test_a_face_of_which_two_fifths_are_dark_is_too_dark(lit: Any) -> None:
    lit(0.4, "dark_share")
    assert readings("CO-14", page()) == [("40 % dark", "face", 1)]
    assert not kept("CO-14", page())


def test_a_square_beside_a_word_is_no_frame() -> None:
    word = column(written("P", "WARNING", colour=(1.0, 0.0, 0.0)), top=40)
    assert not kept("CO-06", page(*word, shape(8, 45, 9, 46, line=BLACK, pt=1)))


# --- what is told --------------------------------------------------------------------------------


def test_places_on_the_sheet_are_told_with_so_many_decimals() -> None:
    """Thousandths of a size, hundredths of a margin, tenths of the clear space around a hole."""
    size = (105.12345, 148.0)
    assert readings("PH-01", page(size=size))[0] == (0.123, "105.1 x 148.0 mm, A6", 1)
    assert readings("PH-03", page(size=(210.12345, 297)), "sheets")[0] == (0.123, "A4", 1)
    bar = shape(10, 10, 110.12345, 13, fill=BLACK)
    assert readings("PH-19", page(bar, size=(210, 297)), "sheets") == [(0.123, "scale bar", 1)]
    assert readings("PH-19", page(size=(210, 297)), "sheets") == [("no bar", "no shape of about 100 mm", 1)]
    field = shape(-2.12345, 40, 9, 60, fill=BLACK)
    assert readings("PH-05", page(field, bleed_mm=3.12345)) == [
        (3.123, "bleed box", 1),
        (2.123, "art at the edge", 1),
    ]
    words, line = letters("Off.", 7.12345, 40, 60, 44), shape(6.12345, 50, 60, 50.2, line=BLACK, pt=0.5)
    assert readings("PH-06", page(words, line)) == [(7.12, "'Off.'", 1), (6.12, "line", 1)]
    ring = shape(5.1234, 5, 10.1234, 10, line=BLACK, pt=0.5, ring=True)
    hole = readings("PH-10", page(ring, letters("Off.", 20, 6, 40, 9)))
    assert hole == [("5.00 mm to the edge", "hole", 1), ("9.9 mm to the hole", "'Off.'", 1)]
    thin = shape(10, 40, 60, 40.2, line=BLACK, pt=0.512345)
    assert readings("PH-16", page(thin)) == [("0.51 pt", "line", 1)]
    over = letters("Off.", -0.512345, 40, 60, 44)
    assert readings("CK-26", page(over)) == [(0.51, "'Off.'", 1)]
    filled = page(*written("P", letters("Off.", 10, 20, 60, 107.12345)))
    # 119 mm between head and foot, of which 89.12345 are used.
    assert readings("LO-02", filled) == [(25.1, "free height", 1)]
    assert readings("LO-02", page()) == [(100.0, "free height", 1)]


def test_a_long_label_of_a_field_is_cut() -> None:
    label = "Power and more than fits into a line of the report"
    labelled = page(shape(20, 40, 30, 50, fill=(1.0, 0.82, 0.0)), letters(label, 22, 41, 26, 44))
    assert readings("CO-04", labelled) == [(label[:30], "yellow field", 1)]


def test_a_ring_nine_millimetres_in_is_no_hole() -> None:
    for left, top in ((9.0, 5.0), (5.0, 9.0)):
        ring = shape(left, top, left + 5, top + 5, line=BLACK, pt=0.5, ring=True)
        assert readings("PH-10", page(ring)) == []


@pytest.mark.parametrize(("grey", "light"), [(0.92, True), (0.90, False)])
def test_a_line_is_light_from_a_luminance_of_four_fifths(grey: float, light: bool) -> None:
    """0.827 and 0.787 by the curve of IEC 61966-2-1; then it wants a whole point."""
    line = shape(10, 40, 60, 40.2, line=(grey,) * 3, pt=0.5)
    assert kept("PH-16", page(line)) != light
