"""Rules on EPUBs, each on a book that keeps it and on one that breaks it in one place."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspection import making
from leadsman.errors import OutputError
from leadsman.inspection.epub_reading import read_epub

_OPF, _NAV, _CSS, _ONE = "EPUB/book.opf", "EPUB/nav.xhtml", "EPUB/book.css", "EPUB/one.xhtml"

BROKEN = [
    ("EP-01", _OPF, '<meta property="schema:accessibilityHazard">none</meta>', ""),
    ("EP-03", _OPF, "EPUB Accessibility 1.1 - WCAG 2.2 Level AA", "Accessible, WCAG 2.2"),
    ("EP-06", _OPF, "WCAG 2.2 Level AA", "WCAG 2.2 Level A"),
    ("EP-07", _OPF, '"schema:accessibilityFeature">alternativeText', '"schema:accessibilityFeature">MathML'),
    ("EP-08", _ONE, '<span epub:type="pagebreak" id="page-1"></span>', '<span epub:type="pagebreak" id="page-2"></span>'),
    ("EP-10", _NAV, 'epub:type="toc"', 'epub:type="lot"'),
    ("EP-12", _ONE, 'xml:lang="en-GB"', 'xml:lang=""'),
    ("EP-13", _ONE, "<h2>Dead unit</h2>", "<h4>Dead unit</h4>"),
    ("EP-15", _ONE, "<title>A vee hull</title>", ""),
    ("EP-16", _ONE, '<th scope="col">', "<th>"),
    ("EP-19", _CSS, "svg { max-width: 100% }", "svg { width: 640px }"),
    ("EP-23", _ONE, 'href="#p1"', 'href="#p9"'),
    ("SF-05", _ONE, '<div class="caution"><p>Take care.</p></div><ol><li>Switch on.</li></ol>', '<ol><li>Switch on.</li></ol><div class="caution"><p>Take care.</p></div>'),
    ("SF-09", _ONE, '<span class="signal">DANGER</span>', "<span>Danger</span>"),
    ("AC-01", _ONE, "<h2>Dead unit</h2>", '<h2 onclick="x()">Dead unit</h2>'),
    ("CO-02", _CSS, "background: #900000; color: #fff", "background: #ff8200; color: #fff"),
    ("PL-02", _ONE, "No light shows", "No light shows " + "and no sound is heard " * 6),
]  # fmt: skip


@pytest.mark.parametrize(("name", "member", "old", "new"), BROKEN, ids=[name for name, *_ in BROKEN])
def test_a_broken_book_is_found_and_a_right_one_passes(
    tmp_path: Path, name: str, member: str, old: str, new: str
) -> None:
    right = making.outcome(name, "epub", making.epub(tmp_path))
    broken = making.outcome(name, "epub", making.epub(tmp_path, [(member, old, new)]))

    assert right.verdict == "kept", right.breaches
    assert broken.breaches


@pytest.mark.parametrize("words", ["here", "", "more"])
def test_a_link_must_say_where_it_leads(tmp_path: Path, words: str) -> None:
    """WCAG 2.2, SC 2.4.4: the purpose of a link from its text."""
    book = making.epub(tmp_path, [(_ONE, ">step 2</a>", f">{words}</a>")])

    assert making.outcome("EP-23", "epub", book).breaches


def test_what_is_no_epub_is_told_in_plain_words(tmp_path: Path) -> None:
    path = tmp_path / "broken.epub"
    path.write_bytes(b"not a zip")

    with pytest.raises(OutputError, match="cannot be read as an EPUB"):
        read_epub(path)
    with pytest.raises(OutputError, match="there is no file"):
        read_epub(tmp_path / "absent.epub")
