"""Rules on colour: contrast in daylight, in grey and in red light; colour that carries no meaning alone."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.inspection import sources
from leadsman.inspection.colours import (
    BLACKISH,
    contrast,
    dark_share,
    ground,
    hue,
    ink_of,
    is_grey,
    luminance,
    red_contrast,
)
from leadsman.inspection.findings import DECK, PAPER, ROUNDING, TAGGED, Reading, at, rule
from leadsman.inspection.model import WHITE, Colour, Page, PdfFile, Run, Shape
from leadsman.inspection.roles import SIGNALS

_BOOK_KINDS = ("handbook", "guide", "record")
#: Smaller fills carry no meaning of their own [mm2].
_FILL_MM2 = 4.0


def _letters(file: PdfFile) -> Iterator[tuple[Page, Run]]:
    for page in file.pages:
        for run in page.runs:
            if run.text.strip() and not run.invisible:
                yield page, run


@rule("CO-01", "Text on cards has a contrast of 7 : 1 or more", kinds=DECK, limit=(">=", 7, "ratio"),
      source=f"{sources.WCAG}, SC 1.4.6")  # fmt: skip
def card_contrast(file: PdfFile) -> Iterator[Reading]:
    """Letters against the ground that is painted around them."""
    for page, run in _letters(file):
        yield at(run, round_down(contrast(ink_of(run), ground(page, run))))


def round_down(ratio: float) -> float:
    """Two decimals, never up."""
    return int(ratio * 100) / 100


@rule("CO-02", "Text in books has a contrast of 4.5 : 1 or more, large text 3 : 1", kinds=_BOOK_KINDS,
      wants=">= 4.5; >= 3 from 18 pt, or 14 pt bold", source=f"{sources.WCAG}, SC 1.4.3")  # fmt: skip
def book_contrast(file: PdfFile) -> Iterator[Reading]:
    """Letters against the ground that is painted around them."""
    for page, run in _letters(file):
        ratio = contrast(ink_of(run), ground(page, run))
        yield at(run, round_down(ratio), ratio >= (3.0 if _is_large(run) else 4.5))


def _is_large(run: Run) -> bool:
    """Large text by WCAG 2.2: from 18 pt, or 14 pt bold; a size in a file is off by rounding."""
    return run.size_pt >= (14 if run.face.bold else 18) - ROUNDING["pt"]


@rule("CO-03", "Lines have a contrast of 3 : 1 or more to what is beside them", kinds=TAGGED,
      limit=(">=", 3, "ratio"), source=f"{sources.WCAG}, SC 1.4.11")  # fmt: skip
def line_contrast(file: PdfFile) -> Iterator[Reading]:
    """Each line inside the trim size against the fill below it, or the paper."""
    for page in file.pages:
        for index, shape in enumerate(page.shapes):
            if shape.is_rule and page.trim.grown(0.1).holds(shape.box):
                ratio = contrast(shape.colour, _behind(page, index))
                # White on white, as around a chart, is no line to anybody.
                if ratio > 1.02:
                    yield Reading(round_down(ratio), "line", page.number, shape.box)


def _behind(page: Page, index: int) -> Colour:
    """What was painted before at the place of a shape and around it."""
    around = page.shapes[index].box.grown(0.3)
    for earlier in reversed(page.shapes[:index]):
        if (
            not earlier.is_rule
            and earlier.fill is not None
            and not earlier.curved
            and earlier.box.holds(around)
        ):
            return earlier.fill
    return WHITE


def _coloured_fills(page: Page) -> Iterator[Shape]:
    for shape in page.shapes:
        inside = shape.box.shared(page.trim)
        if shape.is_rule or inside is None or shape.fill is None or inside.width * inside.height < _FILL_MM2:
            continue
        if not is_grey(shape.fill) and not any(figure.grown(1).holds(shape.box) for figure in page.figures):
            yield shape


def _label(page: Page, shape: Shape) -> str:
    inside = [run.text for run in page.runs if shape.box.grown(0.5).shared(run.box) is not None]
    return " ".join("".join(inside).split())


@rule("CO-04", "A coloured field has a word in it: colour is never the only sign", kinds=TAGGED,
      wants="a word in each coloured field", source=f"{sources.WCAG}, SC 1.4.1")  # fmt: skip
def not_colour_alone(file: PdfFile) -> Iterator[Reading]:
    """Coloured fills outside figures, and the letters on them; holds for grey printing and all colour vision."""
    for page in file.pages:
        for shape in _coloured_fills(page):
            label = _label(page, shape)
            yield Reading(
                label[:30] or "no word", f"{hue(shape.colour)} field", page.number, shape.box, bool(label)
            )


@rule("CO-05", "Printed in grey, text keeps a contrast of 4.5 : 1", kinds=PAPER, limit=(">=", 4.5, "ratio"),
      source=sources.COMMON)  # fmt: skip
def grey_contrast(file: PdfFile) -> Iterator[Reading]:
    """Letters and ground turned into greys of their luminance, in 256 steps as a printer has them."""
    for page, run in _letters(file):
        greys = [_grey(colour) for colour in (ink_of(run), ground(page, run))]
        if page.trim.width <= 110 or not _is_large(run):
            yield at(run, round_down(contrast(*greys)))


def _grey(colour: Colour) -> Colour:
    light = luminance(colour)
    value = 12.92 * light if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055
    step = round(value * 255) / 255
    return step, step, step


@rule("CO-06", "Text is read by red light: 4.5 : 1 in the red channel", kinds=DECK, wants=">= 4.5 : 1, or said again in black",
      source=sources.RED_LIGHT)  # fmt: skip
def red_light(file: PdfFile) -> Iterator[Reading]:
    """Letters and ground in the red channel. A signal word may vanish when it is framed in black or said again."""
    for page, run in _letters(file):
        ratio = red_contrast(ink_of(run), ground(page, run))
        right = ratio >= 4.5 or (run.text.strip() in SIGNALS and (_framed(page, run) or _again(page, run)))
        yield at(run, round_down(ratio), right)


def _framed(page: Page, run: Run) -> bool:
    """A black line of 0.75 pt or more on at least two sides of the word."""
    near = run.box.grown(2.5)
    sides = [
        s for s in page.shapes
        if s.is_rule and (s.thickness_pt or 0) >= 0.73 and luminance(s.colour) < BLACKISH
        and s.box.shared(near) is not None
    ]  # fmt: skip
    return any(s.box.width > s.box.height for s in sides) and any(s.box.height > s.box.width for s in sides)


def _again(page: Page, run: Run) -> bool:
    word = run.text.strip()
    return any(
        word in other.text and other is not run and luminance(other.colour) < BLACKISH for other in page.runs
    )


@rule("CO-07", "No red, orange or magenta letters on a light ground", kinds=DECK, wants="none",
      source=sources.RED_LIGHT)  # fmt: skip
def no_red_letters(file: PdfFile) -> Iterator[Reading]:
    """The hue of each run on a light ground."""
    for page, run in _letters(file):
        name = hue(run.colour)
        light = luminance(ground(page, run)) > 0.4
        yield at(run, name, not (light and name in ("red", "orange", "magenta")))


@rule("CO-08", "A coloured field has a black line of 0.75 pt around or beside it", kinds=DECK, severity="should",
      wants="black line >= 0.75 pt", source=sources.COMMON)  # fmt: skip
def panel_border(file: PdfFile) -> Iterator[Reading]:
    """The lines that touch each coloured field."""
    for page in file.pages:
        for shape in _coloured_fills(page):
            lines = [s for s in page.shapes if s.is_rule and s.box.shared(shape.box.grown(0.6)) is not None]
            right = any((s.thickness_pt or 0) >= 0.73 and luminance(s.colour) < BLACKISH for s in lines)
            yield Reading(
                "framed" if right else "bare", _label(page, shape)[:30], page.number, shape.box, right
            )


@rule("CO-09", "Black letters stand on white, yellow or another light ground", kinds=PAPER,
      wants="no black on dark red, green or blue", source=sources.DEGANI)  # fmt: skip
def black_on_light(file: PdfFile) -> Iterator[Reading]:
    """The ground of dark letters."""
    for page, run in _letters(file):
        if luminance(run.colour) < BLACKISH:
            behind = ground(page, run)
            right = luminance(behind) > 0.3 and (is_grey(behind) or hue(behind) not in ("red", "green", "blue") or luminance(behind) > 0.7)  # fmt: skip
            yield at(run, hue(behind), right)


@rule("CO-10", "A card has three hues at most beside black", kinds=DECK, severity="should", limit=("<=", 3, "hues"),
      source=sources.OURS)  # fmt: skip
def palette(file: PdfFile) -> Iterator[Reading]:
    """The hues of fills, lines and letters of each face."""
    for page in file.pages:
        hues = {
            hue(s.colour)
            for s in page.shapes
            if s.box.shared(page.trim) is not None and not is_grey(s.colour)
        }
        hues |= {hue(run.colour) for run in page.runs if not is_grey(run.colour)}
        yield Reading(len(hues), ", ".join(sorted(hues)) or "none", page.number)


@rule("CO-14", "A face is dark on light", kinds=DECK, wants="most of the face light", source=sources.S52)
def polarity(file: PdfFile) -> Iterator[Reading]:
    """The share of the painted face that is darker than middle grey."""
    for page in file.pages:
        share = dark_share(page)
        yield Reading(f"{100 * share:.0f} % dark", "face", page.number, page.trim, share < 0.4)
