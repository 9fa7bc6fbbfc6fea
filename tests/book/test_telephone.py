"""The telephone book on the small content: only what an owner can do at the helm, in the cheapest order, to an end."""

from __future__ import annotations

import itertools
from typing import Any

import pytest

import small_content
import small_guides
from leadsman.book.telephone import (
    Call,
    build_calls,
    call_of,
    display_page,
    for_telephone,
    landing,
    mended_by_telephone,
    spelt,
)
from leadsman.compute.diagnosis.sequencing import expected_minutes, is_legal
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.inquiry import Inquiry
from leadsman.content.model.base import Prose
from leadsman.content.model.edition import TelephoneEdition
from leadsman.content.model.reference import Assumption, Evidence, Tool
from leadsman.content.next_check import checks_left


def asks_what_an_owner_can_do(calls: dict[str, Call], catalogue: Catalogue) -> None:
    """At the helm, without a meter, a part or a menu that is not an owner's."""
    for code, call in calls.items():
        decision = Decision(call.view.entry, catalogue)
        for step in call.steps:
            check = decision.checks[step.id]
            assert for_telephone(check), (code, step.id)
            assert check.body.kind not in ("measure", "swap", "restore")
            assert not any(task for task in step.tasks if not catalogue.records["tasks"][task].owner_may), (
                code,
                step.id,
            )
            for answer in step.answers:
                assert answer.kind != "step" or answer.target in call.by_id
        assert all(mended_by_telephone(fix.finding) for fix in call.solved)


def never_come_back(calls: dict[str, Call]) -> None:
    """Every combination of answers, by following each from each step: no step comes back."""
    for code, call in calls.items():
        later: dict[str, set[str]] = {}
        for step in reversed(call.steps):
            later[step.id] = {a.target for a in step.answers if a.kind == "step"}

        def after(
            name: str, seen: frozenset[str], later: dict[str, set[str]] = later, code: str = code
        ) -> None:
            assert name not in seen, (code, name)
            for target in later[name]:
                after(target, seen | {name})

        if call.steps:
            after(call.steps[0].id, frozenset())


