"""Many guides from one source: shared pages are set once for all of them, in whatever process does the work.

:func:`press` takes plain data and gives plain data, so that it can run in this process, in another, or on
another machine. Each process keeps the frames of the last few sources. What does not fit its frame is set
the plain way; what fails is reported without a word of what an owner's name may stand in.
"""

from __future__ import annotations

import gc
import io
import re
import zipfile
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from markupsafe import escape

from leadsman.errors import LeadsmanError
from leadsman.output.cover import CoverFrame
from leadsman.output.guide import GuideSource, identifier, lay_out, set_epub, set_pdf
from leadsman.output.guide_prose import SLOT_CLOSE, SLOT_OPEN, fill
from leadsman.press.epub_chapters import COVER_PNG
from leadsman.press.frame import STAND_IN, DoesNotFit, Frame
from leadsman.press.gate import TooLong
from leadsman.press.temporary import temporary_folder
from leadsman.press.typeset import Typesetter

#: Puts a finished file away and says where.
Keep = Callable[["Pressed"], str]

#: Frames that a process keeps: each holds a laid-out document of some tens of megabytes.
MOST_FRAMES = 4
_FRAME_NAME = "frame"
_PLACE = re.compile(re.escape(SLOT_OPEN) + "([^" + SLOT_CLOSE + "]*)" + re.escape(SLOT_CLOSE))


@dataclass(frozen=True)
class Order:
    """One guide to make: its id, its values, and in which formats."""

    id: str
    values: Mapping[str, str] = field(repr=False)
    formats: tuple[str, ...]


@dataclass(frozen=True)
class Pressed:
    """One finished file, or why there is none."""

    id: str
    format: str
    data: bytes = field(repr=False, default=b"")
    fault: str = ""
    whole: bool = False
    """Whether every page was laid out for it."""
    kept: str = ""
    """Where the file was put instead of into ``data``."""


def stand_in(source: GuideSource, form: str) -> bytes:
    """The file of a source's shared pages, with a stand-in in each place."""
    values = {match[1]: STAND_IN for match in _PLACE.finditer(source.html)}
    if form == "epub":
        pages = "".join(chapter.body_html for chapter in source.chapters)
        values |= {match[1]: STAND_IN for match in _PLACE.finditer(pages)}
    return _one(source, Order(_FRAME_NAME, values, (form,)), form, plainly=False).data


def press(
    source: GuideSource, orders: Sequence[Order], plainly: bool = False, keep: Keep | None = None
) -> list[Pressed]:
    """Make guides of one source; a guide that cannot be made takes nothing away from the others.

    Parameters
    ----------
    source
        What all of them have in common.
    orders
        The guides.
    plainly
        Lay every page out for each guide: the slow way, for comparison.
    keep
        Puts each finished file away at once, so that it is not lost with this process.
    """
    made = []
    for order in orders:
        for form in order.formats:
            try:
                done = _one(source, order, form, plainly)
                made.append(done if keep is None else replace(done, data=b"", kept=keep(done)))
            except LeadsmanError as error:
                made.append(Pressed(order.id, form, fault=unquoted(str(error))))
    return made


def unquoted(message: str) -> str:
    """A message without whatever it quotes, since a guide's texts name a person.

    From the first quotation mark of a line to its last: a name may hold an apostrophe.
    """
    return re.sub(r"'(?:.*'|.*$)|\"(?:.*\"|.*$)|\(U\+[0-9A-F]+\)", "'...'", message, flags=re.MULTILINE)


