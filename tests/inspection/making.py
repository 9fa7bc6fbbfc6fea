"""Small documents that keep every rule, and the means to break one of them."""

from __future__ import annotations

import functools
import io
import itertools
import math
import zipfile
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from leadsman.inspection import survey as _all_rules  # noqa: F401  enters every rule
from leadsman.inspection.epub_reading import EpubFile, read_epub
from leadsman.inspection.findings import RULES, Outcome, Rule, judge
from leadsman.inspection.model import (
    BLACK,
    MM_PER_PT,
    Box,
    Colour,
    Element,
    Page,
    PdfFile,
    Run,
    Shape,
    Typeface,
)
from leadsman.inspection.reading import read_pdf
from leadsman.press import boxes
from leadsman.press.fetcher import BASE_URL
from leadsman.press.repair import repair
from leadsman.press.typeset import PDF_VARIANT, Typesetter, document_shell

DECK_CSS = """
@page { size: 105mm 148mm; margin: 0; bleed: 10mm; marks: crop }
body { margin: 0; font: 400 12pt/1.3 "Leadsman Head" } p, ol, h1, table { margin: 0; padding: 0 }
.face { position: relative; width: 105mm; height: 148mm; break-after: page }
.title { position: absolute; left: 15mm; top: 6mm; font: 700 15pt/1.3 "Leadsman Head" }
.code { position: absolute; right: 6mm; top: 6mm; background: #000; color: #fff; font: 700 20pt/1.2 "Leadsman Head"; padding: 0 2mm }
.hole { position: absolute; left: 5mm; top: 5mm; width: 5mm; height: 5mm; border: 0.5pt solid #000; border-radius: 50% }
.live { position: absolute; left: 6mm; right: 6mm; top: 19mm }
.foot { position: absolute; left: 6mm; bottom: 6mm; font: 500 8pt/1.3 "Leadsman Head" }
.turn { position: absolute; right: 6mm; bottom: 11mm; font: 600 11pt/1.3 "Leadsman Head" }
.step { border-top: 0.5pt solid #000; margin-top: 1mm }
.see { font-weight: 600 } .answers { font-weight: 700 } .answer { display: inline-block; width: 30mm }
.caution { border: 1pt solid #000; margin-top: 1mm; padding: 0.5mm }
.signal { font-weight: 700; border: 0.75pt solid #000; padding: 0 1mm } .DANGER { background: #900000; color: #fff }
.WARNING { background: #ff8200 } .letter { font-weight: 700; padding-right: 2mm } .says { font-weight: 700 }
table { border-collapse: collapse; font-size: 11pt } td, th { padding: 0 2mm; text-align: left; border-bottom: 0.5pt solid #000 }
"""


def face(code: str, number: int, total: int, title: str, body: str, turn: str, *, first: str = "p") -> str:
    """One face of a card."""
    mark = f'<p class="turn">{turn}</p>' if turn else ""
    return (
        f'<section class="face"><{first} class="title">{title}</{first}><div class="code">{code}</div>'
        f'<div class="hole"></div><div class="live">{body}</div>{mark}'
        f'<p class="foot">TQ-DECK-{code}, face {number} of {total}, rev 1, 25 Nov 2026. Quay deck.</p></section>'
    )


def step(number: int, words: str, question: str, answers: str) -> str:
    """One step with its question and answers."""
    shown = "".join(f'<span class="answer">{a}</span>' for a in answers.split("|"))
    return (
        f'<div class="step"><ol style="counter-reset: list-item {number - 1}"><li>{words}</li></ol><p class="see">{question}</p>'
        f'<p class="answers">{shown}</p></div>'
    )


