"""What an owner is led through, on the small content: only safe steps, and never into nothing."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace
from typing import Any

import pytest

import small_guides
from leadsman.book.guide import Outline, guide_values, outline_of
from leadsman.book.guide_conditions import GuideCondition, Scope, condition, guide_conditions, scope_of
from leadsman.book.guide_subject import Subject, boat_subject
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.model.base import Prose
from leadsman.content.model.edition import GuideEdition, OwnerPage


def outlines_of(catalogue: Catalogue, edition: GuideEdition) -> dict[str, Outline]:
    """What the guides of the dealer, of each family and of each boat say."""
    subjects = {"dealer": Subject()}
    subjects |= {name: Subject(family) for name, family in catalogue.families.items()}
    subjects |= {name: boat_subject(boat, catalogue) for name, boat in catalogue.boats.items()}
    shapes = {n: guide_values(n, s, edition, catalogue, "metric").shape for n, s in subjects.items()}
    return {name: outline_of(shape, edition, catalogue) for name, shape in shapes.items()}


def tells_only_what_is_safe(outlines: dict[str, Outline]) -> None:
    """Steps and remedies that are marked safe, and none of the kinds that no owner may be asked."""
    for name, outline in outlines.items():
        steps = [(c.entry.id, s) for c in outline.conditions for s in c.steps]
        assert steps, name
        assert [(entry, s.id) for entry, s in steps if not s.body.owner_safe] == []
        # The list of the trade: nothing measured, swapped, restored, opened, or done under way.
        assert {s.body.kind for _, s in steps} <= {"ask", "look", "operate", "read", "trial"}
        assert {s.body.access for _, s in steps} <= {"helm", "transom"}
        assert [f.id for c in outline.conditions for f in c.fixes if not f.finding.owner_safe] == []


def leads_to_what_is_printed(outlines: dict[str, Outline]) -> None:
    """Every answer and every failed remedy."""
    for name, outline in outlines.items():
        conditions = {c.entry.id for c in outline.conditions}
        for c in outline.conditions:
            there = {
                "step": {s.id for s in c.steps},
                "fix": {f.id for f in c.fixes},
                "dealer": {e.id for e in c.ends},
                "condition": conditions,
            }
            ways = [a.way for s in c.steps for a in s.answers] + [f.otherwise for f in c.fixes]
            assert [(name, c.entry.id, way) for way in ways if way.id not in there[way.kind]] == []
            assert [s.number for s in c.steps] == list(range(1, len(c.steps) + 1))


def ends(outlines: dict[str, Outline]) -> None:
    """Within a condition no answer leads back to a step already taken; a failed remedy only leads on."""
    for outline in outlines.values():
        for c in outline.conditions:
            follows = {s.id: {a.way.id for a in s.answers} for s in c.steps}
            follows |= {f.id: {f.otherwise.id} for f in c.fixes}

            def walk(node: str, passed: tuple[str, ...], follows: dict[str, set[str]] = follows) -> None:
                assert node not in passed, (*passed, node)
                for following in follows.get(node, ()):
                    walk(following, (*passed, node))

            if c.steps:
                walk(c.steps[0].id, ())


def cautions_before_the_first_step(catalogue: Catalogue, outlines: dict[str, Outline]) -> int:
    """The question about the history is not asked of an owner; its cautions are not lost with it."""
    seen = 0
    for outline in outlines.values():
        for c in outline.conditions:
            start = Decision(c.entry, catalogue).checks[c.entry.checks[0].id]
            if c.steps and start.body.cautions:
                first = {caution.short for caution in c.steps[0].cautions}
                assert {catalogue.cautions[name].short for name in start.body.cautions} <= first, c.entry.id
                seen += 1
    return seen


def answers_stand_in_order(outlines: dict[str, Outline]) -> None:
    """YES first, CAN'T last."""
    for outline in outlines.values():
        for step in (s for c in outline.conditions for s in c.steps):
            labels = [answer.label for answer in step.answers]
            assert labels[0] == "YES" or "YES" not in labels, labels
            assert labels[-1] == "CAN'T" or "CAN'T" not in labels, labels


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The small content with more for an owner to do."""
    return small_guides.for_owners()


@pytest.fixture(scope="module")
def edition() -> GuideEdition:
    return small_guides.content()[1]


@pytest.fixture(scope="module")
def outlines(catalogue: Catalogue, edition: GuideEdition) -> dict[str, Outline]:
    return outlines_of(catalogue, edition)


def test_only_safe_steps_and_remedies_are_told(outlines: dict[str, Outline]) -> None:
    tells_only_what_is_safe(outlines)
    conditions = {c.entry.id: c for c in outlines["punt"].conditions}
    assert [s.id for s in conditions["no-depth"].steps] == ["temperature", "volts", "software"]
    assert [f.id for f in conditions["no-depth"].fixes] == ["found-software"]
    assert [e.id for e in conditions["low-volts"].ends] == ["found-limit", "found-joint", "hand-over"]


def test_every_answer_leads_to_something_that_is_printed(outlines: dict[str, Outline]) -> None:
    """What is not for an owner is answered "cannot": the plug behind the software is the dealer's."""
    leads_to_what_is_printed(outlines)
    software = outlines["punt"].conditions[-1].steps[-1]
    assert {a.label: (a.way.kind, a.way.id) for a in software.answers} == {
        "YES": ("dealer", "hand-over"),
        "NO": ("fix", "found-software"),
        "CAN'T": ("dealer", "hand-over"),
    }


