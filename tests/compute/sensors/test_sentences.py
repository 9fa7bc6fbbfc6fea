"""Serial sentences: checksums, typed records, and a clear error for each way a sentence is spoilt."""

import contextlib
import functools
import operator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.registry import NoAnswer
from leadsman.compute.sensors.sentence_formulas import (
    checksum,
    depth_sentence,
    distance_sentence,
    speed_sentence,
    temperature_sentence,
)
from leadsman.compute.sensors.sentences import (
    DepthBelow,
    DepthWithOffset,
    DistanceLog,
    SentenceError,
    WaterSpeed,
    WaterTemperature,
    decode,
    parse,
)

BODY = st.text(
    st.characters(min_codepoint=0x20, max_codepoint=0x7E, exclude_characters="$!*"), min_size=1, max_size=70
)


def closed(body: str) -> str:
    """The sentence of a body, with its right checksum, CR and LF."""
    return f"${body}*{checksum(sentence=body)}\r\n"


@given(body=BODY.filter(lambda text: text.strip() == text))
def test_checksum_is_the_exclusive_or(body: str) -> None:
    """Against a plain reduction over the bytes."""
    assert checksum(sentence=body) == f"{functools.reduce(operator.xor, body.encode()):02X}"
    assert checksum(sentence=closed(body)) == checksum(sentence=body)


@given(position=st.integers(0, 20), bit=st.integers(0, 6))
def test_any_single_flipped_bit_is_found(position: int, bit: int) -> None:
    """No single damaged bit between $ and * decodes as a depth."""
    body = "SDDPT,12.4,0.5,100.0"
    damaged = bytearray(body.encode())
    damaged[position % len(damaged)] ^= 1 << bit
    sentence = f"${damaged.decode('latin-1')}*{checksum(sentence=body)}"

    with pytest.raises(SentenceError):
        decode(sentence)


@pytest.mark.parametrize(
    ("sentence", "record"),
    [
        ("$SDDBT,7.8,f,2.4,M,1.3,F*0D", DepthBelow("SD", "transducer", 2.4, True)),
        ("$SDDBT,10,f,10,M,10,F*29", DepthBelow("SD", "transducer", 10.0, False)),
        ("$SDDPT,10.1,-1.5,*62", DepthWithOffset("SD", 10.1, -1.5)),
        ("$SDDPT,10,*56", DepthWithOffset("SD", 10.0, None)),
        ("$YXMTW,25.6,C*13", WaterTemperature("YX", 25.6)),
        ("$VWVHW,45.0,T,40.4,M,6.2,N,11.5,K*64", WaterSpeed("VW", 6.2, 45.0, 40.4, True)),
        ("$VWVLW,2.8,N,2.8,N*4C", DistanceLog("VW", 2.8, 2.8)),
    ],
)
def test_published_sentences_decode_to_typed_records(sentence: str, record: object) -> None:
    """Public example sentences with their printed checksums, with and without CR LF."""
    assert decode(sentence) == record
    assert decode(sentence + "\r\n") == record


@pytest.mark.parametrize(
    ("body", "metres"),
    [("SDDBT,30.0,f,,M,,F", 9.144), ("SDDBT,,f,,M,5.0,F", 9.144), ("SDDBS,,,22.5,M,,", 22.5)],
)
def test_a_depth_in_any_one_unit_is_taken(body: str, metres: float) -> None:
    """Talkers leave units out; 1 ft = 0.3048 m and 1 fathom = 1.8288 m exactly."""
    assert decode(closed(body)).depth_m == pytest.approx(metres)


@pytest.mark.parametrize(
    ("feet", "metres", "fathoms"), [("17.0", "5.1", "2.8"), ("50.0", "15.24", "8.33"), ("7.8", "2.4", "1.3")]
)
def test_truncated_units_still_agree(feet: str, metres: str, fathoms: str) -> None:
    """Published examples cut digits off instead of rounding: that is no contradiction."""
    assert decode(closed(f"SDDBT,{feet},f,{metres},M,{fathoms},F")).units_agree


