"""Hazards in the caller's first words: none may stand only at the step where it is too late."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content.model.reference import SIGNALS
from leadsman.content.rules import Context, rule
from leadsman.errors import Problem


@rule(
    "hazard-coverage",
    "Each caution of the word DANGER belongs to a hazard, which stands before step 1.",
    scope="rest",
)
def hazard_coverage(context: Context) -> Iterator[Problem]:
    """A danger that stands at a later step alone comes too late for a caller who is in it already."""
    catalogue = context.catalogue
    if not catalogue.hazards:
        return
    covered = {name for hazard in catalogue.hazards.values() for name in hazard.cautions}
    for name, caution in catalogue.cautions.items():
        if caution.signal == SIGNALS[0] and name not in covered:
            yield catalogue.problem("cautions", name, ("signal",), f"the DANGER '{name}' belongs to no hazard",
                                    "name it under 'cautions' of a hazard in hazards.yaml, or add one")  # fmt: skip


@rule("hazard-signal", "The signal word of a hazard is no milder than those of its cautions.", scope="rest")
def hazard_signal(context: Context) -> Iterator[Problem]:
    """Signal words keep their standard meanings wherever one danger is named."""
    for name, hazard in context.catalogue.hazards.items():
        for index, caution_id in enumerate(hazard.cautions):
            caution = context.catalogue.cautions.get(caution_id)
            if caution is not None and SIGNALS.index(caution.signal) < SIGNALS.index(hazard.signal):
                yield context.catalogue.problem("hazards", name, ("cautions", index),
                                                f"{hazard.signal} is milder than the {caution.signal} '{caution_id}'",
                                                f"write 'signal: {caution.signal}'")  # fmt: skip


@rule("hazard-bears", "Each hazard bears on an entry.", scope="book")
def hazard_bears(context: Context) -> Iterator[Problem]:
    """A hazard without an entry is one that no reader meets before a step."""
    # One that bears on the card that an entry goes on with bears on that card too.
    bearing = {name for facts in context.facts.values() for name in facts.hazards}
    for name in context.catalogue.hazards:
        if name not in bearing:
            yield context.catalogue.problem("hazards", name, (), f"the hazard '{name}' bears on no entry",
                                            "name its cautions, areas, access, signs or phrases")  # fmt: skip
