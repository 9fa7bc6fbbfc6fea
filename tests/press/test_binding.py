"""A book bound from chapters is the same to a reader as the same book set as one document."""

from __future__ import annotations

import dataclasses
import io
import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import pymupdf
import pytest

import small_guides
import validators
from leadsman.press import binding
from leadsman.press import chapters as pages_of_chapters
from leadsman.press.binding import all_finished, bind_book, bound
from leadsman.press.chapters import Book, Chapter, FinishedChapter, Flow
from leadsman.press.gate import Refused
from leadsman.press.typeset import Typesetter, render_pdf
from leadsman.store import Store

TITLE, LANGUAGE = "Book for the bench", "en-GB"
STYLE = """
@page { size: 80mm 90mm; margin: 10mm 8mm 10mm 14mm;
  @top-left { content: string(part, start) } @top-right { content: string(code, start) }
  @bottom-left { content: string(identity) } @bottom-right { content: counter(page); font-weight: 600 } }
@page :left { margin: 10mm 14mm 10mm 8mm; @bottom-left { content: counter(page) }
  @bottom-right { content: string(identity) } }
@page :first { @top-left { content: none } @bottom-left { content: none } }
@page facing { @top-left { content: "Facing pages" } }
body { font: 9pt/1.3 "Leadsman Text"; margin: 0 } h1 { string-set: part content(), code ""; font-size: 14pt }
h2 { string-set: code content() } .identity { string-set: identity content() }
.part { break-before: page } .facing { break-before: left; page: facing } .over { break-before: page }
[data-page-of] { display: inline-block; min-width: 1.6em; text-align: right }
.line { display: flex } .line [data-page-of] { flex: none; width: 9mm } .dots { flex: 1 }
.head { font-family: "Leadsman Head" } table { border-collapse: collapse } td, th { border: 0.5pt solid }
"""
PICTURE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="80" height="40" viewBox="0 0 80 40"><title>A vee hull</title>'
    '<path d="M5 5L40 35L75 5" fill="none" stroke="#000"/></svg>'
)
TABLE = (
    '<table><caption>Volts at the plug</caption><thead><tr><th scope="col">Load</th><th scope="col">Least</th></tr></thead>'
    '<tbody><tr><th scope="row">Off</th><td>12.4</td></tr><tr><th scope="row">On</th><td>11.8</td></tr></tbody></table>'
)


def line(anchor: str, words: str) -> str:
    """A line of the contents."""
    return (
        f'<li><span class="line"><span><a href="#{anchor}">{words}</a></span><span class="dots"></span>'
        f'<span data-page-of="#{anchor}"></span></span></li>'
    )


def at(anchor: str) -> str:
    """A reference with its page."""
    return f'<a href="#{anchor}">There</a>, page <span data-page-of="#{anchor}"></span>.'


CHAPTERS: list[Chapter] = [
    Chapter("opening", '<h1>The book</h1><p class="identity">BOOK, revision 1</p><ul>'
            + line("power", "Power") + line("dead", "P1 Dead") + line("hot", "P2 Hot") + line("words", "Words")
            + '</ul><p>Call <a href="tel:+15550100">555 0100</a>.</p>'),
    Chapter("power", f'<section class="part"><h1 id="power">Power</h1><p>{at("words")} <i>{at("hot")}</i></p></section>'),
    Chapter("dead", f'<section class="part"><div class="facing"><h2 id="dead">P1 Dead unit</h2><ol><li>Look. {at("hot")}</li><li>Measure.</li>'
            f'</ol>{TABLE}<div class="over"><h3>Ends</h3><p>{at("dead")} {PICTURE}</p></div></div></section>'),
    Chapter("hot", f'<section class="part"><div class="facing"><h2 id="hot">P2 Hot unit</h2>{TABLE}<p class="head">{at("dead")}</p></div></section>'),
    Chapter("words", f'<section class="part"><h1 id="words">Words é</h1>{"<p>Fathom, furlong &amp; lead line. Ω</p>" * 25}<h2>More</h2><p>{at("power")}</p></section>'),
]  # fmt: skip


def bind(
    out: Path, typesetter: Typesetter, chapters: Sequence[Chapter | Flow] = CHAPTERS, style: str = STYLE
) -> Any:
    """Bind the book."""
    return bind_book(chapters, [style], out=out, title=TITLE, language=LANGUAGE, typesetter=typesetter)


