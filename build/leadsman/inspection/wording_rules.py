"""Rules on words as they are printed: sentences, capitals, units, tables; and what identifies a book."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from leadsman.errors import counted
from leadsman.inspection import sources
from leadsman.inspection.findings import BOOKS, DECK, PAPER, TAGGED, Limit, Reading, at, rule
from leadsman.inspection.model import Block, Element, PdfFile, Run, words_of
from leadsman.inspection.roles import all_steps, answers, main_runs

_SENTENCE = re.compile(r"(?<=[.!?])\s+(?=[A-Z0-9\"'(])")
WORD = re.compile(r"[^\W_][\w'.,-]*")
_UNITS = r"V|mV|A|mA|W|kW|Ω|kΩ|MΩ|ohm|m|mm|cm|ft|in|fm|kHz|Hz|s|ms|min|h|°C|C|F|°|deg|nF|pF|kn|bar|dB|%"
_QUANTITY = re.compile(rf"^[<>≤≥~]?\s*[-+−]?\d[\d.,]*\s?({_UNITS})$")
_DATE = re.compile(r"\b\d{1,2} [A-Z][a-z]{2,8} \d{4}\b|\b\d{4}-\d{2}-\d{2}\b")
#: A wider gap between letters on a line parts two labels [mm].
_GAP_MM = 1.5
_REVISION = re.compile(r"\brev(?:ision)? (\d+)", re.IGNORECASE)


def sentences(text: str) -> list[str]:
    """The sentences of a text.

    Examples
    --------
    >>> sentences("Switch on. Read 12.2 V at rest. Is it so?")
    ['Switch on.', 'Read 12.2 V at rest.', 'Is it so?']
    """
    return [part for part in _SENTENCE.split(text) if part]


def is_enumeration(sentence: str) -> bool:
    """An enumeration is no sentence: parts between semicolons, a colon with many commas, or commas alone.

    Nor are the steps of a path through menus words of a sentence.
    """
    return (
        "›" in sentence
        or sentence.count(";") > 1
        or sentence.count(",") > 3
        or (":" in sentence and sentence.count(",") > 2)
    )


def _long(block: Block, text: str, limit: Limit) -> Iterator[Reading]:
    for sentence in sentences(text):
        if not is_enumeration(sentence):
            count = len(WORD.findall(sentence))
            yield at(block, count, limit.kept(count), f"'{sentence[:70]}'")


@rule(
    "PL-01",
    "A sentence of a step has 20 words at most",
    kinds=PAPER,
    limit=("<=", 20, "words"),
    source=sources.STE,
)
def step_sentences(file: PdfFile) -> Iterator[Reading]:
    """The sentences of each step in its main type, enumerations set aside."""
    for step in all_steps(file):
        text = words_of(main_runs(step.head))
        yield from _long(step.head, re.sub(r"^\d+[.)]?\s*", "", text), Limit("<=", 20, "words"))


@rule(
    "PL-02",
    "Any other sentence has 25 words at most",
    kinds=PAPER,
    limit=("<=", 25, "words"),
    source=sources.STE,
)
def other_sentences(file: PdfFile) -> Iterator[Reading]:
    """The sentences of paragraphs and list items outside steps, answers, tables and figures."""
    heads = {id(step.head) for step in all_steps(file)}
    for block in file.blocks:
        if (
            block.tag in ("P", "LI")
            and id(block) not in heads
            and not block.element.inside("Table", "Figure")
            and not answers(block)
        ):
            yield from _long(block, block.text, Limit("<=", 25, "words"))


@rule("TY-03", "Running text is in mixed case: five words in capitals in a row at most", kinds=TAGGED,
      limit=("<=", 5, "words"), source=sources.DEGANI)  # fmt: skip
def capitals(file: PdfFile) -> Iterator[Reading]:
    """The longest row of words in capitals in each text; a gap, as between the boxes of a form, ends a row.

    Codes and units of one letter do not count.
    """
    for block in file.blocks:
        longest = row = 0
        before: Run | None = None
        has_boxes = any(element.tag == "Form" for element in block.element.elements())
        for run in block.runs:
            if has_boxes:
                row = 0
            elif before is not None and abs(run.baseline - before.baseline) < 0.5:
                row = 0 if run.box.left - before.box.right > _GAP_MM else row
            before = run
            for word in run.text.split():
                letters = re.sub(r"[^A-Za-z]", "", word)
                if len(letters) > 1:
                    row = row + 1 if letters.isupper() else 0
                    longest = max(longest, row)
                elif not letters and word not in ("-", "–"):
                    row = 0
        yield at(block, longest)


@rule("PL-03", "A paragraph has six sentences at most", kinds=BOOKS, severity="should", limit=("<=", 6, "sentences"),
      source=sources.STE)  # fmt: skip
def paragraphs(file: PdfFile) -> Iterator[Reading]:
    """The sentences of each paragraph."""
    for block in file.blocks:
        if block.tag == "P" and not block.element.inside("Table", "Figure"):
            yield at(block, len(sentences(block.text)))


# --- tables --------------------------------------------------------------------------------------


def _tables(file: PdfFile) -> list[Element]:
    return [element for element in file.elements if element.tag == "Table"]


def _rows(table: Element) -> list[list[Element]]:
    rows = [e for e in table.elements() if e.tag == "TR" and e.inside("TBody")]
    return [[c for c in row.elements() if c.tag in ("TH", "TD")] for row in rows]


@rule(
    "TB-01",
    "A table has its head on every page where it stands",
    kinds=TAGGED,
    wants="a head",
    source=sources.COMMON,
)
def head_on_page(file: PdfFile) -> Iterator[Reading]:
    """The head of each table; one that runs over a page break is a table on each of its pages."""
    for table in _tables(file):
        has = any(element.tag == "THead" for element in table.elements())
        yield Reading("head" if has else "no head", f"'{table.text[:50]}'", table.page or 0, None, has)


@rule("TB-04", "A table on a card has ten rows and four columns at most", kinds=DECK, severity="should",
      wants="<= 10 rows, <= 4 columns", source=sources.COMMON)  # fmt: skip
def table_size(file: PdfFile) -> Iterator[Reading]:
    """The rows of each table and the cells of its longest row."""
    for table in _tables(file):
        rows = _rows(table)
        columns = max((len(row) for row in rows), default=0)
        right = len(rows) <= 10 and columns <= 4
        yield Reading(f"{len(rows)} x {columns}", f"'{table.text[:40]}'", table.page or 0, None, right)


@rule(
    "LO-06",
    "A column of a table has one unit",
    kinds=TAGGED,
    wants="one unit a column",
    source=sources.COMMON,
)
def one_unit(file: PdfFile) -> Iterator[Reading]:
    """The units behind the numbers of each column of figures."""
    for table in _tables(file):
        columns: dict[int, Counter[str]] = {}
        for row in _rows(table):
            for place, cell in enumerate(row):
                if found := _QUANTITY.match(cell.text):
                    columns.setdefault(place, Counter())[found[1]] += 1
        rows = len(_rows(table))
        for place, units in columns.items():
            # A list of facts has another quantity in each row: only a column of figures throughout is one.
            if sum(units.values()) == rows and rows > 1:
                says = f"column {place + 1} of '{table.text[:40]}'"
                yield Reading(", ".join(sorted(units)), says, table.page or 0, None, len(units) == 1)


@rule("TB-05", "A table of computed figures names its formula and what it assumes", kinds=("deck", "handbook"),
      wants="formula and assumptions near the table", source=sources.COMMON)  # fmt: skip
def formula_named(file: PdfFile) -> Iterator[Reading]:
    """Tables of figures with units, and the words 'formula', 'computed', 'assumed' or a formula's name after them."""
    for table in _tables(file):
        cells = [cell.text for row in _rows(table) for cell in row if cell.tag == "TD"]
        if len(cells) >= 4 and sum(bool(_QUANTITY.match(cell)) for cell in cells) > 0.6 * len(cells):
            first = table.page or 1
            near = " ".join(b.text for p in file.pages[first - 1 : first + 3] for b in p.blocks)
            near += " " + " ".join(
                b.text for p in file.pages[max(0, first - 2) : first - 1] for b in p.blocks
            )
            named = bool(
                re.search(r"\b(formula|computed|assumed|by [a-z_]+\.[a-z_]+)\b", near, re.IGNORECASE)
            )
            yield Reading("named" if named else "not named", f"'{table.text[:50]}'", first, None, named)


