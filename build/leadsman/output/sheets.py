"""Print-shop sheets of a finished deck: several cards a sheet, both sides in register, marks and a scale bar.

The sheets are for printing only. The cards keep their fonts and lines, but not their tags and links: the
deck with one face a page stays the file to read and to publish.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name

from leadsman.apart import stranger
from leadsman.content.model.phrases import SheetWords, filled
from leadsman.errors import OutputError, counted, quoted
from leadsman.output.imposition import BLEED_MM, MARK_MM, Flip, Plan, Slot, plan
from leadsman.output.templating import stylesheet
from leadsman.press import atomic
from leadsman.press.repair import POINTS_PER_MM
from leadsman.press.typeset import Typesetter, fixed_font_date

#: Faces whose trim sizes differ by less are the same size [mm].
_SAME_MM = 0.05
#: Punch hole of the cards [mm]: its diameter and the distance of its edge from the two nearest trim edges.
HOLE_MM, HOLE_INSET_MM = 5.0, 5.0
#: Round corner, and how far the film stands beyond the paper [mm].
CORNER_MM, FILM_MM = 3.0, 4.0
#: As printed: the scale of the sheets.
_SCALE = "100 %"


@dataclass(frozen=True)
class FinishedSheets:
    """The files that were made, and how many cards and sheets they hold."""

    sheets: Path
    template: Path
    card_count: int
    sheet_count: int
    plan: Plan


@dataclass(frozen=True)
class _Deck:
    pdf: pikepdf.Pdf
    title: str
    trim_mm: tuple[float, float]


def write_sheets(
    deck: Path, paper: str, flip: Flip, words: SheetWords, *, out: Path, templates: Path, stacked: bool = False,
    typesetter: Typesetter | None = None,
) -> FinishedSheets:  # fmt: skip
    """Lay the cards of a deck onto sheets; both files are finished before either is put in its place.

    Raises
    ------
    OutputError
        When the file is no deck: its faces must be even in number, of one trim size, with a bleed.
    """
    setter = typesetter or Typesetter(templates)
    with _open(deck) as pdf:
        source = _read(pdf, deck)
        arrangement = plan(source.trim_mm, paper, flip)
        count = len(pdf.pages) // 2
        dealt = list(arrangement.sheets(count, stacked=stacked))
        css = [stylesheet(templates, "sheets"), _page_css(arrangement)]
        title = filled(words.title, title=source.title)
        furniture = _typeset(setter, _sheets_html(arrangement, dealt, source.title, words), css, title)
        template = _typeset(setter, _template_html(arrangement, source, words), css, title)
        sheets = _imposed(source, arrangement, dealt, furniture, words)
    stem = f"{deck.stem}-print-only-{paper}-{flip}"
    made = FinishedSheets(out / f"{stem}.pdf", out / f"{stem}-template.pdf", count, len(dealt), arrangement)
    atomic.write_bytes(made.sheets, sheets)
    atomic.write_bytes(made.template, template)
    return made


# --- reading the deck --------------------------------------------------------------------------


#: So many faces a deck has at most, and so long is the side of a page [pt] (ISO 32000-1, annex C).
_MOST_FACES, _LONGEST_PT = 2000, 14_400.0


def _open(path: Path) -> pikepdf.Pdf:
    try:
        pdf = pikepdf.open(io.BytesIO(stranger(path)))
    except pikepdf.PasswordError:
        raise OutputError(f"{path} is locked with a password") from None
    except pikepdf.PdfError as error:
        raise OutputError(f"{path} cannot be read as a PDF ({type(error).__name__})") from None
    if pdf.is_encrypted:
        raise OutputError(f"{path} is locked; save it without a lock")
    return pdf


def _read(pdf: pikepdf.Pdf, path: Path) -> _Deck:
    if len(pdf.pages) == 0 or len(pdf.pages) % 2 or len(pdf.pages) > _MOST_FACES:
        raise OutputError(
            f"{path} has {counted(len(pdf.pages), 'page')}; a deck has a front and a back for each card"
        )
    if any("MediaBox" in warning for warning in pdf.get_warnings()):
        raise OutputError(f"{path}: a page has a box that is none")
    first = None
    for number, page in enumerate(pdf.pages, 1):
        try:
            boxes = [[float(side) for side in box] for box in (page.mediabox, page.trimbox)]
        except (TypeError, ValueError):
            raise OutputError(f"{path}: page {number} has a box that is none") from None
        if not all(len(box) == 4 and all(abs(side) <= _LONGEST_PT for side in box) for box in boxes):
            raise OutputError(f"{path}: page {number} has a box that no page has")
        size = _size_mm(page.trimbox)
        first = first or size
        if any(abs(a - b) > _SAME_MM for a, b in zip(size, first, strict=True)):
            raise OutputError(f"{path}: page {number} is trimmed to another size than page 1")
        if any(beyond < BLEED_MM - _SAME_MM for beyond in _beyond_trim_mm(page)):
            raise OutputError(f"{path}: page {number} has no bleed of {BLEED_MM:g} mm; is this a deck?")
    title = quoted(pdf.docinfo.get("/Title", path.stem), 120)
    assert first is not None
    return _Deck(pdf, title, first)


def _size_mm(box: Any) -> tuple[float, float]:
    left, bottom, right, top = (float(number) / POINTS_PER_MM for number in box)
    return round(right - left, 2), round(top - bottom, 2)


def _beyond_trim_mm(page: pikepdf.Page) -> list[float]:
    media, trim = ([float(n) / POINTS_PER_MM for n in box] for box in (page.mediabox, page.trimbox))
    return [trim[0] - media[0], trim[1] - media[1], media[2] - trim[2], media[3] - trim[3]]


# --- what stands beside the cards --------------------------------------------------------------


def _typeset(setter: Typesetter, html: str, css: Sequence[str], title: str) -> bytes:
    layout = setter.lay_out(html, css, title=title, target="the print-shop sheets")
    with fixed_font_date():
        raw = layout.document.write_pdf()
    with pikepdf.open(io.BytesIO(raw)) as pdf:
        return _saved(pdf)


def _page_css(arrangement: Plan) -> str:
    width, height = arrangement.page_mm
    return f"@page {{ size: {width:g}mm {height:g}mm; margin: 0 }} .sheet {{ width: {width:g}mm; height: {height:g}mm }}"


def _sheets_html(
    arrangement: Plan, dealt: Sequence[Sequence[int | None]], title: str, words: SheetWords
) -> str:
    pages = []
    for number, cards in enumerate(dealt, 1):
        for side, slots in _sides(arrangement, words):
            used = [slot for slot, card in zip(slots, cards, strict=True) if card is not None]
            line = filled(
                words.foot,
                title=title,
                number=number,
                side=filled(side, number=len(dealt)),
                scale=_SCALE,
                turn=words.turns[arrangement.flip],
            )
            pages.append(_page(_marks(used, arrangement) + _foot(arrangement, line)))
    return "".join(pages)


def _sides(arrangement: Plan, words: SheetWords) -> list[tuple[str, tuple[Slot, ...]]]:
    if arrangement.two_sided:
        return [(words.front, arrangement.fronts), (words.back, arrangement.backs)]
    return [("{given: number}", arrangement.fronts)]


def _page(inside: str) -> str:
    return f'<div class="sheet">{inside}</div>'


def _box(class_name: str, left: float, bottom: float, width: float, height: float, text: str = "") -> str:
    style = f"left: {left:.3f}mm; bottom: {bottom:.3f}mm; width: {width:.3f}mm; height: {height:.3f}mm"
    return f'<div class="{class_name}" style="{style}">{escape(text)}</div>'


def _outline(slot: Slot, arrangement: Plan) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of what is cut out in one piece: a card, or a folded pair."""
    width = slot.width_mm * (1 if arrangement.two_sided else 2)
    return slot.left_mm, slot.bottom_mm, slot.left_mm + width, slot.bottom_mm + slot.height_mm


