"""Rules with a number at that number: one document that just keeps it, and one that just breaks it.

The numbers are those of the sources that the rules name; contrasts are of greys whose ratio the W3C publishes.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import pytest

from inspection import making
from inspection.test_rules import book

Changes = Iterable[tuple[str, str]]

_HOLM = "<p>For Holm.</p>"
_CONDITION = "No light and no beep when the key is pressed."
_ON = "Switch the unit on."
_RUNNING = "<p>For the technician. Applies to Holm.</p>"


def words(number: int, word: str = "word") -> str:
    """A sentence of so many words."""
    return " ".join([word.capitalize(), *[word] * (number - 1)]) + "."


def more(added: str, old: str = _HOLM) -> list[tuple[str, str]]:
    """A change that adds something behind a piece of the sample."""
    return [(old, old + added)]


def field(size: str, colour: str, text: str = "") -> list[tuple[str, str]]:
    """A change that adds a coloured field."""
    return more(
        f'<div style="box-sizing: border-box; {size}; background: {colour}; border: 1pt solid #000">{text}</div>'
    )


def said(style: str, text: str = "Some words.") -> list[tuple[str, str]]:
    """A change that adds a text in some style."""
    return more(f'<p style="{style}">{text}</p>')


def bare_steps(number: int) -> str:
    """So many steps of a line each."""
    return "".join(f'<ol style="counter-reset: list-item {n}"><li>Look.</li></ol>' for n in range(number))


def rows(number: int, columns: int = 2) -> list[tuple[str, str]]:
    """A change that adds a table."""
    head = "".join('<th scope="col">Boat</th>' for _ in range(columns))
    row = "<tr>" + "<td>Sedge</td>" * columns + "</tr>"
    table = (
        f"<table><caption>Boats</caption><thead><tr>{head}</tr></thead><tbody>{row * number}</tbody></table>"
    )
    return more(table)


#: Rule, the change that keeps it, the one that breaks it: of the HTML, or of the style where the text begins with "css".
DECK: list[tuple[str, Changes, Changes]] = [
    ("CK-01", [(f"<li>{_ON}", f'<li style="font-size: 10pt">{_ON}')], [(f"<li>{_ON}", f'<li style="font-size: 9.9pt">{_ON}')]),
    ("CK-02", [("css font: 700 15pt/1.3", "font: 700 12pt/1.3")], [("css font: 700 15pt/1.3", "font: 700 11.9pt/1.3")]),
    ("CK-02", more('<h2 style="font-size: 12pt">More</h2>'), more('<h2 style="font-size: 11.9pt">More</h2>')),
    ("CK-13", more(bare_steps(8), making.STEP_1), more(bare_steps(9), making.STEP_1)),
    ("CK-27", [(_CONDITION, words(25))], [(_CONDITION, words(26))]),
    ("PL-01", [(_ON, words(20))], [(_ON, words(21))]),
    ("PL-01", [(_ON, "Choose Menu › " + words(24))], [(_ON, words(24))]),  # the way through a menu is no sentence
    ("PL-02", said("", words(25)), said("", words(26))),
    ("PL-02", said("", "The plug, the lead, the fuse, the joint, " + words(20)), said("", "The plug, the lead, the fuse " + words(20))),
    ("PL-02", said("", "Look at: the plug, the lead, the fuse, " + words(20)), said("", "Look at: the plug, the lead " + words(20))),
    ("PL-02", said("", "The plug; the lead; " + words(24)), said("", "The plug; the lead " + words(24))),
    ("TY-03", said("", "Keep your hands off and NEVER OPEN THE CASE YOURSELF."), said("", "Keep your hands off and NEVER EVER OPEN THE CASE YOURSELF.")),
    ("TY-03", said("", 'NEVER EVER OPEN <span style="padding-left: 5mm">THE CASE YOURSELF</span>'), said("", "NEVER EVER OPEN <span>THE CASE YOURSELF</span>")),
    ("TY-03", said("", "NEVER OPEN THE CASE YOURSELF but ask."), said("", "NEVER EVER OPEN THE CASE YOURSELF.")),
    ("TY-03", said("", "NEVER OPEN THE CASE 12 YOURSELF AND OTHERS."), said("", "NEVER OPEN THE CASE - YOURSELF AND OTHERS.")),
    ("TY-04", [("css 12pt/1.3", "12pt/1.25")], [("css 12pt/1.3", "12pt/1.24")]),
    ("TY-10", [("css font: 700 20pt/1.2", "font: 700 12pt/1.2")], [("css font: 700 20pt/1.2", "font: 700 11.9pt/1.2")]),
    ("TY-11", said("background: #000; color: #fff", words(6)), said("background: #000; color: #fff", words(7))),
    ("TY-12", said("font-family: Leadsman Text", "One <i>slanted</i> word, not in a step."), said("width: 20mm; font-family: Leadsman Text", "<i>So many slanted words that they fill two lines.</i>")),
    ("TY-19", [], [("css .caution { border", ".caution { font-size: 11.9pt; border")]),
    ("TY-20", [("css font: 500 8pt/1.3", "font: 500 8pt/1.4")], [("css font: 500 8pt/1.3", "font: 500 7.9pt/1.3")]),
    ("TY-20", said("font-size: 10pt"), said("font-size: 9.9pt")),
    ("TB-04", rows(10), rows(11)),
    ("TB-04", rows(1, 4), rows(1, 5)),
    ("SF-10", [*field("width: 9.9mm; height: 10mm", "#ffd100"), *field("width: 20mm; height: 8mm", "#ff8200", "<p>WARNING</p>")], field("width: 10.3mm; height: 10mm", "#ffd100")),
    ("SF-10", [*field("width: 20mm; height: 10mm", "#0b4f9e"), *field("width: 20mm; height: 8mm", "#ff8200", "<p>WARNING</p>")], field("width: 20mm; height: 10mm", "#ff8200")),
    ("SF-10", field("height: 10mm", "#c8102e", "<p>WARNING</p>"), field("height: 10mm", "#c8102e", "<p>NEWS</p>")),
    ("CO-01", said("color: #595959"), said("color: #5a5a5a")),  # W3C: 7.0 and 6.9 to white
    ("CO-03", [("css .step { border-top: 0.5pt solid #000", ".step { border-top: 0.5pt solid #949494")], [("css .step { border-top: 0.5pt solid #000", ".step { border-top: 0.5pt solid #959595")]),
    ("CO-04", field("height: 10mm", "#ffd100", "<p>Yellow.</p>"), field("height: 10mm", "#ffd100")),
    ("CO-04", field("width: 1.8mm; height: 1.8mm", "#ffd100"), field("width: 2.2mm; height: 2.2mm", "#ffd100")),  # a dot carries no meaning
    ("CO-05", said("color: #767676"), said("color: #777777")),
    ("CO-05", said("color: #767676; font-size: 18pt"), said("color: #777777; font-size: 18pt")),  # nothing is large on a card
    ("CO-07", said("color: #b00000; background: #000"), said("color: #b00000")),
    ("CO-08", field("height: 10mm", "#ffd100", "<p>Yellow.</p>"), more('<div style="height: 10mm; background: #ffd100"><p>Bare.</p></div>')),
    ("CO-09", said("background: #d0ffd0"), said("background: #60c060")),
    ("CO-09", said("background: #ffd100"), said("background: #c8102e")),
    ("CO-14", more('<div style="position: absolute; left: -6mm; right: -6mm; top: -19mm; height: 52mm; background: #333"></div>'),
     more('<div style="position: absolute; left: -6mm; right: -6mm; top: -19mm; height: 66mm; background: #333"></div>')),
    ("CK-10", [("css .answers { font-weight: 700 }", ".answers { font-weight: 700; margin-top: 3mm }")], [("css .answers { font-weight: 700 }", ".answers { font-weight: 700; margin-top: 5mm }")]),
    ("CK-11", [("css .see { font-weight: 600 }", ".step + .caution + .step .answers { text-indent: 0.9mm }")], []),
    ("LO-06", [("0.29 V</td>", "0.30 V</td>")], [("0.29 V</td>", "290 mV</td>")]),
]  # fmt: skip

_LAST = '<p class="turn">END of P1</p>'
_FIRST_STEP = making.STEP_1


def answer(target: str) -> list[tuple[str, str]]:
    """A change by which an answer leads there."""
    return [
        (
            "NO → A|CAN'T → 2".replace("|", '</span><span class="answer">'),
            f'NO → A</span><span class="answer">CAN\'T → {target}',
        )
    ]


_WIDE = ("css display: inline-block; width: 30mm", "display: inline-block; width: 60mm")
#: Each clause of the rules on the make-up of a card.
DECK += [
    ("CK-05", [], [(making.STEP_2, making.STEP_2.replace("list-item 1", "list-item 0"))]),
    ("CK-05", [], [('<p class="title">Dead unit: step 2</p>', "")]),
    ("CK-06", more(making.face("P1", 3, 3, "Dead unit: notes", "<p>Notes of the day</p>", ""), making.DECK[-300:]), more(making.face("P1", 3, 3, "Dead unit: notes", "<p>Now do this as well.</p>", ""), making.DECK[-300:])),
    ("CK-06", [], [(_LAST, _LAST + '<p style="position: absolute; left: 6mm; bottom: 2mm">More</p>')]),
    ("CK-06", [], [(_LAST, _LAST + '<p class="turn" style="bottom: 16mm">END of P1</p>')]),
    ("CK-07", answer("step 2"), answer("step 9")),
    ("CK-07", answer("card 0"), answer("card P9")),
    ("CK-07", answer("P1/2"), answer("P9/2")),
    ("CK-07", [*answer("card P1 step 2"), _WIDE], [*answer("card P1 step 3"), _WIDE]),
    ("CK-07", answer("P1 step 1"), answer("P9 step 1")),
    ("CK-07", answer("handbook page 9"), answer("B")),
    ("CK-08", [], [("step 2 →", "step 3 →")]),
    ("CK-08", [], [("Index of cards, continued", "Words of cards")]),
    ("CK-08", [], [("face 2 →", "face 3 →")]),
    ("CK-10", [], more('<p class="answers"><span class="answer">YES → 2</span></p>', making.LIMITS)),
    ("CK-11", [("css .see { font-weight: 600 }", ".caution + .step .answer { position: relative; left: 0.9mm }")], [("css .see { font-weight: 600 }", ".caution + .step .answer { position: relative; left: 2mm }")]),
    *[("CK-16", [("Does the unit stay dark?", f"{word} is the unit?")], [("Does the unit stay dark?", f"{word}.")]) for word in ("Checked", "Set", "Okay", "Normal", "As required", "Good")],
    ("CK-23", [(f"<li>{_ON}</li>", "<li>Is it on? Look.</li>"), ("Does the unit stay dark?", "It stays dark.")], [("Does the unit stay dark?", "It stays dark.")]),
    ("CK-27", [], [("<p>No light and no beep when the key is pressed.</p><p>For Holm.</p>", "")]),
    ("CK-28", [], [("face 2 of 2, rev 1, 25 Nov 2026. Quay deck.", "face 2 of 3, rev 1, 25 Nov 2026. Quay deck.")]),
    ("CK-28", [], [("TQ-DECK-P1, face 2 of 2", "TQ-DECK-P1, face 3 of 2")]),
    ("CK-28", [], [('<div class="code">P1</div>', '<div class="code">P2</div>')]),
    ("DC-01", [], [("TQ-DECK-P1, face 2 of 2, rev 1, 25 Nov", "TQ-DECK-P1, face 2 of 2, rev 1, 26 Nov")]),
    ("DC-01", [], [("TQ-DECK-P1, face 2", "TQ-BOOK-P1, face 2")]),
    ("DC-02", [], [("<td>Dead unit</td><td>2</td>", "<td>Dead unit</td><td>3</td>")]),
    ("DC-02", [], [('<tr><th scope="row">P1</th>', '<tr><th scope="row">P7</th><td>Gone</td><td>2</td><td>1</td></tr><tr><th scope="row">P1</th>')]),
    *[("DC-07", [("rev 1,", "rev 2,"), (_HOLM, f"{_HOLM}<p>{says}</p>")], [("rev 1,", "rev 2,")]) for says in ("This replaces all earlier cards.", "Destroy earlier cards.", "It supersedes the first.")],
    *[("DC-14", [(_HOLM, f"<p>{says} Holm.</p>")], [(_HOLM, f"<p>Of {says.lower()} Holm.</p>")]) for says in ("Applies to", "Fits")],
    ("FC-01", [], more(making.face("P1", 3, 3, "Dead unit: notes", "<p>Notes</p>", ""), making.DECK[-300:])),
]  # fmt: skip

_RUN_ON = "A sentence. " * 6
_PLUG = '<p class="caution"><span class="signal">CAUTION</span> A plug pinches.</p>'
_BLADES = '<p class="caution"><span class="signal">WARNING</span> A propeller cuts.</p>'
BOOK: list[tuple[str, Changes, Changes]] = [
    ("CO-02", more('<p style="color: #767676">Words.</p>', _RUNNING), more('<p style="color: #777777">Words.</p>', _RUNNING)),
    ("CO-02", more('<p style="color: #949494; font-size: 18pt">Words.</p>', _RUNNING), more('<p style="color: #959595; font-size: 18pt">Words.</p>', _RUNNING)),
    ("CO-02", more('<p style="color: #949494; font-size: 14pt; font-weight: 700">Words.</p>', _RUNNING), more('<p style="color: #949494; font-size: 14pt">Words.</p>', _RUNNING)),
    ("CO-02", [], more('<p style="color: #949494; font-size: 13.5pt; font-weight: 700">Words.</p>', _RUNNING)),
    ("CO-02", [], more('<p style="color: #949494; font-size: 17.5pt">Words.</p>', _RUNNING)),
    ("CO-05", more('<p style="color: #777777; font-size: 18pt">Words.</p>', _RUNNING), more('<p style="color: #777777">Words.</p>', _RUNNING)),
    ("TY-18", [("css font: 400 10.5pt/1.35", "font: 400 10pt/1.35")], [("css font: 400 10.5pt/1.35", "font: 400 9.9pt/1.35")]),
    ("TY-19", [], [("css font-size: 12pt }", "font-size: 11.9pt }")]),
    ("SF-09", [(_PLUG, "<p>Never pull a plug.</p>")], [(_PLUG, "<p>Nobody pulls a plug.</p>"), (_BLADES, "<p>Blades cut.</p>")]),
    ("SF-09", [(_PLUG, ""), (_BLADES, "<p>Do not touch the blades.</p>")], [(_PLUG, ""), (_BLADES, "")]),
    ("SF-05", more(_BLADES * 5 + "<h2>Next</h2>", "</ul></div>"), more(_BLADES * 4 + "<h2>Next</h2>", "</ul></div>")),
    ("SF-13", [("css .caution { border: 1pt", ".caution { border: 0.5pt")], [("css .caution { border: 1pt", ".caution { border: 0.4pt")]),
    ("SF-13", [("css .signal { font-weight: 700 }", ".signal { font-weight: 700; font-size: 13pt }")], [("css .signal { font-weight: 700 }", ".signal { font-weight: 700; font-size: 11pt }")]),
    ("PL-03", more(f"<p>{_RUN_ON}</p>", _RUNNING), more(f"<p>{_RUN_ON}One more.</p>", _RUNNING)),
    ("TY-15", [], [("css @page { size: A5; margin: 16mm 14mm;", "@page { size: A3; margin: 16mm 14mm;"), (_RUNNING, f"<p>{words(90)}</p>")]),
    ("TY-16", more(f"<p>{words(60)}</p>", _RUNNING), more(f'<p style="text-align: justify">{words(20, "hyphen longer a")}</p>', _RUNNING)),
    ("ST-09", [], [("<p>For the technician. Applies to Holm.</p>", "<p>Applies to Holm.</p>")]),
    ("ST-09", [], [("<p>For the technician. Applies to Holm.</p>", "<p>For the technician.</p>")]),
]  # fmt: skip


#: The sample without its index: half of the pages to set and to read.
_CARD = "</section>".join(making.DECK.split("</section>")[2:])


def outcome(rule: str, kind: str, changes: Changes, folder: Path) -> str:
    """What a rule says of the sample with changes."""
    html = [(old, new) for old, new in changes if not old.startswith("css ")]
    css = [(old.removeprefix("css "), new) for old, new in changes if old.startswith("css ")]
    if kind != "deck":
        return making.outcome(rule, kind, book(folder, html, css)).verdict
    alone = rule not in ("DC-01", "DC-02", "DC-07", "CK-07", "TY-04") and all(old in _CARD for old, _ in html)
    style = making.changed(making.DECK_CSS, css)
    data = making.pdf(making.changed(_CARD if alone else making.DECK, html), style, bleed_mm=3)
    return making.outcome(rule, kind, making.read(data, folder)).verdict


CASES = [("deck", *case) for case in DECK] + [("handbook", *case) for case in BOOK]


@pytest.mark.parametrize(
    ("kind", "rule", "keeps", "breaks"), CASES, ids=[f"{case[1]}-{i}" for i, case in enumerate(CASES)]
)
def test_a_rule_is_kept_and_broken_at_its_limit(
    tmp_path: Path, kind: str, rule: str, keeps: Changes, breaks: Changes
) -> None:
    # The sample as it is keeps every rule: test_rules.py.
    for changes, verdict in ((keeps, "kept"), (breaks, "broken")):
        assert not changes or outcome(rule, kind, changes, tmp_path) == verdict
