"""Where a transom transducer sits: its clearances from astern, to scale, and its height and angle from the side."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content.model.figure_words import TransomWords
from leadsman.content.model.phrases import filled
from leadsman.output.figures.drawing import CARD_WIDTH, DASHED, DOTTED, LINE, THICK, THIN, Drawing, polar
from leadsman.output.figures.figure import Figure
from leadsman.output.figures.numbers import Numbers, plain_words

#: One to this many, the view from astern is drawn.
SCALE = 24.0
#: Radius of the propeller that is drawn [mm at the boat]: 13 inches across, an ordinary one.
_PROPELLER_MM = 165.0
#: The values of the content that it shows: the least and the comfortable distances, and both windows of the height.
_PROPELLER = ("propeller-distance", "propeller-comfortable")
_STRAKE = ("strake-distance", "strake-comfortable")
_BELOW = (("below-smooth", "below-smooth-most"), ("below-riveted", "below-riveted-most"))


def transom_clearances(numbers: Numbers) -> Iterator[Figure]:
    """Least and comfortable distances from propeller and strake, and the window below the bottom."""
    found = {name: numbers.value(name) for pair in (_PROPELLER, _STRAKE, *_BELOW) for name in pair}
    said = {name: text for name, text in found.items() if text is not None}
    transom = any(t.housing == "transom" for t in numbers.catalogue.transducers.values())
    if not transom or len(said) < len(found):
        return
    drawing = Drawing(CARD_WIDTH, 59)
    near, far, close, clear = (said[name] for name in (*_PROPELLER, *_STRAKE))
    smooth, riveted = (
        filled(numbers.phrases.pins.between, least=said[low].split()[0], greatest=said[high])
        for low, high in _BELOW
    )
    _astern(drawing, numbers, (near, far), (close, clear))
    _from_the_side(drawing, numbers.words.transom, smooth, riveted)
    limit, wanted = numbers.value("fore-aft-limit"), numbers.value("aft-edge-low")
    words = numbers.words.transom
    text = filled(
        words.text,
        near=near,
        far=far,
        close=close,
        clear=clear,
        smooth=smooth,
        riveted=riveted,
        leans=f" {filled(words.leans, limit=limit, wanted=wanted)}" if limit and wanted else "",
    )
    yield Figure(
        "transom-clearances", str(words.title), str(words.caption),
        plain_words(text), drawing.svg(),
        ("transom-bracket", "depth-lost-under-way", "choosing-transducer"),
    )  # fmt: skip


def _astern(drawing: Drawing, numbers: Numbers, propeller: tuple[str, str], strakes: tuple[str, str]) -> None:
    words = numbers.words.transom
    hub, bottom = (8.0, 32.0), 22.0
    radius = _PROPELLER_MM / SCALE
    tip = hub[0] + radius
    least, wanted = (tip + numbers.length_mm(name) / SCALE for name in _PROPELLER)
    strake = wanted + numbers.length_mm(_STRAKE[1]) / SCALE
    # The bottom edge of the transom, with a strake at the chine's side.
    drawing.path(
        [(0.5, bottom), (strake - 1.5, bottom), (strake, bottom + 2.2), (strake + 1.5, bottom), (58, bottom)],
        stroke=THICK,
    )
    drawing.path([(58, bottom), (58, 3)], stroke=THICK)
    drawing.path(
        [(hub[0] - 2.5, 3), (hub[0] - 2.5, hub[1]), (hub[0] + 2.5, hub[1]), (hub[0] + 2.5, 3)],
        stroke=LINE,
        closed=True,
        fill="#fff",
    )
    drawing.circle(hub, radius, fill="none")
    drawing.circle(hub, 2.2, fill="#000", stroke=0)
    # Right-handed as most are: from astern the blades turn clockwise and go down on the right.
    drawing.arc(hub, radius - 2, -55, 30, LINE)
    drawing.arrow(polar(hub, radius - 2, 20), polar(hub, radius - 2, 38), LINE)
    # The transducer between its least and its comfortable place.
    drawing.box((wanted - 1.4, bottom - 8), 2.8, 7, stroke=LINE)
    drawing.box((wanted - 2.6, bottom - 1), 5.2, 1.8, stroke=0, fill="#000")
    for x, level, label in (
        (least, 46.0, propeller[0]),
        (wanted, 52.0, propeller[1]),
    ):
        drawing.line((x, bottom + 2), (x, level + 1), THIN, DASHED)
        drawing.dimension((tip, level), (x, level))
        drawing.text(((tip + x) / 2, level + 1.3), label, anchor="middle", plate=True)
    drawing.line((tip, hub[1]), (tip, 53), THIN, DASHED)
    drawing.line((strake, bottom + 3), (strake, 36.5), THIN, DASHED)
    drawing.dimension((wanted, 30), (strake, 30))
    low, high = strakes
    drawing.text((wanted - 1, 31.3), high, anchor="end", plate=True)
    drawing.text((wanted - 1, 35.8), filled(words.least, size=low), anchor="end", plate=True)
    drawing.text((strake, 40.0), words.strake, anchor="middle")
    drawing.text((0.5, 57.6), words.propeller)
    drawing.lines((12.5, 9.0), words.astern, step=4.4)


def _from_the_side(drawing: Drawing, words: TransomWords, smooth: str, riveted: str) -> None:
    """The boat's bow lies to the left; the face is drawn larger than true, its angle and height too."""
    left, right, bottom = 63.5, 92.5, 21.5
    drawing.path([(left, bottom), (82, bottom), (84.5, 3)], stroke=THICK)
    face = [(83.4, 25.0), (92.0, 26.2)]
    drawing.path([face[0], (83.6, 22.5), (91.5, 22.5), face[1]], stroke=LINE, closed=True, fill="#000")
    drawing.path([(83.8, 12), (86.4, 12), (86.4, 22.5), (83.0, 22.5)], stroke=LINE)
    drawing.line((left, face[0][1]), (right, face[0][1]), THIN, DOTTED)
    drawing.arrow((70, 17), (70, bottom), head=1.3)
    drawing.arrow((70, 29.5), (70, face[0][1]), head=1.3)
    drawing.lines((left, 9.0), words.side, step=4.4)
    drawing.lines((left, 34.5), [words.smooth, smooth, words.riveted, riveted])
    drawing.text((left, 53.0), words.edges[0], bold=True)
    drawing.text((left, 57.3), words.edges[1])
