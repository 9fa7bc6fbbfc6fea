"""The words that a reader meets, passage by passage, with every number computed: what two revisions differ in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from leadsman.book.computed import Evaluate, ask_today, compute_value
from leadsman.book.views import Answer, EntryView, FixView, HandOverView, StepView, Target, view_entry
from leadsman.compute.registry import NoAnswer
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.model.equipment import Family
from leadsman.content.model.fault import HISTORIES, FaultEntry
from leadsman.errors import LeadsmanError


@dataclass(frozen=True)
class Passage:
    """One passage of an entry: its id in print, what it is, its name for a reader, and its fields in words."""

    id: str
    kind: str
    name: str
    fields: Mapping[str, str]


@dataclass(frozen=True)
class PrintedEntry:
    """An entry as passages, and what it draws on from elsewhere."""

    id: str
    code: str
    title: str
    passages: Mapping[str, Passage]
    tables: tuple[str, ...]
    menu_tasks: tuple[str, ...]
    card_table: str | None = None


class Words:
    """Turns prose into the words that are printed, for one catalogue and one system of units.

    With a display family its own limits and menu paths stand in the sentence.
    """

    def __init__(
        self,
        catalogue: Catalogue,
        units: str = "metric",
        evaluate: Evaluate = ask_today,
        family: Family | None = None,
    ) -> None:
        self.catalogue, self.units, self.evaluate, self.family = catalogue, units, evaluate, family
        self._values: dict[str, str] = {}

    def text(self, written: Any) -> str:
        """The printed words of a piece of prose; nothing for nothing."""
        return "" if written is None else " ".join(prose.replace(str(written), self._reference).split())

    def lines(self, written: Iterable[Any]) -> str:
        """Several pieces, one a line."""
        return "\n".join(self.text(line) for line in written)

    def value(self, name: str) -> str:
        """A value as it is printed, or a question mark where it cannot be computed."""
        if name not in self._values:
            record = self.catalogue.values.get(name)
            try:
                number = (
                    compute_value(
                        record,
                        self.catalogue,
                        self.units,
                        self.evaluate,
                        family=self.family.id if self.family else None,
                    ).number
                    if record
                    else None
                )
            except (LeadsmanError, NoAnswer):
                number = None
            self._values[name] = plain(number.text) if number else "?"
        return self._values[name]

    def _reference(self, reference: prose.Reference) -> str:
        kind, what = reference.kind, reference.what
        if kind == "value":
            return self.value(what)
        if kind == "message":
            family, _, message = what.partition(" ")
            record = self.catalogue.families.get(family)
            found = record.messages.get(message) if record else None
            return str(found.text) if found else "?"
        if kind == "menu" and self.family is not None and what in self.family.menus:
            return " > ".join(str(step) for step in self.family.menus[what])
        kinds = {"menu": ("tasks", "name"), "card": ("faults", "title"), "table": ("tables", "title"), "term": ("glossary", "term")}  # fmt: skip
        if kind not in kinds:
            return f"{{{kind}: {what}}}"
        record_kind, field = kinds[kind]
        return str(getattr(self.catalogue.records[record_kind].get(what), field, "?"))


def plain(text: str) -> str:
    """A printed number with ordinary spaces and minus signs, as a terminal and a mail show it."""
    return text.replace("\u202f", " ").replace("\u00a0", " ").replace("\u2212", "-")


def lead_id(entry: str) -> str:
    """The id of an entry's opening: title, condition, causes."""
    return f"{entry}-lead"


def print_entry(entry: FaultEntry, words: Words) -> PrintedEntry:
    """An entry as its reader meets it."""
    view = view_entry(Decision(entry, words.catalogue))
    found = [_lead(view, words), *_causes(entry, words)]
    found += [_step(entry.id, step, words) for step in view.steps]
    found += [_fix(entry.id, fix, words) for fix in view.fixes]
    found += [_end(entry.id, end, words) for end in view.hand_overs]
    tables = entry.all_tables
    return PrintedEntry(entry.id, entry.code, str(entry.title), {p.id: p for p in found}, tuple(tables),
                        tuple(view.menu_tasks), entry.card_table)  # fmt: skip


