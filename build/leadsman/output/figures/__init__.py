"""Pictures where people would rather look than read, drawn with the numbers of one edition.

One module a subject: each function takes the numbers of the edition and yields its pictures, none where the
content lacks what they show. Charts are drawn by matplotlib, diagrams on :class:`.drawing.Drawing`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import get_args

from leadsman.content.catalogue import WORDS_ALONE, Catalogue
from leadsman.content.model.fault import CardPicture
from leadsman.errors import OutputError
from leadsman.output.figures import (
    afloat,
    beam,
    chain,
    charts,
    echogram,
    hull,
    pins,
    screens,
    suitability,
    supply,
    swaps,
    transom,
)
from leadsman.output.figures.figure import Figure
from leadsman.output.figures.numbers import Numbers

__all__ = ["ON_CARDS", "Figure", "card_figures", "figures"]

Draw = Callable[[Numbers], Iterator[Figure]]

#: The pictures that a card may carry, by the name that an entry gives; they fit its live area.
ON_CARDS: dict[CardPicture, Draw] = {
    "probes": supply.probes,
    "voltage-ladder": supply.voltage_ladder,
    "hull-section": hull.hull_section,
    "transom-clearances": transom.transom_clearances,
    "dead-zone": echogram.dead_zone,
}
#: All of them, in the order of the handbook's list.
DRAWN: tuple[Draw, ...] = (
    supply.probes,
    supply.voltage_ladder,
    charts.longest_run,
    pins.plug_pins,
    charts.thermistor,
    swaps.swap_matrix,
    hull.hull_section,
    hull.fairing_block,
    transom.transom_clearances,
    echogram.dead_zone,
    beam.beam_on_slope,
    suitability.suitability,
    charts.readable_depths,
    chain.chain,
    chain.pulse,
    chain.fuse_ends,
    chain.legs,
    chain.shield,
    chain.backbone,
    afloat.pin_states,
    afloat.bracket,
    afloat.levels,
    afloat.hulls,
    screens.screen_faults,
    screens.fronts,
)


#: The charts, which take seconds to draw. A guide has none, unless a page of its edition names one.
SLOW: tuple[Draw, ...] = (
    charts.longest_run,
    charts.thermistor,
    suitability.suitability,
    charts.readable_depths,
)

#: The pictures of each system of units and each language by what draws them, with the records that they were drawn from.
_drawn: dict[tuple[str, str], tuple[list[object], dict[Draw, list[Figure]]]] = {}


def figures(
    catalogue: Catalogue, units: str = "metric", language: str = "en", *, slow: bool = True
) -> list[Figure]:
    """All pictures of an edition, with the numbers of its content; each is drawn once for the same records.

    Without ``slow`` the charts are left out.
    """
    records = {kind: found for kind, found in catalogue.records.items() if kind not in WORDS_ALONE}
    behind = [record for found in records.values() for record in found.values()]
    known = _drawn.get((units, language))
    if known is None or [id(r) for r in known[0]] != [id(r) for r in behind]:
        known = _drawn[units, language] = (behind, {})
    drawn = known[1]
    wanted = DRAWN if slow else [draw for draw in DRAWN if draw not in SLOW]
    if missing := [draw for draw in wanted if draw not in drawn]:
        shown = replace(catalogue, records=records)
        # No table is made of the records that are left out.
        shown.kept = catalogue.kept
        numbers = Numbers(shown, units, language)
        drawn.update({draw: list(draw(numbers)) for draw in missing})
    return [figure for draw in wanted for figure in drawn[draw]]


def card_figures(catalogue: Catalogue, units: str, language: str, wanted: Iterable[str]) -> dict[str, Figure]:
    """The named pictures for a deck.

    Raises
    ------
    OutputError
        Where the content lacks what a picture shows.
    """
    numbers = Numbers(catalogue, units, language)
    found = {}
    for name in get_args(CardPicture):
        if name in set(wanted):
            drawn = next(iter(ON_CARDS[name](numbers)), None)
            if drawn is None:
                raise OutputError(
                    f"the card picture '{name}' cannot be drawn: the content lacks the boats, transducers or tables "
                    "whose numbers it shows; take 'card_picture' out of the entry"
                )
            found[name] = drawn
    return found