INDEX = """<p>For the technician.</p><table><caption>Effective cards</caption>
<thead><tr><th scope="col">Card</th><th scope="col">What is seen</th><th scope="col">Faces</th><th scope="col">Rev</th></tr></thead>
<tbody><tr><th scope="row">0</th><td>Index</td><td>2</td><td>1</td></tr><tr><th scope="row">P1</th><td>Dead unit</td><td>2</td><td>1</td></tr></tbody></table>"""
CAUTION = '<p class="caution"><span class="signal WARNING">WARNING</span> Fire: same rating only.</p>'
LIMITS = """<table><caption>Drop by boat</caption><thead><tr><th scope="col">Boat</th><th scope="col">drop</th><th scope="col">most</th></tr></thead>
<tbody><tr><th scope="row">Sedge</th><td>0.39 V</td><td>0.50 V</td></tr><tr><th scope="row">Marten</th><td>0.29 V</td><td>0.40 V</td></tr></tbody></table>
<p>By supply.voltage_drop. Assumed: 1.75 A.</p>"""
STEP_1 = step(1, "Switch the unit on.", "Does the unit stay dark?", "YES → 2|NO → A|CAN'T → 2")
STEP_2 = step(2, "Measure the fuse.", "Do both ends read the battery?", "YES → A|NO → A|CAN'T → A")
FIX = '<p><span class="letter">A</span><span class="says">Feed was off.</span> Switch it on. Does it stay on? <span>NO → 1</span></p>'
FRONT = f"<p>No light and no beep when the key is pressed.</p><p>For Holm.</p>{STEP_1}"
BACK = f"{CAUTION}{STEP_2}{FIX}{LIMITS}"
DECK = (
    face("0", 1, 2, "Index of cards", INDEX, "face 2 →", first="h1")
    + face("0", 2, 2, "Index of cards, continued", "<p>The words of the index, two lines long so that their pitch is measured.</p>", "END of 0")
    + face("P1", 1, 2, "Dead unit", FRONT, "step 2 →", first="h1")
    + face("P1", 2, 2, "Dead unit: step 2", BACK, "END of P1")
)  # fmt: skip

BOOK_CSS = """
@page { size: A5; margin: 16mm 14mm; @top-left { content: "Sounder faults"; font: 600 9pt "Leadsman Head" }
  @bottom-left { content: "TQ-BOOK, revision 1, 25 Nov 2026"; font: 400 9pt "Leadsman Text" } }
body { font: 400 10.5pt/1.35 "Leadsman Text" } h1 { break-before: page; font-size: 18pt }
.caution { border: 1pt solid #000; padding: 1mm; font-size: 12pt } .signal { font-weight: 700 }
.answers { list-style: none; padding: 0 } table { border-collapse: collapse; font-size: 9pt }
td, th { border-bottom: 0.5pt solid #000; text-align: left; padding: 0.5mm 2mm } .step { break-inside: avoid }
"""
_HAZARDS = "".join(
    f'<p class="caution"><span class="signal">{word}</span> {text}</p>'
    for word, text in (("DANGER", "Petrol vapour burns."), ("WARNING", "A propeller cuts."), ("CAUTION", "A plug pinches."))
)  # fmt: skip
BOOK = f"""<section><h1 style="break-before: auto">Sounder faults</h1><p>For the technician. Applies to Holm.</p><p>TQ-BOOK, revision 1, 25 Nov 2026.</p>
<p>Approved by the workshop lead. Telephone 01632 960 147.</p></section>
<section><h1>Contents</h1><p>Safety and the rest, in two lines so that the distance of their baselines is measured on the finished page.</p></section>
<section><h1>Before you begin</h1>{_HAZARDS}</section>
<section><h1 id="power">Power</h1><h2>Dead unit</h2>
<svg xmlns="http://www.w3.org/2000/svg" width="80" height="40" viewBox="0 0 80 40"><title>A vee hull</title><path d="M5 5L40 35L75 5" fill="none" stroke="#000"/></svg>
<p>See <a href="#power">the power part</a>.</p>
<div class="step"><p class="caution"><span class="signal">WARNING</span> Fire: same rating only.</p>
<ol><li>Switch the unit on.</li></ol><p>Does the unit stay dark?</p>
<ul class="answers"><li><b>YES</b> → step 2</li><li><b>NO</b> → fix A</li></ul></div>{LIMITS}</section>
<section><h1>Revisions</h1><table><caption>Revisions</caption><thead><tr><th scope="col">Revision</th><th scope="col">Date</th></tr></thead>
<tbody><tr><th scope="row">1</th><td>25 Nov 2026</td></tr></tbody></table></section>"""


