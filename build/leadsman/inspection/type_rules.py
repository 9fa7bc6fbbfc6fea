"""Rules on type: sizes by role, angles, line pitch and length, reversed and slanted type."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

from leadsman.errors import counted
from leadsman.inspection import sources
from leadsman.inspection.colours import ground, luminance
from leadsman.inspection.findings import BOOKS, DECK, PAPER, TAGGED, Reading, at, rule
from leadsman.inspection.model import HEADINGS, MM_PER_PT, Block, PdfFile, Run
from leadsman.inspection.roles import all_steps, face_of, faces, is_caution, main_runs, main_size, signal_of

READING_MM = 600.0
#: The line that identifies a book is no running text.
_IDENTITY = re.compile(r"^\S+, revision \d+, ")
#: Texts whose lines belong together as running text.
_RUNNING = frozenset({"P", "LI", "TD", "TH", "Caption", "Div", "BlockQuote"})


def angle_arcmin(height_mm: float, distance_mm: float = READING_MM) -> float:
    """The angle that a height fills at a distance [arc minutes].

    Examples
    --------
    >>> round(angle_arcmin(2.62), 1)
    15.0
    """
    return math.degrees(2 * math.atan(height_mm / (2 * distance_mm))) * 60


def _cap_mm(run: Run) -> float | None:
    return None if run.face.cap_height is None else run.face.cap_height * run.size_pt * MM_PER_PT


def _smallest(runs: list[Run], block: Block) -> Iterator[Reading]:
    inked = [run for run in runs if run.text.strip()]
    if inked:
        least = min(inked, key=lambda run: run.size_pt)
        yield at(block, round(least.size_pt, 3), says=f"'{least.text.strip()[:50]}'")


@rule("CK-01", "Whatever a reader must act on is set in 10 pt or more", kinds=DECK, limit=(">=", 10, "pt"),
      source=sources.CAP)  # fmt: skip
def step_size(file: PdfFile) -> Iterator[Reading]:
    """The smallest letters of each step with its question and answers."""
    for step in all_steps(file):
        for block in step.blocks:
            yield from _smallest(block.runs, block)


@rule("CK-02", "Titles and headings of a card are set in 12 pt or more", kinds=DECK, limit=(">=", 12, "pt"),
      source=sources.CAP)  # fmt: skip
def title_size(file: PdfFile) -> Iterator[Reading]:
    """The smallest letters of each title and heading."""
    for face in faces(file):
        yield from _smallest(face.title.runs, face.title)
        for block in face.body:
            if block.tag in HEADINGS:
                yield from _smallest(block.runs, block)


@rule("CK-03", "Capitals of step text fill 15 arc minutes or more at 600 mm", kinds=DECK,
      limit=(">=", 15, "arcmin"), source=sources.NUREG)  # fmt: skip
def cap_angle(file: PdfFile) -> Iterator[Reading]:
    """The angle of the capitals in the main type of each step, by the outlines in the font."""
    for step in all_steps(file):
        for block in step.blocks:
            heights = [cap for run in main_runs(block) if (cap := _cap_mm(run)) is not None]
            if heights:
                yield at(block, round(angle_arcmin(min(heights)), 2))


@rule("CK-04", "Small letters of cautions are 2.54 mm or more high", kinds=DECK, severity="should",
      limit=(">=", 2.54, "mm"), source=sources.DEGANI)  # fmt: skip
def caution_x_height(file: PdfFile) -> Iterator[Reading]:
    """The height of small letters in the text of cautions."""
    for block in file.blocks:
        if is_caution(block):
            heights = [
                run.face.x_height * run.size_pt * MM_PER_PT
                for run in main_runs(block)
                if run.face.x_height is not None
            ]
            if heights:
                yield at(block, round(min(heights), 2))


@rule("CK-31", "Step numbers, answers and titles have capitals of 3.5 mm for dim light", kinds=DECK,
      severity="should", limit=(">=", 3.5, "mm"), source=sources.MIL_1472)  # fmt: skip
def dim_light(file: PdfFile) -> Iterator[Reading]:
    """The height of capitals in labels."""
    labels = [face.title.runs[0] for face in faces(file)]
    for step in all_steps(file):
        labels += [answer.run for answer in step.answers]
        labels += [run for run in step.head.runs if run.element is not None and run.element.inside("Lbl")]
    for run in labels:
        if run.text.strip() and (cap := _cap_mm(run)) is not None:
            yield at(run, round(cap, 2))


@rule("TY-01", "Cards are set in a face without serifs", kinds=DECK, severity="should", wants="no serif face",
      source=sources.DEGANI)  # fmt: skip
def sans_serif(file: PdfFile) -> Iterator[Reading]:
    """What each font says of itself: its flags and its name."""
    for face in file.typefaces:
        yield Reading("serif" if face.serif else "sans serif", face.name, right=not face.serif)


@rule("TY-04", "Lines of running text stand 1.25 of the type size or more apart", kinds=TAGGED,
      limit=(">=", 1.25, "em"), source=sources.DEGANI)  # fmt: skip
def line_pitch(file: PdfFile) -> Iterator[Reading]:
    """The distance of baselines over the main size, in texts of more than one line (headings set aside)."""
    for block in _running(file):
        if block.tag in _RUNNING and len(block.lines) > 1 and not _is_title(block):
            size = main_size(block.runs) * MM_PER_PT
            gaps = [low[0].baseline - high[0].baseline for high, low in pairwise(block.lines)]
            yield at(block, round(min(gaps) / size, 3))


def _running(file: PdfFile) -> Iterator[Block]:
    """Texts outside figures and form fields."""
    for block in file.blocks:
        if block.tag not in HEADINGS and not block.element.inside("Figure", "Form"):
            yield block


def _is_title(block: Block) -> bool:
    """A title is tagged as a heading on the first face only; on the others it is the first text."""
    return block.box.top < 20 and block.runs[0].face.bold and main_size(block.runs) >= 14


@rule("TY-09", "Stems are an eighth to a fifth of the capitals' height", kinds=DECK, severity="should",
      wants="0.125 to 0.2", source=sources.HDBK_791)  # fmt: skip
def stems(file: PdfFile) -> Iterator[Reading]:
    """The width of I or l over the height of capitals, for the faces that set steps."""
    used = {run.face for step in all_steps(file) for block in step.blocks for run in main_runs(block)}
    for face in sorted(used, key=lambda f: f.name):
        if face.stem is not None and face.cap_height:
            share = round(face.stem / face.cap_height, 3)
            yield Reading(share, face.name, right=0.125 <= share <= 0.2)


def _reversed(file: PdfFile) -> Iterator[Run]:
    for page in file.pages:
        for run in page.runs:
            if run.text.strip() and luminance(run.colour) > 0.4 and luminance(ground(page, run)) < 0.3:
                yield run


@rule("TY-10", "Light letters on a dark ground are set in 12 pt or more", kinds=PAPER, limit=(">=", 12, "pt"),
      source=sources.GUIDE_37)  # fmt: skip
def reversed_size(file: PdfFile) -> Iterator[Reading]:
    """The size of each light run on a dark ground."""
    for run in _reversed(file):
        yield at(run, round(run.size_pt, 3))


@rule("TY-11", "Light letters on a dark ground are a label of six words at most", kinds=DECK,
      limit=("<=", 6, "words"), source=sources.DEGANI)  # fmt: skip
def reversed_words(file: PdfFile) -> Iterator[Reading]:
    """The words of one text that are light on dark."""
    counts: Counter[tuple[int, int]] = Counter()
    first: dict[tuple[int, int], Run] = {}
    for run in _reversed(file):
        key = (run.page, id(run.block))
        counts[key] += len(run.text.split())
        first.setdefault(key, run)
    for key, count in counts.items():
        yield at(first[key], count)


@rule("TY-12", "Steps hold no italics; elsewhere italics fill one line at most", kinds=TAGGED,
      wants="no italics in steps, one line elsewhere", source=sources.DEGANI)  # fmt: skip
def italics(file: PdfFile) -> Iterator[Reading]:
    """The slanted runs of each text, by the font's flags and name."""
    in_steps = {id(block) for step in all_steps(file) for block in step.blocks}
    for block in file.blocks:
        slanted = [run for run in block.runs if run.face.italic and run.text.strip()]
        lines = len({round(run.baseline, 1) for run in slanted})
        right = not slanted or (id(block) not in in_steps and lines <= 1)
        yield at(block, f"{counted(lines, 'line')} of italics", right)


