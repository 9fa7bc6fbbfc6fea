"""The pin table of a transducer as limits that a meter can be held against.

The band about the expected reading is printed narrower, never wider: a reading inside it clears the part.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from leadsman.content.catalogue import Catalogue
from leadsman.content.model.equipment import Pin, Transducer
from leadsman.units import number_text, quantity_text, round_to

#: What a meter shows without guessing: digits of a limit.
_DIGITS = {"nF": 2, "ohm": 2, "kohm": 3, "Mohm": 2}


@dataclass(frozen=True)
class PinLine:
    """One reading: between which contacts, what is there, and the limits as printed."""

    pair: str
    what: str
    limits: str


def pin_lines(transducer: Transducer, units: str = "metric") -> Iterator[PinLine]:
    """The readings of one transducer.

    Examples
    --------
    >>> from leadsman.content.model.equipment import Pin
    >>> pin = Pin(pair="1 and 2", instrument="capacitance", what="element", expected=2.5, unit="nF")
    >>> limits(pin).replace("\\u202f", " ")
    '2.0 to 3.0 nF'
    """
    bands = {band.id: str(band.name) for band in transducer.bands}
    for pin in transducer.pins:
        what = bands.get(pin.band or "", pin.what)
        if pin.what == "thermistor":
            at = quantity_text(25, "C") if units == "metric" else quantity_text(77, "F")
            what = f"thermistor at {at}"
        yield PinLine(str(pin.pair), f"{what}, winding" if pin.tuned else what, limits(pin))


def limits(pin: Pin) -> str:
    """The limits of one reading as printed: the least one, or the band about what is expected."""
    if pin.least:
        return f"{quantity_text(pin.expected, pin.unit)} or more"
    share = pin.tolerance_pct / 100.0
    high = round_to(pin.expected * (1.0 + share), "down", digits=_DIGITS[pin.unit])
    # To the same decimals as the higher one, as a meter shows both.
    low = round_to(pin.expected * (1.0 - share), "up", step=Decimal(1).scaleb(int(high.as_tuple().exponent)))
    return f"{number_text(low)} to {quantity_text(high, pin.unit)}"


def pin_tables(catalogue: Catalogue, units: str = "metric") -> list[tuple[Transducer, list[PinLine]]]:
    """Every transducer with its readings, in the order of the content."""
    return [(t, list(pin_lines(t, units))) for t in catalogue.transducers.values()]