def _marks(slots: Sequence[Slot], arrangement: Plan) -> str:
    """Crop marks beyond the bleed, left out where the neighbour's bleed would cover them."""
    outlines = [_outline(slot, arrangement) for slot in slots]
    wide = arrangement.gap_mm >= 2 * (BLEED_MM + MARK_MM) - 1e-6
    drawn = []
    for left, bottom, right, top in outlines:
        for x, side in ((left, -1), (right, 1)):
            for y in (bottom, top):
                start = x + side * BLEED_MM - (MARK_MM if side < 0 else 0)
                if wide or not any(
                    o[0] <= x + side * (arrangement.gap_mm + 1) <= o[2] for o in outlines if o[1] == bottom
                ):
                    drawn.append(_box("mark across", start, y, MARK_MM, 0))
        for y, side in ((bottom, -1), (top, 1)):
            for x in (left, right):
                start = y + side * BLEED_MM - (MARK_MM if side < 0 else 0)
                if wide or not any(
                    o[1] <= y + side * (arrangement.gap_mm + 1) <= o[3] for o in outlines if o[0] == left
                ):
                    drawn.append(_box("mark along", x, start, 0, MARK_MM))
        if not arrangement.two_sided:
            fold = (left + right) / 2
            drawn += [
                _box("mark fold", fold, start, 0, MARK_MM)
                for start in (bottom - BLEED_MM - MARK_MM, top + BLEED_MM)
            ]
    return "".join(drawn)


