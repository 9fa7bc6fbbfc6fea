"""Registered formulas on serial sentences: checksum, depth, temperature, speed and distance as numbers."""

from __future__ import annotations

from typing import NamedTuple

from leadsman.compute.registry import Choice, NoAnswer, Output, Text, formula
from leadsman.compute.sensors.sentences import (
    Decoded,
    DepthBelow,
    DepthWithOffset,
    DistanceLog,
    SentenceError,
    WaterSpeed,
    WaterTemperature,
    checksum_of,
    decode,
)

NAUTICAL_MILE_M = 1852.0

SENTENCE_INPUT = Text("sentence", "The sentence as received, from $ to the checksum.")
CHECKSUM_INPUT = Choice(
    "checksum",
    ("required", "optional"),
    "Whether a sentence without a checksum is accepted.",
    default="required",
)


def _decoded(sentence: str, checksum: str) -> Decoded:
    return decode(sentence, require_checksum=checksum == "required")


def _other_kind(sentence: str, wanted: str) -> SentenceError:
    return SentenceError("kind", f"{sentence[:6]} is no {wanted} sentence")


@formula(
    "sensors.checksum",
    title="Checksum of a serial sentence",
    inputs=(
        Text(
            "sentence",
            "The sentence, or only the characters between $ and *; a checksum that it carries is not read.",
        ),
    ),
    outputs=(Output("checksum", "", "Two hexadecimal digits."),),
    method="Exclusive or of the characters strictly between $ (or !) and *",
    sources=("iec-61162-1, 7.2.3",),
    accuracy="Exact.",
)
def checksum(*, sentence: str) -> str:
    """Checksum that belongs to a serial sentence, by the exclusive or of its characters.

    ``c = b_1 xor b_2 xor ... b_n`` over the characters strictly between ``$`` (or ``!``) and ``*``.

    Returns
    -------
    str
        Two hexadecimal digits, capital.

    Raises
    ------
    SentenceError
        The sentence is empty or holds a character outside ASCII.

    Notes
    -----
    Published examples of sentences often carry wrong checksums; compute, do not copy.

    Examples
    --------
    >>> checksum(sentence="$SDDBT,7.8,f,2.4,M,1.3,F")
    '0D'
    """
    body = sentence.strip().lstrip("$!").partition("*")[0]
    if not body:
        raise SentenceError("empty", "the sentence is empty")
    if not body.isascii():
        raise SentenceError("character", "a sentence holds ASCII characters only")
    return checksum_of(body)


class DepthReading(NamedTuple):
    """A depth sentence as numbers."""

    depth: float
    offset: float
    shown: float
    reference: str
    units: str


@formula(
    "sensors.depth_sentence",
    title="Depth from a serial sentence",
    inputs=(SENTENCE_INPUT, CHECKSUM_INPUT),
    outputs=(
        Output("depth", "m", "Depth as sent."),
        Output("offset", "m", "Offset that the sentence carries; 0 where it has none."),
        Output("shown", "m", "Depth plus offset."),
        Output("reference", "", "What the shown depth is measured from."),
        Output("units", "", "Whether feet, metres and fathoms agree."),
    ),
    method="DBT, DBS, DBK: metres, else feet or fathoms; DPT: depth + offset, positive to the waterline",
    sources=("iec-61162-1, DBT and DPT; DBS and DBK by earlier editions of NMEA 0183",),
    accuracy="0.1 m, the last digit that talkers send.",
)
def depth_sentence(*, sentence: str, checksum: str = "required") -> DepthReading:
    """Depth in metres from a DBT, DBS, DBK or DPT sentence, with what it is measured from.

    ``shown = depth + offset``; a positive offset leads to the waterline, a negative one to the keel.

    Returns
    -------
    DepthReading
        ``depth`` [m], ``offset`` [m], ``shown`` [m], ``reference`` (``"transducer"``, ``"surface"`` or
        ``"keel"``) and ``units`` (``"agree"`` or ``"disagree"``).

    Raises
    ------
    SentenceError
        The sentence cannot be trusted or is no depth sentence.
    NoAnswer
        The sentence is sound and its depth is blank: the sounder has no bottom.

    Notes
    -----
    DBT carries no offset, DPT does: two displays that differ by a constant usually read one each.

    Examples
    --------
    >>> depth_sentence(sentence="$SDDPT,10.1,-1.5,*62")
    DepthReading(depth=10.1, offset=-1.5, shown=8.6, reference='keel', units='agree')
    """
    decoded = _decoded(sentence, checksum)
    if not isinstance(decoded, DepthBelow | DepthWithOffset):
        raise _other_kind(sentence, "depth")
    if decoded.depth_m is None:
        raise NoAnswer("the sentence is sound and its depth is blank: the sounder has no bottom")
    if isinstance(decoded, DepthBelow):
        units = "agree" if decoded.units_agree else "disagree"
        return DepthReading(decoded.depth_m, 0.0, decoded.depth_m, decoded.reference, units)
    offset = decoded.offset_m or 0.0
    return DepthReading(decoded.depth_m, offset, decoded.depth_m + offset, decoded.reference, "agree")


