"""The project's topics: what owners and technicians are told beside the entries, and that it is right."""

import iapws
import pytest

import built
from leadsman.book.topics import view_topics
from leadsman.compute.water.by_water import sound_speed
from leadsman.compute.water.shown_depth import depth_bias
from leadsman.content import prose
from leadsman.content.catalogue import prose_of


def test_the_sounder_is_explained_to_owners_and_the_rest_to_technicians() -> None:
    catalogue = built.catalogue()
    told = {view.topic.id for view in view_topics(catalogue)}
    assert {"how-a-sounder-works", "updating-the-software", "warranty-stop-and-order"} <= told
    assert [view.topic.id for view in view_topics(catalogue, owner=True)] == ["how-a-sounder-works"]


def test_an_owner_topic_leads_to_nothing_that_a_guide_does_not_hold() -> None:
    """Menus and tables of the handbook are no owner's; a guide prints values and words only."""
    catalogue = built.catalogue()
    for view in view_topics(catalogue, owner=True):
        kinds = {r.kind for _, text in prose_of(view.topic) for r in prose.references(text)}
        assert kinds <= {"value", "term"}, view.topic.id


def test_what_the_topic_says_of_cold_fresh_water_and_the_second_return_is_computed() -> None:
    """Fresh water at 5 °C is slower than 1500 m/s (1426.2 m/s by the IAPWS-95 library), so the number is too great."""
    assert float(sound_speed(temperature_c=5.0)) == pytest.approx(
        iapws.IAPWS95(T=278.15, P=0.101325).w, abs=1.0
    )
    assert float(depth_bias(temperature_c=5.0)) > 0.0
    topic = built.catalogue().topics["how-a-sounder-works"]
    assert any(
        "cold fresh water" in text and "too great" in " ".join(topic.paragraphs) for text in topic.paragraphs
    )
    rows = {str(row[0]): str(row[2]) for row in topic.rows}
    assert "twice the depth" in rows["Second return"]
    assert "less than the water" in rows["Beam"]


def test_updating_is_a_procedure_with_a_way_out_at_every_step() -> None:
    """Record, files, card, battery, both versions, a cold start, and a lead line after (common practice)."""
    topic = built.catalogue().topics["updating-the-software"]
    assert [str(row[0]).split()[0] for row in topic.rows] == [str(n) for n in range(1, 11)]
    names = [str(row[0]).split(maxsplit=1)[1] for row in topic.rows]
    assert names.index("Record") < names.index("Battery") < names.index("Load") < names.index("Prove")
    assert all(row[2] for row in topic.rows)
    assert "update-battery" in topic.cautions


def test_the_warranty_is_asked_before_anything_is_cut() -> None:
    topic = built.catalogue().topics["warranty-stop-and-order"]
    said = " ".join(topic.paragraphs)
    for words in ("when and where", "without permission", "return number", "next wet trip", "costs more"):
        assert words in said
    assert {"Transducer", "Element", "Cable length", "Seals and small parts"} <= {
        str(r[0]) for r in topic.rows
    }