def _foot(arrangement: Plan, line: str) -> str:
    """The line that names the sheet, over a bar of exactly 100 mm and one of exactly 4 inches."""
    middle = arrangement.page_mm[0] / 2
    parts = [_box("line", middle - 95, 11.5, 190, 4, line)]
    for length, bottom, text in ((100.0, 9.0, "100 mm"), (101.6, 6.0, "4 in")):
        parts.append(_box("bar", middle - 50, bottom, length, 1.6))
        parts.append(_box("label", middle - 50 + length + 2, bottom - 0.8, 30, 3, text))
    return "".join(parts)


def _template_html(arrangement: Plan, source: _Deck, words: SheetWords) -> str:
    """One page to lay over a printed sheet: trim, bleed, film, corners, punch holes, fold."""
    drawn = []
    for slot in arrangement.fronts:
        left, bottom, right, top = _outline(slot, arrangement)
        for class_name, beyond in (("bleed", BLEED_MM), ("trim", 0.0)):
            drawn.append(
                _box(
                    class_name,
                    left - beyond,
                    bottom - beyond,
                    right - left + 2 * beyond,
                    top - bottom + 2 * beyond,
                )
            )
        hole_bottom = top - HOLE_INSET_MM - HOLE_MM
        drawn.append(_box("hole", left + HOLE_INSET_MM, hole_bottom, HOLE_MM, HOLE_MM))
        if not arrangement.two_sided:
            drawn.append(_box("hole", right - HOLE_INSET_MM - HOLE_MM, hole_bottom, HOLE_MM, HOLE_MM))
            drawn.append(
                _box("crease", (left + right) / 2, bottom - BLEED_MM, 0, top - bottom + 2 * BLEED_MM)
            )
        drawn.append(
            _box("says", left + 12, top - 62, slot.width_mm - 24, 40, _advice(arrangement, source, words))
        )
    line = filled(words.template, title=source.title, scale=_SCALE)
    return _page("".join(drawn) + _foot(arrangement, line))


def _advice(arrangement: Plan, source: _Deck, words: SheetWords) -> str:
    width, height = source.trim_mm
    return filled(
        words.advice,
        scale=_SCALE,
        turn=words.turns[arrangement.flip],
        fold="" if arrangement.two_sided else f" {words.fold}",
        size=f"{width:g} x {height:g} mm",
        corner=f"{CORNER_MM:g} mm",
        film=f"{FILM_MM:g} mm",
        hole=f"{HOLE_MM:g} mm",
    )


