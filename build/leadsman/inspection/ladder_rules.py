"""Rules on a condition as a ladder: where it starts, letters behind it, jumps, the sign, hazards at the head, tabs."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from leadsman.errors import counted
from leadsman.inspection import sources
from leadsman.inspection.findings import DECK, PAPER, Reading, at, rule
from leadsman.inspection.model import Block, PdfFile
from leadsman.inspection.roles import (
    DOWN,
    SIGNALS,
    Face,
    cards,
    faces,
    is_caution,
    is_fix,
    letter_of,
    main_size,
)

#: A page wider than this is a sheet on which a condition stands as a whole [mm].
_SHEET_MM = 130.0
#: Faces of a condition at the most: two sheets, and three of the small ones.
_MOST_FACES, _MOST_SMALL_FACES = 4, 6
#: A hazard at the head of a face names its steps or letters after a colon.
_WHERE = re.compile(r": (?:\w+ )?((?:[A-Z]{1,2}|\d+)(?:, (?:[A-Z]{1,2}|\d+))*)$")
#: What explains the sign says so in this many words or more.
_EXPLAINS_WORDS = 8
_UNIT = re.compile(
    r"^(?:V|mV|A|mA|Ah|W|Ω|kΩ|MΩ|m|ft|mm|mm2|cm|kHz|MHz|Hz|nF|pF|dB|kn|min|s|h|°C|°F|%)(?![\w'])"
)


def _is_ladder(card: list[Face]) -> bool:
    return any(face.steps for face in card)


@rule("N1-01", "A condition starts on a front and stands on two sheets at most, on three small ones", kinds=DECK,
      wants="step 1 on face 1; <= 4 faces, small <= 6", source=sources.OURS)  # fmt: skip
def one_condition(file: PdfFile) -> Iterator[Reading]:
    """The face of step 1, and the faces of each card that has steps."""
    for code, found in cards(file).items():
        if _is_ladder(found):
            most = _MOST_FACES if found[0].page.trim.width > _SHEET_MM else _MOST_SMALL_FACES
            starts = next(face.number for face in found if face.steps)
            right = starts == 1 and len(found) <= most
            yield at(
                found[0].title,
                f"step 1 on face {starts}, {counted(len(found), 'face')}",
                right,
                f"card {code}",
            )


@rule("N1-02", "A letter on a front is answered on the back of the same sheet, and the fixes stand in its order",
      kinds=DECK, wants="every letter behind its answer, A to n", source="Schroeder and Cenkci, spatial contiguity, Educational Psychology Review 30, 2018")  # fmt: skip
def letters_behind(file: PdfFile) -> Iterator[Reading]:
    """The letters after arrows on each front against the fixes on the back that follows."""
    for code, found in cards(file).items():
        for front, back in pairwise(found):
            if front.number % 2 == 0 or not front.steps:
                continue
            for step in front.steps:
                for answer in step.answers:
                    if re.fullmatch(r"[A-Z]{1,2}", answer.target):
                        right = answer.target in back.letters
                        says = f"card {code} face {front.number}, letter {answer.target}"
                        yield at(answer.block, "behind it" if right else "elsewhere", right, says)
            ordered = back.letters == sorted(back.letters, key=lambda letter: (len(letter), letter))
            yield at(back.title, ", ".join(back.letters) or "none", ordered, f"card {code}")


@rule("N1-03", "A ladder has three jumps at most, and none back", kinds=DECK, severity="should",
      wants="<= 3 forward, 0 back", source="Mayer, comprehension as affected by structure, Memory & Cognition, 1976")  # fmt: skip
def few_jumps(file: PdfFile) -> Iterator[Reading]:
    """Printed answers that lead to a step which is not the next one."""
    for code, found in cards(file).items():
        if not _is_ladder(found):
            continue
        forward = back = 0
        for face in found:
            for step in face.steps:
                for answer in step.answers:
                    if answer.target.isdigit() and int(answer.target) != step.number + 1:
                        forward += int(answer.target) > step.number
                        back += int(answer.target) <= step.number
        yield at(found[0].title, f"{forward} forward, {back} back", forward <= 3 and not back, f"card {code}")


@rule("N1-04", "The sign for falling through is explained above the first step of each front that has it", kinds=DECK,
      wants="explained in 10 pt or more, above step 1", source="Boekelder and Steehouder, selecting and switching, IEEE Transactions on Professional Communication 41, 1998")  # fmt: skip
def sign_explained(file: PdfFile) -> Iterator[Reading]:
    """A text with the sign and eight words or more before the first step."""
    for face in faces(file):
        signed = [block for step in face.steps for block in step.after if DOWN in block.text]
        if not signed:
            continue
        before = [b for b in face.body if b.box.top < face.steps[0].head.box.top and DOWN in b.text]
        told = [b for b in before if len(b.text.split()) >= _EXPLAINS_WORDS and main_size(b.runs) >= 9.99]
        yield at(signed[0], "explained" if told else "not explained", bool(told), f"card {face.code}")


@rule("SF-17", "A hazard at the head of a face names steps or letters of that face, and the first of them speaks it",
      kinds=DECK, wants="each number on the face, the signal word in the first", source="Frantz, effect of warning location, Ergonomics 37, 1994; ANSI Z535.6 embedded messages (from memory)")  # fmt: skip
def head_and_step(file: PdfFile) -> Iterator[Reading]:
    """The numbers after the colon of each caution at the head, and the text of the first step or fix they name."""
    for face in faces(file):
        here = {str(step.number): step.head.text for step in face.steps}
        here |= {letter_of(block): block.text for block in face.body if is_fix(block)}
        for block in face.body:
            where = _WHERE.search(block.text) if is_caution(block) else None
            if where is None:
                continue
            named = where[1].split(", ")
            missing = [name for name in named if name not in here]
            word = block.text.split()[0]
            first = here.get(named[0], "")
            right = not missing and word in SIGNALS and word in first
            says = f"card {face.code}: {', '.join(missing) or named[0]}"
            yield at(
                block, "spoken" if right else "not on this face" if missing else "not spoken", right, says
            )


@rule("N1-10", "Tabs of one area stand in one place, those of two areas never in the same", kinds=DECK,
      wants="same place within 1 mm, no overlap, word >= 10 pt", source=sources.COMMON)  # fmt: skip
def tabs(file: PdfFile) -> Iterator[Reading]:
    """The text above the title of each face: fronts by their distance from the left edge, backs from the right."""
    places: dict[str, tuple[str, float, float]] = {}
    for face in faces(file):
        tab = _tab(face)
        if tab is None:
            continue
        trim = face.page.trim
        start = tab.box.left - trim.left if face.number % 2 else trim.right - tab.box.right
        stop = start + tab.box.width
        word, low, high = places.setdefault(tab.text, (tab.text, start, stop))
        others = [p for p in places.values() if p[0] != word and p[1] < stop and start < p[2]]
        right = abs(start - low) <= 1.0 and not others and main_size(tab.runs) >= 9.99
        yield at(tab, f"{start:.1f} to {high:.1f} mm", right, f"card {face.code}, {tab.text}")


def _tab(face: Face) -> Block | None:
    first = face.page.blocks[0]
    return first if first is not face.title and first.box.bottom < face.title.box.bottom else None


@rule("LO-07", "A number and its unit are never parted at the end of a line", kinds=PAPER, wants="on one line",
      source="BIPM, The International System of Units, 9th ed., 2019, 5.4.3; ISO 80000-1 (from memory)")  # fmt: skip
def number_and_unit(file: PdfFile) -> Iterator[Reading]:
    """Lines that end in a digit before one that begins with the symbol of a unit."""
    for block in file.blocks:
        for high, low in pairwise(block.lines):
            before = "".join(run.text for run in high).strip()
            after = "".join(run.text for run in low).strip()
            if re.search(r"(?:^|\s)[-−]?\d(?:[\d.,]*\d)?$", before) and _UNIT.match(after):
                yield at(block, f"'{before[-8:]}' | '{after[:6]}'", False)