@rule("TY-13", "Two families and two kinds of emphasis at most", kinds=PAPER, severity="should",
      limit=("<=", 2, "families"), source=sources.DEGANI)  # fmt: skip
def families(file: PdfFile) -> Iterator[Reading]:
    """The families that print letters."""
    names = sorted({face.family for face in file.typefaces})
    yield Reading(len(names), ", ".join(names))


@rule("TY-15", "Lines hold 90 letters at most", kinds=PAPER, severity="should", limit=("<=", 90, "letters"),
      source=sources.TYPOGRAPHY)  # fmt: skip
def line_length(file: PdfFile) -> Iterator[Reading]:
    """The mean letters a line of each text of two lines or more, the last line left out."""
    for block in _running(file):
        if len(block.lines) > 1:
            full = [len("".join(run.text for run in line).strip()) for line in block.lines[:-1]]
            yield at(block, round(sum(full) / len(full), 1))


@rule("TY-16", "Text is ranged left, never justified", kinds=PAPER, severity="should", wants="ragged right",
      source="US FDA, guidance on medical device patient labeling, 2001, appendix C")  # fmt: skip
def ragged(file: PdfFile) -> Iterator[Reading]:
    """Texts of four lines or more whose lines all end at one place."""
    for block in _running(file):
        if len(block.lines) > 3:
            ends = [line[-1].box.right for line in block.lines[:-1]]
            justified = max(ends) - min(ends) < 0.1
            yield at(block, "justified" if justified else "ragged", not justified)


