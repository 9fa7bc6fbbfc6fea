"""Quantities with units: read as a person types them, convert, round to the safe side, print.

Every unit that the project knows stands in one table, ``leadsman.compute.unit_table``, under the spelling that
the formula registry uses ("m", "mm2", "degC").
"""

from __future__ import annotations

import difflib
import functools
import math
import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from typing import Any, Literal, overload

from leadsman.compute.unit_table import PAIRS as PAIRS
from leadsman.compute.unit_table import UNITS as UNITS
from leadsman.errors import LeadsmanError

Direction = Literal["down", "up", "nearest"]

#: U+202F, the narrow space that never breaks a line between a number and its unit.
NARROW_NO_BREAK_SPACE = "\u202f"
MINUS = "\u2212"


class UnitError(LeadsmanError):
    """A text is no quantity, or its unit does not fit."""


#: Kinds of quantity that are written as a plain number.
_UNITLESS = ("ratio", "salinity", "information")

#: Nobody writes more, and no unit of the table needs more.
_MOST_DIGITS, _LEAST, _GREATEST = 40, 1e-15, 1e15

_DECIMAL = r"(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
#: A ruler's number: 1/2, 2 1/2 or 2-1/2.
_FRACTION = r"(?:(?P<whole>\d+)[\s-]+)?(?P<over>\d+)\s*/\s*(?P<under>\d+)"
_QUANTITY = re.compile(
    rf"\s*(?P<sign>[+-]?)(?:{_FRACTION}|(?P<number>{_DECIMAL}))\s*(?P<unit>.*?)\s*", re.DOTALL
)
_FEET_AND_INCHES = re.compile(
    rf"\s*(?P<feet>\d+)\s*(?:ft\.?|foot|feet|')\s*(?:{_FRACTION}|(?P<number>\d+(?:\.\d+)?))\s*(?:in\.?|inch|inches|\"|'')?\s*"
)
_GAUGE = re.compile(
    r"\s*(?:(?:AWG\s*\#?|\#)\s*(\d/0|0{2,4}|\d{1,3})\s*(?:AWG|ga\.?|gauge)?|(\d/0|0{2,4}|\d{1,3})\s*\(?(?:AWG|ga\.?|gauge)\)?|([1-4]/0))\s*",
    re.IGNORECASE,
)
#: One number that a comma makes hard to read: 3,5 or 1,200.5 or 1.234,5.
_COMMA = re.compile(
    r"(?<![\w.,])(?:\d+,\d+|[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?|[1-9]\d{0,2}(?:\.\d{3})+,\d+)(?![\d.,])"
)
#: What keyboards and word processors put in place of the plain signs.
_PLAIN_SIGNS = str.maketrans(
    dict.fromkeys("\u2018\u2019\u2032\u00b4\u02b9`", "'")
    | dict.fromkeys("\u201c\u201d\u2033\u02ba", '"')
    | dict.fromkeys("\u2010\u2011\u2012\u2013\u2212", "-")
    | {"\u2044": "/"}
)
#: A bare k or M behind a number stands for these, where such a quantity is asked for.
_MULTIPLES = {
    ("resistance", "k"): "kohm",
    ("resistance", "K"): "kohm",
    ("resistance", "M"): "Mohm",
    ("frequency", "k"): "kHz",
    ("frequency", "M"): "MHz",
}


@dataclass(frozen=True)
class Quantity:
    """A value in a unit of :data:`UNITS`; the text of it is plain, as it may be typed again."""

    value: float
    unit: str

    def to(self, unit: str) -> Quantity:
        """The same quantity in another unit."""
        return Quantity(convert(self.value, self.unit, unit), symbol(unit))

    def __str__(self) -> str:
        return quantity_text(self.value, self.unit, plain=True)


# --- reading -----------------------------------------------------------------------------------


def parse(text: str, unit: str | None = None) -> Quantity:
    """Read ``"4 A"``, ``"16AWG"``, ``"5 ft 6"``, ``"2 1/2 in"``, ``"70 F"``, ``"3 %"``, ``"2.5mm2"`` and so on.

    With ``unit`` the result is in that unit, and a number that carries none is refused, unless such a
    quantity has none (a ratio, a salinity).

    Examples
    --------
    >>> parse("5 ft 6 in", "m")
    Quantity(value=1.6764, unit='m')
    >>> print(parse("16AWG"), parse("2½ in"), parse("12 k", "ohm"))
    16 AWG 2.5 in 12000 ohm
    """
    wanted = UNITS[symbol(unit)] if unit is not None else None
    found = _read(_plain_signs(text), text.strip(), wanted.kind if wanted else "")
    if wanted is None:
        return found
    bare = found.unit == "1" and wanted.symbol != "1"
    if bare and wanted.kind in _UNITLESS and wanted.symbol != "%":
        return Quantity(found.value, wanted.symbol)
    if bare:
        raise UnitError(f"{text.strip()} has no unit; write {text.strip()} {wanted.symbol}")
    return found.to(wanted.symbol)


