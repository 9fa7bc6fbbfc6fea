"""Parts of rules asked directly: which answers convict and clear a cause, what calls for a caution, what a text names."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

import small_content
from leadsman.content.catalogue import load
from leadsman.content.decision import Decision
from leadsman.content.model.base import Label, Prose, Step
from leadsman.content.model.fault import HISTORIES
from leadsman.content.model.reference import CalledFor
from leadsman.content.ordering import Ordering, by_history
from leadsman.content.rules import RULES, Context, coverage, doing, load_rules, order, verdicts

ENTRY, OTHER = "faults/depth/no-depth.yaml", "faults/power/low-volts.yaml"
SMALL = load(small_content.FOLDER)
load_rules()


def decision(catalogue: Any = SMALL, name: str = "no-depth") -> Decision:
    return Context(catalogue).decisions[name]


# --- coverage ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cause", "answers"),
    [
        ("bad-plug", [("temperature", "no")]),
        ("bad-joint", [("lamp", "no")]),
        ("old-software", [("software", "no")]),
        ("dead-element", [("pins", "no")]),
        ("wrong-setting", [("restore", "no")]),
    ],
)
def test_the_answer_that_leads_to_the_finding_convicts(cause: str, answers: list[tuple[str, str]]) -> None:
    """Read off the small entry's card: the last answer on the way to the finding that names the cause."""
    assert coverage.convicting_answers(decision(), cause) == answers


@pytest.mark.parametrize(
    ("shares", "answers"),
    [
        ("in_service: 0, new_fitting: 0.5", [("plug", "no")]),
        ("in_service: 0.5, new_fitting: 0", [("temperature", "no")]),
        ("in_service: 1, new_fitting: 1", [("temperature", "no"), ("plug", "no")]),
    ],
)
def test_only_a_history_in_which_a_cause_occurs_convicts_it(
    shares: str, answers: list[tuple[str, str]]
) -> None:
    """After a new fitting this card goes straight to the plug."""
    catalogue = small_content.edited(
        (ENTRY, "prior: {in_service: 40, new_fitting: 10}", f"prior: {{{shares}}}"),
        (ENTRY, "new-fitting: {then: temperature}", "new-fitting: {then: plug}"),
    )
    assert coverage.convicting_answers(decision(catalogue), "bad-plug") == answers


def test_an_answer_that_sends_to_another_entry_convicts() -> None:
    catalogue = small_content.edited(
        (
            ENTRY,
            '      "no": {then: software, shows: [bad-joint]}',
            '      "no": {shows: [bad-joint], to_entry: low-volts}',
        ),
    )
    assert coverage.convicting_answers(decision(catalogue), "bad-joint") == [("volts", "no")]


def test_an_answer_clears_what_it_is_not_seen_under() -> None:
    """Of two causes, one seen under YES and one under NO, each answer clears the other; CAN'T and the history clear none."""
    low = decision(name="low-volts")
    assert coverage.clearing_answers(low, "joint") == [("volts", "yes")]
    assert coverage.clearing_answers(low, "limit") == [("volts", "no")]


# --- what calls for a caution --------------------------------------------------------------------

TEXTS = [Prose(text) for text in ("Clean the pins with {tool: torch}.", "Then {menu: restore-defaults}.")]


@pytest.mark.parametrize(
    ("called", "why"),
    [
        ({"tasks": ["record-settings", "restore-defaults"]}, "changes the setting 'restore-defaults'"),
        ({"tasks": ["record-settings"]}, ""),
        ({"tools": ["torch", "multimeter"]}, "uses the tool 'multimeter'"),
        ({"tools": ["torch"]}, ""),
        ({"phrases": ["renew the joint", "clean the pins"]}, "says 'clean the pins'"),
        ({"phrases": ["renew the joint"]}, ""),
        ({"phrases": ["clean the pins"], "unless": ["then"]}, ""),
        ({"phrases": ["clean the pins"], "unless": ["never"]}, "says 'clean the pins'"),
        ({"states": ["transmit"]}, "is made in the state 'transmit'"),
        ({"states": ["transmit"], "unless": ["then"]}, "is made in the state 'transmit'"),
        ({"states": ["crank"]}, ""),
        ({"tasks": ["restore-defaults"], "phrases": ["clean the pins"]}, "changes the setting 'restore-defaults'"),
        ({}, ""),
    ],
)  # fmt: skip
def test_the_first_thing_that_calls_for_a_caution_is_told(called: dict[str, list[str]], why: str) -> None:
    """A state first, then a tool, a setting and a phrase, each as the caution lists them."""
    assert (
        doing._calls(CalledFor.model_validate(called), doing._done(TEXTS, ["multimeter"], "transmit")) == why
    )


