"""The columns of a customer list, and how the first line of a list names them."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Sequence

from leadsman.errors import quoted

#: Columns that name a person or one boat: they go onto the guide's own pages and nowhere else.
PERSONAL = ("owner", "boat", "display_serial", "transducer_serial")
#: Columns with a quantity: the boat's field and its unit.
QUANTITIES = {
    "element_tilt": ("element_tilt_deg", "deg"),
    "deadrise": ("deadrise_deg", "deg"),
    "running_trim": ("running_trim_deg", "deg"),
    "shaft_angle": ("shaft_angle_deg", "deg"),
    "face_immersion": ("face_immersion_m", "m"),
    "laminate": ("laminate_mm", "mm"),
    "system_volts": ("nominal_v", "V"),
    "lead_length": ("lead_length_m", "m"),
    "fuse": ("fuse_a", "A"),
}
#: Every column, with what it says.
COLUMNS = {
    "id": "needed; small letters, digits and hyphens, a customer's number, say; the name of the guide's file",
    "like": "needed; the boat of the content whose hull, lead and equipment hold where the row says nothing else",
    "owner": "the owner's name for the cover",
    "boat": "the boat's name for the cover",
    "display": "display family",
    "transducer": "transducer",
    "waters": "usual waters, separated by spaces or semicolons (a list in YAML)",
    "element_tilt": "tilt of the element: 12 deg",
    "deadrise": "deadrise at the transducer's station: 18 deg",
    "running_trim": "running trim at cruise: 3 deg",
    "shaft_angle": "slope of the mounting surface: 8 deg",
    "face_immersion": "depth of the face below the surface: 0.35 m or 14 in",
    "laminate": "solid laminate under an in-hull transducer: 12 mm",
    "system_volts": "volts of the boat's system: 12 V or 24 V",
    "lead_length": "one-way length of the supply lead: 5 m or 16 ft",
    "conductor": "conductor of the supply lead: 14 AWG or 2.5 mm2",
    "fuse": "fuse of the supply lead: 5 A",
    "display_serial": "serial number of the display",
    "transducer_serial": "serial number of the transducer",
    "units": "metric or us; left out, as the edition or the command says",
}
NEEDED = ("id", "like")
#: So many of a dealer's own columns are named one by one.
_MOST_NAMED = 12
#: How alike a word must be to a column to be taken for a misspelling of it.
_LIKENESS = 0.7


def column_of(head: str) -> str:
    """A head of a list as the columns are written: ``Lead Length`` is ``lead_length``."""
    return re.sub(r"[\s_-]+", "_", head.strip().casefold())


def misspelt(head: str, taken: Sequence[str]) -> str | None:
    """The column that a head may be meant for; none that the list has under its own name."""
    free = [column for column in COLUMNS if column not in taken]
    return next(iter(difflib.get_close_matches(column_of(head), free, 1, _LIKENESS)), None)


def unused(heads: Sequence[str], taken: Sequence[str]) -> str:
    """What is said of columns that no guide uses, each with the one that it may be meant for.

    Examples
    --------
    >>> unused(["Kundennummer", "Ownr"], ["id", "like"])
    "not used: 'Kundennummer', 'Ownr' (did you mean 'owner'?)"
    """
    told = []
    for head in heads[:_MOST_NAMED]:
        near = misspelt(head, taken)
        told.append(f"'{quoted(head)}'" + (f" (did you mean '{near}'?)" if near else ""))
    more = len(heads) - _MOST_NAMED
    return f"not used: {', '.join(told)}" + (f" and {more} more" if more > 0 else "")


def head_faults(columns: Sequence[str]) -> Iterator[tuple[int, str, str]]:
    """What keeps a list from being understood: the number of the column, what is wrong, and what to do."""
    for number, column in enumerate(columns):
        if column in COLUMNS and column in columns[:number]:
            yield number, f"the column '{column}' stands twice", "keep one of them"
    for column in (name for name in NEEDED if name not in columns):
        yield (
            0,
            f"the column '{column}' is missing",
            ("the first line names the columns; leadsman guides --columns lists them"),
        )
