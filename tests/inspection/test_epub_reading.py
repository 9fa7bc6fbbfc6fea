"""What is read of an EPUB, and what is refused: EPUB 3.3 says what a container and a package hold, RFC 3986 how links join."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest

from inspection import making
from leadsman.errors import OutputError
from leadsman.inspection import epub_reading
from leadsman.inspection.epub_reading import is_remote, read_epub, resolve

_OPF, _NAV, _CSS, _ONE = "EPUB/book.opf", "EPUB/nav.xhtml", "EPUB/book.css", "EPUB/one.xhtml"


def test_a_book_is_read_with_its_parts(tmp_path: Path) -> None:
    book = making.epub(tmp_path)
    assert book.language == "en-GB"
    assert book.values("dc:title") == ["Faults"]
    assert book.values("schema:accessibilityFeature") == ["tableOfContents", "alternativeText"]
    assert book.values("dc:none") == []
    assert [(item.id, item.name, item.media_type, sorted(item.properties)) for item in book.items] == [
        ("nav", _NAV, "application/xhtml+xml", ["nav"]), ("css", _CSS, "text/css", []), ("one", _ONE, "application/xhtml+xml", []),
    ]  # fmt: skip
    assert ([c.name for c in book.navigation], [c.name for c in book.chapters]) == ([_NAV], [_ONE])
    assert list(book.documents) == [_NAV, _ONE]
    assert list(book.styles) == [_CSS]
    assert book.styles[_CSS] == making.EPUB[_CSS]
    assert book.problems == []
    (chapter,) = book.chapters
    assert chapter.ids == {"page-1", "p1"}
    assert [epub_reading.tag(e) for e in chapter.elements("h1", "h2")] == ["h1", "h2"]
    assert chapter.has("table")
    assert not chapter.has("math")
    assert len(list(chapter.elements())) > 20


def test_comments_are_no_elements(tmp_path: Path) -> None:
    changes = [(_ONE, "<h2>", "<!-- a note --><h2>"), (_OPF, "<dc:title>", "<!-- a note --><dc:title>")]
    book = making.epub(tmp_path, changes)
    assert all(isinstance(e.tag, str) for e in book.chapters[0].elements())
    assert book.values("dc:title") == ["Faults"]
    comment = next(e for e in book.chapters[0].root.iter() if not isinstance(e.tag, str))
    assert epub_reading.tag(comment) == ""


def test_the_spine_tells_the_order_and_what_it_lacks_is_left_out(tmp_path: Path) -> None:
    changes = [
        (
            _OPF,
            '<itemref idref="one"/>',
            '<itemref idref="nav"/><itemref idref="gone"/><itemref idref="one"/><itemref idref="lost"/>',
        ),
        (
            _OPF,
            "</manifest>",
            '<item id="lost" href="lost.xhtml" media-type="application/xhtml+xml"/></manifest>',
        ),
    ]
    book = making.epub(tmp_path, changes)
    assert ([c.name for c in book.navigation], [c.name for c in book.chapters]) == ([_NAV], [_ONE])
    assert [problem.partition(":")[0] for problem in book.problems] == ["EPUB/lost.xhtml"]
    assert making.outcome("EP-10", "epub", book).verdict == "broken"


def test_a_part_that_is_no_document_is_told_and_the_others_are_read(tmp_path: Path) -> None:
    book = making.epub(tmp_path, [(_NAV, "</html>", "")])
    assert book.navigation == []
    assert [c.name for c in book.chapters] == [_ONE]
    assert book.problems[0].startswith(_NAV)


@pytest.mark.parametrize(
    ("name", "target", "place"),
    [
        ("text/power.xhtml", "../find.xhtml#p1", ("find.xhtml", "p1")),
        ("text/power.xhtml", "a%20b.xhtml#c%20d", ("text/a b.xhtml", "c d")),
        ("a.xhtml", "#top", ("a.xhtml", "top")),
        ("a.xhtml", "b.xhtml", ("b.xhtml", "")),
        ("text/a.xhtml", "", ("text/a.xhtml", "")),
    ],
)
def test_a_link_is_joined_to_its_document(name: str, target: str, place: tuple[str, str]) -> None:
    """RFC 3986, 5.2."""
    assert resolve(name, target) == place


@pytest.mark.parametrize(
    ("address", "remote"),
    [
        ("http://example.org/a", True),
        ("//example.org/a", True),
        ("../a.xhtml", False),
        ("/a.xhtml", False),
        ("a:b.xhtml", False),
    ],
)
def test_an_address_with_a_host_is_elsewhere(address: str, remote: bool) -> None:
    assert is_remote(address) == remote


def packed(folder: Path, **members: bytes) -> Path:
    """The sample with more members, or others in the place of its own."""
    making.epub(folder)
    out = io.BytesIO()
    with (
        zipfile.ZipFile(folder / "sample.epub") as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        names = {name.replace("__", "/").replace("_", "."): data for name, data in members.items()}
        for name in old.namelist():
            new.writestr(name, names.pop(name, old.read(name)))
        for name, data in names.items():
            new.writestr(name, data)
    path = folder / "packed.epub"
    path.write_bytes(out.getvalue())
    return path


def test_limits_of_size_hold_for_each_member_and_for_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is allowed to the byte, and what is one byte more."""
    path = packed(tmp_path)
    with zipfile.ZipFile(path) as archive:
        members = archive.infolist()
        largest, total = max(m.file_size for m in members), sum(m.file_size for m in members)
    monkeypatch.setattr(epub_reading, "_MOST_MEMBERS", len(members))
    monkeypatch.setattr(epub_reading, "_MOST_BYTES", total)
    monkeypatch.setattr(epub_reading, "_LARGEST", largest)
    assert read_epub(path).problems == []
    monkeypatch.setattr(epub_reading, "_MOST_MEMBERS", len(members) - 1)
    with pytest.raises(OutputError, match=f"it holds more than {len(members) - 1} files"):
        read_epub(path)
    monkeypatch.setattr(epub_reading, "_MOST_MEMBERS", len(members))
    monkeypatch.setattr(epub_reading, "_MOST_BYTES", total - 1)
    with pytest.raises(OutputError, match="unpacked it is larger than 0 MB"):
        read_epub(path)
    monkeypatch.setattr(epub_reading, "_MOST_BYTES", 2_000_000)
    monkeypatch.setattr(epub_reading, "_LARGEST", largest - 1)
    with pytest.raises(OutputError, match="is larger than 0 MB"):
        read_epub(path)


