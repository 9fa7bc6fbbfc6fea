"""The drilled technician: follows the printed card to the letter, errs as people err, and keeps a diary."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import CANNOT, ENTRY_PREFIX, Decision, ResolvedCheck, label
from leadsman.content.model.drill import DrilledCheck
from leadsman.content.model.fault import Finding, Outcome
from leadsman.drill import sensing
from leadsman.drill.actions import clear, larger_pair, lead_too_thin, renew
from leadsman.drill.case import Case, words
from leadsman.drill.faults import FAULTS, akin
from leadsman.drill.plans import answers_to, is_history, plan_of

#: Steps, and visits to one entry, after which anybody's patience ends.
MOST_STEPS = 90
MOST_VISITS = 3
#: Components of which a wrong remedy is no renewed part.
SOFT = {"settings", "water"}
_TRANSDUCER = {"plug", "cable", "element"}


@dataclass
class Walk:
    """What came of one walk."""

    entry: str
    cause: str
    end: str = ""
    """finding, hand-over, patience or stranded."""
    last_entry: str = ""
    last_node: str = ""
    right: bool = False
    convicted: list[str] = field(default_factory=list)
    """Findings whose remedy did not cure: entry/finding."""
    condemned: list[str] = field(default_factory=list)
    """Among them, those that renewed a part of the sounder, and ends that renewed a sound one."""
    minutes: float = 0.0
    own_minutes: float = 0.0
    """Of these, on the entry's own card."""
    remedy_minutes: float = 0.0
    steps: int = 0
    rounds: int = 0
    """How often an entry was come back to."""
    unmapped: int = 0
    by_reading: bool = False
    """The last answer was a reading outside what the card allows."""
    edges: set[tuple[str, str, str]] = field(default_factory=set)
    diary: list[str] = field(default_factory=list)


