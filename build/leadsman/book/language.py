"""How the entries read: length of sentences and steps, and a reading level by a stated formula.

The texts are those that a technician reads on the card and in the handbook: the condition, the checks with
their details and notes, what an answer means, and the findings with remedy and proof. A reference counts as
one word of one syllable, since what it prints differs by family and unit.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from leadsman.content import prose
from leadsman.content.catalogue import Catalogue, prose_of
from leadsman.content.decision import Decision
from leadsman.content.model.base import Label, Prose, Question, Step

#: Upper ends of the classes of sentence length, in words; the last class is open.
LENGTHS = (5, 10, 15, 20, 25)
FORMULA = "Flesch-Kincaid grade = 0.39 words/sentence + 11.8 syllables/word - 15.59 (Kincaid and others 1975)"


@dataclass(frozen=True)
class Reading:
    """How one entry, or all of them, reads.

    ``lengths`` counts sentences in the classes of :data:`LENGTHS` and above; ``grade`` is the school year of
    the United States in which the text is understood, by :data:`FORMULA`.
    """

    code: str
    entry: str
    title: str
    sentences: int
    words: int
    lengths: tuple[int, ...]
    longest: int
    longest_sentence: str
    words_per_sentence: float
    steps: int
    words_per_step: float
    longest_step: int
    syllables_per_word: float
    grade: float


def language(catalogue: Catalogue) -> tuple[Reading, ...]:
    """How each entry reads, the hardest first, and last all entries together."""
    texts = {name: list(texts_of(Decision(entry, catalogue))) for name, entry in catalogue.faults.items()}
    readings = [
        reading(entry.code, name, str(entry.title), texts[name]) for name, entry in catalogue.faults.items()
    ]
    everything = [text for found in texts.values() for text in found]
    return (*sorted(readings, key=lambda r: -r.grade), reading("", "", "all entries", everything))


def texts_of(decision: Decision) -> Iterator[Prose]:
    """What a technician reads of an entry, with its shared checks filled in."""
    yield from (text for _, text in prose_of(decision.entry.condition) if not isinstance(text, Label))
    for check in decision.checks.values():
        yield from (text for _, text in prose_of(check.body))
        yield from (outcome.means for outcome in check.outcomes.values() if outcome.means)
    for finding in decision.entry.findings:
        yield from (text for _, text in prose_of(finding) if not isinstance(text, Label))


def reading(code: str, entry: str, title: str, texts: Sequence[Prose]) -> Reading:
    """Count the sentences, words and syllables of some texts."""
    sentences = [sentence for text in texts for sentence in prose.sentences(text)]
    counts = [prose.words(sentence) for sentence in sentences]
    words = sum(counts)
    steps = [
        sum(map(prose.words, prose.sentences(text)))
        for text in texts
        if isinstance(text, Step) and not isinstance(text, Question)
    ]
    longest = max(range(len(counts)), key=counts.__getitem__, default=None)
    per_sentence = words / max(1, len(counts))
    per_word = sum(map(syllables_of, sentences)) / max(1, words)
    ends = (0, *LENGTHS, 10**6)
    return Reading(
        code,
        entry,
        title,
        len(counts),
        words,
        tuple(sum(low < count <= high for count in counts) for low, high in pairwise(ends)),
        counts[longest] if longest is not None else 0,
        sentences[longest] if longest is not None else "",
        per_sentence,
        len(steps),
        sum(steps) / max(1, len(steps)),
        max(steps, default=0),
        per_word,
        flesch_kincaid_grade(per_sentence, per_word) if words else 0.0,
    )


def flesch_kincaid_grade(words_per_sentence: float, syllables_per_word: float) -> float:
    """Return the reading level as a school year of the United States.

    ``0.39 * words per sentence + 11.8 * syllables per word - 15.59``

    Parameters
    ----------
    words_per_sentence, syllables_per_word : float
        Means over a text.

    Returns
    -------
    float
        Below 0 for the very simplest texts.

    Notes
    -----
    Made for the manuals of a navy; a change of one year is no difference that a reader notices.

    Examples
    --------
    >>> flesch_kincaid_grade(10.0, 1.5)
    6.01

    References
    ----------
    Kincaid, J. P., Fishburne, R. P., Rogers, R. L., Chissom, B. S. Derivation of new readability formulas for
    Navy enlisted personnel. Research Branch Report 8-75. 1975.
    """
    return 0.39 * words_per_sentence + 11.8 * syllables_per_word - 15.59


_WORD = re.compile(r"[a-z]+")
#: Endings that are written with a vowel and spoken without, unless the last sounds need it (table, boxes).
_SILENT = re.compile(r"(?:[^aeiouy]es?|[^tdaeiouy]ed)$")
_SPOKEN = re.compile(r"(?:[^aeiouy]les?|(?:[sxz]|[sc]h|c|g)es|[^aeiouyl]led)$")
_VOWELS = re.compile(r"[aeiouy]+")
#: Pairs of letters that look like one vowel and are spoken as two.
_SPLIT = re.compile(
    r"(?<![tcsg])i(?=[ao])|i(?=u|et$)|(?<=[^gq])u(?=[ao](?!r))|e(?=o)|(?<=[aeiou][^aeiouy])ea$|(?<!a)y(?=a)"
    r"|(?<=[aeiouy])ing$"
)


def syllables_of(text: str) -> int:
    """The spoken syllables of an English text, by its spelling; anything without letters counts as one."""
    return sum(
        sum(_syllables(word) for word in _WORD.findall(token.lower())) or 1
        for token in text.split()
        if any(c.isalnum() for c in token)
    )


def _syllables(word: str) -> int:
    """Groups of vowels, less silent endings, with vowels spoken apart counted apart."""
    count = len(_VOWELS.findall(word)) + len(_SPLIT.findall(word))
    if _SILENT.search(word) and not _SPOKEN.search(word):
        count -= 1
    return max(1, count)
