"""An entry as a decision structure: checks filled in, links listed, and the card followed literally."""

from pathlib import Path

import pytest

import small_content
from leadsman.book.rungs import ladder_of
from leadsman.book.views import view_entry
from leadsman.compute.diagnosis.structure import Kind
from leadsman.compute.diagnosis.walk import Path as Way
from leadsman.compute.diagnosis.walk import count_paths, walk_paths
from leadsman.content.catalogue import load
from leadsman.content.decision import CANNOT, Decision, fill, follow_answers, follow_cause, label, resolve
from leadsman.content.model.base import Prose, Step
from leadsman.content.model.fault import HISTORIES, Outcome
from leadsman.content.rules import check

ENTRY = "faults/depth/no-depth.yaml"


@pytest.fixture(scope="module")
def decision() -> Decision:
    """The small content's entry about depth."""
    catalogue = small_content.edited()
    return Decision(catalogue.faults["no-depth"], catalogue)


def edited(*edits: tuple[str, str, str], entry: str = "no-depth") -> Decision:
    catalogue = small_content.edited(*edits)
    assert catalogue.problems == []
    return Decision(catalogue.faults[entry], catalogue)


def words(way: Way) -> str:
    """A way as a line."""
    return " > ".join(
        f"{step.node.id}={step.outcome}" if step.outcome else step.node.id for step in way.steps
    )


def test_a_shared_check_takes_the_entrys_parameters(decision: Decision) -> None:
    plug = decision.checks["plug"]
    assert plug.body.do == "Part the plug of the transducer and look at its pins."
    assert isinstance(plug.body.do, Step)
    # Another reference stays as it is; it is printed later.
    assert plug.body.how == ["If the pins are wet, dry them for {value: wait-time}."]
    assert plug.observation == ("look-at-plug", "any", (("plug", "plug of the transducer"),))


def test_a_parameter_left_out_takes_the_checks_own_words() -> None:
    plug = edited((ENTRY, "    given: {plug: plug of the transducer}\n", "")).checks["plug"]
    assert plug.body.do == "Part the transducer plug and look at its pins."


def test_an_entry_changes_what_it_names_and_adds_cautions() -> None:
    more = "use: pin-readings\n    minutes: 9\n    state: at-rest\n    tests: [cable]\n    owner_safe: false\n    cautions: [vapour, live-element]\n    note: Mind the {given: x}."
    pins = edited((ENTRY, "use: pin-readings", more.replace("Mind the {given: x}.", "Mind it."))).checks[
        "pins"
    ]
    body = pins.body
    assert (body.minutes, body.state, body.tests, body.note) == (9, "at-rest", ["cable"], "Mind it.")
    assert body.cautions == ["live-element", "vapour"]
    # What the entry does not name is the shared check's.
    assert (body.kind, body.access, body.tools) == ("measure", "dash", ["multimeter"])
    assert pins.shared is not None
    assert pins.shared.minutes == 5


def test_a_check_of_the_entrys_own() -> None:
    own = "body: {kind: look, do: Look at the screen., see: Is it lit?, minutes: 1, access: helm}"
    check = edited((ENTRY, "use: temperature-shown", own)).checks["temperature"]
    assert (check.shared, check.supply_step) == (None, None)
    assert check.observation[0] == "own:Look at the screen."


def test_a_check_that_does_not_exist_resolves_to_nothing() -> None:
    broken = edited((ENTRY, "use: pin-readings", "use: absent"))
    assert "pins" not in broken.checks
    assert resolve(broken.entry.checks[6], broken.catalogue) is None


def test_unknown_parameters_stay_for_the_rule_that_reports_them() -> None:
    assert (
        fill(Prose("A {given: x} and {given: y}, {card: z}."), {"x": "one"})
        == "A one and {given: y}, {card: z}."
    )


@pytest.mark.parametrize(
    ("answer", "given", "printed"),
    [("yes", None, "YES"), ("cannot", None, "CAN'T"), ("not-back", None, "GONE, NOT BACK"),
     ("no", "DIM", "DIM"), ("one-dead", None, "ONE DEAD"), ("after-impact", None, "After a knock")],
)  # fmt: skip
def test_labels(decision: Decision, answer: str, given: str | None, printed: str) -> None:
    outcome = Outcome.model_validate({"then": "x", "label": given})
    assert label(answer, outcome, decision.catalogue) == printed


