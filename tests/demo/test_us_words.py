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