def test_feet_sent_as_metres_are_noticed() -> None:
    """The commonest wrong depth is a unit: 30 ft in the metres field contradicts the feet field."""
    reading = depth_sentence(sentence=closed("SDDBT,30.0,f,30.0,M,5.0,F"))

    assert reading.units == "disagree"


def test_offset_leads_to_waterline_or_keel() -> None:
    """IEC 61162-1: positive from transducer to waterline, negative to the keel."""
    surface, keel, none = (decode(closed(f"SDDPT,10.0,{offset}")) for offset in ("0.5", "-1.5", "0.0"))

    assert (surface.reference, surface.shown_m) == ("surface", 10.5)
    assert (keel.reference, keel.shown_m) == ("keel", 8.5)
    assert (none.reference, none.shown_m) == ("transducer", 10.0)


def test_one_ping_in_three_sentences_agrees() -> None:
    """A logged ping of a survey sounder: DPT with its offset is the depth that DBS gives, and DBT the one
    without."""
    with_offset = depth_sentence(sentence="$SDDPT,3079.80,6.14*61")

    assert with_offset.shown == pytest.approx(
        depth_sentence(sentence="$SDDBS,10124.50,f,3085.95,M,1687.42,F*3E").depth, abs=0.011
    )
    assert with_offset.depth == depth_sentence(sentence="$SDDBT,10104.34,f,3079.80,M,1684.06,F*3D").depth


@pytest.mark.parametrize(
    ("sentence", "fault", "told"),
    [
        ("", "empty", "is empty"),
        ("SDDBT,7.8,f,2.4,M,1.3,F*0D", "start", "its start is lost"),
        ("$SDDBT,7.8,f,2.4,M,1.3,F*0", "truncated", "inside its checksum"),
        ("$SDDBT,7.8,f,2.4,M", "truncated", "no checksum"),
        ("$SDDBT,7.8,f,2.4,M,1.3,F*0E", "checksum", "carries checksum 0E, its characters give 0D"),
        ("$SDDBT,7.8,f,2.4,M,1.3,F*ZZ", "checksum", "two hex digits, not 'ZZ'"),
        ("$SDDBT,7.8,f,2.4,M,1.3,F*0D9", "checksum", "two hex digits"),
        ("$SDDBT,7.8$SDDBT,7.8,f,2.4,M,1.3,F*0D", "character", "'$' at 11"),
        ("$SDDBT,7.8,\xb5,2.4,M,1.3,F*0D", "character", "cannot be in a sentence"),
        ("$" + "SDDBT," + "1" * 90 + "*00", "length", "too many"),
        (closed("SDDBT,7.8,f,2.4,M"), "fields", "has 6 fields, this one 4"),
        (closed("SDDBT,7.8,M,2.4,f,1.3,F"), "unit", "must be the unit f, not 'M'"),
        (closed("YXMTW,78.1,F"), "unit", "must be the unit C, not 'F'"),
        (closed("SDDPT,--.-,0.0"), "number", "'--.-' is no number"),
        (closed("SDDPT,nan,0.0"), "number", "'nan' is no number"),
        (closed("SDDPT,-3.0,0.0"), "number", "cannot be negative"),
        (closed("PABCD,1"), "kind", "a maker's own sentence"),
        (closed("GPGLL,4916.45,N,12311.12,W,225444,A,"), "kind", "GLL is none of DBT"),
        (closed("DBT,7.8,f,2.4,M,1.3,F"), "address", "is no address"),
    ],
)
def test_each_spoilt_sentence_says_what_is_wrong(sentence: str, fault: str, told: str) -> None:
    """The fault in one word for code, the message for people."""
    with pytest.raises(SentenceError) as caught:
        decode(sentence)

    assert caught.value.fault == fault
    assert told in str(caught.value)


@given(text=st.text(max_size=90))
def test_noise_never_breaks_the_decoder(text: str) -> None:
    """Whatever arrives on the line, the answer is a record or a SentenceError; anything else fails this
    test."""
    for sentence in (text, "$" + text, "$SDDBT" + text):
        with contextlib.suppress(SentenceError):
            assert decode(sentence, require_checksum=False).talker