def _plain_signs(text: str) -> str:
    """The text in plain letters and signs; a raised digit behind a number is kept as no part of it."""
    spaced = "".join(
        f" {unicodedata.normalize('NFKC', sign)}"
        if unicodedata.decomposition(sign).startswith("<fraction>")
        else sign
        for sign in text
    )
    raised = re.sub(r"(?<=\d)(?=[\u00b2\u00b3\u00b9\u2070-\u2089])", "^", spaced)
    return unicodedata.normalize("NFKC", raised.translate(_PLAIN_SIGNS))


def _read(text: str, typed: str, kind: str) -> Quantity:
    if gauge := _GAUGE.fullmatch(text):
        return Quantity(_gauge_number(next(filter(None, gauge.groups()))), "AWG")
    if mixed := _FEET_AND_INCHES.fullmatch(text):
        inches = _number(mixed, typed)
        if inches >= 12:
            raise UnitError(f"{typed!r} is no quantity; a foot has 12 inches")
        return Quantity(float(int(mixed["feet"]) + inches / 12), "ft")
    match = _QUANTITY.fullmatch(text)
    if match is None or match["unit"][:1] in tuple("0123456789.,/^"):
        advice = comma_advice(text) or "write a number and a unit, as in 4 A"
        raise UnitError(f"{typed!r} is no quantity; {advice}")
    value = _number(match, typed)
    if value and not _LEAST <= float(value) <= _GREATEST:
        raise UnitError(f"{typed!r} is no ordinary number")
    unit = _MULTIPLES.get((kind, match["unit"])) or symbol(match["unit"])
    return Quantity(float(-value if match["sign"] == "-" else value), unit)


def _number(match: re.Match[str], typed: str) -> float | Fraction:
    """The number of a match: as a decimal, or exactly where it is written as a fraction."""
    if len(match[0]) > _MOST_DIGITS + 20:
        raise UnitError("a number of so many digits is no ordinary number")
    if match["number"] is not None:
        value = float(match["number"])
        if not value and match["number"].lower().partition("e")[0].strip("0."):
            raise UnitError(f"{typed!r} is no ordinary number")
        return value
    over, under = int(match["over"]), int(match["under"])
    if not 0 < over < under:
        raise UnitError(f"{typed!r} is no quantity; write a fraction as in 2 1/2 in")
    return int(match["whole"] or 0) + Fraction(over, under)


def comma_advice(text: str) -> str:
    """What to write in place of a number whose comma may be a decimal sign; nothing where there is none.

    Examples
    --------
    >>> comma_advice("5,3 m"), comma_advice("1,200 m"), comma_advice("2A,4A")
    ('write 5.3 m', 'write 1.200 m or 1200 m', '')
    """
    match = _COMMA.search(text)
    if match is None:
        return ""
    number = match[0]
    grouped = re.fullmatch(r"[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?", number)
    decimal = number.count(",") == 1 and "." not in number
    readings = [number.replace(",", ".")] if decimal else []
    if grouped:
        readings.append(number.replace(",", ""))
    if not readings:
        readings = [number.replace(".", "").replace(",", ".")]
    return "write " + " or ".join(text.replace(number, reading).strip() for reading in readings)


def with_decimal_point(text: str, *, always: bool = False) -> str:
    """The text of one quantity with its decimal comma as a point, where the comma can be nothing else.

    Three digits behind a comma may be thousands ("1,200"): such a number stays as it is, and is refused by
    :func:`parse`, unless the comma is said to be a decimal sign ``always``.

    Examples
    --------
    >>> with_decimal_point("2,5 mm2"), with_decimal_point("0,125 m"), with_decimal_point("1,200 m")
    ('2.5 mm2', '0.125 m', '1,200 m')
    >>> with_decimal_point("1,200 m", always=True)
    '1.200 m'
    """
    match = re.search(r"(?<![\w.,])(\d+),(\d+)(?![\d.,])", text)
    if match is None or re.search(r"\d,\d", text[match.end() :]):
        return text
    grouped = len(match[2]) == 3 and len(match[1]) <= 3 and not match[1].startswith("0")
    if grouped and not always:
        return text
    return f"{text[: match.start()]}{match[1]}.{match[2]}{text[match.end() :]}"


def _gauge_number(text: str) -> float:
    if "/" in text:
        return 1.0 - int(text.split("/", maxsplit=1)[0])
    return 1.0 - len(text) if text.strip("0") == "" else float(text)


