"""Colours as an eye meets them: contrast, grey, red light, hue; and the ground behind some letters."""

from __future__ import annotations

import colorsys
import functools
from dataclasses import dataclass
from typing import Any

import numpy as np

from leadsman.inspection.model import WHITE, Colour, Page, Run

#: Two painted colours that differ by no more are the same [of 255].
_SAME = 6
#: A narrower run is one thin letter, and so much around it is looked at [mm].
_THIN_MM, _AROUND_MM = 1.0, 0.2
#: A shorter run is too short for thirds [mm].
_SHORT_MM = 6.0
#: Luminance below which a colour counts as black.
BLACKISH = 0.05
#: Channels that differ by less show a grey.
_GREY_SPREAD = 0.12


@functools.lru_cache(maxsize=4096)
def linear(value: float) -> float:
    """The light of one channel, 0 to 1 (IEC 61966-2-1:1999, the sRGB curve).

    Examples
    --------
    >>> round(linear(0.5), 4)
    0.2140
    """
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


@functools.lru_cache(maxsize=4096)
def luminance(colour: Colour) -> float:
    """Relative luminance (WCAG 2.2, definition)."""
    return sum(share * linear(v) for share, v in zip((0.2126, 0.7152, 0.0722), colour, strict=True))


def _ratio(one: float, other: float) -> float:
    light, dark = max(one, other), min(one, other)
    return (light + 0.05) / (dark + 0.05)


def contrast(one: Colour, other: Colour) -> float:
    """Contrast ratio (WCAG 2.2, definition), 1 to 21.

    Examples
    --------
    >>> contrast((0, 0, 0), (1, 1, 1))
    21.0
    """
    return _ratio(luminance(one), luminance(other))


def red_contrast(one: Colour, other: Colour) -> float:
    """Contrast ratio under red light: only the red channel reflects.

    Examples
    --------
    >>> round(red_contrast((1, 1, 1), (0.8, 0, 0)), 2)
    1.61
    """
    return _ratio(linear(one[0]), linear(other[0]))


@functools.lru_cache(maxsize=4096)
def hue(colour: Colour) -> str:
    """The name of a colour: black, grey, white, red, orange, yellow, green, blue or magenta.

    Examples
    --------
    >>> [hue(c) for c in ((0, 0, 0), (1, 0.51, 0), (1, 0.82, 0), (0.78, 0.06, 0.18))]
    ['black', 'orange', 'yellow', 'red']
    """
    angle, lightness, _ = colorsys.rgb_to_hls(*colour)
    if max(colour) - min(colour) < _GREY_SPREAD:
        return "black" if lightness < 0.15 else "white" if lightness > 0.92 else "grey"
    degrees = angle * 360
    for name, end in (
        ("red", 15),
        ("orange", 42),
        ("yellow", 70),
        ("green", 170),
        ("blue", 262),
        ("magenta", 340),
    ):
        if degrees < end:
            return name
    return "red"


def is_grey(colour: Colour) -> bool:
    """Whether a colour has no hue."""
    return hue(colour) in ("black", "grey", "white")


@dataclass(frozen=True)
class Look:
    """What was read from the painted page: the ground of each run, whether it is seen, and how much is dark."""

    grounds: dict[int, Colour]
    seen: dict[int, bool]
    dark_share: float


def look(page: Page) -> Look:
    """Paint a page once, read all that the rules ask for, and let the pixels go: a book has hundreds of pages."""
    if "look" not in page.memory:
        grounds = {id(run): _ground(page, run) for run in page.runs}
        seen = {id(run): _leaves_ink(page, run, grounds[id(run)]) for run in page.runs if run.text.strip()}
        page.memory["look"] = Look(grounds, seen, _dark_share(page))
        for name in ("pixels", "dark"):
            page.__dict__.pop(name, None)
    found: Look = page.memory["look"]
    return found


def ground(page: Page, run: Run) -> Colour:
    """The colour behind a run: the one that most pixels around its letters show which is not that of the letters.

    Where every pixel shows the letters' own colour, that is the ground: nothing can be read.
    """
    return look(page).grounds[id(run)]


