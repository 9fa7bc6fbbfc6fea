"""The pages of one entry, table or part of the handbook, made in a warm process from what has changed.

Each view is made by the function that makes the finished book, from an edition narrowed to what is shown, and painted
from the finished file. A view that cannot be made says why; whoever shows it keeps the last good one.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from html import escape
from pathlib import Path
from typing import Any, TypeVar

import pymupdf

from leadsman.book.guide import guide_values, outline_of
from leadsman.book.guide_subject import Subject
from leadsman.book.ladder import Ladder
from leadsman.book.manual import Manual, build_manual
from leadsman.book.passages import Words
from leadsman.content.catalogue import Catalogue, Memory, load
from leadsman.content.decision import Decision
from leadsman.content.model.edition import DeckEdition, Edition, GuideEdition, HandbookEdition
from leadsman.errors import LeadsmanError, UsageError
from leadsman.output.deck import SHEETS, write_faces
from leadsman.output.guide import guide_source, set_pdf
from leadsman.output.handbook import Part, handbook_parts, write_handbook_pdf
from leadsman.output.spreads import Placing
from leadsman.output.templating import stylesheet
from leadsman.press.temporary import temporary_folder
from leadsman.press.typeset import Typesetter
from leadsman.store import Store, digest

_E = TypeVar("_E", bound=Edition)

#: Dots an inch of a painted page: sharp on a screen, and a face takes a few hundredths of a second.
_DPI = 130
#: The part that stands in for the rest of the book, so that its links lead somewhere.
_REST = "rest-of-the-book"
#: Width of the ladder in letters.
_LADDER_WIDTH = 92
#: Parts of the handbook that report on all entries: they take longer than a writer waits.
_REPORTS = frozenset({"isolation", "evidence", "numbers", "drill", "record"})
_PARTS = (
    "safety", "use", "find", "messages", "checks", "menus", "pictures", "topics", "equipment", "glossary", "swaps",
)  # fmt: skip


@dataclass(frozen=True)
class Target:
    """What is shown: a fault entry ("entry"), a table ("table") or a part of the handbook ("part"), by its id."""

    kind: str
    id: str
    title: str
    file: Path | None = None


@dataclass(frozen=True)
class View:
    """One view of a target: its painted pages as PNG, or its text, or a document for a telephone's screen."""

    name: str
    title: str
    pages: tuple[bytes, ...] = ()
    text: str = ""
    phone: str = ""
    trouble: str = ""
    """Why it could not be made; then there is nothing else."""


