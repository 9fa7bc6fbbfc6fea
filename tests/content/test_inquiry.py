"""A search under way: what is excluded, what is left, and how long it still takes, by hand for the small content."""

from __future__ import annotations

import pytest

import small_content
from leadsman.compute.diagnosis.structure import Kind
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import CANNOT, Decision, follow_cause
from leadsman.content.inquiry import Inquiry
from leadsman.content.model.fault import HISTORIES


@pytest.fixture(scope="module")
def low_volts() -> Decision:
    """Return the small entry: two causes, three to one, one check after the history."""
    catalogue = small_content.edited()
    return Decision(catalogue.faults["low-volts"], catalogue)


def likelihoods(inquiry: Inquiry) -> dict[str, float]:
    """Share by cause."""
    return {suspect.cause: suspect.likelihood for suspect in inquiry.suspects}


def test_at_the_start_every_cause_is_suspect(low_volts: Decision) -> None:
    inquiry = Inquiry(low_volts, {})
    assert (inquiry.node, inquiry.kind, inquiry.done) == ("history", Kind.CHECK, ())
    assert likelihoods(inquiry) == pytest.approx({"joint": 0.75, "limit": 0.25})
    assert (inquiry.minutes_done, inquiry.minutes_left) == pytest.approx((0, 2))


def test_an_answer_excludes_and_cannot_does_not(low_volts: Decision) -> None:
    start = {"history": "in-service"}
    assert likelihoods(Inquiry(low_volts, {**start, "volts": "no"})) == {"joint": 1.0}
    assert likelihoods(Inquiry(low_volts, {**start, "volts": "yes"})) == {"limit": 1.0}
    unsure = Inquiry(low_volts, {**start, "volts": CANNOT})
    assert likelihoods(unsure) == pytest.approx({"joint": 0.75, "limit": 0.25})
    assert (unsure.kind, unsure.not_done) == (Kind.HAND_OVER, ("volts",))


def test_a_failed_proof_excludes_what_the_finding_names(low_volts: Decision) -> None:
    inquiry = Inquiry(low_volts, {"history": "in-service", "volts": "no", "found-joint": "not proved"})
    assert (inquiry.kind, inquiry.suspects) == (Kind.HAND_OVER, ())


def causes_lost(catalogue: Catalogue) -> list[tuple[str, str, str, str]]:
    """Where following a card excludes what is wrong: entry, cause, history and step."""
    lost = []
    for entry in catalogue.faults.values():
        decision = Decision(entry, catalogue)
        for cause in decision.causes:
            for history in HISTORIES:
                if not decision.causes[cause].prior.share(history):
                    continue
                answers: dict[str, str] = {}
                for step in follow_cause(decision, cause, history).steps:
                    inquiry = Inquiry(decision, dict(answers))
                    if cause not in likelihoods(inquiry):
                        lost.append((entry.code, cause, history, step.node.id))
                        break
                    assert sum(likelihoods(inquiry).values()) == pytest.approx(1)
                    if step.outcome:
                        answers[step.node.id] = step.outcome
    return lost


def test_the_suspects_hold_the_cause_all_the_way() -> None:
    """Whatever is wrong, following the card never excludes it (the single-fault assumption, every entry and history)."""
    assert causes_lost(small_content.edited()) == []
