"""Facts at the pins of the transducer plug, against the printed pin table."""

from __future__ import annotations

import math

from leadsman.book.pins import limits as pin_limits
from leadsman.book.pins import pin_lines
from leadsman.content.decision import ResolvedCheck
from leadsman.content.model.equipment import Pin
from leadsman.drill.card import numbers
from leadsman.drill.case import Case, fact
from leadsman.drill.facts.reading import see


def _range(text: str) -> tuple[float, float]:
    """Both printed limits of a pin, in the unit of the pin."""
    low, high = numbers(text)
    return low, high


def _by_temperature(case: Case, pin: Pin) -> list[tuple[float, float, float]]:
    """The printed thermistor limits of a pin: water temperature, lower and upper limit in the pin's unit."""
    found = []
    for line in pin_lines(case.fitted.transducer, case.card.catalogue, case.card.catalogue.phrases().pins):
        if line.pair != pin.pair or pin.what != "thermistor":
            continue
        told = getattr(line, "by_temperature", ()) or (f"{line.what} {line.limits}",)
        for text in told:
            read = numbers(text)
            if len(read) == 3:
                found.append((read[0], read[1], read[2]))
    return found


def _thermistor_fits(case: Case, pin: Pin, reading: float) -> bool:
    """Held against the printed temperatures; between two of them a reader takes the share that the water lies at."""
    scale = {"ohm": 1.0, "kohm": 1e3}[pin.unit]
    here = case.state.sea.temperature_c + float(case.rng.normal(0, 0.25))
    told = sorted(_by_temperature(case, pin))
    if not told:
        low, high = _range(pin_limits(pin, case.card.catalogue.phrases().pins))
    elif len(told) == 1:
        _, low, high = told[0]
    else:
        low, high = _between_lines([t for t, _, _ in told], told, here)
    return low <= reading / scale <= high


def _between_lines(
    temperatures: list[float], told: list[tuple[float, float, float]], here: float
) -> tuple[float, float]:
    """Both limits at a temperature, by equal ratios between the printed lines and on beyond the outer two."""
    upper = next((i for i, t in enumerate(temperatures) if t >= here), len(told) - 1)
    upper = max(upper, 1)
    (t0, low0, high0), (t1, low1, high1) = told[upper - 1], told[upper]
    share = (here - t0) / (t1 - t0)
    return low0 * (low1 / low0) ** share, high0 * (high1 / high0) ** share


def _pair_out(case: Case, pin: Pin) -> bool:
    state = case.state
    low, high = _range(pin_limits(pin, case.card.catalogue.phrases().pins))
    if state.pair_open == "plug":
        value = 0.05 if pin.instrument == "capacitance" else math.inf
    elif state.pair_open:
        cable = case.fitted.transducer.cable_pf_per_m * case.fitted.transducer.cable_length_m / 1000
        share = 1.0 if state.pair_open == "housing" else float(case.rng.uniform(0.1, 0.9))
        value = cable * share if pin.instrument == "capacitance" else math.inf
    else:
        value = pin.expected * (state.capacitance_factor if pin.instrument == "capacitance" else 1.0)
        if pin.instrument != "capacitance" and state.capacitance_factor < 0.9:
            value = math.inf
    if pin.instrument == "capacitance":
        reading = case.meter.nanofarad(value)
    else:
        scale = {"ohm": 1.0, "kohm": 1e3}[pin.unit]
        reading = case.meter.ohm(value * scale) / scale if math.isfinite(value) else math.inf
    return not low <= reading <= high


@fact("pin-pair-out")
def _pins_pair(case: Case, check: ResolvedCheck | None) -> bool:
    tags = case.view.tags()
    if tags & {"pair-open-one", "splice-open", "line-open"}:
        return True
    return any(p.what == "element" and _pair_out(case, p) for p in case.fitted.transducer.pins)


@fact("pin-at-housing")
def _pins_housing(case: Case, check: ResolvedCheck | None) -> bool:
    return case.state.pair_open == "housing" or case.state.capacitance_factor < 0.9


@fact("pin-insulation-low")
def _pins_wet(case: Case, check: ResolvedCheck | None) -> bool:
    limit = next(
        iter(case.card.limits(see(check), case.fitted.family.id)),
        case.card.value("insulation-good", case.fitted.family.id)[0],
    )
    return case.meter.ohm(case.state.insulation_ohm) < limit * 1e6


@fact("pin-identity-off")
def _pins_identity(case: Case, check: ResolvedCheck | None) -> bool:
    pins = [p for p in case.fitted.transducer.pins if p.what == "identification"]
    for pin in pins:
        low, high = _range(pin_limits(pin, case.card.catalogue.phrases().pins))
        scale = {"ohm": 1.0, "kohm": 1e3}[pin.unit]
        reading = case.meter.ohm(pin.expected * scale * case.state.identification_factor) / scale
        if not low <= reading <= high:
            return True
    return False


@fact("pin-thermistor-off")
def _pins_thermistor(case: Case, check: ResolvedCheck | None) -> bool:
    pins = [p for p in case.fitted.transducer.pins if p.what == "thermistor"]
    if not pins or case.fitted.transducer.thermistor is None:
        return False
    pin = pins[0]
    true = case.view.thermistor_reads()
    part = 1 + float(case.rng.uniform(-0.01, 0.01))
    reading = case.meter.ohm(true * part) if math.isfinite(true) else math.inf
    if not math.isfinite(reading):
        return True
    case.notes.append(
        f"thermistor {reading / 1000:.2f} kohm in water of {case.state.sea.temperature_c:.0f} C"
    )
    return not _thermistor_fits(case, pin, reading)
