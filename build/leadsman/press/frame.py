"""A document laid out, drawn and checked once, whose places then take other values at once.

Every page of the frame is set by the plain way, with a stand-in in each place. A value fits when the engine
shapes it to one line that is no wider than its place and needs no glyph that the frame's fonts lack: then
nothing else on the page can move, and only the page's drawing is made anew. Anything else is refused with
:class:`DoesNotFit`, and the caller sets that document the plain way.

A test holds its files against plainly set ones: text, links, bookmarks, tags and pixels.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pikepdf

from leadsman.collector import relaxed_collector
from leadsman.press import boxes, completeness, gate
from leadsman.press.engine import DrawingParts
from leadsman.press.frame_pdf import ExchangePdf
from leadsman.press.repair import repair
from leadsman.press.typeset import PDF_VARIANT, Typesetter, fixed_font_date

#: What stands in each place while the frame is set.
STAND_IN = "0"
#: Characters that a value may hold without making its document a slow one: those of Latin-script names (with the
#: Romanian and Welsh letters that stand apart in Unicode), and the signs of printed numbers.
CHARACTERS = (
    "".join(chr(code) for code in (*range(0x20, 0x7F), *range(0xA0, 0x180)))
    + "ȘșȚțẀẁẂẃẄẅẞỲỳ–—‘’“”…€\u2009\u202f²³Ω°×−·µ"
)
#: Letters that a font may join, so that the joined forms are at hand too.
_JOINED = "ff fi fl ffi ffl ft fft fj ffj tt tti ti IJ ij Th ct st fb fh fk"
#: Blanks that a page folds into one.
_FOLDED = re.compile(r"[\t\n\r\f]|  ")
#: A picture's group where it is put on the page.
_GROUP = re.compile(rb"/(x\d+) Do\b")
_MARKED = re.compile(rb"/Span\n<</MCID (\d+)>>\nBDC")


class DoesNotFit(Exception):
    """A value that this frame cannot take; which place, never the value."""


@dataclass(frozen=True)
class _Place:
    """Where a value stands: its text box, the page, and the width that it may take [px]."""

    page: int
    box: Any
    room_px: float
    line_px: tuple[float, float]
    """Height and baseline of the stand-in's line: a value with another line would move its neighbours."""


