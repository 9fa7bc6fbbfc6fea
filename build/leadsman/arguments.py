"""Turn texts with units, as a person types them, into the arguments of a formula.

The command line and the content use the same rules: inputs go by the name without the unit suffix
(``current=4A``), a number without a unit is accepted only under the full argument name
(``current_a=4``), and a conductor may be spelled in any usual way.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from leadsman.compute.registry import Choice, Formula, Input, Number, Series, Text
from leadsman.errors import LeadsmanError
from leadsman.units import UnitError, comma_advice, parse, quantity_text


class ArgumentError(LeadsmanError):
    """An input that a formula does not take, or a text that is no value for it."""

    def __init__(self, name: str, what: str, hint: str = "") -> None:
        self.name, self.what, self.hint = name, what, hint
        super().__init__(what + (f"; {hint}" if hint else ""))


def read_arguments(formula: Formula, given: Mapping[str, str], *, partial: bool = False) -> dict[str, Any]:
    """The formula's arguments from the given texts; every input without a default must be there, unless ``partial``.

    Number inputs may hold several values, separated by commas or semicolons, and then become arrays; so may
    choices, which become lists.
    """
    found: dict[str, Any] = {}
    for name, text in given.items():
        argument, value = read_input(formula, name, text)
        if argument in found:
            raise ArgumentError(name, f"{find_input(formula, name).name} is given twice")
        found[argument] = value
    if partial:
        return found
    missing = [i for i in formula.inputs if i.argument not in found and getattr(i, "default", None) is None]
    if missing:
        wanted = "; ".join(f"{i.name} ({described_range(i)})" for i in missing)
        raise ArgumentError(missing[0].name, f"{formula.name} also needs {wanted}")
    return found


def read_input(formula: Formula, name: str, text: str) -> tuple[str, Any]:
    """One input by itself: the argument that it stands for, and its value."""
    item = find_input(formula, name)
    return item.argument, _read(item, text, bare=name == item.argument != item.name)


def find_input(formula: Formula, name: str) -> Input:
    """The input of that name, with or without the unit's suffix."""
    for item in formula.inputs:
        if name in (item.name, item.argument):
            return item
    names = [i.name for i in formula.inputs]
    hint = nearest(name, [*names, *(i.argument for i in formula.inputs)])
    raise ArgumentError(name, f"{formula.name} has no input {name!r}", hint or f"it takes {', '.join(names)}")


def nearest(word: str, known: Iterable[str]) -> str:
    """``did you mean ...?`` with the nearest known word, or nothing."""
    folded = {k.casefold(): k for k in known}
    found = difflib.get_close_matches(word.casefold(), folded, n=1, cutoff=0.6)
    return f"did you mean {folded[found[0]]}?" if found else ""


def described_range(item: Input) -> str:
    """What an input may be, in words: ``0 to 60 A``, ``one of ...``, ``text``."""
    if isinstance(item, Choice):
        return f"one of {', '.join(item.choices)}"
    if isinstance(item, Text):
        return "text"
    unit = "" if item.unit in ("", "1") else f" {item.unit}"
    several = "several values, " if isinstance(item, Series) else ""
    return f"{several}{item.low:g} to {item.high:g}{unit}"


def _read(item: Input, text: str, *, bare: bool) -> Any:
    if isinstance(item, Text):
        return text
    try:
        if isinstance(item, Choice):
            return _read_choice(item, text)
        values = [_read_number(item, part, bare=bare) for part in _parts(text)]
    except UnitError as problem:
        raise ArgumentError(item.name, f"{item.name}={text}: {problem}") from None
    if len(values) == 1 and isinstance(item, Number):
        return values[0]
    import numpy as np  # the formulas, and NumPy with them, load when one is used

    return np.array(values)


def _parts(text: str) -> list[str]:
    """The values of a list; a comma that may be a decimal sign is refused, since it would make two values of one."""
    advice = comma_advice(text)
    if advice and ";" not in text:
        several = re.sub(r"\s*,\s*", "; ", text.strip())
        raise UnitError(
            f"a comma between digits may be a decimal sign; {advice} for one value, '{several}' for several"
        )
    return re.split(r"[,;]", text) if not advice else text.split(";")


def _read_number(item: Number | Series, text: str, *, bare: bool) -> float:
    if bare and re.search(r"[\d.]\s*$", text):
        text = f"{text} {item.unit}"
    if not text.strip():
        raise UnitError(
            "a value is missing; write each value with its unit, as in 2A,4A, and decimals with a point"
        )
    try:
        return parse(text, item.unit or "1").value
    except UnitError as problem:
        example = (
            f", or {item.argument}=NUMBER"
            if "has no unit" in str(problem) and item.argument != item.name
            else ""
        )
        raise UnitError(f"{problem}{example}") from None


def _read_choice(item: Choice, text: str) -> str | list[str]:
    try:
        return match_choice(text, item.choices)
    except UnitError:
        if not re.search("[,;]", text):
            raise
    return [match_choice(part, item.choices) for part in _parts(text)]


# --- choices and conductors --------------------------------------------------------------------


def match_choice(text: str, choices: Sequence[str]) -> str:
    """The listed choice that a text means: exactly, but for capitals and joints, or as a conductor size.

    Examples
    --------
    >>> match_choice("16awg", ("14 AWG", "16 AWG")), match_choice("Chen Millero", ("chen-millero",))
    ('16 AWG', 'chen-millero')
    """
    folded = {_folded(choice): choice for choice in choices}
    if _folded(text) in folded:
        return folded[_folded(text)]
    conductor = conductor_text(text)
    if conductor is not None:
        for choice in choices:
            if conductor_text(choice) == conductor:
                return choice
    hint = nearest(text, choices)
    raise UnitError(f"{text.strip()!r} is none of {', '.join(choices)}" + (f"; {hint}" if hint else ""))


def _folded(text: str) -> str:
    return re.sub(r"[\s_-]+", "", text).casefold()


def conductor_text(text: str) -> str | None:
    """A conductor size in its one canonical spelling, ``16 AWG`` or ``2.5 mm2``; None when it is none.

    Examples
    --------
    >>> conductor_text("AWG16"), conductor_text("2.50mm²"), conductor_text("00 AWG"), conductor_text("4 A")
    ('16 AWG', '2.5 mm2', '2/0 AWG', None)
    """
    try:
        size = parse(text)
    except UnitError:
        return None
    return str(size) if size.unit in ("AWG", "mm2") else None


def shown_value(item: Input, value: Any) -> str:
    """An argument as text that may be typed again, to six digits at most."""
    if isinstance(item, Choice | Text):
        return str(value)
    return quantity_text(float(f"{float(value):.6g}"), item.unit or "1", plain=True)