def in_the_cheapest_order(call: Call, catalogue: Catalogue) -> None:
    """Against brute force over all orders of a call's steps."""
    decision, kept = Decision(call.view.entry, catalogue), {step.id for step in call.steps}
    for settled in call.settled:
        checks = checks_left(Inquiry(decision, {decision.start: settled.history}), lambda c: for_telephone(c) and c.id in kept)  # fmt: skip
        least = min(
            expected_minutes(checks, o) for o in itertools.permutations(checks.names) if is_legal(checks, o)
        )
        assert settled.minutes == pytest.approx(least)


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The small content with more for an owner to do."""
    return small_guides.for_owners()


@pytest.fixture(scope="module")
def calls(catalogue: Catalogue) -> dict[str, Call]:
    """Every page by its code."""
    common = {k: v for k, v in small_guides.EDITION.items() if k in TelephoneEdition.model_fields}
    edition = TelephoneEdition.model_validate({**common, "kind": "telephone"})
    return {call.view.entry.code: call for call in build_calls(edition, catalogue)}


def test_every_page_asks_only_what_an_owner_can_do_at_the_helm(
    calls: dict[str, Call], catalogue: Catalogue
) -> None:
    asks_what_an_owner_can_do(calls, catalogue)
    assert list(calls["D1"].by_id) == ["history", "temperature", "volts", "software"]
    assert [fix.id for fix in calls["D1"].solved] == ["found-software"]


def test_every_call_ends_whatever_is_answered(calls: dict[str, Call]) -> None:
    never_come_back(calls)


def test_an_answer_leads_to_a_step_an_end_or_a_visit(calls: dict[str, Call]) -> None:
    """The plug behind the software is not for the telephone; the plug that the temperature found is fix A."""
    found = {
        (step.id, a.key): (a.kind, a.target, a.number) for step in calls["D1"].steps for a in step.answers
    }
    assert found["temperature", "yes"] == ("step", "volts", "3")
    assert found["temperature", "no"] == ("visit", "found-plug", "A")
    assert found["software", "no"] == ("end", "found-software", "B")
    assert found["software", "yes"] == ("visit", "hand-over", "")


def test_an_answer_may_lead_to_another_page() -> None:
    catalogue = small_guides.for_owners()
    entry = catalogue.faults["no-depth"]
    checks = list(entry.checks)
    at = next(n for n, check in enumerate(checks) if check.id == "volts")
    other = (
        checks[at]
        .outcomes["no"]
        .model_copy(update={"then": None, "to_entry": "low-volts", "shows": ["bad-joint"]})
    )
    checks[at] = checks[at].model_copy(update={"outcomes": {**checks[at].outcomes, "no": other}})
    catalogue.records["faults"]["no-depth"] = entry.model_copy(update={"checks": checks})
    common = {k: v for k, v in small_guides.EDITION.items() if k in TelephoneEdition.model_fields}
    (_, call) = build_calls(TelephoneEdition.model_validate({**common, "kind": "telephone"}), catalogue)
    away = next(a for a in call.by_id["volts"].answers if a.key == "no")
    assert (away.kind, away.target, away.number) == ("card", "low-volts", "P1")
    # By hand, of 100 in service: the plug, the software, and the joint that is named on the other page.
    assert call.settled[0].named == pytest.approx((40 + 5 + 20) / 100)


def test_what_the_telephone_settles_is_a_share(calls: dict[str, Call]) -> None:
    """By hand from D1's shares: of 100 in service the plug's 40 are named and the software's 5 solved; of 105 of a new
    fitting 10 and 40."""
    settled = {s.history: (s.named, s.solved) for s in calls["D1"].settled}
    assert settled["in-service"] == pytest.approx((45 / 100, 5 / 100))
    assert settled["new-fitting"] == pytest.approx((50 / 105, 40 / 105))
    assert all(s.solved <= s.named <= 1 for call in calls.values() for s in call.settled)


def test_the_order_of_a_call_is_the_cheapest_legal_one(calls: dict[str, Call], catalogue: Catalogue) -> None:
    for call in calls.values():
        in_the_cheapest_order(call, catalogue)
    assert calls["D1"].settled[1].order == ("volts", "software", "temperature")


def test_what_sounds_like_another_word_is_spelt() -> None:
    """ "Ear" is heard as "year" or "air" on a bad line (common practice, no source)."""
    assert spelt("Ear") == "E-A-R"
    assert spelt("LIST key") == "L-I-S-T"
    assert spelt("+") == "plus sign"
    assert spelt("Keep bottom in view") == ""


def test_a_display_is_told_what_to_bring_for_it() -> None:
    """Another of the same bands and pins may be lent; the fuse lies above 1 A and not above the maker's 2 A."""
    catalogue = small_guides.for_owners()
    catalogue.records["assumptions"]["working-drop"] = Assumption.model_validate(
        {"name": "Drop", "value": "10 %", "reason": "A tenth is much.", "source": "common-practice"}
    )
    twin = catalogue.transducers["round"].model_copy(update={"id": "twin"})
    catalogue.records["transducers"]["twin"] = twin
    family = catalogue.families["plain"].model_copy(update={"transducers": {"round": "1.0", "twin": "1.0"}})
    page = display_page(family, catalogue)
    assert [(fitted.id, [other.id for other in others]) for fitted, others in page.lent] == [
        ("round", ["twin"]),
        ("twin", ["round"]),
    ]
    ((conductor, volts, fuse),) = page.fuses
    assert (conductor, volts) == ("16 AWG", 12)
    assert fuse is not None
    assert 1.0 < fuse.least_a <= fuse.greatest_a <= 2.0
    assert [(spoken.task, spoken.names) for spoken in page.spoken] == [
        ("update-software", (("LIST key", "L-I-S-T"), ("Load", "L-O-A-D")))
    ]


# --- one call, piece by piece ------------------------------------------------------------------------


def changed(catalogue: Catalogue, records: str, name: str, **changes: Any) -> None:
    catalogue.records[records][name] = catalogue.records[records][name].model_copy(update=changes)


