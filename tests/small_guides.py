"""An owner's guide of the small content, for tests that set many: two conditions, three numbers, one boat."""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Callable
from concurrent.futures import Executor, Future
from pathlib import Path
from typing import Any

import pikepdf
import pymupdf
import yaml

import small_content
from leadsman.book.guide import GuideValues, guide_values, outline_of
from leadsman.book.guide_subject import Subject, boat_subject
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import GuideEdition
from leadsman.output.guide import GuideSource, guide_source

ROOT = Path(__file__).resolve().parent.parent
TEMPLATES = ROOT / "templates"

EDITION: dict[str, Any] = {
    "id": "guide",
    "kind": "guide",
    "title": "Your sounder",
    "subtitle": "Owner's guide",
    "set_name": "Quay guide",
    "document": "Q-OWNER",
    "formats": ["pdf", "epub"],
    "reader": "For the owner.",
    "kept": "With the dealer.",
    "front": ["Find what you see."],
    "never": [
        "Do not open the display.",
        "Do not touch the face in use.",
        "Do not enter the water at a berth.",
    ],
    "evidence": ["history", "photo-pins"],
    "distress": {"channel": "16", "number": "112"},
    "numbers": {
        "lead": {
            "label": "Drop in your lead",
            "says": "At the display's own current.",
            "value": {
                "meaning": "Drop in this boat's lead",
                "computed": {"formula": "supply.voltage_drop", "output": "drop"},
                "show": {"unit": "V", "step": 0.01, "round": "up"},
            },
        }
    },
    "revisions": [
        {"revision": 1, "date": "2026-11-25", "affects": "All", "reason": "First.", "approved_by": "Lead"}
    ],
}

#: A dealer's file beside the content, and a mark.
DEALER = """name: Sedge Lane Sounders
address: [2 Sedge Lane, Lanternby]
phone: 01632 960 555
dial: "+441632960555"
email: bench@sedgelane.example
hours: Tuesday to Friday
colour: "#402060"
"""
MARK = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><title>Mark</title><path d="M1 1 h7 v7 z"/></svg>'


def with_guide(to: Path) -> Path:
    """Copy the small content with the guide's edition beside it."""
    folder = small_content.copy(to)
    (folder / "editions" / "guide.yaml").write_text(
        yaml.safe_dump(EDITION, sort_keys=False), encoding="utf-8"
    )
    return folder


@functools.cache
def content() -> tuple[Catalogue, GuideEdition]:
    """The small content and the guide's edition."""
    return small_content.edited(), GuideEdition.model_validate(EDITION)


def guide(owner: str = "Perpetua Rookling", boat: str = "Old Sedge", units: str = "metric") -> GuideValues:
    """The values of one guide."""
    catalogue, edition = content()
    subject: Subject = dataclasses.replace(
        boat_subject(catalogue.boats["punt"], catalogue), owner=owner, boat_name=boat, display_serial="AI-S-1"
    )
    return guide_values("rook", subject, edition, catalogue, units)


@functools.cache
def source() -> GuideSource:
    """What the guides of that boat have in common."""
    catalogue, edition = content()
    return guide_source(outline_of(guide().shape, edition, catalogue), catalogue, TEMPLATES)


class Here(Executor):
    """An executor that works at once, in this process; ``before`` may fail a piece of work."""

    def __init__(self, before: Callable[[Any], None] = lambda orders: None) -> None:
        self.before = before

    def submit(self, function: Any, /, *words: Any, **named: Any) -> Future[Any]:  # type: ignore[override]
        """Do it."""
        future: Future[Any] = Future()
        try:
            self.before(words[1])
            future.set_result(function(*words, **named))
        except Exception as error:
            future.set_exception(error)
        return future


def seen(data: bytes) -> dict[str, Any]:
    """Everything of a PDF that a reader or a screen reader meets: text, links, bookmarks, tags, pixels."""
    with pymupdf.open(stream=data) as document:
        found: dict[str, Any] = {
            "bookmarks": document.get_toc(),
            "facts": document.metadata,
            "texts": [page.get_text() for page in document],
            "links": [
                [(str(x["from"]), x.get("nameddest"), x.get("uri")) for x in page.get_links()]
                for page in document
            ],
            "pixels": [page.get_pixmap(dpi=72).samples for page in document],
            "fonts": sorted({font[3].partition("+")[2] for page in document for font in page.get_fonts()}),
        }
    with pikepdf.open(pymupdf.io.BytesIO(data)) as pdf:
        found["tags"] = list(_tags(pdf.Root.StructTreeRoot.K, 0))
        found["syntax"] = pdf.check_pdf_syntax()
    return found


def _tags(node: Any, depth: int) -> Any:
    if isinstance(node, pikepdf.Array):
        for kid in node:
            yield from _tags(kid, depth)
    elif isinstance(node, pikepdf.Dictionary):
        kind = str(node.get("/S", node.get("/Type", "")))
        more = node.A.unparse(resolved=True) if "/A" in node else b""
        yield depth, kind, str(node.get("/Alt", "")), more, node.get("/MCID")
        if "/K" in node:
            yield from _tags(node.K, depth + 1)
    elif node is not None:
        yield depth, int(node)


def for_owners() -> Catalogue:
    """The small content with more for an owner to do: two readings, a menu, and a fix by the telephone."""
    catalogue = small_content.edited()
    records = catalogue.records
    for name in ("own-volts", "software-list"):
        records["checks"][name] = records["checks"][name].model_copy(update={"owner_safe": True})
    records["checks"]["ask-history"] = records["checks"]["ask-history"].model_copy(
        update={"cautions": ["vapour"]}
    )
    records["tasks"]["update-software"] = records["tasks"]["update-software"].model_copy(
        update={"owner_may": True}
    )
    entry = catalogue.faults["no-depth"]
    fixes = [
        f.model_copy(update={"owner_safe": True, "by_telephone": True}) if f.id == "found-software" else f
        for f in entry.findings
    ]
    records["faults"]["no-depth"] = entry.model_copy(update={"findings": fixes})
    return catalogue
