"""What the entries of connection, transmit and network conclude: no sound part is condemned, no bad one acquitted.

Unless a source is named, the right answer is common practice of the trade, no source.
"""

import re
from collections.abc import Callable

import numpy as np
import pytest

from leadsman.compute.sensors.bus import bus_levels, bus_verdict
from leadsman.compute.sensors.thermistor import thermistor_resistance, thermistor_verdict
from leadsman.content.book_walk import BookWalk
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision, ResolvedCheck, label
from leadsman.content.model.fault import HISTORIES
from leadsman.paths import data_folder


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load(data_folder("content"))


@pytest.fixture(scope="module")
def book(catalogue: Catalogue) -> BookWalk:
    return BookWalk({name: Decision(entry, catalogue) for name, entry in catalogue.faults.items()})


def test_a_wrong_thermistor_condemns_no_transducer(book: BookWalk) -> None:
    """A sounder measures depth by time: without water temperature it assumes a sound speed and still sounds."""
    entry = book.decisions["which-part"]
    assert entry.links("pins")["thermistor"] == "swap-transducer"
    assert entry.checks["pins"].outcomes["thermistor"].shows == []
    blamed = [
        f.id
        for d in book.decisions.values()
        for f in d.findings.values()
        if f.condemns and "thermistor" in f.says.lower()
    ]
    assert blamed == []


@pytest.mark.parametrize("water_c", range(0, 31, 5))
def test_a_sound_thermistor_agrees_at_every_water_temperature(catalogue: Catalogue, water_c: float) -> None:
    for transducer in catalogue.transducers.values():
        law = transducer.thermistor
        if law is not None:
            read = thermistor_resistance(temperature_c=water_c, beta_k=law.beta_k, r25_ohm=law.r25_ohm)
            verdict = thermistor_verdict(
                resistance_ohm=read, water_c=water_c, beta_k=law.beta_k, r25_ohm=law.r25_ohm
            )
            assert verdict.verdict == "agrees"


def test_two_bus_wires_alike_are_not_called_sound(book: BookWalk) -> None:
    """ISO 11898-2 (levels from memory): recessive both stand at 2.5 V; wires that touch cannot be driven apart."""
    verdict = str(bus_levels(high_v=2.5, low_v=2.5))
    assert "sound" not in verdict
    assert "power off" in verdict
    # What the levels leave open the ohms decide: a short reads near nothing, a sound bus 60 ohm.
    assert bus_verdict(resistance_ohm=0.5) == "short between the wires"
    levels = book.decisions["depth-missing-on-bus"].checks["levels"]
    assert levels.outcomes["alike"].then == "devices"
    assert levels.outcomes["alike"].shows == []


def test_two_bus_wires_alike_at_an_end_are_a_short(book: BookWalk, catalogue: Catalogue) -> None:
    """Both at nothing or both at the supply is no idle bus: only the middle leads on to the other devices."""
    levels = book.decisions["depth-missing-on-bus"].checks["levels"]
    assert label("alike", levels.outcomes["alike"], catalogue) == "BOTH"
    asked = next(c for c in catalogue.faults["depth-missing-on-bus"].checks if c.id == "levels")
    assert asked.body is not None
    assert "bus-middle" in str(asked.body.see)


def test_a_parted_backbone_is_judged_by_one_terminator(catalogue: Catalogue) -> None:
    """Each half of a parted backbone holds one terminator of 120 ohm: it never reads the 60 of both."""
    entry = catalogue.faults["depth-missing-on-bus"]
    (found,) = (f for f in entry.findings if f.id == "found-open")
    assert "bus-one-terminator" in str(found.remedy[1])


def test_a_depth_that_came_and_is_wrong_convicts_nothing_more_of_the_bus(catalogue: Catalogue) -> None:
    """The proof asked for a lead line too, and its failure led to "still missing?" of a depth that was there."""
    entry = catalogue.faults["depth-missing-on-bus"]
    for found in entry.findings:
        if found.id in ("found-source", "found-send"):
            assert "lead line" not in str(found.proof)
            assert any("{card: wrong-by-constant}" in str(line) for line in found.remedy)


def test_sound_bus_readings_are_never_convicted() -> None:
    """Two terminators of 120 ohm with 1 % and a meter of 1 %; a bus with traffic between idle and busy."""
    for ohm in np.linspace(60 * 0.98, 60 * 1.02, 9):
        assert bus_verdict(resistance_ohm=float(ohm)) == "sound"
    for lift in np.linspace(0.1, 0.5, 5):
        assert bus_levels(high_v=2.5 + lift, low_v=2.5 - lift) == "sound, traffic"


def test_a_message_about_volts_leads_to_the_supply(catalogue: Catalogue, book: BookWalk) -> None:
    """Holm says "Volts low - beams held": that is no second display."""
    message = book.decisions["not-transmitting"].checks["message"]
    assert message.outcomes["low"].to_entry == "restarts-on-transmit"
    assert message.outcomes["high"].to_entry == "over-voltage"
    (other,) = (o for o in message.outcomes.values() if o.then == "found-held")
    words = {
        w for f in catalogue.families.values() for m in f.messages.values() for w in m.text.lower().split()
    }
    assert "held" in words
    assert "HELD" not in label("other", other, catalogue).split()


