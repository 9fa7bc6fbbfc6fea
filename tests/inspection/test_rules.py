"""Each rule that must be kept, on a document that keeps it and on one that breaks it.

The documents are made here and broken in one place each. The limits are those of the sources that the rules
name; no limit is taken from the program.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from inspection import making
from leadsman.inspection.findings import RULES
from leadsman.inspection.model import PdfFile

_STEP_LI = "<li>Switch the unit on.</li>"
_PANEL = '<p class="caution"><span class="signal WARNING">WARNING</span> Fire: same rating only.</p>'

#: Rule, changes of the deck's HTML, changes of its style.
DECKS: list[tuple[str, list[tuple[str, str]], list[tuple[str, str]]]] = [
    ("CK-01", [(_STEP_LI, '<li style="font-size: 9pt">Switch the unit on.</li>')], []),
    ("CK-02", [], [("font: 700 15pt/1.3", "font: 700 11pt/1.3")]),
    ("CK-03", [(_STEP_LI, '<li style="font-size: 10pt">Switch the unit on.</li>')], []),
    ("CK-05", [("list-item 1", "list-item 0")], []),
    ("CK-06", [("END of P1", "the end")], []),
    ("CK-07", [("NO → A|CAN'T → 2", "NO → C|CAN'T → 2"), ("NO → A</span>", "NO → C</span>")][1:], []),
    ("CK-08", [('<p class="turn">step 2 →</p>', "")], []),
    ("CK-09", [(making.CAUTION + '<div class="step"><ol style="counter-reset: list-item 1"><li>Measure the fuse.</li></ol><p class="see">Do both ends read the battery?</p>', "<div>")], []),
    ("CK-10", [], [(".answers { font-weight: 700 }", ".answers { font-weight: 700; margin-top: 9mm }")]),
    ("CK-11", [('<span class="answer">YES → 2</span><span class="answer">NO → A</span>', '<span class="answer">NO → A</span><span class="answer">YES → 2</span>')], []),
    ("CK-16", [("Does the unit stay dark?", "OK")], []),
    ("CK-18", [("list-item 1", "list-item 2")], []),
    ("CK-23", [("Does the unit stay dark?", "It stays dark.")], []),
    ("CK-26", [("<p>For Holm.</p>", '<p>For Holm.</p><p style="position: absolute; top: 1mm">Upon another text.</p>')], []),
    ("CK-27", [("No light and no beep", "No light and no beep and " + "nothing else of any kind " * 5)], []),
    ("CK-28", [("face 2 of 2, rev 1, 25 Nov 2026. Quay deck.", "second face.")], []),
    ("DC-01", [("TQ-DECK-P1, face 2 of 2, rev 1", "TQ-DECK-P1, face 2 of 2, rev 2")], []),
    ("DC-02", [('<tr><th scope="row">P1</th><td>Dead unit</td><td>2</td><td>1</td></tr>', "")], []),
    ("DC-07", [("rev 1,", "rev 2,")], []),
    ("DC-14", [("<p>For Holm.</p>", "")], []),
    ("TY-03", [("<p>For Holm.</p>", "<p>For Holm.</p><p>NEVER OPEN THE CASE OF THE UNIT.</p>")], []),
    ("TY-04", [], [("12pt/1.3", "12pt/1.2")]),
    ("TY-10", [], [("font: 700 20pt/1.2", "font: 700 11pt/1.2")]),
    ("TY-11", [("<p>For Holm.</p>", '<p>For Holm.</p><p style="background: #000; color: #fff">One two three four five six seven.</p>')], []),
    ("TY-12", [(_STEP_LI, '<li>Switch the <em style="font-family: Leadsman Text">unit</em> on.</li>')], []),
    ("TY-19", [], [(".caution { border", ".caution { font-size: 11pt; border")]),
    ("TY-20", [], [("font: 500 8pt/1.3", "font: 500 7pt/1.3")]),
    ("SF-05", [(making.CAUTION, ""), (making.FIX, making.FIX + making.CAUTION)], []),
    ("SF-08", [("Fire: same rating only.", "Fire: same rating only. 1. Take the fuse out.")], []),
    ("SF-10", [("<p>For Holm.</p>", '<p>For Holm.</p><div style="background: #e00000; height: 15mm">Stop.</div>')], []),
    ("SF-13", [(_PANEL, '<p style="padding: 6mm 0">WARNING</p><p style="padding: 6mm 0"><span>WARNING</span><b> Fire: same rating only.</b></p>')], []),
    ("PH-01", [], [("105mm 148mm", "108mm 148mm")]),
    ("PH-05", [("<p>For Holm.</p>", '<p>For Holm.</p><div style="position: absolute; right: -6mm; width: 4mm; height: 9mm; background: #000"></div>')], []),
    ("PH-06", [], [(".live { position: absolute; left: 6mm", ".live { position: absolute; left: 4mm")]),
    ("PH-10", [], [(".title { position: absolute; left: 15mm", ".title { position: absolute; left: 12mm")]),
    ("PH-16", [], [(".step { border-top: 0.5pt", ".step { border-top: 0.3pt")]),
    ("CO-01", [("<p>For Holm.</p>", '<p>For Holm.</p><p style="color: #6a6a6a">Grey words.</p>')], []),
    ("CO-03", [], [(".step { border-top: 0.5pt solid #000", ".step { border-top: 0.5pt solid #ccc")]),
    ("CO-04", [("<p>For Holm.</p>", '<p>For Holm.</p><div style="background: #ffd100; height: 5mm"></div>')], []),
    ("CO-05", [("<p>For Holm.</p>", '<p>For Holm.</p><p style="color: #808080">Grey words.</p>')], []),
    ("CO-06", [("<p>For Holm.</p>", '<p>For Holm.</p><p><span style="background: #c00000; color: #fff">STOP</span></p>')], []),
    ("CO-07", [("<p>For Holm.</p>", '<p>For Holm.</p><p style="color: #b00000">Red words.</p>')], []),
    ("CO-09", [("<p>For Holm.</p>", '<p>For Holm.</p><p style="background: #2060d0">Black on blue.</p>')], []),
    ("CO-14", [], [(".face {", ".face { background: #000; color: #fff;")]),
    ("LT-01", [("<p>For Holm.</p>", '<div style="height: 5mm; overflow: hidden"><p>For Holm.</p><p>Words that are cut away.</p></div>')], []),
    ("PL-01", [("Switch the unit on.", "Switch the unit on " + "and look at the screen " * 4 + "again.")], []),
    ("PL-02", [("<p>For Holm.</p>", "<p>For Holm.</p><p>The unit " + "and the plug and the lead " * 5 + "are sound.</p>")], []),
    ("TB-01", [('<thead><tr><th scope="col">Boat</th><th scope="col">drop</th><th scope="col">most</th></tr></thead>', "")], []),
    ("TB-05", [("<p>By supply.voltage_drop. Assumed: 1.75 A.</p>", "")], []),
    ("LO-06", [("0.29 V</td>", "290 mV</td>")], []),
]  # fmt: skip

_BOOK_STEP = '<p class="caution"><span class="signal">WARNING</span> Fire: same rating only.</p>\n<ol>'
BOOKS: list[tuple[str, list[tuple[str, str]], list[tuple[str, str]]]] = [
    ("CO-02", [("<p>For the technician.", '<p style="color: #808080">For the technician.')], []),
    ("CK-09", [("<p>Does the unit stay dark?</p>", '<p style="break-after: page">Does the unit stay dark?</p>')], [("break-inside: avoid", "break-inside: auto")]),
    ("TY-18", [], [("font: 400 10.5pt/1.35", "font: 400 9.5pt/1.35")]),
    ("TY-19", [], [("font-size: 12pt }", "font-size: 10.5pt }")]),
    ("SF-05", [(_BOOK_STEP, "<ol>"), ("</ul></div>", '</ul><p class="caution"><span class="signal">WARNING</span> Fire: same rating only.</p></div><h2>Next</h2>')], []),
    ("SF-09", [(making._HAZARDS, "<p>Take care.</p>")], []),
    ("ST-09", [("Telephone 01632 960 147.", "")], []),
    ("DC-03", [], [('content: "TQ-BOOK, revision 1, 25 Nov 2026"', "content: none")]),
    ("DC-09", [("Approved by the workshop lead.", "")], []),
    ("DC-10", [('<tr><th scope="row">1</th>', '<tr><th scope="row">2</th>')], []),
    ("PD-02", [(h, f'{h}<p style="position: absolute; top: -8mm">Running head</p>') for h in ("<h1>Contents</h1>", "<h1>Before you begin</h1>", '<h1 id="power">Power</h1>')], []),
    ("PD-06", [("<title>A vee hull</title>", "")], []),
    ("PD-07", [("<h2>Dead unit</h2>", "<h3>Dead unit</h3>")], []),
]  # fmt: skip

#: What the typesetting engine gets wrong when nothing mends it.
RAW = ("PD-09", "PD-11")


def deck(folder: Path, html: list[tuple[str, str]] = [], css: list[tuple[str, str]] = []) -> PdfFile:  # noqa: B006
    """The sample deck with changes."""
    style = making.changed(making.DECK_CSS, css)
    return making.read(making.pdf(making.changed(making.DECK, html), style, bleed_mm=3), folder)


def book(folder: Path, html: list[tuple[str, str]] = [], css: list[tuple[str, str]] = []) -> PdfFile:  # noqa: B006
    """The sample book with changes."""
    style = making.changed(making.BOOK_CSS, css)
    return making.read(making.pdf(making.changed(making.BOOK, html), style), folder)


@pytest.fixture(scope="module")
def good_deck(tmp_path_factory: pytest.TempPathFactory) -> PdfFile:
    return deck(tmp_path_factory.mktemp("deck"))


@pytest.fixture(scope="module")
def good_book(tmp_path_factory: pytest.TempPathFactory) -> PdfFile:
    return book(tmp_path_factory.mktemp("book"))


@pytest.mark.parametrize("name", sorted({name for name, _, _ in DECKS} - {"DC-07", "SF-10"}))
def test_the_sample_deck_keeps_the_rule(good_deck: PdfFile, name: str) -> None:
    """It has something to measure, and nothing is broken."""
    found = making.outcome(name, "deck", good_deck)

    assert found.breaches == ()
    assert found.verdict == "kept"


def test_the_sample_deck_breaks_no_rule_at_all(good_deck: PdfFile) -> None:
    """Nor does it break the rules on tags, which have broken documents of their own."""
    broken = {r.id for r in RULES.values() if "deck" in r.kinds and r.severity == "must" and making.outcome(r.id, "deck", good_deck).breaches}  # fmt: skip

    assert broken == set()


@pytest.mark.parametrize(("name", "html", "css"), DECKS, ids=[name for name, _, _ in DECKS])
def test_a_broken_deck_is_found(
    tmp_path: Path, name: str, html: list[tuple[str, str]], css: list[tuple[str, str]]
) -> None:
    """One change breaks the rule, and the finding names a page or the file."""
    found = making.outcome(name, "deck", deck(tmp_path, html, css))

    assert found.breaches, f"{name} was not found broken in {found.looked_at} places"
    assert all(reading.says or reading.measured for reading in found.breaches)


def test_answers_that_go_on_below_belong_to_their_step(tmp_path: Path) -> None:
    """Many answers stand in two places; those that nobody asked for are still found."""
    answer = '<span class="answer">NO → A</span>'
    more = '</p><p class="answers"><span class="answer">OTHER → A</span>'
    below = deck(tmp_path, [(answer, answer + more)])
    assert making.outcome("CK-10", "deck", below).breaches == ()
    apart = deck(tmp_path, [(answer, f"{answer}</p><p>Words between them.{more}")])
    assert making.outcome("CK-10", "deck", apart).breaches != ()


def test_a_card_in_a_file_of_its_own_leads_to_its_deck(tmp_path: Path) -> None:
    """Its list and the sheets that it names are elsewhere; a letter or a step that it lacks is still found."""
    alone = making.DECK[making.DECK.index('<section class="face"><h1 class="title">Dead unit') :]
    label = "CAN'T → "
    for target, right in (("P9", True), ("P9/4", True), ("C", False), ("9", False)):
        html = making.changed(alone, [(label + "2", label + target)])
        file = making.read(making.pdf(html, making.DECK_CSS, bleed_mm=3), tmp_path)
        assert (making.outcome("CK-07", "deck", file).breaches == ()) is right, target
        assert making.outcome("DC-02", "deck", file).breaches == ()


@pytest.mark.parametrize("name", sorted({name for name, _, _ in BOOKS} - {"PD-02"}))
def test_the_sample_book_keeps_the_rule(good_book: PdfFile, name: str) -> None:
    found = making.outcome(name, "handbook", good_book)

    assert found.breaches == ()
    assert found.verdict == "kept"


def test_the_sample_book_breaks_no_rule_at_all(good_book: PdfFile) -> None:
    broken = {r.id for r in RULES.values() if "handbook" in r.kinds and r.severity == "must" and making.outcome(r.id, "handbook", good_book).breaches}  # fmt: skip

    assert broken == set()


@pytest.mark.parametrize(("name", "html", "css"), BOOKS, ids=[name for name, _, _ in BOOKS])
def test_a_broken_book_is_found(
    tmp_path: Path, name: str, html: list[tuple[str, str]], css: list[tuple[str, str]]
) -> None:
    found = making.outcome(name, "handbook", book(tmp_path, html, css))

    assert found.breaches, f"{name} was not found broken in {found.looked_at} places"


@pytest.mark.parametrize("name", RAW)
def test_what_the_engine_gets_wrong_is_found(tmp_path: Path, name: str) -> None:
    """The unmended file lacks the scope of header cells and the description of links."""
    raw = making.read(making.pdf(making.BOOK, making.BOOK_CSS, mend=False), tmp_path)

    assert making.outcome(name, "handbook", raw).breaches


def test_every_must_rule_has_a_broken_document() -> None:
    """A rule without a test that breaks it could be one that cannot fail."""
    from inspection import test_epub_rules, test_ladder_rules, test_strangers, test_tags

    assert callable(test_strangers.test_active_content_is_a_finding)

    broken = {(name, "deck") for name, _, _ in test_ladder_rules.BROKEN}
    broken |= {(name, "deck") for name, _, _ in DECKS} | {(name, "handbook") for name, _, _ in BOOKS}
    broken |= {(name, "handbook") for name in (*RAW, *test_tags.BROKEN)} | {
        ("PH-03", "sheets"),
        ("AC-01", "guide"),
    }
    broken |= {(name, "epub") for name, *_ in test_epub_rules.BROKEN}
    lacking = {
        r.id for r in RULES.values()
        if r.severity == "must" and not any(r.id == name and kind in r.kinds for name, kind in broken)
    }  # fmt: skip

    assert lacking == set()
