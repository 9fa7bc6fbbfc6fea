"""How the appendix of a book prints what stands as plain text in the program: methods, accuracies, bounds."""

from __future__ import annotations

import re

from leadsman.compute.registry import Number
from leadsman.units import NARROW_NO_BREAK_SPACE, UNITS, number_text, quantity_text, unbroken

#: Units that are typed otherwise than they are printed; the degree follows its number without a space.
_SIGNS = {unit.symbol: unit.printed for unit in UNITS.values() if unit.printed not in (unit.symbol, "°", "")}
_SIGN = re.compile(rf"(?<=\d) ({'|'.join(_SIGNS)})\b")
#: What is typed in the program for want of a sign.
_TYPED = {">=": "≥", "<=": "≤", "^2": "²", "^3": "³", " +- ": " ± "}
#: Resistance is told in the unit that leaves a short number.
_OHMS = ((1e6, "Mohm"), (1e3, "kohm"))


def technical(text: str) -> str:
    """A remark on a formula, its units as signs and without a full stop.

    Examples
    --------
    >>> technical("0.3 K near 25 degC.").replace(NARROW_NO_BREAK_SPACE, " ")
    '0.3 K near 25 °C'
    """
    for typed, printed in _TYPED.items():
        text = text.replace(typed, printed)
    text = _SIGN.sub(lambda found: f"{NARROW_NO_BREAK_SPACE}{_SIGNS[found[1]]}", text)
    return unbroken(re.sub(r"(?<=\d) deg\b", "°", text)).strip().removesuffix(".")


def bounds(number: Number) -> str:
    """The range in which a formula holds for an input, in its unit.

    Examples
    --------
    >>> bounds(Number("resistance", "ohm", 10.0, 2e6, "")).replace(NARROW_NO_BREAK_SPACE, " ")
    '10 Ω to 2 MΩ'
    >>> bounds(Number("depth", "m", 0.5, 300.0, "")).replace(NARROW_NO_BREAK_SPACE, " ")
    '0.5 to 300 m'
    """
    low, high = _bound(number.low, number.unit), _bound(number.high, number.unit)
    value, _, unit = low.rpartition(NARROW_NO_BREAK_SPACE)
    return (
        f"{value} to {high}"
        if unit and high.endswith(f"{NARROW_NO_BREAK_SPACE}{unit}")
        else f"{low} to {high}"
    )


def _bound(value: float, unit: str) -> str:
    if unit == "ohm":
        for size, larger in _OHMS:
            if value >= size:
                return quantity_text(value / size, larger)
    if unit in ("", "1"):
        return number_text(value)
    return quantity_text(value, unit)
