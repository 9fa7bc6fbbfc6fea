"""What the words of a check give to read by: its limits, its tables."""

from __future__ import annotations

import math

from leadsman.content.decision import ResolvedCheck
from leadsman.drill.case import Case


def see(check: ResolvedCheck | None) -> str:
    return str(check.body.see) if check else ""


def limits_of(case: Case, check: ResolvedCheck | None, wanted: int) -> list[float]:
    """The numbers of the question; too few mean that the card gives no limit to read by."""
    found = case.card.limits(see(check), case.fitted.family.id, case.fitted.boat.supply.nominal_v)
    return found + [math.nan] * (wanted - len(found))


def texts(check: ResolvedCheck | None) -> list[str]:
    if check is None:
        return []
    return [str(check.body.see), str(check.body.do), *(str(h) for h in check.body.how)]
