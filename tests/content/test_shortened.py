"""What a card leaves out of the long form: it may permit nothing that the long form forbids.

A technician with wet hands reads the shortened step alone (common practice, no published source).
"""

from pathlib import Path

import pytest

import small_content
from leadsman.book.views import view_entry
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision
from leadsman.content.rules import check
from leadsman.paths import data_folder

PLUG = "checks/look-at-plug.yaml"


def broken(to: Path, do: str, how: str, cautions: str = "") -> list[str]:
    """What the rule says of a check with these words."""
    folder = small_content.copy(to)
    text = (folder / PLUG).read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith(("do:", "how:", "  - ", "cautions:"))]
    lines += [f"do: {do}", "how:", f"  - {how}"] + ([f"cautions: [{cautions}]"] if cautions else [])
    (folder / PLUG).write_text("\n".join(lines) + "\n", encoding="utf-8")
    return [p.what for p in check(load(folder)).problems if p.rule == "shortened"]


@pytest.mark.parametrize(
    ("do", "how"),
    [
        ("Look at the insert.", "Look from inside. Do not draw an insert to look."),
        ("Read the fuse.", "Never fit a larger fuse."),
        ("Spin the wheel.", "Nobody draws the wheel alone."),
    ],
)
def test_a_card_that_names_a_thing_says_what_is_forbidden_of_it(tmp_path: Path, do: str, how: str) -> None:
    (what,) = broken(tmp_path, do, how)
    assert what.endswith(f"'{how.split('. ')[-1]}'")


@pytest.mark.parametrize(
    ("do", "how"),
    [
        ("Look at the insert. Do not draw it.", "Do not draw an insert to look."),
        ("Look at the ring without loosening it.", "Do not loosen a ring."),
        ("Look at the number.", "Do not draw an insert to look."),
        ("Look at the insert.", "Look at the insert from inside."),
    ],
)
def test_a_card_that_restrains_itself_or_names_nothing_of_it_is_right(
    tmp_path: Path, do: str, how: str
) -> None:
    assert broken(tmp_path, do, how) == []


def test_a_caution_before_the_step_may_say_it(tmp_path: Path) -> None:
    """The caution is printed on the card, before the step."""
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, "cautions.yaml", "short: Air the space first.", "short: Leave the fuse alone.")
    text = (folder / PLUG).read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith(("do:", "how:", "  - "))]
    lines += ["do: Read the fuse.", "how: [Never draw the fuse.]", "cautions: [vapour]"]
    (folder / PLUG).write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert [p for p in check(load(folder)).problems if p.rule == "shortened"] == []


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The content of the handbook."""
    return load(data_folder("content"))


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
        for code, name in (("I1", "wrong-element"), ("P3", "restarts-on-transmit"), ("P2", "restarts-on-cranking"))
    }  # fmt: skip
    assert "running trim" in words["I1"]
    assert "breakout lead" in words["P3"]
    assert "fused battery" in words["P2"]
