"""Which pins of the transducer plug are measured against each other, and what the meter must show."""

from __future__ import annotations

import re
from collections.abc import Iterator

from leadsman.book.pins import PinLine, pin_lines
from leadsman.content.model.phrases import filled
from leadsman.output.figures.drawing import CARD_WIDTH, LINE, THIN, Drawing
from leadsman.output.figures.figure import Figure
from leadsman.output.figures.numbers import Numbers, plain_words

#: Height of one reading's line on the sheet, and of the row of pins.
_STEP, _ROW = 10.2, 15.5
_NUMBERS = re.compile(r"\d+")


def plug_pins(numbers: Numbers) -> Iterator[Figure]:
    """The plug of the transducer with every kind of pair: elements, shield, identification and thermistor."""
    tables = [
        (t, list(pin_lines(t, numbers.catalogue, numbers.phrases.pins, numbers.units)))
        for t in numbers.catalogue.transducers.values()
    ]
    # The most kinds of reading in the fewest pins: an example that others follow.
    able = [(t, found) for t, found in tables if len(found) >= 4 and max(map(max, map(pins_of, found))) <= 9]
    if not able:
        return
    transducer, found = max(able, key=lambda pair: (len(pair[1]), -max(map(max, map(pins_of, pair[1])))))
    last = max(max(pins_of(line)) for line in found)
    drawing = Drawing(CARD_WIDTH, _ROW + len(found) * _STEP + 1)
    words = numbers.words.plug
    left, pitch = 5.0, 84.0 / max(last - 1, 1)
    for pin in range(1, last + 1):
        drawing.badge((left + (pin - 1) * pitch, 9.0), str(pin))
    drawing.text((0.3, 3.8), filled(words.head, name=transducer.name))
    for row, line in enumerate(found):
        _pair(drawing, line, _ROW + row * _STEP, left, pitch)
    told = "; ".join(f"{line.pair}: {line.what}, {line.limits}" for line in found)
    text = filled(words.text, name=transducer.name, names=told)
    yield Figure(
        "plug-pins", str(words.title), filled(words.caption, name=transducer.name),
        plain_words(text), drawing.svg(), ("which-part", "no-sensor", "one-band-only", "cable-break"),
    )  # fmt: skip


def pins_of(line: PinLine) -> list[int]:
    """The pins that a reading joins: "each of 1 to 4 with 5" names five.

    Examples
    --------
    >>> pins_of(PinLine("each of 1 to 4 with 5", "shield", ""))
    [1, 2, 3, 4, 5]
    >>> pins_of(PinLine("6 and 8", "thermistor", ""))
    [6, 8]
    """
    named = [int(number) for number in _NUMBERS.findall(line.pair)]
    if " to " in line.pair and len(named) == 3:
        return [*range(named[0], named[1] + 1), named[2]]
    return named


def _pair(drawing: Drawing, line: PinLine, top: float, left: float, pitch: float) -> None:
    """A bracket under the pins of one reading, a tick at each, and the reading below it."""
    at = [left + (pin - 1) * pitch for pin in pins_of(line)]
    drawing.line((min(at), top + 2.2), (max(at), top + 2.2), LINE)
    for x in at:
        drawing.line((x, top), (x, top + 2.2), LINE)
    drawing.line((0.3, top - 1.3), (drawing.width - 0.3, top - 1.3), THIN, "0.4 1.2")
    middle = (min(at) + max(at)) / 2
    anchor, x = "middle", middle
    if middle < 24:
        anchor, x = "start", 0.3
    elif middle > drawing.width - 24:
        anchor, x = "end", drawing.width - 0.3
    # Of a thermistor one water temperature stands for all: the sheet shows how to measure, the table has the rest.
    told = f"{line.what} {line.by_temperature[1]}" if line.by_temperature else f"{line.what}: {line.limits}"
    drawing.text((x, top + 7.0), told, anchor=anchor, plate=True)