def reader(data: bytes) -> dict[str, Any]:
    """What a reader meets; tables are told by the words of their headers, not by the ids of these."""
    found = small_guides.seen(data)
    pixels = found.pop("pixels")
    found["tags"] = [
        (*tag[:3], re.sub(rb"\([^()]*-(\d+-\d+)\)", rb"(\1)", tag[3]), tag[4]) if len(tag) > 2 else tag
        for tag in found["tags"]
    ]
    with pymupdf.open(stream=data) as document:
        names = document.resolve_names()
        found["places"] = {name: (place["page"], place["to"]) for name, place in names.items()}
    with pikepdf.open(io.BytesIO(data)) as pdf:
        found["boxes"] = [[page.mediabox.unparse(), page.trimbox.unparse()] for page in pdf.pages]
        found["described"] = [str(a.Contents) for page in pdf.pages for a in page.get("/Annots", ())]
        found["root"] = {key: pdf.Root[key].unparse() for key in ("/Lang", "/MarkInfo", "/ViewerPreferences")}
    return {**found, "pixels": pixels}


def unlike(one: dict[str, Any], other: dict[str, Any]) -> list[str]:
    """In what two books differ; a painter may round a letter's edge otherwise where a page holds transparency."""
    found = [what for what in one if what != "pixels" and one[what] != other[what]]
    painted = [
        [np.frombuffer(page, np.uint8).astype(int) for page in book["pixels"]] for book in (one, other)
    ]
    if [len(p) for p in painted[0]] != [len(p) for p in painted[1]]:
        return [*found, "sizes"]
    if any(np.abs(a - b).max() > 3 for a, b in zip(*painted, strict=True)):
        found.append("pixels")
    return found


@pytest.fixture(scope="module")
def bound_path(tmp_path_factory: pytest.TempPathFactory, typesetter: Typesetter) -> Path:
    """Return the bound book."""
    path = tmp_path_factory.mktemp("bound") / "book.pdf"
    bind(path, typesetter)
    return path


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory, typesetter: Typesetter) -> dict[str, Any]:
    """Return the same book set as one document, as a reader meets it."""
    path = tmp_path_factory.mktemp("plain") / "book.pdf"
    html = "".join(chapter.html for chapter in CHAPTERS)
    render_pdf(html, STYLE, out=path, title=TITLE, language=LANGUAGE, typesetter=typesetter)
    return reader(path.read_bytes())


@pytest.fixture(scope="module")
def finished(typesetter: Typesetter) -> list[FinishedChapter]:
    """Return the chapters before they are bound."""
    anchors = {anchor for chapter in CHAPTERS for anchor in chapter.anchors}
    return all_finished(CHAPTERS, Book([STYLE], TITLE, LANGUAGE, anchors, typesetter, "book.pdf"))


@pytest.fixture(scope="module")
def cover(finished: list[FinishedChapter], typesetter: Typesetter) -> bytes:
    """Return the file with the fonts of the book."""
    return binding._cover(binding._all_faces(finished), TITLE, LANGUAGE, typesetter)


def test_a_bound_book_is_the_book_set_as_one_document(bound_path: Path, plain: dict[str, Any]) -> None:
    """Page by page: text, folios, heads, links and their targets, bookmarks, tags, boxes, and what is painted."""
    bound_book = reader(bound_path.read_bytes())
    assert unlike(bound_book, plain) == []
    assert bound_book["syntax"] == []
    # A chapter on facing pages leaves the page before it empty.
    assert [len(text) < 60 for text in plain["texts"]].count(True) >= 1
    assert len(plain["texts"]) >= 8


def test_validators_accept_it(bound_path: Path) -> None:
    # A small table truly has more header cells than data cells.
    assert validators.pdf_findings(bound_path, skip={"TBL-010"}) == []


def test_each_face_is_embedded_once(bound_path: Path, plain: dict[str, Any]) -> None:
    with pymupdf.open(bound_path) as document:
        fonts = {font[0]: font[3] for page in document for font in page.get_fonts()}
    assert len(set(fonts.values())) == len(fonts) == len(plain["fonts"])


