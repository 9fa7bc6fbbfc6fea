"""Read a finished PDF: letters with their sizes and colours from one library, tags from another.

Both walk the content of a page in the same order, so that the nth glyph of the one is the nth of the
other: that ties each run of letters to its structure element.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import pymupdf

from leadsman.apart import stranger
from leadsman.errors import OutputError
from leadsman.inspection.active import active_content
from leadsman.inspection.model import MM_PER_PT, Annotation, Box, Element, Page, PdfFile, Run, Typeface
from leadsman.inspection.shapes import shapes
from leadsman.inspection.typefaces import typeface

_SHOWING = frozenset({"Tj", "TJ", "'", '"'})
_PAINTING = frozenset({"f", "F", "f*", "B", "B*", "b", "b*", "S", "s", "sh", *_SHOWING})
#: Letters that reach below the line.
_DESCENDING = frozenset("gjpqy,;()[]{}|/@$§_ç")
#: Nested forms deeper than this are not followed (a file could refer to itself).
_DEEPEST_FORM = 12


@dataclass(frozen=True)
class _Slice:
    """Glyphs shown by one operator, and the marked content around it."""

    count: int
    font: Any
    mcid: int | None
    artifact: bool


def read_pdf(path: Path, required_texts: Sequence[str] = ()) -> PdfFile:
    """Read a finished PDF.

    Raises
    ------
    OutputError
        When the file is missing, is no PDF, or needs a password.
    """
    data = stranger(Path(path))
    try:
        with pikepdf.open(io.BytesIO(data)) as pdf:
            _require_sane(Path(path), pdf)
            return _read(Path(path), data, pdf, required_texts)
    except pikepdf.PasswordError:
        raise OutputError(f"{path} is locked with a password") from None
    except (pikepdf.PdfError, OSError, RuntimeError) as error:
        raise OutputError(f"{path} cannot be read as a PDF ({type(error).__name__})") from None


#: Pages of the longest book, the side of a page [pt] (ISO 32000-1, annex C), and marked content of a page.
_MOST_PAGES, _LONGEST_PT, _MOST_MARKED = 5000, 14_400.0, 1_000_000


def _require_sane(path: Path, pdf: pikepdf.Pdf) -> None:
    """Refuse in words what would cost time and memory without end."""
    if pdf.is_encrypted:
        raise OutputError(f"{path} is locked; save it without a lock")
    if len(pdf.pages) > _MOST_PAGES:
        raise OutputError(f"{path} has more than {_MOST_PAGES} pages")
    # The library puts a page of Letter size in the place of one that it cannot read.
    if any("MediaBox" in warning for warning in pdf.get_warnings()):
        raise OutputError(f"{path}: a page has a MediaBox that no page has")
    for number, page in enumerate(pdf.pages, 1):
        for name in ("/MediaBox", "/CropBox", "/TrimBox", "/BleedBox"):
            box = page.obj.get(name)
            # What is inherited or missing the library finds, and mends what it must.
            if not _is_box(page.mediabox if box is None else box):
                raise OutputError(f"{path}: page {number} has a {name[1:]} that no page has")


def _is_box(box: Any) -> bool:
    try:
        left, bottom, right, top = (float(side) for side in box)
    except (TypeError, ValueError):
        return False
    return (
        all(abs(side) <= _LONGEST_PT for side in (left, bottom, right, top))
        and left != right
        and bottom != top
    )


def _read(path: Path, data: bytes, pdf: pikepdf.Pdf, required_texts: Sequence[str]) -> PdfFile:
    document: Any = pymupdf.Document(stream=data, filetype="pdf")  # type: ignore[no-untyped-call]
    root = pdf.Root
    page_numbers = {page.obj.objgen: number for number, page in enumerate(pdf.pages, 1)}
    tree, marked, owners = _tree(root.get("/StructTreeRoot"), page_numbers)
    fonts = _Fonts()
    framed = [e for top in tree for e in top.elements() if e.tag == "Figure" and e.frame is not None]
    names = document.resolve_names()
    raw = [
        (painted, page, *_slices(page), painted.get_texttrace())
        for painted, page in zip(document, pdf.pages, strict=True)
    ]
    for _, _, slices, _, spans in raw:
        fonts.learn(slices, spans)
    pages = []
    for number, (painted, page, slices, untagged, spans) in enumerate(raw, 1):
        frame = _Frame.of(page)
        runs = list(_runs(number, frame, slices, spans, fonts, marked, _visible(painted)))
        pages.append(
            Page(
                number, frame.box(page.trimbox), frame.box(page.mediabox), _bleed(page, frame), runs,
                shapes(painted, number, frame.box_of_painted), _annotations(number, page, frame, owners, names),
                str(page.obj.get("/Tabs", "")), untagged, [frame.box(e.frame) for e in framed if e.page == number],
                bool(painted.get_image_info()), _painter(painted),
            )
        )  # fmt: skip
    with pdf.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as xmp:
        ua_part, xmp_title = str(xmp.get("pdfuaid:part", "")), str(xmp.get("dc:title", ""))
    mark = root.get("/MarkInfo", pikepdf.Dictionary())
    return PdfFile(
        path=path, pages=pages, tree=tree, title=str(pdf.docinfo.get("/Title", "")) or xmp_title,
        language=str(root.get("/Lang", "")), marked=bool(mark.get("/Marked", False)),
        suspects=bool(mark.get("/Suspects", False)),
        shows_title=bool(root.get("/ViewerPreferences", pikepdf.Dictionary()).get("/DisplayDocTitle", False)),
        ua_part=ua_part, xmp_title=xmp_title,
        outline=[(int(level), str(title), int(page)) for level, title, page in document.get_toc()],
        typefaces=fonts.all(), fields=sum(a.kind == "field" for page in pages for a in page.annotations),
        required_texts=tuple(required_texts), active=active_content(pdf),
    )  # fmt: skip


# --- places ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Frame:
    """From the coordinates of the file [pt, up] and of the painter [pt, down] to ours [mm, down, from the trim]."""

    trim_left: float
    trim_top: float
    media_left: float
    media_top: float

    @classmethod
    def of(cls, page: pikepdf.Page) -> _Frame:
        """The frame of a page."""
        trim, media = page.trimbox, page.cropbox
        return cls(float(trim[0]), float(trim[3]), float(media[0]), float(media[3]))

    def box(self, box: Any) -> Box:
        """A box of the file."""
        left, bottom, right, top = (float(number) for number in box)
        return Box(
            (left - self.trim_left) * MM_PER_PT, (self.trim_top - top) * MM_PER_PT,
            (right - self.trim_left) * MM_PER_PT, (self.trim_top - bottom) * MM_PER_PT,
        )  # fmt: skip

    def x(self, painted: float) -> float:
        """A place across, as painted."""
        return (painted + self.media_left - self.trim_left) * MM_PER_PT

    def y(self, painted: float) -> float:
        """A place down, as painted."""
        return (painted + self.trim_top - self.media_top) * MM_PER_PT

    def box_of_painted(self, box: Any) -> Box:
        """A box as painted."""
        left, top, right, bottom = box
        return Box(self.x(left), self.y(top), self.x(right), self.y(bottom))


def _bleed(page: pikepdf.Page, frame: _Frame) -> Box:
    return frame.box(page.obj.get("/BleedBox", page.trimbox))


def _painter(painted: Any) -> Callable[[float], Any]:
    def paint(scale: float) -> Any:
        made = painted.get_pixmap(matrix=pymupdf.Matrix(scale, scale), alpha=False, annots=True)  # type: ignore[no-untyped-call]
        pixels = np.frombuffer(made.samples, np.uint8).reshape(made.height, made.stride)
        return pixels[:, : made.width * 3].reshape(made.height, made.width, 3)

    return paint


# --- letters -----------------------------------------------------------------------------------


class _Fonts:
    """The fonts of the file, each read once, with the glyph numbers of the letters that are printed."""

    def __init__(self) -> None:
        self._fonts: dict[Any, Any] = {}
        self._glyphs: dict[Any, dict[str, int]] = {}
        self._faces: dict[Any, Typeface] = {}

    def learn(self, slices: Sequence[_Slice], spans: Any) -> None:
        """Note which glyph stands for which letter."""
        for slice_, letters, _ in _matched(slices, spans):
            if slice_ is not None and slice_.font is not None:
                self._fonts[slice_.font.objgen] = slice_.font
                known = self._glyphs.setdefault(slice_.font.objgen, {})
                known.update((chr(code), glyph) for code, glyph, *_ in letters if code > 32 and glyph > 0)

    def face(self, font: Any, span: Any) -> Typeface:
        """The typeface of a run; for letters outside the tags of a damaged file, what the painter knows."""
        if font is None:
            return Typeface(
                str(span["font"]), True, True, bool(span["flags"] & 16), bool(span["flags"] & 2), False
            )
        if font.objgen not in self._faces:
            self._faces[font.objgen] = typeface(font, self._glyphs.get(font.objgen, {}))
        return self._faces[font.objgen]

    def all(self) -> list[Typeface]:
        """Every typeface that prints a letter."""
        return [self.face(font, None) for font in self._fonts.values()]


def _matched(slices: Sequence[_Slice], spans: Any) -> Iterator[tuple[_Slice | None, list[Any], Any]]:
    """The letters of each painted span, cut where the marked content changes.

    The second letter of a ligature has no glyph of its own. If both libraries do not count the same
    glyphs, the tags of the page are unknown: every span comes without a slice.
    """
    total = sum(letter[1] >= 0 for span in spans for letter in span["chars"])
    if total != sum(slice_.count for slice_ in slices):
        for span in spans:
            yield None, list(span["chars"]), span
        return
    waiting = iter([slice_ for slice_ in slices if slice_.count])
    current, left = None, 0
    for span in spans:
        letters: list[Any] = []
        for letter in span["chars"]:
            if letter[1] >= 0:
                if left == 0:
                    if letters:
                        yield current, letters, span
                    letters = []
                    current = next(waiting)
                    left = current.count
                left -= 1
            letters.append(letter)
        if letters:
            yield current, letters, span


def _visible(painted: Any) -> set[tuple[int, int]]:
    """Where letters stand that no clip cuts away whole: text extraction leaves the others out."""
    flags = pymupdf.TEXT_PRESERVE_LIGATURES | pymupdf.TEXT_PRESERVE_WHITESPACE | pymupdf.TEXT_CLIP
    found = painted.get_text("rawdict", flags=flags)
    return {
        _place_of(letter["origin"])
        for block in found["blocks"] for line in block.get("lines", ()) for span in line["spans"]
        for letter in span["chars"]
    }  # fmt: skip


def _place_of(origin: Any) -> tuple[int, int]:
    """A place to half a point."""
    return round(origin[0] * 2), round(origin[1] * 2)


def _runs(
    number: int,
    frame: _Frame,
    slices: Sequence[_Slice],
    spans: Any,
    fonts: _Fonts,
    marked: dict[Any, Element],
    visible: set[tuple[int, int]],
) -> Iterator[Run]:
    for slice_, letters, span in _matched(slices, spans):
        text = "".join(chr(letter[0]) for letter in letters)
        size, baseline = float(span["size"]), float(letters[0][2][1])
        left, right = min(c[3][0] for c in letters), max(c[3][2] for c in letters)
        if span["dir"][0] > 0.9:
            # Capitals and descenders of common faces; the font's own box holds the line gap too.
            depth = 0.22 if _DESCENDING.intersection(text) else 0.02
            box = frame.box_of_painted((left, baseline - 0.75 * size, right, baseline + depth * size))
        else:
            box = frame.box_of_painted(
                (left, min(c[3][1] for c in letters), right, max(c[3][3] for c in letters))
            )
        element = (
            marked.get((number, slice_.mcid)) if slice_ is not None and slice_.mcid is not None else None
        )
        run = Run(
            text=text, page=number, box=box, baseline=frame.y(baseline), size_pt=size,
            face=fonts.face(slice_.font if slice_ is not None else None, span), colour=_rgb(span["color"]),
            opacity=float(span["opacity"]),
            invisible=span["type"] == 3 or any(c[0] > 32 and _place_of(c[2]) not in visible for c in letters),
            artifact=slice_ is not None and slice_.artifact, element=element,
        )  # fmt: skip
        if element is not None:
            element.kids.append(run)
        yield run


def _rgb(colour: Any) -> tuple[float, float, float]:
    """A colour of the painter as red, green and blue (grey and process colours by the plain conversion)."""
    values = [float(v) for v in (colour if isinstance(colour, tuple | list) else [colour])]
    if len(values) == 1:
        return (values[0],) * 3
    if len(values) == 4:
        cyan, magenta, yellow, black = values
        return ((1 - cyan) * (1 - black), (1 - magenta) * (1 - black), (1 - yellow) * (1 - black))
    return (values[0], values[1], values[2])


def _slices(page: pikepdf.Page) -> tuple[list[_Slice], int]:
    """How many glyphs each showing operator of a page shows, and how many operators paint outside the tags."""
    found: list[_Slice] = []
    untagged = [0]
    _walk_content(page.obj, page.obj.get("/Resources") or page.resources, [], found, untagged, 0)
    return found, untagged[0]


def _walk_content(
    stream: Any, resources: Any, around: list[tuple[int | None, bool]], found: list[_Slice], untagged: list[int],
    depth: int,
) -> None:  # fmt: skip
    stack = list(around)
    font: Any = None
    for instruction in pikepdf.parse_content_stream(stream):
        operator = str(instruction.operator)
        operands = instruction.operands
        if operator in ("BDC", "BMC"):
            stack.append(_mark(operator, operands, resources))
        elif operator == "EMC":
            if len(stack) > len(around):
                stack.pop()
        elif operator == "Tf":
            font = resources.get("/Font", {}).get(str(operands[0]))
        elif operator == "Do":
            inner = resources.get("/XObject", {}).get(str(operands[0]))
            if inner is not None and inner.get("/Subtype") == "/Form" and depth < _DEEPEST_FORM:
                _walk_content(inner, inner.get("/Resources", resources), stack, found, untagged, depth + 1)
            else:
                untagged[0] += not stack
        elif operator in _PAINTING:
            untagged[0] += not stack
            if operator in _SHOWING:
                mcid = next((m for m, _ in reversed(stack) if m is not None), None)
                count = _glyphs(operands, font)
                found.append(_Slice(count, font, mcid, any(artifact for _, artifact in stack)))


def _mark(operator: str, operands: Any, resources: Any) -> tuple[int | None, bool]:
    properties = operands[1] if operator == "BDC" else None
    if isinstance(properties, pikepdf.Name):
        properties = resources.get("/Properties", {}).get(str(properties))
    mcid = properties.get("/MCID") if isinstance(properties, pikepdf.Dictionary) else None
    return (_mcid(mcid) if mcid is not None else None), str(operands[0]) == "/Artifact"


def _mcid(number: Any) -> int:
    if not 0 <= int(number) <= _MOST_MARKED:
        raise ValueError("marked content has a number that no page needs")
    return int(number)


def _glyphs(operands: Any, font: Any) -> int:
    shown = operands[-1] if operands else b""
    parts = (
        [p for p in shown if isinstance(p, pikepdf.String)] if isinstance(shown, pikepdf.Array) else [shown]
    )
    length = sum(len(bytes(part)) for part in parts)
    return length // 2 if font is not None and font.get("/Subtype") == "/Type0" else length


# --- tags --------------------------------------------------------------------------------------


def _tree(
    root: Any, page_numbers: dict[Any, int]
) -> tuple[list[Element], dict[Any, Element], dict[Any, str]]:
    """The structure elements; the element of each piece of marked content; the tag that holds each annotation."""
    marked: dict[Any, Element] = {}
    owners: dict[Any, str] = {}
    tops: list[Element] = []
    if root is None:
        return tops, marked, owners
    roles = {str(k): str(v) for k, v in root.get("/RoleMap", pikepdf.Dictionary()).items()}
    order = 0
    waiting: list[tuple[Any, Element | None, int | None]] = [
        (kid, None, None) for kid in reversed(_kids(root))
    ]
    seen: set[Any] = set()
    while waiting:
        node, parent, page = waiting.pop()
        order += 1
        if isinstance(node, pikepdf.Dictionary) and "/S" in node:
            if node.objgen in seen and node.objgen != (0, 0):
                continue
            seen.add(node.objgen)
            element = _element(node, parent, page, page_numbers, roles)
            element.order = order
            (tops if parent is None else parent.kids).append(element)
            waiting += [(kid, element, element.page) for kid in reversed(_kids(node))]
        elif parent is not None and isinstance(node, pikepdf.Dictionary):
            if node.get("/Type") == "/OBJR":
                owners[node.Obj.objgen] = parent.tag
                parent.annotations += 1
            elif "/MCID" in node:
                on = page_numbers.get(node.Pg.objgen, page) if "/Pg" in node else page
                marked[on, _mcid(node.MCID)] = _place(parent, on, order)
        elif parent is not None and node is not None:
            marked[page, _mcid(node)] = _place(parent, page, order)
    return tops, marked, owners


def _place(parent: Element, page: int | None, order: int) -> Element:
    """The place of some letters among what hangs below their element."""
    place = Element("", parent, page, order=order)
    parent.kids.append(place)
    return place


def _kids(node: Any) -> list[Any]:
    kids = node.get("/K")
    if kids is None:
        return []
    return list(kids) if isinstance(kids, pikepdf.Array) else [kids]


def _element(
    node: Any, parent: Element | None, page: int | None, page_numbers: dict[Any, int], roles: dict[str, str]
) -> Element:
    attributes = node.get("/A", pikepdf.Dictionary())
    sets = list(attributes) if isinstance(attributes, pikepdf.Array) else [attributes]
    sets = [a for a in sets if isinstance(a, pikepdf.Dictionary)]
    tag = str(node.S)
    return Element(
        tag=roles.get(tag, tag)[1:], parent=parent,
        page=page_numbers.get(node.Pg.objgen, page) if "/Pg" in node else page,
        alt=(str(node.get("/Alt", "")) or str(node.get("/ActualText", ""))).strip(),
        language=str(node.get("/Lang", "")),
        scope=next((str(a.Scope)[1:] for a in sets if "/Scope" in a), ""),
        has_headers=any("/Headers" in a for a in sets),
        frame=next((tuple(float(v) for v in a.BBox) for a in sets if "/BBox" in a), None),
    )  # fmt: skip


def _annotations(
    number: int, page: pikepdf.Page, frame: _Frame, owners: dict[Any, str], names: Any
) -> list[Annotation]:
    found = []
    for annotation in page.obj.get("/Annots", ()):
        kind = {"/Link": "link", "/Widget": "field"}.get(str(annotation.get("/Subtype")))
        if kind is None:
            continue
        says = str(annotation.get("/Contents", "")) if kind == "link" else str(annotation.get("/TU", ""))
        if not says and kind == "field" and "/Parent" in annotation:
            says = str(annotation.Parent.get("/TU", ""))
        box = frame.box(annotation.Rect)
        target = annotation.get("/Dest", annotation.get("/A", pikepdf.Dictionary()).get("/D") if "/A" in annotation else None)  # fmt: skip
        resolved = not isinstance(target, pikepdf.String | pikepdf.Name) or str(target).lstrip("/") in names
        found.append(
            Annotation(
                number,
                kind,
                box,
                says.strip(),
                owners.get(annotation.objgen, ""),
                resolved,
                str(target or "").lstrip("/"),
            )
        )
    return found
