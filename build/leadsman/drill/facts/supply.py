"""Facts of the supply: readings of a meter and of the unit itself, against the limits that the card prints."""

from __future__ import annotations

import math

from leadsman.content.decision import ResolvedCheck
from leadsman.drill.case import Case, fact
from leadsman.drill.facts.reading import limits_of, texts
from leadsman.drill.view import volts

#: Current that a display draws which cannot start, A (a choice).
_DEAD_A = 0.02
#: Volts that a cold blade fuse drops at its rating (drill reference: 5 A, 17.85 mohm).
_FUSE_V = 0.0892
#: Cabin lights on the battery while it is measured, A (common practice).
_LIGHTS_A = 5.0


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
    return idle - loaded > limits_of(case, check, 2)[0] + 1e-9


@fact("own-volts-stand-low")
def _own_stand(case: Case, check: ResolvedCheck | None) -> bool:
    """A small fall, and yet below the least volts of the question."""
    _, loaded = _readout(case)
    return loaded < limits_of(case, check, 2)[1] and not _own_fall(case, check)


@fact("own-volts-low")
def _own_volts(case: Case, check: ResolvedCheck | None) -> bool:
    """Either; a battery that is merely low is charged first where the card says so, and read again."""
    idle, loaded = _readout(case)
    case.notes.append(f"own volts {idle:.1f}, at full load {loaded:.1f}")
    return _own_fall(case, check) or _own_stand(case, check)


@fact("battery-posts-low")
def _posts(case: Case, check: ResolvedCheck | None) -> bool:
    limits = limits_of(case, check, 2)
    limit = limits[1] if case.fitted.lithium and not math.isnan(limits[1]) else limits[0]
    state = case.state
    reading = case.meter.volts(state.battery_v - _LIGHTS_A * state.battery_ohm)
    case.notes.append(f"posts {reading:.2f} V under the lights")
    return reading < limit


@fact("battery-falls-at-restart")
def _falls(case: Case, check: ResolvedCheck | None) -> bool:
    """From transmit off to on, and the least of its kind: the question names lead-acid first, lithium iron last."""
    fall, least, *lithium = limits_of(case, check, 3)
    if case.fitted.lithium and lithium and not math.isnan(lithium[0]):
        least = lithium[0]
    state = case.state
    current = state.unit_w / max(volts(state, case.fitted, "transmit")["unit"], 0.7 * state.battery_v)
    idle = case.meter.volts(volts(state, case.fitted, "idle")["post"])
    low = case.meter.volts(state.battery_v - current * state.battery_ohm)
    case.notes.append(f"posts {idle:.2f} V, transmitting {low:.2f} V")
    return idle - low > fall or low < least


@fact("fuse-one-end-dead")
def _fuse_one(case: Case, check: ResolvedCheck | None) -> bool:
    (same,) = limits_of(case, check, 1)[:1]
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
    name = next(iter(case.card.tables(*texts(check))), "lamp-limits")
    limit = case.card.for_boat(name, case.fitted.boat, "drop_limit")
    found = volts(case.state, case.fitted, "lamp")
    drop = case.meter.volts(found["post"]) - case.meter.volts(found["plug"])
    case.notes.append(f"lamp lit, battery less plug {drop:.2f} V, card {limit}")
    return limit is not None and (drop > limit or found["plug"] < 0.5 * case.state.battery_v)


@fact("plug-volts-low")
def _plug_volts(case: Case, check: ResolvedCheck | None) -> bool:
    """The card's second limit, shifted by what the battery reads, and its third, which stays."""
    name = next((t for t in case.card.tables(*texts(check)) if "plug" in t), "plug-volts")
    found = volts(case.state, case.fitted, "transmit")
    post, plug = case.meter.volts(found["post"]), case.meter.volts(found["plug"])
    if _bank(case) > 1:
        # Tenths do not show a joint: the legs are read in the low range, and their sum is the difference.
        plug = post - case.meter.volts(found["positive_drop"]) - case.meter.volts(found["negative_drop"])
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
    told = case.card.words_for_boat("plug-volts", case.fitted.boat, "lead")
    return told == "too thin" or _leg(case, check)


def _loaded(case: Case) -> tuple[dict[str, float], float]:
    """The lead under its load, transmitting or by the lamp where the unit is dead, and the current [A] through it."""
    found = volts(case.state, case.fitted, "lamp" if case.view.power() == "dead" else "transmit")
    return found, found["current"] or case.state.battery_v / (144.0 * _bank(case) ** 2 / 21.0 + 1.0)