def test_sizes_are_told_in_megabytes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(epub_reading, "_MOST_BYTES", 3_000_000)
    with pytest.raises(OutputError, match="larger than 3 MB"):
        read_epub(packed(tmp_path, more_bin=b" " * 3_000_000))
    monkeypatch.setattr(epub_reading, "_MOST_BYTES", 9_000_000)
    monkeypatch.setattr(epub_reading, "_LARGEST", 2_000_000)
    with pytest.raises(OutputError, match="is larger than 2 MB"):
        read_epub(packed(tmp_path, **{"EPUB__book_css": b" " * 2_000_001}))


def test_a_container_without_a_package_is_none(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="its container names no package"):
        read_epub(packed(tmp_path, **{"META-INF__container_xml": b"<container/>"}))


def test_entities_of_a_document_are_not_resolved(tmp_path: Path) -> None:
    """XML 1.0, 4.4: an entity could stand for a file of the machine, or for gigabytes."""
    (tmp_path / "secret").write_text("secret")
    doctype = f'<!DOCTYPE html [<!ENTITY a SYSTEM "file://{tmp_path}/secret"><!ENTITY b "inner">]>'
    changed = [
        (_ONE, making.EPUB[_ONE], doctype + making.EPUB[_ONE].replace("Dead unit</h2>", "&a;&b;</h2>"))
    ]
    book = making.epub(tmp_path, changed)
    words = "".join(epub_reading.text(e) for chapter in book.chapters for e in chapter.elements("h2"))
    assert "secret" not in words
    assert "inner" not in words