def depth(catalogue: Catalogue) -> Call:
    return call_of(Decision(catalogue.faults["no-depth"], catalogue))


def test_what_is_said_and_what_it_is_held_against() -> None:
    """A question is asked as it stands; a look is asked for; words of an owner's own come before the card's."""
    catalogue = small_guides.for_owners()
    changed(
        catalogue,
        "checks",
        "own-volts",
        say="What volts do you read?",
        note="Not the battery's.",
        how=["By {menu: update-software}."],
    )
    steps = depth(catalogue).by_id
    told = {
        name: ([str(text) for text in step.say], step.judged and str(step.judged))
        for name, step in steps.items()
    }
    assert told == {
        "history": (["Which history fits best?"], None),
        "temperature": (["Read the water temperature.", "Does the display show a likely temperature?"], None),
        "volts": (["What volts do you read?"], "Do the volts stand above the low limit?"),
        "software": (["Compare the version with the list.", "Does the list name this transducer?"], None),
    }
    volts = steps["volts"]
    assert (volts.number, volts.minutes, volts.tasks, str(volts.note), len(volts.how)) == (
        3,
        1,
        ("update-software",),
        "Not the battery's.",
        1,
    )
    assert (steps["software"].tasks, steps["software"].note, steps["software"].minutes) == ((), None, 2)
    # Said in an owner's words, a question is the same question.
    changed(catalogue, "checks", "ask-history", say="What happened before?")
    history = depth(catalogue).by_id["history"]
    assert ([str(text) for text in history.say], history.judged) == (["What happened before?"], None)


@pytest.mark.parametrize(
    ("safe", "access", "told"),
    [(True, "helm", True), (False, "helm", False), (True, "dash", False), (False, "dash", False)],
)
def test_a_check_for_the_telephone_is_safe_and_at_the_helm(safe: bool, access: str, told: bool) -> None:
    catalogue = small_guides.for_owners()
    changed(catalogue, "checks", "own-volts", owner_safe=safe, access=access)
    decision = Decision(catalogue.faults["no-depth"], catalogue)
    assert for_telephone(decision.checks["volts"]) == told
    assert landing(decision, "volts") == ("volts" if told else "software")


@pytest.mark.parametrize(
    ("safe", "voice", "told"),
    [(True, False, True), (False, True, True), (False, False, False), (True, True, True)],
)
def test_an_owner_mends_it_alone_or_with_the_voice(safe: bool, voice: bool, told: bool) -> None:
    finding = small_guides.for_owners().faults["no-depth"].findings[0]
    assert mended_by_telephone(finding.model_copy(update={"owner_safe": safe, "by_telephone": voice})) == told


def test_past_what_is_not_for_it_the_call_comes_to_the_next_or_to_nothing() -> None:
    catalogue = small_guides.for_owners()
    decision = Decision(catalogue.faults["no-depth"], catalogue)
    # The plug leads on to the lamp, and the lamp that cannot be made hands over.
    assert [landing(decision, node) for node in ("plug", "swap", "history", "found-plug", "")] == [
        "hand-over",
        "hand-over",
        "history",
        "found-plug",
        "",
    ]
    # Two checks that send one to the other, neither for the telephone, lead nowhere.
    small_content.answered(catalogue, "lamp", "cannot", then="plug")
    assert landing(Decision(catalogue.faults["no-depth"], catalogue), "plug") == ""


def test_which_fixes_are_the_owners_and_which_wait_for_the_visit() -> None:
    catalogue = small_guides.for_owners()
    call = depth(catalogue)
    assert [fix.id for fix in call.solved] == ["found-software"]
    assert [fix.id for fix in call.visit] == ["found-plug", "found-joint", "found-element", "found-setting"]
    # One that an owner may mend but no call comes to is in neither list.
    entry = catalogue.faults["no-depth"]
    changed(
        catalogue,
        "faults",
        "no-depth",
        findings=[
            f.model_copy(update={"owner_safe": f.id in ("found-setting", "found-software")})
            for f in entry.findings
        ],
    )
    call = depth(catalogue)
    assert ([fix.id for fix in call.solved], [fix.id for fix in call.visit]) == (
        ["found-software"],
        ["found-plug", "found-joint", "found-element"],
    )