# --- prose ---------------------------------------------------------------------------------------


def of_prose(rule: str, *texts: tuple[str, Any], **more: Any) -> list[tuple[str, str]]:
    """What a rule says of a few texts, each with its kind: the kind, and the words."""

    def problem(kind: str, name: str, place: Any, what: str, hint: str, **_: Any) -> tuple[str, str]:
        return kind, what

    catalogue = SimpleNamespace(problem=problem, **more)
    prose = [(kind, "a", ("text",), text) for kind, text in texts]
    return list(RULES[rule].find(SimpleNamespace(catalogue=catalogue, prose=lambda: prose)))  # type: ignore[arg-type]


LONG = "word " * 26 + "word."


def test_names_and_sources_may_be_long() -> None:
    """A sentence of 27 words; the message repeats its first 50 letters."""
    found = of_prose(
        "sentence-length", ("tables", Prose(LONG)), ("sources", Prose(LONG)), ("tables", Label(LONG))
    )
    assert found == [("tables", f"a sentence of 27 words (at most 25): {('word ' * 26)[:50]}...")]


def test_a_name_may_hold_a_number_where_nobody_acts_on_it() -> None:
    number = "A lamp of 21 W."
    found = of_prose(
        "loose-number",
        ("tables", Prose(number)), ("tables", Label(number)), ("faults", Label(number)), ("checks", Label(number)),
        ("sources", Prose(number)), ("boats", Prose(number)),
    )  # fmt: skip
    assert [kind for kind, _ in found] == ["tables", "faults", "checks"]


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("The " + "x" * 60, f"no command: 'The {'x' * 46}...'"),
        ("If " + "x" * 60, f"no comma after the condition: 'If {'x' * 47}...'"),
    ],
)
def test_a_step_that_is_no_command_is_told_with_its_first_fifty_letters(text: str, what: str) -> None:
    assert of_prose("imperative", ("checks", Step(text))) == [("checks", what)]
    assert of_prose("imperative", ("checks", Prose(text))) == []


def test_an_american_plural_replaces_no_british_word() -> None:
    """Only the British forms of a word are replaced: 'flashlights' is what 'torches' becomes."""
    words = {
        "torch": SimpleNamespace(british="torch", american="flashlight", plural=["torches", "flashlights"], british_too=False),
        "beams": SimpleNamespace(british="beams", american="flashlights", plural=[], british_too=False),
        "fires": SimpleNamespace(british="fires", american="torches", plural=[], british_too=False),
    }  # fmt: skip
    assert of_prose("us-words", us_words=words) == [("us_words", "'torches' is itself replaced, by 'torch'")]


@pytest.mark.parametrize(
    ("known", "origins", "told"),
    [
        (["en"], [("phrases", "en")], False), ([], [("phrases", "en")], False), (["en"], [], False), ([], [], True),
    ],
)  # fmt: skip
def test_phrases_that_cannot_be_read_are_told_elsewhere(
    known: list[str], origins: list[tuple[str, str]], told: bool
) -> None:
    edition = SimpleNamespace(language="en-GB")
    found = of_prose("phrases", records={"phrases": known}, editions={"deck": edition}, origins=origins)
    assert found == ([("editions", "no phrases are there in 'en'")] if told else [])


# --- entries -------------------------------------------------------------------------------------

#: A wet or costly place, and one that costs less.
ACCESS = {"helm": SimpleNamespace(rank=0), "dash": SimpleNamespace(rank=4), "slip": SimpleNamespace(rank=5)}


def step(name: str, kind: str = "look", *, tests: tuple[str, ...] = (), **more: Any) -> Any:
    """A check of a made entry."""
    body = SimpleNamespace(
        kind=kind, tests=tests, access=more.pop("access", "helm"), wet=more.pop("wet", False)
    )
    return SimpleNamespace(**{"id": name, "body": body, "outcomes": {}, "supply_step": None} | more)


def of_entry(rule: str, *steps: Any, causes: tuple[str, ...] = ()) -> list[tuple[Any, str]]:
    """What a rule of the trade says of an entry with these checks and causes in these components: place and words."""
    made = SimpleNamespace(
        checks={check.id: check for check in steps},
        causes={name: SimpleNamespace(component=name) for name in causes},
        target=lambda outcome: outcome,
    )
    context = SimpleNamespace(
        catalogue=SimpleNamespace(records={"access": ACCESS}),
        decisions={"entry": made},
        faults=lambda: [made],
        entry_problem=lambda decision, place, what, hint="": (place, what),
        check_place=lambda decision, name, *more: (name, *more),
    )
    return list(RULES[rule].find(context))  # type: ignore[arg-type]


