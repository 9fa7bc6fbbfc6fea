"""What stands in the printed handbook and what in the file of its evidence."""

from __future__ import annotations

from leadsman.output.handbook import EVIDENCE, Part, printed_parts

PARTS = [
    Part("area-power", "Power", '<h1 id="area-power">Power</h1><a href="#numbers">numbers</a>'),
    Part("isolation", "How well", '<h1 id="isolation">How well</h1><a href="#dead"><b>P1</b></a> dead, <a href="#numbers">see there</a>'),
    Part("numbers", "Numbers", '<h1 id="numbers">Numbers</h1>'),
    Part("record", "Revisions", '<h1 id="record">Revisions</h1>'),
]  # fmt: skip


def test_evidence_stands_apart_and_both_files_have_the_revisions() -> None:
    """Nobody at a boat needs to know how well an order was written."""
    assert [part.id for part in printed_parts(PARTS)] == ["area-power", "record"]
    assert [part.id for part in printed_parts(PARTS, evidence=True)] == ["isolation", "numbers", "record"]
    assert {"isolation", "drill", "likelihoods", "numbers", "evidence"} == EVIDENCE


def test_a_link_into_the_other_file_leaves_its_words() -> None:
    """A link that leads nowhere would be refused; one inside the file stays."""
    html = printed_parts(PARTS, evidence=True)[0].html
    assert html == '<h1 id="isolation">How well</h1><b>P1</b> dead, <a href="#numbers">see there</a>'


def test_a_page_of_the_other_file_is_not_named() -> None:
    """There is none in this file: it once said "page 00"."""
    at = '<span class="print-only">, &#8203;<span class="at-page">page&nbsp;<span data-page-of="#{}"></span></span></span>'
    rows = [
        Part(
            "record",
            "Revisions",
            f'<h1 id="record">R</h1><p>P1{at.format("dead")}: draft{at.format("record")}</p>',
        )
    ]
    assert printed_parts(rows, evidence=True)[0].html == (
        f'<h1 id="record">R</h1><p>P1: draft{at.format("record")}</p>'
    )
    assert printed_parts(rows)[0].html == rows[0].html
