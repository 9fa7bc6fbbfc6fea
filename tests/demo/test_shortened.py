"""What the project's cards say in their shortened steps.

A technician with wet hands reads the shortened step alone (common practice, no published source).
"""

import pytest

import built
from leadsman.book.views import view_entry
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The project's content."""
    return built.catalogue()


def test_the_shared_checks_can_be_decided_from_the_card(catalogue: Catalogue) -> None:
    """Silence from 430 kHz up proves nothing; revs and speed end somewhere; a foreign temperature proves nothing."""
    checks = catalogue.checks
    assert "tick-silent" in checks["tick-test"].see
    assert "maker allows" in checks["rev-at-rest"].do
    assert "cruising speed" in checks["speed-trial"].do
    assert "transducer's own" in checks["temperature-shown"].do
    assert "at speed" in checks["chop-throttle"].do
    assert "{value: height-step}" in checks["lower-one-step"].do
    assert "not draw" in checks["look-in-hull"].do


def test_a_word_of_the_trade_is_defined_on_its_card(catalogue: Catalogue) -> None:
    words = {
        code: [term.term for term in view_entry(Decision(catalogue.faults[name], catalogue)).words]
        for code, name in (("I1", "wrong-element"), ("P9", "feed-falls-under-load"), ("P2", "restarts-on-cranking"))
    }  # fmt: skip
    assert "fairing block" in words["I1"]
    assert "breakout lead" in words["P9"]
    assert "fused battery" in words["P2"]