def test_an_answer_that_leads_past_the_page_is_a_visit() -> None:
    """To another card straight: that page. To another card behind steps that only the boat can answer: a visit."""
    catalogue = small_guides.for_owners()
    small_content.answered(catalogue, "lamp", "cannot", then=None, to_entry="low-volts")
    answers = {a.key: (a.kind, a.target, a.number) for a in depth(catalogue).by_id["software"].answers}
    assert answers["yes"] == ("visit", "entry:low-volts", "")
    assert answers["cannot"] == ("visit", "hand-over", "")
    small_content.answered(catalogue, "software", "cannot", then=None, to_entry="low-volts")
    answers = {a.key: (a.kind, a.target, a.number) for a in depth(catalogue).by_id["software"].answers}
    assert answers["cannot"] == ("card", "low-volts", "P1")
    # A fix that lies behind a step of the boat is no letter for the page: nothing is known of it yet.
    small_content.answered(catalogue, "plug", "cannot", then="found-joint")
    answers = {a.key: (a.kind, a.target, a.number) for a in depth(catalogue).by_id["software"].answers}
    assert answers["yes"] == ("visit", "found-joint", "")


def settled(catalogue: Catalogue) -> tuple[float, float]:
    """Shares in service that are named, and that are solved."""
    found = depth(catalogue).settled[0]
    assert found.history == "in-service"
    return round(100 * found.named, 6), round(100 * found.solved, 6)


def test_what_a_call_settles_by_hand() -> None:
    """Of 100 in service: the plug's 40 named, the software's 5 solved; the volts only exclude."""
    assert settled(small_guides.for_owners()) == (45, 5)
    # A remedy that an owner may apply to the plug solves it too.
    catalogue = small_guides.for_owners()
    entry = catalogue.faults["no-depth"]
    changed(
        catalogue,
        "faults",
        "no-depth",
        findings=[f.model_copy(update={"by_telephone": True}) for f in entry.findings],
    )
    assert settled(catalogue) == (45, 45)
    # A fix that does not name the cause it is found under settles nothing of it.
    catalogue = small_guides.for_owners()
    entry = catalogue.faults["no-depth"]
    wrong = [
        f.model_copy(update={"causes": ["bad-joint"]}) if f.id == "found-plug" else f for f in entry.findings
    ]
    changed(catalogue, "faults", "no-depth", findings=wrong)
    assert settled(catalogue) == (5, 5)


def test_a_failed_proof_goes_on_with_the_call() -> None:
    """The owner cleans the plug under a wrong joint, and the volts behind it name the joint."""
    catalogue = small_guides.for_owners()
    entry = catalogue.faults["no-depth"]
    mends = [
        f.model_copy(update={"by_telephone": True, "unproved": "volts"}) if f.id == "found-plug" else f
        for f in entry.findings
    ]
    changed(catalogue, "faults", "no-depth", findings=mends)
    small_content.answered(catalogue, "temperature", "no", shows=["bad-plug", "bad-joint"])
    small_content.answered(catalogue, "volts", "no", then="found-joint")
    assert settled(catalogue) == (65, 45)


def test_an_answer_that_shows_no_cause_to_another_page_names_nothing() -> None:
    catalogue = small_guides.for_owners()
    small_content.answered(catalogue, "volts", "no", then=None, to_entry="low-volts", shows=["bad-joint"])
    assert settled(catalogue) == (65, 5)
    small_content.answered(catalogue, "volts", "yes", then=None, to_entry="low-volts")
    assert settled(catalogue) == (60, 0)


def test_the_mean_of_all_histories() -> None:
    call = depth(small_guides.for_owners())
    assert call.mean.named == pytest.approx((4 * 45 / 100 + 50 / 105) / 5)
    assert call.mean.solved == pytest.approx((4 * 5 / 100 + 40 / 105) / 5)
    assert (call.mean.history, call.mean.order, call.mean.minutes) == ("", (), None)