@pytest.mark.parametrize("cut", range(1, 27))
def test_every_truncation_is_refused(cut: int) -> None:
    """A sentence cut anywhere is never a depth."""
    with pytest.raises(SentenceError):
        decode("$SDDBT,7.8,f,2.4,M,1.3,F*0D"[:-cut])


def test_old_talkers_send_no_checksum() -> None:
    """Accepted only on request."""
    assert parse("$SDDBT,7.8,f,2.4,M,1.3,F", require_checksum=False).kind == "DBT"
    assert depth_sentence(sentence="$SDDBT,7.8,f,2.4,M,1.3,F", checksum="optional").depth == 2.4
    with pytest.raises(SentenceError, match="no checksum"):
        depth_sentence(sentence="$SDDBT,7.8,f,2.4,M,1.3,F")


@pytest.mark.parametrize(
    ("formula", "body", "told"),
    [
        (depth_sentence, "SDDBT,,f,,M,,F", "no bottom"),
        (depth_sentence, "SDDPT,,0.5", "no bottom"),
        (temperature_sentence, "YXMTW,,C", "no sensor answers"),
        (speed_sentence, "VWVHW,,T,,M,,N,,K", "no speed wheel"),
        (distance_sentence, "VWVLW,,N,,N", "no speed wheel"),
    ],
)
def test_a_blank_value_is_no_fault_of_the_sentence(formula: object, body: str, told: str) -> None:
    """A sounder without bottom sends sound sentences with blank fields."""
    with pytest.raises(NoAnswer, match=told):
        formula(sentence=closed(body))  # type: ignore[operator]


def test_speed_from_kilometres_when_knots_are_missing() -> None:
    """1.852 km/h to the knot."""
    assert speed_sentence(sentence=closed("VWVHW,,T,,M,,N,18.52,K")).speed == pytest.approx(10.0)
    assert speed_sentence(sentence=closed("VWVHW,,T,,M,5.0,N,5.0,K")).units == "disagree"


@pytest.mark.parametrize(
    ("knots", "kilometres", "units"),
    # One knot is 1.852 km/h: 40 kn are 74.08 km/h, 5 kn 9.26. A hundredth and the last digits are forgiven, no more.
    [
        ("40.0", "74.6", "agree"),
        ("40.0", "75.2", "disagree"),
        ("5.0", "9.5", "agree"),
        ("5.0", "9.7", "disagree"),
    ],
)
def test_the_two_speeds_may_differ_by_a_hundredth_and_a_digit(
    knots: str, kilometres: str, units: str
) -> None:
    """Common practice, no source: an instrument that rounds one of the two is sound."""
    assert speed_sentence(sentence=closed(f"VWVHW,,T,,M,{knots},N,{kilometres},K")).units == units


@pytest.mark.parametrize("formula", [depth_sentence, temperature_sentence, speed_sentence, distance_sentence])
def test_each_formula_takes_its_own_kind_only(formula: object) -> None:
    """A sound sentence of another kind is refused by name."""
    sentences = {
        depth_sentence: "$YXMTW,25.6,C*13",
        temperature_sentence: "$SDDPT,10,*56",
        speed_sentence: "$SDDPT,10,*56",
        distance_sentence: "$SDDPT,10,*56",
    }
    with pytest.raises(SentenceError, match="is no") as caught:
        formula(sentence=sentences[formula])  # type: ignore[operator, index]

    assert caught.value.fault == "kind"


def test_a_sentence_has_eighty_two_characters_with_its_end() -> None:
    """IEC 61162-1 (NMEA 0183), 5.3: 82 at most, the first sign, carriage return and line feed among them."""

    def fault_of(characters: int) -> str:
        text = "$SDDBT," + "0" * (characters - 7)
        try:
            decode(text + "\r\n")
        except SentenceError as error:
            return error.fault
        return ""

    assert fault_of(81) == "length"
    assert fault_of(80) != "length"


