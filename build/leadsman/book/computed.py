"""Evaluate the tables and values that the content declares, with the provenance of every number."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import lru_cache
from typing import Any

from leadsman.arguments import read_arguments, read_input
from leadsman.book.inputs import (
    AxisItem,
    axis_records,
    boat_inputs,
    family_inputs,
    transducer_inputs,
    water_inputs,
)
from leadsman.compute.registry import ComputeError, Formula, NoAnswer, formulas
from leadsman.compute.supply.battery import WINDOW_V
from leadsman.compute.supply.plug_checks import ONE_BLOCK_V
from leadsman.content.catalogue import WORDS_ALONE, Catalogue
from leadsman.content.model.equipment import Family
from leadsman.content.model.reference import Assumption, Computation, Rounding, Shown, Value
from leadsman.content.model.table import Axis, Cell, CellEnd, Table
from leadsman.errors import LeadsmanError
from leadsman.units import (
    NARROW_NO_BREAK_SPACE,
    PAIRS,
    Quantity,
    UnitError,
    convert,
    parse,
    quantity_text,
    round_to,
    size_text,
    symbol,
)

#: Unit systems of an edition; the last is US with the depths in fathoms where the content gives them so.
UNIT_SYSTEMS = ("metric", "us", "us-fathoms")
#: How a formula is asked; the comparison of revisions asks an earlier one in its place.
Evaluate = Callable[[Formula, Mapping[str, Any]], Any]
#: The step of a converted number where the content gives none for US units.
_US_STEPS = {"ft": 1.0, "in": 0.1, "degF": 1.0, "AWG": 1.0, "kn": 0.1}
#: What stands before the number for a boat with two twelve-volt batteries in series.
TWO_BLOCKS = "24\u00a0V\u00a0feed"
#: Units that stay as they are on a boat in either system.
_KEPT = {"m/s", "kn"}
#: Units of the US system alone: what is declared is declared in metric ones.
_US_ONLY = {"ft", "in", "fathom", "degF", "AWG"}
#: A conductor of one series is none of the other.
_SIZES = {"AWG", "mm2"}


def ask_today(formula: Formula, arguments: Mapping[str, Any]) -> Any:
    """The result of the formula as it stands now; it is computed once for the same numbers."""
    asked = tuple(sorted(arguments.items()))
    try:
        return _computed_once(formula, asked)
    except TypeError:
        # A list or an array among the arguments has no hash.
        return formula(**arguments)


@lru_cache(maxsize=20_000)
def _computed_once(formula: Formula, asked: tuple[tuple[str, Any], ...]) -> Any:
    return formula(**dict(asked))


class TableError(LeadsmanError):
    """A table or value that cannot be computed: which part of its record, and why."""

    def __init__(self, part: str, what: str, hint: str = "") -> None:
        self.part, self.what, self.hint = part, what, hint
        super().__init__(f"{what}; {hint}" if hint else what)


@dataclass(frozen=True)
class Number:
    """A printed number or word: the text with its unit, and what stands behind it."""

    text: str
    exact: Any
    unit: str = ""
    answered: bool = True
    printed: Decimal | None = None


@dataclass(frozen=True)
class Provenance:
    """Where a number comes from: the formula and the arguments, or the declaration and its source."""

    formula: str
    arguments: Mapping[str, Any]
    source: str = ""


@dataclass(frozen=True)
class ComputedTable:
    """A table with its cells filled in.

    ``across`` says what the column heads are, where they are values of an input and not names.
    """

    table: Table
    formula: Formula
    head: str
    column_heads: tuple[str, ...]
    row_heads: tuple[str, ...]
    cells: tuple[tuple[Number, ...], ...]
    units: str
    fixed: Mapping[str, Any] = field(default_factory=dict)
    assumptions: tuple[tuple[str, str], ...] = ()
    rows: tuple[AxisItem, ...] = ()
    columns: tuple[AxisItem, ...] = ()
    across: str = ""


@dataclass(frozen=True)
class ComputedValue:
    """A value as the prose prints it."""

    value: Value
    number: Number
    provenance: Provenance


def compute_table(
    table: Table, catalogue: Catalogue, units: str = "metric", evaluate: Evaluate = ask_today
) -> ComputedTable:
    """Fill in every cell, once for one content; raises :class:`TableError` with the part that is at fault."""
    if evaluate is not ask_today or catalogue.tables.get(table.id) is not table:
        return _filled_in(table, catalogue, units, evaluate)
    key = ("table", table.id, units)
    if key not in catalogue.kept:
        records = {kind: found for kind, found in catalogue.records.items() if kind not in WORDS_ALONE}
        catalogue.kept[key] = _filled_in(table, replace(catalogue, records=records), units, evaluate)
    found: ComputedTable = catalogue.kept[key]
    return found


def _filled_in(table: Table, catalogue: Catalogue, units: str, evaluate: Evaluate) -> ComputedTable:
    formula = _formula(table.formula)
    fixed = _given(formula, table.given, catalogue, "given")
    rows = _axis(table.rows, formula, catalogue, units, "rows")
    columns = (
        _axis(table.columns, formula, catalogue, units, "columns") if table.columns else [AxisItem("", {})]
    )
    lines = [
        tuple(
            number
            for column in columns
            for number in _cells(table, formula, {**row.inputs, **column.inputs, **fixed}, units, evaluate)
        )
        for row in rows
    ]
    heads = tuple(_head(column, cell, len(table.cells)) for column in columns for cell in table.cells)
    told = tuple(
        (str(a.name), assumed(a, units))
        for a in (catalogue.records["assumptions"][i] for i in table.assumptions)
    )
    named = table.columns is not None and table.columns.each not in (None, "element")
    across = str(table.columns.head) if table.columns and not named else ""
    return ComputedTable(table, formula, str(table.rows.head), heads, tuple(row.label for row in rows), tuple(lines),
                         units, fixed, told, tuple(rows), tuple(columns), across)  # fmt: skip


def compute_value(
    value: Value,
    catalogue: Catalogue,
    units: str = "metric",
    evaluate: Evaluate = ask_today,
    family: str | None = None,
    nominal_v: int | None = None,
) -> ComputedValue:
    """The number that a value prints, with its provenance.

    Where the value has one for each display family or for each system of volts, all of them, or the one for the
    named ``family`` and ``nominal_v``.
    """
    if value.each is not None:
        return _for_each_family(value, catalogue, units, evaluate, family, nominal_v)
    if value.blocks:
        return _for_each_system(value, catalogue, units, evaluate, family, nominal_v)
    if value.declared is not None:
        return ComputedValue(value, _declared(value, units), Provenance("", {}, value.source or ""))
    computation = value.computed
    assert computation is not None
    assert value.show is not None
    formula, arguments = _asked(computation, catalogue)
    result = _evaluate(formula, arguments, "computed", evaluate)
    output = _output(formula, computation.output, "computed")
    exact = _pick(formula, result, output)
    return ComputedValue(value, show(exact, output.unit, printed_as(value, units)),
                         Provenance(formula.name, arguments))  # fmt: skip


def compute_word(computation: Computation, catalogue: Catalogue, evaluate: Evaluate = ask_today) -> str:
    """The word that a computation gives; raises :class:`TableError` where it gives a number."""
    formula, arguments = _asked(computation, catalogue)
    output = _output(formula, computation.output, "computed")
    found = _pick(formula, _evaluate(formula, arguments, "computed", evaluate), output)
    if output.unit != "" or not isinstance(found, str):
        raise TableError(
            "computed", f"'{output.name}' of {formula.name} is a number", "name an output that is a word"
        )
    return found


def _asked(computation: Computation, catalogue: Catalogue) -> tuple[Formula, dict[str, Any]]:
    """The formula of a computation, and its arguments: those of the named records, and what is given."""
    formula = _formula(computation.formula)
    records: dict[str, Any] = {}
    for kind, found in (("transducers", computation.transducer), ("families", computation.family),
                        ("waters", computation.water), ("boats", computation.boat)):  # fmt: skip
        if found is not None:
            records |= _record_inputs(kind, found, catalogue)
    given = _given(formula, computation.given, catalogue, "computed")
    return formula, _fitting(formula, {**records, **given})


def _for_each_family(
    value: Value,
    catalogue: Catalogue,
    units: str,
    evaluate: Evaluate,
    family: str | None,
    nominal_v: int | None,
) -> ComputedValue:
    assert value.computed is not None
    found = {}
    for name in [family] if family is not None else catalogue.families:
        computed = value.computed.model_copy(update={"family": name})
        own = value.model_copy(update={"computed": computed, "each": None})
        found[name] = compute_value(own, catalogue, units, evaluate, nominal_v=nominal_v)
    first = next(iter(found.values()))
    if family is not None:
        return ComputedValue(value, first.number, first.provenance)
    text = ", ".join(f"{catalogue.families[name].name}\u00a0{v.number.text}" for name, v in found.items())
    number = Number(text, [v.number.exact for v in found.values()], first.number.unit)
    return ComputedValue(value, number, first.provenance)


def _for_each_system(
    value: Value,
    catalogue: Catalogue,
    units: str,
    evaluate: Evaluate,
    family: str | None,
    nominal_v: int | None,
) -> ComputedValue:
    """The number on twelve volts and, where a display bears such a feed, the one on twenty-four beside it."""
    first = compute_value(value.model_copy(update={"blocks": False}), catalogue, units, evaluate)
    if nominal_v is not None:
        if nominal_v == ONE_BLOCK_V:
            return first
        return ComputedValue(
            value, _on_two_blocks(value, first, catalogue, units, evaluate), first.provenance
        )
    named = (value.computed.family if value.computed is not None else None) or family
    if not any(bears_two_blocks(f) for name, f in catalogue.families.items() if named in (None, name)):
        return first
    second = _on_two_blocks(value, first, catalogue, units, evaluate)
    text = f"{first.number.text} ({TWO_BLOCKS} {second.text})"
    exact = [*_listed(first.number.exact), *_listed(second.exact)]
    return ComputedValue(value, Number(text, exact, first.number.unit), first.provenance)


def value_on(
    value: Value, catalogue: Catalogue, family: str, nominal_v: int, units: str = "metric"
) -> Number:
    """The number of a value for one display on one system, as a reader of that boat finds it in print."""
    one = value.model_copy(update={"blocks": False, "each": None})
    if one.computed is not None and value.each is not None:
        one = one.model_copy(update={"computed": one.computed.model_copy(update={"family": family})})
    first = compute_value(one, catalogue, units)
    if nominal_v == ONE_BLOCK_V or not value.blocks:
        return first.number
    return _on_two_blocks(one, first, catalogue, units, ask_today)


def _on_two_blocks(
    value: Value, first: ComputedValue, catalogue: Catalogue, units: str, evaluate: Evaluate
) -> Number:
    one = value.model_copy(update={"blocks": False})
    if value.declared is None:
        return _at_two_blocks(one, first, catalogue, units, evaluate)
    low, _, high = value.declared.rpartition(" to ")
    unit = parse(high).unit
    twice = " to ".join(f"{2 * Decimal(part.removesuffix(unit).strip())}" for part in (low, high) if part)
    return _declared(one.model_copy(update={"declared": f"{twice} {unit}"}), units)


def _at_two_blocks(
    value: Value, first: ComputedValue, catalogue: Catalogue, units: str, evaluate: Evaluate
) -> Number:
    """A computed number on twenty-four volts: asked of a formula that knows the system, else of two batteries."""
    assert value.computed is not None
    assert value.show is not None
    formula = _formula(value.computed.formula)
    if any(item.argument == "nominal_v" for item in formula.inputs):
        given = {**value.computed.given, "nominal": "24 V"}
        computed = value.computed.model_copy(update={"given": given})
        return compute_value(
            value.model_copy(update={"computed": computed}), catalogue, units, evaluate
        ).number
    output = _output(formula, value.computed.output, "computed")
    return show(2 * float(first.number.exact), output.unit, printed_as(value, units))


def bears_two_blocks(family: Family) -> bool:
    """Whether a display may be fed from a twenty-four-volt battery, on charge as well."""
    return family.supply_high_v >= WINDOW_V["AGM 24 V"][1]


def _listed(exact: Any) -> list[Any]:
    return exact if isinstance(exact, list) else [exact]


def show(value: float, unit: str, shown: Shown) -> Number:
    """A number converted to the printed unit first, and then rounded there to the stated side."""
    converted = convert(float(value), unit, shown.unit)
    rounded = round_to(converted, shown.round, step=_short(shown.step))
    return Number(quantity_text(rounded, shown.unit), value, shown.unit, printed=rounded)


def _short(value: float) -> Decimal:
    """The number without a needless ".0"."""
    return Decimal(int(value)) if value == int(value) else Decimal(str(value))


def _declared(value: Value, units: str) -> Number:
    """A declared number, or a range such as "13.6 to 14.6 V", in the units of the edition."""
    part, text = (
        ("us", value.us) if units != "metric" and value.us is not None else ("declared", str(value.declared))
    )
    low, _, high = text.rpartition(" to ")
    try:
        last = parse(high)
        # A plain number has the unit "1", which is not written.
        least = [parse(low)] if low else []
    except UnitError as error:
        raise TableError(part, str(error)) from None
    if least and least[0].unit != "1":
        raise TableError(part, "gives a unit in the middle", "write the unit once, as in '13.6 to 14.6 V'")
    if least and least[0].value >= last.value:
        raise TableError(part, "runs from the greater to the lesser", "write the lesser number first")
    if part == "declared" and last.unit in _US_ONLY:
        raise TableError(part, f"is given in {last.unit}",
                         f"write it in {PAIRS[last.unit]}; a US edition converts it, or prints what 'us' says")  # fmt: skip
    quantities = [Quantity(found.value, last.unit) for found in least] + [last]
    unit = last.unit
    if units != "metric" and value.us is None and unit in PAIRS and unit not in _KEPT:
        shown = value.show_us or Shown(unit=PAIRS[unit], step=_US_STEPS[PAIRS[unit]], round="nearest")
        numbers = [show(q.value, q.unit, shown) for q in quantities]
    else:
        numbers = [Number(quantity_text(_short(q.value), unit), q.value, unit) for q in quantities]
    if not low:
        return numbers[0]
    # The unit stands once, behind the second number.
    first = numbers[0].text.split(NARROW_NO_BREAK_SPACE)[0].removesuffix("°")
    return Number(f"{first} to {numbers[1].text}", [n.exact for n in numbers], numbers[1].unit)


def lead_length(length_m: float, units: str) -> str:
    """The length of a boat's supply lead; nearest, since it describes and limits nothing.

    Examples
    --------
    >>> [lead_length(3.0, units).replace(NARROW_NO_BREAK_SPACE, " ") for units in ("metric", "us")]
    ['3 m', '10 ft']
    """
    shown = (
        Shown(unit="m", step=0.1, round="nearest")
        if units == "metric"
        else Shown(unit="ft", step=1, round="nearest")
    )
    return quantity_text(_short(float(show(length_m, "m", shown).printed or 0)), shown.unit)


def assumed(assumption: Assumption, units: str) -> str:
    """What is assumed, in the units of the edition."""
    return assumption_text(assumption.us if units != "metric" and assumption.us else assumption.value, units)


def assumption_text(text: str, units: str) -> str:
    """What is assumed, as the edition prints it: a quantity in its units, a choice in its own words.

    Examples
    --------
    >>> assumption_text("30 C", "us").replace(NARROW_NO_BREAK_SPACE, " "), assumption_text("tinned", "us")
    ('86 °F', 'tinned')
    """
    try:
        quantity = parse(text)
    except UnitError:
        return size_text(text)
    unit = quantity.unit
    if units == "metric" or unit not in PAIRS or unit in _KEPT or unit in _SIZES or unit in _US_STEPS:
        return quantity_text(_short(quantity.value), unit)
    converted = round_to(convert(quantity.value, unit, PAIRS[unit]), "nearest", digits=3)
    return quantity_text(_short(float(converted)), PAIRS[unit])


def _formula(name: str) -> Formula:
    known = formulas()
    if name not in known:
        from difflib import get_close_matches

        close = get_close_matches(name, known, 1)
        raise TableError(
            "formula",
            f"'{name}' is no formula",
            f"did you mean '{close[0]}'?" if close else "see leadsman calc",
        )
    return known[name]


def _given(formula: Formula, given: Mapping[str, Any], catalogue: Catalogue, part: str) -> dict[str, Any]:
    texts: dict[str, str] = {}
    for name, value in given.items():
        if isinstance(value, dict):
            texts[name] = _referred(name, value, catalogue, part)
        else:
            texts[name] = str(value).lower() if isinstance(value, bool) else str(value)
    try:
        return read_arguments(formula, texts, partial=True)
    except LeadsmanError as error:
        raise TableError(part, str(error)) from None


def _referred(name: str, reference: Mapping[str, Any], catalogue: Catalogue, part: str) -> str:
    """The number that an input takes from an assumption, or from a value that the prose prints as well."""
    kind, end = next(iter(reference)), str(reference.get("end", ""))
    what = str(reference[kind])
    if kind == "assumption" and set(reference) == {kind}:
        if what in catalogue.records["assumptions"]:
            return str(catalogue.records["assumptions"][what].value)
        raise TableError(part, f"'{name}' names no assumption", f"write '{{assumption: id}}'; {catalogue.near('assumptions', what)}")  # fmt: skip
    if kind == "value" and set(reference) <= {kind, "end"} and end in ("", "least", "greatest"):
        value = catalogue.values.get(what)
        if value is None or value.declared is None:
            raise TableError(part, f"'{name}' names no declared value", catalogue.near("values", what))
        low, _, high = value.declared.rpartition(" to ")
        if bool(low) != bool(end):
            raise TableError(part, f"'{name}' takes '{what}', which is {'a range' if low else 'one number'}",
                             "add 'end: least' or 'end: greatest'" if low else "drop 'end'")  # fmt: skip
        return f"{low} {parse(high).unit}" if end == "least" else high
    raise TableError(part, f"'{name}' names no assumption", "write '{assumption: id}', or '{value: id}' with its 'end' of a range")  # fmt: skip


def _axis(axis: Axis, formula: Formula, catalogue: Catalogue, units: str, part: str) -> list[AxisItem]:
    if axis.each is not None:
        try:
            names_hull = any(item.argument == "laminate_mm" for item in formula.inputs)
            found = list(
                axis_records(axis.each, axis.only, axis.season, catalogue, units, names_hull=names_hull)
            )
        except LeadsmanError as error:
            raise TableError(part, str(error), "check 'only'") from None
        if not found:
            raise TableError(part, f"there is no {axis.each} for this axis", "add one, or drop the axis")
        return found
    values = axis.us_values if units != "metric" and axis.us_values else axis.values
    if units == "us-fathoms" and axis.fathom_values:
        values = axis.fathom_values
    items = []
    for value in values:
        try:
            argument, read = read_input(formula, str(axis.input), str(value))
        except LeadsmanError as error:
            raise TableError(part, str(error)) from None
        items.append(AxisItem(_axis_label(str(value)), {argument: read}))
    return items


def _axis_label(text: str) -> str:
    try:
        quantity = parse(text)
    except LeadsmanError:
        return text
    return quantity_text(_short(quantity.value), quantity.unit)


def _cells(
    table: Table, formula: Formula, offered: Mapping[str, Any], units: str, evaluate: Evaluate
) -> list[Number]:
    arguments = _fitting(formula, offered)
    try:
        result = _evaluate(formula, arguments, "given", evaluate)
    except NoAnswer as reason:
        return [Number(str(table.no_answer), str(reason), answered=False)] * len(table.cells)
    return [_cell(cell, formula, result, units) for cell in table.cells]


def _cell(cell: Cell, formula: Formula, result: Any, units: str) -> Number:
    output = _output(formula, cell.output, "cells")
    exact = _pick(formula, result, output)
    if isinstance(exact, str):
        words = size_text(str(cell.words.get(exact, exact)))
        if cell.because is not None:
            reason = str(_pick(formula, result, _output(formula, cell.because, "cells")))
            if reason not in cell.unsaid:
                return Number(f"{words}: {cell.words.get(reason, reason)}", f"{exact}: {reason}")
        return Number(words, exact)
    if cell.show is None:
        raise TableError(
            "cells", f"'{output.name}' is a number but has no 'show'", "add unit, step and round"
        )
    first = show(exact, output.unit, printed_as(cell, units))
    if cell.to is None:
        return first
    other = _output(formula, cell.to.output, "cells")
    return _as_range(first, show(_pick(formula, result, other), other.unit, printed_as(cell.to, units)))


def _as_range(first: Number, last: Number) -> Number:
    """The two ends in one text with the unit once; the numbers behind it stay those of the first."""
    if first.text == last.text:
        return first
    low = first.text.split(NARROW_NO_BREAK_SPACE)[0]
    return replace(first, text=f"{low}\N{EN DASH}{last.text}")


def unit_systems(record: Table | Value) -> tuple[str, ...]:
    """The unit systems in which a table or value prints differently."""
    if isinstance(record, Value):
        in_fathoms = record.show_fathoms is not None
    else:
        axes = [axis for axis in (record.rows, record.columns) if axis is not None]
        in_fathoms = any(cell.show_fathoms for cell in record.cells) or any(a.fathom_values for a in axes)
    return UNIT_SYSTEMS if in_fathoms else UNIT_SYSTEMS[:2]


def printed_as(printed: Cell | CellEnd | Value, units: str) -> Shown:
    """How a number is printed in a system of units; the safe side stays the same."""
    metric, us = printed.show, printed.show_us
    assert metric is not None
    if units == "us-fathoms" and printed.show_fathoms is not None:
        return printed.show_fathoms
    unit = symbol(metric.unit)
    if units == "metric" or (us is None and (unit not in PAIRS or unit in _KEPT)):
        return metric
    if us is not None:
        return us
    if unit in _US_ONLY:
        raise TableError(
            "show",
            f"prints {unit} in a metric edition",
            f"give it in {PAIRS[unit]}, and {unit} under 'show_us'",
        )
    # A larger gauge is a thinner conductor: up in mm2 is down in AWG.
    side = _OPPOSITE[metric.round] if "AWG" in (unit, PAIRS[unit]) else metric.round
    return Shown(unit=PAIRS[unit], step=_US_STEPS[PAIRS[unit]], round=side)


_OPPOSITE: dict[Rounding, Rounding] = {"up": "down", "down": "up", "nearest": "nearest"}


def _fitting(formula: Formula, offered: Mapping[str, Any]) -> dict[str, Any]:
    """Of all that records and the table offer, what the formula takes."""
    return {item.argument: offered[item.argument] for item in formula.inputs if item.argument in offered}


def _evaluate(formula: Formula, arguments: Mapping[str, Any], part: str, evaluate: Evaluate) -> Any:
    missing = [
        i.name for i in formula.inputs if i.argument not in arguments and getattr(i, "default", None) is None
    ]
    if missing:
        raise TableError(part, f"{formula.name} also needs {', '.join(missing)}", "add them under 'given'")
    try:
        return evaluate(formula, arguments)
    except NoAnswer:
        raise
    except ComputeError as error:
        raise TableError(part, f"{formula.name}: {error}") from None


def _output(formula: Formula, name: str | None, part: str) -> Any:
    if name is None and len(formula.outputs) == 1:
        return formula.outputs[0]
    for output in formula.outputs:
        if output.name == name:
            return output
    raise TableError(
        part,
        f"{formula.name} has no output '{name}'",
        f"outputs: {', '.join(o.name for o in formula.outputs)}",
    )


def _pick(formula: Formula, result: Any, output: Any) -> Any:
    value = getattr(result, output.name) if hasattr(result, "_fields") else result
    return str(value) if isinstance(value, str) else value


def _head(column: AxisItem, cell: Cell, cells: int) -> str:
    own = str(cell.head or "")
    return (
        ", ".join(part for part in (column.label, own) if part)
        if cells > 1 or not column.label
        else column.label
    )


def _record_inputs(kind: str, name: str, catalogue: Catalogue) -> dict[str, Any]:
    if name not in catalogue.records[kind]:
        raise TableError("computed", f"'{name}' does not exist", catalogue.near(kind, name))
    record = catalogue.records[kind][name]
    if kind == "boats":
        return boat_inputs(record, catalogue)
    if kind == "transducers":
        return transducer_inputs(record)
    return family_inputs(record) if kind == "families" else water_inputs(record)