def test_every_walk_ends(outlines: dict[str, Outline]) -> None:
    ends(outlines)


def test_what_must_be_known_from_the_start_stands_before_the_first_step(
    catalogue: Catalogue, outlines: dict[str, Outline]
) -> None:
    assert cautions_before_the_first_step(catalogue, outlines) == 2 * len(outlines)


def test_yes_stands_before_no_and_cannot_last(outlines: dict[str, Outline]) -> None:
    answers_stand_in_order(outlines)


def test_one_band_is_not_asked_to_change(catalogue: Catalogue) -> None:
    """A menu that this equipment cannot use is no menu of its guide."""
    catalogue = dataclasses.replace(catalogue, records=dict(catalogue.records))
    menu = catalogue.records["tasks"]["update-software"]
    catalogue.records["tasks"] = {**catalogue.records["tasks"], "frequency": menu}
    family = catalogue.families["plain"]
    family = family.model_copy(update={"menus": {**family.menus, "frequency": ["Knob"]}})
    one = catalogue.transducers["round"]
    two = one.model_copy(update={"bands": [*one.bands, one.bands[0].model_copy(update={"id": "round-50"})]})
    asked = [
        "frequency" in Subject(family, boat=catalogue.boats["punt"], transducer=transducer).tasks(catalogue)
        for transducer in (one, two)
    ]
    assert asked == [False, True]


def test_a_transducer_that_cannot_do_it_leaves_a_condition_out(edition: GuideEdition) -> None:
    """A display that shows the temperature, a transducer that cannot measure it."""
    catalogue = small_guides.for_owners()
    catalogue.records["capabilities"]["temperature"] = catalogue.records["capabilities"]["depth"]
    family = catalogue.families["plain"].model_copy(update={"capabilities": ["depth", "temperature"]})
    catalogue.records["families"]["plain"] = family
    entry = catalogue.faults["no-depth"].model_copy(update={"needs": ["depth", "temperature"]})
    catalogue.records["faults"]["no-depth"] = entry
    told = {name: {c.entry.id for c in o.conditions} for name, o in outlines_of(catalogue, edition).items()}
    assert told["plain"] == {"no-depth", "low-volts"}
    assert told["punt"] == {"low-volts"}


def test_the_outline_holds_nobody(catalogue: Catalogue, edition: GuideEdition) -> None:
    subject = dataclasses.replace(boat_subject(catalogue.boats["punt"], catalogue), owner="Perpetua Rookling")
    guide = guide_values("rook", subject, edition, catalogue, "metric")
    assert "Perpetua" not in repr((subject, guide, outline_of(guide.shape, edition, catalogue)))
    assert guide.values["owner"] == "Perpetua Rookling"


