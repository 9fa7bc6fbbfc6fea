"""The facts that checks ask for: signs of the screen, and readings against the limits that the card prints."""

from __future__ import annotations

import math

from leadsman.book.pins import limits as pin_limits
from leadsman.book.pins import pin_lines
from leadsman.content.decision import ResolvedCheck
from leadsman.content.model.equipment import Pin
from leadsman.drill import sonar
from leadsman.drill.card import numbers
from leadsman.drill.case import Case, fact
from leadsman.drill.faults import FAULTS
from leadsman.drill.view import blind, margin, reach, shown_depth, volts

#: Current that a display draws which cannot start, A (a choice).
_DEAD_A = 0.02
#: Cabin lights on the battery while it is measured, A (common practice).
_LIGHTS_A = 5.0


def _see(check: ResolvedCheck | None) -> str:
    return str(check.body.see) if check else ""


def _limits(case: Case, check: ResolvedCheck | None, wanted: int) -> list[float]:
    """The numbers of the question; too few mean that the card gives no limit to read by."""
    found = case.card.limits(_see(check), case.fitted.family.id, case.fitted.times > 1)
    return found + [math.nan] * (wanted - len(found))


# --- what the screen shows


@fact("cured")
def _cured(case: Case, check: ResolvedCheck | None) -> bool:
    return not case.complaint()


@fact("no-fault-found")
def _never(case: Case, check: ResolvedCheck | None) -> bool:
    return False


@fact("dead")
def _dead(case: Case, check: ResolvedCheck | None) -> bool:
    return case.view.power() == "dead"


@fact("restarts")
def _restarts(case: Case, check: ResolvedCheck | None) -> bool:
    view = case.view
    return view.power() == "restarts" or bool({"restarts-itself", "line-shorted"} & view.tags())


@fact("runs")
def _runs(case: Case, check: ResolvedCheck | None) -> bool:
    return case.view.power() == "runs"


@fact("no-depth")
def _no_depth(case: Case, check: ResolvedCheck | None) -> bool:
    return case.view.power() == "runs" and case.view.no_depth()


@fact("band-at-top")
def _band(case: Case, check: ResolvedCheck | None) -> bool:
    return case.view.band_at_top()


@fact("weak")
def _weak(case: Case, check: ResolvedCheck | None) -> bool:
    return case.view.weak(case.sound)


@fact("pulse-heard")
def _tick(case: Case, check: ResolvedCheck | None) -> bool:
    lowest = min(p.khz for p in case.fitted.pulses)
    return case.view.band_at_top() and lowest < 400


@fact("pulse-not-audible")
def _silent(case: Case, check: ResolvedCheck | None) -> bool:
    return min(p.khz for p in case.fitted.pulses) >= 400


@fact("temperature-believable")
def _temperature(case: Case, check: ResolvedCheck | None) -> bool:
    shown = case.view.temperature()
    return shown is not None and -2 <= shown <= 35 and abs(shown - case.state.sea.temperature_c) < 10


@fact("has-thermistor")
def _has_thermistor(case: Case, check: ResolvedCheck | None) -> bool:
    return case.fitted.transducer.thermistor is not None


@fact("temperature-off")
def _temperature_off(case: Case, check: ResolvedCheck | None) -> bool:
    """The water temperature is plainly wrong: 3 C or more, or absent."""
    if "temperature-wrong" in case.view.tags():
        return True
    if case.fitted.transducer.thermistor is None:
        return False
    shown = case.view.temperature()
    return shown is None or abs(shown - case.state.sea.temperature_c) > 2.5


@fact("thermometer-differs")
def _thermometer(case: Case, check: ResolvedCheck | None) -> bool:
    (agree,) = _limits(case, check, 1)[:1]
    tags = case.view.tags()
    if "thermometer-agrees" in tags:
        return False
    if "temperature-wrong" in tags:
        return True
    shown = case.view.temperature()
    reading = case.state.sea.temperature_c + float(case.rng.normal(0, 0.2))
    return shown is None or abs(shown - reading) > agree


@fact("in-hull")
def _in_hull(case: Case, check: ResolvedCheck | None) -> bool:
    return case.fitted.in_hull


