"""When to stop a search, and what the warranty forbids until the maker agrees."""

from __future__ import annotations

import calendar
from collections.abc import Iterator
from dataclasses import dataclass

from leadsman.book.case_needs import orders, way_under
from leadsman.book.views import FixView, view_entry
from leadsman.compute.diagnosis.replacing import replace_threshold
from leadsman.content.case_file import Case
from leadsman.content.decision import CANNOT, ENTRY_PREFIX
from leadsman.content.model.case import ACTIONS, Warranty
from leadsman.content.next_check import NextCheck, next_check
from leadsman.content.ordering import UNDER_LOAD

#: Parts that are renewed only after supply under load and software were checked.
CONDEMNED_LATE = frozenset({"display", "module", "adapter", "plug", "cable", "element"})
#: Minutes to prove that a part renewed outright was the fault (choice: one proof at full load).
PROOF_MINUTES = 10.0


@dataclass(frozen=True)
class Stop:
    """What to do about going on.

    ``verdict`` is ``go-on``, ``renew``, ``supply-first``, ``tells-nothing``, ``leads-on``, ``no-prices`` or ``ended``; sums are in the
    dealer's currency, a sum that is not known is None.
    """

    verdict: str
    part: str = ""
    chance: float = 0.0
    step: float | None = None
    """Cost of the next check."""
    search: float | None = None
    """Cost of searching on to a finding, on average."""
    price: float | None = None
    """Price of the likeliest part, fitted."""


def stop_advice(case: Case) -> Stop:
    """The next check's cost against what it can still tell and the price of the likeliest part."""
    if case.file.verdict is not None:
        return Stop("ended")
    following = next_check(case.search)
    if following is None:
        return Stop("leads-on" if _leads_on(case) else "tells-nothing")
    prices = case.file.prices
    if prices is None:
        return Stop("no-prices")
    step, search = (prices.hour * minutes / 60.0 for minutes in (following.minutes, following.minutes_left))
    # What has no price is a setting or a place: looking there costs its minutes and saves no part.
    likeliest = next((order for order in orders(case.search) if order.component in prices.parts), None)
    if likeliest is None:
        return Stop("no-prices", step=step, search=search)
    fitting = _fitting_minutes(case, likeliest.component)
    price = prices.parts[likeliest.component] + prices.hour * fitting / 60.0
    found = {
        "part": likeliest.component,
        "chance": likeliest.likelihood,
        "step": step,
        "search": search,
        "price": price,
    }
    if likeliest.likelihood <= _threshold(following, price, prices.hour):
        return Stop("go-on", **found)  # type: ignore[arg-type]
    if likeliest.component in CONDEMNED_LATE and not supply_and_software_checked(case):
        return Stop("supply-first", **found)  # type: ignore[arg-type]
    return Stop("renew", **found)  # type: ignore[arg-type]


def _leads_on(case: Case) -> bool:
    """Whether the card of a suspect goes on in another entry, though no check of this one convicts it."""
    search = case.search
    ends = {way_under(search, suspect.cause)[-1] for suspect in search.suspects}
    return any(end.startswith(ENTRY_PREFIX) for end in ends)


def _threshold(following: NextCheck, price: float, hour: float) -> float:
    """Chance above which renewing outright is cheaper than searching on."""
    replace = min(1000.0, max(0.1, 60.0 * price / hour))
    search = min(1000.0, following.minutes_left)
    return float(replace_threshold(inspect_min=search, replace_min=replace, verify_min=PROOF_MINUTES))


def _fitting_minutes(case: Case, component: str) -> float:
    decision = case.search.decision
    parts = {cause.id for cause in decision.entry.causes if cause.component == component}
    naming = [f for f in decision.findings.values() if parts & set(f.causes)]
    return min((f.minutes for f in sorted(naming, key=lambda f: len(f.causes))), default=60.0)


def supply_and_software_checked(case: Case) -> bool:
    """Whether the supply was measured under load and the software was looked at, in any entry of the case."""
    measured = looked = False
    for leg in case.legs:
        for node, answer in leg.answers.items():
            check = leg.decision.checks.get(node)
            if check is not None and answer != CANNOT:
                measured |= check.supply_step in UNDER_LOAD
                looked |= "software" in check.body.tests
    return measured and (looked or case.file.software_checked)


@dataclass(frozen=True)
class WarrantyState:
    """Whether a warranty runs on the last day of the case, to when, and what it forbids."""

    runs: bool
    until: str
    forbidden: tuple[str, ...]


def warranty_state(case: Case) -> WarrantyState | None:
    """The state of the warranty; ``None`` when nothing is known of it."""
    warranty = case.file.warranty
    if warranty is None:
        return None
    until = add_months(warranty.bought, warranty.months)
    runs = case.last_date <= until
    return WarrantyState(runs, until, tuple(_forbidden(warranty)) if runs else ())


def _forbidden(warranty: Warranty) -> Iterator[str]:
    yield from (action for action in ACTIONS if action not in warranty.agreed)


def add_months(date: str, months: int) -> str:
    """The same day so many months later; of a shorter month its last day.

    Examples
    --------
    >>> add_months("2024-08-31", 6)
    '2025-02-28'
    """
    year, month, day = (int(part) for part in date.split("-"))
    number = year * 12 + month - 1 + months
    year, month = number // 12, number % 12 + 1
    return f"{year:04d}-{month:02d}-{min(day, calendar.monthrange(year, month)[1]):02d}"


def fixes_that_ask(case: Case, language: str = "en") -> list[tuple[FixView, tuple[str, ...]]]:
    """The fixes of what is still suspect that open, cut or update something, with what of it is forbidden."""
    state = warranty_state(case)
    forbidden = ACTIONS if state is None else state.forbidden
    words = case.catalogue.phrases(language).case.action_words
    suspects = {suspect.cause for suspect in case.search.suspects}
    found = []
    for fix in view_entry(case.search.decision).fixes:
        if not suspects & set(fix.finding.causes):
            continue
        told = " ".join(str(line) for line in fix.finding.remedy).casefold()
        asked = tuple(
            action for action in forbidden if any(str(word).casefold() in told for word in words[action])
        )
        if asked:
            found.append((fix, asked))
    return found
