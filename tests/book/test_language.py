"""Sentences, words, syllables and the reading level."""

import pytest

import small_content
from leadsman.book.language import flesch_kincaid_grade, language, reading, syllables_of
from leadsman.content.catalogue import load
from leadsman.content.model.base import Prose, Question, Step

#: Syllables of words as the CMU Pronouncing Dictionary (version 0.7b, Carnegie Mellon University) gives them.
PRONOUNCED = {
    "a": 1, "above": 2, "adapter": 3, "area": 3, "around": 2, "battery": 3, "bleed": 1, "borrowed": 2, "boxes": 2,
    "breeze": 1, "bridges": 2, "cable": 2, "changes": 2, "charging": 2, "cleaned": 1, "couple": 2, "cradle": 2,
    "crimped": 1, "depth": 1, "display": 2, "drying": 2, "element": 3, "engine": 2, "examine": 3, "faces": 2,
    "filled": 1, "fitted": 2, "fuses": 2, "gear": 1, "handle": 2, "holes": 1, "idea": 3, "insulation": 4, "level": 2,
    "loaded": 2, "loose": 1, "measure": 2, "module": 2, "needed": 2, "noise": 1, "pole": 1, "pulses": 2, "quiet": 2,
    "radio": 3, "readings": 2, "release": 2, "renewed": 2, "rule": 1, "seal": 1, "settings": 2, "software": 2,
    "stereo": 3, "supply": 2, "table": 2, "temperature": 4, "through": 1, "tightened": 2, "transducer": 3, "values": 2,
    "volts": 1, "voltage": 2, "water": 2, "while": 1, "wires": 1,
}  # fmt: skip


def test_syllables_as_a_pronouncing_dictionary_has_them() -> None:
    assert {word: syllables_of(word) for word in PRONOUNCED} == PRONOUNCED


@pytest.mark.parametrize(
    ("text", "count"), [("Measure the volts.", 4), ("12 24", 2), ("", 0), ("fuse-holder", 3), ("- X !", 1)]
)
def test_syllables_of_a_text(text: str, count: int) -> None:
    assert syllables_of(text) == count


def test_the_grade_of_the_report_that_published_it() -> None:
    """Kincaid and others 1975: 0.39 x words/sentence + 11.8 x syllables/word - 15.59 (coefficients from memory).

    Twelve words a sentence and 1.5 syllables a word, by hand: 4.68 + 17.7 - 15.59.
    """
    assert flesch_kincaid_grade(12, 1.5) == pytest.approx(6.79)


def test_sentences_words_and_steps_are_counted() -> None:
    """By hand: sentences of 3, 4, 5 and 5 words; steps of 7 and 5 words; a question is no step."""
    texts = [Step("Press the key. Look at the screen."), Step("Read {value: volts} at the plug."),
             Question("Do the volts stand still?")]  # fmt: skip
    found = reading("D1", "x", "X", texts)

    assert (found.sentences, found.words, found.longest) == (4, 17, 5)
    assert found.lengths == (4, 0, 0, 0, 0, 0)
    assert (found.steps, found.words_per_step, found.longest_step) == (2, 6, 7)
    assert found.words_per_sentence == pytest.approx(17 / 4)
    # All words but none are of one syllable.
    assert found.syllables_per_word == pytest.approx(1)
    assert found.grade == pytest.approx(0.39 * 4.25 + 11.8 - 15.59)


def test_lengths_fall_into_their_classes() -> None:
    texts = [Prose(" ".join(["word"] * count) + ".") for count in (1, 5, 6, 10, 11, 20, 21, 25, 26)]

    assert reading("", "", "", texts).lengths == (2, 2, 1, 1, 2, 1)


def test_nothing_to_read() -> None:
    found = reading("", "", "", [])

    assert (found.sentences, found.words, found.grade, found.longest_sentence) == (0, 0, 0.0, "")


def test_each_entry_and_all_of_them() -> None:
    found = language(load(small_content.FOLDER))

    assert {r.entry for r in found[:-1]} == {"no-depth", "low-volts"}
    assert found[0].grade >= found[1].grade
    total = found[-1]
    assert total.title == "all entries"
    assert total.words == sum(r.words for r in found[:-1])
    assert sum(total.lengths) == total.sentences