def test_a_step_says_by_itself_what_fits_beside_it_once() -> None:
    """Three lines stand in the step; four, or what two steps share, stand once among the methods."""
    from leadsman.book.guide_pages import _methods

    def step(name: str, lines: int, do: str = "") -> SimpleNamespace:
        how = [f"Line {number} of {do or name}." for number in range(lines)]
        return SimpleNamespace(id=name, tools=(), body=SimpleNamespace(do=do or name, how=how))

    def page(*steps: SimpleNamespace) -> Any:
        return SimpleNamespace(condition=SimpleNamespace(steps=steps))

    one, two = (
        page(step("short", 3), step("long", 4), step("bare", 0)),
        page(step("plug", 2, "Look at the plug.")),
    )
    three = page(step("plug", 2, "Look at the plug."))
    assert [(m.id, m.number) for m in _methods([one, two, three])] == [("long", "1"), ("plug", "2")]


# --- one condition, piece by piece -------------------------------------------------------------------


def walked(catalogue: Catalogue, entry: str = "no-depth", **scope: Any) -> GuideCondition:
    """An entry for an owner of everything that the content has, or of less."""
    every = Scope(
        frozenset(catalogue.faults), frozenset({"update-software"}), frozenset(catalogue.tables), ("history", "photo-pins"), None
    )  # fmt: skip
    return condition(Decision(catalogue.faults[entry], catalogue), dataclasses.replace(every, **scope))


def changed(catalogue: Catalogue, records: str, name: str, **changes: Any) -> None:
    catalogue.records[records][name] = catalogue.records[records][name].model_copy(update=changes)


def answered(catalogue: Catalogue, check: str, answer: str, entry: str = "no-depth", **changes: Any) -> None:
    """Another outcome of one answer of an entry."""
    found = catalogue.faults[entry]
    checks = [
        c.model_copy(
            update={"outcomes": {**c.outcomes, answer: c.outcomes[answer].model_copy(update=changes)}}
        )
        if c.id == check
        else c
        for c in found.checks
    ]
    changed(catalogue, "faults", entry, checks=checks)


def ways(found: GuideCondition) -> dict[str, dict[str, tuple[str, str, str]]]:
    return {s.id: {a.label: (a.way.kind, a.way.id, a.way.number) for a in s.answers} for s in found.steps}


def test_an_owners_walk_of_the_small_entry() -> None:
    """Temperature, volts and software are safe; the plug, and what lies behind it, is the dealer's."""
    found = walked(small_guides.for_owners())
    hand_over = ("dealer", "hand-over", "C")
    assert ways(found) == {
        "temperature": {"YES": ("step", "volts", "2"), "NO": ("dealer", "found-plug", "B"), "CAN'T": ("step", "volts", "2")},
        "volts": {"YES": ("step", "software", "3"), "NO": ("step", "software", "3"), "CAN'T": ("step", "software", "3")},
        "software": {"YES": hand_over, "NO": ("fix", "found-software", "A"), "CAN'T": hand_over},
    }  # fmt: skip
    assert [step.whatever and step.whatever.id for step in found.steps] == [None, "software", None]
    assert [(fix.letter, fix.id, fix.otherwise.id) for fix in found.fixes] == [
        ("A", "found-software", "hand-over")
    ]
    assert [(end.letter, end.id, end.tell and str(end.tell)) for end in found.ends] == [
        ("B", "found-plug", "Plug corroded"),
        ("C", "hand-over", None),
    ]
    assert found.line is None
    assert found.seen == ("No depth",)
    assert found.messages == (("Plain", "SEEKING"),)
    assert [(name, str(text)) for name, text in found.shows] == [("Plain", "The corner stays empty.")]


def test_the_cautions_of_a_question_that_is_not_asked_stand_at_the_first_step() -> None:
    found = walked(small_guides.for_owners())
    assert [[caution.signal for caution in step.cautions] for step in found.steps] == [["DANGER"], [], []]
    catalogue = small_guides.for_owners()
    # A history that leads somewhere by itself is asked, and bears its own cautions.
    answered(catalogue, "history", "after-update", then="software")
    asked = walked(catalogue)
    assert [step.id for step in asked.steps] == ["history", "temperature", "volts", "software"]
    assert [[caution.signal for caution in step.cautions] for step in asked.steps] == [["DANGER"], [], [], []]
    assert [step.history for step in asked.steps] == [True, False, False, False]


