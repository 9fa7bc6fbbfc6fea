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
    ForPerson("ST-02", "Remedies are ordered as fall-backs", "which remedy is tried first is the content's; leadsman report isolation prints the minutes", DECK),
    ForPerson("PH-04", "The same content fits A4 and Letter", "each paper has its own breaks; both are built and measured (PH-03)", DECK),
    ForPerson("PH-07", "Crop marks lie outside the bleed", "the engine draws them in the bleed box's margin, outside the trim; the printer's template shows them", DECK),
    ForPerson("PD-20", "The archive level is right", "no archive level is claimed"),
    ForPerson("LO-10", "Dates are read alike everywhere", "every date has its month in letters by one filter; a bare number cannot be told from a date"),
    ForPerson("CK-21", "Alternatives are one step", "needs the meaning of two steps"),
    ForPerson("CK-22", "A repeated step says when to stop", "needs the meaning of the sentence", PAPER),
    ForPerson("CK-24", "Deferred actions are last and labelled", "needs the meaning of the sentence", DECK),
    ForPerson("CK-25", "A long procedure is parted into chunks", "the nine steps of a face are measured (CK-13); in a book the headings are the area's", BOOKS),
    ForPerson("TY-06", "No negative tracking", "the spacing of the type is lost among the engine's own corrections; the style sheets hold none"),
    ForPerson("TY-07", "Letters and words stand apart", "judged once for each typeface"),
    ForPerson("TY-08", "Letters are open", "judged once for each typeface", DECK),
    ForPerson("TY-14", "Sizes of type are few and told apart", "which size means something is the designer's", DECK),
    ForPerson("TY-22", "Abbreviations are few and standard", _CHECKED),
    ForPerson("TY-23", "Marginal choices are not stacked", "the survey lists the advice that each card breaks; whether they add up needs an eye", DECK),
    ForPerson("SF-03", "DANGER is rare", _CHECKED),
    ForPerson("SF-06", "A safety message has hazard, consequence and avoidance", "the record of a caution has all three; at the head of a sheet it stands without its consequence, which the finder's first card has"),
    ForPerson("SF-07", "The command comes first", "needs the meaning of the sentence"),
    ForPerson("SF-12", "The warning sign is the registered one", "drawn once, as art; its height is in the style sheet"),
    ForPerson("ST-10", "A test with readers is recorded", "no reader has tested this edition", BOOKS),
    ForPerson("ST-11", "The guide gives the reason for each check", "a why-line has no mark of its own", BOOKS),
    ForPerson("PH-18", "Places to write on are marked", "a box for writing and another frame look alike", DECK),
    ForPerson("PH-20", "Type is one black", "the file is in three colours; black is the printer's", DECK),
    ForPerson("CO-12", "Light grounds are light", "contrast on them is measured (CO-01)", PAPER),
    ForPerson("DC-11", "The next review has a date", "the edition holds a date of issue and no date of expiry", PAPER),
    ForPerson("PL-05", "Active voice", "a passive is told by meaning"),
    ForPerson("PL-07", "No double negatives", "needs the meaning of the sentence"),
    ForPerson("PL-09", "Headings tell what is found", "needs the meaning of the heading", BOOKS),
    ForPerson("PL-10", "Articles are kept", "a card drops them where a label stands"),
    ForPerson("PL-12", "The glossary holds all technical names", "needs to know which words are technical", BOOKS),
    ForPerson("TB-06", "Computed cells match their formula", "the build computes each cell once and the reference tests hold the formulas", PAPER),
    ForPerson("TB-08", "A row's label is near its value", "every row has a line under it, which leads the eye", PAPER),
    ForPerson("N1-09", "Tabs of loose sheets are cut or project", "made by hand: the strip above the head is free for it", DECK),
    ForPerson("N1-11", "A ring can be leafed in one hand", "the build refuses a set of more than twenty sheets; the film's thickness is the print shop's", DECK),
    ForPerson("N1-14", "A condition is found under several words", "that two signs share no word needs their meaning; leadsman report coverage counts them", DECK),
    ForPerson("N1-18", "The opening spread is the card", "needs the deck and the book side by side", ("handbook",)),
    ForPerson("N1-19", "Margins are mirrored", "needs to know how the book is bound", ("handbook",)),
    ForPerson("N1-20", "Folio and code stand outside", "needs to know which page is a left one in the bound book", ("handbook",)),
    ForPerson("N1-30", "Owners find and understand what was tested", "needs readers", ("guide", "epub")),
    ForPerson("WK-01", "Every branch is walked, wet and at 700 mm, by somebody over 50", "paper is read by people", (*DECK, *BOOKS)),
)  # fmt: skip


def for_a_person(kind: str) -> list[ForPerson]:
    """The rules of a kind of file that a person judges."""
    return [item for item in ITEMS if kind in item.kinds]
