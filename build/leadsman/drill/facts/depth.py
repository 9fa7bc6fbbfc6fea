"""Facts of depth, reach, ringing and error of the number."""

from __future__ import annotations

import math

from leadsman.content.decision import ResolvedCheck
from leadsman.drill import sonar
from leadsman.drill.case import Case, fact
from leadsman.drill.facts.reading import limits_of, see, texts
from leadsman.drill.faults import FAULTS
from leadsman.drill.view import blind, margin, reach, shown_depth

#: From here on a band counts as a high one (common practice).
_HIGH_BAND_KHZ = 150.0


@fact("beyond-printed-reach")
def _beyond(case: Case, check: ResolvedCheck | None) -> bool:
    """The water is deeper than the card's table for this band in this water."""
    state, fitted = case.state, case.fitted
    name = next((t for t in case.card.tables(*texts(check)) if t.startswith("deepest")), "deepest-depth")
    told = case.card.numbers(name, fitted.band_ids[state.band], fitted.water.id)
    return state.depth_m > (told[-1] if told else reach(case.sound, fitted, state.band))


@fact("beyond-lesser-figure")
def _lesser(case: Case, check: ResolvedCheck | None) -> bool:
    """The water is deeper than the lesser figure of the card: no number is owed there on a bad day."""
    state, fitted = case.state, case.fitted
    told = case.card.numbers("deepest-depth", fitted.band_ids[state.band], fitted.water.id)
    return bool(told) and state.depth_m > told[0]


@fact("reached-before")
def _reached(case: Case, check: ResolvedCheck | None) -> bool:
    """The owner remembers a number in such depths: the sound boat has one there."""
    twin = case.sound.copy()
    return margin(twin, case.fitted, case.state.band, case.state.depth_m) > 0


def _blind_figures(case: Case, check: ResolvedCheck | None) -> tuple[float, float]:
    """The lesser and the greater figure of the card for this band: nothing within, and surely beyond."""
    state, fitted = case.state, case.fitted
    name = next(
        (t for t in case.card.tables(*texts(check)) if t.startswith("shallowest")), "shallowest-depth"
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
    shallow, deep, near, far = _errors(case)
    immersion = case.fitted.boat.face_immersion_m
    if check is not None and "depth-bias" in str(check.body.note or ""):
        # The card has the share of the water's own sound speed taken off first.
        share = 1500.0 / sonar.sound_speed(case.state.sea) - 1.0
        shallow, deep = shallow - share * (near - immersion), deep - share * (far - immersion)
    told = case.card.limits(see(check), case.fitted.family.id)
    # A question that names no agreement asks whether the error is more at the greater depth: by a digit shown.
    agree = told[0] if told and told[0] < 2 else 0.2 if check is None else 0.05
    # Difference and factor are both worked out: a share that grew in little water only would pass for an offset.
    as_share = abs(deep - shallow * (far - immersion) / (near - immersion))
    alike = abs(shallow - deep) <= min(agree + 0.05, as_share)
    return alike and abs(shallow) > 0.12 and case.state.factor == 1.0


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
    limits = limits_of(case, check, 1)
    allowed = 0.02 if math.isnan(limits[0]) else limits[-1] / 100
    return abs(deep / max(line - case.fitted.boat.face_immersion_m, 1.0) - expected) <= allowed


@fact("face-tilted")
def _face_tilted(case: Case, check: ResolvedCheck | None) -> bool:
    """The gauge reads more tilt than the question allows: of two limits the first is that of a high band."""
    state, fitted = case.state, case.fitted
    limits = case.card.limits(see(check), fitted.family.id)
    reading = state.tilt_deg + float(case.rng.normal(0, 0.7))
    if "tilted-at-cruise" in case.view.tags():
        # What makes the depth go by tilt alone: over half a beam, more than 12 dB both ways.
        reading += 1.2 * max(8.0, 0.6 * fitted.pulses[state.band].narrow_deg)
    own = limits[:1] if fitted.pulses[state.band].khz >= _HIGH_BAND_KHZ else limits[-1:]
    limit = own[0] if own else max(fitted.pulses[state.band].narrow_deg / 4, 2.0)
    return reading > limit + 0.5


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


@fact("proportion")
def _proportion(case: Case, check: ResolvedCheck | None) -> bool:
    """The water itself falsifies the number by more than a hundredth, or the line is believed to say so."""
    tags = {tag for flag in case.state.flags for tag in FAULTS[flag].shows}
    bias = abs(1500.0 / sonar.sound_speed(case.state.sea) - 1)
    return "proportion" in tags and ("line-bad" in tags or bias > 0.012)
