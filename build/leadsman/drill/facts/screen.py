"""Facts of the screen and of what is fitted."""

from __future__ import annotations

from leadsman.content.decision import ResolvedCheck
from leadsman.drill.case import Case, fact
from leadsman.drill.facts.reading import limits_of
from leadsman.drill.view import margin


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
    (agree,) = limits_of(case, check, 1)[:1]
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


@fact("silent-sounder")
def _silent_sounder(case: Case, check: ResolvedCheck | None) -> bool:
    """No band at the top and no tick, on a unit that runs."""
    tags = case.view.tags()
    away = tags & {"sensor-missing", "no-sounder-page", "simulates"}
    return case.view.power() == "runs" and not away and not case.view.band_at_top()
