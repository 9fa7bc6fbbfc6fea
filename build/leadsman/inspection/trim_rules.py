"""Rules on the sheet: trim, bleed, safe margin, hole, line weights, what is lost or runs over."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterator

from leadsman.inspection import sources
from leadsman.inspection.colours import leaves_ink, luminance
from leadsman.inspection.findings import DECK, SHEETS, TAGGED, Reading, at, rule
from leadsman.inspection.model import Box, Page, PdfFile, Run, Shape, around
from leadsman.inspection.roles import face_of

#: Trim sizes of cards [mm].
CARD_SIZES_MM = {
    "A6": (105.0, 148.0),
    "100 x 150": (100.0, 150.0),
    "4 x 6 in": (101.6, 152.4),
    "A5": (148.0, 210.0),
    "half letter": (139.7, 215.9),
}
#: Sheets [mm]: the first two for an office printer, the others for a print shop.
SHEET_SIZES_MM = {
    "A4": (210.0, 297.0),
    "Letter": (215.9, 279.4),
    "A3": (297.0, 420.0),
    "Tabloid": (279.4, 431.8),
}
#: A ring-shaped line of this width or height is taken for the punch hole [mm].
_HOLE_MM = (4.0, 9.0)
#: A hole lies no farther than this from both edges of its corner [mm].
_CORNER_MM = 9.0
#: Lettering that shares more than this with another text runs over it [mm].
_OVERLAP_MM = 0.4


def _nearest(page: Page, sizes: dict[str, tuple[float, float]]) -> tuple[str, float]:
    sides = sorted((page.trim.width, page.trim.height))
    errors = {
        name: max(abs(a - b) for a, b in zip(sides, sorted(size), strict=True))
        for name, size in sizes.items()
    }
    name = min(errors, key=errors.__getitem__)
    return name, errors[name]


@rule("PH-01", "A card is A6, 100 x 150 mm, 4 x 6 in, A5 or half letter, true to 0.5 mm", kinds=DECK, limit=("<=", 0.5, "mm"),
      source=sources.ISO_216)  # fmt: skip
def trim_size(file: PdfFile) -> Iterator[Reading]:
    """The trim box of each page against the nearest size."""
    for page in file.pages:
        name, error = _nearest(page, CARD_SIZES_MM)
        yield Reading(
            round(error, 3), f"{page.trim.width:.1f} x {page.trim.height:.1f} mm, {name}", page.number
        )


@rule("PH-03", "A sheet is A4, Letter, A3 or Tabloid, true to 0.5 mm", kinds=SHEETS, limit=("<=", 0.5, "mm"),
      source=sources.ISO_216)  # fmt: skip
def sheet_size(file: PdfFile) -> Iterator[Reading]:
    """The page against the nearest sheet."""
    for page in file.pages:
        name, error = _nearest(page, SHEET_SIZES_MM)
        yield Reading(round(error, 3), name, page.number)


@rule("PH-19", "A sheet carries a bar of 100 mm, true to 0.2 mm", kinds=SHEETS, severity="should",
      limit=("<=", 0.2, "mm"), source=sources.COMMON)  # fmt: skip
def scale_bar(file: PdfFile) -> Iterator[Reading]:
    """The drawn shape whose width is nearest to 100 mm and that is not taller than 5 mm."""
    for page in file.pages:
        bars = [s for s in page.shapes if s.box.height < 5 and abs(s.box.width - 100) < 1]
        if bars:
            bar = min(bars, key=lambda s: abs(s.box.width - 100))
            yield Reading(round(abs(bar.box.width - 100), 3), "scale bar", page.number, bar.box)
        else:
            yield Reading("no bar", "no shape of about 100 mm", page.number, None, False)


@rule("PH-05", "Colour that reaches the edge goes on for 3 mm beyond it", kinds=DECK, limit=(">=", 3, "mm"),
      source=sources.PRINTERS)  # fmt: skip
def bleed(file: PdfFile) -> Iterator[Reading]:
    """The bleed box of each page, and each shape that comes within 0.5 mm of the trim edge or crosses it."""
    for page in file.pages:
        trim, outer = page.trim, page.bleed
        least = min(
            trim.left - outer.left, trim.top - outer.top, outer.right - trim.right, outer.bottom - trim.bottom
        )
        yield Reading(round(least, 3), "bleed box", page.number, None)
        for shape in page.shapes:
            yield from _beyond(shape, trim, page)


def _beyond(shape: Shape, trim: Box, page: Page) -> Iterator[Reading]:
    inside = shape.box.shared(trim)
    if inside is None or (inside.width <= 0 and inside.height <= 0):
        return
    box = shape.box
    for beyond in (
        trim.left - box.left,
        trim.top - box.top,
        box.right - trim.right,
        box.bottom - trim.bottom,
    ):
        if beyond > -0.5 and luminance(shape.colour) < 0.95:
            yield Reading(round(beyond, 3), "art at the edge", page.number, box)


@rule(
    "PH-06",
    "Text and lines keep 5 mm from the edge",
    kinds=DECK,
    limit=(">=", 5, "mm"),
    source=sources.PRINTERS,
)
def safe_margin(file: PdfFile) -> Iterator[Reading]:
    """The distance of each run, and of each line that does not bleed off, from the nearest edge."""
    for page in file.pages:
        for run in page.runs:
            if run.text.strip():
                yield at(run, round(_to_edge(run.box, page.trim), 2))
        for shape in page.shapes:
            if shape.is_rule and shape.box.shared(page.trim) is not None and page.trim.holds(shape.box):
                yield Reading(round(_to_edge(shape.box, page.trim), 2), "line", page.number, shape.box)


def _to_edge(box: Box, trim: Box) -> float:
    return min(box.left - trim.left, box.top - trim.top, trim.right - box.right, trim.bottom - box.bottom)


def _is_hole(ring: Box, trim: Box) -> bool:
    round_ = _HOLE_MM[0] < ring.width < _HOLE_MM[1] and abs(ring.width - ring.height) < 0.2
    side = min(ring.left - trim.left, trim.right - ring.right)
    return round_ and max(side, ring.top - trim.top) < _CORNER_MM


def _hole(page: Page) -> Box | None:
    """The punch hole: a ring of its size that is drawn in an upper corner and belongs to no figure."""
    rings = [
        ring
        for shape in page.shapes
        if shape.curved and page.trim.holds(ring := shape.whole) and _is_hole(ring, page.trim)
        and not any(figure.shared(ring) is not None for figure in page.figures)
    ]  # fmt: skip
    return around(rings) if rings else None


@rule("PH-10", "The hole lies 5 mm from the edge, and 4 mm around it are clear of text", kinds=DECK,
      wants=">= 5 mm to the edge, >= 4 mm to text", source=sources.COMMON)  # fmt: skip
def hole(file: PdfFile) -> Iterator[Reading]:
    """The drawn ring on each face, its distance from the edge, and from the letters."""
    for page in file.pages:
        ring = _hole(page)
        if ring is None:
            continue
        edge = _to_edge(ring, page.trim)
        yield Reading(f"{edge:.2f} mm to the edge", "hole", page.number, ring, edge >= 4.98)
        radius = ring.width / 2
        x, y = ring.left + radius, ring.top + radius
        for run in page.runs:
            if run.text.strip():
                across = max(run.box.left - x, x - run.box.right, 0.0)
                along = max(run.box.top - y, y - run.box.bottom, 0.0)
                clear = math.hypot(across, along) - radius
                yield at(run, f"{clear:.1f} mm to the hole", clear >= 3.98)


@rule("PH-16", "Lines are 0.5 pt or heavier, light ones 1 pt", kinds=TAGGED, wants=">= 0.5 pt, light on dark >= 1 pt",
      source=sources.PRINTERS)  # fmt: skip
def line_weight(file: PdfFile) -> Iterator[Reading]:
    """Strokes, and fills that are thin enough to be seen as lines, inside the trim size."""
    for page in file.pages:
        for shape in page.shapes:
            inside = shape.box.shared(page.trim)
            if shape.thickness_pt is None or inside is None or not page.trim.grown(0.1).holds(shape.box):
                continue
            least = 1.0 if luminance(shape.colour) > 0.8 else 0.5
            right = shape.thickness_pt >= least - 0.02
            yield Reading(f"{shape.thickness_pt:.2f} pt", "line", page.number, shape.box, right)


@rule("CK-26", "Nothing runs over: no text beyond the page, none upon another", kinds=TAGGED, limit=("<=", 0, "mm"),
      source=sources.COMMON)  # fmt: skip
def overflow(file: PdfFile) -> Iterator[Reading]:
    """How far letters stand beyond the trim size, and how far the texts of two elements overlap."""
    for page in file.pages:
        runs = [run for run in page.runs if run.text.strip() and not _in_figure(run)]
        for run in runs:
            beyond = max(0.0, -_to_edge(run.box, page.trim))
            yield at(run, round(beyond, 2))
        yield from _upon_another(page, runs)


def _upon_another(page: Page, runs: list[Run]) -> Iterator[Reading]:
    ordered = sorted(runs, key=lambda run: run.box.top)
    for i, run in enumerate(ordered):
        for other in ordered[i + 1 :]:
            if other.box.top > run.box.bottom:
                break
            both = _letters(run).shared(_letters(other))
            if (
                both is not None
                and run.block is not other.block
                and min(both.width, both.height) > _OVERLAP_MM
            ):
                yield at(
                    other,
                    round(both.height, 2),
                    says=f"'{other.text.strip()[:30]}' upon '{run.text.strip()[:30]}'",
                )


def _letters(run: Run) -> Box:
    """The band of the small letters: where two of these meet, letters lie upon letters."""
    height = run.box.height
    return Box(run.box.left, run.box.top + 0.25 * height, run.box.right, run.box.bottom - 0.2 * height)


def _in_figure(run: Run) -> bool:
    return run.element is not None and run.element.inside("Figure") is not None


@rule("LT-01", "No text is clipped, hidden or lost", kinds=TAGGED, wants="every text is seen and found",
      source=sources.OURS)  # fmt: skip
def lost(file: PdfFile) -> Iterator[Reading]:
    """Runs that leave no ink in their box, that are drawn invisibly, and wanted texts that are not in the file."""
    for page in file.pages:
        for run in page.runs:
            if run.text.strip() and len(run.text.strip()) > 1:
                seen = not run.invisible and run.opacity > 0 and leaves_ink(page, run)
                yield at(run, "seen" if seen else "not seen", seen)
    if file.required_texts:
        whole = [_plain("".join(r.text for b in page.blocks for r in b.runs) + "".join(r.text for r in page.runs if r.block is None)) for page in file.pages]  # fmt: skip
        everything = "".join(whole)
        for text in file.required_texts:
            if key := _plain(text):
                yield Reading(text[:60], "wanted text", 0, None, key in everything)


def _plain(text: str) -> str:
    return re.sub(r"[\W_]+", "", unicodedata.normalize("NFKC", text).casefold())


@rule("LO-02", "A card leaves 23 % of its height free for longer languages", kinds=DECK, severity="should",
      limit=(">=", 23, "%"), source=sources.OURS)  # fmt: skip
def free_height(file: PdfFile) -> Iterator[Reading]:
    """The height between the last text and the foot, over the height between bar and foot."""
    for page in file.pages:
        face = face_of(page)
        body = face.body if face is not None else page.blocks
        room = page.trim.height - 18 - 11
        head = page.trim.top + 18
        used = max((block.box.bottom for block in body), default=head) - head
        yield Reading(round(100 * (1 - used / room), 1), "free height", page.number)