@dataclass
class Technician:
    """One person with a card in hand."""

    catalogue: Catalogue
    decisions: dict[str, Decision]
    rng: np.random.Generator
    errors: float = 1.0
    telephone: bool = False
    writes: bool = False
    care: float = 1.0

    def __post_init__(self) -> None:
        self.care = sensing.person(self.rng)

    def walk(self, case: Case, entry: str, cause: str, at_fault: set[str], start: str = "") -> Walk:
        """From the first step of an entry to an end; ``start`` is where the index of signs has led."""
        walk = Walk(entry, cause, last_entry=entry)
        entry = start or entry
        opened: set[str] = set()
        done: dict[tuple[object, ...], str] = {}
        visits = {entry: 1}
        decision = self.decisions[entry]
        node = decision.start
        crossing: Outcome | None = None
        known: dict[str, str] = {}
        sent: list[tuple[Decision, ResolvedCheck]] = []
        self._write(walk, f"{decision.entry.code} {decision.entry.title}: {case.fitted.boat.name}, "
                          f"{case.fitted.family.name}, {case.fitted.transducer.name}, {case.fitted.water.name}, "
                          f"{'summer' if case.fitted.summer else 'winter'}, {case.fitted.history}")  # fmt: skip
        while True:
            if walk.steps > MOST_STEPS:
                walk.end = "patience"
                break
            walk.last_entry, walk.last_node = decision.entry.id, node
            if node.startswith(ENTRY_PREFIX):
                target = node.removeprefix(ENTRY_PREFIX)
                if target not in self.decisions:
                    walk.end = "stranded"
                    break
                visits[target] = visits.get(target, 0) + 1
                walk.rounds += visits[target] > 1
                if visits[target] > MOST_VISITS:
                    walk.end = "patience"
                    break
                decision = self.decisions[target]
                # The way between two cards names the step at which to go on, and what is known there already.
                node = crossing.at if crossing and crossing.at in decision.checks else decision.start
                known = dict(crossing.known) if crossing else {}
                self._write(walk, f"-> {decision.entry.code} {decision.entry.title}")
            elif node in decision.checks:
                check = decision.checks[node]
                if node in known:
                    answer = known.pop(node)
                    walk.edges.add((decision.entry.id, node, answer))
                else:
                    answer = self._check(walk, case, decision, check, opened, done)
                crossing = check.outcomes[answer]
                node = decision.target(crossing)
                if node.startswith(ENTRY_PREFIX):
                    if check.supply_step == "P0":
                        sent.append((decision, check))
                    elif sent and check.supply_step == "P5" and answer == check.default_answer():
                        decision, node = self._back(walk, *sent.pop())
            elif node in decision.findings:
                away = bool(sent) and decision is not sent[-1][0]
                following = self._finding(walk, case, decision, decision.findings[node], at_fault, done, away)
                if following is None:
                    break
                node = following
                if away and not case.holds("own-volts-low", sent[-1][1]):
                    walk.minutes += sent[-1][1].body.minutes
                    decision, node = self._back(walk, *sent.pop())
            elif node in decision.hand_overs:
                walk.end = "hand-over"
                self._write(walk, f"hand over: {decision.hand_overs[node].says}")
                break
            else:
                walk.end = "stranded"
                break
        return walk

    def _back(self, walk: Walk, decision: Decision, check: ResolvedCheck) -> tuple[Decision, str]:
        """By the rule on the first page: who was sent away by own volts comes back once the feed is right or cleared."""
        onward = check.default_answer() or CANNOT
        walk.by_reading = False
        self._write(walk, f"<- {decision.entry.code} {decision.entry.title}, after {check.id}")
        return decision, decision.target(check.outcomes[onward])

    # --- one check

    def _check(self, walk: Walk, case: Case, decision: Decision, check: ResolvedCheck, opened: set[str],
               done: dict[tuple[object, ...], str]) -> str:  # fmt: skip
        walk.steps += 1
        # A repeated observation of an unchanged boat is read from the notes.
        key = (check.observation, frozenset(case.state.flags), case.state.band, frozenset(check.outcomes))
        if key in done and not is_history(check):
            answer = done[key]
            again = True
        else:
            answer = self._answer(walk, case, decision, check)
            again = False
            after = (
                check.observation,
                frozenset(case.state.flags),
                case.state.band,
                frozenset(check.outcomes),
            )
            done[key] = done[after] = answer
        normal = check.default_answer()
        walk.by_reading = check.body.kind in ("measure", "read") and answer not in (CANNOT, normal)
        if answer not in check.outcomes:
            answer = CANNOT if CANNOT in check.outcomes else next(iter(check.outcomes))
        walk.edges.add((decision.entry.id, check.id, answer))
        if answer != CANNOT and not again:
            setup = decision.setup_minutes.get(check.body.access, 0.0)
            spent = check.body.minutes + (0.0 if check.body.access in opened else setup)
            walk.minutes += spent
            walk.own_minutes += spent if decision.entry.id == walk.entry else 0.0
            opened.add(check.body.access)
        if self.writes:
            do = case.card.plain(check.body.do, case.fitted.family.id)
            told = label(answer, check.outcomes[answer], self.catalogue)
            notes = f" [{'; '.join(case.notes)}]" if case.notes else ""
            self._write(walk, f"  {walk.minutes:4.0f} min  {check.id}: {do}{notes} {told}")
        case.notes.clear()
        return answer

    def _answer(self, walk: Walk, case: Case, decision: Decision, check: ResolvedCheck) -> str:
        if is_history(check):
            return case.fitted.history
        body = check.body
        if self.telephone and not (body.owner_safe and body.access == "helm"):
            return CANNOT
        drilled = answers_to(self.catalogue, decision.entry.id, check)
        if drilled is None:
            walk.unmapped += 1
            return CANNOT
        if self.rng.random() < sensing.CANNOT_DO * min(self.errors, 1.0):
            return CANNOT
        if self._impossible(case, check):
            return CANNOT
        normal = next((a for a in check.outcomes if a != CANNOT and a not in drilled.answers), "yes")
        if self._slips(sensing.OMITS_TICKED_STEP if case.fitted.ticked else sensing.OMITS_STEP):
            return normal
        true = self._true_answer(case, check, drilled, normal)
        return self._erring(check, true, normal)

    def _true_answer(self, case: Case, check: ResolvedCheck, drilled: DrilledCheck, normal: str) -> str:
        if drilled.swap:
            body_swap = check.body.swap
            parts = list(body_swap.part) if body_swap else list(drilled.swap)
            carried = list(body_swap.carries) if body_swap else []
            answer = case.swapped(parts, carried)
            listed = next((a for a, e in drilled.answers.items() if e and a in check.outcomes and case.holds(e, check)), None)  # fmt: skip
            return listed or answer
        kept = case.state.copy()
        # What the eye finds is there before the hands put it right; whether it helped shows afterwards.
        before = {a: case.holds(e, check) for a, e in drilled.answers.items() if "cured" not in words(e)}
        for action in (*drilled.do, *drilled.trying):
            case.do(action)
        if "sound-supply" in drilled.trying and any("wake wire" in str(step) for step in check.body.how):
            case.do("feed-wake")
        answer = normal
        for name, expression in drilled.answers.items():
            holds = before[name] if name in before else case.holds(expression, check)
            if holds:
                answer = name
                break
        if drilled.trying:
            case.state = kept
            for action in drilled.do:
                case.do(action)
        return answer

    def _erring(self, check: ResolvedCheck, true: str, normal: str) -> str:
        answers = [a for a in check.outcomes if a != CANNOT]
        if self.telephone:
            chance = sensing.OWNER_ERRS
        elif check.body.kind in ("measure", "read"):
            chance = sensing.MISREADS_DIGITS + sensing.CHOOSES_WRONG_ITEM
        elif check.body.kind == "look":
            chance = sensing.MISREADS_PICTURE
        else:
            chance = sensing.CHOOSES_WRONG_ITEM
        if check.body.kind == "look" and true != normal and self._slips(sensing.OVERLOOKS):
            return normal
        if len(answers) > 1 and self._slips(chance):
            others = [a for a in answers if a != true]
            return others[int(self.rng.integers(len(others)))]
        return true

    def _impossible(self, case: Case, check: ResolvedCheck) -> bool:
        """What the boat does not have cannot be tried."""
        name = check.shared.id if check.shared else ""
        if name == "bypass-adapter" and not case.fitted.has_adapter:
            return True
        if name == "other-frequency" and len(case.fitted.pulses) < 2:
            return True
        if name == "look-in-hull" and not (case.fitted.in_hull or case.fitted.through_hull):
            return True
        return name == "temperature-shown" and case.fitted.transducer.thermistor is None

    def _slips(self, median: float) -> bool:
        return bool(self.rng.random() < min(1.0, median * self.care * self.errors))

    # --- an end

    def _finding(self, walk: Walk, case: Case, decision: Decision, finding: Finding, at_fault: set[str],
                 done: dict[tuple[object, ...], str], away: bool) -> str | None:  # fmt: skip
        components = {decision.causes[c].component for c in finding.causes if c in decision.causes}
        plan = plan_of(self.catalogue, decision.entry.id)
        named = {f for c in finding.causes for f in (plan.causes.get(c, []) if plan else [])}
        # A remedy mends what it was written for, and what is the same to the hands under another name.
        mended = {f for f in case.state.flags if f in named or any(akin(f, n) for n in named if n in FAULTS)}
        right = bool(mended)
        had = case.complaint()
        walk.remedy_minutes += finding.minutes
        faulty = {FAULTS[f].component for f in case.state.flags}
        clear(case.state, case.sound, list(mended))
        renewed = set(components) if finding.condemns else set()
        if finding.condemns and any("transducer" in str(step) for step in finding.remedy):
            # Plug, cable and element are one part: who renews the transducer renews them all.
            renewed |= _TRANSDUCER if components & _TRANSDUCER else set()
        if not case.insists:
            renew(case.state, case.sound, renewed - {"water"})
        thin = lead_too_thin(case.sound, case.fitted) and bool(
            components & {"supply-cable", "joints", "battery"}
        )
        if thin and "supply-cable" in components:
            larger_pair(case.state, case.sound)
        done.clear()
        gone = not case.complaint()
        self._write(
            walk, f"  {walk.minutes:4.0f} min  FOUND {finding.says}: {'cured' if gone else 'not cured'}"
        )
        where = f"{decision.entry.code}/{finding.id}"
        truth = right or bool(at_fault & renewed) or (bool(at_fault & components) and gone)
        # A lead that is too thin as fitted is a fault of this boat too; a new pair brings new joints and a new holder.
        truth = truth or (thin and had and gone and "supply-cable" in components)
        # Who was sent here with the sign already away proves nothing by its absence, and goes back.
        gone = gone and not (away and not had and not truth)
        if gone or (right and not had) or ("water" in at_fault and truth):
            walk.end, walk.right = "finding", truth
            if not truth and finding.condemns:
                walk.condemned.append(where)
            return None
        if thin:
            # The lead of this boat is truly too thin: that was a fault of its own, and it is mended now.
            return decision.after_failed_proof(finding)
        walk.convicted.append(where)
        harmless = bool(named) and all("no-fault" in FAULTS[f].shows for f in named if f in FAULTS)
        if (finding.condemns and not faulty & renewed) or (
            case.insists and walk.by_reading and components - SOFT and not harmless
        ):
            walk.condemned.append(where)
        if case.insists:
            walk.end = "finding"
            return None
        return decision.after_failed_proof(finding)

    def _write(self, walk: Walk, line: str) -> None:
        if self.writes:
            walk.diary.append(line)
