"""Which hazards bear on which entry: computed from what the entry declares, so that none can be forgotten."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.model.reference import SIGNALS, Hazard


def hazards_of(decision: Decision) -> tuple[tuple[str, Hazard], ...]:
    """The hazards that bear on an entry, the gravest first; of equals, as they are written."""
    return tuple(
        (name, hazard)
        for name, hazard in gravest_first(decision.catalogue)
        if next(reasons(decision, hazard), None)
    )


def gravest_first(catalogue: Catalogue) -> tuple[tuple[str, Hazard], ...]:
    """Every hazard of the content, the gravest first; of equals, as they are written."""
    return tuple(sorted(catalogue.hazards.items(), key=lambda item: SIGNALS.index(item[1].signal)))


def reasons(decision: Decision, hazard: Hazard) -> Iterator[str]:
    """Why a hazard bears on an entry, each reason in a word or two: its own, then those of the card it goes on with."""
    yield from own_reasons(decision, hazard)
    # Whoever calls may be at the steps of that card already.
    if (there := decision.continued) is not None:
        yield from (f"{there.entry.code}: {reason}" for reason in own_reasons(there, hazard))


def own_reasons(decision: Decision, hazard: Hazard) -> Iterator[str]:
    """The same for the entry by itself, whatever card it goes on with."""
    entry, checks = decision.entry, decision.checks.values()
    if entry.area in hazard.areas:
        yield f"area {entry.area}"
    carried = [caution for check in checks for caution in check.body.cautions]
    carried += [caution for finding in entry.findings for caution in finding.cautions]
    carried += [caution for hand_over in entry.hand_overs for caution in hand_over.cautions]
    yield from (f"caution {name}" for name in dict.fromkeys(carried) if name in hazard.cautions)
    places = dict.fromkeys(check.body.access for check in checks)
    yield from (f"access {name}" for name in places if name in hazard.access)
    seen = entry.condition
    groups = dict.fromkeys(group for sign in seen.signs for group in seen.groups(sign))
    yield from (f"sign {name}" for name in groups if name in hazard.signs)
    texts = [text for check in checks for text in check.body.instructions]
    texts += [text for finding in entry.findings for text in finding.remedy]
    told = " ".join(texts).casefold()
    yield from (f"phrase '{phrase}'" for phrase in hazard.phrases if phrase.casefold() in told)