def test_a_live_temperature_speaks_for_the_thermistor_pair_alone(book: BookWalk) -> None:
    """The identification has contacts of its own: 6 and 7 in the pin tables, the thermistor 6 and 8."""
    yes = book.decisions["since-splice"].checks["temperature"].outcomes["yes"]
    assert "thermistor" in str(yes.means)
    assert "nothing of the identification" in str(yes.means)


def test_no_cable_is_cut_against_the_maker_or_the_warranty(catalogue: Catalogue) -> None:
    cuts = re.compile(
        r"\b(cut back|(make|open|join) (it|the (break|splice|place|wires)|shield))", re.IGNORECASE
    )
    found = 0
    for name in (
        "no-sensor",
        "connection-comes-and-goes",
        "since-splice",
        "one-band-only",
        "cable-damaged",
    ):
        for finding in catalogue.faults[name].findings:
            text = " ".join(finding.remedy)
            if (cuts.search(text) and "pin table" in text) or (
                "bright" in text and "cut back" in text.lower()
            ):
                found += 1
                assert re.search(
                    r"[oO]nly where the maker allows( it)?, and not while the warranty runs", text
                ), finding.id
    assert found >= 8


@pytest.mark.parametrize("name", ["no-sensor", "works-on-another-display", "which-part", "one-band-only"])
def test_the_cradle_is_looked_at_before_a_part_is_condemned(book: BookWalk, name: str) -> None:
    entry = book.decisions[name]
    order = list(entry.checks)
    cradle = next(i for i, c in enumerate(order) if "cradle" in entry.checks[c].body.tests)
    swaps = [i for i, c in enumerate(order) if entry.checks[c].body.kind == "swap"]
    assert all(cradle < place for place in swaps)
    assert "cradle" in {cause.component for cause in entry.causes.values()}


@pytest.mark.parametrize("name", ["no-sensor", "no-sonar-function", "type-not-recognised"])
def test_a_flat_battery_passes_no_proof_of_the_supply(book: BookWalk, name: str) -> None:
    """A small fall alone is no proof: the least volts of the question hold too."""
    entry = book.decisions[name]
    (at,) = (number for number, check in enumerate(entry.checks, 1) if check == "own-volts")
    assert f"Own volts as in step {at}" in str(entry.findings["found-supply"].proof)


def test_bad_pins_are_answered_before_a_fault_that_is_gone(book: BookWalk) -> None:
    """Both can be true after drying; the adapter is not jumped then."""
    entry = book.decisions["no-sensor"]
    assert (
        label("no", entry.checks["reseat"].outcomes["no"], book.decisions["no-sensor"].catalogue)
        == "BAD PINS"
    )
    assert entry.findings["found-wet"].unproved == "adapter"


def test_who_measures_insulation_is_told_the_test_volts(catalogue: Catalogue) -> None:
    for finding in catalogue.faults["no-sensor"].findings:
        if "pin table" in str(finding.proof) or "insulation-good" in str(finding.proof):
            assert "insulation-volts" in finding.cautions, finding.id


def sound(history: str, cannot: str) -> Callable[[ResolvedCheck], str]:
    """How a sound installation answers: what is asked for is there, and a swap changes nothing."""

    def answer(check: ResolvedCheck) -> str:
        if history in check.outcomes:
            return history
        if check.id == cannot:
            return "cannot"
        return next(a for a in ("yes", "same", *check.outcomes) if a in check.outcomes)

    return answer


@pytest.mark.parametrize("history", HISTORIES)
@pytest.mark.parametrize(
    "start",
    [
        "which-part",
        "no-sensor",
        "type-not-recognised",
        "works-on-another-display",
        "depth-flashes",
        "depth-lost-under-way",
        "not-transmitting",
    ],
)
def test_a_sound_installation_ends_in_no_verdict(book: BookWalk, start: str, history: str) -> None:
    """Each check answered as it is with sound parts, and with any one of them not to be made."""
    for left_out in ["", *dict.fromkeys(c for d in book.decisions.values() for c in d.checks)]:
        (entry, end), _ = book.follow(start, sound(history, left_out))[-1]
        finding = book.decisions[entry].findings.get(end)
        assert finding is None or not finding.condemns, (left_out, end)


def test_a_cradle_is_convicted_only_when_the_fault_comes_back_by_hand(catalogue: Catalogue) -> None:
    """A plug mated anew is a restart too: a fault that is merely away convicts nothing."""
    entry = Decision(catalogue.faults["which-part"], catalogue)
    fix = entry.findings[str(entry.checks["cradle"].outcomes["no"].then)]
    assert re.search(r"If the fault comes and goes with it, renew", str(fix.remedy[0]))
    assert "nothing is convicted" in str(fix.remedy[1])
    assert str(fix.proof).startswith("No fault at three starts")
