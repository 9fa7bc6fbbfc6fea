"""The telephone book on the small content: only what an owner can do at the helm, in the cheapest order, to an end."""

from __future__ import annotations

import itertools

import pytest

import small_guides
from leadsman.book.telephone import (
    Call,
    build_calls,
    display_page,
    for_telephone,
    mended_by_telephone,
    spelt,
)
from leadsman.compute.diagnosis.sequencing import expected_minutes, is_legal
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.inquiry import Inquiry
from leadsman.content.model.edition import TelephoneEdition
from leadsman.content.model.reference import Assumption
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