@functools.cache
def symbol(spelling: str) -> str:
    """The table's own symbol for a unit however spelled: ``knots`` gives ``kn``, no text gives ``1``."""
    word = re.sub(r"[\s^*]+|\.(?!\S)", "", unicodedata.normalize("NFKC", spelling))
    if word in ("", "1", "-"):
        return "1"
    exact = _spellings()
    if word in exact:
        return exact[word]
    # Capitals tell mohm from Mohm, so another case is accepted only where it can mean one thing.
    loose = {known for spelled, known in exact.items() if spelled.casefold() == word.casefold()}
    if len(loose) == 1:
        return loose.pop()
    if loose:
        raise UnitError(f"unit {spelling.strip()!r} may be {' or '.join(sorted(loose))}; write one of these")
    near = difflib.get_close_matches(word, exact, n=1)
    raise UnitError(f"unknown unit {spelling.strip()!r}" + (f"; did you mean {near[0]}?" if near else ""))


@functools.cache
def _spellings() -> dict[str, str]:
    table: dict[str, str] = {}
    for unit in UNITS.values():
        for spelled in (unit.symbol, unit.printed, *unit.spellings):
            word = unicodedata.normalize("NFKC", spelled)
            assert table.get(word, unit.symbol) == unit.symbol, f"{spelled} stands for two units"
            table[word] = unit.symbol
    return table


# --- converting --------------------------------------------------------------------------------


@overload
def convert(value: float, unit: str, to: str) -> float: ...


@overload
def convert(value: Any, unit: str, to: str) -> Any: ...


def convert(value: Any, unit: str, to: str) -> Any:
    """Convert a number or a NumPy array; AWG counts as an area (gauge 16 is 1.309 mm2).

    Raises
    ------
    UnitError
        When the two units measure different things.
    """
    unit, to = symbol(unit), symbol(to)
    if unit == to:
        return value
    if UNITS[unit].kind != UNITS[to].kind:
        raise UnitError(f"{unit} is a unit of {UNITS[unit].kind}, {to} one of {UNITS[to].kind}")
    if unit == "AWG":
        return convert(_each(gauge_area_mm2, value), "mm2", to)
    if to == "AWG":
        return _each(area_gauge, convert(value, unit, "mm2"))
    over, shift, under = _scale(unit, to)
    return (value * over + shift) / under


@functools.cache
def _scale(unit: str, to: str) -> tuple[float, float, float]:
    """``to = (value * over + shift) / under``, in whole numbers where they fit, so that 32 F is 0 C and not nearly."""
    old, new = UNITS[unit], UNITS[to]
    over, shift = old.factor / new.factor, (old.offset - new.offset) / new.factor
    under = math.lcm(over.denominator, shift.denominator)
    return float(over * under), float(shift * under), float(under)


def gauge_area_mm2(gauge: float) -> float:
    """Copper area of an AWG size, from the diameter 0.127 mm x 92^((36 - n) / 39) (ASTM B258)."""
    if not -3 <= gauge <= 40:
        raise UnitError(f"AWG runs from 4/0 to 40; {gauge:g} is no size")
    return math.pi / 4 * (0.127 * 92 ** ((36 - gauge) / 39)) ** 2  # type: ignore[no-any-return]


def area_gauge(area_mm2: float) -> float:
    """The AWG number, in general a broken one, whose area this is; 1/0 counts 0, 2/0 counts -1."""
    if not area_mm2 > 0:
        raise UnitError(f"{area_mm2:g} mm2 is no conductor area")
    return 36 - 39 * math.log(math.sqrt(4 * area_mm2 / math.pi) / 0.127, 92)


def _each(function: Callable[[float], float], value: Any) -> Any:
    if isinstance(value, int | float):
        return function(value)
    import numpy as np  # an array can only come from a program that has NumPy loaded

    return np.vectorize(function, otypes=[float])(value)


# --- rounding ----------------------------------------------------------------------------------

#: Digits of a float that survive a chain of conversions; what lies beyond is noise, not a value.
_SOUND = Context(prec=13)
#: Room for any float written out to the last decimal of a step.
_WIDE = Context(prec=400)
_ROUNDING = {"down": ROUND_FLOOR, "up": ROUND_CEILING, "nearest": ROUND_HALF_UP}