def _one(source: GuideSource, order: Order, form: str, plainly: bool) -> Pressed:
    if plainly:
        if form == "pdf":
            return Pressed(order.id, form, set_pdf(source, order.values, _typesetter(), order.id), whole=True)
        return Pressed(order.id, form, _plain_epub(source, order), whole=True)
    frames = _frames_of(source)
    if form == "epub":
        return Pressed(order.id, form, frames.epub.filled(order.id, order.values))
    try:
        return Pressed(order.id, form, frames.pdf.filled(order.values))
    except DoesNotFit:
        try:
            data = set_pdf(source, order.values, frames.typesetter, order.id)
        except TooLong as refused:
            # The shared pages are sound: what is wrong are the texts of this guide.
            found = refused.findings[0].partition(":")[0]
            raise TooLong(
                order.id,
                [
                    f"{found}: its names and numbers take more room than the pages have: shorten them in the list"
                ],
            ) from refused
        return Pressed(order.id, form, data, whole=True)


def _plain_epub(source: GuideSource, order: Order) -> bytes:
    with temporary_folder() as folder:
        path = folder / "guide.epub"
        set_epub(source, order.id, order.values, path)
        return path.read_bytes()


class EpubFrame:
    """A finished EPUB with named places, which take values without being built anew."""

    def __init__(self, source: GuideSource) -> None:
        self._source = source
        with temporary_folder() as folder:
            path = folder / "frame.epub"
            set_epub(source, _FRAME_NAME, None, path)
            with zipfile.ZipFile(path) as archive:
                self._entries = [(entry, archive.read(entry)) for entry in archive.infolist()]
        self._name = identifier(source, _FRAME_NAME).encode()
        self._cover = CoverFrame(source.cover)

    def filled(self, guide_id: str, values: Mapping[str, str]) -> bytes:
        """The book of one guide."""
        name = identifier(self._source, guide_id).encode()
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as archive:
            for entry, data in self._entries:
                if entry.filename.endswith(COVER_PNG) and self._source.cover.whose:
                    text = self._cover.painted(values)
                else:
                    text = data if entry.filename.endswith(".png") else data.replace(self._name, name)
                # The bytes of a picture may look like a place.
                if SLOT_OPEN.encode() in text and not entry.filename.endswith(".png"):
                    text = _PLACE.sub(lambda m: str(escape(values[m[1]])), text.decode()).encode()
                copied = zipfile.ZipInfo(entry.filename, entry.date_time)
                copied.create_system, copied.external_attr = entry.create_system, entry.external_attr
                copied.compress_type = entry.compress_type
                archive.writestr(copied, text, entry.compress_type, 9)
        return out.getvalue()


class _Frames:
    """The frames of one source; each is made when it is first asked for."""

    def __init__(self, source: GuideSource) -> None:
        self._source = source
        self.typesetter = _typesetter()
        self._pdf: Frame | None = None
        self._epub: EpubFrame | None = None

    @property
    def pdf(self) -> Frame:
        """The frame of the PDF."""
        if self._pdf is None:
            source = self._source
            names = {match[1] for match in _PLACE.finditer(source.html)}
            html = fill(source.html, dict.fromkeys(names, STAND_IN))
            if source.most_pages is not None:
                html = lay_out(source, html, self.typesetter, "the frame")[1]
            self._pdf = Frame(
                html, source.css, title=source.title, language=source.language, typesetter=self.typesetter
            )
            # Nothing of a frame is garbage: a collector that walks it each time would only lose time.
            gc.collect()
            gc.freeze()
        return self._pdf

    @property
    def epub(self) -> EpubFrame:
        """The frame of the EPUB."""
        if self._epub is None:
            self._epub = EpubFrame(self._source)
        return self._epub


_kept: OrderedDict[str, _Frames] = OrderedDict()
_engine: list[Typesetter] = []


def _typesetter() -> Typesetter:
    if not _engine:
        _engine.append(Typesetter())
    return _engine[0]


def _frames_of(source: GuideSource) -> _Frames:
    if source.key not in _kept:
        while len(_kept) >= MOST_FRAMES:
            _kept.popitem(last=False)
            gc.unfreeze()
        _kept[source.key] = _Frames(source)
    _kept.move_to_end(source.key)
    return _kept[source.key]
