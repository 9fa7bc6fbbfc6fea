"""Rules on tags: what a reader with a screen reader, and a viewer, get from the file (PDF/UA-1)."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

from leadsman.errors import counted
from leadsman.inspection import sources
from leadsman.inspection.findings import BOOKS, PAPER, TAGGED, Reading, at, rule
from leadsman.inspection.model import HEADINGS, Element, PdfFile

_LANGUAGE = re.compile(r"[A-Za-z]{1,8}(-[A-Za-z0-9]{1,8})*")
_UA = sources.PDF_UA


def _of(element: Element, measured: str, right: bool) -> Reading:
    return Reading(measured, f"{element.tag} '{element.text[:50]}'", element.page or 0, None, right)


def _whole(measured: str, right: bool) -> Iterator[Reading]:
    yield Reading(measured, "the file", 0, None, right)


@rule("PD-01", "Everything painted is tagged or marked as decoration", kinds=TAGGED, limit=("<=", 0, "operators"),
      source=f"{_UA}, 7.1")  # fmt: skip
def tagged(file: PdfFile) -> Iterator[Reading]:
    """Painting operators of each page outside any marked content."""
    for page in file.pages:
        yield Reading(page.untagged_operators, "operators outside the tags", page.number)


@rule("PD-02", "Running heads and feet are decoration, not content", kinds=BOOKS, wants="none among the tags",
      source=f"{_UA}, 7.1")  # fmt: skip
def running_text(file: PdfFile) -> Iterator[Reading]:
    """Tagged texts that return at the same height of three pages in a row."""
    seen: Counter[tuple[str, int]] = Counter()
    for page in file.pages:
        here = {(block.text, round(block.box.top)): block for block in page.blocks if len(block.text) > 3}
        for key in list(seen):
            if key not in here:
                del seen[key]
        for key, block in here.items():
            # A caution may return before each step that it protects, and each table has its heads; a running line
            # stands in the margin.
            margin = min(block.box.top, page.trim.height - block.box.bottom) < 14 and block.tag != "TH"
            seen[key] += 1
            if margin:
                yield at(block, f"{counted(seen[key], 'page')} in a row", seen[key] < 3)


@rule("PD-03", "The file names its title and PDF/UA in its metadata", kinds=TAGGED, wants="title, part 1",
      source=f"{_UA}, 5 and 7.1")  # fmt: skip
def metadata(file: PdfFile) -> Iterator[Reading]:
    """Title and part in the XMP metadata."""
    yield from _whole(f"title '{file.xmp_title}'", bool(file.xmp_title.strip()))
    yield from _whole(f"PDF/UA part '{file.ua_part}'", file.ua_part == "1")


@rule("PD-04", "A viewer shows the title instead of the file name", kinds=TAGGED, wants="DisplayDocTitle true",
      source=f"{_UA}, 7.1")  # fmt: skip
def title_shown(file: PdfFile) -> Iterator[Reading]:
    """The viewer preferences."""
    yield from _whole(f"DisplayDocTitle {str(file.shows_title).lower()}", file.shows_title)


@rule("PD-05", "The language is declared", kinds=TAGGED, wants="a BCP 47 tag", source=f"{_UA}, 7.2")
def language(file: PdfFile) -> Iterator[Reading]:
    """The language of the file, and of the parts that name one."""
    yield from _whole(file.language or "none", bool(_LANGUAGE.fullmatch(file.language)))
    for element in file.elements:
        if element.language:
            yield _of(element, element.language, bool(_LANGUAGE.fullmatch(element.language)))


@rule(
    "PD-06",
    "Figures have a text that says the same",
    kinds=TAGGED,
    wants="an alternative",
    source=f"{_UA}, 7.3",
)
def alternatives(file: PdfFile) -> Iterator[Reading]:
    """The alternative of each figure; whether it says the same is for a person."""
    for element in file.elements:
        if element.tag == "Figure":
            yield _of(element, element.alt[:40] or "none", bool(element.alt))


@rule(
    "PD-07",
    "Headings begin with level 1 and skip none",
    kinds=TAGGED,
    wants="no level skipped",
    source=f"{_UA}, 7.4",
)
def headings(file: PdfFile) -> Iterator[Reading]:
    """The levels in reading order; the kind without levels must not be mixed in."""
    found = [element for element in file.elements if element.tag in HEADINGS]
    if not found:
        yield from _whole("no heading", False)
    for before, element in pairwise([None, *found]):
        if element is not None:
            last = int(before.tag[1]) if before is not None else 0
            yield _of(
                element,
                f"{element.tag} after {before.tag if before else 'none'}",
                int(element.tag[1]) <= last + 1,
            )
    if found and any(element.tag == "H" for element in file.elements):
        yield from _whole("H and Hn mixed", False)


@rule("PD-08", "Tables are built of rows and cells", kinds=TAGGED, wants="rows in tables, cells in rows, one head",
      source=f"{_UA}, 7.2")  # fmt: skip
def tables(file: PdfFile) -> Iterator[Reading]:
    """The tags below each table."""
    allowed = {
        "Table": {"TR", "THead", "TBody", "TFoot", "Caption"},
        "THead": {"TR"}, "TBody": {"TR"}, "TFoot": {"TR"}, "TR": {"TH", "TD"},
    }  # fmt: skip
    for element in file.elements:
        if element.tag in allowed:
            kids = [kid.tag for kid in element.children]
            wrong = sorted(set(kids) - allowed[element.tag])
            right = not wrong and kids.count("THead") <= 1
            yield _of(
                element, f"holds {', '.join(wrong)}" if wrong else f"{counted(len(kids), 'part')}", right
            )


@rule("PD-09", "Header cells say what they head", kinds=TAGGED, wants="Scope Row, Column or Both",
      source=f"{sources.MATTERHORN}, 15-003")  # fmt: skip
def scopes(file: PdfFile) -> Iterator[Reading]:
    """The scope of each header cell."""
    for element in file.elements:
        if element.tag == "TH":
            yield _of(element, element.scope or "none", element.scope in ("Row", "Column", "Both"))


@rule("PD-10", "Lists are built of items with a body, numbers as labels", kinds=TAGGED, wants="L > LI > Lbl, LBody",
      source=f"{_UA}, 7.2")  # fmt: skip
def lists(file: PdfFile) -> Iterator[Reading]:
    """The tags below each list."""
    for element in file.elements:
        kids = {kid.tag for kid in element.children}
        if element.tag == "L":
            yield _of(element, ", ".join(sorted(kids)), kids <= {"LI", "L", "Caption"})
        elif element.tag == "LI":
            right = kids <= {"Lbl", "LBody", "L"} and "LBody" in kids and element.parent is not None
            yield _of(element, ", ".join(sorted(kids)), right and element.parent.tag == "L")  # type: ignore[union-attr]


@rule("PD-11", "Links and fields are tagged, described, and lead somewhere", kinds=TAGGED,
      wants="in a Link or Form, with a description", source=f"{_UA}, 7.18")  # fmt: skip
def links(file: PdfFile) -> Iterator[Reading]:
    """Each link and form field: its tag, its description, its target."""
    for page in file.pages:
        for found in page.annotations:
            wrong = []
            if found.tagged_as != ("Link" if found.kind == "link" else "Form"):
                wrong.append(f"tagged as {found.tagged_as or 'nothing'}")
            if not found.says or found.says.lstrip("#") == found.target:
                wrong.append("no description")
            if not found.resolved:
                wrong.append("leads nowhere")
            yield Reading(", ".join(wrong) or "right", found.says[:50], page.number, found.box, not wrong)


@rule("PD-12", "The tab key follows the tags", kinds=TAGGED, wants="/Tabs /S", source=f"{_UA}, 7.18.3")
def tab_order(file: PdfFile) -> Iterator[Reading]:
    """The tab order of each page with links or fields."""
    for page in file.pages:
        if page.annotations:
            yield Reading(page.tab_order or "none", "tab order", page.number, None, page.tab_order == "/S")


@rule("PD-13", "Fonts are embedded and say which letters they print", kinds=(*TAGGED, "sheets"),
      wants="embedded, with Unicode", source=f"{_UA}, 7.21")  # fmt: skip
def fonts(file: PdfFile) -> Iterator[Reading]:
    """The fonts that print letters."""
    for face in file.typefaces:
        wrong = [what for what, lacks in (("not embedded", not face.embedded), ("no Unicode", not face.has_unicode)) if lacks]  # fmt: skip
        yield Reading(", ".join(wrong) or "embedded", face.name, 0, None, not wrong)


@rule("FN-01", "Only the families of the house are used", kinds=(*TAGGED, "sheets"), wants="Leadsman Text, Head or Form",
      source=sources.OURS)  # fmt: skip
def allowed_fonts(file: PdfFile) -> Iterator[Reading]:
    """The names of the embedded fonts; a font of the machine would differ from one machine to the next."""
    for face in file.typefaces:
        right = face.name.replace(" ", "-").startswith(("Leadsman-Text", "Leadsman-Head", "Leadsman-Form", "LeadsmanText", "LeadsmanHead", "LeadsmanForm"))  # fmt: skip
        yield Reading(face.name, "font", 0, None, right)


@rule("PD-16", "Bookmarks mirror the headings of level 1", kinds=PAPER, severity="should", wants="one for each",
      source=f"{sources.MATTERHORN} (from memory)")  # fmt: skip
def bookmarks(file: PdfFile) -> Iterator[Reading]:
    """The outline against the headings."""
    titles = Counter(" ".join(title.split()) for _, title, _ in file.outline)
    for element in file.elements:
        if element.tag == "H1":
            yield _of(
                element, "bookmark" if titles[element.text] else "no bookmark", bool(titles[element.text])
            )


@rule("PD-17", "The file is marked as tagged, without suspects", kinds=TAGGED, wants="Marked true, Suspects false",
      source=f"{_UA}, 7.1")  # fmt: skip
def marked(file: PdfFile) -> Iterator[Reading]:
    """The mark information."""
    yield from _whole(
        f"Marked {str(file.marked).lower()}, Suspects {str(file.suspects).lower()}",
        file.marked and not file.suspects,
    )


@rule("PD-23", "Texts are read in the order in which they stand", kinds=PAPER, wants="no text read after one below it",
      source=f"{sources.MATTERHORN}, 09-001; the test by place is our own")  # fmt: skip
def reading_order(file: PdfFile) -> Iterator[Reading]:
    """Each text of a page, outside tables and figures, against the one read before it."""
    for page in file.pages:
        texts = [b for b in page.blocks if not b.element.inside("Table", "Figure")]
        for before, block in pairwise(texts):
            # Side by side is no inversion; the first text of a list item nests inside its item.
            beside = block.box.left >= before.box.right or block.box.right <= before.box.left
            above = block.box.bottom < before.box.top - 0.5 and not beside
            yield at(block, "above the text read before" if above else "in order", not above)
