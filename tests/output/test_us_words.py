"""American words in US editions, as US units: everywhere that a reader reads, and nowhere that a display speaks.

The pairs are those of ordinary dictionaries of American and British English (from memory, no page cited).
"""

import io
import zipfile

import pikepdf
import pytest

import small_content
import small_guides
from leadsman.book.guide import guide_values, outline_of
from leadsman.book.guide_subject import boat_subject
from leadsman.book.manual import build_manual
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.model.edition import GuideEdition, HandbookEdition
from leadsman.output.guide import guide_source
from leadsman.output.guide_press import Order, press
from leadsman.output.handbook import handbook_parts
from leadsman.output.prose_html import Setter
from leadsman.output.templating import environment
from leadsman.output.us_words import WordsFor
from leadsman.paths import data_folder

WORDS = """torch: {british: torch, american: flashlight, plural: [torches, flashlights]}
petrol: {british: petrol, american: gasoline}
colour: {british: colour, american: color, plural: [colours, colors]}
"""


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Catalogue:
    """The small content with three words, one of them in a message and in a menu path of a display."""
    folder = small_content.copy(tmp_path_factory.mktemp("us"))
    (folder / "us_words.yaml").write_text(WORDS, encoding="utf-8")
    small_content.edit(folder, "families/plain.yaml", "SEEKING", "NO COLOUR")
    small_content.edit(
        folder, "families/plain.yaml", "update-software: [LIST key, Load]", "update-software: [Colours]"
    )
    found = load(folder)
    assert found.problems == []
    return found


@pytest.fixture(scope="module")
def words(catalogue: Catalogue) -> WordsFor:
    """The words of a US edition."""
    return WordsFor(catalogue, "us")


@pytest.mark.parametrize(
    ("british", "american"),
    [
        ("Shine a torch.", "Shine a flashlight."),
        ("Torches and petrol", "Flashlights and gasoline"),
        ("PETROL", "GASOLINE"),
        ("torchwood and scorch", "torchwood and scorch"),
        ("Colour, colours.", "Color, colors."),
    ],
)
def test_whole_words_with_their_capitals_and_plurals(words: WordsFor, british: str, american: str) -> None:
    assert words.text(british) == american
    assert words.html(f"<p>{british}</p>") == f"<p>{american}</p>"


@pytest.mark.parametrize(
    "html",
    [
        '<a href="#hazard-petrol" id="torch" class="colour">x</a>',
        '<p>Read <span class="message">NO <b>COLOUR</b></span></p>',
        '<span class="menu">Colour</span>',
        "<td>NO COLOUR</td>",
        "<td>Set-up\u00a0\u203a Colour</td>",
        "<td>Colours</td>",
        '<span data-slot="colour">\ue010colour\ue011</span>',
    ],
)
def test_ids_messages_menus_and_places_stay(words: WordsFor, html: str) -> None:
    assert words.html(html) == html


def test_what_is_read_out_is_replaced_too_and_what_follows_a_message(words: WordsFor) -> None:
    assert words.html('<img alt="A torch"><br><span class="message">COLOUR</span> petrol') == (
        '<img alt="A flashlight"><br><span class="message">COLOUR</span> gasoline'
    )


@pytest.mark.parametrize("units", ["us", "us-fathoms"])
def test_every_us_edition_has_them_and_no_other(catalogue: Catalogue, units: str) -> None:
    assert WordsFor(catalogue, units).text("torch") == "flashlight"
    assert WordsFor(catalogue, "metric").text("torch") == "torch"
    for wanted, system in (("flashlight", units), ("torch", "metric")):
        page = environment(data_folder("templates"), Setter(catalogue, system)).from_string(
            "<p>{{ word }}</p>"
        )
        assert page.render(word="torch") == f"<p>{wanted}</p>"


def test_a_us_handbook_says_flashlight_and_a_metric_one_torch(catalogue: Catalogue) -> None:
    """The tool of the mini content is a torch; the message keeps its word in every list."""
    for units, right, wrong in (("us", "Flashlight", "Torch"), ("metric", "Torch", "Flashlight")):
        deck = {n: v for n, v in catalogue.editions["deck"] if n in HandbookEdition.model_fields}
        edition = HandbookEdition(**{**deck, "kind": "handbook", "formats": ["pdf"], "units": units})
        parts = handbook_parts(build_manual(edition, catalogue), catalogue, data_folder("templates"))
        # The cards in print, and the conditions whole, as a phone has them.
        html = "".join(
            text for part in parts for text in (part.whole(), *(each.html for each in part.children))
        )
        assert right in html
        assert wrong not in html
        assert html.count("NO COLOUR") >= 2


@pytest.mark.parametrize(
    ("units", "language", "tag", "word"),
    [
        ("us", "en-GB", "en-US", "flashlight"),
        ("us-fathoms", "en", "en-US", "flashlight"),
        ("metric", "en-GB", "en-GB", "torch"),
        ("metric", "en-US", "en-US", "flashlight"),
        ("us", "nb", "nb", "torch"),
    ],
)
def test_the_language_of_a_file_is_that_of_its_words(
    catalogue: Catalogue, units: str, language: str, tag: str, word: str
) -> None:
    """RFC 5646: en-GB is English as used in the United Kingdom, en-US as used in the United States."""
    words = WordsFor(catalogue, units, language)
    assert (words.tag, words.text("torch")) == (tag, word)


def test_without_a_word_to_replace_a_us_edition_speaks_the_contents_english() -> None:
    assert WordsFor(small_content.edited(), "us").tag == "en-GB"


def test_a_guide_in_us_units_is_american_in_both_files(catalogue: Catalogue) -> None:
    """The language that a screen reader takes for the file (ISO 32000-2, 14.9.2; EPUB 3.3, dc:language)."""
    edition = GuideEdition.model_validate(
        {**small_guides.EDITION, "reader": "For whoever holds the torch.", "never": ["Do not dip the torch."]}
    )
    subject = boat_subject(catalogue.boats["punt"], catalogue)
    for units, tag, word in (("us", "en-US", "flashlight"), ("metric", "en-GB", "torch")):
        values = guide_values("rook", subject, edition, catalogue, units)
        source = guide_source(
            outline_of(values.shape, edition, catalogue), catalogue, data_folder("templates")
        )
        assert word in source.html
        pdf, epub = (done.data for done in press(source, [Order("rook", values.values, ("pdf", "epub"))]))
        with pikepdf.open(io.BytesIO(pdf)) as file:
            assert str(file.Root.Lang) == tag
        with zipfile.ZipFile(io.BytesIO(epub)) as archive:
            package = archive.read("EPUB/content.opf").decode()
            pages = [archive.read(n).decode() for n in archive.namelist() if n.endswith(".xhtml")]
        assert f"<dc:language>{tag}</dc:language>" in package
        assert f"For whoever holds the {word}." in package
        assert all(f'xml:lang="{tag}"' in page for page in pages)