@fact("transom-mount")
def _transom(case: Case, check: ResolvedCheck | None) -> bool:
    return case.fitted.transducer.housing in ("transom", "trolling-motor")


@fact("looked-into-bed")
def _bed(case: Case, check: ResolvedCheck | None) -> bool:
    return case.fitted.in_hull or case.fitted.through_hull


@fact("no-adapter")
def _no_adapter(case: Case, check: ResolvedCheck | None) -> bool:
    return not case.fitted.has_adapter


@fact("one-band")
def _one_band(case: Case, check: ResolvedCheck | None) -> bool:
    return len(case.fitted.pulses) < 2


@fact("after-update")
def _after_update(case: Case, check: ResolvedCheck | None) -> bool:
    return case.fitted.history == "after-update"


@fact("depth-on-this-trip")
def _shown(case: Case, check: ResolvedCheck | None) -> bool:
    return case.shown_before


@fact("lost-with-speed")
def _with_speed(case: Case, check: ResolvedCheck | None) -> bool:
    """At rest the depth holds, and it goes with speed or revs."""
    state, tags = case.state, case.view.tags()
    if case.view.power() != "runs" or case.view.no_depth():
        return False
    noisy = margin(state, case.fitted) - state.rev_noise_db <= 0
    return (
        noisy
        or state.onset_kn < case.fitted.boat.cruise_kn
        or bool({"lost-under-way", "lost-with-revs"} & tags)
    )


@fact("lost-with-revs-at-rest")
def _revs(case: Case, check: ResolvedCheck | None) -> bool:
    return case.state.rev_noise_db > 0 and margin(case.state, case.fitted) - case.state.rev_noise_db <= 0


@fact("lost-above-speed")
def _above(case: Case, check: ResolvedCheck | None) -> bool:
    state = case.state
    return state.onset_kn < case.fitted.boat.cruise_kn or bool({"run-filter", "tilt-at-cruise"} & state.flags)


# --- supply


def _bank(case: Case) -> float:
    return case.fitted.times


def _readout(case: Case) -> tuple[float, float]:
    """The unit's own volts at idle and at full load, to a tenth, as far below a meter as its readout stands."""
    offset = case.state.readout_low_v
    idle = round(volts(case.state, case.fitted, "idle")["unit"] - offset, 1)
    return idle, round(volts(case.state, case.fitted, "transmit")["unit"] - offset, 1)


@fact("own-volts-fall")
def _own_fall(case: Case, check: ResolvedCheck | None) -> bool:
    """They fall further from idle to full load than the question allows."""
    idle, loaded = _readout(case)
    return idle - loaded > _limits(case, check, 2)[0] + 1e-9


@fact("own-volts-stand-low")
def _own_stand(case: Case, check: ResolvedCheck | None) -> bool:
    """A small fall, and yet below the least volts of the question."""
    _, loaded = _readout(case)
    return loaded < _limits(case, check, 2)[1] and not _own_fall(case, check)


@fact("own-volts-low")
def _own_volts(case: Case, check: ResolvedCheck | None) -> bool:
    """Either; a battery that is merely low is charged first where the card says so, and read again."""
    idle, loaded = _readout(case)
    case.notes.append(f"own volts {idle:.1f}, at full load {loaded:.1f}")
    return _own_fall(case, check) or _own_stand(case, check)


@fact("battery-posts-low")
def _posts(case: Case, check: ResolvedCheck | None) -> bool:
    limits = _limits(case, check, 2)
    limit = limits[1] if case.fitted.lithium and not math.isnan(limits[1]) else limits[0]
    state = case.state
    reading = case.meter.volts(state.battery_v - _LIGHTS_A * state.battery_ohm)
    case.notes.append(f"posts {reading:.2f} V under the lights")
    return reading < limit


@fact("battery-falls-at-restart")
def _falls(case: Case, check: ResolvedCheck | None) -> bool:
    fall, least = _limits(case, check, 2)[:2]
    state = case.state
    current = state.unit_w / max(volts(state, case.fitted, "transmit")["unit"], 0.7 * state.battery_v)
    rest = case.meter.volts(state.battery_v)
    low = case.meter.volts(state.battery_v - current * state.battery_ohm)
    case.notes.append(f"posts {rest:.2f} V, at the restart {low:.2f} V")
    return rest - low > fall or low < least