@rule("TB-05", "A table of computed figures names its formula and what it assumes", kinds=("guide",),
      severity="should",
    wants="formula and assumptions near the table", source=sources.COMMON)  # fmt: skip
def formula_named_for_owners(file: PdfFile) -> Iterator[Reading]:
    """The same in an owner's guide, which leaves formulas to the handbook."""
    yield from formula_named(file)


@rule("TB-02", "Figures of a column end at one place", kinds=PAPER, severity="should", limit=("<=", 0.3, "mm"),
      source=sources.COMMON)  # fmt: skip
def aligned(file: PdfFile) -> Iterator[Reading]:
    """The spread of right edges, or of left edges, whichever is less, in columns of figures of equal decimals."""
    for table in _tables(file):
        columns: dict[int, list[Element]] = {}
        for row in _rows(table):
            for place, cell in enumerate(row):
                columns.setdefault(place, []).append(cell)
        for place, cells in columns.items():
            runs = [next(iter(cell.runs()), None) for cell in cells]
            figures = [r for r in runs if r is not None and re.match(r"^[<>≤≥]?\s*\d", r.text.strip())]
            if len(figures) == len(cells) > 1:
                rights = [run.box.right for run in figures]
                spread = max(rights) - min(rights)
                yield at(figures[0], round(spread, 2), says=f"column {place + 1} of '{table.text[:30]}'")


