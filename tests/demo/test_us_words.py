"""American words in the project's US editions."""

import built
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