@fact("fuse-one-end-dead")
def _fuse_one(case: Case, check: ResolvedCheck | None) -> bool:
    (same,) = _limits(case, check, 1)[:1]
    state = case.state
    if state.feed_open:
        return False
    drop = state.battery_v if state.fuse_open else state.holder_ohm * _DEAD_A
    reading = case.meter.volts(min(drop, state.battery_v))
    case.notes.append(f"{reading:.2f} V across the fuse")
    return reading > same


@fact("fuse-both-ends-dead")
def _fuse_both(case: Case, check: ResolvedCheck | None) -> bool:
    return case.state.feed_open or case.state.battery_v < 6 * _bank(case)


@fact("lamp-drop-high")
def _lamp(case: Case, check: ResolvedCheck | None) -> bool:
    name = next(iter(case.card.tables(*_texts(check))), "lamp-limits")
    limit = case.card.for_boat(name, case.fitted.boat, "drop_limit")
    found = volts(case.state, case.fitted, "lamp")
    drop = case.meter.volts(found["post"]) - case.meter.volts(found["plug"])
    case.notes.append(f"lamp lit, battery less plug {drop:.2f} V, card {limit}")
    return limit is not None and (drop > limit or found["plug"] < 0.5 * case.state.battery_v)


def _texts(check: ResolvedCheck | None) -> list[str]:
    if check is None:
        return []
    return [str(check.body.see), str(check.body.do), *(str(h) for h in check.body.how)]


@fact("plug-volts-low")
def _plug_volts(case: Case, check: ResolvedCheck | None) -> bool:
    """The card's second limit, shifted by what the battery reads, and its third, which stays."""
    name = next((t for t in case.card.tables(*_texts(check)) if "plug" in t), "plug-volts")
    found = volts(case.state, case.fitted, "transmit")
    post, plug = case.meter.volts(found["post"]), case.meter.volts(found["plug"])
    table = case.card.table(name)
    joint = case.card.for_boat(name, case.fitted.boat, "find_joint_below")
    convicted = case.card.for_boat(name, case.fitted.boat, "convicted_below")
    fixed = table.fixed if table else {}
    given = (
        float(fixed.get("block_v", math.nan)) * _bank(case)
        if "block_v" in fixed
        else float(fixed.get("source_v", 12.6))
    )
    case.notes.append(f"battery {post:.2f} V, plug {plug:.2f} V")
    low_joint = joint is not None and plug < joint + (post - given)
    return low_joint or (convicted is not None and plug < convicted)


@fact("lead-too-thin")
def _thin(case: Case, check: ResolvedCheck | None) -> bool:
    """The reading is low, and the card calls this boat's lead itself too thin, or the copper has grown so."""
    if not _plug_volts(case, check):
        return False
    told = case.card.text("plug-volts", case.fitted.boat.id, output="lead")
    return told == "too thin" or _leg(case, check)


@fact("joint-drop-high")
def _joint(case: Case, check: ResolvedCheck | None) -> bool:
    (limit,) = _limits(case, check, 1)[:1]
    found = volts(case.state, case.fitted, "lamp" if _dead(case, None) else "transmit")
    current = found["current"] or case.state.battery_v / (144.0 * _bank(case) ** 2 / 21.0 + 1.0)
    worst = max(abs(found["holder_drop"]), current * (case.state.joint_ohm + case.state.pulse_ohm))
    case.notes.append(f"worst joint {case.meter.volts(worst):.2f} V")
    return case.meter.volts(worst) > limit


@fact("leg-drop-high")
def _leg(case: Case, check: ResolvedCheck | None) -> bool:
    """A leg that takes more than half the limit with its joints sound: the copper itself."""
    found = volts(case.state, case.fitted, "lamp" if _dead(case, None) else "transmit")
    current = found["current"] or case.state.battery_v / (144.0 * _bank(case) ** 2 / 21.0 + 1.0)
    copper = current * case.state.positive_ohm
    limit = case.card.for_boat("lamp-limits", case.fitted.boat, "drop_limit") or 0.5
    return copper > max(limit / 2, 0.05) and case.state.positive_ohm > 1.5 * case.sound.positive_ohm


