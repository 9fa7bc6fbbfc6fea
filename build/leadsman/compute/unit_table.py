"""The one list of units: what each measures, its factor, its sign in print, and what people type for it.

The formulas name their arguments after it, ``leadsman.units`` reads, converts and prints by it, and the rules of
the content know by it what a number with a unit is. A new unit is one line here and nowhere else.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

#: The suffix of an argument where the symbol in small letters, "/" read as "per", would not do.
_SUFFIXES = {"1": "", "%": "pct", "degC": "c", "degF": "f", "m/s": "mps"}


@dataclass(frozen=True)
class Unit:
    """One unit: what it measures, its exact factor and offset to that kind's base, printed sign, other spellings."""

    symbol: str
    kind: str
    factor: Fraction
    offset: Fraction
    printed: str
    spellings: tuple[str, ...] = ()

    @property
    def suffix(self) -> str:
        """What the name of an argument in this unit ends in: ``m``, ``db_per_km``; nothing for a plain number."""
        return _SUFFIXES.get(self.symbol, self.symbol.lower().replace("/", "_per_"))


def _exact(text: str) -> Fraction:
    """A factor as it is written: an integer, a decimal or a quotient of two of them."""
    over, _, under = text.partition("/")
    return Fraction(over) / Fraction(under or "1")


def _table(*lines: tuple[str, str, str, str, str]) -> dict[str, Unit]:
    table = {}
    for symbol, kind, definition, printed, spellings in lines:
        factor, _, offset = definition.partition("+")
        words = tuple(spellings.split())
        table[symbol] = Unit(symbol, kind, _exact(factor), _exact(offset or "0"), printed, words)
    return table


# Symbol, kind, factor to the kind's base unit (+ offset), printed sign, further spellings (without spaces).
# All factors are exact by definition; psi follows from the avoirdupois pound and standard gravity. AWG has no
# factor: it is a scale of its own, by ASTM B258.
UNITS: dict[str, Unit] = _table(
    ("A", "current", "1", "A", "amp amps ampere amperes"),
    ("mA", "current", "1e-3", "mA", "milliamp milliamps"),
    ("V", "voltage", "1", "V", "volt volts vdc"),
    ("mV", "voltage", "1e-3", "mV", "millivolt millivolts"),
    ("W", "power", "1", "W", "watt watts"),
    ("kW", "power", "1e3", "kW", "kilowatt kilowatts"),
    ("ohm", "resistance", "1", "Ω", "Ω ohms"),
    ("mohm", "resistance", "1e-3", "mΩ", "mΩ milliohm milliohms"),
    ("kohm", "resistance", "1e3", "kΩ", "kΩ kohms kilohm kilohms"),
    ("Mohm", "resistance", "1e6", "MΩ", "MΩ Mohms megohm megohms megaohm megaohms"),
    ("nF", "capacitance", "1e-9", "nF", "nanofarad nanofarads"),
    ("pF", "capacitance", "1e-12", "pF", "picofarad picofarads"),
    ("uF", "capacitance", "1e-6", "µF", "μF microfarad microfarads"),
    ("pF/m", "capacitance per length", "1", "pF/m", ""),
    ("m", "length", "1", "m", "metre metres meter meters mtr mtrs"),
    ("mm", "length", "1e-3", "mm", "millimetre millimetres millimeter millimeters"),
    ("cm", "length", "1e-2", "cm", "centimetre centimetres centimeter centimeters"),
    ("km", "length", "1e3", "km", "kilometre kilometres kilometer kilometers"),
    ("ft", "length", "0.3048", "ft", "foot feet '"),
    ("in", "length", "0.0254", "in", "inch inches \" ''"),
    ("fathom", "length", "1.8288", "fm", "fathoms fm fms"),
    ("mm2", "area", "1e-6", "mm²", "sqmm mmsq qmm"),
    ("cm2", "area", "1e-4", "cm²", "sqcm"),
    ("m2", "area", "1", "m²", "sqm"),
    ("AWG", "area", "1", "AWG", "ga gauge"),
    ("sr", "solid angle", "1", "sr", "steradian steradians"),
    ("deg", "angle", "1", "°", "° degs degree degrees"),
    ("degC", "temperature", "1+273.15", "°C", "°C C celsius degreeC degreesC degcelsius degreecelsius degreescelsius"),
    ("degF", "temperature", "5/9+45967/180", "°F", "°F F fahrenheit degreeF degreesF degfahrenheit degreesfahrenheit"),
    ("K", "temperature", "1", "K", "kelvin"),
    ("s", "time", "1", "s", "sec secs second seconds"),
    ("ms", "time", "1e-3", "ms", "millisecond milliseconds"),
    ("us", "time", "1e-6", "µs", "μs microsecond microseconds"),
    ("min", "time", "60", "min", "mins minute minutes"),
    ("h", "time", "3600", "h", "hour hours hr hrs"),
    ("Hz", "frequency", "1", "Hz", "hertz"),
    ("kHz", "frequency", "1e3", "kHz", "kilohertz"),
    ("MHz", "frequency", "1e6", "MHz", "megahertz"),
    ("m/s", "speed", "1", "m/s", "mps"),
    ("kn", "speed", "1852/3600", "kn", "kt kts knot knots"),
    ("km/h", "speed", "1/3.6", "km/h", "kmh kph"),
    ("ft/s", "speed", "0.3048", "ft/s", "fps"),
    ("mph", "speed", "0.44704", "mph", ""),
    ("Hz/kn", "frequency per speed", "3600/1852", "Hz/kn", "Hz/kt Hz/knot"),
    ("kg/m3", "density", "1", "kg/m³", ""),
    ("g/cm3", "density", "1e3", "g/cm³", ""),
    ("Pa", "pressure", "1", "Pa", "pascal pascals"),
    ("kPa", "pressure", "1e3", "kPa", ""),
    ("bar", "pressure", "1e5", "bar", ""),
    ("mbar", "pressure", "1e2", "mbar", "hPa"),
    ("psi", "pressure", "8896443230521/1290320000", "psi", ""),
    ("dB", "level", "1", "dB", "decibel decibels"),
    ("dB/m", "attenuation", "1", "dB/m", ""),
    ("dB/km", "attenuation", "1e-3", "dB/km", ""),
    ("ohm/km", "resistance per length", "1e-3", "Ω/km", "Ω/km mohm/m mΩ/m"),
    ("PSU", "salinity", "1", "PSU", "ppt ‰"),
    ("%", "ratio", "1e-2", "%", "percent pct"),
    ("1", "ratio", "1", "", ""),
    ("bit", "information", "1", "bit", "bits"),
)  # fmt: skip

#: The same measure in the other system, as it is printed in brackets behind the first.
PAIRS: dict[str, str] = {
    "m": "ft", "mm": "in", "mm2": "AWG", "degC": "degF", "m/s": "kn",
    "ft": "m", "fathom": "m", "in": "mm", "AWG": "mm2", "degF": "degC", "kn": "m/s",
}  # fmt: skip
