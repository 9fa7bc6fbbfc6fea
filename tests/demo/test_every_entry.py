"""The handbook's own content: it keeps every rule, each cause is found, and every path ends."""

import pytest

from leadsman.book.verdict import judge
from leadsman.compute.diagnosis.structure import flaws
from leadsman.compute.diagnosis.walk import count_paths
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import ENTRY_PREFIX, Decision, follow_cause
from leadsman.content.model.fault import HISTORIES
from leadsman.content.rules import Verdict
from leadsman.paths import data_folder


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The content that comes with the package."""
    return load(data_folder("content"))


@pytest.fixture(scope="module")
def verdict(catalogue: Catalogue) -> Verdict:
    """What every rule and the computation say of it."""
    return judge(catalogue)


def test_the_content_keeps_every_rule(verdict: Verdict) -> None:
    assert not verdict.errors, "\n".join(map(str, verdict.errors))


def test_a_waived_rule_has_its_reason(verdict: Verdict) -> None:
    for waived in verdict.waived:
        assert len(waived.reason.split()) > 3


def test_a_reason_is_a_short_sentence_behind_its_entry(catalogue: Catalogue) -> None:
    """As the evidence prints it: code, title and reason in one sentence, at most 25 words (ASD-STE100 rule 6.3)."""
    for entry in catalogue.faults.values():
        for waiver in entry.waivers:
            printed = f"{entry.code} {entry.title}: {waiver.reason}".split(". ")[0]
            assert len(printed.split()) <= 25, printed


def test_there_are_entries(catalogue: Catalogue) -> None:
    assert catalogue.faults
    assert all(entry.causes for entry in catalogue.faults.values() if entry.kind == "fault")


def test_every_path_of_every_entry_ends(catalogue: Catalogue) -> None:
    for name, entry in catalogue.faults.items():
        structure = Decision(entry, catalogue).structure
        assert flaws(structure) == (), name
        assert count_paths(structure) > len(entry.checks), name


@pytest.mark.parametrize("history", HISTORIES)
def test_every_cause_is_found_by_following_the_card(catalogue: Catalogue, history: str) -> None:
    for name, entry in catalogue.faults.items():
        decision = Decision(entry, catalogue)
        for cause in entry.causes:
            if cause.prior.share(history) == 0:
                continue
            way = follow_cause(decision, cause.id, history)
            assert way.ends, f"{name}: {cause.id} after {history}"
            if way.end.id.startswith(ENTRY_PREFIX):
                assert way.end.id.removeprefix(ENTRY_PREFIX) in catalogue.faults
                continue
            assert way.end.id in decision.findings, f"{name}: {cause.id} after {history}"
            assert cause.id in decision.findings[way.end.id].causes, f"{name}: {cause.id} after {history}"
