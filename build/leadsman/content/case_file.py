"""Read a case of the dealer's: as strict as the content, hostile until read, each problem at its line and column.

A message names places and ids, never what a line of the dealer's says: it may hold a name.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cached_property
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from leadsman.content.catalogue import Catalogue, record_problems
from leadsman.content.decision import CANNOT, ENTRY_PREFIX, NOT_PROVED, SWAP_ANSWERS, Decision
from leadsman.content.fleet import FleetRow, read_row
from leadsman.content.inquiry import Inquiry, OpenInquiry
from leadsman.content.model.case import CaseFile, Given, SwapTrial
from leadsman.content.model.edition import RecordEdition
from leadsman.content.model.equipment import Boat, Family, Transducer
from leadsman.content.model.fault import HISTORIES, FaultEntry
from leadsman.content.source import Document, Location, read
from leadsman.errors import Problem, quoted
from leadsman.letters import printable

#: The answer of a finding whose remedy held.
PROVED = "proved"
#: So many entries one search may lead through.
MOST_LEGS = 6


@dataclass(frozen=True)
class Case:
    """A case that was read and fits the content."""

    file: CaseFile
    entry: FaultEntry
    row: FleetRow
    catalogue: Catalogue = field(repr=False)

    @property
    def boat(self) -> Boat:
        """The boat with its own values."""
        return self.row.boat

    @property
    def boat_name(self) -> str:
        """What its owner calls the boat, else what the content does."""
        return self.row.personal.get("boat") or str(self.boat.name)

    @property
    def display(self) -> Family:
        """Its display family."""
        return self.catalogue.families[self.boat.display]

    @property
    def transducer(self) -> Transducer:
        """Its transducer."""
        return self.catalogue.transducers[self.boat.transducer]

    @property
    def last_date(self) -> str:
        """The latest date that the case names: the day on which it is judged."""
        given = [
            *self.file.answers.values(),
            *(g for leg in self.file.further.values() for g in leg.values()),
        ]
        dates = [self.file.opened, *(g.on for g in given if g.on)]
        if self.file.verdict is not None and self.file.verdict.on:
            dates.append(self.file.verdict.on)
        return max(dates)

    @cached_property
    def legs(self) -> tuple[Inquiry, ...]:
        """The search through each entry that it led to; the last one is under way or has ended."""
        found: list[Inquiry] = []
        entry, start, answers = self.entry, "", _answers(self.file.answers)
        if self.file.history is not None:
            decision = Decision(entry, self.catalogue)
            if set(HISTORIES) <= set(decision.checks[decision.start].outcomes):
                answers = {decision.start: self.file.history, **answers}
        while len(found) < MOST_LEGS:
            history = self.file.history or (found[-1].history if found else None)
            leg = OpenInquiry(Decision(entry, self.catalogue), answers, start, history)
            found.append(leg)
            if not leg.node.startswith(ENTRY_PREFIX) or not leg.done:
                break
            last = leg.done[-1]
            outcome = leg.decision.checks[last.node.id].outcomes[last.outcome or ""]
            entry = self.catalogue.faults[outcome.to_entry or ""]
            start = outcome.at or ""
            if any(entry.id == earlier.decision.entry.id for earlier in found):
                break
            answers = {**outcome.known, **_answers(self.file.further.get(entry.id, {}))}
        return tuple(found)

    @property
    def search(self) -> Inquiry:
        """The search as it stands: in the entry that the answers have led to."""
        return self.legs[-1]

    def given(self, entry: str) -> Mapping[str, Given]:
        """The answers as written, by entry."""
        return self.file.answers if entry == self.entry.id else self.file.further.get(entry, {})


def _answers(given: Mapping[str, Given]) -> dict[str, str]:
    return {name: item.answer for name, item in given.items() if item.answer != PROVED}


def read_case(path: Path, catalogue: Catalogue) -> tuple[Case | None, list[Problem]]:
    """The case, or what is wrong with it; never both."""
    document = read(path)
    if document.problems:
        return None, sorted(document.problems)
    try:
        written = CaseFile.model_validate(document.data)
    except ValidationError as error:
        found = record_problems(document, (), CaseFile, error)
        # A line of the dealer's is not repeated: it may hold a name.
        return None, sorted(Problem(p.path, p.line, p.column, _without_quotes(p.what), p.hint, p.field, "case") for p in found)  # fmt: skip
    problems = list(_letters(document, document.data, ()))
    row, wrong = read_row(document, ("boat",), catalogue)
    problems += wrong
    entry, wrong = _entry(written, document, catalogue)
    problems += wrong
    if entry is not None:
        problems += _Links(written, entry, document, catalogue).problems()
    if problems or row is None or entry is None:
        return None, sorted(set(problems))
    return Case(written, entry, row, catalogue), []


def _without_quotes(what: str) -> str:
    head, quote, rest = what.partition("'")
    return f"this{rest.rpartition(quote)[2]}" if quote and not head else what


def _letters(document: Document, data: Any, location: Location) -> Iterator[Problem]:
    """Every line can be printed."""
    if isinstance(data, dict):
        for key, value in data.items():
            yield from _letters(document, value, (*location, key))
    elif isinstance(data, list):
        for number, value in enumerate(data):
            yield from _letters(document, value, (*location, number))
    elif isinstance(data, str):
        if any(sign > "~" and sign not in printable() for sign in data):
            yield document.problem(location, "holds a sign that the fonts lack", "write it in Latin letters")
        elif any(sign in data for sign in "\t\n\r"):
            yield document.problem(location, "runs over more than one line", "write it in one line")


def _entry(written: CaseFile, document: Document, catalogue: Catalogue) -> tuple[FaultEntry | None, list[Problem]]:  # fmt: skip
    """The condition: by id, by code, or by the words of one sign of the index."""
    if written.entry is not None:
        for entry in catalogue.faults.values():
            if written.entry in (entry.id, entry.code):
                return entry, []
        return None, [document.problem(("entry",), f"'{quoted(written.entry)}' is no fault entry",
                                       catalogue.near("faults", written.entry))]  # fmt: skip
    signs: dict[str, list[FaultEntry]] = {}
    for entry in catalogue.faults.values():
        for sign in entry.condition.signs:
            signs.setdefault(str(sign.words).casefold(), []).append(entry)
    wanted = str(written.sign).casefold()
    found = signs.get(wanted, [])
    if len(found) == 1:
        return found[0], []
    if found:
        codes = ", ".join(entry.code for entry in found)
        return None, [document.problem(("sign",), "stands at more than one condition", f"write 'entry:' with one of {codes}")]  # fmt: skip
    close = get_close_matches(wanted, signs, 1, 0.5)
    hint = f"did you mean '{close[0]}' ({signs[close[0]][0].code})?" if close else "write 'entry:' and a code"
    return None, [document.problem(("sign",), "is no sign of the index", hint)]


@dataclass
class _Links:
    """Holds what a case names against the content."""

    written: CaseFile
    entry: FaultEntry
    document: Document
    catalogue: Catalogue

    def problems(self) -> Iterator[Problem]:
        """Everything that points to nothing or contradicts itself."""
        yield from self._answered(("answers",), self.entry, self.written.answers)
        for name, answers in self.written.further.items():
            entry = self.catalogue.faults.get(name)
            if entry is None:
                yield self.document.problem(("further", name), "is no fault entry", self.catalogue.near("faults", name), key=True)  # fmt: skip
            else:
                yield from self._answered(("further", name), entry, answers)
        evidence = self.catalogue.records["evidence"]
        for name in self.written.evidence:
            if name not in evidence:
                yield self.document.problem(("evidence", name), "is no evidence", self.catalogue.near("evidence", name), key=True)  # fmt: skip
        for number, name in enumerate(self.written.photos):
            if name not in evidence or evidence[name].kind != "photo":
                yield self.document.problem(("photos", number), "is no photograph of the evidence", self.catalogue.near("evidence", name))  # fmt: skip
        if self.written.prices is not None:
            for name in self.written.prices.parts:
                if name not in self.catalogue.records["components"]:
                    yield self.document.problem(("prices", "parts", name), "is no component", self.catalogue.near("components", name), key=True)  # fmt: skip
        known = {
            name
            for e in self.catalogue.editions.values()
            if isinstance(e, RecordEdition)
            for name in e.readings
        }
        for name in self.written.readings:
            if known and name not in known:
                yield self.document.problem(("readings", name), "is no reading of the service record",
                                            f"known: {', '.join(sorted(known))}", key=True)  # fmt: skip
        yield from self._history()
        yield from self._verdict()
        yield from self._dates()

    def _answered(self, at: Location, entry: FaultEntry, answers: Mapping[str, Given]) -> Iterator[Problem]:
        decision = Decision(entry, self.catalogue)
        for name, given in answers.items():
            links = set(decision.links(name))
            if name in decision.findings:
                links |= {PROVED, NOT_PROVED}
            if not links:
                yield self.document.problem((*at, name), f"is no check of {entry.code}",
                                            f"checks: {', '.join(decision.checks)}", key=True)  # fmt: skip
            elif given.answer not in links:
                yield self.document.problem((*at, name), f"is no answer of '{name}'", f"answers: {', '.join(sorted(links))}")  # fmt: skip
            elif name in self.written.swaps and given.answer in SWAP_ANSWERS and given.answer != CANNOT:
                said = swap_answer(self.written.swaps[name])
                if said != given.answer:
                    yield self.document.problem((*at, name), f"says '{given.answer}', and the swap says '{said}'", "settle which is true")  # fmt: skip
        for name in self.written.swaps:
            if at == ("answers",) and not any(name in Decision(self.catalogue.faults[e], self.catalogue).checks
                                              for e in (self.entry.id, *self.written.further) if e in self.catalogue.faults):  # fmt: skip
                yield self.document.problem(("swaps", name), "is no check of the entries of this case", "name the check that is the swap", key=True)  # fmt: skip

    def _history(self) -> Iterator[Problem]:
        start = self.entry.checks[0].id
        asked = self.written.answers.get(start)
        if (
            self.written.history
            and asked
            and asked.answer in HISTORIES
            and asked.answer != self.written.history
        ):
            yield self.document.problem(("history",), f"is not what the answer at '{start}' says", "settle which is true")  # fmt: skip

    def _verdict(self) -> Iterator[Problem]:
        verdict = self.written.verdict
        if verdict is None:
            return
        entry = self.catalogue.faults.get(verdict.entry or self.entry.id)
        if entry is None:
            yield self.document.problem(("verdict", "entry"), "is no fault entry", self.catalogue.near("faults", verdict.entry or ""))  # fmt: skip
            return
        decision = Decision(entry, self.catalogue)
        for key, name, known in (("finding", verdict.finding, decision.findings), ("hand_over", verdict.hand_over, decision.hand_overs)):  # fmt: skip
            if name is not None and name not in known:
                yield self.document.problem(
                    ("verdict", key), f"is none of {entry.code}", f"known: {', '.join(known)}"
                )
        if verdict.other is not None and verdict.other.component not in self.catalogue.records["components"]:
            yield self.document.problem(("verdict", "other", "component"), "is no component",
                                        self.catalogue.near("components", verdict.other.component))  # fmt: skip
        said = self.written.answers.get(verdict.finding or "")
        if said is not None and (said.answer == PROVED) != verdict.proved:
            yield self.document.problem(("verdict",), "and the answer at its finding disagree on the proof", "settle which is true")  # fmt: skip

    def _dates(self) -> Iterator[Problem]:
        opened = self.written.opened
        dated = [(("answers", name, "on"), g.on) for name, g in self.written.answers.items()]
        dated += [(("further", e, name, "on"), g.on) for e, leg in self.written.further.items() for name, g in leg.items()]  # type: ignore[misc]  # fmt: skip
        if self.written.verdict is not None:
            dated.append((("verdict", "on"), self.written.verdict.on))  # type: ignore[arg-type]
        for place, date in dated:
            if date is not None and date < opened:
                yield self.document.problem(place, f"lies before the case was opened ({opened})", "mend one of the dates")  # fmt: skip
        if self.written.warranty is not None and self.written.warranty.bought > opened:
            yield self.document.problem(("warranty", "bought"), "lies after the case was opened", "mend one of the dates")  # fmt: skip


def swap_answer(trial: SwapTrial) -> str:
    """The answer of a swap test by what was seen; not tried back, nothing is proved.

    Examples
    --------
    >>> swap_answer(SwapTrial(compatible=True, gone=True, back=True))
    'returns'
    """
    if not trial.compatible:
        return CANNOT
    if not trial.gone:
        return "same"
    return CANNOT if trial.back is None else "returns" if trial.back else "not-back"
