"""Quantities with units: read as a person types them, convert, round to the safe side, print.

Every unit that the project knows stands in one table, :data:`UNITS`, under the spelling that the
formula registry uses ("m", "mm2", "degC"). Factors go through pint, which is loaded only when a
value really has to be converted, because loading it takes longer than most commands.
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
from typing import Any, Literal, overload

from leadsman.errors import LeadsmanError

Direction = Literal["down", "up", "nearest"]

#: U+202F, the narrow space that never breaks a line between a number and its unit.
NARROW_NO_BREAK_SPACE = "\u202f"
MINUS = "\u2212"


class UnitError(LeadsmanError):
    """A text is no quantity, or its unit does not fit."""


@dataclass(frozen=True)
class Unit:
    """One unit: what it measures, its factor as pint reads it, its printed sign, other spellings."""

    symbol: str
    kind: str
    definition: str
    printed: str
    spellings: tuple[str, ...] = ()


def _table(*units: tuple[str, str, str, str, str]) -> dict[str, Unit]:
    return {u[0]: Unit(u[0], u[1], u[2], u[3], tuple(u[4].split())) for u in units}


# Symbol, kind, definition in the base units of _pint(), printed sign, further spellings (NFKC, no spaces).
# All factors are exact by definition; psi follows from the avoirdupois pound and standard gravity.
UNITS: dict[str, Unit] = _table(
    ("A", "current", "A", "A", "amp amps ampere amperes"),
    ("mA", "current", "1e-3 * A", "mA", "milliamp milliamps"),
    ("V", "voltage", "V", "V", "volt volts vdc"),
    ("mV", "voltage", "1e-3 * V", "mV", "millivolt millivolts"),
    ("W", "power", "V * A", "W", "watt watts"),
    ("kW", "power", "1e3 * V * A", "kW", "kilowatt kilowatts"),
    ("ohm", "resistance", "V / A", "Ω", "Ω ohms"),
    ("mohm", "resistance", "1e-3 * V / A", "mΩ", "mΩ milliohm milliohms"),
    ("kohm", "resistance", "1e3 * V / A", "kΩ", "kΩ kilohm kilohms"),
    ("Mohm", "resistance", "1e6 * V / A", "MΩ", "MΩ megohm megohms megaohm"),
    ("nF", "capacitance", "1e-9 * A * s / V", "nF", ""),
    ("pF", "capacitance", "1e-12 * A * s / V", "pF", ""),
    ("uF", "capacitance", "1e-6 * A * s / V", "µF", "μF"),
    ("pF/m", "capacitance per length", "1e-12 * A * s / V / m", "pF/m", ""),
    ("m", "length", "m", "m", "metre metres meter meters"),
    ("mm", "length", "1e-3 * m", "mm", "millimetre millimetres millimeter millimeters"),
    ("cm", "length", "1e-2 * m", "cm", "centimetre centimetres centimeter centimeters"),
    ("km", "length", "1e3 * m", "km", "kilometre kilometres kilometer kilometers"),
    ("ft", "length", "0.3048 * m", "ft", "foot feet ' ′"),
    ("in", "length", "0.0254 * m", "in", "inch inches \" '' ′′"),
    ("fathom", "length", "1.8288 * m", "fm", "fathoms fm fms"),
    ("mm2", "area", "1e-6 * m**2", "mm²", "sqmm"),
    ("cm2", "area", "1e-4 * m**2", "cm²", "sqcm"),
    ("m2", "area", "m**2", "m²", "sqm"),
    ("AWG", "area", "", "AWG", "ga gauge"),
    ("sr", "solid angle", "sr", "sr", "steradian steradians"),
    ("deg", "angle", "deg", "°", "° degree degrees"),
    ("degC", "temperature", "K; offset: 273.15", "°C", "°C C celsius"),
    ("degF", "temperature", "5 / 9 * K; offset: 255.37222222222222", "°F", "°F F fahrenheit"),
    ("K", "temperature", "K", "K", "kelvin"),
    ("s", "time", "s", "s", "sec second seconds"),
    ("ms", "time", "1e-3 * s", "ms", "millisecond milliseconds"),
    ("us", "time", "1e-6 * s", "µs", "μs microsecond microseconds"),
    ("min", "time", "60 * s", "min", "minute minutes"),
    ("h", "time", "3600 * s", "h", "hour hours hr"),
    ("Hz", "frequency", "1 / s", "Hz", "hertz"),
    ("kHz", "frequency", "1e3 / s", "kHz", "kilohertz"),
    ("MHz", "frequency", "1e6 / s", "MHz", "megahertz"),
    ("m/s", "speed", "m / s", "m/s", "mps"),
    ("kn", "speed", "1852 / 3600 * m / s", "kn", "kt kts knot knots"),
    ("km/h", "speed", "1 / 3.6 * m / s", "km/h", "kmh kph"),
    ("ft/s", "speed", "0.3048 * m / s", "ft/s", "fps"),
    ("mph", "speed", "0.44704 * m / s", "mph", ""),
    ("Hz/kn", "frequency per speed", "3600 / 1852 / m", "Hz/kn", "Hz/kt Hz/knot"),
    ("kg/m3", "density", "kg / m**3", "kg/m³", ""),
    ("g/cm3", "density", "1e3 * kg / m**3", "g/cm³", ""),
    ("Pa", "pressure", "kg / m / s**2", "Pa", "pascal"),
    ("kPa", "pressure", "1e3 * kg / m / s**2", "kPa", ""),
    ("bar", "pressure", "1e5 * kg / m / s**2", "bar", ""),
    ("mbar", "pressure", "1e2 * kg / m / s**2", "mbar", "hPa"),
    ("psi", "pressure", "0.45359237 * 9.80665 / 0.0254**2 * kg / m / s**2", "psi", ""),
    ("dB", "level", "dB", "dB", "decibel decibels"),
    ("dB/m", "attenuation", "dB / m", "dB/m", ""),
    ("dB/km", "attenuation", "1e-3 * dB / m", "dB/km", ""),
    ("ohm/km", "resistance per length", "1e-3 * V / A / m", "Ω/km", "Ω/km mohm/m mΩ/m"),
    ("PSU", "salinity", "psu", "PSU", ""),
    ("%", "ratio", "1e-2 * one", "%", "percent pct"),
    ("1", "ratio", "one", "", ""),
    ("bit", "information", "bit", "bit", "bits"),
)

#: The same measure in the other system, as it is printed in brackets behind the first.
PAIRS: dict[str, str] = {
    "m": "ft", "mm": "in", "mm2": "AWG", "degC": "degF", "m/s": "kn",
    "ft": "m", "fathom": "m", "in": "mm", "AWG": "mm2", "degF": "degC", "kn": "m/s",
}  # fmt: skip

#: Kinds of quantity that are written as a plain number.
_UNITLESS = ("ratio", "salinity", "information")

#: Nobody writes more, and no unit of the table needs more.
_MOST_DIGITS, _LEAST, _GREATEST = 40, 1e-15, 1e15

_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_QUANTITY = re.compile(rf"\s*({_NUMBER})\s*(.*?)\s*", re.DOTALL)
_FEET_AND_INCHES = re.compile(
    r"\s*(\d+)\s*(?:ft|foot|feet|'|′)\s*(\d+(?:\.\d+)?)\s*(?:in|inch|inches|\"|''|′′)\s*"
)
_GAUGE = re.compile(
    r"\s*(?:(?:AWG\s*|\#\s*)(\d/0|0{2,4}|\d{1,3})|(\d/0|0{2,4}|\d{1,3})\s*(?:AWG|ga|gauge))\s*", re.IGNORECASE
)


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
    """Read ``"4 A"``, ``"4A"``, ``"16AWG"``, ``"5 ft 6 in"``, ``"70 F"``, ``"3 %"``, ``"2.5mm2"`` and so on.

    With ``unit`` the result is in that unit, and a number that carries none is refused, unless such a
    quantity has none (a ratio, a salinity).

    Examples
    --------
    >>> parse("5 ft 6 in", "m")
    Quantity(value=1.6764, unit='m')
    >>> print(parse("16AWG"))
    16 AWG
    """
    found = _read(unicodedata.normalize("NFKC", text).replace(MINUS, "-"), text)
    if unit is None:
        return found
    wanted = UNITS[symbol(unit)]
    bare = found.unit == "1" and wanted.symbol != "1"
    if bare and wanted.kind in _UNITLESS and wanted.symbol != "%":
        return Quantity(found.value, wanted.symbol)
    if bare:
        raise UnitError(f"{text.strip()} has no unit; write {text.strip()} {wanted.symbol}")
    return found.to(wanted.symbol)


def _read(text: str, typed: str) -> Quantity:
    typed = typed.strip()
    if gauge := _GAUGE.fullmatch(text):
        return Quantity(_gauge_number(gauge[1] or gauge[2]), "AWG")
    if (mixed := _FEET_AND_INCHES.fullmatch(text)) and len(text) <= _MOST_DIGITS:
        return Quantity(float(Decimal(mixed[1]) + Decimal(mixed[2]) / 12), "ft")
    match = _QUANTITY.fullmatch(text)
    if match is None or match[2][:1] in tuple("0123456789.,"):
        advice = (
            f"write {typed.replace(',', '.')}"
            if re.match(r"\s*[+-]?\d+,\d+(?![\d,])", text)
            else "write a number and a unit, as in 4 A"
        )
        raise UnitError(f"{typed!r} is no quantity; {advice}")
    return Quantity(_ordinary(match[1], typed), symbol(match[2]))


def _ordinary(digits: str, typed: str) -> float:
    """A number that somebody may have measured; thousands of digits are none, and neither is what rounds to nothing."""
    if len(digits) > _MOST_DIGITS:
        raise UnitError("a number of so many digits is no ordinary number")
    value = float(digits)
    nothing = digits.lower().partition("e")[0].strip("+-0.") == ""
    if not (nothing or _LEAST <= abs(value) <= _GREATEST):
        raise UnitError(f"{typed!r} is no ordinary number")
    return value


def _gauge_number(text: str) -> float:
    if "/" in text:
        return 1.0 - int(text.split("/", maxsplit=1)[0])
    return 1.0 - len(text) if text.strip("0") == "" else float(text)


@functools.cache
def symbol(spelling: str) -> str:
    """The table's own symbol for a unit however spelled: ``knots`` gives ``kn``, no text gives ``1``."""
    word = re.sub(r"[\s^*]+", "", unicodedata.normalize("NFKC", spelling))
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
    registry = _pint()
    result = registry.Quantity(value, _pint_name(unit)).to(_pint_name(to)).magnitude
    if UNITS[unit].kind == "temperature":
        # The way through kelvin leaves noise that is not small beside a result near zero: 32 F must be 0 C.
        result = result.round(10) if hasattr(result, "round") else round(result, 10)
    return float(result) if isinstance(value, int | float) else result


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


_BASES = ("m", "s", "kg", "A", "V", "K", "deg", "sr", "dB", "psu", "one", "bit")


@functools.cache
def _pint() -> Any:
    import pint  # half a second; only a real conversion pays for it

    # An empty registry with the project's own units: ready in milliseconds, and no unit by accident.
    registry: Any = pint.UnitRegistry(None)
    for base in _BASES:
        registry.define(f"{base} = [measure_{base}]")
    for unit in UNITS.values():
        if unit.definition:
            registry.define(f"{_pint_name(unit.symbol)} = {unit.definition}")
    return registry


def _pint_name(unit: str) -> str:
    return "unit_" + unit.replace("/", "_per_").replace("%", "percent").replace("1", "one")


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