@pytest.mark.parametrize(
    ("feet", "agree"),
    # 10.284 m and 10.29 m against 10 m: what is forgiven is 0.183 m and a hundredth, 0.2857 m and 0.2858 m.
    [(10.284 / 0.3048, True), (10.29 / 0.3048, False)],
)
def test_depths_may_differ_by_a_tenth_of_a_fathom_and_a_hundredth(feet: float, agree: bool) -> None:
    """A tenth of a fathom cut off is the coarsest digit that is sent; a hundredth is the unit's own rounding."""
    assert decode(closed(f"SDDBT,{feet:.4f},f,10.0,M,,F")).units_agree == agree


@pytest.mark.parametrize(("kilometres", "units"), [("75.02", "agree"), ("75.04", "disagree")])
def test_speeds_may_differ_by_two_tenths_and_a_hundredth(kilometres: str, units: str) -> None:
    """40 kn are 74.08 km/h; 0.2 km/h and a hundredth more are 75.03 km/h."""
    assert speed_sentence(sentence=closed(f"VWVHW,,T,,M,40.0,N,{kilometres},K")).units == units


def test_what_is_sent_in_one_unit_contradicts_nothing() -> None:
    """A speed in knots alone, and a depth with no value at all."""
    assert decode(closed("VWVHW,,T,,M,5.0,N,,K")).units_agree
    assert decode(closed("SDDBT,,f,,M,,F")).units_agree
    assert decode(closed("VWVHW,,T,,M,,N,,K")).speed_kn is None


@pytest.mark.parametrize(("text", "depth"), [("0.0", 0.0), ("0.5", 0.5)])
def test_a_depth_of_nothing_is_a_depth(text: str, depth: float) -> None:
    """Only what is less than nothing cannot be; water below freezing can."""
    assert decode(closed(f"SDDPT,{text},-0.5")).depth_m == depth
    assert decode(closed(f"SDDPT,{text},-0.5")).reference == "keel"
    assert decode(closed("YXMTW,-1.5,C")).temperature_c == -1.5


@pytest.mark.parametrize(
    ("body", "told"),
    [
        ("SDDBT,7.8,,2.4,M,1.3,F", "field 2 must be the unit f, not ''"),
        ("SDDBT,,M,2.4,M,1.3,F", "field 2 must be the unit f, not 'M'"),
        ("VWVLW,2.8,K,0.8,N", "field 2 must be the unit N"),
        ("VWVLW,2.8,N,0.8,K", "field 4 must be the unit N"),
        ("VWVLW,2.8,N,0.8,N,1.0,K,1.0,N", "field 6 must be the unit N"),
        ("VWVLW,2.8,N,0.8,N,1.0,N,1.0,K", "field 8 must be the unit N"),
    ],
)
def test_each_value_has_its_own_unit_beside_it(body: str, told: str) -> None:
    """IEC 61162-1: the letter stands in the field after its value; with its value it may be left out."""
    with pytest.raises(SentenceError) as caught:
        decode(closed(body))

    assert told in str(caught.value)
    assert decode(closed("VWVLW,2.8,N,0.8,N,1.0,N,1.0,N")) == DistanceLog("VW", 2.8, 0.8)
    assert decode(closed("SDDBT,,,2.4,M,,")).depth_m == 2.4


@pytest.mark.parametrize(("sentence", "fault"), [("$*00", "empty"), ("$SDDBT,\xb5", "character")])
def test_no_checksum_is_made_of_nothing_or_of_noise(sentence: str, fault: str) -> None:
    """IEC 61162-1 knows ASCII characters only."""
    with pytest.raises(SentenceError) as caught:
        checksum(sentence=sentence)

    assert caught.value.fault == fault


def test_the_readings_of_whole_sentences() -> None:
    """A depth without offset is shown as sent; one blank distance is no distance; a wrong kind is named."""
    assert depth_sentence(sentence="$SDDBT,7.8,f,2.4,M,1.3,F*0D") == (2.4, 0.0, 2.4, "transducer", "agree")
    for body in ("VWVLW,,N,0.8,N", "VWVLW,2.8,N,,N"):
        with pytest.raises(NoAnswer, match="a distance is blank"):
            distance_sentence(sentence=closed(body))
    with pytest.raises(SentenceError, match=r"^\$YXMTW is no depth sentence"):
        depth_sentence(sentence="$YXMTW,25.6,C*13")
