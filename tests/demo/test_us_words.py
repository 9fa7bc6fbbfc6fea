"""American words in the project's US editions."""

import re

import built
from leadsman.book.computed import assumed
from leadsman.book.record import record_sheets
from leadsman.output.record import record_html
from leadsman.output.us_words import WordsFor


def test_no_british_word_of_the_list_is_left_in_a_us_record() -> None:
    catalogue = built.catalogue()
    edition = catalogue.editions["service-record"].model_copy(update={"units": "us"})
    html = record_html(next(iter(record_sheets(edition, catalogue))), catalogue, built.ROOT / "templates")
    words = WordsFor(catalogue, "us")
    assert words.html(html) == html


def test_past_forms_and_endings_of_the_content_are_american() -> None:
    """Merriam-Webster's first forms: smelled, spelled, spoiled, paralyzes, meters (from memory)."""
    words = WordsFor(built.catalogue(), "us")
    told = words.html(
        "<p>Petrol smelt. Most spoilt blocks. As spelt. It paralyses. Feet taken for metres.</p>"
    )
    assert (
        told
        == "<p>Gasoline smelled. Most spoiled blocks. As spelled. It paralyzes. Feet taken for meters.</p>"
    )


def test_no_assumption_of_a_us_page_stands_in_metres() -> None:
    """1500 m/s is 4921 ft/s (NIST Special Publication 811: 1 ft is 0.3048 m exactly)."""
    records = built.catalogue().records["assumptions"]
    metric = re.compile(r"[\d.] (?:mm|cm|m|km|m/s|C|kg|l)$")
    for name, record in records.items():
        assert not metric.search(assumed(record, "us").replace("\u202f", " ")), name
    assert assumed(records["ping-sound-speed"], "us").replace("\u202f", " ") == "4921 ft/s"
