"""Rules on the make-up of cards: start, end, continuation, decisions, steps, identity, effective cards."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

from leadsman.errors import counted
from leadsman.inspection import sources
from leadsman.inspection.findings import DECK, PAPER, Reading, at, rule
from leadsman.inspection.model import MM_PER_PT, Block, Box, Element, PdfFile
from leadsman.inspection.roles import (
    Face,
    Step,
    all_steps,
    answers,
    cards,
    face_of,
    faces,
    is_answers,
    is_end_mark,
    is_fix,
    main_size,
    steps,
)

#: Words that tell no result (Degani and Wiener 1990).
_EMPTY_RESULTS = re.compile(r"^(checked|set|ok|okay|normal|as required|good)\W*$", re.IGNORECASE)
_STEP_THERE = re.compile(r"^(?:card )?([A-Z][0-9]{1,2}) step ([0-9]+)$")
_CODE = re.compile(r"^[A-Z][0-9]{1,2}$")
_BOOK = re.compile(r"^(book|handbook)\s", re.IGNORECASE)


@rule("CK-05", "A card has one title on each face and one step 1, after the title", kinds=DECK,
      wants="one title, one start", source=sources.CAP)  # fmt: skip
def one_start(file: PdfFile) -> Iterator[Reading]:
    """Titles by the first text of each face, starts by the step numbers."""
    for code, found in cards(file).items():
        for face in found:
            right = face.title is not face.identity and len(face.title.text) > 3
            yield at(face.title, "title" if right else "no title", right)
        steps = [step for face in found for step in face.steps]
        if steps:
            starts = sum(step.number == 1 for step in steps)
            yield at(steps[0].head, f"{counted(starts, 'start')}", starts == 1, f"card {code}")


@rule("CK-06", "A card ends with one end mark, and nothing follows it", kinds=DECK, wants="one end mark, last",
      source=sources.DEGANI_WIENER)  # fmt: skip
def one_end(file: PdfFile) -> Iterator[Reading]:
    """Texts that begin with END; faces behind it may hold lines for notes only."""
    for code, found in cards(file).items():
        marks = [(face, block) for face in found for block in face.page.blocks if is_end_mark(block)]
        place = marks[0][1] if marks else found[-1].identity
        yield at(place, f"{counted(len(marks), 'end mark')}", len(marks) == 1, f"card {code}")
        for face, mark in marks[:1]:
            behind = [b for f in found if f.number > face.number for b in f.body]
            late = [b for b in behind if b.tag not in ("P",) or len(b.text.split()) > 4]
            late += [b for b in face.body if b.box.top > mark.box.bottom]
            for block in late:
                yield at(block, "text after the end", False)


@rule("CK-07", "Every answer leads to a step, a letter, a card or the handbook that is there", kinds=DECK,
      wants="every target is there", source=sources.S1000D)  # fmt: skip
def exits(file: PdfFile) -> Iterator[Reading]:
    """Each text after an arrow, held against the steps and letters of its card and the codes of the deck.

    A card in a file of its own leads to sheets of its deck, which are elsewhere.
    """
    deck = cards(file)
    for code, found in deck.items():
        here = {str(step.number) for face in found for step in face.steps}
        here |= {letter for face in found for letter in face.letters}
        for face in found:
            for block in face.body:
                for answer in answers(block):
                    # "3", "step 3" and "card P1" say the same; "P3/4" is step 4 of card P3.
                    target = answer.target.rpartition(" ")[2].partition("/")[0]
                    right = target in here or target in deck or bool(_BOOK.match(answer.target))
                    if onward := _STEP_THERE.match(answer.target):
                        there = deck.get(onward[1], [])
                        right = onward[2] in {str(step.number) for face in there for step in face.steps}
                    elsewhere = onward[1] if onward else target
                    if len(deck) == 1 and elsewhere != code:
                        right = right or bool(_CODE.match(elsewhere))
                    yield at(block, f"{answer.label} → {answer.target or 'nothing'}", right, f"card {code}")


@rule("CK-08", "A face that goes on elsewhere says where, and the next face repeats the title", kinds=DECK,
      wants="named on both faces", source=sources.CAP)  # fmt: skip
def continuation(file: PdfFile) -> Iterator[Reading]:
    """The mark at the foot of each face that another one continues, and the title of each later face."""
    for found in cards(file).values():
        name = re.split(r"[:,]", found[0].title.text)[0]
        for face in found:
            if (wanted := _onward(face, found)) is not None:
                shown = face.turn.text if face.turn is not None else ""
                right = bool(re.search(wanted, shown))
                yield at(face.turn or face.identity, shown or "no mark", right, f"'{shown}' at the foot")
            if face.number > 1 and face.body and not _is_notes(face):
                right = face.title.text.startswith(name)
                yield at(face.title, "repeats the title" if right else "another title", right)


def _onward(face: Face, card: list[Face]) -> str | None:
    """What the foot of a face must name: the next step, or the next face of a card without steps."""
    later = [f for f in card if f.number > face.number and f.body and not _is_notes(f)]
    if not later:
        return None
    if not any(f.steps for f in card):
        return rf"\b{face.number + 1}\b"
    following = [step.number for f in later for step in f.steps]
    return rf"\b{min(following)}\b" if face.steps and following else None


def _is_notes(face: Face) -> bool:
    return len(face.body) == 1 and len(face.body[0].text.split()) <= 4 and not face.steps


@rule("CK-09", "No step, decision, sentence or table is split between pages", kinds=PAPER,
      wants="nothing split", source=sources.HSE)  # fmt: skip
def unsplit(file: PdfFile) -> Iterator[Reading]:
    """Answers without their question on the page, tables that go on without a head, steps broken in a sentence."""
    for page, following in pairwise([*file.pages, None]):
        if page is None:
            break
        face = face_of(page)
        body = face.body if face is not None else page.blocks
        for step in face.steps if face is not None else steps(page):
            yield at(step.head, "whole", True)
        first = next((b for b in body if not b.text.isdigit()), None)
        if first is not None and is_answers(first):
            yield at(first, "answers without their question", False)
        ahead = (f.body if (f := face_of(following)) is not None else following.blocks) if following else []
        if body and ahead and file.pages and _goes_on(body[-1], ahead[0]):
            yield at(body[-1], "goes on on the next page", False)


def _goes_on(last: Block, first: Block) -> bool:
    """A step that stops within a sentence, and a text of the same kind that begins in small letters."""
    return (
        last.tag == first.tag == "LI" and last.label.strip(".)").isdigit() and not first.label
        and first.text[:1].islower() and last.text[-1:] not in ".?!"
    )  # fmt: skip


@rule("CK-10", "A question and all its answers stand together", kinds=DECK, wants="same face, one line apart at most",
      source=sources.CAP)  # fmt: skip
def together(file: PdfFile) -> Iterator[Reading]:
    """The white between a question and its answers, in lines; answers on a face that lack a question."""
    for face in faces(file):
        held = {id(answer.block) for step in face.steps for answer in step.answers}
        for block in face.body:
            if is_answers(block) and not is_fix(block) and id(block) not in held:
                yield at(block, "answers without a question", False)
        for step in face.steps:
            yield from _gaps(step, [s.box for s in face.page.shapes if s.is_rule])


def _gaps(step: Step, lines: list[Box]) -> Iterator[Reading]:
    question = step.question
    if question is None:
        return
    members = [question, *dict.fromkeys(answer.block for answer in step.answers)]
    for above, below in pairwise(members):
        line = main_size(below.runs) * MM_PER_PT * 1.25
        # A line to write a reading on is no white space.
        upper = max(
            [above.box.bottom, *(b.bottom for b in lines if above.box.bottom < b.bottom < below.box.top)]
        )
        white = (below.box.top - upper) / line
        yield at(below, f"{white:.1f} lines", white <= 1.0)


@rule("CK-11", "Answers stand in one order, YES always at the same place", kinds=DECK,
      wants="YES before NO; places of YES within 1 mm", source=sources.COMMON)  # fmt: skip
def answer_order(file: PdfFile) -> Iterator[Reading]:
    """The order of YES and NO in each decision, and the left edge of every YES."""
    places: list[tuple[float, Step]] = []
    for step in all_steps(file):
        labels = [answer.label for answer in step.answers]
        if "YES" in labels:
            yes = step.answers[labels.index("YES")]
            places.append((yes.run.box.left, step))
            if "NO" in labels:
                yield at(yes.block, ", ".join(labels), labels.index("YES") < labels.index("NO"))
    if places:
        usual = Counter(round(left, 0) for left, _ in places).most_common(1)[0][0]
        for left, step in places:
            yield at(step.answers[0].block, f"YES at {left:.1f} mm", abs(left - usual) <= 1.0)


@rule("CK-13", "A face holds nine steps at most", kinds=DECK, severity="should", limit=("<=", 9, "steps"),
      source="A checklist for checklists (surgical safety research group), 2010; its figure is for one pause point")  # fmt: skip
def steps_per_face(file: PdfFile) -> Iterator[Reading]:
    """The numbered steps of each face."""
    for face in faces(file):
        yield Reading(len(face.steps), f"card {face.code} face {face.number}", face.page.number)


@rule("CK-18", "Steps are numbered 1, 2, 3 without gap or repetition", kinds=DECK, wants="no gap, no repetition",
      source=sources.HSE)  # fmt: skip
def numbering(file: PdfFile) -> Iterator[Reading]:
    """The step numbers of each card in reading order."""
    for code, found in cards(file).items():
        steps = [step for face in found for step in face.steps]
        for expected, step in enumerate(steps, 1):
            yield at(step.head, step.number, step.number == expected, f"card {code}, expected {expected}")


@rule("CK-16", "No answer or result is only 'checked', 'set', 'OK' or 'normal'", kinds=PAPER,
      wants="a reading or a named state", source=sources.DEGANI_WIENER)  # fmt: skip
def results(file: PdfFile) -> Iterator[Reading]:
    """The question and the other texts of each step."""
    for step in all_steps(file):
        for block in step.after:
            yield at(block, block.text[:30], not _EMPTY_RESULTS.match(block.text))


@rule("CK-23", "Every decision between YES and NO asks a question", kinds=PAPER, wants="a question mark before YES",
      source=sources.HSE)  # fmt: skip
def criteria(file: PdfFile) -> Iterator[Reading]:
    """The texts between a step and its answers; whether the criterion can be judged is for a person."""
    for step in all_steps(file):
        labels = {answer.label for answer in step.answers}
        if {"YES", "NO"} <= labels:
            asked = any("?" in block.text for block in step.blocks)
            yield at(step.question or step.head, "asks" if asked else "no question", asked)


@rule("CK-27", "The condition opens the card, in 25 words at most", kinds=DECK, limit=("<=", 25, "words"),
      source=sources.DITA)  # fmt: skip
def opens_with_condition(file: PdfFile) -> Iterator[Reading]:
    """The words before the first step of a card that has steps."""
    for code, found in cards(file).items():
        if any(face.steps for face in found):
            opening = found[0].body[0] if found[0].body else None
            if opening is None or (found[0].steps and opening is found[0].steps[0].head):
                yield at(found[0].title, "no condition", False, f"card {code}")
            else:
                yield at(opening, len(opening.text.split()))


@rule("CK-28", "Every face names its document, card, face and number of faces", kinds=DECK,
      wants="one identity line a face, counts agree", source=sources.DOD_ITEM)  # fmt: skip
def identity(file: PdfFile) -> Iterator[Reading]:
    """The identity line of each page; its numbers must run from 1 to the number of faces that are there."""
    for page in file.pages:
        if face_of(page) is None:
            yield Reading(
                "no identity line", "the face does not say which it is", page.number, page.trim, False
            )
    for code, found in cards(file).items():
        for expected, face in enumerate(found, 1):
            right = face.number == expected and face.total == len(found)
            right = right and any(b.text == code for b in face.page.blocks)
            yield at(face.identity, f"face {face.number} of {face.total}", right)


@rule("DC-01", "Every face of a card carries the same revision and date, every face of a deck the same set", kinds=DECK,
      wants="one revision a card, one set a file", source=sources.DOD_ITEM)  # fmt: skip
def one_revision(file: PdfFile) -> Iterator[Reading]:
    """Document and set of each identity line against the commonest of the file, revision and date against the card's."""
    said = Counter((f.document, f.set_name) for f in faces(file)).most_common(1)
    for found in cards(file).values():
        card = Counter((f.revision, f.date) for f in found).most_common(1)
        for face in found:
            right = (face.document, face.set_name) == said[0][0] and (face.revision, face.date) == card[0][0]
            yield at(face.identity, f"revision {face.revision}, {face.date}", right)


