"""How a call is laid onto its page: how wide its two columns are, and whether a visit stands beside or below the steps.

The heights are estimates from numbers of letters. They only put arrangements in order that are all right to read; where
a page may not hold the first one, the engine measures the next ones.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from leadsman.output.papers import PAGES_MM

#: Widths of the column of steps that the style sheet knows [% of the page between its margins].
SPLITS = tuple(range(61, 83, 3))
#: Width of the margins and of the gap between the columns, of the number of a step, and of a letter at 10 pt [mm].
_MARGINS_MM, _GAP, _NUMBER_MM, _LETTER_MM = 25.0, 0.014, 8.0, 1.46
#: Margins above and below; the height of a line; the most that head and menu paths take [mm].
_TOP_AND_FOOT_MM, _LINE_MM, _HEAD_MM = 18.0, 4.445, 90.0
#: The width that is taken where others are no better [%].
_USUAL = 70
#: Share of the width beside the number that the words to say have.
_SAY = 0.46
#: Height of a heading in lines, and of the rule between two steps.
_HEADING, _RULE = 1.35, 0.15


@dataclass(frozen=True)
class Texts:
    """Numbers of letters of what stands on a page."""

    steps: list[tuple[int, list[int]]]
    """For each step the words to say, and each answer; a first answer of none where they run on below."""
    orders: int
    solved: list[int]
    visits: tuple[int, int]
    """Come in; I come."""


@dataclass(frozen=True)
class Arrangement:
    """The width of the column of steps [%], and whether what leads to a visit stands below both columns."""

    split: int
    below: bool
    flowing: bool = False
    """On a screen without pages, where every table has a caption."""


def arrangements(texts: Texts, paper: str) -> list[Arrangement]:
    """All arrangements, that of the least estimated height first."""
    width = PAGES_MM[paper, "full"][1] - _MARGINS_MM
    every = [Arrangement(split, below) for below in (False, True) for split in SPLITS]
    return sorted(every, key=lambda a: (_height(texts, width, a), a.below, abs(a.split - _USUAL)))


def room_mm(paper: str) -> float:
    """The height between the margins of a page [mm]."""
    return PAGES_MM[paper, "full"][0] - _TOP_AND_FOOT_MM


def may_run_over(texts: Texts, paper: str) -> bool:
    """Whether the best arrangement should be measured: head and menu paths take as much as they ever do."""
    width = PAGES_MM[paper, "full"][1] - _MARGINS_MM
    return _height(texts, width, arrangements(texts, paper)[0]) * _LINE_MM + _HEAD_MM > room_mm(paper)


def _height(texts: Texts, width_mm: float, chosen: Arrangement) -> float:
    """The height of columns and visits in lines."""
    split = chosen.split
    left = _steps(texts.steps, width_mm * split / 100)
    narrow = width_mm * (1 - split / 100 - _GAP)
    right = 1 + _lines(texts.orders, narrow) + (_HEADING if texts.solved else 0)
    right += sum(_lines(letters, narrow) for letters in texts.solved)
    beside = sum(_HEADING + _lines(letters, narrow) for letters in texts.visits)
    if not chosen.below:
        return max(left, right + beside)
    return max(left, right) + _HEADING + max(_lines(letters, width_mm * 0.485) for letters in texts.visits)


def _steps(steps: list[tuple[int, list[int]]], width_mm: float) -> float:
    say, means = (width_mm - _NUMBER_MM) * _SAY, (width_mm - _NUMBER_MM) * (1 - _SAY)
    lines = 1.0
    for said, answers in steps:
        beside = max(_lines(said, say), _flowing(answers, means))
        # Answers that all lead to one place run on below the words.
        under = _lines(said, say + means) + _lines(sum(answers), say + means)
        lines += _RULE + (beside if answers[0] else under)
    return lines


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