@rule("TY-18", "Running text of a book is set in 10 pt or more", kinds=BOOKS, limit=(">=", 10, "pt"),
      source=sources.GUIDE_37)  # fmt: skip
def book_size(file: PdfFile) -> Iterator[Reading]:
    """The main size of each paragraph and list item; notes that follow a table count as part of it."""
    for page in file.pages:
        after_table = False
        for block in page.blocks:
            if block.tag in ("TH", "TD", "Caption", "Figure"):
                after_table = True
                continue
            after_table = after_table and block.tag == "P" and main_size(block.runs) < 10
            if block.tag in ("P", "LI") and not after_table and not _IDENTITY.search(block.text):
                yield at(block, main_size(block.runs))


@rule(
    "TY-19", "Cautions are set in 12 pt or more", kinds=PAPER, limit=(">=", 12, "pt"), source=sources.GUIDE_37
)
def caution_size(file: PdfFile) -> Iterator[Reading]:
    """The smallest letters of each caution, and of the texts under a signal word of their own."""
    for page in file.pages:
        under = False
        for block in page.blocks:
            if block.text in ("DANGER", "WARNING", "CAUTION", "NOTICE"):
                under = signal_of(block) is not None
            elif is_caution(block) or (under and block.tag == "LI"):
                yield from _smallest(block.runs, block)
            else:
                under = False


@rule("TY-20", "On a card the identity line has 8 pt or more, all else 10 pt", kinds=DECK,
      wants=">= 8 pt at the foot, >= 10 pt elsewhere", source=sources.COMMON)  # fmt: skip
def least_size(file: PdfFile) -> Iterator[Reading]:
    """The size of every run."""
    for page in file.pages:
        face = face_of(page)
        foot = {id(run) for run in face.identity.runs} if face is not None else set()
        for run in page.runs:
            if run.text.strip():
                yield at(run, round(run.size_pt, 3), run.size_pt >= (8 if id(run) in foot else 10) - 0.01)
