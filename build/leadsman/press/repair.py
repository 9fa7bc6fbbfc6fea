"""Repairs of the tagged PDF that the engine writes, so that it keeps what PDF/UA-1 asks for.

The engine leaves running heads half-tagged, header cells without scope, links described by their
bare target, and list items without a body. Each repair below mends one of these. What cannot be
mended without guessing (a figure with no text alternative, a skipped heading level) is a finding,
and a finding stops the build.

A chapter of a bound book is mended by itself. Its links into other chapters become destinations here, and
the levels of its headings are handed on: the binder judges them in the whole book.
"""

from __future__ import annotations

import io
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import unquote

import pikepdf
from pikepdf import Array, ContentStreamInstruction, Dictionary, Name, Operator, String

from leadsman.errors import counted
from leadsman.press.fonts import FAMILIES

POINTS_PER_MM = 72 / 25.4
#: The only kinds of outside link that print or a reader can use.
LINK_SCHEMES = ("https:", "http:", "mailto:", "tel:")
#: What the address of a place in another chapter of the same book begins with, while the chapter is by itself.
OTHER_CHAPTER = "other-chapter:"

_HEADINGS = frozenset({"H1", "H2", "H3", "H4", "H5", "H6"})


@dataclass
class Repaired:
    """A mended PDF, how often each repair was made, and what could not be mended."""

    data: bytes
    counts: dict[str, int]
    findings: list[str]
    levels: list[int] = field(default_factory=list)
    """The levels of the headings, in order."""


@dataclass
class _Work:
    pdf: pikepdf.Pdf
    root: Any
    elsewhere: Collection[str] = ()
    levels: list[int] = field(default_factory=list)
    counts: dict[str, int] = field(default_factory=dict)
    findings: list[str] = field(default_factory=list)

    def count(self, what: str) -> None:
        self.counts[what] = self.counts.get(what, 0) + 1


