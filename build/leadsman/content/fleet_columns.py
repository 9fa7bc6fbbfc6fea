"""The columns of a customer list, and how the first line of a list names them."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Sequence

from leadsman.errors import counted, quoted
from leadsman.units import UNITS, UnitError, symbol

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
#: The columns in which a comma can only be a decimal sign where semicolons part the cells, and that have a unit.
MEASURES = (*QUANTITIES, "conductor")
#: A gauge of the American series counts as an area too.
_AREA = "mm2"
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
#: What stands around a head and says nothing: blanks, a colon, the asterisk of a needed column.
_MARGIN = " \t\n\u00a0\u202f:*"
#: So many of a dealer's own columns are named one by one.
_MOST_NAMED = 12
#: How alike a word must be to a column to be taken for a misspelling of it.
_LIKENESS = 0.7


def column_of(head: str) -> str:
    """A head of a list as the columns are written: ``Lead Length`` is ``lead_length``."""
    # A Turkish spreadsheet writes ID with a dot on its I.
    plain = head.replace("\u0130", "I").replace("\u0131", "i").strip(_MARGIN)
    return re.sub(r"[\s_-]+", "_", plain.casefold())


def column_and_unit(head: str) -> tuple[str, str]:
    """The column that a head names, and the unit that it names for all its cells, if any.

    Examples
    --------
    >>> column_and_unit("Lead Length (m)"), column_and_unit("conductor [mm²]"), column_and_unit("face_immersion_in")
    (('lead_length', 'm'), ('conductor', 'mm2'), ('face_immersion', 'in'))
    >>> column_and_unit("Fuse"), column_and_unit("Fuse (kg)")
    (('fuse', ''), ('fuse_(kg)', ''))
    """
    column = column_of(head)
    found = re.fullmatch(r"(\w+?)(?:_in)?(?:_?[(\[](.+)[)\]]|,_?([^_]+)|_([^_]+))", column)
    if column in COLUMNS or found is None or found[1] not in MEASURES:
        return column, ""
    try:
        unit = symbol("".join(filter(None, found.groups()[1:])))
    except UnitError:
        return column, ""
    wanted = QUANTITIES[found[1]][1] if found[1] in QUANTITIES else _AREA
    return (found[1], unit) if UNITS[unit].kind == UNITS[wanted].kind else (column, "")


def misspelt(head: str, taken: Sequence[str]) -> str | None:
    """The column that a head may be meant for; none that the list has under its own name."""
    free = [column for column in COLUMNS if column not in taken]
    return next(iter(difflib.get_close_matches(column_of(head), free, 1, _LIKENESS)), None)


def named(heads: Sequence[str], taken: Sequence[str]) -> str:
    """Heads of a list in quotes, each with the column that it may be meant for."""
    told = []
    for head in heads[:_MOST_NAMED]:
        near = None if column_and_unit(head)[0] in COLUMNS else misspelt(head, taken)
        told.append(f"'{quoted(head)}'" + (f" (did you mean '{near}'?)" if near else ""))
    more = len(heads) - _MOST_NAMED
    return ", ".join(told) + (f" and {more} more" if more > 0 else "")


def unused(heads: Sequence[str], taken: Sequence[str]) -> str:
    """What is said of columns that no guide uses, each with the one that it may be meant for.

    Examples
    --------
    >>> unused(["Kundennummer", "Ownr"], ["id", "like"])
    "not used: 'Kundennummer', 'Ownr' (did you mean 'owner'?)"
    """
    return f"not used: {named(heads, taken)}"


def head_faults(heads: Sequence[str], columns: Sequence[str]) -> Iterator[tuple[int, str, str]]:
    """What keeps a list from being understood: the number of the column, what is wrong, and what to do.

    The heads are repeated where one of them is a column of ours; else the first line may be a customer.
    """
    for number, column in enumerate(columns):
        if column in COLUMNS and column in columns[:number]:
            yield number, f"the column '{column}' stands twice", "keep one of them"
    missing = [name for name in NEEDED if name not in columns]
    if not missing:
        return
    if any(column in COLUMNS for column in columns):
        found = f"the first line has {named([head for head in heads if head], columns)}"
    else:
        found = f"the first line has {counted(len(heads), 'cell')}, and none names a column"
    which = " and ".join(f"'{column}'" for column in missing)
    what = f"the column {which} is missing" if len(missing) == 1 else f"the columns {which} are missing"
    yield 0, f"{what}; {found}", "the first line names the columns; leadsman guides --columns lists them"
