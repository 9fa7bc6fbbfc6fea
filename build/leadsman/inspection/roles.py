"""Which text plays which part: steps, answers, cautions, faces of cards.

The tags of a PDF know lists, headings and tables, but no steps and no cautions. So these are told by what
a reader goes by as well: a number as the label of a list item, an arrow after an answer, a signal word set
apart at the beginning, the identity line at the foot. A text that shows none of these is not recognised.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

from leadsman.inspection.model import HEADINGS, Block, Page, PdfFile, Run

SIGNALS = ("DANGER", "WARNING", "CAUTION", "NOTICE")
ARROW = "→"
#: The sign that the expected answer falls through to the next step.
DOWN = "↓"
#: The word of the end mark.
END = "END"

#: A title has this size or more [pt].
_TITLE_PT = 12.0
#: What the foot of a face says of itself.
IDENTITY = re.compile(
    r"^(?P<document>\S+)-(?P<code>[0-9A-Z]+), \S+ (?P<number>\d+) \S+ (?P<total>\d+), \S+ (?P<revision>\d+), "
    r"(?P<date>[^.]+)\. (?P<set>.+)\.$"
)


def main_size(runs: Iterable[Run]) -> float:
    """The size that most letters have [pt]."""
    counts: Counter[float] = Counter()
    for run in runs:
        counts[round(run.size_pt, 2)] += len(run.text.strip())
    return counts.most_common(1)[0][0] if counts else 0.0


def main_runs(block: Block) -> list[Run]:
    """The runs of a block in its main size or larger: without remarks in smaller type."""
    size = main_size(block.runs)
    return [run for run in block.runs if run.text.strip() and run.size_pt > size - 0.05]


def first_words(block: Block) -> str:
    """The letters of the first run of a block that has any; nothing where none has."""
    return next((run.text.strip() for run in block.runs if run.text.strip()), "")


def signal_of(block: Block) -> str | None:
    """The signal word that opens a text and stands apart from it in a run of its own."""
    first = first_words(block)
    return first if first in SIGNALS else None


def is_caution(block: Block) -> bool:
    """Whether a text is a signal word with its message."""
    return signal_of(block) is not None and block.text not in SIGNALS


def step_number(block: Block) -> int | None:
    """The number of a step: the label of a list item, or a number set apart at the head of a heading."""
    if block.tag == "LI" and (label := re.fullmatch(r"(\d+)[.)]?", block.label)):
        return int(label[1])
    if block.tag in HEADINGS:
        first = first_words(block)
        if first.isdigit() and first != block.text:
            return int(first)
    return None


@dataclass(frozen=True)
class Answer:
    """An answer and where it leads; an answer without a target leads on to a face."""

    label: str
    target: str
    run: Run
    block: Block


def answers(block: Block) -> list[Answer]:
    """The answers in a text: words, an arrow, a target."""
    runs = [run for run in block.runs if run.text.strip()]
    found = []
    for i, run in enumerate(runs):
        if ARROW not in run.text:
            continue
        before, _, after = run.text.partition(ARROW)
        label, start = before.strip().removeprefix(DOWN).strip(), run
        if not label and i:
            label, start = runs[i - 1].text.strip().removeprefix(DOWN).strip(), runs[i - 1]
        target, ahead = after.strip(), i + 1
        # A target may run over the end of a line: "book" alone names nothing yet.
        while (not target or target.islower()) and ahead < len(runs) and ARROW not in runs[ahead].text:
            target = f"{target} {runs[ahead].text.strip()}".strip()
            ahead += 1
        found.append(Answer(label, target, start, block))
    return found


def is_answers(block: Block) -> bool:
    """Whether a text holds answers and nothing else: it begins with one in capitals."""
    found = answers(block)
    if block.text.strip() == DOWN:
        return True
    text = block.text.removeprefix(DOWN).lstrip()
    return (
        bool(found) and bool(found[0].target) and found[0].label.isupper() and text.startswith(found[0].label)
    )


@dataclass(eq=False)
class Step:
    """A numbered step with all that follows it up to the next step, fix, caution or heading."""

    number: int
    head: Block
    after: list[Block] = field(default_factory=list)

    @cached_property
    def answers(self) -> list[Answer]:
        """Its answers in reading order."""
        return [answer for block in self.after if is_answers(block) for answer in answers(block)]

    @property
    def question(self) -> Block | None:
        """The last text before the first answer."""
        texts: list[Block] = []
        for block in self.after:
            if is_answers(block):
                return texts[-1] if texts else self.head
            texts.append(block)
        return None

    @property
    def blocks(self) -> list[Block]:
        """All its texts."""
        return [self.head, *self.after]


def is_fix(block: Block) -> bool:
    """Whether a text opens a lettered fix or hand-over: its letter, in bold, stands before its name."""
    runs = [run for run in block.runs if run.text.strip()]
    if block.tag not in ("P", "LI", "Div", *HEADINGS) or not runs or not runs[0].face.bold:
        return False
    letter = re.match(r"[A-Z]{1,2}( |$)", runs[0].text.strip())
    return letter is not None and len(block.text) > len(letter[0]) + 1 and not is_answers(block)


def letter_of(block: Block) -> str:
    """The letter of a fix."""
    return first_words(block).split()[0]


def steps(page: Page, texts: Iterable[Block] | None = None) -> list[Step]:
    """The steps of a page."""
    found: list[Step] = []
    open_step = False
    for block in page.blocks if texts is None else texts:
        number = step_number(block)
        if number is not None:
            found.append(Step(number, block))
            open_step = True
        elif (
            is_caution(block)
            or is_fix(block)
            or block.tag in HEADINGS
            or block.tag in ("TH", "TD", "Caption")
        ):
            open_step = False
        elif open_step or (found and _goes_on(found[-1], block)):
            found[-1].after.append(block)
            open_step = not (is_answers(block) and block.tag == "P")
    return found


def _goes_on(step: Step, block: Block) -> bool:
    """Whether a text holds the further answers of a step that has so many that they stand below it."""
    return bool(step.after) and is_answers(step.after[-1]) and is_answers(block) and block.tag == "P"


@dataclass(eq=False)
class Face:
    """One face of a card, as its identity line names it."""

    page: Page
    document: str
    code: str
    number: int
    total: int
    revision: int
    date: str
    set_name: str
    identity: Block

    @property
    def title(self) -> Block:
        """What stands at its head; a word on a tab stands above it, smaller."""
        first, *rest = self.page.blocks
        if (
            rest
            and first.box.bottom <= rest[0].box.top + 1
            and main_size(first.runs) < main_size(rest[0].runs)
        ):
            return rest[0] if rest[0].runs[0].face.bold and main_size(first.runs) < _TITLE_PT else first
        return first

    @cached_property
    def turn(self) -> Block | None:
        """The mark that leads on, or ends the card."""
        for block in reversed(self.page.blocks):
            if block is not self.identity and (block.text.endswith(ARROW) or is_end_mark(block)):
                return block
        return None

    @cached_property
    def body(self) -> list[Block]:
        """Its texts without title, code, turn and identity."""
        outside = {id(self.title), id(self.identity), id(self.turn)}
        if self.page.blocks[0] is not self.title:
            outside.add(id(self.page.blocks[0]))
        return [
            b
            for b in self.page.blocks
            if id(b) not in outside and not (b.text == self.code and b.tag == "Div")
        ]

    @cached_property
    def steps(self) -> list[Step]:
        """Its steps."""
        return steps(self.page, self.body)

    @cached_property
    def letters(self) -> list[str]:
        """The letters of its fixes and hand-overs."""
        return [letter_of(block) for block in self.body if is_fix(block)]


def is_end_mark(block: Block) -> bool:
    """Whether a text is the mark that ends a card."""
    return block.text.split()[:1] == [END] and len(block.text.split()) <= 3


def face_of(page: Page) -> Face | None:
    """The face that a page is; None without an identity line."""
    if "face" not in page.memory:
        page.memory["face"] = _find_face(page)
    found: Face | None = page.memory["face"]
    return found


def _find_face(page: Page) -> Face | None:
    for block in reversed(page.blocks):
        if found := IDENTITY.match(block.text):
            return Face(
                page, found["document"], found["code"], int(found["number"]), int(found["total"]),
                int(found["revision"]), found["date"], found["set"], block,
            )  # fmt: skip
    return None


def faces(file: PdfFile) -> list[Face]:
    """The faces of a deck that name themselves."""
    return [face for page in file.pages if (face := face_of(page)) is not None]


def cards(file: PdfFile) -> dict[str, list[Face]]:
    """The faces by the code of their card."""
    found: dict[str, list[Face]] = {}
    for face in faces(file):
        found.setdefault(face.code, []).append(face)
    return found


def all_steps(file: PdfFile) -> Iterator[Step]:
    """The steps of a file."""
    for page in file.pages:
        if "steps" not in page.memory:
            face = face_of(page)
            page.memory["steps"] = face.steps if face is not None else steps(page)
        yield from page.memory["steps"]