@functools.cache
def typesetter() -> Typesetter:
    """One engine for all documents."""
    return Typesetter()


@functools.cache
def pdf(html: str, css: str, *, bleed_mm: float | None = None, mend: bool = True) -> bytes:
    """A document as the engine writes it, mended unless the test is about what the engine gets wrong."""
    setter = typesetter()
    source = document_shell(html, title="Sample", language="en-GB")
    parsed = setter.engine.HTML(string=source, base_url=BASE_URL, url_fetcher=setter.fetcher)
    document = parsed.render(
        stylesheets=[*setter._own, setter.sheet(css)], font_config=setter.font_configuration,
        pdf_variant=PDF_VARIANT, pdf_forms=True,
    )  # fmt: skip
    raw: bytes = document.write_pdf(pdf_variant=PDF_VARIANT, pdf_forms=True)
    return repair(raw, link_texts=boxes.link_texts(document), bleed_mm=bleed_mm).data if mend else raw


def read(data: bytes, folder: Path, texts: Iterable[str] = ()) -> PdfFile:
    """Read a document of a test."""
    path = folder / "sample.pdf"
    path.write_bytes(data)
    return read_pdf(path, tuple(texts))


def changed(text: str, changes: Iterable[tuple[str, str]]) -> str:
    """The text with some pieces changed; each must be there, or the test would test nothing."""
    for old, new in changes:
        assert old in text, f"'{old}' is not in the sample"
        text = text.replace(old, new)
    return text


def rule(name: str, kind: str) -> Rule:
    """The rule of an id that applies to a kind."""
    (found,) = [r for r in RULES.values() if r.id == name and kind in r.kinds]
    return found


def outcome(name: str, kind: str, file: PdfFile | EpubFile) -> Outcome:
    """What one rule finds in a file."""
    return judge(rule(name, kind), file)


# --- EPUB --------------------------------------------------------------------------------------

_CONTAINER = (
    '<container xmlns="urn:oasis:names:tc:opendocument:xmlns:container" version="1.0"><rootfiles>'
    '<rootfile full-path="EPUB/book.opf" media-type="application/oebps-package+xml"/></rootfiles></container>'
)
_HTML = (
    '<html xmlns="http://www.w3.org/1999/xhtml" xmlns:epub="http://www.idpf.org/2007/ops" xml:lang="en-GB">'
)
EPUB: dict[str, str] = {
    "EPUB/book.opf": """<package xmlns="http://www.idpf.org/2007/opf" version="3.0" xml:lang="en-GB">
<metadata xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:title>Faults</dc:title><dc:identifier>urn:x</dc:identifier><dc:language>en-GB</dc:language>
<meta property="schema:accessMode">textual</meta><meta property="schema:accessibilityFeature">tableOfContents</meta>
<meta property="schema:accessibilityFeature">alternativeText</meta><meta property="schema:accessibilityHazard">none</meta>
<meta property="dcterms:conformsTo">EPUB Accessibility 1.1 - WCAG 2.2 Level AA</meta></metadata>
<manifest><item id="nav" href="nav.xhtml" media-type="application/xhtml+xml" properties="nav"/><item id="css" href="book.css" media-type="text/css"/>
<item id="one" href="one.xhtml" media-type="application/xhtml+xml"/></manifest><spine><itemref idref="one"/></spine></package>""",
    "EPUB/nav.xhtml": f"""{_HTML}<head><title>Contents</title></head><body><nav epub:type="toc"><h1>Contents</h1><ol><li><a href="one.xhtml#p1">Dead unit</a></li></ol></nav>
<nav epub:type="page-list"><ol><li><a href="one.xhtml#page-1">1</a></li></ol></nav></body></html>""",
    "EPUB/book.css": "body { line-height: 1.4 } svg { max-width: 100% } .signal { background: #900000; color: #fff } .caution { border: 2px solid }",
    "EPUB/one.xhtml": f"""{_HTML}<head><title>Power</title></head><body><span epub:type="pagebreak" id="page-1"></span><h1 id="p1">Power</h1>
<div class="caution"><p><span class="signal">DANGER</span> Vapour.</p><p><span class="signal">WARNING</span> Blades.</p><p><span class="signal">NOTICE</span> Plug.</p></div>
<h2>Dead unit</h2><p>No light shows when the key is pressed.</p><svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"><title>A vee hull</title></svg>
<div class="step"><div class="caution"><p>Take care.</p></div><ol><li>Switch on.</li></ol><ul class="answers"><li>YES → <a href="#p1">step 2</a></li></ul></div>
<table><caption>Drop</caption><thead><tr><th scope="col">Boat</th></tr></thead><tbody><tr><td>Sedge</td></tr></tbody></table></body></html>""",
}