@formula(
    "sensors.temperature_sentence",
    title="Water temperature from a serial sentence",
    inputs=(SENTENCE_INPUT, CHECKSUM_INPUT),
    outputs=(Output("temperature", "degC", "Water temperature."),),
    method="MTW: value and unit C",
    sources=("iec-61162-1, MTW",),
    accuracy="0.1 K, the last digit that talkers send.",
    serves="What does this temperature sentence say?",
)
def temperature_sentence(*, sentence: str, checksum: str = "required") -> float:
    """Water temperature from an MTW sentence.

    ``T`` is the first field, in degrees Celsius.

    Raises
    ------
    SentenceError
        The sentence cannot be trusted or is no temperature sentence.
    NoAnswer
        The temperature is blank: the sensor is not there.

    Notes
    -----
    The standard knows no other unit than Celsius here.

    Examples
    --------
    >>> temperature_sentence(sentence="$YXMTW,25.6,C*13")
    25.6
    """
    decoded = _decoded(sentence, checksum)
    if not isinstance(decoded, WaterTemperature):
        raise _other_kind(sentence, "temperature")
    if decoded.temperature_c is None:
        raise NoAnswer("the sentence is sound and its temperature is blank: no sensor answers")
    return decoded.temperature_c


class SpeedReading(NamedTuple):
    """A speed sentence as a number, and whether its two units agree."""

    speed: float
    units: str


@formula(
    "sensors.speed_sentence",
    title="Speed through the water from a serial sentence",
    inputs=(SENTENCE_INPUT, CHECKSUM_INPUT),
    outputs=(
        Output("speed", "kn", "Speed through the water."),
        Output("units", "", "Whether knots and km/h agree."),
    ),
    method="VHW: knots, else km/h / 1.852",
    sources=("iec-61162-1, VHW",),
    accuracy="0.1 kn, the last digit that talkers send.",
    serves="What does this speed sentence say?",
)
def speed_sentence(*, sentence: str, checksum: str = "required") -> SpeedReading:
    """Speed through the water from a VHW sentence.

    ``v`` is the knots field, or the km/h field divided by 1.852.

    Raises
    ------
    SentenceError
        The sentence cannot be trusted or is no speed sentence.
    NoAnswer
        The speed is blank: no wheel answers.

    Notes
    -----
    Speed through the water, not over the ground.

    Examples
    --------
    >>> speed_sentence(sentence="$VWVHW,,T,,M,5.2,N,9.6,K*5C")
    SpeedReading(speed=5.2, units='agree')
    """
    decoded = _decoded(sentence, checksum)
    if not isinstance(decoded, WaterSpeed):
        raise _other_kind(sentence, "speed")
    if decoded.speed_kn is None:
        raise NoAnswer("the sentence is sound and its speed is blank: no speed wheel answers")
    return SpeedReading(decoded.speed_kn, "agree" if decoded.units_agree else "disagree")


class DistanceReading(NamedTuple):
    """Distances of a log, in metres."""

    total: float
    trip: float


@formula(
    "sensors.distance_sentence",
    title="Distance through the water from a serial sentence",
    inputs=(SENTENCE_INPUT, CHECKSUM_INPUT),
    outputs=(
        Output("total", "m", "Total distance."),
        Output("trip", "m", "Distance since reset."),
    ),
    method="VLW: total and trip distance, 1852 m to the nautical mile",
    sources=("iec-61162-1, VLW",),
    accuracy="0.1 nautical mile, the last digit that talkers send.",
    serves="What does this distance sentence say?",
)
def distance_sentence(*, sentence: str, checksum: str = "required") -> DistanceReading:
    """Total and trip distance through the water from a VLW sentence.

    The first and the third field, in nautical miles of 1852 m.

    Raises
    ------
    SentenceError
        The sentence cannot be trusted or is no distance sentence.
    NoAnswer
        A distance is blank.

    Notes
    -----
    A trip distance that grows proves that the wheel turns, whatever the speed field says.

    Examples
    --------
    >>> distance_sentence(sentence="$VWVLW,2.8,N,0.8,N*4E")
    DistanceReading(total=5185.6, trip=1481.6)
    """
    decoded = _decoded(sentence, checksum)
    if not isinstance(decoded, DistanceLog):
        raise _other_kind(sentence, "distance")
    if decoded.total_nmi is None or decoded.trip_nmi is None:
        raise NoAnswer("the sentence is sound and a distance is blank: no speed wheel answers")
    return DistanceReading(decoded.total_nmi * NAUTICAL_MILE_M, decoded.trip_nmi * NAUTICAL_MILE_M)
