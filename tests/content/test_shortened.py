"""What a card leaves out of the long form: it may permit nothing that the long form forbids.

A technician with wet hands reads the shortened step alone (common practice, no published source).
"""

from pathlib import Path

import pytest

import small_content
from leadsman.content.catalogue import load
from leadsman.content.rules import check

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
    (what,) = broken(tmp_path, do, how, cautions="vapour")  # which speaks of no such thing
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
