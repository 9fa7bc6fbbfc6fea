"""A case in words: for the technician, for the maker and for the owner, as titled lists of lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from leadsman.book.case_advice import fixes_that_ask, stop_advice, warranty_state
from leadsman.book.case_needs import (
    TRANSDUCER_PARTS,
    element_for,
    fuse_for,
    lent_transducers,
    needs,
    orders,
    way_under,
)
from leadsman.book.computed import lead_length
from leadsman.book.passages import Words, plain
from leadsman.book.views import EntryView, StepView, view_entry
from leadsman.compute.diagnosis.structure import Kind
from leadsman.content.case_file import Case
from leadsman.content.decision import CANNOT
from leadsman.content.inquiry import Inquiry
from leadsman.content.model.case_words import CaseWords
from leadsman.content.model.edition import RecordEdition
from leadsman.content.model.fault import Finding
from leadsman.content.model.phrases import filled
from leadsman.content.next_check import next_check
from leadsman.units import quantity_text, size_text

#: Suspects that are named.
_MOST_SUSPECTS = 8
_SUPPLY_PARTS = ("supply-cable", "joints")


@dataclass(frozen=True)
class Section:
    """A heading with its lines."""

    title: str
    lines: tuple[str, ...]


class CaseText:
    """The words of one case.

    Parameters
    ----------
    case
        The case.
    units
        ``metric`` or ``us``.
    language
        BCP 47 tag of the language of the frame.
    """

    def __init__(self, case: Case, units: str = "metric", language: str = "en-GB") -> None:
        self.case, self.units, self.catalogue = case, units, case.catalogue
        self.words = Words(case.catalogue, units, family=case.display)
        self.frame: CaseWords = case.catalogue.phrases(language).case
        self.language = language
        self.views = {leg.decision.entry.id: view_entry(leg.decision) for leg in case.legs}

    @property
    def title(self) -> str:
        """The case with its condition; no name of a person or a boat."""
        entry = self.case.entry
        return filled(self.frame.title, name=self.case.file.id, code=entry.code, title=entry.title)

    def technician(self) -> list[Section]:
        """What is suspect, what comes next, what was not done, what to bring and order, when to stop."""
        return [
            Section(self.frame.suspect, tuple(self._suspects())),
            Section(self.frame.next, tuple(self._next())),
            Section(self.frame.not_done, tuple(self._not_done())),
            Section(self.frame.bring, tuple(self._bring())),
            Section(self.frame.order, tuple(self._order())),
            Section(self.frame.stop, tuple(self._stop())),
            Section(self.frame.warranty, tuple(self._warranty())),
        ]

    def maker(self) -> list[Section]:
        """The message to the maker: equipment, complaint, checks with their readings, what follows, what is asked."""
        made = [Section(self.frame.equipment, tuple(self._equipment())),
                Section(self.frame.complaint, tuple(self._complaint())),
                Section(self.frame.done, tuple(self._done())),
                Section(self.frame.readings, tuple(self._readings())),
                Section(self.frame.evidence, tuple(self._evidence())),
                Section(self.frame.not_done, tuple(self._not_done())),
                Section(self.frame.conclusion, (*self._conclusion(), *self._asks()))]  # fmt: skip
        return [section for section in made if section.lines]

    def owner(self) -> list[Section]:
        """The owner's page: what was found, done and proved, and what is open."""
        return [section for section in self._owner() if section.lines]

    @property
    def subject(self) -> str:
        """The subject line of the message to the maker."""
        entry = self.case.search.decision.entry
        return filled(self.frame.maker_subject, code=entry.code, title=entry.title, name=self.case.file.id)

    # --- the technician's ----------------------------------------------------------------------

    def _suspects(self) -> Iterator[str]:
        search = self.case.search
        if not search.suspects:
            yield self.frame.none_left
        for suspect in search.suspects[:_MOST_SUSPECTS]:
            yield f"{suspect.likelihood:4.0%}  {self.words.text(search.decision.causes[suspect.cause].name)}"

    def _next(self) -> Iterator[str]:
        search, view = self.case.search, self._view(self.case.search)
        if self.case.file.verdict is not None or search.kind is not Kind.CHECK:
            yield self._end(search)
            return
        step = self._step(view, search.node)
        yield filled(self.frame.as_written, number=step.number, text=self._told(step))
        best = next_check(search)
        if best is None:
            yield self.frame.no_check
            return
        if best.check != search.node:
            cheapest = self._step(view, best.check)
            yield filled(self.frame.cheapest, number=cheapest.number, text=self._told(cheapest))
        yield filled(self.frame.costs, minutes=f"{best.minutes:.0f}", convicts=f"{best.convicts:.0%}")
        yield filled(self.frame.left, minutes=f"{best.minutes_left:.0f}")

    def _end(self, search: Inquiry) -> str:
        decision, node = search.decision, search.node
        if node in decision.findings:
            return f"{self.frame.ended}: {self.words.text(decision.findings[node].says)}"
        if node in decision.hand_overs:
            return f"{self.frame.ended}: {self.words.text(decision.hand_overs[node].says)}"
        if search.kind is Kind.ENTRY:
            other = self.catalogue.faults[node.removeprefix("entry:")]
            return filled(self.frame.other_entry, code=other.code, title=other.title)
        return self.frame.ended

    def _not_done(self) -> Iterator[str]:
        told = False
        for leg in self.case.legs:
            view = self._view(leg)
            for node, answer in leg.answers.items():
                if answer == CANNOT and node in leg.decision.checks:
                    told = True
                    yield self._line(view, node)
            if leg is self.case.search and leg.kind is not Kind.CHECK:
                continue
            for name in leg.decision.checks if leg is self.case.search else ():
                if name not in leg.answers and any(name == node for node in _left_on_the_way(leg)):
                    told = True
                    yield self._line(view, name)
        if not told:
            yield self.frame.all_done

    def _bring(self) -> Iterator[str]:
        case = self.case
        for need in needs(case.search):
            name = self.words.text(self.catalogue.records["tools"][need.tool].name)
            yield f"{need.likelihood:4.0%}  {name}{self._of_this_boat(need.tool)}"
        lent = list(lent_transducers(case.display, case.transducer, self.catalogue))
        fits = [self._lent(b.transducer.name, b.transducer.id == case.transducer.id) for b in lent if b.fits]
        not_so = [f"{b.transducer.name}: {', '.join(self.frame.misfits[r] for r in b.reasons)}" for b in lent if not b.fits and "list" not in b.reasons]  # fmt: skip
        if any(need.tool == "borrowed-transducer" for need in needs(case.search)) or self._may_swap():
            yield f"{self.frame.lent}: {', '.join(fits)}"
            yield from not_so

    def _may_swap(self) -> bool:
        parts = {self.case.search.decision.causes[s.cause].component for s in self.case.search.suspects}
        return bool(parts & {"cable", "element", "plug"})

    def _lent(self, name: str, same: bool) -> str:
        return f"{name} ({self.frame.same_model})" if same else str(name)

    def _of_this_boat(self, tool: str) -> str:
        if tool == "breakout-lead":
            return f", {filled(self.frame.breakout_for, name=self.case.display.name)}"
        if tool == "spare-fuses":
            return f", {self._fuse()}"
        return ""

    def _fuse(self) -> str:
        found = fuse_for(self.case.boat, self.catalogue)
        if found is None:
            return self.frame.no_fuse
        least, greatest = (plain(quantity_text(a, "A")) for a in (found.least_a, found.greatest_a))
        if least == greatest:
            return filled(self.frame.fuse_one, greatest=greatest)
        return filled(self.frame.fuse_for, least=least, greatest=greatest)

    def _order(self) -> Iterator[str]:
        case, told = self.case, False
        wanted: dict[str, float] = {}
        for order in orders(case.search):
            key = ("transducer" if order.component in TRANSDUCER_PARTS[:3] else
                   "lead" if order.component in _SUPPLY_PARTS else order.component)  # fmt: skip
            wanted[key] = wanted.get(key, 0.0) + order.likelihood
        for key, share in sorted(wanted.items(), key=lambda item: -item[1]):
            for line in self._ordered(key):
                told = True
                yield f"{share:4.0%}  {line}"
        if told:
            yield self.frame.order_when

    def _ordered(self, key: str) -> Iterator[str]:
        case = self.case
        if key == "display":
            yield filled(self.frame.order_display, name=case.display.name)
        elif key == "transducer":
            tilt = element_for(case.boat, case.transducer)
            if tilt is None:
                yield self.frame.no_element
            element = plain(quantity_text(case.boat.element_tilt_deg if tilt is None else tilt, "deg"))
            length = plain(lead_length(case.transducer.cable_length_m, self.units))
            yield filled(
                self.frame.order_transducer, name=case.transducer.name, element=element, length=length
            )
            yield self.frame.seals[case.transducer.housing]
        elif key == "lead":
            supply = case.boat.supply
            length = plain(lead_length(supply.lead_length_m, self.units))
            yield filled(
                self.frame.order_lead,
                conductor=plain(size_text(supply.conductor)),
                length=length,
                fuse=self._fuse(),
            )
        elif key not in ("settings", "software", "water", "noise"):
            yield filled(
                self.frame.order_other, name=self.words.text(self.catalogue.records["components"][key].name)
            )

    def _stop(self) -> Iterator[str]:
        found = stop_advice(self.case)
        part = self.words.text(self.catalogue.records["components"][found.part].name) if found.part else ""
        if found.verdict == "no-prices":
            yield self.frame.no_prices
        elif found.verdict == "tells-nothing":
            yield self.frame.tells_nothing
        elif found.verdict == "leads-on":
            yield self.frame.leads_on
        elif found.verdict == "go-on":
            yield filled(self.frame.go_on, step=self._money(found.step), part=self._money(found.price))
        elif found.verdict == "supply-first":
            yield filled(self.frame.supply_first, part=part)
        elif found.verdict == "renew":
            yield filled(self.frame.renew, part=part, search=self._money(found.search), price=self._money(found.price),
                         chance=f"{found.chance:.0%}")  # fmt: skip
        yield self.frame.stop_at_once
        yield self.frame.call_back

    def _money(self, amount: float | None) -> str:
        prices = self.case.file.prices
        return f"{prices.currency} {amount:.0f}" if prices is not None and amount is not None else "?"

    def _warranty(self) -> Iterator[str]:
        state, warranty = warranty_state(self.case), self.case.file.warranty
        if state is None or warranty is None:
            yield self.frame.unknown_warranty
        else:
            until = filled(self.frame.runs if state.runs else self.frame.ran_out, date=state.until)
            receipt = self.frame.receipt if warranty.receipt else self.frame.no_receipt
            yield f"{until}, {self.frame.seller[warranty.seller]}, {receipt}"
            if state.forbidden:
                yield filled(self.frame.not_before, names=self._actions(state.forbidden))
            if state.runs and warranty.agreed:
                yield filled(self.frame.agreed, names=self._actions(warranty.agreed))
            if state.runs:
                number = warranty.return_number
                yield filled(self.frame.return_number, name=number) if number else self.frame.no_return_number
        for fix, asked in fixes_that_ask(self.case, self.language):
            yield filled(self.frame.asks_for, letter=fix.letter, says=self.words.text(fix.finding.says), names=self._actions(asked))  # fmt: skip

    def _actions(self, names: Iterable[str]) -> str:
        return ", ".join(self.frame.actions[name] for name in names)

    # --- the maker's and the owner's -------------------------------------------------------------

    def _equipment(self) -> Iterator[str]:
        supply = self.case.boat.supply
        yield filled(self.frame.boat, display=self.case.display.name, transducer=self.case.transducer.name,
                     volts=plain(quantity_text(float(supply.nominal_v), "V")),
                     length=plain(lead_length(supply.lead_length_m, self.units)),
                     conductor=plain(size_text(supply.conductor)), fuse=plain(quantity_text(supply.fuse_a, "A")))  # fmt: skip
        for column, name in (
            ("display_serial", self.case.display.name),
            ("transducer_serial", self.case.transducer.name),
        ):
            serial = self.case.row.personal.get(column)
            yield (
                filled(self.frame.serial, part=name, name=serial)
                if serial
                else filled(self.frame.no_serial, part=name)
            )
        yield from self._warranty_lines()

    def _warranty_lines(self) -> Iterator[str]:
        state = warranty_state(self.case)
        if state is not None:
            yield f"{self.frame.warranty}: {filled(self.frame.runs if state.runs else self.frame.ran_out, date=state.until)}"

    def _complaint(self) -> Iterator[str]:
        file, entry = self.case.file, self.case.entry
        yield f"{entry.code} {self.words.text(entry.title)}: {self.words.text(entry.condition.seen)}"
        yield filled(self.frame.since, date=file.opened)
        if file.message and file.message in self.case.display.messages:
            yield str(self.case.display.messages[file.message].text)
        if file.words:
            yield filled(self.frame.own_words, name=file.words)
        history = self.case.search.history
        if history:
            yield f"{self.frame.history}: {self.catalogue.phrases(self.language).answers.get(history, history)}"

    def _done(self) -> Iterator[str]:
        for leg in self.case.legs:
            view, given = self._view(leg), self.case.given(leg.decision.entry.id)
            for step in view.steps:
                answer = leg.answers.get(step.id)
                if answer is None or answer == CANNOT or step.asks_history:
                    continue
                label = next(a.label for a in step.answers if a.key == answer)
                item = given.get(step.id)
                more = [part for part in (item.reading, item.remark) if part] if item else []
                yield f"{self._line(view, step.id)} {label}{''.join(f'; {part}' for part in more)}"
        for name, trial in self.case.file.swaps.items():
            if trial.carried:
                yield f"{self.frame.swapped}: {name}; {trial.carried}"

    def _readings(self) -> Iterator[str]:
        records = (e for e in self.catalogue.editions.values() if isinstance(e, RecordEdition))
        for edition in records:
            for name, reading in edition.readings.items():
                for place, volts in self.case.file.readings.get(name, {}).items():
                    yield filled(self.frame.reading, what=self.words.text(reading.ask), place=place.replace("-", " "),
                                 value=plain(quantity_text(volts, "V")), limit=self.words.text(reading.limit))  # fmt: skip

    def _evidence(self) -> Iterator[str]:
        known = self.catalogue.records["evidence"]
        for name, found in self.case.file.evidence.items():
            yield f"{self.words.text(known[name].ask)}: {found}"
        if self.case.file.photos:
            names = ", ".join(self.words.text(known[name].ask) for name in self.case.file.photos)
            yield filled(self.frame.photos, names=names)

    def _asks(self) -> Iterator[str]:
        """What is asked of the maker; of a case that is mended and proved, nothing but the warranty's part."""
        verdict = self.case.file.verdict
        yield self.frame.asks_warranty if verdict is not None and verdict.proved else self.frame.asks_maker

    def _conclusion(self) -> Iterator[str]:
        verdict = self.case.file.verdict
        if verdict is None:
            yield from (line.strip() for line in self._suspects())
        else:
            yield from self._found()

    def _found(self) -> Iterator[str]:
        verdict = self.case.file.verdict
        if verdict is None or verdict.hand_over is not None:
            yield self.frame.not_found
        elif verdict.nothing_found:
            yield self.frame.nothing_found
        elif verdict.other is not None:
            yield verdict.other.words
        else:
            yield self.words.text(self._finding().says)

    def _finding(self) -> Finding:
        verdict = self.case.file.verdict
        assert verdict is not None
        entry = self.catalogue.faults[verdict.entry or self.case.entry.id]
        return next(finding for finding in entry.findings if finding.id == verdict.finding)

    def _owner(self) -> Iterator[Section]:
        verdict, frame = self.case.file.verdict, self.frame
        yield Section(frame.complaint, tuple(self._complaint())[:2])
        yield Section(frame.found, tuple(self._found()))
        if verdict is not None and verdict.finding is not None:
            finding = self._finding()
            done = [self.words.text(line) for line in finding.remedy] if verdict.proved else []
            renewed = [verdict.renewed] if verdict.renewed else []
            yield Section(frame.remedied, tuple(renewed or done))
            how = filled(
                frame.proved if verdict.proved else frame.not_proved, proof=self.words.text(finding.proof)
            )
            yield Section(frame.proving, (how, *([verdict.lead_line] if verdict.lead_line else [])))
        elif verdict is not None and verdict.renewed:
            yield Section(frame.remedied, (verdict.renewed,))
        is_open = [verdict.open] if verdict is not None and verdict.open else []
        if verdict is None or (verdict.finding is None and verdict.other is None):
            is_open += [line.strip() for line in self._suspects()]
        yield Section(frame.open, (*(is_open or [frame.nothing_open]), frame.no_aid, frame.call_back))
        dealer = self.catalogue.dealer
        yield Section(frame.ask_us, (f"{dealer.name}, {dealer.phone}", str(dealer.hours)))

    # --- small -----------------------------------------------------------------------------------

    def _view(self, leg: Inquiry) -> EntryView:
        return self.views[leg.decision.entry.id]

    @staticmethod
    def _step(view: EntryView, name: str) -> StepView:
        return next(step for step in view.steps if step.id == name)

    def _told(self, step: StepView) -> str:
        return f"{self.words.text(step.check.body.do)} {self.words.text(step.check.body.see)}"

    def _line(self, view: EntryView, name: str) -> str:
        step = self._step(view, name)
        return f"{view.entry.code}.{step.number} {self._told(step)}"


def _left_on_the_way(leg: Inquiry) -> set[str]:
    """The checks that the likeliest suspect would still lead through."""
    return {name for suspect in leg.suspects for name in way_under(leg, suspect.cause)}
