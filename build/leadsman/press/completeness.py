"""No text may get lost on the way to paper: what the HTML says must be found in the finished PDF.

A box of fixed height that overflows drops its last lines without a word in any log, and the page
count still looks right. So the texts of the source are looked for in the file itself.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import pymupdf

_BLOCK_NAMES = """
    address article aside blockquote body br caption center dd details dialog dir div dl dt fieldset
    figcaption figure footer form h1 h2 h3 h4 h5 h6 header hgroup hr html legend li main menu nav ol p
    pre search section summary table tbody td tfoot th thead tr ul
"""
_SILENT_NAMES = "head script style template svg math select textarea button object iframe"

#: Elements that begin a new run of text.
BLOCKS = frozenset(_BLOCK_NAMES.split())
#: Elements whose text is not printed as text.
SILENT = frozenset(_SILENT_NAMES.split())

#: The shortest piece of a text that may stand on a page when the text runs over a page break: two lines
#: of a narrow column. Shorter pieces are found by chance.
SHORTEST_PIECE = 12


def source_texts(root: Any) -> list[str]:
    """Each run of text in the body of a parsed document, in order.

    A block element ends a run, and so does a place where a page number is printed. Text inside an
    element with the attribute ``hidden`` is not asked for; text that a style adds is not known here.
    """
    runs: list[str] = [""]
    for piece in _pieces(root):
        if piece is None:
            runs.append("")
        else:
            runs[-1] += piece
    return [text for run in runs if (text := " ".join(run.split()))]


def _pieces(element: Any) -> Iterator[str | None]:
    """The texts below an element; None where a run ends."""
    tag = element.tag.rpartition("}")[2].lower() if isinstance(element.tag, str) else None
    if tag is None or tag in SILENT or element.get("hidden") is not None:
        return
    ends_run = tag in BLOCKS or element.get("data-page-of") is not None
    if ends_run:
        yield None
    yield element.text or ""
    for child in element:
        yield from _pieces(child)
        yield child.tail or ""
    if ends_run:
        yield None


#: Depth of the margins that hold running lines, of pages on which a text may run on [pt].
RUNNING_LINES_PT = 36.0


def normalised(text: str) -> str:
    """Letters and digits only, case and ligatures undone: what layout cannot change.

    Examples
    --------
    >>> normalised("Dead\u00ad-zone: 0.5 m (\ufb01rst echo)")
    'deadzone05mfirstecho'
    """
    return re.sub(r"[\W_]+", "", unicodedata.normalize("NFKC", text).casefold())


def page_texts(pdf: bytes, margin_pt: float = 0.0) -> list[str]:
    """The normalised text of each page of a finished PDF, without what stands in a margin above and below."""
    with pymupdf.Document(stream=pdf) as document:  # type: ignore[no-untyped-call]
        inner = (0.0, margin_pt, 0.0, -margin_pt)
        return [normalised(page.get_text(clip=page.rect + inner)) for page in document]


def missing_texts(pdf: bytes, texts: Iterable[str]) -> list[str]:
    """Those of ``texts`` that the finished PDF does not hold (as often as they are asked for).

    A text may run over page breaks: it is then looked for piece by piece on pages in a row.
    """
    pages = page_texts(pdf)
    whole = "\n".join(pages)
    wanted = Counter(texts)
    missing = [
        text
        for text, times in wanted.items()
        if (key := normalised(text)) and whole.count(key) < times and _occurrences(key, pages) < times
    ]
    if not missing:
        return []
    # Like texts on one page can hide where one of them breaks off: read on without the running lines.
    read_on = "".join(page_texts(pdf, margin_pt=RUNNING_LINES_PT))
    return [text for text in missing if read_on.count(normalised(text)) < wanted[text]]


def _occurrences(key: str, pages: Sequence[str]) -> int:
    """How often a text stands whole on a page or runs from one page over the next ones."""
    found = sum(page.count(key) for page in pages)
    # What was found once must not lend its words to another.
    rest = [page.replace(key, "\n") for page in pages]
    for start in range(len(rest) - 1):
        pieces = _pieces_over(key, rest[start:])
        found += bool(pieces)
        for number, piece in enumerate(pieces, start=start):
            rest[number] = rest[number].replace(piece, "\n", 1)
    return found


def _pieces_over(key: str, pages: Sequence[str]) -> list[str]:
    """The pieces of a text that begins on the first of these pages and ends on a later one, if it does."""
    pieces = []
    for page in pages:
        length = _longest_prefix(key, page)
        if length < SHORTEST_PIECE:
            return []
        pieces.append(key[:length])
        key = key[length:]
        if not key:
            return pieces
    return []


def _longest_prefix(key: str, page: str) -> int:
    low, high = 0, len(key)
    while low < high:
        middle = (low + high + 1) // 2
        if key[:middle] in page:
            low = middle
        else:
            high = middle - 1
    return low