@fact("holder-warm")
def _warm(case: Case, check: ResolvedCheck | None) -> bool:
    """More than half a watt in the holder after a run."""
    found = volts(case.state, case.fitted, "transmit")
    return found["current"] ** 2 * case.state.holder_ohm > 0.5


@fact("fuse-drop-high")
def _fuse_drop(case: Case, check: ResolvedCheck | None) -> bool:
    """Volts across the fuse at full load against the card's limit; a cold fuse by its rating, warm by half more."""
    state, rating = case.state, case.fitted.boat.supply.fuse_a
    cold = 0.0892 / rating  # a blade fuse drops about 89 mV at its rating (drill reference: 5 A, 17.85 mohm)
    current = state.unit_w / max(volts(state, case.fitted, "transmit")["unit"], 0.8 * state.battery_v)
    drop = current * cold * (1 + 0.5 * (current / rating) ** 2)
    reading = 1000 * case.meter.volts(drop)
    case.notes.append(f"{reading:.0f} mV across the fuse at {current:.1f} A")
    names = [t for t in case.card.tables(*_texts(check)) if t.startswith("fuse-drop")]
    limits = _limits(case, check, 1)
    if names:
        name = (
            "fuse-drop-24" if _bank(case) > 1 and "fuse-drop-24" in case.card.catalogue.tables else names[0]
        )
        limits = case.card.numbers(name, case.fitted.family.id, f"{rating:g} A")
    return bool(limits) and not math.isnan(limits[0]) and reading > limits[0]


@fact("crank-battery-low")
def _crank(case: Case, check: ResolvedCheck | None) -> bool:
    (least,) = _limits(case, check, 1)[:1]
    reading = case.meter.volts(case.state.battery_v - 180.0 * 0.55 * case.state.battery_ohm)
    case.notes.append(f"cranking {reading:.2f} V at the posts")
    return reading < least


@fact("crank-plug-low")
def _crank_plug(case: Case, check: ResolvedCheck | None) -> bool:
    state = case.state
    clamp = 180.0 * state.clamp_ohm
    return volts(state, case.fitted, "crank")["unit"] - clamp < case.fitted.family.supply_low_v or bool(
        {"fed-from-starter", "feed-poor-crank"} & state.flags
    )


@fact("clamp-drops")
def _clamp(case: Case, check: ResolvedCheck | None) -> bool:
    (limit,) = _limits(case, check, 1)[:1]
    return case.meter.volts(180.0 * case.state.clamp_ohm) > limit


@fact("volts-high-at-rest")
def _high_rest(case: Case, check: ResolvedCheck | None) -> bool:
    limit = _limits(case, check, 1)[-1]
    return case.state.battery_v - case.state.readout_low_v > limit


@fact("volts-high-with-engine")
def _high_engine(case: Case, check: ResolvedCheck | None) -> bool:
    limit = _limits(case, check, 1)[-1]
    if "high-at-unit-only" in case.view.tags():
        return check is None or check.body.kind != "measure"
    return case.state.alternator_v - case.state.readout_low_v > limit


@fact("volts-high-on-charger")
def _high_charger(case: Case, check: ResolvedCheck | None) -> bool:
    limit = _limits(case, check, 1)[-1]
    return case.state.charger_v - case.state.readout_low_v > limit


@fact("running-volts-off")
def _running(case: Case, check: ResolvedCheck | None) -> bool:
    """Own volts with the engine running outside the question's range."""
    low, high = _limits(case, check, 2)[:2]
    reading = case.state.alternator_v - case.state.readout_low_v
    return reading > high or reading < low


@fact("ripple-high")
def _ripple(case: Case, check: ResolvedCheck | None) -> bool:
    (limit,) = _limits(case, check, 1)[:1]
    return case.meter.volts(case.state.ripple_v) > limit


# --- pins


def _range(text: str) -> tuple[float, float]:
    """Both printed limits of a pin, in the unit of the pin."""
    read = numbers(text)
    return (read[0], math.inf) if "or more" in text else (read[0], read[1])