def test_a_store_changes_no_byte(bound_path: Path, tmp_path: Path) -> None:
    """Kept or made, in memory or from disk, after another wording or not."""
    setter = Typesetter(store=Store(tmp_path / "store"))
    other = [*CHAPTERS[:-1], Chapter("words", CHAPTERS[-1].html.replace("Fathom", "Cable's length, fathom"))]
    bind(tmp_path / "other.pdf", setter, other)
    for name in ("first", "again"):
        bind(tmp_path / f"{name}.pdf", setter)
        assert (tmp_path / f"{name}.pdf").read_bytes() == bound_path.read_bytes()
    assert (tmp_path / "other.pdf").read_bytes() != bound_path.read_bytes()


def test_an_edit_sets_its_chapter_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not even when it moves the pages behind it by a leaf: their numbers are put in when they are bound."""
    setter = Typesetter(store=Store(None))
    bind(tmp_path / "a.pdf", setter)
    layouts = []
    render = setter.engine.HTML.render
    monkeypatch.setattr(setter.engine.HTML, "render", lambda *a, **k: layouts.append(1) or render(*a, **k))
    more = CHAPTERS[2].html.replace("<p>", '<p class="over">Look.</p><p class="over">Look.</p><p>', 1)
    longer = [*CHAPTERS[:2], Chapter("dead", more), *CHAPTERS[3:]]
    bind(tmp_path / "b.pdf", setter, longer)
    assert len(layouts) == 1
    html = "".join(chapter.html for chapter in longer)
    render_pdf(html, STYLE, out=tmp_path / "c.pdf", title=TITLE, language=LANGUAGE, typesetter=setter)
    assert unlike(*(reader((tmp_path / name).read_bytes()) for name in ("b.pdf", "c.pdf"))) == []


def flowing(words: Sequence[str]) -> list[Chapter | Flow]:
    """A book with a part of many pages: a block for each word, some of them longer than a page."""
    blocks = ['<h1 id="flow">Flowing</h1><p>About it.</p>']
    for number, word in enumerate(words):
        text = f"<p>{word}, and what follows from it; {at('words')} {at('b1')}</p>" * (1 + number * 7 % 11)
        table = TABLE if number % 4 == 1 else ""
        blocks.append(
            f'<h2 id="b{number}">{number} {word}</h2>{text}{table}<ol><li>One</li><li>Two</li></ol>'
        )
        blocks.append(f"<h3>More of {number}</h3><p>{word}.</p>" + PICTURE * (number % 2))
    flow = Flow("flow", '<section class="part"><div>', '<section class="part" style="break-before: auto"><div>',
                blocks, "</div></section>")  # fmt: skip
    return [CHAPTERS[0], CHAPTERS[2], flow, CHAPTERS[1], *CHAPTERS[3:]]


FLOW_STYLE = STYLE + "h2 { margin: 6mm 0 2mm; break-after: avoid } h3 { break-after: avoid }"
WORDS = [
    "Fathom",
    "Lead",
    "Line",
    "Mark",
    "Deep",
    "Tallow",
    "Chains",
    "Heave",
    "Bottom",
    "Shoal",
    "Bar",
    "Swing",
]


@pytest.mark.parametrize("enough", [600, 2500, 10**6])
def test_a_flow_is_the_same_in_however_many_chapters(
    enough: int, tmp_path: Path, typesetter: Typesetter, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where it is cut, no margin, head, number or tag tells of it."""
    monkeypatch.setattr(pages_of_chapters, "ENOUGH", enough)
    layouts = []
    plain_made = pages_of_chapters._made
    monkeypatch.setattr(
        pages_of_chapters, "_made", lambda name, *a: layouts.append(name) or plain_made(name, *a)
    )
    book = flowing(WORDS)
    bind(tmp_path / "bound.pdf", typesetter, book, FLOW_STYLE)
    html = "".join(chapter.html for chapter in book)
    render_pdf(
        html, FLOW_STYLE, out=tmp_path / "one.pdf", title=TITLE, language=LANGUAGE, typesetter=typesetter
    )
    found, plain = (reader((tmp_path / f"{name}.pdf").read_bytes()) for name in ("bound", "one"))
    assert unlike(found, plain) == []
    assert _structure((tmp_path / "bound.pdf").read_bytes()) == []
    pieces = {name for name in layouts if name.startswith("flow-")}
    assert (len(pieces) > 2) == (enough < 10**6)


