"""Serial sentences (NMEA 0183, IEC 61162-1): checksum, and depth, temperature, speed and distance decoded.

:func:`decode` returns a typed record for each sentence that a sounder sends; the registered formulas give
single numbers. A sentence that cannot be trusted is a :class:`SentenceError` that says what is wrong with it.
A blank depth is no error: it means that the sounder has no bottom.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from leadsman.compute.registry import ComputeError
from leadsman.compute.rounding import exceeds

#: Longest sentence with its start character, CR and LF (IEC 61162-1).
LONGEST_CHARACTERS = 82
FOOT_M = 0.3048
FATHOM_M = 1.8288
KILOMETRES_PER_HOUR_PER_KNOT = 1.852


class SentenceError(ComputeError):
    """A serial sentence cannot be trusted; ``fault`` is one word for what is wrong with it.

    The words are ``empty``, ``start``, ``length``, ``character``, ``truncated``, ``checksum``, ``address``,
    ``fields``, ``unit``, ``number`` and ``kind``.
    """

    def __init__(self, fault: str, message: str) -> None:
        self.fault = fault
        super().__init__(message)


@dataclass(frozen=True)
class Sentence:
    """A sentence taken apart: who talks, which kind, and the fields after the address."""

    talker: str
    kind: str
    fields: tuple[str, ...]


@dataclass(frozen=True)
class DepthBelow:
    """DBT, DBS or DBK: depth below transducer, surface or keel in metres; None while there is no bottom.

    ``units_agree`` is False when the sentence's own feet, metres and fathoms contradict each other.
    """

    talker: str
    reference: str
    depth_m: float | None
    units_agree: bool


@dataclass(frozen=True)
class DepthWithOffset:
    """DPT: depth below the transducer and the offset, positive to the waterline, negative to the keel."""

    talker: str
    depth_m: float | None
    offset_m: float | None

    @property
    def reference(self) -> str:
        """What depth plus offset is measured from."""
        offset = self.offset_m or 0.0
        if offset > 0:
            return "surface"
        return "keel" if offset < 0 else "transducer"

    @property
    def shown_m(self) -> float | None:
        """Depth plus offset, as a display that applies the offset shows it."""
        return None if self.depth_m is None else self.depth_m + (self.offset_m or 0.0)


@dataclass(frozen=True)
class WaterTemperature:
    """MTW: water temperature."""

    talker: str
    temperature_c: float | None


@dataclass(frozen=True)
class WaterSpeed:
    """VHW: speed through the water, with the heading where the talker knows it."""

    talker: str
    speed_kn: float | None
    heading_true_deg: float | None
    heading_magnetic_deg: float | None
    units_agree: bool


@dataclass(frozen=True)
class DistanceLog:
    """VLW: distance through the water, total and since reset, nautical miles."""

    talker: str
    total_nmi: float | None
    trip_nmi: float | None


Decoded = DepthBelow | DepthWithOffset | WaterTemperature | WaterSpeed | DistanceLog


def checksum_of(body: str) -> str:
    """Checksum of the characters between the start character and the asterisk, by exclusive or, as two hex
    digits."""
    total = 0
    for character in body.encode("ascii"):
        total ^= character
    return f"{total:02X}"


def _body_and_checksum(sentence: str) -> tuple[str, str | None]:
    """The text between start and asterisk, and the checksum that the sentence carries, if any."""
    text = sentence.rstrip("\r\n ")
    if not text.strip():
        raise SentenceError("empty", "the sentence is empty")
    if text[0] not in "$!":
        raise SentenceError(
            "start", f"a sentence begins with $ or !, not with {text[0]!r}: its start is lost"
        )
    if len(text) > LONGEST_CHARACTERS - 2:
        raise SentenceError(
            "length", f"{len(text)} characters are too many for a sentence: two have run together, or noise"
        )
    bad = re.search(r"[^\x20-\x7e]|(?<=.)[$!]", text)
    if bad:
        raise SentenceError(
            "character", f"character {bad.group()!r} at {bad.start() + 1} cannot be in a sentence"
        )
    body, star, carried = text[1:].partition("*")
    if not star:
        return body, None
    if len(carried) < 2:
        raise SentenceError("truncated", "the sentence ends inside its checksum: it is truncated")
    if not re.fullmatch("[0-9A-Fa-f]{2}", carried):
        raise SentenceError("checksum", f"the checksum after * is two hex digits, not {carried!r}")
    return body, carried.upper()


def parse(sentence: str, *, require_checksum: bool = True) -> Sentence:
    """Take a sentence apart after proving its form and its checksum.

    Parameters
    ----------
    sentence : str
        The sentence as received, with or without CR LF.
    require_checksum : bool
        Whether a sentence without a checksum is refused; very old talkers send none.

    Returns
    -------
    Sentence
        Talker, kind and fields.

    Raises
    ------
    SentenceError
        The sentence is empty, malformed, truncated, or fails its checksum.

    Examples
    --------
    >>> parse("$YXMTW,25.6,C*13")
    Sentence(talker='YX', kind='MTW', fields=('25.6', 'C'))
    """
    body, carried = _body_and_checksum(sentence)
    if carried is None and require_checksum:
        raise SentenceError(
            "truncated", "the sentence has no checksum: it is truncated, or an old talker sends none"
        )
    if carried is not None and carried != checksum_of(body):
        raise SentenceError(
            "checksum",
            f"the sentence carries checksum {carried}, its characters give {checksum_of(body)}: damaged on the way",
        )
    address, *fields = body.split(",")
    if address.startswith("P"):
        raise SentenceError("kind", f"{address} is a maker's own sentence, which has no public meaning")
    if not re.fullmatch("[A-Z][A-Z0-9][A-Z]{3}", address):
        raise SentenceError(
            "address", f"{address!r} is no address: two letters for the talker, three for the kind"
        )
    return Sentence(address[:2], address[2:], tuple(fields))


def decode(sentence: str, *, require_checksum: bool = True) -> Decoded:
    """Typed record of a depth, temperature, speed or distance sentence.

    Parameters
    ----------
    sentence : str
        The sentence as received, with or without CR LF.
    require_checksum : bool
        Whether a sentence without a checksum is refused.

    Returns
    -------
    DepthBelow, DepthWithOffset, WaterTemperature, WaterSpeed or DistanceLog
        By the kind of the sentence.

    Raises
    ------
    SentenceError
        The sentence cannot be trusted, or is of another kind.

    Examples
    --------
    >>> decode("$SDDPT,12.4,0.5,*49").shown_m
    12.9

    References
    ----------
    IEC 61162-1, 2016, sentence formats.
    """
    parsed = parse(sentence, require_checksum=require_checksum)
    if parsed.kind not in DECODERS:
        raise SentenceError(
            "kind", f"{parsed.kind} is none of {', '.join(DECODERS)}: no depth, temperature or speed sentence"
        )
    return DECODERS[parsed.kind](parsed)


def _number(sentence: Sentence, index: int, meaning: str, *, signed: bool = False) -> float | None:
    """A field as a number; None where it is blank."""
    text = sentence.fields[index].strip()
    if not text:
        return None
    if not re.fullmatch(r"[+-]?\d+(\.\d*)?|[+-]?\.\d+", text):
        raise SentenceError("number", f"{sentence.kind}: {meaning} {text!r} is no number")
    value = float(text)
    if value < 0 and not signed:
        raise SentenceError("number", f"{sentence.kind}: {meaning} {text} cannot be negative")
    return value


def _expect(sentence: Sentence, counts: tuple[int, ...], units: dict[int, str]) -> None:
    """Refuse a sentence with another number of fields, or with other unit letters beside its values."""
    if len(sentence.fields) not in counts:
        wanted = " or ".join(str(count) for count in counts)
        raise SentenceError(
            "fields",
            f"{sentence.kind} has {wanted} fields, this one {len(sentence.fields)}: truncated or malformed",
        )
    for index, letter in units.items():
        found = sentence.fields[index].strip()
        # Some talkers leave the letter out together with its value, and that is unambiguous.
        if found != letter and (found or sentence.fields[index - 1].strip()):
            raise SentenceError(
                "unit", f"{sentence.kind}: field {index + 1} must be the unit {letter}, not {found!r}"
            )


def _decode_depth_below(sentence: Sentence) -> DepthBelow:
    _expect(sentence, (6,), {1: "f", 3: "M", 5: "F"})
    feet = _number(sentence, 0, "depth in feet")
    metres = _number(sentence, 2, "depth in metres")
    fathoms = _number(sentence, 4, "depth in fathoms")
    in_metres = [
        value * unit
        for value, unit in ((metres, 1.0), (feet, FOOT_M), (fathoms, FATHOM_M))
        if value is not None
    ]
    # A tenth of a fathom, cut off instead of rounded, is the coarsest step among the three.
    agree = not in_metres or not exceeds(
        max(in_metres) - min(in_metres), 0.1 * FATHOM_M + 0.01 * max(in_metres)
    )
    reference = {"T": "transducer", "S": "surface", "K": "keel"}[sentence.kind[2]]
    return DepthBelow(sentence.talker, reference, in_metres[0] if in_metres else None, agree)


def _decode_depth_with_offset(sentence: Sentence) -> DepthWithOffset:
    _expect(sentence, (2, 3), {})
    return DepthWithOffset(
        sentence.talker, _number(sentence, 0, "depth"), _number(sentence, 1, "offset", signed=True)
    )


def _decode_temperature(sentence: Sentence) -> WaterTemperature:
    _expect(sentence, (2,), {1: "C"})
    return WaterTemperature(sentence.talker, _number(sentence, 0, "temperature", signed=True))


def _decode_speed(sentence: Sentence) -> WaterSpeed:
    _expect(sentence, (8,), {1: "T", 3: "M", 5: "N", 7: "K"})
    knots = _number(sentence, 4, "speed in knots")
    kilometres = _number(sentence, 6, "speed in km/h")
    agree = True
    if knots is None:
        knots = None if kilometres is None else kilometres / KILOMETRES_PER_HOUR_PER_KNOT
    elif kilometres is not None:
        agree = not exceeds(abs(kilometres - knots * KILOMETRES_PER_HOUR_PER_KNOT), 0.2 + 0.01 * kilometres)
    return WaterSpeed(
        sentence.talker, knots, _number(sentence, 0, "heading"), _number(sentence, 2, "heading"), agree
    )


def _decode_distance(sentence: Sentence) -> DistanceLog:
    _expect(sentence, (4, 8), dict.fromkeys(range(1, len(sentence.fields), 2), "N"))
    return DistanceLog(
        sentence.talker, _number(sentence, 0, "total distance"), _number(sentence, 2, "trip distance")
    )


DECODERS: dict[str, Callable[[Sentence], Decoded]] = {
    "DBT": _decode_depth_below,
    "DBS": _decode_depth_below,
    "DBK": _decode_depth_below,
    "DPT": _decode_depth_with_offset,
    "MTW": _decode_temperature,
    "VHW": _decode_speed,
    "VLW": _decode_distance,
}