def test_the_first_check_asks_all_histories_and_may_ask_no_more() -> None:
    outcomes = dict.fromkeys(HISTORIES)
    assert of_entry("history-first", step("history", outcomes=outcomes)) == []
    assert of_entry("history-first", step("history", outcomes=outcomes | {"cannot": None})) == []
    assert of_entry("history-first", step("history", outcomes=dict.fromkeys(HISTORIES[1:]))) == [
        (("checks", 0), f"the first check does not ask the history ({HISTORIES[0]})")
    ]


@pytest.mark.parametrize(
    ("before", "told"),
    [(0, None), (4, None), (5, "'volts' comes as check 6")],
)
def test_own_volts_are_among_the_first_five_checks(before: int, told: str | None) -> None:
    """Where the supply can be the cause; common practice."""
    steps = [*(step(str(number)) for number in range(before)), step("volts", supply_step="P0")]
    found = [what for _, what in of_entry("supply-early", *steps, causes=("element", "joints"))]
    assert found == ([told] if told else [])
    assert of_entry("supply-early", *steps, causes=("element",)) == []
    assert of_entry("supply-early", causes=("element",)) == []
    assert [what for _, what in of_entry("supply-early", causes=("battery",))] == [
        "the supply is not read at all"
    ]


@pytest.mark.parametrize(
    ("kinds", "told"),
    [
        (("look", "measure", "swap"), []),
        (("measure", "look"), ["'1' (looking) tests plug after '0' (measure) did"]),
        (("swap", "measure"), ["'1' (measuring) tests plug after '0' (swap) did"]),
        (("swap", "look"), ["'1' (looking) tests plug after '0' (swap) did"]),
        (("restore", "look"), []),
        (("restore", "swap"), []),
        (("look", "measure", "look"), []),  # it was looked at before
        (("measure", "measure", "look"), ["'2' (looking) tests plug after '0' (measure) did", "'2' (looking) tests plug after '1' (measure) did"]),
    ],
)  # fmt: skip
def test_a_component_is_looked_at_then_measured_then_swapped(kinds: tuple[str, ...], told: list[str]) -> None:
    steps = [step(str(number), kind, tests=("plug",)) for number, kind in enumerate(kinds)]
    assert [what for _, what in of_entry("cheap-first", *steps)] == told
    apart = [step(str(number), kind, tests=(str(number),)) for number, kind in enumerate(kinds)]
    assert of_entry("cheap-first", *apart) == []


@pytest.mark.parametrize(
    ("first", "second", "told"),
    [
        ({"access": "slip"}, {}, True), ({"access": "dash"}, {}, False), ({"wet": True}, {}, True), ({"wet": True}, {"access": "dash"}, False),
        ({"wet": True}, {"access": "unknown"}, True), ({"wet": True}, {"kind": "swap"}, False), ({"wet": True}, {"wet": True}, False),
    ],
)  # fmt: skip
def test_what_is_dry_at_the_helm_comes_before_wet_and_costly_work(
    first: dict[str, Any], second: dict[str, Any], told: bool
) -> None:
    """From rank 5 on an access is costly; one that nobody knows counts as the helm, and is told elsewhere."""
    found = [what for _, what in of_entry("dry-first", step("a", **first), step("b", **second))]
    assert found == (["'b' at the helm comes after the wet or costly 'a'"] if told else [])


def test_a_fault_that_did_not_return_leads_elsewhere_than_one_that_did() -> None:
    apart = {"returns": "found-element", "not-back": "found-plug"}
    alike = dict.fromkeys(apart, "found-plug")
    assert of_entry("not-back-apart", step("swap", outcomes=apart)) == []
    for outcomes in (alike, alike | {"same": "restore"}):
        assert of_entry("not-back-apart", step("swap", outcomes=outcomes)) == [
            (("swap", "outcomes", "not-back"), "'not-back' leads to 'found-plug', as 'returns' does")
        ]
    assert of_entry("not-back-apart", step("swap", outcomes={"returns": "found-plug"})) == []


@pytest.mark.parametrize(
    ("answer", "means", "passes"),
    [
        ("cannot", None, True),
        ("cannot", "Go on", True),
        ("cannot", "Not proved: go on", False),
        ("yes", None, False),
    ],
)
def test_only_a_silent_cannot_passes_a_trial(answer: str, means: str | None, passes: bool) -> None:
    made = SimpleNamespace(checks={"trial": step("trial", outcomes={answer: SimpleNamespace(means=means)})})
    assert verdicts._passes(made, "trial", answer) == passes  # type: ignore[arg-type]


def of_small(rule: str, *edits: tuple[str, str, str]) -> list[str]:
    return [p.what for p in RULES[rule].find(Context(small_content.edited(*edits)))]


