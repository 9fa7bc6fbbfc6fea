"""A book passes the EPUB checker with every note counted, keeps its claims, and is the same each time."""

from __future__ import annotations

import dataclasses
import datetime
import io
import zipfile
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

import validators
from leadsman.errors import OutputError
from leadsman.press.epub import Chapter, Metadata, Section, Words, write_epub
from leadsman.press.gate import Refused

MODIFIED = datetime.datetime(2025, 3, 9, 10, 20, 30, tzinfo=datetime.UTC)
OPF = "{http://www.idpf.org/2007/opf}"
HULL = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 80 40" width="80" height="40" role="img">'
    "<title>A vee hull</title><defs><linearGradient id='g'><stop offset='0'/></linearGradient></defs>"
    '<path d="M5 5L40 35" fill="url(#g)"/></svg>'
)
COVER = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 800"><title>Cover</title>'
    '<rect width="600" height="800" fill="#fff"/><text x="50" y="90" font-size="40">Handbook</text></svg>'
)
METADATA = Metadata(
    creator="Tolmer Quay Marine Electronics",
    publisher="Tolmer Quay Marine Electronics",
    description="Faults of small-craft echosounders",
    rights="All rights reserved",
    date="2025-03-09",
    access_modes=("textual", "visual"),
    access_modes_sufficient=("textual",),
    features=("tableOfContents", "structuralNavigation", "readingOrder", "alternativeText", "index"),
    hazards=("none",),
    summary="Drawings have text alternatives, tables have header cells.",
)


def png() -> bytes:
    """Return a small picture."""
    from PIL import Image

    stream = io.BytesIO()
    Image.new("RGB", (8, 8), (240, 240, 240)).save(stream, "PNG")
    return stream.getvalue()


def chapters() -> list[Chapter]:
    """Return chapters with everything: nesting, links across files, table, drawing, pictures, index."""
    table = (
        "<table><caption>Limits</caption><thead><tr><th scope=col>Where<th scope=col>Least</thead>"
        "<tbody><tr><th scope=row>Plug<td>11.5 V</tbody></table>"
    )
    blank = (
        f'<h1>Depth is blank</h1><p>Measure the plug<br>first &amp; read <a href="#frozen">frozen</a> '
        f'<span class="print-only">on page <span data-page-of="#frozen"></span></span>.'
        f'<h2 id="supply">Supply</h2>{table}<figure>{HULL}<figcaption>Hull</figcaption></figure>'
        '<p><img src="pictures/plug.png" alt="A plug with seven pins"> <img src="lead.svg" alt="A lead line">'
    )
    return [
        Chapter(
            "preface", "preface.xhtml", "How to use it", "<h1>How to use it</h1><p>Read.", kind="preface"
        ),
        Chapter(
            "blank",
            "blank.xhtml",
            "Depth is blank & gone",
            blank,
            sections=(Section("supply", "Supply"),),
            children=(
                Chapter(
                    "frozen",
                    "frozen.xhtml",
                    "Frozen",
                    '<h1 id="frozen">Frozen</h1><p>See <a href="blank.xhtml#supply">it</a>.',
                ),
            ),
        ),
        Chapter(
            "index",
            "index.xhtml",
            "Index",
            '<h1>Index</h1><ul><li><a href="#supply">supply</a></ul>',
            kind="index",
        ),
    ]