def test_a_call_that_convicts_nothing_has_no_order() -> None:
    catalogue = small_guides.for_owners()
    for name in ("temperature-shown", "own-volts", "software-list"):
        changed(catalogue, "checks", name, owner_safe=False)
    (first, *_) = depth(catalogue).settled
    assert (first.named, first.solved, first.order, first.minutes) == (0, 0, (), None)


def test_tools_and_evidence_are_cut_off_and_the_lead_line_is_aboard() -> None:
    catalogue = small_guides.for_owners()
    entry = catalogue.faults["no-depth"]
    tools = ["lead-line", *(f"t{n}" for n in range(12))]
    for name in tools:
        catalogue.records["tools"][name] = Tool.model_validate({"name": name})
    asked = ["late", *(f"e{n}" for n in range(5)), "lost", "not-done"]
    for name in asked:
        catalogue.records["evidence"][name] = Evidence.model_validate(
            {"ask": name, "kind": "text", "owner_may": name != "e0", "lost_later": name == "lost"}
        )
    (end,) = entry.hand_overs
    changed(
        catalogue,
        "faults",
        "no-depth",
        findings=[f.model_copy(update={"tools": tools}) for f in entry.findings],
        hand_overs=[end.model_copy(update={"evidence": asked})],
    )
    call = depth(catalogue)
    assert len(call.bring) == 10
    assert "lead-line" not in [need.tool for need in call.bring]
    # What is lost later comes first; what is not an owner's to tell, and the steps not made, are not asked for.
    assert call.evidence == ("lost", "late", "e1", "e2")


def test_menus_of_a_call_are_those_of_displays_that_can_show_it() -> None:
    catalogue = small_guides.for_owners()
    plain = catalogue.families["plain"]
    catalogue.records["families"]["bare"] = plain.model_copy(update={"id": "bare", "capabilities": []})
    catalogue.records["families"]["short"] = plain.model_copy(
        update={"id": "short", "menus": {"record-settings": ["Knob"]}}
    )
    changed(catalogue, "checks", "own-volts", do=Prose("Open {menu: record-settings}."))
    found = {family.id: dict(paths) for family, paths in depth(catalogue).menus(catalogue)}
    assert found == {
        "plain": {"record-settings": ["LIST key", "Choices"], "update-software": ["LIST key", "Load"]},
        "short": {"record-settings": ["Knob"]},
    }
    changed(catalogue, "checks", "own-volts", do=Prose("Look."))
    assert [family.id for family, _ in depth(catalogue).menus(catalogue)] == ["plain"]


@pytest.mark.parametrize(
    ("name", "letters"),
    [("Menus", "M-E-N-U-S"), ("Search", ""), ("A", "A"), ("MENU", "M-E-N-U"), ("Set-up", ""), ("Press A", ""), ("OK then", "O-K"), ("Menu 2", ""),
     ("List < Back", "less-than sign"), ("2D", "")],
)  # fmt: skip
def test_which_names_are_spelt(name: str, letters: str) -> None:
    """One word of up to five letters, capitals throughout a word, or a sign; a single capital is heard as it is."""
    assert spelt(name) == letters


def test_leads_of_more_volts_than_a_display_bears_are_none_of_its() -> None:
    catalogue = small_guides.for_owners()
    catalogue.records["assumptions"]["working-drop"] = Assumption.model_validate(
        {"name": "Drop", "value": "10 %", "reason": "A tenth is much.", "source": "common-practice"}
    )
    punt = catalogue.boats["punt"]
    for name, volts, conductor in (("b", 24, "16 AWG"), ("c", 12, "14 AWG"), ("d", 12, "16 AWG")):
        catalogue.records["boats"][name] = punt.model_copy(
            update={"supply": punt.supply.model_copy(update={"nominal_v": volts, "conductor": conductor})}
        )
    plain = catalogue.families["plain"]
    for high, leads in (
        (17.0, [("14 AWG", 12.0), ("16 AWG", 12.0)]),
        (24.0, [("14 AWG", 12.0), ("16 AWG", 12.0), ("16 AWG", 24.0)]),
    ):
        page = display_page(plain.model_copy(update={"supply_high_v": high}), catalogue)
        assert [(conductor, volts) for conductor, volts, _ in page.fuses] == leads