@rule("DC-02", "The list of effective cards holds every card with its faces, and no other", kinds=DECK,
      wants="every card, its faces, nothing else", source=sources.MIL_38784)  # fmt: skip
def effective(file: PdfFile) -> Iterator[Reading]:
    """The rows of the tables that stand under a column for faces, against the identity lines; one card needs no list."""
    deck = cards(file)
    listed: dict[str, tuple[str, Element]] = {}
    for table in file.elements:
        if table.tag == "Table" and len(head := _cells(table, "THead")) == 1 and len(head[0]) >= 4:
            for row, element in zip(_cells(table, "TBody"), _rows(table, "TBody"), strict=True):
                if len(row) == len(head[0]) and re.fullmatch(r"[0-9A-Z]\d*", row[0]) and row[2].isdigit():
                    listed[row[0]] = (row[2], element)
    if not listed and len(deck) == 1:
        return
    if not listed:
        yield Reading("no list", "no table lists cards with their faces", 1, None, False)
    for code, found in deck.items():
        count = listed.get(code, ("not listed", None))[0]
        yield at(
            found[0].identity,
            f"{code}: {count}",
            count == str(len(found)),
            f"card {code} has {counted(len(found), 'face')}",
        )
    for code in listed.keys() - deck.keys():
        yield Reading(
            f"{code}: no such card", "listed but not in the file", listed[code][1].page or 1, None, False
        )


