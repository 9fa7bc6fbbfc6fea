"""Rules that no program can judge on the finished file: they are listed, so that nobody takes them for passed."""

from __future__ import annotations

from dataclasses import dataclass

from leadsman.inspection.findings import BOOKS, DECK, EPUB, KINDS, PAPER, SHEETS

_CHECKED = "leadsman check holds the content to it; the finished file does not show it"


@dataclass(frozen=True)
class ForPerson:
    """One rule that a person judges, and why."""

    id: str
    says: str
    why: str
    kinds: tuple[str, ...] = KINDS


ITEMS = (
    ForPerson("CK-12", "Decisions nest two levels deep at most", "a list of steps has no levels on paper; its jumps are the content's", DECK),
    ForPerson("CK-14", "A do-first box holds four items at most", "the deck has no such box", DECK),
    ForPerson("CK-15", "Critical and likely checks come first", _CHECKED, DECK),
    ForPerson("CK-19", "A step holds one action", "a program cannot tell one action from two that belong together"),
    ForPerson("CK-20", "The condition comes before the action", "needs the meaning of the sentence"),
    ForPerson("CK-23", "A criterion can be judged on the spot", "that a question is asked is measured; whether it can be answered is not"),
    ForPerson("TY-02", "Look-alike letters and figures are told apart", "judged once for each typeface, at arm's length"),
    ForPerson("SF-01", "A signal word fits the severity", _CHECKED),
    ForPerson("ST-01", "Condition, causes, remedies in this order", _CHECKED),
    ForPerson("ST-05", "Every procedure ends with a proof", _CHECKED),
    ForPerson("ST-06", "A card tells what to do when nothing helped", _CHECKED, DECK),
    ForPerson("ST-07", "One thing has one name", _CHECKED),
    ForPerson("PL-04", "Steps are imperatives", _CHECKED),
    ForPerson("PL-08", "The reading grade suits the reader", "a grade by formula says little of short steps; leadsman report language prints it"),
    ForPerson("PL-11", "Tools stand before step 1", "the line that lists tools has no mark of its own"),
    ForPerson("LO-01", "The layout survives translation", "needs the deck set again with longer texts; the free height is measured (LO-02)", DECK),
    ForPerson("LO-04", "Every depth has its unit", _CHECKED),
    ForPerson("LO-08", "The decimal mark follows the language", "needs to know which comma is a decimal mark"),
    ForPerson("TB-07", "Limits stand in the cell in words", "that no cell is coloured without a word is measured (CO-04)"),
    ForPerson("CO-04", "In figures colour is never the only sign", "fields on the page are measured; curves and marks inside figures are not", PAPER),
    ForPerson("CO-11", "Signs are told apart with any colour vision", "fields carry words (CO-04); figures need an eye, or a simulation", PAPER),
    ForPerson("CO-05", "One copy is printed in grey and looked at", "a printer's greys are not those of the file", PAPER),
    ForPerson("CO-06", "One copy is read under a red lamp", "the red channel is a model of ink and lamp", DECK),
    ForPerson("PH-08", "The film stands 2 mm beyond the paper", "made by hand; the template for cutting shows it", (*DECK, *SHEETS)),
    ForPerson("PH-09", "Corners are rounded", "made by hand", DECK),
    ForPerson("PH-11", "The hole keeps the seal", "made by hand", DECK),
    ForPerson("PH-13", "Backs meet fronts", "the imposition is tested by itself; the printer's turn is seen on one sheet only", SHEETS),
    ForPerson("PH-17", "The film is matt", "chosen in the print shop", DECK),
    ForPerson("PD-06", "An alternative says what the figure says", "that there is one is measured", (*PAPER, "record")),
    ForPerson("DC-04", "Bars stand beside what changed, and only there", "needs the earlier revision; leadsman changes lists it", PAPER),
    ForPerson("DC-08", "The valid copy lies where it is used", "a matter of the workshop", DECK),
    ForPerson("DC-12", "PDF, cards and EPUB are of one revision", "measured over the files that are surveyed together; the rest is for who releases"),
    ForPerson("TB-03", "Rows stand in groups of five at most", "lines, tints and spaces group alike", PAPER),
    ForPerson("CK-17", "A value stands near its item", "needs to know which value belongs to which item", PAPER),
    ForPerson("EP-06", "The book meets WCAG level AA", "a program finds about a third of what level AA asks", EPUB),
    ForPerson("EP-07", "The summary tells the known gaps", "needs to know the gaps", EPUB),
    ForPerson("EP-19", "Pages reflow at 320 px", "fixed widths are looked for; a rendering is not made", EPUB),
    ForPerson("WK-01", "Every branch is walked, wet and at 700 mm, by somebody over 50", "paper is read by people", (*DECK, *BOOKS)),
)  # fmt: skip


def for_a_person(kind: str) -> list[ForPerson]:
    """The rules of a kind of file that a person judges."""
    return [item for item in ITEMS if kind in item.kinds]
