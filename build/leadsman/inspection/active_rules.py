"""Rules on what a finished file does beside being read: it runs nothing, opens nothing and carries nothing."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.inspection.epub_reading import EpubFile, is_remote, tag
from leadsman.inspection.findings import EPUB, KINDS, Reading, rule
from leadsman.inspection.model import PdfFile

_PDF = tuple(kind for kind in KINDS if kind != "epub")
_ISO_32000 = "ISO 32000-1:2008, 7.11.4 and 12.6.4: embedded files and actions"
_EPUB_33 = "EPUB 3.3 (W3C 2023), 11 and 3.6: scripting, remote resources"
_RUNS = {"script", "iframe", "object", "embed", "applet", "form", "audio", "video"}


@rule("AC-01", "A file runs nothing, opens nothing and carries no other file", kinds=_PDF,
      wants="no script, action or attachment", source=_ISO_32000)  # fmt: skip
def no_active_content(file: PdfFile) -> Iterator[Reading]:
    """Every object of the file."""
    for what in file.active:
        yield Reading(what, "beside the pages", right=False)
    yield Reading("looked through", right=True)


@rule("AC-01", "A book runs nothing and loads nothing from elsewhere", kinds=EPUB,
      wants="no script, frame, film, event or remote file", source=_EPUB_33)  # fmt: skip
def no_active_book(file: EpubFile) -> Iterator[Reading]:
    """Every element and attribute of every document, and every file of the manifest."""
    for chapter in file.documents.values():
        for element in chapter.elements():
            for what in _runs(element):
                yield Reading(what, f"in <{tag(element)[:20]}>", file=chapter.name[:80], right=False)
        yield Reading("looked through", file=chapter.name, right=True)
    for item in file.items:
        if "script" in item.media_type or is_remote(item.name):
            yield Reading(
                "a program or a remote file", f"'{item.name[:60]}'", file=item.name[:80], right=False
            )


def _runs(element: object) -> Iterator[str]:
    attributes = {str(name).rpartition("}")[2].lower(): str(value) for name, value in element.attrib.items()}  # type: ignore[attr-defined]
    if tag(element) in _RUNS:
        yield f"an element {tag(element)}"
    for name, value in attributes.items():
        address = value.strip().lower()
        if name.startswith("on"):
            yield f"an event {name[:20]}"
        elif name in ("href", "src", "action", "data") and address.startswith(
            ("javascript:", "data:text", "vbscript:")
        ):
            yield "a script in an address"
        elif name in ("src", "data", "poster") and is_remote(address):
            yield "a remote file"