def _by_temperature(case: Case, pin: Pin) -> list[tuple[float, float, float]]:
    """The printed thermistor limits of a pin: water temperature, lower and upper limit in the pin's unit."""
    found = []
    for line in pin_lines(case.fitted.transducer):
        if line.pair != pin.pair or "thermistor" not in line.what:
            continue
        told = getattr(line, "by_temperature", ()) or (f"{line.what} {line.limits}",)
        for text in told:
            read = numbers(text)
            if len(read) == 3:
                found.append((read[0], read[1], read[2]))
    return found


def _thermistor_fits(case: Case, pin: Pin, reading: float) -> bool:
    """Held against the printed temperatures; between two of them a reader takes the share that the water lies at."""
    scale = {"ohm": 1.0, "kohm": 1e3, "Mohm": 1e6}[pin.unit]
    here = case.state.sea.temperature_c + float(case.rng.normal(0, 0.25))
    told = sorted(_by_temperature(case, pin))
    if not told:
        low, high = _range(pin_limits(pin))
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
    low, high = _range(pin_limits(pin))
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
        iter(case.card.limits(_see(check), case.fitted.family.id)),
        case.card.value("insulation-good", case.fitted.family.id)[0],
    )
    return case.meter.ohm(case.state.insulation_ohm) < limit * 1e6


@fact("pin-identity-off")
def _pins_identity(case: Case, check: ResolvedCheck | None) -> bool:
    pins = [p for p in case.fitted.transducer.pins if p.what == "identification"]
    for pin in pins:
        low, high = _range(pin_limits(pin))
        scale = {"ohm": 1.0, "kohm": 1e3, "Mohm": 1e6}.get(pin.unit, 1.0)
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


# --- depth, bands, places


@fact("beyond-printed-reach")
def _beyond(case: Case, check: ResolvedCheck | None) -> bool:
    """The water is deeper than the card's table for this band in this water."""
    state, fitted = case.state, case.fitted
    name = next((t for t in case.card.tables(*_texts(check)) if t.startswith("deepest")), "deepest-depth")
    told = case.card.numbers(name, fitted.band_ids[state.band], fitted.water.id)
    return state.depth_m > (told[-1] if told else reach(case.sound, fitted, state.band))


@fact("reached-before")
def _reached(case: Case, check: ResolvedCheck | None) -> bool:
    """The owner remembers a number in such depths: the sound boat has one there."""
    twin = case.sound.copy()
    return margin(twin, case.fitted, case.state.band, case.state.depth_m) > 0


def _blind_figures(case: Case, check: ResolvedCheck | None) -> tuple[float, float]:
    """The lesser and the greater figure of the card for this band: nothing within, and surely beyond."""
    state, fitted = case.state, case.fitted
    name = next(
        (t for t in case.card.tables(*_texts(check)) if t.startswith("shallowest")), "shallowest-depth"
    )
    band = fitted.band_ids[state.band]
    told = case.card.numbers(name, band, fitted.family.id)
    if not told:
        shown = [case.card.numbers(name, band, output=o) for o in ("nominal", "pessimistic")]
        told = [n for cell in shown for n in cell[:1]]
    least = fitted.family.least_depth_m
    if not told:
        return blind(state, fitted, state.band), blind(state, fitted, state.band)
    return max(min(told), least), max(max(told), least)


@fact("less-water-than-blind")
def _less(case: Case, check: ResolvedCheck | None) -> bool:
    """Under the face there is less than the lesser figure: nothing can show. A card without two figures has one."""
    lesser, greater = _blind_figures(case, check)
    two = check is not None and "between" in check.outcomes
    return case.state.depth_m <= (lesser if two else greater)


@fact("water-between")
def _between(case: Case, check: ResolvedCheck | None) -> bool:
    lesser, greater = _blind_figures(case, check)
    return lesser < case.state.depth_m <= greater


def _band_seen(case: Case) -> float:
    """How far the band at the top reaches below the face, as read from the scale to a twentieth."""
    band = sonar.blind_m(case.fitted.pulses[case.state.band], case.state.ring_db)
    return band * (1 + float(case.rng.normal(0, 0.03)))


