"""The element pair: cable taken off, breaks located, and every reading on one side of a verdict."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.compute.registry import NoAnswer
from leadsman.compute.sensors.element import cable_break, element_capacitance, element_verdict

ELEMENT = {"expected_nf": 2.2, "cable_length_m": 8.0}


@given(element=st.floats(0.5, 50), length=st.floats(0.5, 30), cable=st.floats(80, 150))
def test_the_element_lies_within_its_bounds(element: float, length: float, cable: float) -> None:
    """Whatever cable of 80 to 150 pF/m a transducer has, its true capacitance lies between least and
    greatest."""
    reading = element + cable * length / 1000
    found = element_capacitance(reading_nf=reading, cable_length_m=length)

    assert found.least - 0.01 * length <= element <= found.greatest + 0.01 * length
    assert found.least <= found.element <= found.greatest


def test_a_known_cable_gives_the_element_itself() -> None:
    """3.0 nF less 10 m of 100 pF/m is 2.0 nF."""
    found = element_capacitance(
        reading_nf=3.0, cable_length_m=10.0, cable_pf_per_m=100.0, cable_spread_pct=1.0
    )

    assert found.element == pytest.approx(2.0)
    assert found.greatest - found.least == pytest.approx(0.02)


def test_no_more_than_the_cable_is_no_element() -> None:
    """A reading that the cable alone explains is not turned into an element."""
    with pytest.raises(NoAnswer, match="no element is connected"):
        element_capacitance(reading_nf=0.5, cable_length_m=8.0)


@given(broken=st.floats(0.2, 12), cable=st.floats(81, 149))
def test_a_break_is_found_between_its_bounds(broken: float, cable: float) -> None:
    """The true place of a break in a 12 m cable lies between nearest and farthest."""
    place = cable_break(reading_nf=broken * cable / 1000, cable_length_m=12.0)

    assert place.nearest <= broken * 1.001
    assert place.farthest >= broken * 0.999
    assert place.farthest <= 12.0


def test_more_than_the_cable_is_no_break() -> None:
    """With the element still connected there is no break to locate."""
    with pytest.raises(NoAnswer, match="element is still connected"):
        cable_break(reading_nf=3.0, cable_length_m=8.0)


@given(share=st.floats(0, 1), cable=st.floats(81, 149))
def test_a_sound_transducer_is_never_condemned(share: float, cable: float) -> None:
    """Any element within 20 % on any cable of 80 to 150 pF/m is sound (common practice, no source)."""
    reading = 2.2 * (0.8 + 0.4 * share) + cable * 8.0 / 1000

    assert element_verdict(reading_nf=reading, **ELEMENT) == "sound"


def test_every_reading_has_one_verdict_in_order() -> None:
    """From nothing upward: plug, cable, transducer, cracked, sound, high; none of them comes twice."""
    verdicts = element_verdict(reading_nf=np.linspace(0, 8, 801), **ELEMENT)
    changes = [v for i, v in enumerate(verdicts) if i == 0 or v != verdicts[i - 1]]

    assert [v.split(":")[0] for v in changes] == [
        "open at the plug", "open along the cable", "open at the transducer", "low", "sound", "high"
    ]  # fmt: skip


def test_a_tuned_element_is_not_judged_by_capacitance() -> None:
    """A capacitance meter reads its coil (common practice, no source)."""
    with pytest.raises(NoAnswer, match="coil of a tuned element"):
        element_verdict(reading_nf=3.2, tuned="yes", **ELEMENT)


def test_a_small_element_on_a_long_cable_cannot_be_judged() -> None:
    """Where the doubt about the cable exceeds the element no verdict is honest; a known cable restores it."""
    with pytest.raises(NoAnswer, match="doubt about so long a cable"):
        element_verdict(reading_nf=3.0, expected_nf=0.8, cable_length_m=20.0)

    assert (
        element_verdict(
            reading_nf=3.0, expected_nf=0.8, cable_length_m=20.0, cable_pf_per_m=110.0, cable_spread_pct=5.0
        )
        == "sound"
    )


#: 10 m of 80 to 120 pF/m hold 0.8 to 1.2 nF, and an element of 2 nF within a tenth reads 2.6 to 3.4 nF behind it.
KNOWN = {"cable_length_m": 10.0, "cable_pf_per_m": 100.0, "cable_spread_pct": 20.0}


def test_an_unknown_cable_holds_80_to_150_picofarads_a_metre() -> None:
    """115 pF/m and 30 % either way (common practice): 10 m of it hold 1.15 nF, 0.805 to 1.495."""
    found = element_capacitance(reading_nf=3.0, cable_length_m=10.0)

    assert found == pytest.approx((1.85, 1.505, 2.195))


def test_what_the_cable_may_hold_leaves_nothing_for_the_element() -> None:
    """The cable's least is no element; above it, but below its middle, the element may be nothing."""
    with pytest.raises(NoAnswer, match="no element is connected"):
        element_capacitance(reading_nf=0.8, **KNOWN)

    assert element_capacitance(reading_nf=0.9, **KNOWN) == pytest.approx((0.0, 0.0, 0.1))


def test_a_break_at_the_cables_end_is_one() -> None:
    """A whole cable at its greatest, 1.2 nF, is a break at the transducer; a little more is none."""
    assert cable_break(reading_nf=1.2, **KNOWN) == pytest.approx((10.0, 10.0))
    with pytest.raises(NoAnswer, match="element is still connected"):
        cable_break(reading_nf=1.21, **KNOWN)


@pytest.mark.parametrize(
    ("reading", "verdict"),
    [
        (0.0, "open at the plug"), (0.049, "open at the plug"), (0.05, "open along"), (0.052, "open along"),
        (0.79, "open along"), (0.8, "open at the transducer"), (1.2, "open at the transducer"), (1.21, "low"),
        (2.59, "low"), (2.6, "sound"), (3.4, "sound"), (3.405, "high"),
    ],
)  # fmt: skip
def test_an_element_is_judged_at_each_limit(reading: float, verdict: str) -> None:
    """Below 0.05 nF a meter reads nothing; the other limits are cable and element at their least and greatest."""
    found = element_verdict(reading_nf=reading, expected_nf=2.0, tolerance_pct=10.0, **KNOWN)

    assert str(found).startswith(verdict)


def test_without_cable_nothing_read_is_a_break_at_the_plug() -> None:
    """A transducer without cable has no place along it, nor an end of it, for a break."""
    found = element_verdict(reading_nf=np.array([0.0, 0.01]), expected_nf=2.0, cable_length_m=0.0)

    assert list(found) == ["open at the plug", "low: cracked or part of the element lost"]


@pytest.mark.parametrize(("expected", "judged"), [(0.5, False), (0.51, True)])
def test_an_element_must_be_more_than_the_doubt_about_its_cable(expected: float, judged: bool) -> None:
    """The doubt is 0.4 nF, and 0.5 nF less a fifth is no more."""
    try:
        element_verdict(reading_nf=1.0, expected_nf=expected, **KNOWN)
    except NoAnswer:
        assert not judged
    else:
        assert judged
