"""Sentences, words, syllables and the reading level."""

import pytest

import small_content
from leadsman.book.language import flesch_kincaid_grade, language, reading, syllables_of, texts_of
from leadsman.content.decision import Decision
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
    found = language(small_content.edited())

    assert {r.entry for r in found[:-1]} == {"no-depth", "low-volts"}
    assert found[0].grade >= found[1].grade
    total = found[-1]
    assert total.title == "all entries"
    assert total.words == sum(r.words for r in found[:-1])
    assert sum(total.lengths) == total.sentences


def test_means_of_steps_and_of_words() -> None:
    """Two steps of 2 and 4 words with 3 and 4 syllables; a plain sentence of three words is no step."""
    texts = [Step("Open it."), Step("Look at the screen."), Prose("That is all.")]
    found = reading("D1", "x", "X", texts)
    assert (found.steps, found.words_per_step, found.longest_step) == (2, 3, 4)
    assert (found.sentences, found.words, found.longest, found.longest_sentence) == (
        3,
        9,
        4,
        "Look at the screen.",
    )
    assert (found.words_per_sentence, found.syllables_per_word) == (3, pytest.approx(10 / 9))
    assert found.grade == pytest.approx(0.39 * 3 + 11.8 * 10 / 9 - 15.59)
    assert (found.code, found.entry, found.title) == ("D1", "x", "X")


def test_the_first_of_two_longest_sentences_is_told() -> None:
    assert reading("", "", "", [Prose("One two. Three four.")]).longest_sentence == "One two."


def test_which_texts_of_an_entry_are_read() -> None:
    """What is seen and what tells it apart, each check's words, what an answer means, remedies and proofs; no label."""
    catalogue = small_content.edited()
    entry = catalogue.faults["low-volts"]
    check = entry.checks[1]
    means = check.outcomes["no"].model_copy(update={"means": Prose("It is low.")})
    checks = [entry.checks[0], check.model_copy(update={"outcomes": {**check.outcomes, "no": means}})]
    told = [str(text) for text in texts_of(Decision(entry.model_copy(update={"checks": checks}), catalogue))]
    assert {"The unit complains of its supply.", "Read the volts of the unit.", "Do the volts stand above the low limit?", "It is low.",
            "Renew the joint.", "Does the message stay away?"} <= set(told)  # fmt: skip
    assert told.count("Ask what changed before the fault.") == 1
    assert "Low volts" not in told
    assert "Bad joint" not in told


def test_the_hardest_entry_stands_first_and_all_together_last() -> None:
    found = language(small_content.edited())
    assert [r.grade for r in found[:-1]] == sorted((r.grade for r in found[:-1]), reverse=True)
    assert (found[-1].code, found[-1].entry) == ("", "")
    assert found[-1].sentences == sum(r.sentences for r in found[:-1])


@pytest.mark.parametrize(
    ("word", "count"), [("the", 1), ("be", 1), ("cannot", 2), ("i", 1), ("strength", 1), ("2V", 1), ("12", 1)]
)
def test_no_word_has_less_than_one_syllable(word: str, count: int) -> None:
    assert syllables_of(word) == count