def test_the_answer_that_a_cause_shows(decision: Decision) -> None:
    swap = decision.checks["swap"]
    assert swap.default_answer() == "same"
    assert [swap.answer_for(c) for c in ("dead-element", "bad-plug", "bad-joint")] == [
        "returns",
        "not-back",
        "same",
    ]


def test_links_and_nodes(decision: Decision) -> None:
    assert decision.start == "history"
    assert decision.links("software") == {"yes": "plug", "no": "found-software", CANNOT: "hand-over"}
    # A finding whose proof fails leads to the first hand-over when nothing else is written.
    assert decision.links("found-plug") == {"not proved": "hand-over"}
    assert decision.links("hand-over") == decision.links("absent") == {}
    kinds = [node.kind for node in decision.structure.nodes]
    assert [kinds.count(kind) for kind in (Kind.CHECK, Kind.FINDING, Kind.HAND_OVER)] == [9, 5, 1]


@pytest.mark.parametrize(
    ("cause", "way"),
    [
        ("bad-plug", "temperature=no > found-plug"),
        ("bad-joint", "temperature=yes > volts=no > software=yes > plug=yes > lamp=no > found-joint"),
        ("old-software", "temperature=yes > volts=yes > software=no > found-software"),
        ("dead-element", "temperature=yes > volts=yes > software=yes > plug=yes > lamp=yes > pins=no > found-element"),
        ("wrong-setting", "temperature=yes > volts=yes > software=yes > plug=yes > lamp=yes > pins=yes > swap=same"
                          " > restore=no > found-setting"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("history", HISTORIES)
def test_following_the_card_under_one_cause(decision: Decision, cause: str, way: str, history: str) -> None:
    followed = follow_cause(decision, cause, history)
    assert words(followed) == f"history={history} > {way}"
    assert followed.ends
    assert cause in decision.findings[followed.end.id].causes


def test_a_wrong_finding_does_not_prove_and_the_walk_goes_on() -> None:
    wrong = edited(
        (ENTRY, '"no": {then: found-plug, shows: [bad-plug]}\n      cannot: {then: volts}',
         '"no": {then: found-plug, shows: [bad-plug, bad-joint]}\n      cannot: {then: volts}'),
        (ENTRY, "    minutes: 4\n", "    minutes: 4\n    unproved: lamp\n"),
    )  # fmt: skip
    followed = follow_cause(wrong, "bad-joint")
    assert (
        words(followed)
        == "history=in-service > temperature=no > found-plug=not proved > lamp=no > found-joint"
    )
    assert followed.ends


@pytest.mark.parametrize(
    ("old", "new", "way"),
    [
        # A loop is left where it begins again.
        ('"no": {then: software, shows: [bad-joint]}', '"no": {then: temperature, shows: [bad-joint]}',
         "history=in-service > temperature=yes > volts=no"),
        # So is a node that is not there.
        ('"no": {then: software, shows: [bad-joint]}', '"no": {then: absent, shows: [bad-joint]}',
         "history=in-service > temperature=yes > volts=no"),
        # And a check that says nothing under the cause.
        ('"yes": {then: volts}', '"yes": {then: volts, shows: [dead-element]}', "history=in-service > temperature"),
    ],
)  # fmt: skip
def test_a_walk_that_cannot_go_on_does_not_end(old: str, new: str, way: str) -> None:
    followed = follow_cause(edited((ENTRY, old, new)), "bad-joint")
    assert (words(followed), followed.ends) == (way, False)


def test_another_entry_ends_the_walk() -> None:
    leaving = edited(
        (
            ENTRY,
            '"no": {then: software, shows: [bad-joint]}',
            '"no": {to_entry: low-volts, shows: [bad-joint]}',
        ),
    )
    followed = follow_cause(leaving, "bad-joint")
    assert (followed.end.id, followed.end.kind, followed.ends) == ("entry:low-volts", Kind.ENTRY, True)


def test_another_entry_takes_on_the_causes_in_the_parts_that_it_looks_at(decision: Decision) -> None:
    """low-volts looks at joints and settings, and at nothing else."""
    assert decision.taken_on("entry:low-volts") == ["bad-joint", "wrong-setting"]
    assert decision.taken_on("entry:absent") == []


def test_a_cause_led_to_an_entry_that_does_not_look_for_it_is_not_found(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    text = (folder / ENTRY).read_text()
    old, new = "{then: found-element, shows: [dead-element]}", "{to_entry: low-volts, shows: [dead-element]}"
    (folder / ENTRY).write_text(text.replace(old, new, 1))
    problems = [p for p in check(load(folder)).problems if p.rule == "found"]
    assert ["'dead-element' is not found by following the card" in p.what for p in problems] == [True]


def test_following_answers_stops_where_none_is_given(decision: Decision) -> None:
    answers = {"history": "in-service", "temperature": "yes", "volts": "yes"}
    followed = follow_answers(decision, answers)
    assert (words(followed), followed.ends) == (
        "history=in-service > temperature=yes > volts=yes > software",
        False,
    )
    followed = follow_answers(decision, {**answers, "software": CANNOT})
    assert (followed.end.id, followed.ends) == ("hand-over", True)
    assert words(follow_answers(decision, {"history": "no such answer"})) == "history"


def test_minutes_count_each_place_once_and_nothing_that_was_not_done(decision: Decision) -> None:
    # By hand from the files: 1 + 1 + 1 + 2 at the helm, dash 6, plug 3, lamp 6.
    done = follow_cause(decision, "bad-joint")
    assert decision.minutes(done) == 1 + 1 + 1 + 2 + 6 + 3 + 6
    answers = {
        "history": "in-service",
        "temperature": "yes",
        "volts": "yes",
        "software": "yes",
        "plug": CANNOT,
        "lamp": CANNOT,
    }
    assert decision.minutes(follow_answers(decision, answers)) == 1 + 1 + 1 + 2


def test_every_path_ends_and_they_are_as_many_as_counted_by_hand(decision: Decision) -> None:
    ways = list(walk_paths(decision.structure))
    assert all(way.ends for way in ways)
    # From the end: restore 4 (a finding gives two: proved or not), swap 2 + 2 + 4 + 4, pins 12 + 2 + 12,
    # lamp 26 + 2 + 1, plug 29 + 2 + 29, software 60 + 2 + 1, volts 3 * 63, temperature 189 + 2 + 189, and six answers about the history.
    assert len(ways) == count_paths(decision.structure) == 6 * (189 + 2 + 189)


#: The small entry with a way on to another entry at its end, past its own hand-over.
LEADS_ON = (
    (ENTRY, "cannot: {then: hand-over}\n  - id: plug\n", "cannot: {then: plug}\n  - id: plug\n"),
    (ENTRY, "cannot: {then: hand-over}\n  - id: pins\n", "cannot: {then: pins}\n  - id: pins\n"),
    (ENTRY, '"yes": {then: hand-over}\n      "no": {then: found-setting, shows: [wrong-setting]}\n      cannot: {then: hand-over}', '"yes": {to_entry: low-volts}\n      "no": {to_entry: low-volts, shows: [wrong-setting]}\n      cannot: {to_entry: low-volts}'),
    (ENTRY, "    minutes: 4\n", "    minutes: 4\n    unproved: restore\n"),
    (ENTRY, "    proof: Do the volts hold in transmit?\n", "    proof: Do the volts hold in transmit?\n    unproved: pins\n"),
    (ENTRY, "    cautions: [update-battery]\n", "    cautions: [update-battery]\n    unproved: plug\n"),
    (ENTRY, "    condemns: true\n", "    condemns: true\n    unproved: restore\n"),
    (ENTRY, "  - id: found-setting\n    causes: [wrong-setting]\n    says: Setting wrong\n    remedy: [Keep the defaults.]\n    proof: Does the depth stay after a restart?\n", ""),
)  # fmt: skip


def test_an_entry_that_ends_in_another_needs_no_way_to_its_own_hand_over() -> None:
    """The hand-over then serves a call, a guide and the record; the card leaves it out, since no letter leads to it."""
    found = edited(*LEADS_ON)
    assert found.leads_on == "low-volts"
    assert found.flaws == ()
    assert [end.id for end in ladder_of(view_entry(found), found.catalogue).ends if end.hand_over] == []
    # Where the last CAN'T stays in the entry, a hand-over that nothing leads to is a slip.
    stays = (ENTRY, "cannot: {to_entry: low-volts}", "cannot: {then: found-element}")
    stuck = edited(*LEADS_ON, stays)
    assert stuck.leads_on is None
    assert "hand-over" in {flaw.subject for flaw in stuck.flaws}
