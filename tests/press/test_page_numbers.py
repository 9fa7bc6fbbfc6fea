"""Page numbers cost no second layout, and the list of pages is not made anew for each tag."""

from __future__ import annotations

import weakref
from typing import Any

import pydyf
import pytest

from leadsman.press import page_numbers
from leadsman.press.typeset import Typesetter

STYLE = """
@page { size: 80mm 60mm; margin: 5mm } h1 { break-before: page }
.line { display: flex } .dots { flex: 1; border-bottom: 0.6pt dotted }
[data-page-of] { display: inline-block; min-width: 1.5em; text-align: right }
.line [data-page-of] { flex: none; width: 2em }
"""


def book(chapters: int) -> str:
    """Contents in rows with leaders, and references in running text, to chapters of a page each."""
    rows = "".join(
        f'<li><span class="line"><span><a href="#c{n}">Chapter {n}</a></span><span class="dots"></span>'
        f'<span data-page-of="#c{n}"></span></span></li>'
        for n in range(chapters)
    )
    words = "".join(
        f'<h1 id="c{n}">Chapter {n}</h1><p>See page&nbsp;<span data-page-of="#c{chapters - 1 - n}"></span>, and go on.</p>'
        for n in range(chapters)
    )
    return f"<ol>{rows}</ol>{words}"


def test_a_book_with_page_numbers_is_laid_out_once(
    typesetter: Typesetter, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Contents in rows and references in a sentence take their numbers where they stand."""
    layouts = []
    plain = typesetter.engine.HTML.render
    monkeypatch.setattr(
        typesetter.engine.HTML, "render", lambda *a, **named: layouts.append(1) or plain(*a, **named)
    )
    layout = typesetter.lay_out(book(12), STYLE, title="Book")

    assert len(layouts) == 1
    known = typesetter.lay_out(book(12), STYLE, title="Book", page_of=layout.page_of)
    assert typesetter.write(known).data == typesetter.write(layout).data


def test_an_earlier_layout_is_gone_before_the_next_is_made() -> None:
    """Two laid-out books at once are twice the memory."""
    made: list[weakref.ref[Any]] = []

    class Document:
        def __init__(self, page: int) -> None:
            self.pages = [type("Page", (), {"anchors": {}, "_page_box": None})()] * page + [
                type("Page", (), {"anchors": {"a": (0, 0)}, "_page_box": None})()
            ]

    def lay_out(html: str) -> Document:
        assert [ref for ref in made if ref() is not None] == []
        document = Document(len(made) % 2)
        made.append(weakref.ref(document))
        return document

    page_numbers.render_with_page_numbers(lay_out, '<i data-page-of="#a"></i>')

    assert len(made) == page_numbers.MOST_LAYOUTS + 1


def test_the_list_of_pages_is_made_once_for_each_number_of_pages(
    typesetter: Typesetter, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Asked for at every tag of every page, it made writing quadratic."""
    asked, made = [], []
    quick = pydyf.PDF.page_references.fget
    kids = pydyf.Array.__getitem__

    monkeypatch.setattr(pydyf.PDF, "page_references", property(lambda pdf: asked.append(1) or quick(pdf)))
    monkeypatch.setattr(
        pydyf.Array,
        "__getitem__",
        lambda array, key: (made.append(1) if key == slice(None, None, 3) else None) or kids(array, key),
        raising=False,
    )
    typesetter.write(typesetter.lay_out(book(12), STYLE, title="Book"))

    assert len(asked) > 24
    assert 1 <= len(made) <= 13
