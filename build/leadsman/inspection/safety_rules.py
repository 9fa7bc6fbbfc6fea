"""Rules on cautions: before the step they protect, on the same page, apart from it, and nothing hidden in them."""

from __future__ import annotations

import re
from collections.abc import Iterator

from leadsman.inspection import sources
from leadsman.inspection.colours import hue, is_grey
from leadsman.inspection.findings import BOOKS, DECK, PAPER, Reading, at, rule
from leadsman.inspection.model import Block, Page, PdfFile
from leadsman.inspection.roles import (
    SIGNALS,
    face_of,
    is_caution,
    is_fix,
    main_size,
    signal_of,
    step_number,
    steps,
)

#: Safety colour of each signal word (ANSI Z535, ISO 3864-2).
_COLOURS = {"DANGER": "red", "WARNING": "orange", "CAUTION": "yellow", "NOTICE": "blue"}
_CM2_MM2 = 100.0


def _texts(page: Page) -> list[Block]:
    face = face_of(page)
    return face.body if face is not None else page.blocks


@rule("SF-05", "A caution stands right before the step that it protects, on the same page", kinds=PAPER,
      wants="step or fix follows on the page", source=f"{sources.Z535}; aviation maintenance publications (restated)")  # fmt: skip
def before_step(file: PdfFile) -> Iterator[Reading]:
    """What follows each caution that stands by itself; a grouped list of hazards protects no single step."""
    for page in file.pages:
        texts = _texts(page)
        for i, block in enumerate(texts):
            if is_caution(block) and not _in_group(texts, i):
                following = next((b for b in texts[i + 1 :] if not is_caution(b)), None)
                right = following is not None and _acts(following, strict=face_of(page) is not None)
                says = following.text[:30] if following is not None else "nothing on this page"
                yield at(block, f"then: {says}", right)


def _acts(block: Block, strict: bool) -> bool:
    """A step or a fix; in a book also the unnumbered action of a method, but no heading."""
    if step_number(block) is not None or is_fix(block):
        return True
    return not strict and block.tag in ("P", "LI")


def _in_group(texts: list[Block], index: int) -> bool:
    """Whether a caution belongs to a list of general hazards: five or more in a row, or on a page without any step."""
    first = index
    while first and is_caution(texts[first - 1]):
        first -= 1
    last = index
    while last + 1 < len(texts) and is_caution(texts[last + 1]):
        last += 1
    return last - first >= 4 or not any(step_number(b) is not None or is_fix(b) for b in texts)


@rule(
    "SF-08",
    "No step hides in a caution",
    kinds=PAPER,
    wants="no numbered item in a caution",
    source=sources.STE,
)
def no_step_inside(file: PdfFile) -> Iterator[Reading]:
    """The labels of list items inside the element of a caution."""
    for block in file.blocks:
        if is_caution(block):
            numbered = bool(re.search(r"(^|\s)\d+[.)] [A-Z]", block.text)) or block.label.isdigit()
            yield at(block, "numbered item" if numbered else "none", not numbered)


@rule("SF-09", "A book groups its general safety messages before the first step", kinds=BOOKS,
      wants="three or more together, before step 1", source=sources.MIL_38784)  # fmt: skip
def grouped(file: PdfFile) -> Iterator[Reading]:
    """Cautions, or sentences that begin with 'Do not' or 'Never', that stand together before any step."""
    together = 0
    for page in file.pages:
        for block in page.blocks:
            if step_number(block) is not None and steps(page):
                yield Reading(
                    f"{together} together", "before the first step", page.number, None, together >= 3
                )
                return
            together += is_caution(block) or bool(re.match(r"(• ?)?(Do not|Never)\b", block.text))
    if file.pages:
        yield Reading(f"{together} together", "no step in the file", len(file.pages), None, True)


@rule("SF-10", "Red, orange and yellow fields are for safety alone", kinds=DECK, wants="no field over 1 cm2 without a signal word",
      source=sources.ISO_3864)  # fmt: skip
def colours_kept(file: PdfFile) -> Iterator[Reading]:
    """Fills of more than a square centimetre in a safety colour, and whether a signal word stands in them."""
    for page in file.pages:
        words = [run for run in page.runs if run.text.strip() in SIGNALS]
        for shape in page.shapes:
            seen = shape.box.shared(page.trim)
            if shape.fill is None or shape.is_rule or is_grey(shape.fill) or seen is None:
                continue
            name = hue(shape.fill)
            if name in ("red", "orange", "yellow") and seen.width * seen.height > _CM2_MM2:
                right = any(shape.box.grown(0.5).shared(word.box) is not None for word in words)
                yield Reading(
                    f"{seen.width * seen.height / 100:.1f} cm2 of {name}", "field", page.number, seen, right
                )


@rule("SF-13", "A caution stands out: framed or on a panel, its signal word no smaller than the text", kinds=PAPER,
      wants="line >= 0.5 pt around it or a field, word >= text", source=sources.GUIDE_37)  # fmt: skip
def stands_out(file: PdfFile) -> Iterator[Reading]:
    """The lines and fields that touch the box of each caution, and the size of its signal word."""
    for page in file.pages:
        for block in page.blocks:
            if not is_caution(block):
                continue
            near = block.box.grown(3)
            touching = [s for s in page.shapes if s.box.shared(near) is not None]
            framed = any(s.is_rule and (s.thickness_pt or 0) >= 0.48 for s in touching)
            panel = any(not s.is_rule and s.fill is not None and not is_grey(s.fill) for s in touching)
            word = next(run for run in block.runs if run.text.strip())
            large = word.size_pt >= main_size(block.runs) - 0.01
            yield at(
                block,
                "stands out" if (framed or panel) and large else "like other text",
                (framed or panel) and large,
            )


@rule("SF-04", "Signal words have the field of their standard colour", kinds=PAPER, severity="should",
      wants="red, orange, yellow, blue", source=sources.Z535)  # fmt: skip
def panel_colours(file: PdfFile) -> Iterator[Reading]:
    """The coloured field under each signal word, if there is one."""
    for page in file.pages:
        for block in page.blocks:
            word = signal_of(block)
            if word is None:
                continue
            run = next(run for run in block.runs if run.text.strip())
            fields = [s for s in page.shapes if s.fill is not None and not s.is_rule and not is_grey(s.fill) and s.box.shared(run.box)]  # fmt: skip
            for shape in fields[-1:]:
                name = hue(shape.fill or (0, 0, 0))
                yield at(run, name, name == _COLOURS[word])
