"""The pin table of a transducer as limits that a meter can be held against.

A limit holds for every sound transducer: its own tolerance, the error of an ordinary meter and, for the thermistor,
the error of a thermometer lie inside. The faults that a pin reading finds (an open pair, a pair that reads its cable
alone, a short, a wet line) lie far outside.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from leadsman.book.computed import compute_value
from leadsman.compute.sensors.thermistor import WATER_AGREEMENT_K, thermistor_resistance
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.equipment import INSULATION_VALUE, Pin, Thermistor, Transducer
from leadsman.content.model.phrases import PinWords, filled
from leadsman.units import number_text, quantity_text, round_to

#: What a meter shows without guessing: digits of a limit.
_DIGITS = {"nF": 2, "ohm": 2, "kohm": 3}
#: How far an ordinary meter may be off, in per cent of its reading (common practice, no source).
METER_ERROR_PCT = {"capacitance": 4.0, "resistance": 1.0}
#: Water temperatures beside which the thermistor is printed, degC; in a US edition those of round degF.
THERMISTOR_C = (5.0, 10.0, 15.0, 20.0, 25.0)
THERMISTOR_F = (40.0, 50.0, 60.0, 70.0, 80.0)


@dataclass(frozen=True)
class PinLine:
    """One reading: between which contacts, what is there, and the limits as printed.

    Of a thermistor, ``by_temperature`` holds the reading at each water temperature, and ``limits`` all of them.
    """

    pair: str
    what: str
    limits: str
    by_temperature: tuple[str, ...] = ()


def pin_lines(
    transducer: Transducer, catalogue: Catalogue, words: PinWords, units: str = "metric"
) -> Iterator[PinLine]:
    """The readings of one transducer: its elements, their insulation, and what else is in the plug."""
    bands = {band.id: str(band.name) for band in transducer.bands}
    insulation = _insulation_lines(transducer, catalogue, words, units)
    for pin in transducer.pins:
        if pin.what != "element":
            yield from insulation
        if pin.what == "thermistor" and transducer.thermistor is not None:
            yield _thermistor_line(pin, transducer.thermistor, words, units)
            continue
        what = bands.get(pin.band or "", str(words.whats[pin.what]))
        said = filled(words.tuned, name=what) if pin.tuned else what
        yield PinLine(str(pin.pair), said, limits(pin, words))
    yield from insulation


def _insulation_lines(
    transducer: Transducer, catalogue: Catalogue, words: PinWords, units: str
) -> Iterator[PinLine]:
    if transducer.insulated is not None:
        least = compute_value(catalogue.values[INSULATION_VALUE], catalogue, units).number.text
        yield PinLine(
            str(transducer.insulated), str(words.whats["shield"]), filled(words.or_more, least=least)
        )


def limits(pin: Pin, words: PinWords) -> str:
    """The limits of one reading as printed: the band in which every sound part reads."""
    share, meter = pin.tolerance_pct / 100.0, METER_ERROR_PCT[pin.instrument] / 100.0
    high = round_to(pin.expected * (1.0 + share) * (1.0 + meter), "up", digits=_DIGITS[pin.unit])
    # To the same decimals as the higher one, as a meter shows both.
    low = round_to(
        pin.expected * (1.0 - share) * (1.0 - meter),
        "down",
        step=Decimal(1).scaleb(int(high.as_tuple().exponent)),
    )
    return filled(words.between, least=number_text(low), greatest=quantity_text(high, pin.unit))


def thermistor_band(thermistor: Thermistor, tolerance_pct: float, water_c: float) -> tuple[float, float]:
    """Between which ohms a sound thermistor reads in water of a temperature.

    Its own tolerance, the meter's error, and 1 K for thermometer and law, which no meter tells apart
    (``sensors.thermistor_verdict``: within 1 K it agrees, common practice).
    """
    share, meter = tolerance_pct / 100.0, METER_ERROR_PCT["resistance"] / 100.0
    colder, warmer = (
        float(
            thermistor_resistance(
                temperature_c=water_c + off, beta_k=thermistor.beta_k, r25_ohm=thermistor.r25_ohm
            )
        )
        for off in (-WATER_AGREEMENT_K, WATER_AGREEMENT_K)
    )
    return warmer * (1.0 - share) * (1.0 - meter), colder * (1.0 + share) * (1.0 + meter)


def _thermistor_line(pin: Pin, thermistor: Thermistor, words: PinWords, units: str) -> PinLine:
    """The thermistor at the temperatures that waters have: cold water reads twice what warm water does."""
    metric = units == "metric"
    readings = []
    for shown in THERMISTOR_C if metric else THERMISTOR_F:
        water_c = shown if metric else (shown - 32.0) / 1.8
        low, high = (ohm / 1000.0 for ohm in thermistor_band(thermistor, pin.tolerance_pct, water_c))
        top = round_to(high, "up", digits=_DIGITS["kohm"])
        bottom = round_to(low, "down", step=Decimal(1).scaleb(int(top.as_tuple().exponent)))
        at = quantity_text(shown, "C" if metric else "F")
        between = filled(words.between, least=number_text(bottom), greatest=quantity_text(top, "kohm"))
        readings.append(filled(words.at, temperature=at, limits=between))
    return PinLine(str(pin.pair), str(words.whats["thermistor"]), ", ".join(readings), tuple(readings))


def pin_tables(
    catalogue: Catalogue, words: PinWords, units: str = "metric"
) -> list[tuple[Transducer, list[PinLine]]]:
    """Every transducer with its readings, in the order of the content."""
    return [(t, list(pin_lines(t, catalogue, words, units))) for t in catalogue.transducers.values()]