@dataclass
class Desk:
    """The content as it was last saved, and all that is kept warm to show it.

    Parameters
    ----------
    folder, templates
        The content and the page templates.
    units
        The units in print.
    store
        What is kept of measured blocks and finished pages; in memory unless told otherwise.
    """

    folder: Path
    templates: Path
    units: str = "metric"
    store: Store = field(default_factory=lambda: Store(None))

    def __post_init__(self) -> None:
        self._memory = Memory()
        self.typesetter = Typesetter(self.templates, store=self.store)
        self.catalogue = self.read()

    def read(self) -> Catalogue:
        """Read what has changed since the last time; the other records are the same objects."""
        self.catalogue = load(self.folder, self._memory)
        return self.catalogue

    def targets(self) -> list[Target]:
        """All that can be shown, in the order of the handbook."""
        areas = list(self.catalogue.areas)
        entries = sorted(self.catalogue.faults.values(), key=lambda e: (areas.index(e.area) if e.area in areas else 99, e.code[:1], int(e.code[1:])))  # fmt: skip
        return [
            *(self._target("entry", "faults", e.id, f"{e.code} {e.title}") for e in entries),
            *(self._target("table", "tables", t.id, str(t.title)) for t in self.catalogue.tables.values()),
            *(Target("part", name, name.capitalize()) for name in _PARTS),
        ]

    def _target(self, kind: str, records: str, name: str, title: str) -> Target:
        return Target(kind, name, title, self.catalogue.origins[records, name][0].path)

    def target(self, named: str | None) -> Target:
        """The entry by id or code, table or part of that name; without a name the entry that was saved last.

        Raises
        ------
        UsageError
            Where nothing has that name.
        """
        known = self.targets()
        if named is None:
            entries = [target for target in known if target.kind == "entry" and target.file is not None]
            if not entries:
                raise UsageError("there is no entry that can be read; run leadsman check")
            return max(entries, key=lambda target: target.file.stat().st_mtime if target.file else 0.0)
        for target in known:
            if named in (target.id, target.title.split(" ")[0]):
                return target
        entry = self.catalogue.entry(named)
        return next(target for target in known if (target.kind, target.id) == ("entry", entry.id))

    def views(self, target: Target) -> list[tuple[str, Callable[[], View]]]:
        """The views of a target by name, the quickest first; each is made when it is called."""
        if target.kind != "entry":
            return [("handbook", lambda: self._guarded("handbook", lambda: self._handbook(target)))]
        makers: dict[str, Callable[[Target], View]] = {
            "card": self._card,
            "ladder": self._ladder,
            "guide": self._guide,
            "handbook": self._handbook,
            "phone": self._phone,
        }
        return [
            (name, lambda name=name, make=make: self._guarded(name, lambda: make(target)))  # type: ignore[misc]
            for name, make in makers.items()
        ]

    def _guarded(self, name: str, make: Callable[[], View]) -> View:
        try:
            return make()
        except LeadsmanError as error:
            return View(name, "", trouble=str(error))
        except Exception as error:
            # Text that is being written may be broken in any way: the problems beside it say how.
            return View(
                name, "", trouble=f"cannot be shown while the text is broken ({type(error).__name__})"
            )

    def _edition(self, kind: type[_E]) -> _E:
        for edition in self.catalogue.editions.values():
            if isinstance(edition, kind):
                return edition.model_copy(update={"units": self.units})
        raise UsageError(f"the content has no {kind.__name__.removesuffix('Edition').lower()}")

    def _sheets(self) -> DeckEdition:
        """The deck in which a condition is one sheet, if there is one."""
        decks = [e for e in self.catalogue.editions.values() if isinstance(e, DeckEdition)]
        sheets = [e for e in decks if e.formats[0] in SHEETS]
        if not decks:
            raise UsageError("the content has no deck")
        return (sheets or decks)[0].model_copy(update={"units": self.units})

    def _card(self, target: Target) -> View:
        edition = self._sheets()
        size = edition.formats[0]
        with temporary_folder() as folder:
            faces = write_faces(edition, self.catalogue, size, target.id, folder=folder, templates=self.templates,
                                typesetter=self.typesetter)  # fmt: skip
            return View("card", f"{edition.title}, {size}", tuple(map(self._face, faces)))

    def _face(self, path: Path) -> bytes:
        """The picture of a face, painted once for the same file."""
        key = digest(path.read_bytes(), _DPI)
        found = self.store.get("pictures", key)
        if found is None:
            (found,) = painted(path)
            self.store.put("pictures", key, found)
        return found

    def _ladder(self, target: Target) -> View:
        decision = Decision(self.catalogue.faults[target.id], self.catalogue)
        lines = Ladder(decision, Words(self.catalogue, self.units), _LADDER_WIDTH).whole()
        return View("ladder", "The walk, as a ladder", text="\n".join(lines))

    def _guide(self, target: Target) -> View:
        edition = self._edition(GuideEdition)
        if edition.entries and target.id not in edition.entries:
            return View("guide", "Owner's guide", text="This condition is in no owner's guide.")
        alone = edition.model_copy(update={"entries": [target.id]})
        guide = guide_values("preview", Subject(), alone, self.catalogue, self.units)
        source = guide_source(outline_of(guide.shape, alone, self.catalogue), self.catalogue, self.templates)
        data = set_pdf(source, guide.values, self.typesetter, "the owner's guide")
        with temporary_folder() as folder:
            out = folder / "guide.pdf"
            out.write_bytes(data)
            return View("guide", str(edition.subtitle), painted(out, target.id))

    def _handbook(self, target: Target) -> View:
        edition, manual, parts = self._parts(target, in_print=True)
        with temporary_folder() as folder:
            out = folder / "handbook.pdf"
            done = write_handbook_pdf(manual, parts, out=out, templates=self.templates,
                                      typesetter=self.typesetter, catalogue=self.catalogue)  # fmt: skip
            anchor = {"entry": target.id, "table": f"table-{target.id}", "part": target.id}[target.kind]
            first, behind = done.page_of[anchor], done.page_of[_REST]
            return View("handbook", str(edition.subtitle), painted(out, first=first - 1, behind=behind - 1))

    def _phone(self, target: Target) -> View:
        """The chapter's own HTML in the style of the EPUB, each table in its box as the finished file has it."""
        edition, _, parts = self._parts(target)
        held = {child.id: child for child in parts[0].children}
        body = (
            held.get(target.id, parts[0])
            .html.replace("<table", '<div class="scroll"><table')
            .replace("</table>", "</table></div>")
        )
        style = stylesheet(self.templates, "epub")
        document = (
            f'<!DOCTYPE html>\n<html lang="{edition.language}"><head><meta charset="utf-8">'
            f"<title>{escape(edition.title)}</title><style>{style}</style></head><body><main>{body}</main></body></html>"
        )
        return View("phone", f"{edition.subtitle}, on a telephone", phone=document)

    def _parts(self, target: Target, *, in_print: bool = False) -> tuple[Edition, Manual, list[Part]]:
        """The part of the handbook that holds the target, and one with all that it links to."""
        catalogue, edition = self.catalogue, self._edition(HandbookEdition)
        if target.kind == "entry":
            entry = catalogue.faults[target.id]
            update = {"entries": [target.id], "tables": entry.all_tables or list(catalogue.tables)[:1]}
            only = f"area-{entry.area}"
        elif target.kind == "table":
            update, only = {"entries": list(catalogue.faults)[:1], "tables": [target.id]}, "tables"
        else:
            update, only = {}, target.id
        alone = edition.model_copy(update=update)
        manual = build_manual(alone, catalogue, reports=False)
        parts = handbook_parts(manual, catalogue, self.templates, only=only, in_print=in_print)
        if not parts:
            raise LeadsmanError(f"this handbook has no part '{only}'")
        return edition, manual, [*parts, _rest(parts)]


