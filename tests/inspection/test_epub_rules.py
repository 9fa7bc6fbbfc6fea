"""Rules on EPUBs, each on a book that keeps it and on one that breaks it in one place."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from inspection import making
from leadsman.errors import OutputError
from leadsman.inspection.epub_reading import read_epub
from leadsman.inspection.epub_rules import _colour

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


_H2, _CLAIM, _TABLE = "<h2>Dead unit</h2>", "WCAG 2.2 Level AA", '<th scope="col">Boat</th>'
_IMG = "<title>A vee hull</title></svg>"
_FEATURE, _SUMS = (
    '"schema:accessibilityFeature">alternativeText',
    '<meta property="schema:accessMode">textual</meta>',
)
_SIGNAL = '<p><span class="signal">NOTICE</span> Plug.</p>'


def _words(number: int) -> str:
    return " ".join(["Word", *["word"] * (number - 1)]) + "."


#: Rule, member, a change, and whether the rule is kept with it: what stands at each limit, and each clause apart.
CLAUSES = [
    ("EP-02", _OPF, _SUMS, _SUMS, False),
    ("EP-02", _OPF, _SUMS, f'{_SUMS}<meta property="schema:accessModeSufficient">textual</meta>', False),
    ("EP-02", _OPF, _SUMS, f'{_SUMS}<meta property="schema:accessModeSufficient">textual</meta><meta property="schema:accessibilitySummary">All.</meta>', True),
    *[("EP-03", _OPF, _CLAIM, f"WCAG 2.{n} Level {a}", True) for n, a in ((0, "A"), (1, "AA"), (2, "AAA"))],
    ("EP-03", _OPF, _CLAIM, "WCAG 1.0 Level AA", False),
    ("EP-06", _OPF, _CLAIM, "WCAG 2.1 Level AAA", True),
    *[("EP-07", _OPF, _FEATURE, f'"schema:accessibilityFeature">{name}', kept) for name, kept in (
        ("pageNavigation", True), ("pageBreakMarkers", True), ("structuralNavigation", True), ("index", False), ("largePrint", True))],
    ("EP-07", _ONE, "<title>A vee hull</title>", "", False),
    ("EP-07", _NAV, 'epub:type="toc"', 'epub:type="lot"', False),
    ("EP-08", _NAV, '<li><a href="one.xhtml#page-1">1</a></li>', "", False),
    ("EP-10", _OPF, ' properties="nav"', "", False),
    ("EP-10", _NAV, '<nav epub:type="page-list">', '<nav epub:type="toc"><ol/></nav><nav epub:type="page-list">', False),
    ("EP-10", _NAV, '<ol><li><a href="one.xhtml#p1">Dead unit</a></li></ol>', "", False),
    ("EP-11", _NAV, '<nav epub:type="page-list">', '<nav epub:type="landmarks"><ol><li><a epub:type="toc" href="nav.xhtml">Contents</a></li></ol></nav><nav epub:type="page-list">', False),
    ("EP-11", _NAV, '<nav epub:type="page-list">', '<nav epub:type="landmarks"><ol><li><a epub:type="toc" href="nav.xhtml">Contents</a></li><li><a epub:type="bodymatter" href="one.xhtml">Text</a></li></ol></nav><nav epub:type="page-list">', True),
    ("EP-12", _OPF, "<dc:identifier>urn:x</dc:identifier>", "", False),
    ("EP-12", _OPF, 'version="3.0" xml:lang="en-GB"', 'version="3.0" xml:lang="en_GB"', False),
    ("EP-13", _ONE, "<title>Power</title>", "<title></title>", False),
    ("EP-13", _ONE, '<h1 id="p1">Power</h1>', '<p id="p1">Power</p>', False),
    ("EP-13", _ONE, _H2, f"{_H2}<h3>Then</h3><h2>Next</h2>", True),
    ("EP-15", _ONE, _IMG, '</svg><img src="a.png" alt="A hull"/>', False),
    ("EP-15", _ONE, _IMG, f'{_IMG}<img src="a.png" alt="A hull"/><img src="b.png" alt="" role="presentation"/>', True),
    ("EP-15", _ONE, _IMG, f'{_IMG}<img src="a.png" alt=" "/>', False),
    ("EP-15", _ONE, 'viewBox="0 0 1 1"><title>A vee hull</title>', 'viewBox="0 0 1 1" aria-hidden="true">', True),
    ("EP-15", _ONE, 'viewBox="0 0 1 1"><title>A vee hull</title>', 'viewBox="0 0 1 1" aria-label="A hull">', True),
    ("EP-16", _ONE, _TABLE, '<th id="boat">Boat</th>', True),
    ("EP-16", _ONE, _TABLE, f"{_TABLE}<th>drop</th>", False),
    ("EP-16", _ONE, _TABLE, "<td>Boat</td>", False),
    ("EP-16", _ONE, "<caption>Drop</caption>", "", False),
    *[("EP-19", _CSS, "body {", f"table {{ {width} }} body {{", kept) for width, kept in (
        ("width: 300px", True), ("width: 301px", False), ("min-width: 81mm", False), ("width: 80mm", True), ("width: 21em", False),
        ("width: 20em", True), ("width: 226pt", False), ("width: 225pt", True), ("width: 8.1cm", False), ("width: 8cm", True), ("width: 21rem", False), ("width: 20rem", True),
        ("width: 3.2in", False), ("width: 3in", True), ("max-width: 900px", True))],
    ("EP-19", _CSS, "svg { max-width: 100% }", "svg { color: #000 }", False),
    ("EP-19", _ONE, '<div class="step">', '<div class="step" style="width: 500px">', False),
    ("EP-21", _CSS, "body {", "h1 { color: #000 } body {", True),
    ("EP-21", _CSS, "body {", "h2, p { color: #000 } body {", False),
    ("EP-21", _CSS, "body {", "p { border-color: #000 } body {", True),
    ("EP-23", _ONE, "step 2</a>", 'step 2</a> <a href="mailto:a@example.org">write to us</a>', True),
    ("EP-23", _ONE, "step 2</a>", 'step 2</a> <a href="nav.xhtml">the contents</a>', True),
    ("EP-23", _ONE, "step 2</a>", 'step 2</a> <a href="two.xhtml">the next part</a>', False),
    ("EP-23", _ONE, "step 2</a>", 'step 2</a> <a href="nav.xhtml"><img src="a.png" alt="Contents"/></a>', True),
    ("EP-23", _ONE, 'YES → <a href="#p1">step 2</a>', "YES → step 2", False),
    ("SF-05", _ONE, "<ol><li>Switch on.</li></ol>", '<ol><li>Switch on.</li></ol><div class="caution"><p>Hot.</p></div>', False),
    ("SF-05", _ONE, '<div class="step">', '<div class="fix"><p>Cut it.</p><div class="caution"><p>Hot.</p></div></div><div class="step">', False),
    ("SF-09", _ONE, _SIGNAL, "<ul><li>Never pull a plug.</li></ul>", True),
    ("SF-09", _ONE, _SIGNAL, "<ul><li>Do not pull a plug.</li></ul>", True),
    ("SF-09", _ONE, _SIGNAL, "<ul><li>Nobody pulls a plug.</li></ul>", False),
    ("SF-09", _ONE, _SIGNAL, "<p>Never pull a plug.</p>", False),
    ("CO-02", _CSS, "background: #900000; color: #fff", "color: #767676", True),  # W3C, technique G18
    ("CO-02", _CSS, "background: #900000; color: #fff", "color: #777777", False),
    ("CO-02", _CSS, "background: #900000; color: #fff", "color: #777", False),
    ("CO-02", _CSS, "background: #900000; color: #fff", "background-color: #777", True),  # 4.69 to black, by the definition
    ("PL-02", _ONE, "No light shows when the key is pressed.", _words(25), True),
    ("PL-02", _ONE, "No light shows when the key is pressed.", _words(26), False),
    ("PL-02", _ONE, "<li>Switch on.</li>", f"<li>{_words(26)}</li>", False),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "member", "old", "new", "kept"), CLAUSES, ids=[f"{c[0]}-{i}" for i, c in enumerate(CLAUSES)]
)
def test_each_clause_of_a_rule(
    tmp_path: Path, name: str, member: str, old: str, new: str, kept: bool
) -> None:
    found = making.outcome(name, "epub", making.epub(tmp_path, [(member, old, new)]))
    assert found.verdict == ("kept" if kept else "broken"), found.breaches


def _readings(name: str, folder: Path, *changes: tuple[str, str, str]) -> list[tuple[float | str, str, str]]:
    """All that a rule measured: value, words, file."""
    book = making.epub(folder, changes)
    return [(r.measured, r.says, r.file) for r in making.rule(name, "epub").read(book)]


@pytest.mark.parametrize(
    ("name", "old", "new", "kept"),
    [
        ("EP-23", "</li></ul></div>", "</li><li>Look again.</li></ul></div>", True),  # no answer
        ("EP-23", "</li></ul></div>", '</li></ul><p class="answers">NO → A</p></div>', True),  # no list
        ("EP-23", "</li></ul></div>", "</li><li>NO → A</li></ul></div>", False),
        ("SF-05", '<div class="step">', '<div class="step"><p> </p><!-- first -->', True),
        ("SF-09", '<span class="signal">NOTICE</span>', "<span>NOTICE</span>", False),
        ("SF-09", '<span class="signal">NOTICE</span>', '<span class="signal">Notice</span>', False),
    ],
)  # fmt: skip
def test_what_counts_and_what_does_not(tmp_path: Path, name: str, old: str, new: str, kept: bool) -> None:
    assert making.outcome(name, "epub", making.epub(tmp_path, [(_ONE, old, new)])).verdict == (
        "kept" if kept else "broken"
    )


def test_what_is_told_of_a_book(tmp_path: Path) -> None:
    long = "word " * 40
    mathml = (_OPF, _FEATURE, '"schema:accessibilityFeature">MathML')
    assert _readings("EP-07", tmp_path, mathml) == [
        ("there", "tableOfContents", ""),
        ("not there", "MathML", ""),
    ]
    forced = _readings("EP-21", tmp_path, (_CSS, "body {", "p { color: #000 } body {"))
    assert forced == [("forces a colour", "p", _CSS), ("none", "body", _CSS)]
    nowhere = _readings("EP-23", tmp_path, (_ONE, 'href="#p1">step 2', 'href="#p9">step 2'))
    assert ("leads nowhere", "#p9", _ONE) in nowhere
    named = _readings("EP-23", tmp_path, (_ONE, ">step 2</a>", f">{long}</a>"))
    assert (long.strip()[:30], "#p1", _ONE) in named
    assert _readings("EP-16", tmp_path, (_ONE, "<td>Sedge</td>", f"<td>{long}</td>")) == [
        ("1 header cell", f"DropBoat{long.strip()}"[:50], _ONE)
    ]
    # 4.48 by the W3C's definition, told without rounding up.
    assert _readings("CO-02", tmp_path, (_CSS, "background: #900000; color: #fff", "color: #777777")) == [
        (4.47, ".signal", _CSS)
    ]
    sentence = (_ONE, "No light shows when the key is pressed.", f"{long.strip()}.")
    assert (40, f"{long.strip()}."[:80], _ONE) in _readings("PL-02", tmp_path, sentence)


@pytest.mark.parametrize(
    "markup",
    ["<p>YES → {}</p>", "<ul><li>{}<ol><li>Look.</li></ol></li></ul>", "<ul><li>{}<p>Look.</p></li></ul>"],
)
def test_answers_and_what_holds_other_texts_are_no_sentences(tmp_path: Path, markup: str) -> None:
    long = markup.format("So many words that nobody reads them " * 5)
    book = making.epub(tmp_path, [(_ONE, "<h2>Dead unit</h2>", f"<h2>Dead unit</h2>{long}")])
    assert making.outcome("PL-02", "epub", book).verdict == "kept"


def test_markers_of_pages_are_claimed_where_they_are(tmp_path: Path) -> None:
    claimed = (_OPF, _FEATURE, '"schema:accessibilityFeature">pageBreakMarkers')
    without = (_ONE, '<span epub:type="pagebreak" id="page-1"></span>', "")
    assert making.outcome("EP-07", "epub", making.epub(tmp_path, [claimed])).verdict == "kept"
    assert making.outcome("EP-07", "epub", making.epub(tmp_path, [claimed, without])).verdict == "broken"


@pytest.mark.parametrize(
    ("style", "colour"),
    [
        ("color: #ff8000", (1.0, 128 / 255, 0.0)), ("color:#f80", (1.0, 136 / 255, 0.0)), ("color: #f80c", (1.0, 136 / 255, 0.0)),
        ("background-color: #ff8000", None), ("--color: #ff8000", None), ("color: red", None), ("color: #ff", None),
    ],
)  # fmt: skip
def test_a_colour_of_a_style_is_read(style: str, colour: tuple[float, ...] | None) -> None:
    """CSS Color 4, 5.2: three digits stand for six, each of them twice; a fourth is the opacity."""
    found = _colour(style, "color")
    assert found == (None if colour is None else pytest.approx(colour))


def test_what_the_package_says_is_told_by_its_first_forty_letters(tmp_path: Path) -> None:
    title = "Faults of sounders and of all that belongs to them"
    summary = '<meta property="schema:accessibilitySummary">' + title + "</meta></metadata>"
    file = making.epub(
        tmp_path,
        [
            ("EPUB/book.opf", "<dc:title>Faults<", f"<dc:title>{title}<"),
            ("EPUB/book.opf", "</metadata>", summary),
        ],
    )
    assert next(r.measured for r in making.rule("EP-12", "epub").read(file)) == title[:40]
    assert [r.measured for r in making.rule("EP-02", "epub").read(file)] == [
        "no accessModeSufficient",
        title[:40],
    ]


def test_a_book_under_a_lock_is_refused_in_words(tmp_path: Path) -> None:
    """EPUB OCF 3.3, 4.2.6.3.2: what is enciphered is listed in this file."""
    making.epub(tmp_path)
    with zipfile.ZipFile(tmp_path / "sample.epub", "a") as archive:
        archive.writestr("META-INF/encryption.xml", "<encryption/>")
    with pytest.raises(OutputError, match="it is locked"):
        read_epub(tmp_path / "sample.epub")