def repair(
    data: bytes,
    *,
    link_texts: Sequence[Sequence[str]],
    bleed_mm: float | None = None,
    elsewhere: Collection[str] | None = None,
) -> Repaired:
    """Mend a tagged PDF as the engine wrote it; the same bytes in give the same bytes out.

    Parameters
    ----------
    data
        The PDF from the engine, written as PDF/UA-1.
    link_texts
        Per page, the visible text of each link in the order of the page's link annotations.
    bleed_mm
        Width of the bleed around the trim size [mm]; None leaves the boxes as they are.
    elsewhere
        For a chapter of a book that is bound later, the anchors in its other chapters: a link to an address of
        :data:`OTHER_CHAPTER` becomes one to such an anchor. Its outline is judged when the book is whole.

    Returns
    -------
    Repaired
        The mended file with counts and findings; with findings the file must not be published.
    """
    with pikepdf.open(io.BytesIO(data)) as pdf:
        work = _Work(pdf, pdf.Root.StructTreeRoot, elsewhere or ())
        _prune_empty_elements(work)
        elements = list(_walk(work.root))
        _check_figures(work, elements)
        work.levels += [int(str(e.S)[2:]) for e, _ in elements if str(e.S)[1:] in _HEADINGS]
        if elsewhere is None:
            work.findings += heading_findings(work.levels)
        _check_tables(work, elements)
        _running_text_to_artifacts(work, elements)
        _give_list_bodies(work, elements)
        _scope_headers(work, elements)
        _index_ids(work, elements)
        _lead_elsewhere(work)
        _describe_links(work, link_texts)
        _remove_nested_links(work, elements)
        _complete_widgets(work)
        _check_fonts(work)
        if bleed_mm is not None:
            _set_bleed_boxes(work, bleed_mm)
        out = io.BytesIO()
        # Unreferenced resources stay: removing them would take the font of the form fields too.
        pdf.save(out, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
        return Repaired(out.getvalue(), work.counts, work.findings, work.levels)


def _kids(element: Any) -> list[Any]:
    kids = element.get("/K")
    if kids is None:
        return []
    return list(kids) if isinstance(kids, Array) else [kids]


def _is_element(kid: Any) -> bool:
    return isinstance(kid, Dictionary) and "/S" in kid


def _walk(root: Any) -> Iterator[tuple[Any, Any]]:
    """Each structure element with its parent, in document order."""
    waiting = [(kid, root) for kid in reversed(_kids(root))]
    while waiting:
        element, parent = waiting.pop()
        if _is_element(element):
            yield element, parent
            waiting.extend((kid, element) for kid in reversed(_kids(element)))


def _prune_empty_elements(work: _Work) -> None:
    """Take out elements with neither content nor alternative; only an empty table cell means something."""

    def is_empty(element: Any) -> bool:
        return (
            not _kids(element)
            and "/Alt" not in element
            and "/ActualText" not in element
            and element.S not in ("/TD", "/TH", "/Figure")
        )

    # Taking out the last kid empties the parent, which in document order came before it.
    for element, parent in reversed(list(_walk(work.root))):
        if is_empty(element):
            parent.K = Array([kid for kid in _kids(parent) if not _same(kid, element)])
            work.count("empty elements removed")


def _check_figures(work: _Work, elements: list[tuple[Any, Any]]) -> None:
    """A figure needs its text alternative, and its box in page space instead of the engine's pixels."""
    for element, _ in elements:
        if element.S != "/Figure":
            continue
        page = pikepdf.Page(element.Pg)
        if not str(element.get("/Alt", "")).strip():
            work.findings.append(f"page {page.index + 1}: a picture has no text alternative (alt or <title>)")
        attributes = element.get("/A")
        if attributes is not None and "/BBox" in attributes:
            left, top, right, bottom = (float(value) * 0.75 for value in attributes.BBox)
            # The engine's origin is the upper left corner of the trim size, PDF's the lower left.
            height = float(page.trimbox[3]) - float(page.trimbox[1])
            attributes.BBox = Array([round(v, 3) for v in (left, height - bottom, right, height - top)])
            work.count("figure boxes moved to page space")


def heading_findings(levels: Sequence[int]) -> list[str]:
    """What is wrong with an outline: a document without a heading, or a level skipped.

    Examples
    --------
    >>> heading_findings([1, 2, 4])
    ['heading level skipped: h4 follows h2']
    """
    findings = [] if levels else ["the document has no heading"]
    for before, after in zip([0, *levels], levels, strict=False):
        if after > before + 1:
            findings.append(f"heading level skipped: h{after} follows {f'h{before}' if before else 'none'}")
    return findings


def _check_tables(work: _Work, elements: list[tuple[Any, Any]]) -> None:
    """A part of a table without a row is a caption that the page break tore off."""
    whole = {parent.objgen for element, parent in elements if element.S in ("/TR", "/THead", "/TBody")}
    for element, _ in elements:
        if element.S == "/Table" and element.objgen not in whole:
            number = pikepdf.Page(element.Pg).index + 1
            work.findings.append(
                f"page {number}: the caption of a table stands on another page than its first row; "
                "keep both together (break-inside: avoid on a block around the table)"
            )


def _running_text_to_artifacts(work: _Work, elements: list[tuple[Any, Any]]) -> None:
    """Mark text of page margins as pagination artifacts: its elements hang in no tree."""
    reachable = {element.objgen for element, _ in elements}
    numbers = work.root.ParentTree.Nums
    tree = {int(numbers[i]): numbers[i + 1] for i in range(0, len(numbers), 2)}
    for page in work.pdf.pages:
        owners = tree[int(page.StructParents)]
        orphans = {
            mcid
            for mcid, owner in enumerate(owners)
            if isinstance(owner, Dictionary) and owner.objgen not in reachable
        }
        if not orphans:
            continue
        page.Contents = work.pdf.make_stream(
            pikepdf.unparse_content_stream(_artifact_instructions(work, page, orphans))
        )
        for mcid in orphans:
            owners[mcid] = None


def _artifact_instructions(work: _Work, page: pikepdf.Page, orphans: set[int]) -> list[Any]:
    begin = ContentStreamInstruction([Name.Artifact, Dictionary(Type=Name.Pagination)], Operator("BDC"))
    instructions: list[Any] = []
    for instruction in pikepdf.parse_content_stream(page):
        if str(instruction.operator) == "BDC":
            properties = instruction.operands[1]
            if isinstance(properties, Dictionary) and int(properties.get("/MCID", -1)) in orphans:
                work.count("running texts made artifacts")
                instructions.append(begin)
                continue
        instructions.append(instruction)
    return instructions


def _give_list_bodies(work: _Work, elements: list[tuple[Any, Any]]) -> None:
    """Make each list item its label and one body.

    A marker inside the text leaves the body out; text beside a block gives one that holds the label
    too and leaves the block outside.
    """
    for element, _ in elements:
        if element.S == "/LI":
            kids = _kids(element)
            parts = [part for kid in kids for part in (_kids(kid) if _is(kid, "/LBody") else [kid])]
            labels = [part for part in parts if _is(part, "/Lbl")]
            if _is_well_formed(kids, labels):
                continue
            rest = [part for part in parts if not _is(part, "/Lbl")]
            body = work.pdf.make_indirect(
                Dictionary(Type=Name.StructElem, S=Name.LBody, P=element, Pg=element.Pg, K=Array(rest))
            )
            for part in labels:
                part.P = element
            for part in rest:
                if _is_element(part):
                    part.P = body
            element.K = Array([*labels, body])
            work.count("list bodies made")


def _is(kid: Any, kind: str) -> bool:
    return _is_element(kid) and str(kid.S) == kind


def _is_well_formed(kids: list[Any], labels: list[Any]) -> bool:
    """Labels first, then one body, and no label inside the body."""
    *first, last = kids or [None]
    return len(first) == len(labels) and all(_is(kid, "/Lbl") for kid in first) and _is(last, "/LBody")


def _scope_headers(work: _Work, elements: list[tuple[Any, Any]]) -> None:
    """Header cells in the table head head their column, those in the body their row."""
    for element, parent in elements:
        if element.S == "/TH":
            attributes = element.get("/A") or Dictionary(O=Name.Table)
            attributes.Scope = Name.Column if parent.P.S == "/THead" else Name.Row
            element.A = attributes
            work.count("header scopes set")


def _index_ids(work: _Work, elements: list[tuple[Any, Any]]) -> None:
    ids = [(bytes(element.ID), element) for element, _ in elements if "/ID" in element]
    if ids:
        names = Array()
        for key, element in sorted(ids, key=lambda pair: pair[0]):
            names.append(String(key.decode("latin-1")))
            names.append(element)
        work.root.IDTree = work.pdf.make_indirect(Dictionary(Names=names))
        work.count("id trees added")


def _lead_elsewhere(work: _Work) -> None:
    """Turn the addresses that stand for places in other chapters into destinations."""
    for page in work.pdf.pages if work.elsewhere else ():
        for link in page.get("/Annots", ()):
            address = str(link.A.URI) if "/A" in link and "/URI" in link.A else ""
            name = unquote(address.removeprefix(OTHER_CHAPTER))
            if address.startswith(OTHER_CHAPTER) and name in work.elsewhere:
                del link.A
                link.Dest = String(name)


def _describe_links(work: _Work, link_texts: Sequence[Sequence[str]]) -> None:
    """Print flag on every link, and its visible text as its description."""
    for number, page in enumerate(work.pdf.pages, start=1):
        links = [a for a in page.get("/Annots", ()) if a.Subtype == "/Link"]
        texts = list(link_texts[number - 1]) if number <= len(link_texts) else []
        if len(links) != len(texts):
            work.findings.append(
                f"page {number}: {counted(len(links), 'link')} but {counted(len(texts), 'link text')}"
            )
            continue
        for link, text in zip(links, texts, strict=True):
            link.F = int(link.get("/F", 0)) | 4
            target = str(link.A.URI) if "/A" in link else f"#{link.Dest}"
            if "/A" in link and not target.startswith(LINK_SCHEMES):
                work.findings.append(f"page {number}: link to '{target}' leads nowhere outside this build")
            if not text:
                work.findings.append(f"page {number}: the link to '{target}' has no text")
            outside = "/A" in link and text not in target
            link.Contents = String(f"{text} ({target})" if outside else text)
            work.count("links described")


def _remove_nested_links(work: _Work, elements: list[tuple[Any, Any]]) -> None:
    """Keep one annotation for a link and what stands in it: the engine adds one for each inner box."""
    parent_of = {element.objgen: parent for element, parent in elements}

    def inside_link(element: Any) -> bool:
        while (parent := parent_of.get(element.objgen)) is not None:
            if parent.get("/S") == "/Link":
                return True
            element = parent
        return False

    nested = set()
    for element, _ in elements:
        if element.S == "/Link":
            continue
        for kid in _kids(element):
            if isinstance(kid, Dictionary) and kid.get("/Type") == "/OBJR" and kid.Obj.Subtype == "/Link":
                if not inside_link(element):
                    work.findings.append("a link is tagged as no link; put the <a> into a <span> or a block")
                    continue
                nested.add(kid.Obj.objgen)
                element.K = Array([k for k in _kids(element) if not _same(k, kid)])
                work.count("nested link annotations removed")
    if nested:
        _drop_annotations(work, nested)


def _same(one: Any, other: Any) -> bool:
    return isinstance(one, Dictionary) and bool(one.objgen == other.objgen)


def _drop_annotations(work: _Work, dropped: set[tuple[int, int]]) -> None:
    numbers = work.root.ParentTree.Nums
    gone = set()
    for page in work.pdf.pages:
        annotations = list(page.get("/Annots", ()))
        gone |= {int(a.StructParent) for a in annotations if a.objgen in dropped}
        kept = [a for a in annotations if a.objgen not in dropped]
        if len(kept) < len(annotations):
            page.Annots = Array(kept)
    pairs = [(numbers[i], numbers[i + 1]) for i in range(0, len(numbers), 2)]
    work.root.ParentTree.Nums = Array([v for pair in pairs if int(pair[0]) not in gone for v in pair])


def _complete_widgets(work: _Work) -> None:
    """Give empty form fields the empty appearance that they lack, and each box its "off" state."""
    widgets = [a for page in work.pdf.pages for a in page.get("/Annots", ()) if a.Subtype == "/Widget"]
    for widget in widgets:
        left, bottom, right, top = (float(value) for value in widget.Rect)
        width, height = round(abs(right - left), 3), round(abs(top - bottom), 3)

        def appearance(content: bytes, width: float = width, height: float = height) -> Any:
            return work.pdf.make_stream(
                content,
                Type=Name.XObject,
                Subtype=Name.Form,
                BBox=Array([0, 0, width, height]),
                Resources=Dictionary(),
            )

        widget.F = int(widget.get("/F", 0)) | 4
        if widget.get("/FT") == "/Btn":
            states = widget.get("/AP", Dictionary()).get("/N")
            if states is not None and "/Off" not in states:
                states.Off = appearance(b"")
                work.count("form appearances added")
        elif not str(widget.get("/V", "")):
            widget.AP = Dictionary(N=appearance(b"/Tx BMC EMC"))
            work.count("form appearances added")
    form = work.pdf.Root.get("/AcroForm")
    # A field with a value still needs the viewer to draw it.
    if form is not None and all("/AP" in widget for widget in widgets) and "/NeedAppearances" in form:
        del form.NeedAppearances


def _check_fonts(work: _Work) -> None:
    """Every embedded font must be one of ours: another one means that a character fell through."""
    allowed = tuple(family.replace(" ", "-") for family in sorted(FAMILIES))
    names = {
        str(item.FontName).lstrip("/")
        for item in work.pdf.objects
        if isinstance(item, Dictionary) and item.get("/Type") == "/FontDescriptor"
    }
    for name in sorted(names):
        if not name.partition("+")[2].startswith(allowed):
            work.findings.append(f"a text is set in the font {name}, which no style names")


def _set_bleed_boxes(work: _Work, bleed_mm: float) -> None:
    margin = bleed_mm * POINTS_PER_MM
    for page in work.pdf.pages:
        left, bottom, right, top = (float(value) for value in page.trimbox)
        box = [left - margin, bottom - margin, right + margin, top + margin]
        media = [float(value) for value in page.mediabox]
        # Half a hundredth of a point is rounding, not a missing bleed.
        if any(a < m - 0.005 for a, m in zip(box[:2], media[:2], strict=True)) or any(
            a > m + 0.005 for a, m in zip(box[2:], media[2:], strict=True)
        ):
            work.findings.append(f"page {page.index + 1}: the page has no bleed of {bleed_mm:g} mm")
        page.BleedBox = Array([round(value, 4) for value in box])
        work.count("bleed boxes set")