@fact("joint-drop-high")
def _joint(case: Case, check: ResolvedCheck | None) -> bool:
    # The question names the share of a leg first, the joint last.
    limit = limits_of(case, check, 1)[-1]
    found, current = _loaded(case)
    worst = max(abs(found["holder_drop"]), current * (case.state.joint_ohm + case.state.pulse_ohm))
    case.notes.append(f"worst joint {case.meter.volts(worst):.2f} V")
    return case.meter.volts(worst) > limit


@fact("leg-drop-high")
def _leg(case: Case, check: ResolvedCheck | None) -> bool:
    """A leg that takes more than its share of the limit with its joints sound: the copper itself."""
    _, current = _loaded(case)
    copper = current * case.state.positive_ohm
    limit = case.card.for_boat("lamp-limits", case.fitted.boat, "drop_limit") or 0.5
    told = limits_of(case, check, 1)
    share = told[0] / 100 if len(told) > 1 else 0.5
    return copper > max(limit * share, 0.05) and case.state.positive_ohm > 1.5 * case.sound.positive_ohm


@fact("holder-drop-high")
def _holder(case: Case, check: ResolvedCheck | None) -> bool:
    """More than the question allows between a wire of the holder and its fuse, which has ohms of its own."""
    limit = limits_of(case, check, 1)[-1]
    found = volts(case.state, case.fitted, "transmit")
    # A unit that falls out at once still draws for the moment that the meter's hold catches.
    current = found["current"] or case.state.unit_w / (0.7 * case.state.battery_v)
    contacts = max(case.state.holder_ohm - _FUSE_V / case.fitted.boat.supply.fuse_a, 0.0)
    drop = case.meter.volts(current * contacts)
    case.notes.append(f"holder {drop:.2f} V")
    return drop > limit


@fact("fuse-drop-high")
def _fuse_drop(case: Case, check: ResolvedCheck | None) -> bool:
    """Volts across the fuse at full load against the card's limit; a cold fuse by its rating, warm by half more."""
    state, rating = case.state, case.fitted.boat.supply.fuse_a
    cold = _FUSE_V / rating
    current = state.unit_w / max(volts(state, case.fitted, "transmit")["unit"], 0.8 * state.battery_v)
    drop = current * cold * (1 + 0.5 * (current / rating) ** 2)
    reading = 1000 * case.meter.volts(drop)
    case.notes.append(f"{reading:.0f} mV across the fuse at {current:.1f} A")
    names = [t for t in case.card.tables(*texts(check)) if t.startswith("fuse-drop")]
    limits = limits_of(case, check, 1)
    if names:
        name = (
            "fuse-drop-24" if _bank(case) > 1 and "fuse-drop-24" in case.card.catalogue.tables else names[0]
        )
        limits = case.card.numbers(name, case.fitted.family.id, f"{rating:g} A")
    return bool(limits) and not math.isnan(limits[0]) and reading > limits[0]


@fact("crank-battery-low")
def _crank(case: Case, check: ResolvedCheck | None) -> bool:
    (least,) = limits_of(case, check, 1)[:1]
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
    (limit,) = limits_of(case, check, 1)[:1]
    return case.meter.volts(180.0 * case.state.clamp_ohm) > limit


@fact("volts-high-at-rest")
def _high_rest(case: Case, check: ResolvedCheck | None) -> bool:
    limit = limits_of(case, check, 1)[-1]
    return case.state.battery_v - case.state.readout_low_v > limit


@fact("volts-high-with-engine")
def _high_engine(case: Case, check: ResolvedCheck | None) -> bool:
    limit = limits_of(case, check, 1)[-1]
    if "high-at-unit-only" in case.view.tags():
        return check is None or check.body.kind != "measure"
    return case.state.alternator_v - case.state.readout_low_v > limit


@fact("volts-high-on-charger")
def _high_charger(case: Case, check: ResolvedCheck | None) -> bool:
    limit = limits_of(case, check, 1)[-1]
    return case.state.charger_v - case.state.readout_low_v > limit


@fact("running-volts-off")
def _running(case: Case, check: ResolvedCheck | None) -> bool:
    """Own volts with the engine running outside the question's range."""
    low, high = limits_of(case, check, 2)[:2]
    reading = case.state.alternator_v - case.state.readout_low_v
    return reading > high or reading < low


@fact("ripple-high")
def _ripple(case: Case, check: ResolvedCheck | None) -> bool:
    (limit,) = limits_of(case, check, 1)[:1]
    return case.meter.volts(case.state.ripple_v) > limit


@fact("low-volts-message")
def _low_message(case: Case, check: ResolvedCheck | None) -> bool:
    """The unit itself complains of its volts, at each pulse or all the time."""
    return case.view.unit_volts("pulse") < case.fitted.family.supply_low_v + 0.1


@fact("supply-starves")
def _starves(case: Case, check: ResolvedCheck | None) -> bool:
    return case.view.starved()