@pytest.mark.parametrize(
    ("prior", "told"),
    [
        ("{in_service: 20, new_fitting: 0}", False), ("{in_service: 0, new_fitting: 20}", True), ("{in_service: 0, new_fitting: 1}", True),
    ],
)  # fmt: skip
def test_a_cause_is_found_in_each_history_in_which_it_occurs(prior: str, told: bool) -> None:
    """After a new fitting this card goes past the lamp, which alone finds the joint."""
    found = of_small(
        "found",
        (
            ENTRY,
            "component: joints, prior: {in_service: 20}",
            f"component: joints, prior: {prior}",
        ),
        (ENTRY, "new-fitting: {then: temperature}", "new-fitting: {then: pins}"),
    )
    assert bool([what for what in found if what.startswith("'bad-joint' is not found")]) == told


def test_another_entry_must_go_on_looking_for_what_is_sent_to_it() -> None:
    """It has a cause in the joints, and none in the element."""
    sent = '      "no": {to_entry: low-volts, shows: [%s]}'
    joint = of_small(
        "found",
        (ENTRY, '      "no": {then: found-joint, shows: [bad-joint]}', sent % "bad-joint"),
    )
    element = of_small(
        "found",
        (ENTRY, '      "no": {then: found-element, shows: [dead-element]}', sent % "dead-element"),
    )
    assert (joint, len(element)) == ([], 1)


def test_an_order_that_takes_just_a_quarter_longer_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """The limit itself is none of the slow ones."""
    small = Context(SMALL)
    excess = max(report.excess for d in small.faults() for report in by_history(Ordering(d)).values())
    monkeypatch.setattr(order, "TOLERATED_EXCESS", excess)
    assert list(RULES["order"].find(small)) == []
    monkeypatch.setattr(order, "TOLERATED_EXCESS", excess - 0.001)
    assert list(RULES["order"].find(small)) != []


def test_the_entry_that_has_changes_to_tell_of_keeps_its_code() -> None:
    catalogue = small_content.edited(
        (ENTRY, "code: D1\n", 'code: P1\nchanges: [{date: "2026-11-20", note: It is new.}]\n'),
    )
    found = [(p.field, p.what) for p in RULES["codes"].find(Context(catalogue)) if "also" in p.what]
    assert found == [("code", "'P1' is also the code of no-depth")]


def test_a_sign_that_the_fonts_lack_is_told_once_wherever_it_is_written() -> None:
    """As it stands, or by its number in a quoted text."""
    told = "the fonts have no sign '\u2693' (U+2693)"
    joint = "remedy: [Renew the joint.]"
    plain = (ENTRY, joint, "remedy: [Renew the \u2693 joint \u2693.]")
    number = (ENTRY, joint, 'remedy: ["Renew the \\u2693 joint."]')
    both = (ENTRY, joint, 'remedy: ["Renew the \\u2693 joint \u2693."]')
    for edit in (plain, number, both):
        assert of_small("letters", edit) == [told]


# --- where a problem is marked -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rule", "marked", "edits"),
    [
        ("links", "square: ", [("families/plain.yaml", 'transducers: {round: "1.0"}', 'transducers: {round: "1.0", square: "1.0"}')]),
        ("links", "torche]", [("checks/look-at-plug.yaml", "[torch]", "[torche]")]),
        ("message-coverage", "low-supply:", [(OTHER, "  messages: {plain: [low-supply]}\n", "")]),
        ("menu-paths", "update-software:", [("families/plain.yaml", "update-software: [LIST key, Load]", "update-software: [LIST key, Choices]")]),
        ("family-transducers", "round: ", [("transducers/round.yaml", "receiver_recovery_ms: 0.15}", "receiver_recovery_ms: 0.15, looks: side}")]),
        (
            "applies", "plain: ",
            [("capabilities.yaml", "depth: {name: Depth number}", "depth: {name: Depth number}\nspeed: {name: Speed}"), (ENTRY, "needs: [depth]", "needs: [depth, speed]")],
        ),
    ],
    ids=lambda given: given if isinstance(given, str) else "",
)  # fmt: skip
def test_a_problem_is_marked_at_the_word_that_is_wrong(
    rule: str, marked: str, edits: list[tuple[str, str, str]]
) -> None:
    """A key at the key itself, anything else at what is written behind it."""
    catalogue = small_content.edited(*edits)
    problem = list(RULES[rule].find(Context(catalogue)))[-1]
    document = next(d for d, _ in catalogue.origins.values() if d.shown == problem.path)
    line = document.text.splitlines()[problem.line - 1]
    assert line[problem.column - 1 :].startswith(marked), (line, problem.column)