def test_an_edit_of_a_flow_sets_some_pages_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The bytes are those of a process that kept nothing, whether lines moved or not."""
    monkeypatch.setattr(pages_of_chapters, "ENOUGH", 1200)
    setter = Typesetter(store=Store(None))
    bind(tmp_path / "a.pdf", setter, flowing(WORDS), FLOW_STYLE)
    whole = len([made for made in setter.chapters.values() if made.name.startswith("flow-")])
    for word, least in (("Heavy", True), ("Heave and walk away with it, shipmates", False)):
        before = set(setter.chapters)
        book = flowing([word if other == "Heave" else other for other in WORDS])
        bind(tmp_path / "b.pdf", setter, book, FLOW_STYLE)
        anew = {made.name for key, made in setter.chapters.items() if key not in before}
        assert all(name.startswith("flow-") for name in anew)
        assert 0 < len(anew) < whole
        if least:
            assert len(anew) <= 2
        bind(tmp_path / "c.pdf", Typesetter(), book, FLOW_STYLE)
        assert (tmp_path / "b.pdf").read_bytes() == (tmp_path / "c.pdf").read_bytes()


def _changed(chapters: list[FinishedChapter], at: int, **changes: Any) -> list[FinishedChapter]:
    return [dataclasses.replace(c, **changes) if n == at else c for n, c in enumerate(chapters)]


def _pages(chapter: FinishedChapter, **changes: Any) -> list[Any]:
    return [dataclasses.replace(page, **changes) for page in chapter.pages]


#: Each merging part broken by itself, and in what a reader then meets another book.
BROKEN: dict[str, tuple[Callable[[pytest.MonkeyPatch], None], str]] = {
    "folios": (lambda m: m.setattr(binding, "_put_numbers_in", lambda *a: []), "texts"),
    "bookmarks": (lambda m: m.setattr(binding, "_give_bookmarks", lambda *a: None), "bookmarks"),
    "destinations": (lambda m: m.setattr(binding, "_at", lambda page, x, y: pikepdf.Array([page.obj, pikepdf.Name.XYZ, 0, 0, 0])), "places"),
    "bookmarks' places": (lambda m: m.setattr(binding, "_number", lambda value: 1), "places"),
    "tags": (lambda m: m.setattr(binding._Tags, "take_over", _without_last), "tags"),
}  # fmt: skip


def _without_last(tags: Any, root: Any, pages: Any, first: int) -> None:
    tags._kids += list(root.K[0].K)[:-1]


@pytest.mark.parametrize("part", BROKEN)
def test_a_broken_part_of_the_binding_shows(
    part: str,
    finished: list[FinishedChapter],
    cover: bytes,
    plain: dict[str, Any],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The comparison above notices each of them."""
    data, _, findings = bound(finished, cover)
    assert (unlike(reader(data), plain), findings) == ([], [])
    BROKEN[part][0](monkeypatch)
    assert BROKEN[part][1] in unlike(reader(bound(finished, cover)[0]), plain)


def _structure(data: bytes) -> list[str]:
    """What is wrong between the pages of a file and its tags (ISO 32000-1:2008, 14.7.4.4)."""
    found = []
    with pikepdf.open(io.BytesIO(data)) as pdf:
        root = pdf.Root.StructTreeRoot
        numbers = list(root.ParentTree.Nums)
        owners = {int(n): owner for n, owner in zip(numbers[::2], numbers[1::2], strict=True)}
        if list(owners) != sorted(owners) or len(owners) != len(numbers) // 2:
            found.append("the tree of numbers is not in order")
        names = [bytes(n) for n in list(root.IDTree.Names)[::2]]
        if names != sorted(set(names)):
            found.append("the ids are not in order")
        used: list[int] = []
        for page in pdf.pages:
            used.append(int(page.StructParents))
            marked = {int(n) for n in re.findall(rb"/MCID (\d+)", page.Contents.read_bytes())}
            for mcid, owner in enumerate(owners[int(page.StructParents)]):
                if owner is None:
                    continue
                if mcid not in marked or mcid not in [k for k in owner.K if isinstance(k, int)]:
                    found.append(f"mark {mcid} is not its owner's")
                if owner.Pg.objgen != page.objgen:
                    found.append(f"mark {mcid} is owned from another page")
            for link in page.get("/Annots", ()):
                used.append(int(link.StructParent))
                kids = owners[int(link.StructParent)].K
                if not any(isinstance(k, pikepdf.Dictionary) and k.get("/Obj") == link for k in kids):
                    found.append("a link's tag does not hold it")
        if len(used) != len(set(used)) or set(used) != set(owners):
            found.append("a number of the tree is used twice or not at all")
        headers = {
            bytes(h)
            for item in pdf.objects
            if isinstance(item, pikepdf.Dictionary) and item.get("/S") == "/TD" and "/Headers" in item.A
            for h in item.A.Headers
        }
        if not headers <= set(names):
            found.append("a cell names a header that is not there")
        kids = root.K[0].K
        if any(kid.P.objgen != root.K[0].objgen for kid in kids):
            found.append("a tag hangs below another chapter's document")
    return found


