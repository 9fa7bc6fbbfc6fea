"""The telephone book: only what an owner can do at the helm, and ten made-up calls from complaint to end.

Which steps an owner may be asked follows the trade's list of what an owner must never be told (common practice, no
source). Each call is walked on the pages with the answers that its story gives; its end is written beside it by hand.
"""

from __future__ import annotations

from functools import cache

import pytest

import built
from book.test_telephone import asks_what_an_owner_can_do, in_the_cheapest_order, never_come_back
from leadsman.book.telephone import (
    Call,
    CallAnswer,
    build_calls,
    display_page,
    for_telephone,
    landing,
    mended_by_telephone,
)
from leadsman.content.decision import Decision
from leadsman.content.model.fault import HISTORIES


@cache
def calls() -> dict[str, Call]:
    """Every page by its code."""
    catalogue = built.catalogue()
    found = build_calls(catalogue.editions["telephone-book"], catalogue)
    return {call.view.entry.code: call for call in found}


def walk(code: str, said: dict[str, str]) -> tuple[list[str], CallAnswer]:
    """Ask the steps of a page; what the story does not say is answered CAN'T."""
    call, asked = calls()[code], list[str]()
    step = call.steps[0]
    while True:
        asked.append(step.id)
        key = said.get(step.id, "cannot")
        answer = next((a for a in step.answers if a.key == key), None) or next(
            a for a in step.answers if a.key == "cannot"
        )
        if answer.kind != "step":
            return asked, answer
        step = call.by_id[answer.target]


#: Complaint, page, what the caller says, and the end: its kind and where it leads.
STORIES = [
    ("No number since we cast off; in the next bay it shows", "D1", {"history": "in-service", "shown": "yes", "afloat": "no"}, ("end", "found-site")),
    ("It showed in the morning and not since lunch", "D1", {"history": "in-service", "shown": "no"}, ("card", "depth-flashes")),
    ("No depth, and the volts fall when it sounds", "D1", {"history": "new-fitting", "shown": "yes", "afloat": "yes", "own-volts": "no"}, ("card", "restarts-on-transmit")),
    ("No depth in deep water until the low band", "D1", {"history": "in-service", "shown": "yes", "afloat": "yes", "own-volts": "yes", "settings": "yes", "other-band": "no"}, ("end", "found-band")),
    ("No depth since the paint", "D1", {"history": "after-lay-up", "shown": "yes", "afloat": "yes", "own-volts": "yes", "settings": "yes", "other-band": "yes", "band": "yes"}, ("visit", "")),
    ("It restarts only when I start the engine", "P3", {"history": "in-service", "when": "cranking"}, ("card", "restarts-on-cranking")),
    ("It starts over and over as it sounds", "P3", {"history": "in-service", "when": "yes", "own-volts": "no", "plug": "yes", "card": "yes"}, ("visit", "")),
    ("Snow after the update", "S1", {"history": "after-update", "all-off": "no", "gain": "no"}, ("end", "found-gain")),
    ("Dashes march past with all off", "S1", {"history": "in-service", "all-off": "marching"}, ("card", "cross-talk")),
    ("Lines come with the lights", "S1", {"history": "new-fitting", "all-off": "yes", "gain": "yes"}, ("visit", "")),
]  # fmt: skip


@pytest.mark.parametrize(("complaint", "code", "said", "end"), STORIES)
def test_a_call_comes_from_the_complaint_to_its_end(
    complaint: str, code: str, said: dict[str, str], end: tuple[str, str]
) -> None:
    asked, answer = walk(code, said)
    assert (answer.kind, answer.target if answer.kind != "visit" else "") == end, complaint
    assert asked == list(said)
    if answer.kind == "end":
        fix = next(fix for fix in calls()[code].solved if fix.id == answer.target)
        assert mended_by_telephone(fix.finding)
        assert fix.finding.proof
    elif answer.kind == "visit":
        assert calls()[code].bring
        assert calls()[code].visit
    else:
        assert answer.number in calls()


def test_every_page_asks_only_what_an_owner_can_do_at_the_helm() -> None:
    asks_what_an_owner_can_do(calls(), built.catalogue())


def test_every_call_ends_whatever_is_answered() -> None:
    """Every combination of answers, by following each from each step: no step comes back."""
    never_come_back(calls())


def test_what_the_telephone_settles_is_a_share() -> None:
    for code, call in calls().items():
        assert len(call.settled) == len(HISTORIES)
        for settled in call.settled:
            assert 0 <= settled.solved <= settled.named + 1e-9 <= 1 + 2e-9, code
    # By hand from D1's shares in service, of 103: the site 12, the band 7, and transmit, gate and page 19; supply is named.
    in_service = calls()["D1"].settled[0]
    total = sum(cause.prior.in_service for cause in calls()["D1"].view.entry.causes)
    assert in_service.solved == pytest.approx((12 + 7 + 19) / total)


def test_the_order_of_a_call_is_the_cheapest_legal_one() -> None:
    for code in ("P3", "S1"):
        in_the_cheapest_order(calls()[code], built.catalogue())


def test_the_danger_words_stand_on_the_page() -> None:
    assert next(name for name, _ in calls()["P3"].view.hazards) == "petrol"
    assert "number" in [name for name, _ in calls()["D1"].view.hazards]


def test_a_display_is_told_what_to_bring_for_it() -> None:
    """Lent is what list, band, power and pins allow; a fuse lies above the load and not above the maker's rating."""
    catalogue = built.catalogue()
    for family in catalogue.families.values():
        page = display_page(family, catalogue)
        assert {fitted.id for fitted, _ in page.lent} == set(family.transducers)
        for fitted, others in page.lent:
            assert all(other.id in family.transducers and other is not fitted for other in others)
        for _, volts, found in page.fuses:
            assert volts <= family.supply_high_v
            if found is not None:
                assert (
                    family.current_a * family.rated_v / volts
                    < found.least_a
                    <= found.greatest_a
                    <= family.fuse_a
                )


def test_what_fits_one_display_is_told_where_it_is_brought() -> None:
    """By hand: a lead into the display's own power plug, a transducer of its list, fuses of its rating (owner's guides)."""
    tools = built.catalogue().records["tools"]
    assert {name for name, tool in tools.items() if tool.by_display} == {
        "breakout-lead",
        "borrowed-transducer",
        "spare-fuses",
    }


def test_an_answer_that_has_found_the_cause_names_its_fix() -> None:
    """P3: the fault goes with the plug mated anew, so the visit begins at fix A."""
    step = calls()["P3"].by_id["plug"]
    gone = next(a for a in step.answers if a.key == "no")
    assert (gone.kind, gone.target, gone.number) == ("visit", "found-contact", "A")


def test_a_call_comes_past_every_check_that_is_not_an_owners() -> None:
    """Each such check is answered CAN'T, once: by following that answer until the telephone may ask, or an end comes."""
    catalogue = built.catalogue()
    passed = 0
    for entry in catalogue.faults.values():
        decision = Decision(entry, catalogue)
        for start in decision.checks:
            node, way = start, [start]
            while node in decision.checks and not for_telephone(decision.checks[node]):
                node = decision.links(node).get("cannot", "")
                way.append(node)
                assert len(way) == len(set(way))
            assert landing(decision, start) == node
            passed += len(way) > 1
    assert passed
