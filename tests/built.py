"""The finished files of the real content, made once a test run, and how to read their pages.

With several workers each file is made by the worker that asks first; the others wait at a lock. A refusal
is kept too, so that it is reported by each test and not tried again.
"""

from __future__ import annotations

import dataclasses
import fcntl
import functools
import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import pymupdf

from leadsman.book.verdict import judge
from leadsman.build import Order, build_editions
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.model.edition import Edition
from leadsman.content.rules import Verdict
from leadsman.errors import LeadsmanError
from leadsman.press.completeness import normalised

ROOT = Path(__file__).resolve().parent.parent
DECK, SHEETS, HANDBOOK = "pocket-deck", "sheet-deck", "handbook"
MM_PER_PT = 25.4 / 72

#: With this variable set the tests make the whole handbook, which takes minutes; else the choice below.
WHOLE = "LEADSMAN_WHOLE"
#: Entries of every area, with every kind of block: swaps, procedures, pictures, tables, waivers, references.
CHOICE = (
    "dead-unit", "which-part", "not-transmitting", "depth-lost-under-way", "noise-streaks", "temperature-wrong",
    "depth-missing-on-bus", "wrong-element", "proving-trial",
)  # fmt: skip
#: Conditions for the sheets: with table and picture, on one sheet and on two, of several areas.
SHEET_CHOICE = (
    "dead-unit",
    "no-sensor",
    "range-or-gate",
    "saw-tooth",
    "no-bottom-shallow",
    "depth-missing-on-serial",
)
#: Tables beside those of the entries: one of every kind of head and of cell.
TABLES = ("suitability-harrow-bank", "dead-zone", "near-field", "residual-tilt", "smallest-conductor-awg")

#: Findings of outloud that are set aside in a deck, with the reason. A handbook has none.
DECK_WAIVERS = {
    "TBL-010": "an index table with one or two rows truly has more header cells than data cells",
    "PAG-001": "cards are used apart from each other, so that each face says aloud which one it is",
}
HANDBOOK_WAIVERS = {
    "TBL-010": "a table of one computed column, or of one revision, truly has more header cells than data cells",
    "PAG-001": "the same caution stands before each step that it protects, at the head of a page too",
}


@functools.cache
def catalogue() -> Catalogue:
    """The project's content."""
    return load(ROOT / "content")


@functools.cache
def content() -> tuple[Catalogue, Verdict]:
    """The project's content and what the rules say of it."""
    return catalogue(), judge(catalogue())


@functools.cache
def edition(name: str) -> Edition:
    """An edition as the tests make it: the handbook with a choice of entries, or whole when asked for."""
    found = catalogue().editions[name]
    if name == SHEETS and not os.environ.get(WHOLE):
        return found.model_copy(update={"entries": list(SHEET_CHOICE)})
    if name == HANDBOOK and not os.environ.get(WHOLE):
        faults = catalogue().faults
        named = {
            name for entry in CHOICE for name in (faults[entry].card_table, *faults[entry].tables) if name
        }
        return found.model_copy(update={"entries": list(CHOICE), "tables": sorted({*named, *TABLES})})
    return found