@fact("band-thicker-than-figures")
def _thicker_figures(case: Case, check: ResolvedCheck | None) -> bool:
    """Thicker than the greater figure of the shallowest depth."""
    return _band_seen(case) > _blind_figures(case, check)[1] * 1.05


@fact("band-between-figures")
def _band_between(case: Case, check: ResolvedCheck | None) -> bool:
    lesser, greater = _blind_figures(case, check)
    return lesser * 1.05 < _band_seen(case) <= greater * 1.05


@fact("band-thicker-than-printed")
def _thicker(case: Case, check: ResolvedCheck | None) -> bool:
    """The band at the top reaches further than the table of bands and its tolerance say."""
    fitted = case.fitted
    if "band-thick" in case.view.tags():
        return True
    tolerance = case.card.value("band-tolerance", fitted.family.id)
    allowance = 1 + (tolerance[0] / 100 if tolerance else 0.3)
    table = case.card.table("dead-zone")
    label = table.columns[0].label.replace("\u202f", " ") if table and table.columns else ""
    told = case.card.numbers("dead-zone", fitted.band_ids[case.state.band], label)
    return bool(told) and _band_seen(case) > told[-1] * allowance


@fact("temperature-absurd")
def _absurd(case: Case, check: ResolvedCheck | None) -> bool:
    """Absent, or at an end of the scale, or where no water is."""
    shown = case.view.temperature()
    return shown is None or shown < -5 or shown > 45


def _errors(case: Case) -> tuple[float, float, float, float]:
    """Shown less true (under the face) at a shallow and a deep place, as the lead line tells them."""
    immersion = case.fitted.boat.face_immersion_m
    found = []
    for depth in (4.0, 14.0):
        line = depth * (1.04 if "line-bad" in case.view.tags() else 1.0) + float(case.rng.normal(0, 0.02))
        speed = 1500.0
        if "first-line-wrong" in case.state.flags:
            found += [0.0, line]
            continue
        shown = shown_depth(case.state, case.fitted, depth, speed)
        found += [round(shown, 1) - (line - immersion), line]
    return found[0], found[2], found[1], found[3]


@fact("depth-error-constant")
def _constant(case: Case, check: ResolvedCheck | None) -> bool:
    shallow, deep, _, _ = _errors(case)
    told = case.card.limits(_see(check), case.fitted.family.id)
    agree = told[0] if told and told[0] < 2 else 0.2
    return abs(shallow - deep) <= agree + 0.05 and abs(shallow) > 0.12 and case.state.factor == 1.0


@fact("depth-error-factor")
def _factor(case: Case, check: ResolvedCheck | None) -> bool:
    return case.state.factor > 1.3 or case.state.factor < 0.75


@fact("depth-error-none")
def _none(case: Case, check: ResolvedCheck | None) -> bool:
    shallow, deep, _, _ = _errors(case)
    return abs(shallow) <= 0.2 and abs(deep) <= 0.35 and case.state.offset_m == 0


@fact("depth-error-grows")
def _grows(case: Case, check: ResolvedCheck | None) -> bool:
    return not (_constant(case, check) or _factor(case, check) or _none(case, check))


@fact("depth-off-by-constant")
def _off(case: Case, check: ResolvedCheck | None) -> bool:
    return case.state.offset_m != 0 or "constant-claimed" in case.view.tags()


@fact("sound-speed-bias")
def _bias(case: Case, check: ResolvedCheck | None) -> bool:
    """The error that the table gives for this water explains the error that was found."""
    _, deep, _, line = _errors(case)
    true = sonar.sound_speed(case.state.sea)
    expected = 1500.0 / true - 1.0
    limits = _limits(case, check, 1)
    allowed = 0.02 if math.isnan(limits[0]) else limits[-1] / 100
    return abs(deep / max(line - case.fitted.boat.face_immersion_m, 1.0) - expected) <= allowed


@fact("face-tilted")
def _face_tilted(case: Case, check: ResolvedCheck | None) -> bool:
    """The gauge reads more tilt than the question or its table allows."""
    state, fitted = case.state, case.fitted
    limits = case.card.limits(_see(check), fitted.family.id)
    reading = state.tilt_deg + float(case.rng.normal(0, 0.7))
    if "tilted-at-cruise" in case.view.tags():
        reading += 10.0
    limit = max(limits) if limits else max(fitted.pulses[state.band].narrow_deg / 4, 2.0)
    return reading > limit + 0.5