def test_what_an_answer_means_is_told_where_it_is_the_owners_business() -> None:
    """Not of a history, not before the dealer, and not with a reference that the guide lacks."""
    catalogue = small_guides.for_owners()
    words = Prose("That tells something.")
    for check, answer in (
        ("temperature", "yes"),
        ("temperature", "no"),
        ("software", "no"),
        ("history", "after-update"),
    ):
        answered(catalogue, check, answer, means=words)
    answered(catalogue, "history", "after-update", then="software", means=words)
    answered(catalogue, "volts", "yes", means=Prose("See {table: lead-drop}."))
    told = {(s.id, a.label): a.means for s in walked(catalogue).steps for a in s.answers if a.means}
    assert set(told) == {("temperature", "YES"), ("software", "NO"), ("volts", "YES")}
    assert ("volts", "YES") not in {
        (s.id, a.label) for s in walked(catalogue, tables=frozenset()).steps for a in s.answers if a.means
    }


def test_a_check_that_the_guide_skips_or_cannot_print_is_the_dealers() -> None:
    catalogue = small_guides.for_owners()
    assert [s.id for s in walked(catalogue, skipped=frozenset({("no-depth", "volts")})).steps] == [
        "temperature",
        "software",
    ]
    assert [s.id for s in walked(catalogue, skipped=frozenset({("low-volts", "volts")})).steps] == [
        "temperature",
        "volts",
        "software",
    ]
    changed(catalogue, "checks", "own-volts", do=Prose("Read {menu: record-settings}."))
    assert [s.id for s in walked(catalogue).steps] == ["temperature", "software"]
    # A remedy whose menu is not in the guide is no owner's remedy: the finding goes to the dealer.
    found = walked(small_guides.for_owners(), tasks=frozenset())
    assert (found.fixes, [end.id for end in found.ends]) == (
        (),
        ["found-plug", "hand-over", "found-software"],
    )


def test_a_check_behind_one_that_an_owner_cannot_make_is_the_dealers_too() -> None:
    catalogue = small_guides.for_owners()
    entry = catalogue.faults["no-depth"]
    for before, steps in (
        (["plug"], ["temperature", "volts"]),
        (["temperature"], ["temperature", "volts", "software"]),
    ):
        checks = [c.model_copy(update={"after": before}) if c.id == "software" else c for c in entry.checks]
        changed(catalogue, "faults", "no-depth", checks=checks)
        assert [s.id for s in walked(catalogue).steps] == steps


@pytest.mark.parametrize(
    ("text", "scope", "holds"),
    [
        ("Plain words.", {}, True), ("By {menu: update-software}.", {}, True), ("By {menu: record-settings}.", {}, False),
        ("See {table: lead-drop}.", {}, True), ("See {table: other}.", {}, False), ("Take {card: low-volts}.", {}, True),
        ("Take {card: low-volts}.", {"entries": frozenset({"no-depth"})}, False), ("It says {message: plain no-depth}.", {}, True),
        ("It says {message: plain no-depth}.", {"family": "plain"}, True), ("It says {message: plain no-depth}.", {"family": "other"}, False),
        ("Wait {value: wait-time}.", {"family": "other"}, True),
    ],
)  # fmt: skip
def test_a_guide_holds_what_its_texts_refer_to(text: str, scope: dict[str, Any], holds: bool) -> None:
    every = Scope(
        frozenset({"no-depth", "low-volts"}),
        frozenset({"update-software"}),
        frozenset({"lead-drop"}),
        (),
        None,
    )
    assert dataclasses.replace(every, **scope).holds([Prose("Words."), Prose(text)]) == holds


def test_another_condition_is_led_to_where_the_guide_has_it() -> None:
    catalogue = small_guides.for_owners()
    answered(catalogue, "volts", "no", then=None, to_entry="low-volts")
    assert ways(walked(catalogue))["volts"]["NO"] == ("condition", "low-volts", "Low volts")
    # Else the dealer is told which it is.
    found = walked(catalogue, entries=frozenset({"no-depth"}))
    assert ways(found)["volts"]["NO"] == ("dealer", "entry-low-volts", "C")
    (end,) = (end for end in found.ends if end.id == "entry-low-volts")
    assert str(end.tell) == "Low volts"