# --- what identifies a book ----------------------------------------------------------------------


def _opening(file: PdfFile) -> str:
    return " ".join(" ".join(run.text for run in page.runs) for page in file.pages[:3])


@rule("ST-09", "A book opens with what it applies to, its revision, date, publisher and reader", kinds=BOOKS,
      wants="all five on the first pages", source=sources.IEC_82079)  # fmt: skip
def opening(file: PdfFile) -> Iterator[Reading]:
    """Words and patterns on the first three pages; in another language than English a person looks."""
    text = _opening(file)
    asked = {
        "what it applies to": r"\b(applies to|for the display|display\b)",
        "revision": _REVISION.pattern,
        "date": _DATE.pattern,
        "publisher's contact": r"\d{3,5}[\s-]\d{3}|@\w",
        "reader": r"\b(for the|owner|technician)\b",
    }
    for what, pattern in asked.items():
        found = bool(re.search(pattern, text, re.IGNORECASE))
        yield Reading(what if found else f"no {what}", "first pages", 1, None, found)


@rule(
    "DC-09",
    "The handbook says who approved the revision",
    kinds=("handbook",),
    wants="approved by",
    source=sources.ISM,
)
def approval(file: PdfFile) -> Iterator[Reading]:
    """The word 'approved' on the first pages or in a table of revisions."""
    found = bool(re.search(r"\bapproved\b", _opening(file), re.IGNORECASE))
    yield Reading("named" if found else "nobody", "first pages", 1, None, found)


@rule("DC-10", "The handbook has a log of revisions, the newest as at its foot", kinds=("handbook",),
      wants="a row for each revision", source=sources.MIL_38784)  # fmt: skip
def revision_log(file: PdfFile) -> Iterator[Reading]:
    """Tables with a column for the revision and one for the date; the opening names the newest."""
    newest = _REVISION.search(_opening(file))
    logs = [
        rows for table in _tables(file)
        if re.search(r"revision", table.text[:80], re.IGNORECASE) and (rows := _rows(table))
        and all(row[0].text.isdigit() for row in rows) and any(_DATE.search(c.text) for c in rows[0])
    ]  # fmt: skip
    if not logs or newest is None:
        yield Reading("no log", "the file", 0, None, False)
        return
    last = max(int(row[0].text) for row in logs[0])
    right = last == int(newest[1]) and [int(r[0].text) for r in logs[0]] == list(range(1, len(logs[0]) + 1))
    yield Reading(
        f"{counted(len(logs[0]), 'row')}, newest {last}",
        "log of revisions",
        logs[0][0][0].page or 0,
        None,
        right,
    )


@rule("DC-03", "Every page of a book carries its document and revision, the same on all", kinds=BOOKS,
      wants="one identity on all pages", source=sources.MIL_38784)  # fmt: skip
def identity_on_pages(file: PdfFile) -> Iterator[Reading]:
    """The running line with the revision on each page after the first; this is how a book lists its effective pages."""
    lines = []
    for page in file.pages:
        running = " ".join(run.text.strip() for run in page.runs if run.artifact or run.element is None)
        found = re.search(r"\S+, revision \d+, [^.]+\d{4}", running)
        lines.append((page.number, found[0] if found else "none"))
    usual = Counter(line for _, line in lines).most_common(1)[0][0] if lines else "none"
    for number, line in lines[1:]:
        yield Reading(line, "running line", number, None, line == usual != "none")