def epub(folder: Path, changes: Iterable[tuple[str, str, str]] = ()) -> EpubFile:
    """The sample book with some pieces of its members changed."""
    members = dict(EPUB)
    for member, old, new in changes:
        members[member] = changed(members[member], [(old, new)])
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("mimetype", "application/epub+zip")
        archive.writestr("META-INF/container.xml", _CONTAINER)
        for name, text in members.items():
            archive.writestr(name, text)
    path = folder / "sample.epub"
    path.write_bytes(out.getvalue())
    return read_epub(path)


# --- pages made of nothing but places ------------------------------------------------------------

FACE = Typeface("Leadsman-Head", True, True, False, False, False)


def shape(
    *box: float,
    fill: Colour | None = None,
    line: Colour | None = None,
    pt: float | None = None,
    ring: bool = False,
) -> Shape:
    """A fill, or with ``pt`` a line, from left and top to right and bottom [mm]."""
    place = Box(*box)
    return Shape(1, place, place, fill, line, pt, curved=ring, dashed=False)


def letters(
    text: str, *box: float, size_pt: float = 12.0, colour: Colour = BLACK, element: Element | None = None
) -> Run:
    """Letters that fill a box [mm]."""
    return Run(text, 1, Box(*box), box[3], size_pt, FACE, colour, 1.0, False, False, element)


BOLD = replace(FACE, bold=True)
_ORDER = itertools.count(1)


def element(tag: str, parent: Element | None = None, page: int | None = 1, **more: Any) -> Element:
    """An element that is read after all that were made before."""
    made = Element(tag, parent, page, order=next(_ORDER), **more)
    if parent is not None:
        parent.kids.append(made)
    return made


def written(
    tag: str | Element,
    *pieces: str | Run,
    parent: Element | None = None,
    label: str = "",
    left: float = 10.0,
    size_pt: float = 12.0,
    face: Typeface = FACE,
    colour: Colour = BLACK,
) -> list[Run]:
    """A text of one element at the head of the page, each piece a run; a new line begins with a line break.

    Letters are taken half as wide as they are high, lines as 1.3 of that.
    """
    em, found = size_pt * MM_PER_PT, []
    own = tag if isinstance(tag, Element) else element(tag, parent)
    top, right = 0.0, left
    for number, piece in enumerate([label, *pieces] if label else pieces):
        holder = element("Lbl", own) if label and not number else element("", own)
        if isinstance(piece, str):
            if piece.startswith("\n"):
                top, right, piece = top + 1.3 * em, left, piece[1:]
            wide = 0.5 * em * len(piece)
            run = letters(piece, right, top, right + wide, top + em, size_pt=size_pt, colour=colour)
            run.face, right = face, right + wide + 0.25 * em
        else:
            run = piece
        run.element = holder
        holder.kids.append(run)
        found.append(run)
    return found


def lowered(runs: Iterable[Run], by_mm: float) -> list[Run]:
    """The same letters, lower on the page."""
    moved = list(runs)
    for run in moved:
        run.box = Box(run.box.left, run.box.top + by_mm, run.box.right, run.box.bottom + by_mm)
        run.baseline += by_mm
    return moved


