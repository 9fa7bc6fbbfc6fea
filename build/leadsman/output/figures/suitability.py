"""Which band serves in which depth: a grid of words, hatched the denser the worse, the reason in the cell."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from leadsman.book.computed import ComputedTable
from leadsman.content.model.figure_words import BandWords
from leadsman.content.model.phrases import LinkWords, filled
from leadsman.output.figures.drawing import Drawing
from leadsman.output.figures.figure import Figure
from leadsman.output.figures.numbers import Numbers, plain_words

#: From best to worst: the spacing of the hatching [mm] and its angles.
HATCHING: dict[str, tuple[float, tuple[float, ...]]] = {
    "good": (0.0, ()),
    "fair": (3.2, (45,)),
    "poor": (1.7, (45,)),
    "none": (1.7, (45, 135)),
}
_LABELS, _CELL, _ROW, _HEAD = 21.5, 18.2, 9.7, 10.5
#: A word's ground stays so far inside its cell that it leaves the frame whole [mm].
_INSIDE = _CELL - 0.8

#: Strokes of the hatching [mm], which the narrowest paper shrinks more than other pictures.
_STROKE = 0.22


@dataclass(frozen=True)
class Line:
    """One band: its transducer, its name, its frequency, and a word with its reason for each depth."""

    transducer: str
    band: str
    frequency_khz: float
    words: tuple[tuple[str, str], ...]


def suitability(numbers: Numbers) -> Iterator[Figure]:
    """One picture for each water with a table of which band serves where."""
    for name in numbers.catalogue.tables:
        table = numbers.table(name)
        if table is not None and table.formula.name == "echo.suitability" and len(table.rows) > 1:
            yield _picture(name, table, numbers)


def lines(table: ComputedTable, links: LinkWords) -> list[Line]:
    """The bands of a table from the highest frequency to the lowest."""
    found = []
    for item, label, cells in zip(table.rows, table.row_heads, table.cells, strict=True):
        transducer, _, band = label.rpartition(", ")
        # The thickness of the hull stands beside the transducer, where there is room for it.
        band, _, hull = band.partition(f" {filled(links.through, size='')}")
        transducer = ", ".join(part for part in (transducer, hull) if part)
        words = [cell.text.partition(": ")[::2] for cell in cells]
        found.append(Line(transducer, band, float(item.inputs["frequency_khz"]), tuple(words)))
    return sorted(found, key=lambda line: -line.frequency_khz)


def _picture(name: str, table: ComputedTable, numbers: Numbers) -> Figure:
    said = numbers.words.bands
    bands = lines(table, numbers.phrases.links)
    heads = table.column_heads
    width = _LABELS + len(heads) * _CELL
    drawing = Drawing(width + 0.4, _HEAD + len(bands) * _ROW + 12.5)
    drawing.text((0.3, 4.2), said.below, bold=True)
    drawing.text((0.3, 8.6), said.band)
    for column, head in enumerate(heads):
        drawing.text((_LABELS + (column + 0.5) * _CELL, 8.6), head, anchor="middle", bold=True)
    for row, line in enumerate(bands):
        top = _HEAD + row * _ROW
        drawing.text((0.3, top + 4.2), _short(line.band), bold=True)
        drawing.text((0.3, top + 8.4), line.transducer)
        for column, (word, reason) in enumerate(line.words):
            _cell(drawing, (_LABELS + column * _CELL, top), word, reason)
    # The frames come last, whole above all grounds.
    foot = _HEAD + len(bands) * _ROW
    for column in range(len(heads) + 1):
        drawing.line((_LABELS + column * _CELL, _HEAD), (_LABELS + column * _CELL, foot))
    for row in range(len(bands) + 1):
        drawing.line((_LABELS, _HEAD + row * _ROW), (width, _HEAD + row * _ROW))
    _key(drawing, _HEAD + len(bands) * _ROW + 2.5, said)
    water = str(table.table.title).rpartition(", ")[2]
    depths = filled(said.depths, names=", ".join(head.split()[0] for head in heads[:-1]), last=heads[-1])
    text = filled(said.text, depths=depths, water=water, names=_told(bands, heads, said))
    served = ("choosing-transducer", "no-bottom-deep", name)
    return Figure(
        name,
        filled(said.title, water=water),
        str(said.caption),
        plain_words(text),
        drawing.svg(),
        served,
        f"table-{name}",
    )


def _cell(drawing: Drawing, corner: tuple[float, float], word: str, reason: str) -> None:
    x, y = corner
    outline = [(x, y), (x + _CELL, y), (x + _CELL, y + _ROW), (x, y + _ROW)]
    spacing, angles = HATCHING.get(word, (0.0, ()))
    for turned in angles:
        drawing.hatch(outline, angle_deg=turned, spacing=spacing, stroke=_STROKE)
    middle = x + _CELL / 2
    if reason:
        drawing.text((middle, y + 4.3), word, anchor="middle", bold=True, plate=True, room=_INSIDE)
        drawing.text((middle, y + 8.4), reason, anchor="middle", plate=True, room=_INSIDE, size=10)
    else:
        drawing.text((middle, y + 6.4), word, anchor="middle", bold=True)


def _short(band: str) -> str:
    """The name of a band for the narrow column."""
    return band.removesuffix(" down").replace(" to ", "\N{EN DASH}")


def _key(drawing: Drawing, top: float, said: BandWords) -> None:
    for number, (word, meaning) in enumerate(said.key.items()):
        left = number * 29.0
        outline = [(left + 0.2, top), (left + 6, top), (left + 6, top + 8), (left + 0.2, top + 8)]
        for turned in HATCHING[word][1]:
            drawing.hatch(outline, angle_deg=turned, spacing=HATCHING[word][0], stroke=_STROKE)
        drawing.path(outline, stroke=_STROKE, closed=True)
        drawing.text((left + 7, top + 3.6), word, bold=True)
        drawing.text((left + 7, top + 7.9), meaning, size=10)


def _told(bands: list[Line], heads: tuple[str, ...], said: BandWords) -> str:
    """The whole grid in words, bands that serve alike taken together."""
    alike: dict[tuple[tuple[str, str], ...], list[str]] = {}
    for line in bands:
        alike.setdefault(line.words, []).append(f"{line.transducer}, {line.band}")
    return " ".join(f"{'; '.join(names)}: {_said(words, heads, said)}." for words, names in alike.items())


def _said(words: tuple[tuple[str, str], ...], heads: tuple[str, ...], phrases: BandWords) -> str:
    """The words of one band, like depths taken together."""
    runs: list[tuple[str, list[str]]] = []
    for head, (word, reason) in zip(heads, words, strict=True):
        said = f"{word} ({reason})" if reason else word
        if runs and runs[-1][0] == said:
            runs[-1][1].append(head)
        else:
            runs.append((said, [head]))
    if len(runs) == 1:
        return filled(phrases.everywhere, name=runs[0][0])
    return ", ".join(
        filled(phrases.between, name=said, least=places[0].split()[0], greatest=places[-1])
        if len(places) > 1
        else filled(phrases.at, name=said, depth=places[0])
        for said, places in runs
    )
