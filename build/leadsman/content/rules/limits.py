"""Numbers that must fit each other: within their bands, in their order, and the same wherever one is taken."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from leadsman.compute.rounding import exceeds, falls_short
from leadsman.content import prose
from leadsman.content.links import named_in_given
from leadsman.content.model.reference import Value
from leadsman.content.model.table import Table
from leadsman.content.rules import Context, rule
from leadsman.content.rules.language import ends
from leadsman.errors import LeadsmanError, Problem
from leadsman.units import Quantity, convert, parse

#: Two declared numbers count as the same within this share: figures of the trade are printed rounded.
_SAME = 0.01


@rule(
    "value-band",
    "A declared value lies inside its band; one that a step, a proof or a table takes has one.",
    scope="book",
)
def value_band(context: Context) -> Iterator[Problem]:
    """Whoever moves a limit outside its band moves the band too, with a source."""
    catalogue = context.catalogue
    taken = {name for mentions in context.mentions() for name in mentions.taken}
    for name, value in catalogue.values.items():
        if value.declared is None or value.unitless:
            continue
        if not value.band:
            if name in taken:
                yield catalogue.problem("values", name, ("declared",), f"'{value.declared}' is a limit without a band",
                                        "add 'band: [least, greatest]': between which it may lie")  # fmt: skip
            continue
        # One that lost its unit is told by the rule 'declared-unit'.
        if re.search(r"[^-+0-9., to]", value.declared) and not _inside(value.declared, value.band):
            yield catalogue.problem("values", name, ("declared",), f"'{value.declared}' lies outside its band, {' to '.join(value.band)}",
                                    "correct it, or move the band and name the source")  # fmt: skip


def _inside(text: str, band: Sequence[str]) -> bool:
    """Whether every end of a number lies between those of its band; what is no number lies nowhere."""
    try:
        low, high = ends(band[0])[0], ends(band[-1])[-1]
        return not any(
            falls_short(convert(part.value, part.unit, low.unit), low.value)
            or exceeds(convert(part.value, part.unit, high.unit), high.value)
            for part in ends(text)
        )
    except LeadsmanError:
        return False


@rule("limit-order", "A value stands below those that it names as above it.", scope="equipment")
def limit_order(context: Context) -> Iterator[Problem]:
    """Good beyond bad, sound volts below those at fault; computed ones are compared where they are computed."""
    values = context.catalogue.values
    for name, value in values.items():
        for index, above in enumerate(value.below):
            other = values.get(above)
            if value.declared is None or other is None or other.declared is None:
                continue
            if not _in_order(value.declared, other.declared):
                yield context.catalogue.problem("values", name, ("below", index), f"'{value.declared}' is not below '{above}', {other.declared}",
                                                "correct one of them")  # fmt: skip


def _in_order(text: str, above: str) -> bool:
    try:
        low, high = ends(text)[-1], ends(above)[0]
        return bool(convert(low.value, low.unit, high.unit) <= high.value)
    except LeadsmanError:
        return True  # What is no such number is told by other rules.


def _in(unit: str, text: str) -> float | None:
    """A number in a unit; none where the text is no such number."""
    try:
        return float(parse(text).to(unit).value)
    except LeadsmanError:
        return None


#: The lamp of the tools, the current that follows from it, and the greatest that tables count with.
LAMP, LAMP_CURRENT, LAMP_GREATEST = "test-lamp", "test-lamp-current", "lamp-current"
_LAMP_V = 12.0


@rule(
    "one-lamp",
    "One lamp current everywhere: that of the lamp's watts, and inside the band of the tables.",
    scope="equipment",
)
def one_lamp(context: Context) -> Iterator[Problem]:
    """Watts over twelve volts; every table takes the assumption."""
    catalogue = context.catalogue
    current, lamp = catalogue.values.get(LAMP_CURRENT), catalogue.values.get(LAMP)
    if current is None or current.declared is None:
        return
    amperes = _in("A", current.declared)
    if amperes is None:
        return  # The rule that computes the value says so.
    watts = _in("W", lamp.declared) if lamp is not None and lamp.declared is not None else None
    if watts is not None and not math.isclose(amperes, watts / _LAMP_V, rel_tol=_SAME):
        yield catalogue.problem("values", LAMP_CURRENT, ("declared",), f"a lamp of {watts:g} W draws {watts / _LAMP_V:.3g} A on {_LAMP_V:g} V",
                                "correct the lamp or its current")  # fmt: skip
    greatest = catalogue.records["assumptions"].get(LAMP_GREATEST)
    if greatest is not None and greatest.band:
        taken_a = _in("A", greatest.value)
        if not _inside(current.declared, greatest.band) or (taken_a is not None and taken_a < amperes):
            yield catalogue.problem("assumptions", LAMP_GREATEST, ("value",), f"the lamp draws {amperes:g} A, outside what the tables count with",
                                    "correct the assumption or its band")  # fmt: skip
    for name, table in catalogue.tables.items():
        taken = table.given.get("lamp_current")
        if taken is not None and taken != {"assumption": LAMP_GREATEST}:
            yield catalogue.problem("tables", name, ("given", "lamp_current"), "takes a lamp current of its own",
                                    f"write 'lamp_current: {{assumption: {LAMP_GREATEST}}}'")  # fmt: skip


#: The assumption whose band says what fuse and joints of a sound lead resist.
SOUND_CONTACTS = "sound-contacts"


@rule("boat-joints", "Fuse and joints of a boat resist what those of a sound lead do.", scope="equipment")
def boat_joints(context: Context) -> Iterator[Problem]:
    """The band of the assumption on sound contacts."""
    contacts = context.catalogue.records["assumptions"].get(SOUND_CONTACTS)
    if contacts is None or not contacts.band:
        return
    low, high = (_in("ohm", end) for end in (contacts.band[0], contacts.band[-1]))
    if low is None or high is None:
        return
    for name, boat in context.catalogue.boats.items():
        if not low <= boat.supply.contact_ohm <= high:
            yield context.catalogue.problem("boats", name, ("supply", "contact_ohm"),
                                            f"{boat.supply.contact_ohm:g} ohm lie outside those of a sound lead, {low:g} to {high:g} ohm",
                                            f"correct it, or the band of the assumption '{SOUND_CONTACTS}'")  # fmt: skip


@rule("assumption-band", "An assumption lies inside its own band.", scope="equipment")
def assumption_band(context: Context) -> Iterator[Problem]:
    """A number typed wrong falls out of the band beside it."""
    for name, assumption in context.catalogue.records["assumptions"].items():
        if not assumption.band:
            continue
        if not _inside(assumption.value, assumption.band):
            yield context.catalogue.problem("assumptions", name, ("value",), f"'{assumption.value}' lies outside its band, {' to '.join(assumption.band)}",
                                            "correct it, or move the band and name the source")  # fmt: skip


@rule("assumption-taken", "An assumption that a table lists is one that it takes.", scope="equipment")
def assumption_taken(context: Context) -> Iterator[Problem]:
    """A table that prints a number below itself and counts with another one misleads."""
    for name, table in context.catalogue.tables.items():
        taken = set(named_in_given(table.given, "assumption"))
        for index, listed in enumerate(table.assumptions):
            if listed not in taken:
                yield context.catalogue.problem("tables", name, ("assumptions", index), f"lists '{listed}' and does not take it",
                                                f"give it by '{{assumption: {listed}}}', or take it off the list")  # fmt: skip


@rule(
    "same-given",
    "Tables and values of one formula take the same given for the same input, or say why not.",
    scope="equipment",
)
def same_given(context: Context) -> Iterator[Problem]:
    """The given that most of them take is the right one; a single other one is told, and of two, the later."""
    catalogue = context.catalogue
    users: dict[tuple[str, str], list[tuple[str, str, Any]]] = {}
    for name, table in catalogue.tables.items():
        for key, given in table.given.items():
            users.setdefault((table.formula, key), []).append(("tables", name, given))
    for name, value in catalogue.values.items():
        computed = value.computed
        for key, given in computed.given.items() if computed is not None else ():
            # Values of one formula are there because they differ; beside a table they are one more printed place.
            beside = users.get((computed.formula, key), []) if computed is not None else []
            if any(kind == "tables" for kind, _, _ in beside):
                beside.append(("values", name, given))
    for (formula, key), found in users.items():
        plain = [user for user in found if not _differs(catalogue.tables.get(user[1]), key, user[0])]
        times = Counter(str(given) for _, _, given in plain)
        usual = max(times, key=times.__getitem__, default="")
        for kind, name, given in plain:
            if str(given) != usual:
                place = ("given", key) if kind == "tables" else ("computed", "given", key)
                yield catalogue.problem(kind, name, place, f"takes another '{key}' than the others of {formula}",
                                        f"take {usual}, or say under 'differs: {{{key}: ...}}' why not")  # fmt: skip


def _differs(table: Table | None, key: str, kind: str) -> bool:
    return kind == "tables" and table is not None and key in table.differs


@rule(
    "convention-value",
    "A value that a table's convention names is the one that the table takes.",
    scope="equipment",
)
def convention_value(context: Context) -> Iterator[Problem]:
    """By its unit: of the given of that kind of quantity, one is the value."""
    catalogue = context.catalogue
    for name, table in catalogue.tables.items():
        for reference in prose.references(table.convention):
            value = catalogue.values.get(reference.what) if reference.kind == "value" else None
            if value is None or value.declared is None or value.unitless:
                continue
            alike = [(key, given) for key, given in table.given.items() if _alike(given, value)]
            if alike and not any(_equal(given, value) for _, given in alike):
                yield catalogue.problem("tables", name, ("given", alike[0][0]), f"takes {alike[0][1]}, and the convention names {{value: {reference.what}}}, {value.declared}",
                                        f"write '{alike[0][0]}: {{value: {reference.what}}}'")  # fmt: skip


def _quantity(given: Any) -> Quantity | None:
    if not isinstance(given, str):
        return None
    try:
        return parse(given)
    except LeadsmanError:
        return None


def _alike(given: Any, value: Value) -> bool:
    """Whether a given is a number of the value's kind of quantity; one that names a record is that record's."""
    found = _quantity(given)
    if found is None or not found.unit:
        return False
    try:
        convert(found.value, found.unit, ends(str(value.declared))[0].unit)
    except LeadsmanError:
        return False
    return True


def _equal(given: Any, value: Value) -> bool:
    found, declared = _quantity(given), ends(str(value.declared))[0]
    return found is not None and math.isclose(convert(found.value, found.unit, declared.unit), declared.value)
