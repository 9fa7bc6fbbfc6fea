"""Read a finished EPUB: its package, its navigation, its chapters and styles, without trusting any of it."""

from __future__ import annotations

import io
import posixpath
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from lxml import etree  # type: ignore[import-untyped]

from leadsman.apart import stranger
from leadsman.errors import OutputError, quoted

#: The largest member that is read [bytes].
_LARGEST = 20_000_000
#: All members together, unpacked [bytes], and how many they may be.
_MOST_BYTES, _MOST_MEMBERS = 200_000_000, 5000
OPS_TYPE = "{http://www.idpf.org/2007/ops}type"
XML_LANG = "{http://www.w3.org/XML/1998/namespace}lang"


@dataclass(frozen=True)
class Item:
    """One file of the manifest."""

    id: str
    name: str
    media_type: str
    properties: frozenset[str]


@dataclass(eq=False)
class Chapter:
    """One document of the book, in reading order."""

    name: str
    root: Any

    def elements(self, *names: str) -> Iterator[Any]:
        """Its elements of these names, or all."""
        for element in self.root.iter():
            if isinstance(element.tag, str) and (not names or tag(element) in names):
                yield element

    def has(self, *names: str) -> bool:
        """Whether it has one of these."""
        return any(True for _ in self.elements(*names))

    @cached_property
    def ids(self) -> set[str]:
        """Its anchors."""
        return {element.get("id") for element in self.elements() if element.get("id")}


@dataclass(eq=False)
class EpubFile:
    """A finished EPUB as the rules see it."""

    path: Path
    language: str
    metadata: list[tuple[str, str]]
    items: list[Item]
    chapters: list[Chapter]
    navigation: list[Chapter]
    styles: dict[str, str]
    problems: list[str] = field(default_factory=list)

    def values(self, name: str) -> list[str]:
        """The values of one metadata element or property."""
        return [value for key, value in self.metadata if key == name]

    @cached_property
    def documents(self) -> dict[str, Chapter]:
        """Every document by its name."""
        return {chapter.name: chapter for chapter in [*self.navigation, *self.chapters]}


def tag(element: Any) -> str:
    """The local name of an element."""
    return str(element.tag).rpartition("}")[2] if isinstance(element.tag, str) else ""


def text(element: Any) -> str:
    """The words of an element."""
    return " ".join("".join(element.itertext()).split())


def classes(element: Any) -> list[str]:
    """The classes of an element."""
    return (element.get("class") or "").split()


def resolve(name: str, target: str) -> tuple[str, str]:
    """The document and the anchor that a link in a document leads to.

    Examples
    --------
    >>> resolve("text/power.xhtml", "../find.xhtml#p1"), resolve("a.xhtml", "#top")
    (('find.xhtml', 'p1'), ('a.xhtml', 'top'))
    """
    path, _, anchor = target.partition("#")
    place = posixpath.normpath(posixpath.join(posixpath.dirname(name), unquote(path))) if path else name
    return place, unquote(anchor)


def read_epub(path: Path) -> EpubFile:
    """Read a finished EPUB.

    Raises
    ------
    OutputError
        When the file is missing or is no EPUB.
    """
    data = stranger(Path(path))
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            _require_sane(archive)
            return _read(Path(path), archive)
    except (
        zipfile.BadZipFile, zlib.error, EOFError, KeyError, etree.XMLSyntaxError, OSError, RuntimeError, ValueError,
    ) as error:  # fmt: skip
        raise OutputError(f"{path} cannot be read as an EPUB: {quoted(error, 120)}") from None


def _require_sane(archive: zipfile.ZipFile) -> None:
    """Refuse in words what would cost time and memory without end, and what cannot be unpacked."""
    members = archive.infolist()
    if len(members) > _MOST_MEMBERS:
        raise ValueError(f"it holds more than {_MOST_MEMBERS} files")
    if sum(member.file_size for member in members) > _MOST_BYTES:
        raise ValueError(f"unpacked it is larger than {_MOST_BYTES // 1_000_000} MB")
    for member in members:
        if member.flag_bits & 0x1 or member.filename == "META-INF/encryption.xml":
            raise ValueError("it is locked")
        if member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise ValueError(
                f"a file of it is packed in a way that EPUB does not know ({member.compress_type})"
            )


def _read(path: Path, archive: zipfile.ZipFile) -> EpubFile:
    container = _parse(_member(archive, "META-INF/container.xml"))
    roots = [e.get("full-path") for e in container.iter() if tag(e) == "rootfile"]
    if not roots:
        raise ValueError("its container names no package")
    package = _parse(_member(archive, roots[0]))
    folder = posixpath.dirname(roots[0])
    items = [
        Item(
            e.get("id", ""), _name(folder, e.get("href", "")),
            e.get("media-type", ""), frozenset((e.get("properties") or "").split()),
        )
        for e in package.iter() if tag(e) == "item"
    ]  # fmt: skip
    by_id = {item.id: item for item in items}
    spine = [by_id[e.get("idref")] for e in package.iter() if tag(e) == "itemref" and e.get("idref") in by_id]
    problems: list[str] = []

    def chapters(wanted: list[Item]) -> list[Chapter]:
        found = []
        for item in wanted:
            try:
                found.append(Chapter(item.name, _parse(_member(archive, item.name))))
            except (KeyError, etree.XMLSyntaxError, ValueError) as error:
                problems.append(f"{item.name}: {error}")
        return found

    styles = {
        i.name: _member(archive, i.name).decode("utf-8", "replace")
        for i in items
        if i.media_type == "text/css"
    }
    return EpubFile(
        path, package.get(XML_LANG, ""), list(_metadata(package)), items,
        chapters([i for i in spine if "nav" not in i.properties]),
        chapters([i for i in items if "nav" in i.properties]), styles, problems,
    )  # fmt: skip


def _name(folder: str, address: str) -> str:
    """The name of a member by its address in the package; an address elsewhere stays as it is."""
    if is_remote(address):
        return address
    return posixpath.normpath(posixpath.join(folder, unquote(address)))


def is_remote(address: str) -> bool:
    """Whether an address leads out of the book (RFC 3986, 4.2: a scheme or a host)."""
    return "://" in address or address.startswith("//")


def _metadata(package: Any) -> Iterator[tuple[str, str]]:
    for parent in package.iter():
        if tag(parent) == "metadata":
            for element in parent:
                if isinstance(element.tag, str):
                    name = element.get("property") if tag(element) == "meta" else f"dc:{tag(element)}"
                    if name:
                        yield name, text(element)


def _member(archive: zipfile.ZipFile, name: str) -> bytes:
    if archive.getinfo(name).file_size > _LARGEST:
        raise ValueError(f"{name} is larger than {_LARGEST // 1_000_000} MB")
    return archive.read(name)


def _parse(data: bytes) -> Any:
    return etree.fromstring(data, etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False))