def leaves_ink(page: Page, run: Run) -> bool:
    """Whether each third of a run leaves ink on the page: a clip mostly cuts one end off."""
    return look(page).seen[id(run)]


def dark_share(page: Page) -> float:
    """The share of the trim size that is darker than middle grey."""
    return look(page).dark_share


def _ground(page: Page, run: Run) -> Colour:
    if _on_paper(page, run):
        return WHITE
    # A box as narrow as one thin letter holds little but its edges: the ground is what lies around it.
    box = run.box.grown(_AROUND_MM) if run.box.width < _THIN_MM else run.box
    found = _commonest(page.cut(box), ink_of(run))
    return ink_of(run) if found is None else found


def _leaves_ink(page: Page, run: Run, behind: Colour) -> bool:
    if not page.media.grown(0.1).holds(run.box):
        return False
    columns = _inside_spaces(run.text, _inked(page, run, behind))
    third = len(columns) // 3
    if run.box.width < _SHORT_MM or third < 1:
        return bool(columns.any())
    return all(
        bool(part.any()) for part in (columns[:third], columns[third : 2 * third], columns[2 * third :])
    )


def _inside_spaces(text: str, columns: Any) -> Any:
    """The columns of pixels without the spaces before and behind the letters, each taken as wide as a letter."""
    before = len(text) - len(text.lstrip())
    behind = len(text) - len(text.rstrip())
    if not before + behind:
        return columns
    return columns[len(columns) * before // len(text) : len(columns) - len(columns) * behind // len(text)]


def _on_paper(page: Page, run: Run) -> bool:
    """Whether nothing but lines was painted near a run."""
    if page.has_pictures:
        return False
    if "fills" not in page.memory:
        edges = [(b.left, b.top, b.right, b.bottom) for b in (s.box for s in page.shapes if not s.is_rule)]
        page.memory["fills"] = np.array(edges).reshape(-1, 4).T
    left, top, right, bottom = page.memory["fills"]
    box = run.box
    meets = (left <= box.right) & (right >= box.left) & (top <= box.bottom) & (bottom >= box.top)
    return not meets.any()


def _inked(page: Page, run: Run, ground: Colour) -> Any:
    """For each column of pixels in the box of a run, whether one of them is nearer to its colour than to its ground."""
    behind, ink = (np.array([round(v * 255) for v in c], np.int16) for c in (ground, ink_of(run)))
    if max(run.colour) < 0.3 and _on_paper(page, run):
        return page.cut(run.box, "dark").any(axis=0)
    pixels = page.cut(run.box)
    if np.abs(behind - ink).max() <= _SAME:
        return np.zeros(pixels.shape[1], bool)
    pixels = pixels.astype(np.int16)
    return (np.abs(pixels - ink).sum(axis=2) < np.abs(pixels - behind).sum(axis=2)).any(axis=0)


def ink_of(run: Run) -> Colour:
    """The colour of its letters on white paper."""
    return tuple(v * run.opacity + 1 - run.opacity for v in run.colour)  # type: ignore[return-value]


def _commonest(pixels: Any, apart_from: Colour) -> Colour | None:
    # One number for each colour.
    red, green, blue = (pixels[..., channel].astype(np.uint32) for channel in range(3))
    packed = (red << 16) | (green << 8) | blue
    values, counts = np.unique(packed, return_counts=True)
    colours = np.stack([(values >> shift) & 255 for shift in (16, 8, 0)], axis=1).astype(np.int32)
    ink = np.array([round(v * 255) for v in apart_from])
    counts = np.where(np.abs(colours - ink).max(axis=1) > _SAME, counts, 0)
    if not counts.any():
        return None
    found = [float(v) / 255 for v in colours[counts.argmax()]]
    return found[0], found[1], found[2]


def _dark_share(page: Page) -> float:
    pixels = page.cut(page.trim)[::2, ::2].reshape(-1, 3) / 255.0
    lightness = pixels @ np.array([0.2126, 0.7152, 0.0722])
    return float((lightness < 0.5).mean())
