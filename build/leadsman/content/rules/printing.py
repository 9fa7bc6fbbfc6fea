"""What a page can hold, told before a page is made: signs of the fonts, words that fit a line, remedies that fit a face."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from leadsman.content import prose
from leadsman.content.rules import Context, rule
from leadsman.content.source import Document, Location, place_in
from leadsman.errors import Problem, counted, quoted, shown_path
from leadsman.letters import forbidden, printable

#: A line of a card holds about 45 letters at 12 pt; a word that cannot be parted must be shorter.
_LONGEST_WORD = 40
_WORD = re.compile(r"[^\s/-]+")
_LONG = re.compile(rf"[^\s/-]{{{_LONGEST_WORD}}}")
#: A fix stands whole on one face, which holds about twelve steps with its proof; a longer one is two fixes.
_MOST_REMEDIES = 6


@rule("letters", "The fonts have every sign that a text holds.", scope="file")
def signs(context: Context) -> Iterator[Problem]:
    """Each sign that the text font lacks, where it first stands in its file."""
    for document in context.documents():
        # Each sign is asked about once: a text has thousands of letters and a hundred signs.
        lacking = {sign: document.text.index(sign) for sign in set(document.text) if _lacks(sign)}
        for sign, at in lacking.items():
            line, column = place_in(document.text, at)
            yield Problem(shown_path(document.path), line, column, *_told(sign))
        for location, text in _texts(document.data):
            # What a page is written in is in the fonts: most texts hold nothing else.
            signs = () if text.isascii() else dict.fromkeys(text)
            for sign in (s for s in signs if _lacks(s) and s not in lacking):
                yield document.problem(location, *_told(sign))


@lru_cache(maxsize=10_000)
def _lacks(sign: str) -> bool:
    # What no text may hold at all is told where the file is read.
    return not sign.isascii() and sign not in printable() and not any(forbidden(sign))


def _told(sign: str) -> tuple[str, str]:
    return (
        f"the fonts have no sign '{quoted(sign)}' (U+{ord(sign):04X})",
        "write it in words, or in Latin letters",
    )


def _texts(data: Any) -> list[tuple[Location, str]]:
    found: list[tuple[Location, str]] = []
    _gather(data, (), found)
    return found


def _gather(data: Any, location: Location, found: list[tuple[Location, str]]) -> None:
    if isinstance(data, str):
        found.append((location, data))
    elif isinstance(data, dict | list):
        for part, value in data.items() if isinstance(data, dict) else enumerate(data):
            _gather(value, (*location, part), found)


def long_words(document: Document) -> Iterator[tuple[Location, int, str]]:
    """Every word of a file's texts that no line holds: where, at which letter, and the word."""
    for location, text in _texts(document.data):
        plain = prose.replace(text, lambda reference: "X")
        for match in _WORD.finditer(plain) if _LONG.search(plain) else ():
            word = match.group().rstrip(".,;:!?)")
            if len(word) > _LONGEST_WORD:
                yield location, match.start(), word


@rule("long-word", f"No word has more than {_LONGEST_WORD} letters without a hyphen.", scope="file")
def long_word(context: Context) -> Iterator[Problem]:
    """A word that no line of a card can hold stops the build."""
    for document in context.documents():
        for location, at, word in long_words(document):
            yield document.problem(location, f"a word of {counted(len(word), 'letter')}: '{quoted(word, 20)}'",
                                   "write words that a line can hold", offset=at)  # fmt: skip


@rule("remedy-steps", f"A remedy has at most {_MOST_REMEDIES} steps.", scope="entry")
def remedy_steps(context: Context) -> Iterator[Problem]:
    """A fix is never parted between two faces."""
    for decision in context.decisions.values():
        for index, finding in enumerate(decision.entry.findings):
            if len(finding.remedy) > _MOST_REMEDIES:
                yield context.entry_problem(decision, ("findings", index, "remedy", _MOST_REMEDIES),
                                            f"a remedy of {counted(len(finding.remedy), 'step')}; a card has room for {_MOST_REMEDIES}",
                                            "say it in fewer steps, or make a shared check of it")  # fmt: skip