def _lead(view: EntryView, words: Words) -> Passage:
    condition = view.entry.condition
    families = words.catalogue.families
    shown = [
        f"{families[f].name}: {words.text(text)}" for f, text in condition.looks_like.items() if f in families
    ]
    messages = [
        f"{families[f].name}: {families[f].messages[m].text}"
        for f, names in condition.messages.items() if f in families
        for m in names if m in families[f].messages
    ]  # fmt: skip
    fields = {
        "code": view.entry.code,
        "title": words.text(view.entry.title),
        "what is seen": words.text(condition.seen),
        "signs": words.lines(sign.words for sign in condition.signs),
        "tells apart": words.lines(condition.tells_apart),
        "what each display shows": "\n".join(shown),
        "messages": "\n".join(messages),
        **{f"hazard {name}": hazard.signal for name, hazard in view.hazards},
    }
    return Passage(lead_id(view.entry.id), "condition", str(view.entry.title), fields)


def _causes(entry: FaultEntry, words: Words) -> list[Passage]:
    return [
        Passage(
            f"{entry.id}-cause-{cause.id}",
            "cause",
            str(cause.name),
            {
                "name": words.text(cause.name),
                "reason": words.text(cause.because),
                "part": str(getattr(words.catalogue.records["components"].get(cause.component), "name", "?")),
                "likelihood by history": ", ".join(f"{h} {cause.prior.share(h):g}" for h in HISTORIES),
            },
        )
        for cause in entry.causes
    ]


def _step(entry: str, step: StepView, words: Words) -> Passage:
    body = step.check.body
    fields = {
        "action": words.text(body.do),
        "question": words.text(body.see),
        "details": words.lines(body.how),
        "note": words.text(body.note),
        "minutes": f"{body.minutes:g}",
        "place": str(step.access.name),
        "state": body.state,
        "tools": ", ".join(str(tool.name) for tool in step.tools),
        **_cautions(step.cautions),
        "safe for an owner": "yes" if body.owner_safe else "no",
    }
    fields |= {f"answer {answer.label}": _answer(answer, words) for answer in step.answers}
    return Passage(f"{entry}-step-{step.id}", "step", words.text(body.do), fields)


def _answer(answer: Answer, words: Words) -> str:
    means = f"; {words.text(answer.means)}" if answer.means else ""
    return f"{_place(answer.target)}{means}"


def _place(target: Target) -> str:
    return f"card {target.words}" if target.kind == "entry" else f"{target.kind} '{target.id}'"


def _fix(entry: str, fix: FixView, words: Words) -> Passage:
    finding = fix.finding
    fields = {
        "finding": words.text(finding.says),
        "causes": ", ".join(fix.causes),
        "remedy": words.lines(finding.remedy),
        "proof": words.text(finding.proof),
        "tools": ", ".join(str(words.catalogue.records["tools"][name].name) for name in finding.tools),
        "if not proved": _place(fix.not_proved),
        **_cautions(fix.cautions),
        "condemns a part": "yes" if finding.condemns else "no",
        "safe for an owner": "yes" if finding.owner_safe else "no",
    }
    return Passage(f"{entry}-fix-{fix.id}", "finding", words.text(finding.says), fields)


def _end(entry: str, end: HandOverView, words: Words) -> Passage:
    fields = {
        "hand-over": words.text(end.hand_over.says),
        "to": words.text(end.hand_over.to),
        "evidence": "\n".join(end.evidence),
        **_cautions(end.cautions),
    }
    return Passage(f"{entry}-end-{end.id}", "hand-over", words.text(end.hand_over.says), fields)


def _cautions(cautions: Iterable[tuple[str, Any]]) -> dict[str, str]:
    return {f"caution {name}": str(caution.signal) for name, caution in cautions}


def hazard_fields(record: Any, words: Words) -> dict[str, str]:
    """A hazard in its printed words."""
    texts = {name: words.text(getattr(record, name)) for name in ("title", "short", "say", "comes", "until")}
    return {"signal word": record.signal, **texts, "do": words.lines(record.do), "words": words.lines(record.words)}  # fmt: skip


def caution_fields(record: Any, words: Words) -> dict[str, str]:
    """A caution in its printed words."""
    texts = {name: words.text(getattr(record, name)) for name in ("hazard", "result", "avoid", "short")}
    return {"signal word": record.signal, **texts}