@fact("trim-too-great")
def _trim(case: Case, check: ResolvedCheck | None) -> bool:
    return "tilted-at-cruise" in case.view.tags()


@fact("signal-without-noise")
def _signal(case: Case, check: ResolvedCheck | None) -> bool:
    return margin(case.state, case.fitted, quiet=True) > 0


@fact("nothing-wrong")
def _nothing(case: Case, check: ResolvedCheck | None) -> bool:
    return not case.state.flags


@fact("component-settings")
def _settings(case: Case, check: ResolvedCheck | None) -> bool:
    return any(FAULTS[f].component == "settings" for f in case.state.flags)


@fact("hull-loss-great")
def _hull_great(case: Case, check: ResolvedCheck | None) -> bool:
    return case.state.laminate_db > 25


@fact("hull-costs-something")
def _hull_some(case: Case, check: ResolvedCheck | None) -> bool:
    return case.fitted.in_hull


@fact("supply-starves")
def _starves(case: Case, check: ResolvedCheck | None) -> bool:
    return case.view.starved()


@fact("silent-sounder")
def _silent_sounder(case: Case, check: ResolvedCheck | None) -> bool:
    """No band at the top and no tick, on a unit that runs."""
    tags = case.view.tags()
    away = tags & {"sensor-missing", "no-sounder-page", "simulates"}
    return case.view.power() == "runs" and not away and not case.view.band_at_top()


@fact("proportion")
def _proportion(case: Case, check: ResolvedCheck | None) -> bool:
    """The water itself falsifies the number by more than a hundredth, or the line is believed to say so."""
    tags = {tag for flag in case.state.flags for tag in FAULTS[flag].shows}
    bias = abs(1500.0 / sonar.sound_speed(case.state.sea) - 1)
    return "proportion" in tags and ("line-bad" in tags or bias > 0.012)


# --- the bus, as the two wires and their terminators make it


def _bus_ohm(case: Case) -> float:
    """Resistance between the wires, power off: 120 ohm at each end, more or fewer by the fault."""
    flags = case.state.flags
    ends = 1 if "bus-open" in flags else 2
    ohm = 120.0 / ends
    return 1.0 / (1.0 / ohm + 1.0 / 8.0) if "bus-short" in flags else ohm


@fact("bus-ohms-high")
def _bus_high(case: Case, check: ResolvedCheck | None) -> bool:
    _, high = _limits(case, check, 2)[:2]
    return case.meter.ohm(_bus_ohm(case)) > high


@fact("bus-ohms-low")
def _bus_low(case: Case, check: ResolvedCheck | None) -> bool:
    low, _ = _limits(case, check, 2)[:2]
    return case.meter.ohm(_bus_ohm(case)) < low


@fact("bus-feed-reads-low")
def _bus_feed(case: Case, check: ResolvedCheck | None) -> bool:
    least = _limits(case, check, 1)[0]
    true = 0.4 if "bus-unpowered" in case.state.flags else case.state.battery_v - 0.15
    return case.meter.volts(true) < least


@fact("bus-node-reads-low")
def _bus_node(case: Case, check: ResolvedCheck | None) -> bool:
    least = _limits(case, check, 2)[1]
    true = 8.3 if "backbone-falls" in case.state.flags else case.state.battery_v - 0.6
    return case.meter.volts(true) < least


@fact("bus-levels-off")
def _bus_levels(case: Case, check: ResolvedCheck | None) -> bool:
    """Mean volts of each wire with traffic: 2.75 and 2.25; crossed wires read the other way round."""
    limits = _limits(case, check, 4)
    if any(math.isnan(n) for n in limits):
        return False
    crossed = "bus-crossed" in case.state.flags
    high, low = (2.25, 2.75) if crossed else (2.75, 2.25)
    if "bus-short" in case.state.flags:
        high = low = 2.5
    read_high, read_low = case.meter.volts(high), case.meter.volts(low)
    return not (limits[0] <= read_high <= limits[1] and limits[2] <= read_low <= limits[3])
