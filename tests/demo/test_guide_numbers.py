"""The page of a boat's own numbers for the project's boats, held against Ohm's law and what the trade finds."""

from __future__ import annotations

import pytest

import built
from book.test_guide_numbers import Content, line, numbers, ohms_law_v, us_bolder_than_metric, window

#: Common practice, no source: from the shallowest number at all to the greatest that anybody believes [m], by band.
BELIEVABLE_M = {
    "50 kHz": (0.8, 600),
    "200 kHz": (0.4, 260),
    "70 kHz": (0.5, 400),
    "190 kHz": (0.4, 260),
    "30 to 58 kHz": (1.5, 900),
}


@pytest.fixture(scope="module")
def content() -> Content:
    """The project's content and its guide, with the thermistor's table that a guide may carry."""
    catalogue = built.catalogue()
    edition = catalogue.editions["owner-guide"]
    assert edition.window is not None
    window = edition.window.model_copy(update={"thermistor": "thermistor"})
    return catalogue, edition.model_copy(update={"window": window})


@pytest.mark.parametrize("boat", ["sedge", "marten", "corrie", "pintail", "linnet"])
def test_volts_at_the_plug_are_those_of_ohms_law(content: Content, boat: str) -> None:
    found = line(numbers(content, boat), "Volts at the power plug")
    assert found == pytest.approx(ohms_law_v(content[0].boats[boat], content[0]), abs=0.1)


def test_one_boat_has_a_lead_that_is_too_thin(content: Content) -> None:
    """By the same sum: 12 m of 1 mm2 leave pintail's display 10.25 V, and half a volt above its 10.5 V is wanted."""
    assert {name for name in content[0].boats if numbers(content, name).thin_lead} == {"pintail"}
    found = numbers(content, "pintail")
    assert line(found, "Volts that this unit wants there") == pytest.approx(10.5 + 0.5)
    assert line(found, "Volts at the power plug, even when all is sound") < 10.5


def test_every_depth_is_one_that_the_trade_believes(content: Content) -> None:
    checked = 0
    for boat in content[0].boats:
        for (band, _), (least, most) in window(numbers(content, boat)).items():
            if band in BELIEVABLE_M:
                low, high = BELIEVABLE_M[band]
                assert low <= least < most <= high, (boat, band)
                checked += 1
    assert checked >= 6


def test_us_depths_are_never_bolder_than_metric_ones(content: Content) -> None:
    assert us_bolder_than_metric(content) == []


def test_a_transducer_without_a_thermistor_has_no_table_of_it(
    content: Content,
) -> None:
    assert [g.id for g in numbers(content, "pintail").grids] == ["depths", "bands"]
    assert [g.id for g in numbers(content, "marten").grids] == ["depths", "bands", "thermistor"]