# --- putting the cards in ----------------------------------------------------------------------


def _imposed(
    source: _Deck,
    arrangement: Plan,
    dealt: Sequence[Sequence[int | None]],
    furniture: bytes,
    words: SheetWords,
) -> bytes:
    with pikepdf.open(io.BytesIO(furniture)) as pdf:
        forms = [_form(pdf, page) for page in source.pdf.pages]
        pages: Iterator[pikepdf.Page] = iter(pdf.pages)
        for cards in dealt:
            if arrangement.two_sided:
                for offset, slots in ((0, arrangement.fronts), (1, arrangement.backs)):
                    placed = [
                        (slot, 2 * c + offset, forms[2 * c + offset])
                        for slot, c in zip(slots, cards, strict=True)
                        if c is not None
                    ]
                    _place(pdf, next(pages), placed, None)
            else:
                placed = [
                    (slot, 2 * c + offset, forms[2 * c + offset])
                    for offset, slots in ((0, arrangement.fronts), (1, arrangement.backs))
                    for slot, c in zip(slots, cards, strict=True) if c is not None
                ]  # fmt: skip
                _place(pdf, next(pages), placed, arrangement)
        pdf.docinfo["/Title"] = filled(words.title_of, title=source.title, turn=words.turns[arrangement.flip])
        return _saved(pdf)


def _form(target: pikepdf.Pdf, page: pikepdf.Page) -> Any:
    """A face as a form whose trim corner is at (0, 0): it keeps its bleed and loses its tags."""
    form = target.copy_foreign(page.as_form_xobject())
    trim = [float(number) for number in page.trimbox]
    # As made, its box is the trim: the bleed would be cut off.
    form.BBox = Array([float(number) for number in page.mediabox])
    form.Matrix = Array([1, 0, 0, 1, -trim[0], -trim[1]])
    for key in ("/StructParents", "/StructParent", "/Group"):
        if key in form:
            del form[key]
    return form


def _place(
    pdf: pikepdf.Pdf, page: pikepdf.Page, placed: Sequence[tuple[Slot, int, Any]], folded: Plan | None
) -> None:
    drawn = []
    for slot, number, form in placed:
        # The library's own names are drawn by lot; the same deck must give the same bytes.
        name = page.add_resource(form, Name.XObject, Name(f"/Face{number}"))
        left, bottom, width, height = _window(slot, folded)
        clip = " ".join(_points(number) for number in (left, bottom, width, height))
        a, b, c, d, e, f = slot.matrix
        drawn.append(f"q {clip} re W n {a:g} {b:g} {c:g} {d:g} {_points(e)} {_points(f)} cm {name} Do Q")
    page.contents_add(pdf.make_stream("\n".join(drawn).encode("ascii")), prepend=True)


def _window(slot: Slot, folded: Plan | None) -> tuple[float, float, float, float]:
    """What of a face is printed: trim and bleed, but no bleed across a fold."""
    left, right = slot.left_mm - BLEED_MM, slot.left_mm + slot.width_mm + BLEED_MM
    if folded is not None:
        is_front = slot in folded.fronts
        left, right = (left, right - BLEED_MM) if is_front else (left + BLEED_MM, right)
    return left, slot.bottom_mm - BLEED_MM, right - left, slot.height_mm + 2 * BLEED_MM


def _points(length_mm: float) -> str:
    return f"{length_mm * POINTS_PER_MM:.4f}"


def _saved(pdf: pikepdf.Pdf) -> bytes:
    for key in ("/StructTreeRoot", "/MarkInfo", "/Metadata", "/Names", "/Outlines"):
        if key in pdf.Root:
            del pdf.Root[key]
    pdf.Root.ViewerPreferences = Dictionary(PrintScaling=Name("/None"), DisplayDocTitle=True)
    out = io.BytesIO()
    pdf.save(out, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return out.getvalue()