def make(shared: Path, name: str, form: str) -> Path:
    """Make one edition in one format into the folder that all workers share, unless it is there."""
    suffix = "" if form in ("pdf", "epub") else f"-{form}"
    made = shared / f"{name}{suffix}.{form if form == 'epub' else 'pdf'}"
    refusal = made.with_suffix(f"{made.suffix}.refused")
    with (shared / f"{made.name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not made.exists() and not refusal.exists():
            try:
                _build(name, form, shared)
            except LeadsmanError as error:
                refusal.write_text(str(error), encoding="utf-8")
    if refusal.exists():
        raise AssertionError(refusal.read_text(encoding="utf-8"))
    return made


def _build(name: str, form: str, out: Path) -> None:
    found, verdict = content()
    if verdict.errors:
        raise LeadsmanError("\n".join(map(str, verdict.errors)))
    editions = {name: edition(name).model_copy(update={"formats": [form]})}
    narrowed = dataclasses.replace(found, records={**found.records, "editions": editions})
    build_editions(Order(narrowed, verdict, ROOT / "templates"), [name], out)


@dataclass(frozen=True)
class Letters:
    """Letters and digits of a page in reading order, and the size in which each is set [pt]."""

    text: str
    sizes_pt: tuple[float, ...]

    def find(self, words: str, start: int = 0) -> int:
        """Where some words stand, after ``start``; -1 if nowhere."""
        return self.text.find(normalised(words), start)

    def smallest_pt(self, words: str, start: int = 0) -> float:
        """The smallest size among the letters of some words."""
        at = self.find(words, start)
        return min(self.sizes_pt[at : at + len(normalised(words))])


@dataclass(frozen=True)
class Span:
    """A run of letters of one font: its place from the trim edge [mm], size [pt] and colour."""

    text: str
    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float
    size_pt: float
    colour: int
    bbox: Any


def page_letters(page: Any) -> Letters:
    """The letters of a page with their sizes."""
    text, sizes = "", []
    for span in _raw_spans(page):
        found = normalised(span["text"])
        text += found
        sizes += [span["size"]] * len(found)
    return Letters(text, tuple(sizes))


def page_spans(page: Any, trim_left_pt: float = 0.0, trim_top_pt: float = 0.0) -> list[Span]:
    """The runs of a page. Their height is that of the tallest letters, 0.75 em above and 0.22 em below the
    baseline, because the font's own box holds the line gap too."""
    spans = []
    for span in _raw_spans(page):
        if not span["text"].strip():
            continue
        x0, _, x1, _ = span["bbox"]
        baseline, size = span["origin"][1], span["size"]
        left, right = ((x - trim_left_pt) * MM_PER_PT for x in (x0, x1))
        top, bottom = (
            (y - trim_top_pt) * MM_PER_PT for y in (baseline - 0.75 * size, baseline + 0.22 * size)
        )
        spans.append(Span(span["text"], left, top, right, bottom, size, span["color"], span["bbox"]))
    return spans


def _raw_spans(page: Any) -> Iterator[dict[str, Any]]:
    flags = pymupdf.TEXTFLAGS_DICT & ~pymupdf.TEXT_PRESERVE_IMAGES
    for block in page.get_text("dict", flags=flags)["blocks"]:
        for line in block.get("lines", ()):
            yield from line["spans"]


def box_pt(page: pikepdf.Page, name: str) -> tuple[float, ...]:
    """A box of a page [pt]: left, bottom, right, top."""
    return tuple(float(number) for number in page.obj[name])


def grounds(page: Any, spans: list[Span]) -> list[tuple[float, ...]]:
    """The colour behind each run: the one that most of its area shows when the page is painted."""
    scale = 1.5
    painted = page.get_pixmap(matrix=pymupdf.Matrix(scale, scale), alpha=False)
    pixels = np.frombuffer(painted.samples, np.uint8).reshape(painted.height, painted.stride)
    pixels = pixels[:, : painted.width * 3].reshape(painted.height, painted.width, 3).astype(np.uint32)
    packed = (pixels[..., 0] << 16) | (pixels[..., 1] << 8) | pixels[..., 2]
    found = []
    for span in spans:
        x0, y0, x1, y1 = (round(edge * scale) for edge in span.bbox)
        colours, counts = np.unique(packed[y0 : y1 + 1, x0 : x1 + 1], return_counts=True)
        most = int(colours[counts.argmax()])
        found.append(tuple(((most >> shift) & 255) / 255 for shift in (16, 8, 0)))
    return found


def unresolved_links(document: Any) -> list[str]:
    """Links inside a document that lead nowhere."""
    names = document.resolve_names()
    lost = []
    for page in document:
        for link in page.get_links():
            if link["kind"] == pymupdf.LINK_URI:
                continue
            if link.get("nameddest", link.get("name")) in names or link.get("page", -1) >= 0:
                continue
            lost.append(f"page {page.number + 1}: {link}")
    return lost


def figure_alternatives(path: Path) -> list[str]:
    """The text alternative of each Figure of a tagged PDF, in its order."""
    found: list[str] = []

    def visit(node: Any) -> None:
        if isinstance(node, pikepdf.Array):
            for child in node:
                visit(child)
        elif isinstance(node, pikepdf.Dictionary):
            if node.get("/S") == "/Figure":
                found.append(str(node.get("/Alt", "")))
            visit(node.get("/K"))

    with pikepdf.open(path) as pdf:
        visit(pdf.Root.StructTreeRoot.K)
    return found


def contrast(first: tuple[float, ...], second: tuple[float, ...]) -> float:
    """Contrast ratio of two sRGB colours in 0..1 (WCAG 2.2, definitions of contrast ratio and luminance)."""
    light, dark = sorted((_luminance(first), _luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: tuple[float, ...]) -> float:
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour]
    return sum(weight * c for weight, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def document_words(document: Any) -> str:
    """All letters of a document, running lines at the head and foot of its pages left in."""
    return "\n".join(page_letters(page).text for page in document)


def identity_line(document_id: str, revision: int, date: str, set_name: str) -> re.Pattern[str]:
    """What the identity line of a face must say; its groups are the code, the face and the faces."""
    return re.compile(
        rf"{re.escape(document_id)}-([0A-Z][0-9]*), face (\d+) of (\d+), rev {revision}, "
        rf"{re.escape(date)}\. {re.escape(set_name)}\."
    )
