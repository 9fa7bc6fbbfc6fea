"""What a case needs: what to bring to the boat, and what to order, each with how likely it is wanted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from leadsman.arguments import read_input
from leadsman.book.inputs import family_inputs
from leadsman.compute.hull.tilt import element_choice
from leadsman.compute.registry import NoAnswer, OutOfRange, formulas
from leadsman.compute.supply.fuses import unit_fuse
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import ENTRY_PREFIX, Decision, follow_answers
from leadsman.content.inquiry import Inquiry
from leadsman.content.model.equipment import Band, Boat, Family, Transducer
from leadsman.content.model.fault import HISTORIES

#: Two bands are one when their middles lie no further apart than this share (choice: half of an ordinary bandwidth).
_SAME_BAND = 0.1
#: Parts whose renewal is an order for a transducer.
TRANSDUCER_PARTS = ("cable", "element", "plug", "mounting")


@dataclass(frozen=True)
class Need:
    """Something to bring: its id and how likely it is wanted (0 to 1)."""

    tool: str
    likelihood: float


@dataclass(frozen=True)
class Borrowed:
    """A transducer that could be lent for a swap, and what stands against it."""

    transducer: Transducer
    reasons: tuple[str, ...]
    """Of ``list``, ``band``, ``power`` and ``pins``: what does not fit."""

    @property
    def fits(self) -> bool:
        """Whether a swap with it proves anything."""
        return not self.reasons


@dataclass(frozen=True)
class Order:
    """A part that may have to be ordered: the component, how likely, and what the order must say."""

    component: str
    likelihood: float


@dataclass(frozen=True)
class FuseRange:
    """Ratings that are right for the lead of a boat [A]; none when conductor and unit do not go together."""

    least_a: float
    greatest_a: float


def needs(inquiry: Inquiry) -> list[Need]:
    """The tools of the steps that are left and of the fixes they may end in, the likeliest first.

    Where a way leaves the card, those of the card that it leads to count as well: both are carried to one boat.
    """
    decision = inquiry.decision
    found: dict[str, float] = {}
    for suspect in inquiry.suspects:
        way = way_under(inquiry, suspect.cause)
        wanted = _tools_of(decision, (node for node in way if node not in inquiry.answers))
        wanted |= _tools_beyond(inquiry, way, suspect.cause)
        for tool in wanted:
            found[tool] = found.get(tool, 0.0) + suspect.likelihood
    order = list(decision.catalogue.records["tools"])
    return [
        Need(t, min(1.0, p))
        for t, p in sorted(found.items(), key=lambda i: (-round(i[1], 6), order.index(i[0])))
    ]


def _tools_of(decision: Decision, nodes: Iterable[str]) -> set[str]:
    wanted: set[str] = set()
    for node in nodes:
        if node in decision.checks:
            wanted |= set(decision.checks[node].body.tools)
        if node in decision.findings:
            wanted |= set(decision.findings[node].tools)
    return wanted


def _tools_beyond(inquiry: Inquiry, way: list[str], cause: str) -> set[str]:
    """The tools of the next card, if the way leads to one, under the cause there that lies in the same part."""
    decision = inquiry.decision
    if len(way) < 2 or not way[-1].startswith(ENTRY_PREFIX) or way[-2] not in decision.checks:
        return set()
    said = inquiry.answers.get(way[-2]) or _under(decision, cause, way[-2])
    outcome = decision.checks[way[-2]].outcomes[str(said)]
    other = Decision(decision.catalogue.faults[way[-1].removeprefix(ENTRY_PREFIX)], decision.catalogue)
    part = decision.causes[cause].component
    there = next((c.id for c in other.causes.values() if c.component == part), "")
    ahead = _way(other, dict(outcome.known), str(outcome.at or other.start), there)
    return _tools_of(other, (node for node in ahead if node not in outcome.known))


def way_under(inquiry: Inquiry, cause: str) -> list[str]:
    """The nodes from the first check to the end, as answered and then as the cause would answer."""
    return _way(inquiry.decision, dict(inquiry.answers), inquiry.start, cause)


def _way(decision: Decision, answers: dict[str, str], start: str, cause: str) -> list[str]:
    while True:
        path = follow_answers(decision, answers, start)
        node = path.end.id
        answer = _under(decision, cause, node)
        if answer is None or node in answers:
            return [step.node.id for step in path.steps]
        answers[node] = answer


def _under(decision: Decision, cause: str, node: str) -> str | None:
    check = decision.checks.get(node)
    if check is not None:
        return HISTORIES[0] if HISTORIES[0] in check.outcomes else check.answer_for(cause)
    finding = decision.findings.get(node)
    return "not proved" if finding is not None and cause not in finding.causes else None


def lent_transducers(display: Family, fitted: Transducer, catalogue: Catalogue) -> Iterator[Borrowed]:
    """Each transducer with what stands against lending it: the list of the display, band, power, pins."""
    for transducer in catalogue.transducers.values():
        yield Borrowed(transducer, tuple(_misfits(display, fitted, transducer)))


def _misfits(display: Family, fitted: Transducer, lent: Transducer) -> Iterator[str]:
    if lent.id not in display.transducers:
        yield "list"
    pairs = [(band, _like(band, lent)) for band in fitted.bands]
    if any(other is None for _, other in pairs):
        yield "band"
    # The display drives the borrowed element as it drives the fitted one.
    if any(other is not None and other.power_w < band.power_w for band, other in pairs):
        yield "power"
    if _pins(lent) != _pins(fitted):
        yield "pins"


def _like(band: Band, transducer: Transducer) -> Band | None:
    near = [
        other
        for other in transducer.bands
        if other.looks == band.looks
        and abs(other.frequency_khz - band.frequency_khz) <= _SAME_BAND * band.frequency_khz
    ]
    return min(near, key=lambda other: abs(other.frequency_khz - band.frequency_khz), default=None)


def _pins(transducer: Transducer) -> list[tuple[str, str]]:
    return sorted((str(pin.pair), pin.what) for pin in transducer.pins)


def orders(inquiry: Inquiry) -> list[Order]:
    """The components that are still suspect, the likeliest first."""
    found: dict[str, float] = {}
    for suspect in inquiry.suspects:
        component = inquiry.decision.causes[suspect.cause].component
        found[component] = found.get(component, 0.0) + suspect.likelihood
    return [Order(name, share) for name, share in sorted(found.items(), key=lambda item: -item[1])]


def element_for(boat: Boat, transducer: Transducer) -> float | None:
    """The tilt of the element that this hull wants, of those that the transducer comes with [deg]; none serves: None."""
    if transducer.housing != "through-hull" or boat.face_levelled:
        return transducer.element_tilts_deg[0]
    try:
        chosen = element_choice(deadrise_deg=boat.deadrise_deg, running_trim_deg=boat.running_trim_deg)
    except OutOfRange:
        return None
    for named in (str(chosen.element), str(chosen.also)):
        if named.replace(".", "").isdigit() and float(named) in transducer.element_tilts_deg:
            return float(named)
    return None


def fuse_for(boat: Boat, catalogue: Catalogue) -> FuseRange | None:
    """The fuse ratings that are right for the lead: above the unit's current at its lowest volts, never above
    what the conductor bears nor what the unit's maker states."""
    return fuse_of_lead(
        catalogue.families[boat.display],
        str(boat.supply.conductor),
        float(boat.supply.nominal_v),
        catalogue,
    )


def fuse_of_lead(family: Family, conductor: str, nominal_v: float, catalogue: Catalogue) -> FuseRange | None:
    """The same for any lead of a display: its conductor, and the nominal volts of the battery."""
    given = family_inputs(family)
    drop = str(catalogue.records["assumptions"]["working-drop"].value)
    _, working_drop_pct = read_input(formulas()["supply.unit_fuse"], "working_drop", drop)
    try:
        found = unit_fuse(
            unit_power_w=given["unit_power_w"], low_limit_v=given["low_limit_v"], nominal_v=nominal_v,
            working_drop_pct=working_drop_pct, conductor=conductor, maker_fuse_a=given["maker_fuse_a"],
        )  # fmt: skip
    except (NoAnswer, OutOfRange):
        return None
    return FuseRange(float(found.rating), float(found.greatest))