def write(out: Path, **changes: Any) -> Path:
    """Write the book, with changes."""
    given: dict[str, Any] = {
        "identifier": "urn:uuid:7d3c6a52-1f0b-5f2e-9c43-7d8f6b1f2a10",
        "title": "Handbook <of> faults & cures",
        "language": "en-GB",
        "modified": MODIFIED,
        "chapters": chapters(),
        "css": "body { margin: 1em } th, td { border: 1px solid; padding: 0.3em }",
        "metadata": METADATA,
        "images": {"pictures/plug.png": png(), "lead.svg": HULL.encode()},
        "cover_svg": COVER,
    }
    return write_epub(out, **(given | changes)).path


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the finished book."""
    return write(tmp_path_factory.mktemp("book") / "handbook.epub")


def parsed(book: Path, name: str) -> Any:
    """Return one file of the book as a tree."""
    with zipfile.ZipFile(book) as archive:
        return etree.fromstring(archive.read(f"EPUB/{name}"))


def test_a_plain_book_passes_too(tmp_path: Path) -> None:
    """Without cover, pictures and nesting, but with a conformance that somebody has evaluated."""
    plain = write(
        tmp_path / "plain.epub",
        cover_svg=None,
        images={},
        chapters=[Chapter("one", "one.xhtml", "One", "<h1>One</h1><p>Text")],
        metadata=dataclasses.replace(
            METADATA,
            access_modes=("textual",),
            features=("tableOfContents",),
            conforms_to="EPUB Accessibility 1.1 - WCAG 2.2 Level AA",
            certified_by="A named evaluator",
        ),
    )
    assert validators.run_epubcheck(plain) == []


def test_the_checker_has_nothing_to_say_but_of_a_dead_link(book: Path, tmp_path: Path) -> None:
    """EPUB 3.3 by the W3C's own checker: of fatal, error, warning, info and usage it has nothing but what is wrong.

    The gate is not blind: a dead link put into the whole book is reported.
    """
    broken = tmp_path / "broken.epub"
    with zipfile.ZipFile(book) as source, zipfile.ZipFile(broken, "w") as target:
        for entry in source.infolist():
            target.writestr(
                entry, source.read(entry).replace(b'href="blank.xhtml#supply"', b'href="gone.xhtml"')
            )
    found = validators.run_epubcheck(broken)
    assert found
    assert [finding for finding in found if not finding.startswith("epubcheck RSC-007 ERROR: ")] == []


def test_reading_order_and_contents(book: Path) -> None:
    package, navigation = parsed(book, "content.opf"), parsed(book, "nav.xhtml")
    order = [item.get("idref") for item in package.iter(f"{OPF}itemref")]
    assert order == ["cover", "navigation", "text-preface", "text-blank", "text-frozen", "text-index"]
    links = [(a.get("href"), a.text) for a in navigation.iter("{*}a")]
    assert links[:5] == [
        ("preface.xhtml", "How to use it"),
        ("blank.xhtml", "Depth is blank & gone"),
        ("blank.xhtml#supply", "Supply"),
        ("frozen.xhtml", "Frozen"),
        ("index.xhtml", "Index"),
    ]
    kinds = {a.get("{http://www.idpf.org/2007/ops}type"): a.get("href") for a in navigation.iter("{*}a")}
    assert kinds["bodymatter"] == "blank.xhtml"
    assert kinds["index"] == "index.xhtml"
    assert {"cover", "toc"} <= set(kinds)


def test_links_lead_across_files(book: Path) -> None:
    links = [a.get("href") for a in parsed(book, "blank.xhtml").iter("{*}a")]
    assert links == ["frozen.xhtml#frozen"]
    assert [a.get("href") for a in parsed(book, "index.xhtml").iter("{*}a")] == ["blank.xhtml#supply"]


def test_paper_only_text_is_left_out(book: Path) -> None:
    text = " ".join("".join(parsed(book, "blank.xhtml").itertext()).split())
    assert "Measure the plugfirst & read frozen ." in text
    assert "on page" not in text


def test_no_fonts_and_no_library_version(book: Path) -> None:
    with zipfile.ZipFile(book) as archive:
        names = archive.namelist()
        package = archive.read("EPUB/content.opf").decode()
    assert not [name for name in names if name.endswith((".ttf", ".otf", ".woff", ".woff2"))]
    assert "generator" not in package
    assert names[0] == "mimetype"


def test_the_same_book_twice(book: Path, tmp_path: Path) -> None:
    assert write(tmp_path / "again.epub").read_bytes() == book.read_bytes()
    zone = datetime.timezone(datetime.timedelta(hours=9))
    elsewhere = write(tmp_path / "elsewhere.epub", modified=MODIFIED.astimezone(zone))
    assert elsewhere.read_bytes() == book.read_bytes()


def test_metadata_says_what_was_given(book: Path) -> None:
    package = parsed(book, "content.opf")
    given = {(meta.get("property"), meta.text) for meta in package.iter(f"{OPF}meta")}
    assert ("schema:accessibilityFeature", "index") in given
    assert ("dcterms:modified", "2025-03-09T10:20:30Z") in given
    assert not any(name == "dcterms:conformsTo" for name, _ in given)


def test_words_in_another_language(tmp_path: Path) -> None:
    words = Words(contents="Inhalt", landmarks="Wegmarken", cover="Umschlag", start="Textbeginn")
    navigation = parsed(write(tmp_path / "a.epub", language="de", words=words), "nav.xhtml")
    assert [h.text for h in navigation.iter("{*}h1", "{*}h2")] == ["Inhalt", "Wegmarken"]
    assert navigation.get("lang") == "de"


def one(body: str, **fields: Any) -> dict[str, Any]:
    """Return the change that makes the book one chapter with this body."""
    return {
        "chapters": [
            Chapter(**({"id": "a", "file_name": "a.xhtml", "title": "A", "body_html": body} | fields))
        ]
    }


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        (one("<p>x"), "has no heading"),
        (one("<h1>A</h1><h3>B</h3>"), "h3 follows h1"),
        (one('<h1>A</h1><a href="#gone">x</a>'), "link to '#gone' leads nowhere"),
        (one('<h1>A</h1><a href="b.xhtml">x</a>'), "link to 'b.xhtml' leads nowhere"),
        (one('<h1>A</h1><a href="javascript:x()">x</a>'), "leads nowhere"),
        (one('<h1 id="a">A</h1><p id="a">'), "the id 'a' is used twice"),
        (one("<h1>A</h1><script>1</script>"), "<script> has no place"),
        (one('<h1 onclick="x()">A</h1>'), "script attribute onclick"),
        (one('<h1>A</h1><img src="https://example.org/a.png" alt="a">'), "is not in the book"),
        (one('<h1>A</h1><img src="lead.svg">'), "has no text alternative"),
        (one("<h1>A</h1><svg><path/></svg>"), "has no <title>"),
        (one('<h1>A</h1><p style="background:url(lead.svg)">x'), "a style loads something"),
        (one("<h1>A</h1>", file_name="nav.xhtml"), "nav.xhtml is used twice"),
        (one("<h1>A</h1>", file_name="../a.xhtml"), "is not letters, digits"),
        (one("<h1>A</h1>", kind="chapterlet"), "unknown kind"),
        (one("<h1>A</h1>", sections=(Section("x", "X"),)), "'#x', which is not there"),
        ({"chapters": []}, "no chapter"),
        ({"css": "@font-face { src: url(x.ttf) }"}, "@font-face"),
        ({"css": "p { font-size: 12px }"}, "font-size: 12px"),
        ({"css": "p { font: 600 9pt/1.2 serif }"}, "9pt"),
        ({"css": "p { background: URL(x.png) }"}, "url("),
        ({"images": {"lead.svg": b"<svg/>"}}, "SVG namespace"),
        ({"images": {"spare.png": png()}}, "'spare.png' is in the book but no chapter shows it"),
        ({"images": {"a.gif": b"GIF"}}, "picture a.gif"),
        ({"images": {"a.png": b"not a picture"}}, "is no image/png"),
        ({"modified": datetime.datetime(2025, 3, 9)}, "no time zone"),
        ({"cover_svg": COVER.replace("<title>Cover</title>", "")}, "has no <title>"),
    ],
)
def test_faults_stop_the_book(tmp_path: Path, changes: dict[str, Any], words: str) -> None:
    with pytest.raises(OutputError) as caught:
        write(tmp_path / "a.epub", **changes)
    assert words in str(caught.value)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("claim", "words"),
    [
        ({"features": ("MathML",)}, "'MathML' is claimed but the book does not keep it"),
        ({"features": ("pageNavigation",)}, "'pageNavigation' cannot be vouched for"),
        ({"features": ()}, "lack accessibility features"),
        ({"hazards": ("all",)}, "unknown accessibility hazard 'all'"),
        ({"access_modes": ("textual",)}, "'visual' must be given exactly when"),
        ({"access_modes_sufficient": ("auditory",)}, "'auditory' are not among"),
        ({"certified_by": "Somebody"}, "a certifier is named but no conformance"),
        ({"summary": ""}, "lack an accessibility summary"),
        ({"date": "9 March 2025"}, "not written YYYY-MM-DD"),
    ],
)
def test_false_claims_stop_the_book(tmp_path: Path, claim: dict[str, Any], words: str) -> None:
    with pytest.raises(Refused) as caught:
        write(tmp_path / "a.epub", metadata=dataclasses.replace(METADATA, **claim))
    assert any(words in finding for finding in caught.value.findings)


def test_an_index_must_exist_to_be_claimed(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="'index' is claimed"):
        write(tmp_path / "a.epub", chapters=chapters()[:-1])