def _rest(parts: list[Part]) -> Part:
    """A page that stands for the rest of the book: every place that the shown part links to and does not hold."""
    html = "".join(part.whole() + part.more(Placing()) for part in parts)
    there = set(re.findall(r'\sid="([^"]+)"', html))
    wanted = [*re.findall(r'href="#([^"]+)"', html), *re.findall(r'data-page-of="#([^"]+)"', html)]
    lines = "".join(f'<p id="{name}">{name}</p>' for name in dict.fromkeys(wanted) if name not in there)
    title = "Elsewhere in the book"
    return Part(_REST, title, f'<h1 id="{_REST}">{title}</h1>{lines}<p>End of the preview.</p>')


def painted(path: Path, anchor: str = "", first: int = 0, behind: int | None = None) -> tuple[bytes, ...]:
    """The pages of a finished file as PNG pictures, each cut to its trim.

    Parameters
    ----------
    path
        The PDF file.
    anchor
        A place in it: then only its page, and the next one of the same condition where it runs on.
    first, behind
        The first page (counted from 0), and the one behind the last.
    """
    document: Any = pymupdf.open(path)  # type: ignore[no-untyped-call]
    try:
        if anchor:
            named = document.resolve_names()
            first = int(named[anchor]["page"]) if anchor in named else 0
            later = [int(place["page"]) for place in named.values() if int(place["page"]) > first]
            behind = min(later, default=len(document))
        found = []
        for number in range(first, len(document) if behind is None else max(behind, first + 1)):
            page = document[number]
            if page.trimbox != page.cropbox:
                page.set_cropbox(page.trimbox & page.mediabox)
            found.append(bytes(page.get_pixmap(dpi=_DPI, alpha=False).tobytes("png")))
        return tuple(found)
    finally:
        document.close()
