"""Rules on EPUBs: what the package claims, navigation, language, alternatives, headings, links, colours."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from leadsman.errors import counted
from leadsman.inspection import sources
from leadsman.inspection.colours import contrast
from leadsman.inspection.epub_reading import (
    OPS_TYPE,
    XML_LANG,
    Chapter,
    EpubFile,
    classes,
    resolve,
    tag,
    text,
)
from leadsman.inspection.findings import EPUB, Reading, rule
from leadsman.inspection.model import BLACK, WHITE, Colour
from leadsman.inspection.roles import SIGNALS
from leadsman.inspection.wording_rules import WORD, is_enumeration, sentences

_LANGUAGE = re.compile(r"[A-Za-z]{1,8}(-[A-Za-z0-9]{1,8})*")
_CLAIM = re.compile(r"EPUB Accessibility 1\.1 - WCAG 2\.[012] Level A{1,3}")
_HEADINGS = ("h1", "h2", "h3", "h4", "h5", "h6")
_EMPTY_WORDS = frozenset({"here", "click here", "link", "more", "this", "this link"})


def _at(chapter: Chapter, measured: float | str, right: bool | None, says: str) -> Reading:
    return Reading(measured, says[:80], 0, None, right, chapter.name)


def _whole(measured: str, right: bool, says: str = "the package") -> Reading:
    return Reading(measured, says, 0, None, right)


@rule("EP-01", "The package tells access modes, features and hazards", kinds=EPUB, wants="one or more of each",
      source=f"{sources.EPUB_A11Y}, 2.2")  # fmt: skip
def discovery(file: EpubFile) -> Iterator[Reading]:
    """The accessibility properties of the package."""
    for name in ("accessMode", "accessibilityFeature", "accessibilityHazard"):
        found = file.values(f"schema:{name}")
        yield _whole(", ".join(found) or f"no {name}", bool(found), name)


@rule("EP-02", "The package tells which modes suffice, and sums up in words", kinds=EPUB, severity="should",
      wants="both", source=f"{sources.EPUB_A11Y}, 2.2")  # fmt: skip
def summary(file: EpubFile) -> Iterator[Reading]:
    """The sufficient modes and the summary."""
    for name in ("accessModeSufficient", "accessibilitySummary"):
        found = file.values(f"schema:{name}")
        yield _whole(found[0][:40] if found else f"no {name}", bool(found), name)


@rule("EP-03", "A claim of conformance is spelled as the standard has it", kinds=EPUB, wants="EPUB Accessibility 1.1 - WCAG 2.x Level AA",
      source=f"{sources.EPUB_A11Y}, 3.5")  # fmt: skip
def claim(file: EpubFile) -> Iterator[Reading]:
    """The values of dcterms:conformsTo; a book without a claim makes none to check."""
    for found in file.values("dcterms:conformsTo"):
        yield _whole(found, bool(_CLAIM.fullmatch(" ".join(found.split()))), "claim")


@rule("EP-06", "A claim of conformance is of level AA", kinds=EPUB, wants="Level AA, or no claim",
      source=f"{sources.EPUB_A11Y}; whether it is met is for a person")  # fmt: skip
def level(file: EpubFile) -> Iterator[Reading]:
    """The level in each claim."""
    for found in file.values("dcterms:conformsTo"):
        yield _whole(found, bool(re.search(r"Level AA+\s*$", found)), "claim")


@rule("EP-07", "No feature is claimed that the book lacks", kinds=EPUB, wants="every claimed feature is there",
      source=f"{sources.EPUB_A11Y}, 2.2")  # fmt: skip
def claimed(file: EpubFile) -> Iterator[Reading]:
    """The features that can be looked for, each against the book."""
    everywhere = [e for chapter in file.chapters for e in chapter.elements()]
    images = [e for e in everywhere if tag(e) in ("img", "svg")]
    there = {
        "alternativeText": bool(images) and all(_alternative(e) for e in images),
        "tableOfContents": bool(_navs(file, "toc")),
        "pageNavigation": bool(_navs(file, "page-list")),
        "pageBreakMarkers": any("pagebreak" in (e.get(OPS_TYPE) or "") for e in everywhere),
        "index": any("index" in (e.get(OPS_TYPE) or "").split() for e in everywhere),
        "MathML": any(tag(e) == "math" for e in everywhere),
        "structuralNavigation": all(chapter.has(*_HEADINGS) for chapter in file.chapters),
    }
    for name in file.values("schema:accessibilityFeature"):
        if name in there:
            yield _whole("there" if there[name] else "not there", there[name], name)


def _alternative(element: Any) -> str:
    if tag(element) == "img":
        return (
            "decoration"
            if element.get("role") in ("presentation", "none")
            else (element.get("alt") or "").strip()
        )
    title = next((text(e) for e in element if tag(e) == "title"), "")
    return (
        "decoration"
        if element.get("aria-hidden") == "true"
        else title or (element.get("aria-label") or "").strip()
    )


def _navs(file: EpubFile, kind: str) -> list[Any]:
    return [
        e for nav in file.navigation for e in nav.elements("nav") if kind in (e.get(OPS_TYPE) or "").split()
    ]


@rule("EP-08", "Page breaks come with a list of pages that holds them all", kinds=EPUB, wants="every marker in the list",
      source=f"{sources.EPUB_A11Y}, 3.3")  # fmt: skip
def page_list(file: EpubFile) -> Iterator[Reading]:
    """The markers of page breaks against the page list."""
    markers = {
        (c.name, e.get("id")) for c in file.chapters for e in c.elements()
        if "pagebreak" in (e.get(OPS_TYPE) or "").split()
    }  # fmt: skip
    listed = {
        resolve(nav.name, a.get("href") or "")
        for nav in file.navigation for lst in nav.elements("nav") if "page-list" in (lst.get(OPS_TYPE) or "").split()
        for a in lst.iter() if tag(a) == "a"
    }  # fmt: skip
    if markers or listed:
        yield _whole(
            f"{counted(len(markers), 'marker')}, {len(listed)} listed", markers == listed, "page list"
        )


@rule("EP-10", "There is one navigation document with one table of contents", kinds=EPUB, wants="one and one",
      source=sources.EPUB_3)  # fmt: skip
def navigation(file: EpubFile) -> Iterator[Reading]:
    """The manifest items with the property nav, and their tables of contents; each line leads somewhere."""
    tocs = _navs(file, "toc")
    yield _whole(counted(len(file.navigation), "document"), len(file.navigation) == 1, "navigation document")
    listed = bool(tocs) and any(tag(e) == "ol" for e in tocs[0])
    yield _whole(f"{counted(len(tocs), 'table')} of contents", len(tocs) == 1 and listed, "table of contents")
    for problem in file.problems:
        yield _whole(problem, False, "a document cannot be read")


@rule("EP-11", "Landmarks lead to the contents and to the body", kinds=EPUB, severity="should", wants="toc and bodymatter",
      source=sources.EPUB_3)  # fmt: skip
def landmarks(file: EpubFile) -> Iterator[Reading]:
    """The kinds of the landmarks."""
    kinds = {e.get(OPS_TYPE) for nav in _navs(file, "landmarks") for e in nav.iter() if tag(e) == "a"}
    yield _whole(
        ", ".join(sorted(k for k in kinds if k)) or "none", {"toc", "bodymatter"} <= kinds, "landmarks"
    )


@rule("EP-12", "Title, identifier and language are given, the language on every document", kinds=EPUB,
      wants="all, BCP 47", source="Checkers' warnings on EPUB metadata, public issue thread, 2024")  # fmt: skip
def language(file: EpubFile) -> Iterator[Reading]:
    """The package and the root of each document."""
    for name in ("dc:title", "dc:identifier", "dc:language"):
        found = [value for value in file.values(name) if value]
        yield _whole(found[0][:40] if found else "none", bool(found), name)
    yield _whole(file.language or "none", bool(_LANGUAGE.fullmatch(file.language)), "language of the package")
    for chapter in file.documents.values():
        found_language = chapter.root.get(XML_LANG) or ""
        yield _at(chapter, found_language or "none", bool(_LANGUAGE.fullmatch(found_language)), "language")


@rule("EP-13", "Every document has a title of its own and headings that skip no level", kinds=EPUB,
      wants="title; h1 first; no level skipped", source=f"{sources.WCAG}, SC 1.3.1 and 2.4.2")  # fmt: skip
def headings(file: EpubFile) -> Iterator[Reading]:
    """The title in the head and the levels of the headings of each document."""
    for chapter in file.chapters:
        title = next((text(e) for e in chapter.elements("title")), "")
        yield _at(chapter, title or "no title", bool(title), "title")
        levels = [int(tag(e)[1]) for e in chapter.elements(*_HEADINGS)]
        if not levels:
            yield _at(chapter, "no heading", False, "headings")
        for before, here in pairwise([0, *levels]):
            yield _at(chapter, f"h{here} after h{before}", here <= before + 1, "heading")


@rule(
    "EP-15",
    "Pictures have a text that says the same",
    kinds=EPUB,
    wants="alt, title or decoration",
    source=f"{sources.WCAG}, SC 1.1.1",
)
def alternatives(file: EpubFile) -> Iterator[Reading]:
    """The alternative of each image and drawing."""
    for chapter in file.chapters:
        for element in chapter.elements("img", "svg"):
            found = _alternative(element)
            yield _at(chapter, found[:40] or "none", bool(found), tag(element))


@rule("EP-16", "Tables have header cells with a scope, and a caption", kinds=EPUB, wants="th with scope or id, caption",
      source=f"{sources.WCAG}, SC 1.3.1")  # fmt: skip
def tables(file: EpubFile) -> Iterator[Reading]:
    """Each table."""
    for chapter in file.chapters:
        for table in chapter.elements("table"):
            heads = [e for e in table.iter() if tag(e) == "th"]
            right = bool(heads) and all(h.get("scope") or h.get("id") for h in heads)
            right = right and any(tag(e) == "caption" for e in table)
            yield _at(chapter, counted(len(heads), "header cell"), right, text(table)[:50])


@rule("EP-19", "Nothing has a fixed width that a phone of 320 px cannot show", kinds=EPUB, wants="no width above 300 px, 80 mm, 20 em",
      source=f"{sources.WCAG}, SC 1.4.10; read from the styles, not from a rendering")  # fmt: skip
def reflow(file: EpubFile) -> Iterator[Reading]:
    """Widths in the styles and on pictures, and rows that must not wrap."""
    most = {"px": 300, "pt": 225, "mm": 80, "cm": 8, "em": 20, "rem": 20, "in": 3.1}
    said = [(name, css) for name, css in file.styles.items()]
    said += [(c.name, e.get("style")) for c in file.chapters for e in c.elements() if e.get("style")]
    for name, css in said:
        for value, unit in re.findall(r"(?<![-\w])(?:min-)?width:\s*([\d.]+)(px|pt|mm|cm|rem|em|in)\b", css):
            yield Reading(f"width {value}{unit}", "style", 0, None, float(value) <= most[unit], name)
    for name, css in file.styles.items():
        images = bool(re.search(r"svg[^{}]*\{[^}]*max-width:\s*100%", css))
        has = any(c.has("svg", "img") for c in file.chapters)
        yield Reading(
            "pictures shrink" if images else "pictures keep their width",
            "style",
            0,
            None,
            images or not has,
            name,
        )


@rule("EP-21", "The style forces no colour on plain text", kinds=EPUB, severity="should", wants="none on html, body, p",
      source=sources.COMMON)  # fmt: skip
def night_theme(file: EpubFile) -> Iterator[Reading]:
    """Rules of the style sheets for html, body and p."""
    for name, css in file.styles.items():
        for selector, body in _style_rules(css):
            if selector in ("html", "body", "p", "*"):
                forced = bool(re.search(r"(?<![-\w])(color|background(-color)?):", body))
                yield Reading("forces a colour" if forced else "none", selector, 0, None, not forced, name)


def _style_rules(css: str) -> Iterator[tuple[str, str]]:
    for selectors, body in re.findall(
        r"([^{}]+)\{([^{}]*)\}", re.sub(r"/\*.*?\*/", "", css, flags=re.DOTALL)
    ):
        for selector in selectors.split(","):
            yield selector.strip(), body


@rule("EP-23", "Every link leads somewhere, and says where", kinds=EPUB, wants="target there, text that tells it",
      source=f"{sources.WCAG}, SC 2.4.4; the answers of a check are links")  # fmt: skip
def links(file: EpubFile) -> Iterator[Reading]:
    """Each link of the chapters and of the navigation; each answer with an arrow must hold a link."""
    known = file.documents
    for chapter in known.values():
        for link in chapter.elements("a"):
            target = link.get("href")
            if target is None:
                continue
            words = text(link) or next((_alternative(e) for e in link if tag(e) in ("img", "svg")), "")
            name, anchor = resolve(chapter.name, target)
            inside = not re.match(r"[a-z][a-z0-9+.-]*:", target)
            there = not inside or (name in known and (not anchor or anchor in known[name].ids))
            tells = bool(words) and words.lower() not in _EMPTY_WORDS
            yield _at(
                chapter, "leads nowhere" if not there else words[:30] or "no text", there and tells, target
            )
        for answers in chapter.elements("ul", "p"):
            if "answers" in classes(answers):
                for line in (e for e in answers.iter() if "→" in text(e) and tag(e) == "li"):
                    has = any(tag(e) == "a" for e in line.iter())
                    yield _at(chapter, "a link" if has else "no link", has, text(line))


@rule("SF-05", "A caution opens the step that it protects", kinds=EPUB, wants="before the action of its step",
      source=sources.Z535)  # fmt: skip
def before_step(file: EpubFile) -> Iterator[Reading]:
    """Cautions inside a step or a fix must come before its first other text."""
    for chapter in file.chapters:
        for step in chapter.elements("div", "section"):
            if {"step", "fix"} & set(classes(step)):
                acted = False
                for child in step:
                    if "caution" in classes(child):
                        yield _at(chapter, "after the action" if acted else "before", not acted, text(child))
                    elif isinstance(child.tag, str) and text(child):
                        acted = True


@rule("SF-09", "General safety messages stand together before the first step", kinds=EPUB, wants="three or more",
      source=sources.MIL_38784)  # fmt: skip
def grouped(file: EpubFile) -> Iterator[Reading]:
    """Signal words, or lines that begin with 'Do not' or 'Never', before the first step of the book."""
    together = 0
    for chapter in file.chapters:
        for element in chapter.elements("span", "li", "div"):
            if "step" in classes(element):
                yield _whole(f"{together} together", together >= 3, "before the first step")
                return
            together += "signal" in classes(element) and text(element) in SIGNALS
            together += tag(element) == "li" and bool(re.match(r"(Do not|Never)\b", text(element)))


@rule("CO-02", "Coloured text has a contrast of 4.5 : 1 or more", kinds=EPUB, limit=(">=", 4.5, "ratio"),
      source=f"{sources.WCAG}, SC 1.4.3; read from the styles")  # fmt: skip
def style_contrast(file: EpubFile) -> Iterator[Reading]:
    """Text and ground of each rule that sets one of them; the other is black or white."""
    for name, css in file.styles.items():
        for selector, body in _style_rules(css):
            ink, behind = _colour(body, "color"), _colour(body, r"background(?:-color)?")
            if ink or behind:
                ratio = contrast(ink or BLACK, behind or WHITE)
                yield Reading(int(ratio * 100) / 100, selector, 0, None, None, name)


def _colour(body: str, name: str) -> Colour | None:
    found = re.search(rf"(?<![-\w]){name}:\s*#([0-9a-fA-F]{{3,6}})\b", body)
    if not found:
        return None
    digits = found[1] if len(found[1]) == 6 else "".join(2 * c for c in found[1][:3])
    return tuple(int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4))  # type: ignore[return-value]


@rule("PL-02", "A sentence has 25 words at most", kinds=EPUB, limit=("<=", 25, "words"), source=sources.STE)
def short_sentences(file: EpubFile) -> Iterator[Reading]:
    """The sentences of paragraphs and list items, enumerations and texts with arrows set aside."""
    for chapter in file.chapters:
        for element in chapter.elements("p", "li"):
            words = text(element)
            if "→" not in words and not any(tag(e) in ("ul", "ol", "p") for e in element):
                for sentence in sentences(words):
                    if not is_enumeration(sentence):
                        yield _at(chapter, len(WORD.findall(sentence)), None, sentence)
