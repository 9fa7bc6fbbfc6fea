"""How a call is laid onto its page: how wide its two columns are, and whether a visit stands beside or below the steps.

The heights are estimates from numbers of letters. They only choose among arrangements that are all right to read; the
engine sets what is chosen, and a condition that takes more than a page runs on.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from leadsman.output.papers import PAGES_MM

#: Widths of the column of steps that the style sheet knows [% of the page between its margins].
SPLITS = tuple(range(61, 83, 3))
#: Width of the margins and of the gap between the columns, of the number of a step, and of a letter at 10 pt [mm].
_MARGINS_MM, _GAP, _NUMBER_MM, _LETTER_MM = 25.0, 0.014, 10.0, 1.46
#: Share of the width beside the number that the words to say have.
_SAY = 0.46
#: Height of a heading in lines, and of the rule between two steps.
_HEADING, _RULE = 1.5, 0.2


@dataclass(frozen=True)
class Texts:
    """Numbers of letters of what stands on a page."""

    steps: list[tuple[int, list[int]]]
    """For each step the words to say, and each answer."""
    orders: int
    solved: list[int]
    visits: tuple[int, int]
    """Come in; I come."""


def arranged(texts: Texts, paper: str) -> tuple[int, bool]:
    """The width of the column of steps [%], and whether what leads to a visit stands below both columns."""
    width = PAGES_MM[paper, "full"][1] - _MARGINS_MM
    return min(
        ((split, below) for below in (False, True) for split in SPLITS),
        key=lambda chosen: (_height(texts, width, *chosen), chosen[1], abs(chosen[0] - 70)),
    )


def _height(texts: Texts, width_mm: float, split: int, below: bool) -> float:
    """The height in lines."""
    left = _steps(texts.steps, width_mm * split / 100)
    narrow = width_mm * (1 - split / 100 - _GAP)
    right = 1 + _lines(texts.orders, narrow) + (_HEADING if texts.solved else 0)
    right += sum(_lines(letters, narrow) for letters in texts.solved)
    beside = sum(_HEADING + _lines(letters, narrow) for letters in texts.visits)
    if not below:
        return max(left, right + beside)
    return max(left, right) + _HEADING + max(_lines(letters, width_mm * 0.485) for letters in texts.visits)


def _steps(steps: list[tuple[int, list[int]]], width_mm: float) -> float:
    say, means = (width_mm - _NUMBER_MM) * _SAY, (width_mm - _NUMBER_MM) * (1 - _SAY)
    return sum(max(2, _lines(said, say), _flowing(answers, means)) + _RULE for said, answers in steps) + 1


def _flowing(answers: list[int], width_mm: float) -> int:
    """Answers stand in one line as long as each goes into it whole."""
    lines, used = 1, 0.0
    for letters in answers:
        length = letters * _LETTER_MM
        if used and used + length > width_mm:
            lines, used = lines + 1, 0.0
        lines += _lines(letters, width_mm) - 1
        used += length
    return lines


def _lines(letters: int, width_mm: float) -> int:
    return math.ceil(letters * _LETTER_MM / width_mm)
