"""From finished HTML to a finished PDF/UA-1 file: lay out, check, write, repair, check again, publish.

A :class:`Typesetter` keeps what is dear to make (the font configuration, parsed style sheets) and
serves many documents. :func:`render_pdf` makes one file, or none: the earlier file is only replaced
by one that passed every check. A long book is set in chapters by the same two steps, :meth:`Typesetter.lay_out`
and :meth:`Typesetter.write`, and bound (``binding.py``).
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import os
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from pathlib import Path
from typing import Any

from leadsman.collector import relaxed_collector
from leadsman.errors import OutputError
from leadsman.press import atomic, boxes, completeness, fonts, gate, measure, page_numbers
from leadsman.press.engine import engine_versions, load_engine, unfinished_fonts
from leadsman.press.fetcher import BASE_URL, LockedFetcher
from leadsman.press.repair import Repaired, repair
from leadsman.store import Store, digest, folder_digest, program_digest

PDF_VARIANT = "pdf/ua-1"

#: Seconds since 1970 that every embedded font is dated with (1 January 2000).
FONT_DATE = "946684800"

#: Before every other style: each element gets a font of ours, and markers that need no other one.
#: Markers stand inside the text, else the engine paints (and reads out) all of them after it.
BASE_CSS = f"""
html {{ font-family: "{fonts.TEXT}"; hyphenate-character: "-"; list-style-position: inside }}
h1, h2, h3, h4, h5, h6 {{ font-family: "{fonts.HEAD}", "{fonts.TEXT}" }}
code, kbd, listing, plaintext, pre, samp, tt, xmp {{ font-family: "{fonts.TEXT}" }}
button, input, select, textarea {{ font-family: "{fonts.FORM}", "{fonts.TEXT}" }}
"""


@dataclass
class Layout:
    """A laid-out document that passed the gate, ready to be written."""

    document: Any
    texts: list[str]
    page_of: dict[str, int]
    title: str
    language: str


@dataclass(frozen=True)
class FinishedPdf:
    """What was written, and what is worth keeping for the next time."""

    path: Path
    page_count: int
    sha256: str
    page_of: Mapping[str, int] = field(repr=False)
    repairs: Mapping[str, int] = field(repr=False)


class Typesetter:
    """The engine with its fonts and parsed style sheets, reused from document to document.

    Not to be shared between threads; a forked worker may use its parent's.

    Parameters
    ----------
    assets
        The templates folder, for pictures and styles under ``asset://templates/``; None for none.
    extra_css
        A style sheet for every document of this engine, such as the bars beside what changed.
    store
        Keeps finished documents and measured blocks; with None each is made anew.
    """

    def __init__(self, assets: Path | None = None, extra_css: str = "", store: Store | None = None) -> None:
        self.engine = load_engine()
        self.store = store
        self._assets, self._extra_css = assets, extra_css
        self.fetcher = LockedFetcher(assets)
        self.font_configuration = self.engine.text.fonts.FontConfiguration()
        self._sheets: dict[str, Any] = {}
        #: The chapters of the book that was bound last, by their digests: most of them are those of the next one.
        self.chapters: dict[str, Any] = {}
        self._own = [
            self.sheet(text, "the built-in style")
            for text in (fonts.font_faces_css(), BASE_CSS, page_numbers.PAGE_NUMBER_CSS, extra_css)
        ]

    @functools.cached_property
    def key(self) -> str:
        """Digest of all that decides how a document looks, beside the document itself."""
        assets = folder_digest(self._assets) if self._assets is not None else ""
        return digest(program_digest(), engine_versions(), assets, self._extra_css)

    def sheet(self, css: str, target: str = "style sheet") -> Any:
        """The parsed style sheet, from memory when it was seen before; a faulty one is refused."""
        if css not in self._sheets:
            with self._gate(target):
                parsed = self.engine.CSS(
                    string=css,
                    base_url=BASE_URL,
                    url_fetcher=self.fetcher,
                    font_config=self.font_configuration,
                )
            # Only now, past the gate: a refused style must be refused the next time too.
            self._sheets[css] = parsed
        return self._sheets[css]

    def lay_out(
        self,
        html: str,
        css: str | Sequence[str] = (),
        *,
        title: str,
        language: str = "en-GB",
        page_of: Mapping[str, int] | None = None,
        late_numbers: bool = False,
        target: str | Path = "document",
    ) -> Layout:
        """Lay a document out and refuse it if the engine had anything to say about it.

        Parameters are those of :func:`render_pdf`; ``target`` names the document in messages. With ``late_numbers``
        each page number is a stand-in: its place is known, but not yet what stands there.
        """
        if any("@font-face" in text for text in (html, *_as_list(css))):
            # It would stay in the engine and change the documents after this one.
            raise gate.Refused(target, ["a style declares a font (@font-face); only the engine does that"])
        sheets = [*self._own, *(self.sheet(text, f"style of {target}") for text in _as_list(css))]
        source = document_shell(html, title=title, language=language)
        texts: list[str] = []

        def once(filled: str) -> Any:
            parsed = self.engine.HTML(string=filled, base_url=BASE_URL, url_fetcher=self.fetcher)
            texts[:] = completeness.source_texts(parsed.etree_element)
            findings.extend(markup_findings(parsed.etree_element))
            return parsed.render(
                stylesheets=sheets,
                font_config=self.font_configuration,
                pdf_variant=PDF_VARIANT,
                pdf_forms=True,
            )

        with self._gate(target) as findings, relaxed_collector():
            if late_numbers:
                document = once(page_numbers.with_stand_ins(source))
                found = page_numbers.pages_of_anchors(document)
            else:
                document, found = page_numbers.render_with_page_numbers(once, source, page_of)
            findings.extend(boxes.unknown_families(document))
        return Layout(document, texts, found, title, language)

    def texts_of(self, html: str) -> list[str]:
        """The texts of a piece of HTML that must be found in print."""
        source = document_shell(html, title="", language="")
        parsed = self.engine.HTML(string=source, base_url=BASE_URL, url_fetcher=self.fetcher)
        return completeness.source_texts(parsed.etree_element)

    def write(
        self,
        layout: Layout,
        *,
        bleed_mm: float | None = None,
        elsewhere: Collection[str] | None = None,
        target: str | Path = "document",
    ) -> Repaired:
        """The mended PDF of a layout, without findings (with any, it is refused).

        With ``elsewhere``, as in :func:`repair`, it is a chapter whose fonts are made when it is bound.
        """
        cut = contextlib.nullcontext() if elsewhere is None else unfinished_fonts()
        with self._gate(target) as findings, relaxed_collector(), fixed_font_date(), cut:
            raw = layout.document.write_pdf(pdf_variant=PDF_VARIANT, pdf_forms=True)
            texts = boxes.link_texts(layout.document)
            mended = repair(raw, link_texts=texts, bleed_mm=bleed_mm, elsewhere=elsewhere)
            findings.extend(mended.findings)
        return mended

    @contextlib.contextmanager
    def _gate(self, target: str | Path) -> Iterator[list[str]]:
        """Turn log lines, refused addresses, findings and crashes inside the block into one refusal."""
        self.fetcher.take_denials()
        findings: list[str] = []
        with gate.listen() as logged:
            try:
                yield findings
            except OutputError:
                raise
            except Exception as error:
                findings.append(f"the typesetting engine failed: {type(error).__name__}: {error}")
        findings.extend([*self.fetcher.take_denials(), *logged])
        if findings:
            raise gate.Refused(target, findings)


def render_pdf(
    html: str,
    css: str | Sequence[str] = (),
    *,
    out: Path,
    title: str,
    language: str = "en-GB",
    bleed_mm: float | None = None,
    required_texts: Iterable[str] | None = None,
    face_class: str | None = None,
    page_of: Mapping[str, int] | None = None,
    typesetter: Typesetter | None = None,
) -> FinishedPdf:
    """Make one tagged PDF/UA-1 file, or leave the earlier file as it is.

    Parameters
    ----------
    html
        The finished document, or the inside of its body.
    css
        Style sheets as text, in order.
    out
        The file to write.
    title, language
        The document's title and BCP 47 language tag; one language per document.
    bleed_mm
        Width of the bleed around the trim size [mm]; the style must give the pages at least that.
    required_texts
        Texts that the finished file must hold; by default every text of the body.
    face_class
        Class of the elements that must each fill exactly one page, such as a card's face.
    page_of
        Page of each anchor in an earlier layout (:attr:`FinishedPdf.page_of`); it saves time only.
    typesetter
        The engine to use; by default a new one without a templates folder.

    Returns
    -------
    FinishedPdf
        Path, page count, digest, the pages of the anchors, and the repairs made.

    Raises
    ------
    Refused
        With one finding per defect; nothing was written.
    """
    setter = typesetter or Typesetter()
    wanted = None if required_texts is None else list(required_texts)
    store, key = setter.store, ""
    if store is not None:
        key = digest(setter.key, html, _as_list(css), title, language, bleed_mm, wanted, face_class)
        data, about = store.get("documents", key), store.get_data("about", key)
        if data is not None and about is not None:
            atomic.write_bytes(out, data)
            return FinishedPdf(out, sha256=hashlib.sha256(data).hexdigest(), **about)
    layout = setter.lay_out(html, css, title=title, language=language, page_of=page_of, target=out.name)
    findings = measure.face_findings(layout.document, face_class) if face_class else []
    if findings:
        raise gate.Refused(out.name, findings)
    mended = setter.write(layout, bleed_mm=bleed_mm, target=out.name)
    if missing := completeness.missing_texts(mended.data, layout.texts if wanted is None else wanted):
        raise gate.Refused(out.name, [f"text lost on the way to the page: '{text[:80]}'" for text in missing])
    atomic.write_bytes(out, mended.data)
    count = len(layout.document.pages)
    if store is not None:
        store.put("documents", key, mended.data)
        store.put_data(
            "about", key, {"page_count": count, "page_of": layout.page_of, "repairs": dict(mended.counts)}
        )
    return FinishedPdf(
        path=out,
        page_count=count,
        sha256=hashlib.sha256(mended.data).hexdigest(),
        page_of=layout.page_of,
        repairs=mended.counts,
    )


def document_shell(html: str, *, title: str, language: str) -> str:
    """A whole document around the inside of a body; a whole document must agree on title and language.

    Examples
    --------
    >>> document_shell("<h1>Supply</h1>", title="Deck", language="en-GB")[:42]
    '<!DOCTYPE html>\\n<html lang="en-GB"><head><'
    """
    if not re.match(r"\s*(<!DOCTYPE|<html)", html, re.IGNORECASE):
        return (
            f'<!DOCTYPE html>\n<html lang="{escape(language)}"><head><meta charset="utf-8">'
            f"<title>{escape(title)}</title></head><body>{html}</body></html>"
        )
    found_language = re.search(r"<html[^>]*\slang=[\"']?([\w-]+)", html, re.IGNORECASE)
    found_title = re.search(r"<title>(.*?)</title>", html, re.IGNORECASE | re.DOTALL)
    if not found_language or found_language[1] != language:
        raise OutputError(f"the document '{title}' does not declare the language {language} on <html lang>")
    if not found_title or " ".join(found_title[1].split()) != escape(title, quote=False):
        raise OutputError(f"the document '{title}' carries another <title>")
    return html


def markup_findings(root: Any) -> list[str]:
    """What the tags of the PDF would get wrong and the engine does not say.

    A header cell in a table body without ``scope="row"`` would be tagged as its row's header but
    tied to its column.
    """
    findings = []
    for body in root.iter("tbody"):
        for cell in body.iter("th"):
            if cell.get("scope") != "row":
                words = " ".join("".join(cell.itertext()).split())
                findings.append(f"the header cell '{words[:40]}' in a table body lacks scope=\"row\"")
    return findings


@contextlib.contextmanager
def fixed_font_date() -> Iterator[None]:
    """Keep the clock out of the embedded fonts: each cut-out font carries the date of its making."""
    before = os.environ.get("SOURCE_DATE_EPOCH")
    os.environ["SOURCE_DATE_EPOCH"] = FONT_DATE
    try:
        yield
    finally:
        if before is None:
            del os.environ["SOURCE_DATE_EPOCH"]
        else:
            os.environ["SOURCE_DATE_EPOCH"] = before


def _as_list(css: str | Sequence[str]) -> list[str]:
    return [css] if isinstance(css, str) else list(css)