def test_marks_links_and_ids_lead_to_their_own_tags(bound_path: Path) -> None:
    assert _structure(bound_path.read_bytes()) == []


@pytest.mark.parametrize("what", ["ids", "owners", "parents"])
def test_a_broken_tree_of_tags_shows(
    what: str, finished: list[FinishedChapter], cover: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain_finish = binding._Tags.finish

    def finish(tags: Any) -> None:
        if what == "ids":
            tags._ids = tags._ids[:1]
        if what == "owners":
            tags._owners = [(n, tags._owners[0][1]) for n, _ in tags._owners]
        if what == "parents":
            tags._kids[0].P = tags.root
        plain_finish(tags)

    monkeypatch.setattr(binding._Tags, "finish", finish)
    assert _structure(bound(finished, cover)[0]) != []


def test_a_link_to_nowhere_in_the_book_is_refused(tmp_path: Path, typesetter: Typesetter) -> None:
    lost = [CHAPTERS[1], Chapter("lost", '<section class="part"><h1 id="words">Words</h1><p><a href="#gone">There</a></p></section>')]  # fmt: skip
    with pytest.raises(Refused, match="No anchor #gone"):
        bind(tmp_path / "a.pdf", typesetter, [Chapter("hot", '<h1 id="hot">Hot</h1>'), *lost])
    assert not (tmp_path / "a.pdf").exists()


def test_a_destination_that_got_lost_is_found(finished: list[FinishedChapter], cover: bytes) -> None:
    """Should a chapter ever lose an anchor on its way, its links and page numbers say so."""
    pages = [
        dataclasses.replace(p, anchors=[a for a in p.anchors if a[0] != "dead"]) for p in finished[2].pages
    ]
    findings = bound(_changed(finished, 2, pages=pages), cover)[2]
    assert any("a link leads to 'dead', which is nowhere" in finding for finding in findings)
    assert any("no place 'dead' in the book, whose page is asked for" in finding for finding in findings)


@pytest.mark.parametrize(
    ("chapters", "finding"),
    [
        ([Chapter("a", '<h1 id="x">A</h1>'), Chapter("b", '<section class="part"><h3>B</h3></section>')], "heading level skipped: h3 follows h1"),
        ([Chapter("a", '<p id="x">A</p>')], "the document has no heading"),
        ([Chapter("a", '<h1 id="x">A</h1>'), Chapter("b", '<section class="part"><h1 id="x">B</h1></section>')], "two places of the book have the id 'x'"),
        ([Chapter("a", '<h1>A</h1><form><input name="x" title="X"></form>')], "a form cannot be bound"),
        ([Chapter("a", '<h1 id="x">A</h1><p>See <span style="display: inline" data-page-of="#x"></span></p>')], "no place of its own"),
        ([Chapter("a", '<h1 id="x">A</h1><p>See <span style="min-width: 1em; width: 1pt" data-page-of="#x"></span></p>')], ""),
    ],
)  # fmt: skip
def test_a_defect_of_the_whole_book_stops_it(
    chapters: list[Chapter], finding: str, tmp_path: Path, typesetter: Typesetter
) -> None:
    out = tmp_path / "a.pdf"
    if not finding:
        bind(out, typesetter, chapters)
        return
    with pytest.raises(Refused, match=re.escape(finding)):
        bind(out, typesetter, chapters)
    assert not out.exists()


def test_a_number_without_room_stops_it(tmp_path: Path, typesetter: Typesetter) -> None:
    """Two figures where there is room for one: the number would stand in what is beside it."""
    style = STYLE + "[data-page-of] { min-width: 0; width: 0.6em }"
    many = [Chapter(f"c{n}", f'<section class="part"><h1 id="c{n}">C</h1></section>') for n in range(9)]
    last = Chapter("z", f'<section class="part"><h1 id="z">Z</h1><p>{at("z")}</p></section>')
    with pytest.raises(Refused, match="no room for the page number 10 of 'z'"):
        bind(tmp_path / "a.pdf", typesetter, [*many, last], style)
