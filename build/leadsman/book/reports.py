"""The writer's reports as tables of plain words and numbers: what ``leadsman report`` prints."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from leadsman.book.coverage import Coverage, coverage
from leadsman.book.diagnosability import BY_MINUTES, Diagnosability, EntryDiagnosis, diagnosability
from leadsman.book.language import FORMULA, LENGTHS, Reading, language
from leadsman.book.swap_card import Combination, Discriminator, Part, SwapCard, SwapTest, swap_card
from leadsman.content.catalogue import Catalogue
from leadsman.content.rules import check

Cell = str | int | float | bool


@dataclass(frozen=True)
class Sheet:
    """One table of a report: its name on the command line, its title, heads, rows and a note."""

    name: str
    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    note: str = ""


@dataclass(frozen=True)
class Report:
    """The tables of a report, and how many gaps it found that are errors."""

    sheets: tuple[Sheet, ...]
    gaps: int = 0


def coverage_report(catalogue: Catalogue) -> Report:
    """Which entries apply to what, and every gap."""
    found = coverage(catalogue)
    return Report((*_cover_sheets(found), _gap_sheet(found)), len(found.gaps))


def _cover_sheets(found: Coverage) -> tuple[Sheet, ...]:
    conditions: tuple[tuple[Cell, ...], ...] = tuple(
        (c.code, c.entry, c.title, *(f in c.families for f in found.families), " ".join(c.capabilities))
        for c in found.conditions
    )
    return (
        Sheet("conditions", "Conditions by display family and capability",
              ("code", "entry", "title", *found.families, "about"), conditions),
        Sheet("capabilities", "Capabilities of each family", ("family", "capability", "entries", "which"),
              tuple((c.family, c.capability, len(c.entries), " ".join(c.entries)) for c in found.capabilities)),
        Sheet("messages", "Messages of each family", ("family", "message", "text", "entries", "which"),
              tuple((m.family, m.message, m.text, len(m.entries), " ".join(m.entries)) for m in found.messages)),
        Sheet("tasks", "Menu tasks that entries name", ("task", "name", "entries", "with path", "without"),
              tuple((t.task, t.name, len(t.entries), " ".join(t.families), " ".join(t.without)) for t in found.tasks)),
        Sheet("causes", "Answers for and against each cause", ("entry", "cause", "component", "convicted by", "cleared by"),
              tuple((c.entry, c.cause, c.component, ", ".join(c.convicted_by), ", ".join(c.cleared_by)) for c in found.causes)),
        Sheet("findings", "Remedy and proof of each finding", ("entry", "finding", "says", "remedies", "proof", "owner"),
              tuple((f.entry, f.finding, f.says, f.remedies, f.proof, f.owner_safe) for f in found.findings)),
    )  # fmt: skip


def _gap_sheet(found: Coverage) -> Sheet:
    rows = tuple((f"{g.path}:{g.line}:{g.column}", g.rule, g.what, g.hint) for g in found.gaps)
    return Sheet("gaps", "Gaps", ("place", "rule", "what", "hint"), rows, "" if rows else "none")


def isolation_report(catalogue: Catalogue) -> Report:
    """How well and how fast the written checks isolate a fault, the worst entries first."""
    found = diagnosability(catalogue)
    return Report((_entry_sheet(found), _history_sheet(found), _group_sheet(found), _installation_sheet(found),
                   *(_matrix_sheet(entry) for entry in found.entries)))  # fmt: skip


def _entry_sheet(found: Diagnosability) -> Sheet:
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            e.code, e.entry, round(e.written_min, 1), round(e.best_min, 1), round(100 * e.excess),
            round(100 * e.isolated), round(100 * e.separable),
            *(round(100 * share) for _, share in e.found_by),
            str(e.move or ""), e.exact,
        )
        for e in found.entries
    )  # fmt: skip
    heads = ("code", "entry", "written min", "best min", "longer %", "isolated %", "separable %",
             *(f"by {minutes} min %" for minutes in BY_MINUTES), "best single move", "exact")  # fmt: skip
    return Sheet("entries", "Expected minutes to isolate, and the share isolated", heads, rows,
                 "one fault at a time, over all histories by the shares of the causes; 'isolated' ends in a finding of "
                 "its own, 'separable' is told apart by some check")  # fmt: skip


def _history_sheet(found: Diagnosability) -> Sheet:
    rows = tuple(
        (e.entry, h.history, round(h.written_min, 1), round(h.best_min, 1), round(100 * h.excess), h.waived)
        for e in found.entries
        for h in e.histories
    )
    return Sheet("histories", "Expected minutes by history",
                 ("entry", "history", "written min", "best min", "longer %", "waived"), rows,
                 "each history by its own shares, on the way that its answer leads")  # fmt: skip


def _group_sheet(found: Diagnosability) -> Sheet:
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (e.entry, g.says, " ".join(g.causes), round(100 * g.share), g.told_apart)
        for e in found.entries
        for g in e.groups
        if len(g.causes) > 1
    )
    return Sheet("groups", "Causes that end in the same finding", ("entry", "finding", "causes", "share %", "told apart"),
                 rows)  # fmt: skip


def _installation_sheet(found: Diagnosability) -> Sheet:
    matrix = found.installation
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (name, *("x" if component in matrix.matrix[name] else "" for component in matrix.components))
        for name in matrix.checks
    )
    alike = "; ".join(" = ".join(group) for group in matrix.groups) or "none"
    note = (
        f"detected {100 * matrix.detected:.0f} %, told apart from all others {100 * matrix.isolated:.0f} %, by the "
        f"shares in all entries; not told apart: {alike}; untested: {' '.join(matrix.untested) or 'none'}"
    )
    return Sheet(
        "installation", "Shared checks against components", ("check", *matrix.components), rows, note
    )


def _matrix_sheet(entry: EntryDiagnosis) -> Sheet:
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (cause, round(100 * share), *(column.answers.get(cause, "") for column in entry.columns))
        for cause, share in entry.shares.items()
    )
    heads = ("cause", "share %", *(f"{column.number} {column.check}" for column in entry.columns))
    return Sheet(entry.entry, f"{entry.code} {entry.title}: the answer seen under each cause", heads, rows)


def language_report(catalogue: Catalogue) -> Report:
    """Length of sentences and steps, and the reading level, the hardest entry first."""
    found = language(catalogue)
    classes = [f"{low + 1}-{high}" for low, high in zip((0, *LENGTHS), LENGTHS, strict=False)]
    heads = ("code", "entry", "sentences", "words", "words a sentence", "longest", *classes, f"over {LENGTHS[-1]}",
             "words a step", "longest step", "syllables a word", "grade")  # fmt: skip
    longest = tuple((r.entry, r.longest, r.longest_sentence) for r in found if r.entry)
    return Report((
        Sheet("entries", "How the entries read", heads, tuple(map(_reading_row, found)), FORMULA),
        Sheet("longest", "The longest sentence of each entry", ("entry", "words", "sentence"), longest),
    ))  # fmt: skip


def _reading_row(r: Reading) -> tuple[Cell, ...]:
    return (r.code, r.entry or r.title, r.sentences, r.words, round(r.words_per_sentence, 1), r.longest, *r.lengths,
            round(r.words_per_step, 1), r.longest_step, round(r.syllables_per_word, 2), round(r.grade, 1))  # fmt: skip


def waiver_report(catalogue: Catalogue) -> Report:
    """Every rule that an entry sets aside, with the reason."""
    rows = tuple(
        (w.entry, w.problem.rule, w.reason, w.problem.what, f"{w.problem.path}:{w.problem.line}:{w.problem.column}")
        for w in sorted(check(catalogue).waived, key=lambda w: (w.entry, w.problem))
    )  # fmt: skip
    return Report((Sheet("waivers", "Rules set aside", ("entry", "rule", "reason", "breach", "place"), rows,
                         "" if rows else "none"),))  # fmt: skip


def swap_report(catalogue: Catalogue) -> Report:
    """What each swap test and free discriminator involves, and what its answers mean."""
    card = swap_card(catalogue)
    tests: tuple[SwapTest | Discriminator, ...] = (*card.swaps, *card.discriminators)
    matrix = tuple((part.name, *(card.sign(test, part.id) for test in tests)) for part in card.components)
    meanings = tuple(
        (test.check, m.label, m.decides, _names(m.suspects) if m.decides else "as before", _names(m.cleared))
        for test in tests
        for m in test.meanings
    )
    return Report((
        Sheet("matrix", "What each test involves", ("component", *(test.check for test in tests)), matrix),
        Sheet("meanings", "What an answer means", ("test", "answer", "decides", "suspects", "cleared"), meanings,
              "one fault at a time"),
        _combined_sheet(card, catalogue),
    ))  # fmt: skip


def _combined_sheet(card: SwapCard, catalogue: Catalogue) -> Sheet:
    words = catalogue.phrases().answers
    rows = tuple(
        (*(words[answer] for answer in c.answers), _names(c.suspects), _fallback(c))
        for c in card.combinations
    )
    return Sheet("together", "Swap tests together", (*card.combined, "suspects", "else"), rows)


def _fallback(combination: Combination) -> str:
    if combination.contradiction:
        return "no fault that stays explains this"
    return "; ".join(f"{a.name} with {b.name}" for a, b in combination.pairs)


def _names(parts: tuple[Part, ...]) -> str:
    return ", ".join(part.name for part in parts)


#: The reports by name: what each tells in a line, and the function that makes it.
REPORTS: Mapping[str, tuple[str, Callable[[Catalogue], Report]]] = {
    "coverage": ("what the entries cover, and the gaps", coverage_report),
    "isolation": ("what the checks cannot tell apart, and how long they take", isolation_report),
    "language": ("length of sentences and steps, and the reading level", language_report),
    "swaps": ("what swap tests involve and what their results mean", swap_report),
    "waivers": ("rules that entries set aside, with the reasons", waiver_report),
}