def column(*texts: list[Run], top: float = 22.0, gap: float = 1.0) -> list[Run]:
    """Texts one below the other, read from above."""
    found: list[Run] = []
    for text in texts:
        found += lowered(text, top)
        top = max((run.box.bottom for run in text), default=top) + gap
    return in_turn(found)


def in_turn(runs: list[Run]) -> list[Run]:
    """Letters that are read in this order, whenever their elements were made."""
    for run in runs:
        if run.element is not None:
            run.element.order = next(_ORDER)
    return runs


def step_of(number: int, words: str, *texts: list[Run]) -> list[list[Run]]:
    """A numbered item and the texts after it."""
    return [written("LI", words, label=f"{number}."), *texts]


def answers_of(*answers: str) -> list[Run]:
    """A line of answers."""
    return written("P", *answers, face=BOLD)


def card_face(
    *texts: list[Run],
    code: str = "P1",
    number: int = 1,
    total: int = 1,
    title: str = "Dead unit",
    turn: str = "",
    says: str = "TQ-{code}, face {number} of {total}, rev 1, 25 Nov 2026. Quay deck.",
    tab: list[Run] | None = None,
    size: tuple[float, float] = (105, 148),
    things: Iterable[Shape] = (),
) -> PdfFile:
    """A page that is the face of a card, its texts one below the other."""
    high = size[1]
    head = lowered(written("P", title, size_pt=15, face=BOLD), 8) if title else []
    shown = lowered(written("Div", code, left=size[0] - 20, size_pt=20, face=BOLD), 8)
    body = column(*texts)
    mark = lowered(written("P", turn, face=BOLD), high - 18) if turn else []
    foot = lowered(written("P", says.format(code=code, number=number, total=total), size_pt=8), high - 9)
    return page(*in_turn([*(tab or ()), *head, *shown, *body, *mark, *foot]), *things, size=size)


def joined(*files: PdfFile) -> PdfFile:
    """One file of the pages of several."""
    pages = []
    for number, file in enumerate(files, 1):
        (only,) = file.pages
        for run in only.runs:
            run.page = number
        for each in file.elements:
            each.page = number
        pages.append(replace(only, number=number))
    return replace(files[0], pages=pages, tree=[top for file in files for top in file.tree])


def _away(box: Box) -> Box:
    """A box moved off the origin, where a wrong sign would not show."""
    return Box(box.left + 20, box.top + 30, box.right + 20, box.bottom + 30)


def _moved(run: Run) -> Run:
    """Letters moved off the origin, among those of their element as well."""
    moved = replace(run, box=_away(run.box), baseline=run.baseline + 30)
    if run.element is not None:
        run.element.kids = [moved if kid is run else kid for kid in run.element.kids]
    return moved


def _top(each: Element) -> Element:
    return each if each.parent is None else _top(each.parent)


def page(
    *things: Run | Shape,
    size: tuple[float, float] = (105, 148),
    bleed_mm: float = 3,
    figures: Iterable[Box] = (),
) -> PdfFile:
    """A file of one white page; places count from the corner of its trim size."""
    trim = _away(Box(0, 0, *size))
    runs = [_moved(each) for each in things if isinstance(each, Run)]
    shapes = [
        replace(each, box=_away(each.box), whole=_away(each.whole))
        for each in things
        if isinstance(each, Shape)
    ]

    def white(scale: float) -> Any:
        width, height = (math.ceil(side / MM_PER_PT * scale) + 60 for side in size)
        return np.full((height, width, 3), 255, np.uint8)

    made = Page(
        1,
        trim,
        trim.grown(10),
        trim.grown(bleed_mm),
        runs,
        shapes,
        [],
        "",
        0,
        [_away(figure) for figure in figures],
        False,
        white,
    )
    tops = dict.fromkeys(_top(run.element) for run in runs if run.element is not None)
    return PdfFile(
        Path("made.pdf"),
        [made],
        [top for top in tops if top.tag],
        "",
        "",
        True,
        False,
        True,
        "1",
        "",
        [],
        [FACE],
        0,
    )