def round_to(
    value: float | Decimal,
    direction: Direction,
    *,
    step: float | str | Decimal | None = None,
    digits: int | None = None,
) -> Decimal:
    """Round to a multiple of ``step`` or to ``digits`` significant digits, never to the unsafe side.

    ``down`` goes towards minus infinity, ``up`` towards plus infinity, ``nearest`` takes a half away from
    zero. A value that differs from a step only by float noise counts as that step, so that
    0.30000000000000004 rounded up to 0.1 stays 0.3. The decimals of the result are those to print.

    Examples
    --------
    >>> round_to(3.39, "down", step=0.5)
    Decimal('3.0')
    >>> round_to(0.1 + 0.2, "up", step=0.1)
    Decimal('0.3')
    >>> round_to(0.0996, "up", digits=2)
    Decimal('0.10')
    """
    if (step is None) == (digits is None):
        raise UnitError("give either a step or a number of significant digits to round to")
    if not math.isfinite(value):
        raise UnitError(f"{value} cannot be rounded")
    exact = _SOUND.plus(Decimal(repr(float(value))))
    if step is not None:
        return _to_step(exact, Decimal(str(step)), direction)
    assert digits is not None
    if digits < 1:
        raise UnitError(f"{digits} significant digits are none")
    if exact == 0:
        return Decimal(0)
    rounded = _to_step(exact, Decimal(1).scaleb(exact.adjusted() - digits + 1), direction)
    # 0.0996 becomes 0.100 when rounded up: one digit more than was asked for, which is dropped again.
    if rounded and rounded.adjusted() > exact.adjusted():
        return rounded.quantize(Decimal(1).scaleb(rounded.adjusted() - digits + 1))
    return rounded


def _to_step(exact: Decimal, step: Decimal, direction: Direction) -> Decimal:
    if not step > 0:
        raise UnitError(f"a rounding step must be greater than 0, not {step}")
    count = _SOUND.divide(exact, step).to_integral_value(_ROUNDING[direction])
    # As many decimals as the step has, so that a column of limits agrees in them.
    result = (count * step).quantize(step, context=_WIDE)
    return abs(result) if result == 0 else result


def present(
    value: float,
    unit: str,
    direction: Direction,
    *,
    to: str | None = None,
    step: float | str | Decimal | None = None,
    digits: int | None = None,
    decimal_mark: str = ".",
    plain: bool = False,
) -> str:
    """A value as printed: first converted to the printed unit, then rounded there, then set with its unit.

    Examples
    --------
    >>> present(3.3, "m", "down", to="ft", step=1, plain=True)
    '10 ft'
    """
    printed_unit = symbol(to or unit)
    rounded = round_to(convert(float(value), unit, printed_unit), direction, step=step, digits=digits)
    return quantity_text(rounded, printed_unit, decimal_mark=decimal_mark, plain=plain)


# --- printing ----------------------------------------------------------------------------------


@functools.cache
def _before_unit() -> re.Pattern[str]:
    signs = sorted(
        {re.escape(unit.printed) for unit in UNITS.values() if unit.printed.strip()}, key=len, reverse=True
    )
    return re.compile(rf"(?<=\d) (?=(?:{'|'.join(signs)})(?![\w²]))")


def unbroken(text: str) -> str:
    """Plain words in which no line breaks between a number and its unit.

    Examples
    --------
    >>> unbroken("5 m of 2.5 mm² at 4 A and 12 places") == "5\u202fm of 2.5\u202fmm² at 4\u202fA and 12 places"
    True
    """
    return _before_unit().sub(NARROW_NO_BREAK_SPACE, text)


def size_text(text: str) -> str:
    """A size of conductor as it is named in the program, such as "1.5 mm2", as it is printed.

    Examples
    --------
    >>> size_text("1.5 mm2").replace(NARROW_NO_BREAK_SPACE, " "), size_text("sound")
    ('1.5 mm²', 'sound')
    """
    found = re.fullmatch(r"([\d./]+) (mm2|AWG)", text)
    return f"{found[1]}{NARROW_NO_BREAK_SPACE}{UNITS[found[2]].printed}" if found else text


def number_text(value: float | Decimal, *, decimal_mark: str = ".", plain: bool = False) -> str:
    """A number without exponent; a true minus sign in print, a hyphen where it may be typed again."""
    exact = value if isinstance(value, Decimal) else Decimal(repr(value))
    digits = format(abs(exact) if exact == 0 else exact, "f")
    if not isinstance(value, Decimal):
        digits = digits.removesuffix(".0")
    digits = digits.replace(".", decimal_mark)
    return digits if plain else digits.replace("-", MINUS)


def quantity_text(value: float | Decimal, unit: str, *, decimal_mark: str = ".", plain: bool = False) -> str:
    """A number with its unit: narrow no-break space and printed sign, or ``plain`` as it is typed.

    Examples
    --------
    >>> quantity_text(2.5, "mm2", plain=True), quantity_text(0, "AWG", plain=True)
    ('2.5 mm2', '1/0 AWG')
    """
    unit = symbol(unit)
    number = number_text(value, decimal_mark=decimal_mark, plain=plain)
    if unit == "AWG" and value <= 0:
        number = f"{1 - round(value)}/0"
    if unit == "1":
        return number
    if unit == "deg" and not plain:
        return f"{number}°"
    sign = unit if plain else UNITS[unit].printed
    return f"{number}{' ' if plain else NARROW_NO_BREAK_SPACE}{sign}"