def _rows(table: Element, part: str) -> list[Element]:
    return [e for e in table.elements() if e.tag == "TR" and e.inside(part)]


def _cells(table: Element, part: str) -> list[list[str]]:
    return [[cell.text for cell in row.elements() if cell.tag in ("TH", "TD")] for row in _rows(table, part)]


@rule("DC-07", "From revision 2 on a card says what it replaces", kinds=DECK, wants="replaces ..., destroy",
      source=sources.ISM)  # fmt: skip
def superseded(file: PdfFile) -> Iterator[Reading]:
    """The word 'replaces' or 'destroy' somewhere in a deck of a later revision; a card alone leaves it to its deck."""
    found = faces(file)
    if len(cards(file)) > 1 and max(face.revision for face in found) > 1:
        says = any(
            re.search(r"\b(replaces|supersedes|destroy)\b", block.text, re.IGNORECASE)
            for block in file.blocks
        )
        yield at(found[0].identity, "says so" if says else "says nothing", says)


@rule("DC-14", "Every card of a condition says what it applies to", kinds=DECK, wants="an applies-to line on face 1 or 2",
      source="ATA iSpec 2200 and FAA AC 120-16, effectivity (from memory)")  # fmt: skip
def effectivity(file: PdfFile) -> Iterator[Reading]:
    """A text that begins with 'For' or 'Applies to' on the first sheet of a card with steps."""
    for code, found in cards(file).items():
        if any(face.steps for face in found):
            texts = [block.text for face in found[:2] for block in face.body]
            says = any(re.match(r"(For|Applies to|Fits)\b", text) for text in texts)
            yield at(found[0].title, "says so" if says else "no such line", says, f"card {code}")


@rule("FC-01", "A card has twelve faces at most, and an even number", kinds=DECK, severity="should",
      wants="<= 12 faces, even", source=sources.OURS)  # fmt: skip
def faces_per_card(file: PdfFile) -> Iterator[Reading]:
    """The faces of each card."""
    for code, found in cards(file).items():
        right = len(found) <= 12 and len(found) % 2 == 0
        yield at(found[0].title, f"{counted(len(found), 'face')}", right, f"card {code}")
