"""The package around the chapters of a book: EbookLib, with what version 0.20 gets wrong set right.

Left alone it parses every chapter anew (and loses the head, the attributes of the body and the
spelling of SVG names), writes a navigation of its own, names itself as generator, points to an NCX
that may not exist, and stamps the archive with the local time.
"""

from __future__ import annotations

import datetime
import io
import zipfile
from collections.abc import Sequence
from typing import Any

from ebooklib import epub  # type: ignore[import-untyped]
from lxml import etree  # type: ignore[import-untyped]

NCX = "http://www.daisy.org/z3986/2005/ncx/"
NCX_DOCTYPE = (
    '<!DOCTYPE ncx PUBLIC "-//NISO//DTD ncx 2005-1//EN" "http://www.daisy.org/z3986/2005/ncx-2005-1.dtd">'
)
_XML_LANG = "{http://www.w3.org/XML/1998/namespace}lang"


class Page(epub.EpubHtml):  # type: ignore[misc]
    """A content document whose bytes are written as they are."""

    def __init__(self, uid: str, file_name: str, title: str, content: bytes, properties: Sequence[str] = ()):
        super().__init__(uid=uid, file_name=file_name, title=title)
        self.content = content
        self.properties = list(properties)

    def get_content(self, default: object = None) -> bytes:
        """The bytes given."""
        return bytes(self.content)


class Navigation(epub.EpubNav):  # type: ignore[misc]
    """The navigation document, likewise."""

    def __init__(self, uid: str, file_name: str, title: str, content: bytes):
        super().__init__(uid=uid, file_name=file_name, title=title)
        self.content = content

    def get_content(self, default: object = None) -> bytes:
        """The bytes given."""
        return bytes(self.content)


class _DatedZip(zipfile.ZipFile):
    """An archive whose entries carry one given date and plain Unix rights, whatever the machine."""

    def __init__(self, file: io.BytesIO, moment: datetime.datetime) -> None:
        super().__init__(file, "w")
        self._moment = moment.timetuple()[:6]

    def writestr(  # type: ignore[override]
        self, name: str, data: bytes | str, compress_type: int | None = None, compresslevel: int | None = None
    ) -> None:
        """Add one entry."""
        entry = zipfile.ZipInfo(name, date_time=self._moment)
        entry.create_system = 3
        entry.external_attr = 0o100644 << 16
        stored = compress_type == zipfile.ZIP_STORED
        entry.compress_type = zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
        super().writestr(entry, data, entry.compress_type, compresslevel or 9)


class _Writer(epub.EpubWriter):  # type: ignore[misc]
    def _get_nav(self, item: Navigation) -> bytes:
        return item.get_content()

    def _write_opf_file(self, root: Any) -> None:
        metadata = root.find("metadata")
        for element in list(metadata):
            # The library's own version is no fact about the book.
            if element.tag == "meta" and element.get("name") == "generator":
                metadata.remove(element)
        root.set(_XML_LANG, self.book.language)
        # The prefixes in use are all reserved by the standard and need no declaration.
        root.attrib.pop("prefix", None)
        super()._write_opf_file(root)

    def _get_ncx(self) -> bytes:
        root = etree.fromstring(super()._get_ncx())
        navigation = root.find(f"{{{NCX}}}navMap")
        for meta in root.iter(f"{{{NCX}}}meta"):
            if meta.get("name") == "dtb:depth":
                meta.set("content", str(_depth(navigation)))
        root.set(_XML_LANG, self.book.language)
        return bytes(etree.tostring(root, encoding="utf-8", xml_declaration=True, doctype=NCX_DOCTYPE))

    def write(self) -> None:
        self.out = _DatedZip(self.file_name, self.options["mtime"])
        self.out.writestr("mimetype", "application/epub+zip", compress_type=zipfile.ZIP_STORED)
        self._write_container()
        self._write_opf()
        self._write_items()
        self.out.close()


def package(book: Any, modified: datetime.datetime) -> bytes:
    """The finished archive of an EbookLib book, dated ``modified`` throughout."""
    out = io.BytesIO()
    moment = modified.astimezone(datetime.UTC)
    _Writer(out, book, {"mtime": moment, "raise_exceptions": True}).write()
    return out.getvalue()


def _depth(element: Any) -> int:
    points = element.findall(f"{{{NCX}}}navPoint")
    return 1 + max(map(_depth, points)) if points else 0
