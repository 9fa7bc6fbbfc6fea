"""Closed cases without names: out of filled service records and out of case files.

What identifies a person or a boat is read by nobody: of a record only the ticks, the minutes, the model of the display
and the words for a cause that no card names.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from leadsman.content import prose
from leadsman.content.case_file import Case
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import NOT_PROVED, Decision
from leadsman.content.inquiry import OpenInquiry
from leadsman.content.model.fault import HISTORIES, FaultEntry
from leadsman.errors import LeadsmanError

Fields = Mapping[str, str | bool]
#: Fields whose words are struck from whatever else is read.
_PERSONAL = ("technician", "boat-name", "signed-technician", "signed-owner", "place", "job-number")
#: A word of such a field that is struck: initials would strike too much.
_WORD = re.compile(r"[\w'’-]{3,}")
_NUMBER = re.compile(r"\s*(\d{1,4}(?:[.,]\d)?)\s*(?:min|minutes)?\.?\s*\Z")


class Unclear(LeadsmanError):
    """A record that is unreadable or contradicts itself; the text is the reason, without a word of the record."""


@dataclass(frozen=True)
class ClosedCase:
    """One closed case: condition, history, family, verdict, proof, minutes, come-back.

    ``causes`` are those that the verdict and the answers leave, empty for a cause that no card names.
    """

    entry: str
    history: str
    family: str
    verdict: str
    """``finding``, ``hand-over``, ``other``, ``nothing``, or ``elsewhere``: the search went on with another card."""
    end: str
    """Which finding or hand-over; of another cause its words."""
    causes: tuple[str, ...]
    proved: bool
    minutes: float | None
    came_back: bool

    @property
    def counts(self) -> bool:
        """Whether it teaches likelihoods: a finding that was not proved convicts nothing."""
        return bool(self.causes) and bool(self.history) and (self.verdict != "finding" or self.proved)


@dataclass(frozen=True)
class RecordReader:
    """Reads the fields of filled records against the content."""

    catalogue: Catalogue

    @cached_property
    def by_code(self) -> Mapping[str, FaultEntry]:
        """The entries by their printed codes."""
        return {entry.code: entry for entry in self.catalogue.faults.values()}

    def read(self, title: str, fields: Fields) -> ClosedCase:
        """The closed case of one record; raises :class:`Unclear` with the reason."""
        decision = Decision(self._entry(title, fields), self.catalogue)
        answers = dict(self._answers(decision, fields))
        verdict, end = self._verdict(decision, fields)
        proved = verdict == "finding" and fields.get(f"proved-{end}") is True
        for name in decision.findings:
            if fields.get(f"proved-{name}") is True and (verdict, end) != ("finding", name):
                raise Unclear("a proof is ticked beside a fix that is not")
        history = next((a for a in answers.values() if a in HISTORIES), "")
        return ClosedCase(decision.entry.id, history, self._family(fields), verdict, end,
                          causes_left(decision, answers, verdict, end), proved, self._minutes(fields),
                          fields.get("came-back") is True)  # fmt: skip

    def _entry(self, title: str, fields: Fields) -> FaultEntry:
        named = [entry for code, entry in self.by_code.items() if re.search(rf", {code} ", title)]
        found = named or [e for e in self.by_code.values() if self._bears(e, fields)]
        if len(found) != 1:
            raise Unclear("does not say of which condition it is; only the record of a condition is counted")
        return found[0]

    @staticmethod
    def _bears(entry: FaultEntry, fields: Fields) -> bool:
        ends = {f"finding-{f.id}" for f in entry.findings} | {f"hand-over-{h.id}" for h in entry.hand_overs}
        ticked = {name for name in fields if name.startswith(("finding-", "hand-over-"))}
        checks = {name.rpartition("-")[0] for name in fields if name.startswith("check-")}
        known = {f"check-{c.id}" for c in entry.checks}
        return bool(ticked) and ticked <= ends and all(any(c.startswith(k) for k in known) for c in checks)

    @staticmethod
    def _answers(decision: Decision, fields: Fields) -> Mapping[str, str]:
        found: dict[str, str] = {}
        for name, check in decision.checks.items():
            ticked = [answer for answer in check.outcomes if fields.get(f"check-{name}-{answer}") is True]
            if len(ticked) > 1:
                raise Unclear(f"two answers are ticked at '{name}'")
            if ticked:
                found[name] = ticked[0]
        return found

    @staticmethod
    def _verdict(decision: Decision, fields: Fields) -> tuple[str, str]:
        found = [("finding", n) for n in decision.findings if fields.get(f"finding-{n}") is True]
        found += [("hand-over", n) for n in decision.hand_overs if fields.get(f"hand-over-{n}") is True]
        if fields.get("nothing-found") is True:
            found = [pair for pair in found if pair[0] != "hand-over"] + [("nothing", "")]
        other = str(fields.get("verdict-other", ""))
        if other:
            for name in _PERSONAL:
                for word in _WORD.findall(str(fields.get(name, ""))):
                    other = prose.whole_words(word).sub("...", other)
            found.append(("other", other[:80]))
        if not found and fields.get("verdict-elsewhere"):
            return "elsewhere", ""
        if not found:
            raise Unclear("has no verdict yet")
        if len(found) > 1:
            raise Unclear("has more than one verdict")
        return found[0]

    def _family(self, fields: Fields) -> str:
        model = str(fields.get("equipment-display-model", "")).casefold()
        return next((f.id for f in self.catalogue.families.values() if str(f.name).casefold() in model), "")

    @staticmethod
    def _minutes(fields: Fields) -> float | None:
        written = str(fields.get("minutes", ""))
        if not written:
            return None
        match = _NUMBER.match(written)
        if match is None:
            raise Unclear("its minutes are no number")
        return float(match[1].replace(",", "."))


def causes_left(decision: Decision, answers: Mapping[str, str], verdict: str, end: str) -> tuple[str, ...]:
    """The causes that verdict and answers leave.

    Raises
    ------
    Unclear
        When the answers exclude every cause that the verdict names.
    """
    if verdict == "other":
        return ()
    # An answer that led to a fix whose proof failed, and the fix itself, exclude nothing wrongly: proofs are not answers.
    search = OpenInquiry(decision, {name: a for name, a in answers.items() if a != NOT_PROVED})
    left = [suspect.cause for suspect in search.suspects]
    if verdict != "finding":
        return tuple(cause for cause in decision.causes if cause in left)
    named = decision.findings[end].causes
    both = tuple(cause for cause in named if cause in left)
    if answers and named and not both:
        raise Unclear(f"its answers exclude what '{end}' names")
    return both or tuple(named)


def closed_of_case(case: Case) -> list[ClosedCase]:
    """The closed case of a case file, and for each earlier entry of its search one that led elsewhere.

    Raises
    ------
    Unclear
        When the case is still open, or its answers exclude its verdict.
    """
    verdict = case.file.verdict
    if verdict is None:
        raise Unclear("has no verdict yet")
    named = verdict.entry or case.entry.id
    kind = (
        "finding"
        if verdict.finding
        else "hand-over"
        if verdict.hand_over
        else "other"
        if verdict.other
        else "nothing"
    )
    end = verdict.finding or verdict.hand_over or (verdict.other.words[:80] if verdict.other else "")
    found, history = [], case.search.history or ""
    for leg in case.legs:
        own = leg.decision.entry.id == named
        how, where = (kind, end) if own else ("elsewhere", "")
        answers = {node: answer for node, answer in leg.answers.items() if node in leg.decision.checks}
        left = causes_left(leg.decision, answers, how, where)
        found.append(ClosedCase(leg.decision.entry.id, history, case.display.id, how, where, left,
                                own and verdict.proved, case.file.minutes if own else None, own and case.file.came_back))  # fmt: skip
    if all(closed.entry != named for closed in found):
        raise Unclear("its verdict is that of an entry to which no answer led")
    return found
