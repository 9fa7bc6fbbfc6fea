"""Each rule of the ladder on a sheet that keeps it and on one that breaks it. The limits are those of the rules' sources."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspection import making
from leadsman.inspection.model import PdfFile

_TAB = '<p class="tab" style="{side}: 40mm">Power</p>'
_CSS = making.DECK_CSS + ".tab { position: absolute; top: 1mm; font: 700 10.5pt/1.2 'Leadsman Head' }"
_EXPLAINS = "<p>↓ is YES: go on down. CAN'T too, unless it is printed.</p>"
_HAZARD = '<p class="caution"><span class="signal WARNING">WARNING</span> Fire: steps {steps}</p>'


def _step(number: int, words: str, answers: str) -> str:
    shown = "".join(f'<span class="answer">{a}</span>' for a in answers.split("|"))
    return (
        f'<div class="step"><ol style="counter-reset: list-item {number - 1}"><li>{words}</li></ol>'
        f'<p class="answers">{shown}</p></div>'
    )


def _face(number: int, title: str, body: str, turn: str, side: str) -> str:
    made = making.face("P1", number, 2, title, body, turn, first="h1" if number == 1 else "p")
    return made.replace('<section class="face">', f'<section class="face">{_TAB.format(side=side)}')


FRONT = (
    "<p>No light and no beep.</p>" + _EXPLAINS + _HAZARD.format(steps="2, 3")
    + _step(1, "Hold the key. Is it dark?", "↓|NO → A")
    + _step(2, "WARNING Switch off first. Is the fuse whole?", "↓|NO → B")
    + _step(3, "Read the battery. Is it 12 V?", "YES → B|NO → A")
)  # fmt: skip
FIXES = (
    '<p><span class="letter">A</span><span class="says">Feed was off.</span> Switch it on.</p>'
    '<p><span class="letter">B</span><span class="says">Fuse blown.</span> Renew it.</p>'
)
GOOD = _face(1, "Dead unit", FRONT, "turn it", "left") + _face(
    2, "Dead unit: fixes", FIXES, "END of P1", "right"
)

#: Rule, and the change that breaks it.
BROKEN: list[tuple[str, str, str]] = [
    ("N1-01", FRONT, "<p>No light and no beep.</p>"),
    ("N1-02", '<span class="letter">B</span>', '<span class="letter">C</span>'),
    ("N1-03", "YES → B|NO → A".replace("|", '</span><span class="answer">'), "YES → 1"),
    ("N1-04", _EXPLAINS, ""),
    ("N1-10", "right: 40mm", "right: 60mm"),
    ("SF-17", "Fire: steps 2, 3", "Fire: steps 2, 7"),
    ("SF-17", "WARNING Switch off first. Is", "Switch off first. Is"),
    ("LO-07", "Renew it.", 'Renew it, 5<br>A and no more.'),
]  # fmt: skip


def _read(html: str, to: Path) -> PdfFile:
    return making.read(making.pdf(html, _CSS), to)


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> PdfFile:
    """A sheet that keeps every rule of the ladder."""
    return _read(GOOD, tmp_path_factory.mktemp("ladder"))


@pytest.mark.parametrize("name", sorted({name for name, _, _ in BROKEN}))
def test_a_good_sheet_keeps_the_rule(good: PdfFile, name: str) -> None:
    """It has something to measure; of parted numbers only the breaches are told."""
    found = making.outcome(name, "deck", good)

    assert found.breaches == ()
    assert name == "LO-07" or found.verdict == "kept"


@pytest.mark.parametrize(
    ("name", "old", "new"), BROKEN, ids=[f"{n}-{i}" for i, (n, _, _) in enumerate(BROKEN)]
)
def test_a_broken_sheet_is_found(tmp_path: Path, name: str, old: str, new: str) -> None:
    """One change breaks the rule."""
    assert GOOD.count(old) == 1, old
    html = GOOD.replace(old, new)
    if name == "N1-01":
        html = html.replace(FIXES, FRONT)

    assert making.outcome(name, "deck", _read(html, tmp_path)).breaches


@pytest.mark.parametrize(
    ("wide", "faces", "kept"), [(False, 6, True), (False, 7, False), (True, 4, True), (True, 5, False)]
)
def test_a_condition_stands_on_two_sheets_or_three_small_ones(
    tmp_path: Path, wide: bool, faces: int, kept: bool
) -> None:
    more = "".join(
        _face(number, "Dead unit: notes", "<p>Notes</p>", "", "left") for number in range(3, faces + 1)
    )
    css = _CSS.replace("105mm 148mm", "148mm 210mm") if wide else _CSS
    made = making.read(making.pdf(GOOD + more, css), tmp_path)
    assert (making.outcome("N1-01", "deck", made).verdict == "kept") == kept