def test_the_dealer_is_told_what_was_found_and_what_to_have_ready() -> None:
    """In the order of the guide's own list: of a hand-over its own facts, of a finding those of all."""
    catalogue = small_guides.for_owners()
    ask = {"history": "What changed before the fault", "photo-pins": "Photograph of the pins"}
    assert [end.evidence for end in walked(catalogue).ends] == [tuple(ask.values())] * 2
    turned = walked(catalogue, evidence=("photo-pins", "history")).ends
    assert turned[0].evidence == tuple(reversed(ask.values()))
    entry = catalogue.faults["no-depth"]
    (first,) = entry.hand_overs
    other = first.model_copy(
        update={"id": "other", "evidence": ["photo-pins"], "cautions": ["update-battery", "vapour"]}
    )
    changed(
        catalogue,
        "faults",
        "no-depth",
        hand_overs=[first.model_copy(update={"evidence": ["history"]}), other],
    )
    answered(catalogue, "volts", "no", then="other")
    ends = {end.id: end for end in walked(catalogue).ends}
    assert ends["hand-over"].evidence == (ask["history"],)
    assert ends["other"].evidence == (ask["photo-pins"],)
    assert [caution.signal for caution in ends["other"].cautions] == ["DANGER", "NOTICE"]
    assert ends["found-plug"].evidence == tuple(ask.values())


def test_without_a_step_to_do_there_is_a_line_instead() -> None:
    """A history that is asked is nothing to do."""
    catalogue = small_guides.for_owners()
    for name in ("temperature-shown", "own-volts", "software-list"):
        changed(catalogue, "checks", name, owner_safe=False)
    answered(catalogue, "history", "after-update", then="hand-over")
    changed(catalogue, "faults", "no-depth", owner_line=Prose("Take it to the dealer."))
    found = walked(catalogue)
    assert (found.steps, found.fixes, found.ends, str(found.line)) == ((), (), (), "Take it to the dealer.")


def test_procedures_without_a_step_and_entries_outside_are_left_out() -> None:
    catalogue = small_guides.for_owners()
    for name in ("temperature-shown", "own-volts", "software-list"):
        changed(catalogue, "checks", name, owner_safe=False)
    changed(catalogue, "faults", "low-volts", kind="procedure")
    scope = Scope(frozenset(catalogue.faults), frozenset(), frozenset(), (), None)
    entries = list(catalogue.faults.values())
    assert [c.entry.id for c in guide_conditions(entries, scope, catalogue)] == ["no-depth"]
    assert guide_conditions(entries, dataclasses.replace(scope, entries=frozenset()), catalogue) == ()


def test_messages_and_sights_are_those_of_the_readers_display() -> None:
    catalogue = small_guides.for_owners()
    catalogue.records["families"]["other"] = catalogue.families["plain"].model_copy(
        update={"id": "other", "name": "Other"}
    )
    seen = catalogue.faults["no-depth"].condition
    looks = {"plain": Prose("Empty."), "other": Prose("See {card: low-volts}.")}
    changed(
        catalogue,
        "faults",
        "no-depth",
        condition=seen.model_copy(
            update={"messages": {"plain": ["no-depth"], "other": ["low-supply"]}, "looks_like": looks}
        ),
    )
    both = walked(catalogue)
    assert (set(both.messages), {name for name, _ in both.shows}) == (
        {("Plain", "SEEKING"), ("Other", "SUPPLY LOW")},
        {"Plain", "Other"},
    )
    other = walked(catalogue, family="other", entries=frozenset({"no-depth"}))
    assert (other.messages, other.shows) == ((("Other", "SUPPLY LOW"),), ())


def test_the_scope_of_a_reader(catalogue: Catalogue, edition: GuideEdition) -> None:
    entries = list(catalogue.faults.values())
    skipping = edition.model_copy(update={"pages": [OwnerPage(entry="no-depth", skip=["volts", "software"])]})
    found = scope_of(skipping, Subject(catalogue.families["plain"]), catalogue, entries, ["lead-drop"])
    assert (found.family, found.tables, found.evidence) == ("plain", {"lead-drop"}, ("history", "photo-pins"))
    assert found.skipped == {("no-depth", "volts"), ("no-depth", "software")}
    assert (found.entries, found.tasks) == ({"no-depth", "low-volts"}, {"update-software"})
    blind = catalogue.families["plain"].model_copy(update={"capabilities": []})
    assert scope_of(edition, Subject(blind), catalogue, entries, []).entries == {"low-volts"}
    assert scope_of(edition, Subject(), catalogue, entries, []).family is None