class Frame:
    """One laid-out document with places.

    Parameters
    ----------
    html, css, title, language
        The document with the stand-in in each place (an element with ``data-slot``).
    typesetter
        The engine to use; it must stay alive as long as the frame.
    """

    def __init__(self, html: str, css: str, *, title: str, language: str, typesetter: Typesetter) -> None:
        self._typesetter, self._engine = typesetter, DrawingParts()
        layout = typesetter.lay_out(html, css, title=title, language=language, target="the frame")
        document = layout.document
        self._fonts, self._profiles, self._intent = (
            document.fonts,
            document.color_profiles,
            document.output_intent,
        )
        self._places = self._find_places(document.pages)
        numbers = sorted({place.page for found in self._places.values() for place in found})
        # The other pages are not kept: they are most of the memory that a laid-out document takes.
        self._pages = {number: document.pages[number] for number in numbers}
        self._resources: Any = {}
        self._running: dict[int, frozenset[int]] = {}
        self._groups: dict[int, list[bytes]] = {}
        with gate.listen() as logged, relaxed_collector(), fixed_font_date():
            self._prepare_glyphs()
            raw = document.write_pdf(pdf_variant=PDF_VARIANT, pdf_forms=True, finisher=self._keep_resources)
            mended = repair(raw, link_texts=boxes.link_texts(document))
        findings = [*logged, *mended.findings]
        findings += [f"text lost: '{t[:80]}'" for t in completeness.missing_texts(mended.data, layout.texts)]
        if findings:
            raise gate.Refused("the frame", findings)
        self._glyphs = {key: frozenset(font.to_unicode) for key, font in self._fonts.items()}
        kinds = ("ExtGState", "XObject", "Pattern", "Shading")
        self._states = {kind: frozenset(self._resources[kind]) for kind in kinds}
        self._running = self._running_texts(mended.data)
        self._file = ExchangePdf(mended.data, numbers)

    def filled(self, values: Mapping[str, str]) -> bytes:
        """The finished file with these values in its places.

        Raises
        ------
        DoesNotFit
            When a value would change more than its own line, or needs a glyph that the frame lacks.
        """
        with gate.listen() as logged:
            for name, places in self._places.items():
                for place in places:
                    self._put(name, place, values[name])
            contents = {page: self._drawn(page) for page in self._pages}
            self._require_known(logged)
        return self._file.with_streams(contents)

    def _put(self, name: str, place: _Place, text: str) -> None:
        box = place.box
        if box.text == text:
            return
        if not text or text.strip() != text or _FOLDED.search(text):
            raise DoesNotFit(name)
        layout, _, resume, width, *line = self._engine.split(text, box.style, None, None, 0)
        if resume is not None or width > place.room_px or tuple(line) != place.line_px:
            raise DoesNotFit(name)
        box.text, box.pango_layout, box.width = text, layout, width

    def _require_known(self, logged: list[str]) -> None:
        """Nothing outside what the frame's file holds was drawn; what was is forgotten again."""
        new = False
        for key, font in list(self._fonts.items()):
            if key not in self._glyphs:
                del self._fonts[key]
                new = True
                continue
            for glyph in set(font.to_unicode) - self._glyphs[key]:
                font.to_unicode.pop(glyph)
                font.widths.pop(glyph, None)
                new = True
        if new or logged:
            raise DoesNotFit("a sign that the frame's fonts lack")
        if any(frozenset(self._resources[kind]) != known for kind, known in self._states.items()):
            raise DoesNotFit("a state of drawing that the frame lacks")

    def _find_places(self, pages: Sequence[Any]) -> dict[str, list[_Place]]:
        found: dict[str, list[_Place]] = {}
        for number, page in enumerate(pages):
            for box, room in _text_boxes(boxes.page_box(page), None):
                name = box.element.get("data-slot") if getattr(box, "element", None) is not None else None
                if name is None:
                    continue
                if box.text != STAND_IN:
                    raise gate.Refused("the frame", [f"the place '{name}' holds more than its value"])
                *_, height, baseline = self._engine.split(STAND_IN, box.style, None, None, 0)
                place = _Place(number, box, room - box.position_x, (height, baseline))
                found.setdefault(name, []).append(place)
        return found

    def _prepare_glyphs(self) -> None:
        """Draw every usual character in every face of a place, away from the pages, so that the file's fonts hold it."""
        kinds = ("ExtGState", "XObject", "Pattern", "Shading")
        nowhere = self._engine.dictionary({kind: self._engine.dictionary() for kind in kinds})
        stream = self._stream(None, nowhere)
        seen = set()
        for place in (place for places in self._places.values() for place in places):
            box = place.box.copy()
            key = tuple(str(box.style[name]) for name in ("font_family", "font_weight", "font_style",
                                                          "font_variant_numeric", "font_size"))  # fmt: skip
            if key in seen:
                continue
            seen.add(key)
            # One by one: in a row a font joins neighbours ("IJ"), and the plain letter would be missing.
            # A space by itself is no sign to the engine.
            for text in (*CHARACTERS, *_JOINED.split(), f"{STAND_IN} {STAND_IN}"):
                layout, *_ = self._engine.split(text, box.style, None, None, 0)
                box.text, box.pango_layout = text, layout
                self._engine.draw_text(stream, box, 0, "clip", "none")

    def _stream(self, page: Any, resources: Any) -> Any:
        """A drawing surface as the engine makes it for a page, with this document's fonts."""
        rectangle = (0, 0, 1, 1) if page is None else (0, 0, page.width, page.height)
        tags: dict[Any, Any] | None = None if page is None else {}
        return self._engine.stream(
            self._fonts, rectangle, resources, {}, tags, self._profiles,
            self._intent,
        )  # fmt: skip

    def _keep_resources(self, document: Any, pdf: Any) -> None:
        """What the pages draw with; the engine has one list for all of them."""
        found = [o for o in pdf.objects if isinstance(o, dict) and "ExtGState" in o and "ColorSpace" in o]
        self._resources = found[0]

    def _drawn(self, number: int) -> bytes:
        """The content of a page as the mended file holds it: running texts are no part of the text."""
        page = self._pages[number]
        stream = self._stream(page, self._resources)
        stream.transform(d=-1, f=page.height * boxes.PT_PER_PX)
        known = set(self._resources["XObject"])
        page.paint(stream, boxes.PT_PER_PX)
        content: bytes = b"\n".join(self._engine.to_bytes(item) for item in stream.stream)
        content = self._with_kept_groups(number, content, known)
        running = self._running.get(number, frozenset())

        def marked(match: re.Match[bytes]) -> bytes:
            known = int(match[1]) not in running
            return match[0] if known else b"/Artifact\n<</Type/Pagination>>\nBDC"

        return _MARKED.sub(marked, content)

    def _with_kept_groups(self, number: int, content: bytes, known: set[str]) -> bytes:
        """A picture is drawn into groups, and anew each time: what stands in the file is taken in their place.

        No value stands in a picture, so that the groups of one page are the same in the same order.
        """
        for name in set(self._resources["XObject"]) - known:
            del self._resources["XObject"][name]
        kept = self._groups.get(number, [])
        if len(_GROUP.findall(content)) != len(kept):
            raise DoesNotFit("a picture that the frame lacks")
        names = iter(kept)
        return _GROUP.sub(lambda match: b"/" + next(names) + b" Do", content)

    def _running_texts(self, data: bytes) -> dict[int, frozenset[int]]:
        """Of each page with a place, the numbers of the marked pieces that the repair took out of the text."""
        found = {}
        with pikepdf.open(io.BytesIO(data)) as pdf:
            for number in self._pages:
                self._groups[number] = _GROUP.findall(pdf.pages[number].obj.Contents.read_bytes())
                kept = {
                    int(n) for n in re.findall(rb"/MCID (\d+)", pdf.pages[number].obj.Contents.read_bytes())
                }
                drawn = {int(n) for n in _MARKED.findall(self._drawn(number))}
                found[number] = frozenset(drawn - kept)
        return found


def _text_boxes(box: Any, room: float | None) -> Iterator[tuple[Any, float]]:
    """Each run of text with the right edge of the block that it stands in [px]."""
    box = getattr(box, "_box", box)
    if boxes.is_text(box):
        yield box, room or 0.0
        return
    if hasattr(box, "children"):
        if "Block" in type(box).__name__ or "Cell" in type(box).__name__:
            room = box.content_box_x() + box.width
        for child in box.all_children():
            yield from _text_boxes(child, room)
