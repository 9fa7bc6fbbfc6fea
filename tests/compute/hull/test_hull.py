"""Hull geometry: tilt, element choice, fairing block and transom bracket, against rotations and habits of the trade."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar
from scipy.spatial.transform import Rotation

from leadsman.compute.hull import fitting, tilt
from leadsman.compute.hull import geometry as hull
from leadsman.compute.registry import NoAnswer, OutOfRange

ANGLE = st.floats(-40, 40)
BEAM = st.floats(3, 60)


# --- residual tilt -----------------------------------------------------------------------------


@given(athwart=ANGLE, fore_aft=ANGLE)
def test_total_tilt_is_that_of_two_rotations(athwart: float, fore_aft: float) -> None:
    """A vertical vector turned about both axes (SciPy's Rotation) leans by the total tilt."""
    turned = Rotation.from_euler("xy", [athwart, fore_aft], degrees=True).apply([0.0, 0.0, -1.0])
    expected = math.degrees(math.atan2(math.hypot(turned[0], turned[1]), -turned[2]))

    assert hull.total_tilt(athwart_deg=athwart, fore_aft_deg=fore_aft) == pytest.approx(expected, abs=1e-9)


@given(athwart=ANGLE, fore_aft=ANGLE)
def test_total_tilt_lies_between_the_greater_and_the_sum(athwart: float, fore_aft: float) -> None:
    """The total is symmetric, at least the greater of the two and at most their sum."""
    total = hull.total_tilt(athwart_deg=athwart, fore_aft_deg=fore_aft)

    assert total == pytest.approx(hull.total_tilt(athwart_deg=-fore_aft, fore_aft_deg=athwart), abs=1e-9)
    assert max(abs(athwart), abs(fore_aft)) - 1e-9 <= total <= abs(athwart) + abs(fore_aft) + 1e-9


def test_a_face_level_at_rest_has_the_running_trim_for_its_tilt() -> None:
    """Common practice, no source: levelled at rest on a hull that runs 4 deg bow-up it is 4 deg off."""
    assert hull.residual_tilt(deadrise_deg=0, running_trim_deg=4).total == pytest.approx(4)


def test_trim_shaft_angle_and_face_angle_add_up_fore_and_aft() -> None:
    """A block that takes the slope out is a negative face angle; a list toward the side rights the beam."""
    leaning = hull.residual_tilt(
        deadrise_deg=18,
        element_tilt_deg=12,
        running_trim_deg=3,
        shaft_angle_deg=8,
        face_angle_deg=-11,
        list_deg=2,
    )

    assert leaning == (4, 0, pytest.approx(4))


# --- what tilt does to the depth ---------------------------------------------------------------


@given(depth=st.floats(0.5, 200), leaning=st.floats(0, 40), beam=BEAM, slope=st.floats(-30, 30))
def test_first_echo_is_the_least_range_in_the_beam(
    depth: float, leaning: float, beam: float, slope: float
) -> None:
    """Against a numerical search over the rays of the beam."""
    t, half, phi = math.radians(leaning), math.radians(beam / 2), math.radians(slope)

    def reach(ray: float) -> float:
        return depth * math.cos(phi) / math.cos(ray - phi)

    low, high = t - half, min(t + half, phi + 1.5)
    searched = minimize_scalar(reach, bounds=(low, max(low + 1e-9, high)), method="bounded").fun
    nearest = min(float(searched), reach(low), reach(t))
    shown = hull.first_echo(depth_m=depth, tilt_deg=leaning, beamwidth_deg=beam, slope_deg=slope)

    assert shown.first_error == pytest.approx(nearest - depth, abs=1e-4 * depth)


def test_a_slope_reads_shallow_which_is_safe() -> None:
    """A wide beam over a slope sees the nearest point, uphill."""
    assert hull.first_echo(depth_m=10, tilt_deg=0, beamwidth_deg=40, slope_deg=15).reads == "shallow"


@given(rise=st.floats(0, 500), run=st.floats(100, 2000))
def test_deadrise_round_trip(rise: float, run: float) -> None:
    """The tangent of the angle gives the rise back; a wedge of that width and angle is as thick."""
    angle = hull.deadrise(rise_mm=rise, run_mm=run).angle

    assert run * math.tan(math.radians(angle)) == pytest.approx(rise, abs=1e-6)
    if angle <= 60 and run <= 1000:
        assert fitting.wedge_thickness(width_mm=run, angle_deg=angle) == pytest.approx(rise, abs=1e-6)


# --- how much tilt a beam bears ----------------------------------------------------------------


@given(beam=st.floats(0.3, 150))
def test_limits_are_in_order(beam: float) -> None:
    """Good is stricter than acceptable, and acceptable than bearable with margin."""
    limits = tilt.tilt_limits(beamwidth_deg=beam)

    assert limits.good < limits.acceptable <= limits.with_margin <= 12


@pytest.mark.parametrize(("fraction", "loss"), [(1 / 4, 1.5), (1 / 3, 2.7), (1 / 2, 6.0)])
def test_limits_are_the_losses_that_they_stand_for(fraction: float, loss: float) -> None:
    """Common practice, no source: 24 (tilt/width)^2 gives 1.5, 2.7 and 6 dB at the three limits."""
    seen = tilt.mounting_class(
        athwart_deg=12 * fraction, fore_aft_deg=0, athwart_beamwidth_deg=12, fore_aft_beamwidth_deg=12
    )

    assert seen.loss == pytest.approx(loss, abs=0.05)


@pytest.mark.parametrize(("margin", "word"), [(40, "serves"), (19, "serves"), (15, "no"), (5, "no")])
def test_a_flat_element_on_a_modest_v_serves_where_the_margin_is(margin: float, word: str) -> None:
    """Common practice, no source: 0 deg element on 7 deg deadrise works with 40 dB to spare; 10 dB must be left."""
    assert tilt.tilt_verdict(tilt_deg=7, beamwidth_deg=12, margin_db=margin).word == word


def test_no_margin_excuses_a_beam_that_misses_the_bottom() -> None:
    """Beyond the first null of the main lobe (7.2 deg for a 6 deg beam) the verdict is no."""
    assert tilt.tilt_verdict(tilt_deg=8, beamwidth_deg=6, margin_db=150).word == "no"


def test_a_fan_beam_is_judged_axis_by_axis() -> None:
    """The same tilt is good across the wide axis and not along the narrow one; each has its reason."""
    wide = tilt.mounting_class(
        athwart_deg=4, fore_aft_deg=0, athwart_beamwidth_deg=50, fore_aft_beamwidth_deg=2
    )
    narrow = tilt.mounting_class(
        athwart_deg=0, fore_aft_deg=4, athwart_beamwidth_deg=50, fore_aft_beamwidth_deg=2
    )

    assert (wide.word, wide.reason) == ("good", "within limits")
    assert (narrow.word, narrow.reason) == ("no", "fore-and-aft")


# --- element choice ----------------------------------------------------------------------------


@given(rise=st.floats(0, 26))
def test_every_deadrise_to_26_has_an_element_that_leaves_least_in_its_band(rise: float) -> None:
    """At most 6 deg is left, and no other serving element leaves less."""
    choice = tilt.element_choice(deadrise_deg=rise)
    others = [rise - float(choice.also)] if choice.also else []

    assert choice.element in {"0", "12", "20"}
    assert abs(choice.athwart) <= 6.0 + 1e-9
    assert all(abs(choice.athwart) <= abs(other) + 1e-9 for other in others)
    assert (choice.fit == "seam") == bool(choice.also)


@pytest.mark.parametrize(
    ("rise", "element"), [(3, "0"), (22, "20"), (6, "0"), (8, "12"), (15, "12"), (16, "20")]
)
def test_core_deadrises_get_their_element(rise: float, element: str) -> None:
    """Common practice, no source: never 12 deg for a 3 deg hull, never nothing for 22 deg; even choices go to the core."""
    assert tilt.element_choice(deadrise_deg=rise).element == element


def test_above_26_says_what_to_do_instead() -> None:
    """No element: fairing block, another station or a transom mount, with the tilt that would be left."""
    choice = tilt.element_choice(deadrise_deg=28)

    assert (choice.element, choice.fit, choice.athwart) == ("none", "none", 8)
    assert "fairing block" in choice.instead
    assert "transom" in choice.instead


def test_list_decides_a_seam() -> None:
    """In a seam the tilt left after load counts: a list toward the side turns 7 deg into a flat element's case."""
    assert tilt.element_choice(deadrise_deg=7, list_deg=3).element == "0"
    assert tilt.element_choice(deadrise_deg=7, list_deg=-3).element == "12"


def test_running_trim_is_in_the_total_but_not_in_the_choice() -> None:
    """Trim tilts all elements alike."""
    still, running = (
        tilt.element_choice(deadrise_deg=22),
        tilt.element_choice(deadrise_deg=22, running_trim_deg=4),
    )

    assert running.element == still.element
    assert running.total == pytest.approx(hull.total_tilt(athwart_deg=2, fore_aft_deg=4))


# --- fairing block, bracket, clearances --------------------------------------------------------


@given(rise=st.floats(0, 40), width=st.floats(20, 600), along=st.floats(-15, 15))
def test_port_and_starboard_blocks_are_mirror_images(rise: float, width: float, along: float) -> None:
    """Same thicknesses, opposite saw angle, thick to the outside on each side; never under half an inch."""
    starboard = fitting.fairing_block(deadrise_deg=rise, width_mm=width, fore_aft_deg=along)
    port = fitting.fairing_block(deadrise_deg=rise, width_mm=width, fore_aft_deg=along, side="port")

    assert starboard[2:5] == port[2:5]
    assert starboard.saw_angle == -port.saw_angle
    assert (starboard.thick_toward, port.thick_toward) == ("starboard", "port")
    assert starboard.thick_side >= starboard.at_stem >= starboard.thin_side >= 12


@given(rise=st.floats(0, 40), width=st.floats(20, 600), side=st.sampled_from(["starboard", "port"]))
def test_a_block_cut_to_the_deadrise_levels_the_face(rise: float, width: float, side: str) -> None:
    """The outer block's faces enclose the deadrise, so that nothing is left athwart."""
    block = fitting.fairing_block(deadrise_deg=rise, width_mm=width, side=side)
    angle = math.degrees(math.atan((block.thick_side - block.thin_side) / width))

    assert hull.residual_tilt(deadrise_deg=rise, element_tilt_deg=min(angle, 30)).athwart == pytest.approx(
        max(0.0, rise - 30), abs=1e-6
    )


def test_a_thin_block_is_refused() -> None:
    """Common practice, no source: at least 12 mm at the thin side."""
    with pytest.raises(OutOfRange, match="thin_side"):
        fitting.fairing_block(deadrise_deg=15, width_mm=120, thin_side_mm=6)


def test_an_element_steeper_than_the_bottom_has_no_block() -> None:
    """A wedge the other way round is nobody's answer; the message says what to take."""
    with pytest.raises(NoAnswer, match="element of less tilt"):
        fitting.fairing_block(deadrise_deg=10, width_mm=120, element_tilt_deg=20)


@given(rake=st.floats(-10, 40), low=st.floats(0, 3), trim=st.floats(-5, 15))
def test_bracket_turn_gives_the_wanted_face(rake: float, low: float, trim: float) -> None:
    """A face square to the transom has its aft edge low by the rake; the turn leaves the angle wanted."""
    bracket = fitting.transom_bracket(transom_rake_deg=rake, aft_edge_low_deg=low, running_trim_deg=trim)

    assert rake - bracket.turn == pytest.approx(low)
    assert bracket.cruise_tilt == pytest.approx(low + trim)
    assert rake + (bracket.wedge if rake < 3 else -bracket.wedge) + 1e-9 >= 3 or bracket.wedge == 0
    assert (bracket.word == "too steep at cruise") == (abs(low + trim) > 5 + 1e-9)


def test_a_fore_edge_set_low_is_refused() -> None:
    """Common practice, no source: the leading edge is never low, for it pulls air."""
    with pytest.raises(OutOfRange, match="aft_edge_low"):
        fitting.transom_bracket(transom_rake_deg=14, aft_edge_low_deg=-1)


@given(depth=st.floats(0.5, 200), beam=BEAM, share=st.floats(0, 1))
def test_a_tilt_within_half_the_beam_leaves_a_level_bottom_true(
    depth: float, beam: float, share: float
) -> None:
    """The bottom straight below is in the beam; only the tracker of the strongest return reads deep, by trigonometry."""
    leaning = share * beam / 2 * 0.999
    shown = hull.first_echo(depth_m=depth, tilt_deg=leaning, beamwidth_deg=beam)
    angle = math.radians(leaning)

    assert shown.reads == "true"
    assert shown.axis_error == pytest.approx(depth * (1 / math.cos(angle) - 1), abs=1e-9 * depth)
    assert shown.offset == pytest.approx(depth * math.tan(angle))


@pytest.mark.parametrize(("leaning", "percent"), [(5, 0.4), (10, 1.5), (20, 6.4)])
def test_strongest_return_reads_long_by_the_trade_s_percentages(leaning: float, percent: float) -> None:
    """Common practice, no source: 5 deg 0.4 %, 10 deg 1.5 %, 20 deg 6.4 %."""
    shown = hull.first_echo(depth_m=100.0, tilt_deg=leaning, beamwidth_deg=45.0)

    assert shown.axis_error == pytest.approx(percent, abs=0.05)


def test_a_place_on_the_transom_is_judged_distance_by_distance() -> None:
    """What is wrong with one distance is told of that one; a height that is wrong moves the bracket."""

    def of(propeller: float, strake: float, below: float) -> tuple[str, ...]:
        found = fitting.transom_clearance(
            from_propeller_mm=propeller, from_strake_mm=strake, below_hull_mm=below
        )
        return tuple(map(str, found))

    assert of(500, 10, 5) == ("usable", "too close", "as it should be", "move it")
    assert of(10, 200, 5) == ("too close", "clear", "as it should be", "move it")
    assert of(800, 200, 5) == ("clear", "clear", "as it should be", "clear")
    assert of(800, 200, -50)[2:] == ("too high", "move it")
    assert of(800, 200, 50)[2:] == ("too low", "move it")


@pytest.mark.parametrize("beamwidth", [6.0, 12.0, 30.0, 40.0])
def test_a_limit_of_tilt_is_itself_allowed(beamwidth: float) -> None:
    """With margin enough, up to the cap and no farther; sums of decimal degrees do not pass it by rounding."""
    cap = float(tilt.margin_cap(beamwidth))

    def serves(degrees: float) -> bool:
        return (
            str(tilt.tilt_verdict(tilt_deg=degrees, beamwidth_deg=beamwidth, margin_db=90.0).word) == "serves"
        )

    if beamwidth > 10:
        assert serves(cap)
    assert not serves(cap + 0.001)
    assert int(tilt._rank(0.1 + 0.2, (0.3,))) == 0
    assert int(tilt._rank(0.3001, (0.3,))) == 1


def test_a_small_tilt_serves_as_long_as_its_loss_is_in_hand() -> None:
    loss = float(tilt.tilt_loss(tilt_deg=1.0, beamwidth_deg=12.0, method="gaussian"))
    for margin, word in ((loss + 0.05, "serves"), (loss - 0.05, "no")):
        assert str(tilt.tilt_verdict(tilt_deg=1.0, beamwidth_deg=12.0, margin_db=margin).word) == word


@pytest.mark.parametrize(
    ("share", "word"),
    [
        (0.249, "good"),
        (0.251, "acceptable"),
        (0.332, "acceptable"),
        (0.335, "only with margin"),
        (0.499, "only with margin"),
        (0.501, "no"),
    ],
)
def test_tilt_on_both_axes_counts_by_the_root_of_their_squares(share: float, word: str) -> None:
    """A quarter, a third and a half of the beam, both axes together."""
    each = 12 * share / math.sqrt(2)
    found = tilt.mounting_class(
        athwart_deg=each, fore_aft_deg=-each, athwart_beamwidth_deg=12, fore_aft_beamwidth_deg=12
    )
    assert str(found.word) == word


@pytest.mark.parametrize(
    ("place", "hull_of", "told"),
    [
        ((399.0, 200.0, 5.0), "grp", ("too close", "clear", "as it should be", "move it")),
        ((400.0, 200.0, 5.0), "grp", ("usable", "clear", "as it should be", "usable")),
        ((749.0, 200.0, 5.0), "grp", ("usable", "clear", "as it should be", "usable")),
        ((750.0, 74.0, 5.0), "grp", ("clear", "too close", "as it should be", "move it")),
        ((750.0, 75.0, 5.0), "grp", ("clear", "usable", "as it should be", "usable")),
        ((750.0, 149.0, 5.0), "grp", ("clear", "usable", "as it should be", "usable")),
        ((750.0, 150.0, 3.0), "grp", ("clear", "clear", "as it should be", "clear")),
        ((750.0, 150.0, 2.9), "grp", ("clear", "clear", "too high", "move it")),
        ((750.0, 150.0, 10.0), "grp", ("clear", "clear", "as it should be", "clear")),
        ((750.0, 150.0, 10.1), "grp", ("clear", "clear", "too low", "move it")),
        ((750.0, 150.0, 9.9), "aluminium", ("clear", "clear", "too high", "move it")),
        ((750.0, 150.0, 10.0), "aluminium", ("clear", "clear", "as it should be", "clear")),
        ((750.0, 150.0, 25.0), "aluminium", ("clear", "clear", "as it should be", "clear")),
        ((750.0, 150.0, 25.1), "aluminium", ("clear", "clear", "too low", "move it")),
        ((420.0, 160.0, 5.0), "grp", ("usable", "clear", "as it should be", "usable")),
        ((800.0, 80.0, 5.0), "grp", ("clear", "usable", "as it should be", "usable")),
    ],
)
def test_a_place_on_the_transom_at_each_limit(
    place: tuple[float, float, float], hull_of: str, told: tuple[str, ...]
) -> None:
    """Propeller 400 and 750 mm, strake 75 and 150 mm, below the hull 3 to 10 mm, aluminium 10 to 25 mm (common practice)."""
    propeller, strake, below = place
    found = fitting.transom_clearance(
        from_propeller_mm=propeller, from_strake_mm=strake, below_hull_mm=below, hull=hull_of
    )
    assert tuple(map(str, found)) == told


@pytest.mark.parametrize(
    ("rake", "turn", "wedge", "word"),
    [
        (2.95, 1.95, 0.05, "wedge"), (3.0, 2.0, 0.0, "bracket"), (16.0, 15.0, 0.0, "bracket"), (16.05, 15.05, 0.05, "wedge"),
        (-2.0, -3.0, 5.0, "wedge"), (20.0, 19.0, 4.0, "wedge"),
    ],
)  # fmt: skip
def test_a_bracket_takes_three_to_sixteen_degrees_of_rake(
    rake: float, turn: float, wedge: float, word: str
) -> None:
    """Common practice, no source; the aft edge a degree low where nothing else is said."""
    found = fitting.transom_bracket(transom_rake_deg=rake)
    assert (found.turn, found.wedge, found.cruise_tilt) == pytest.approx((turn, wedge, 1.0))
    assert str(found.word) == word


@pytest.mark.parametrize(
    ("trim", "word"), [(4.0, "bracket"), (4.01, "too steep at cruise"), (-5.0, "bracket")]
)
def test_a_face_is_no_steeper_at_cruise_than_five_degrees(trim: float, word: str) -> None:
    """A degree of the bracket and the trim together; common practice."""
    assert str(fitting.transom_bracket(transom_rake_deg=10.0, running_trim_deg=trim).word) == word


@pytest.mark.parametrize(
    ("beyond", "reads"), [(0.0, "true"), (0.080, "true"), (0.083, "deep"), (1.0, "deep")]
)
def test_a_first_return_is_true_to_a_millionth_of_the_depth(beyond: float, reads: str) -> None:
    """D (1/cos - 1) of so many degrees beyond half the beam: 0.975 and 1.05 millionths at 0.080 and 0.083 degrees."""
    shown = hull.first_echo(depth_m=50.0, tilt_deg=6.0 + beyond, beamwidth_deg=12.0)
    assert str(shown.reads) == reads
    assert shown.first_error == pytest.approx(50 * (1 / math.cos(math.radians(beyond)) - 1), abs=1e-12)


@pytest.mark.parametrize(
    ("rise", "element", "fit", "also"),
    [
        (0, "0", "core", ""), (5.9, "0", "core", ""), (6.1, "12", "seam", "0"), (8.0, "12", "seam", "0"), (8.1, "12", "core", ""),
        (14.9, "12", "core", ""), (15.0, "12", "seam", "20"), (15.9, "12", "seam", "20"), (17.0, "20", "seam", "12"),
        (17.1, "20", "core", ""), (24.0, "20", "core", ""), (24.1, "20", "edge", ""), (26.0, "20", "edge", ""), (26.1, "none", "none", ""),
        (6.0, "0", "seam", "12"), (16.0, "20", "seam", "12"),
    ],
)  # fmt: skip
def test_each_element_serves_its_deadrises(rise: float, element: str, fit: str, also: str) -> None:
    """The usual three: 0 to 8, 6 to 17 and 15 to 26 deg (common practice); halfway the one in whose core it lies."""
    choice = tilt.element_choice(deadrise_deg=rise)
    assert (choice.element, choice.fit, choice.also) == (element, fit, also)
