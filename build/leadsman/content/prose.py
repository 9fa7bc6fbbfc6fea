"""Read the inline references of the prose: ``{kind: what}``, and find loose numbers.

A writer puts a reference where a word or number is to appear, for example ``{value: joint-allowance}``,
``{menu: transmit-on}``, ``{card: dead-unit}``. Nothing else in braces is allowed, and no other template
language. Outside the references the text is a small Markdown: paragraphs, ``**bold**``, lists.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache

from leadsman.compute.unit_table import UNITS

#: Each kind of reference, with what stands after the colon.
KINDS = {
    "value": "the name of a value in values.yaml; prints the number with its unit",
    "menu": "a task of tasks.yaml; prints each display family's own menu path",
    "card": "the id of a fault entry; prints its code and title",
    "table": "the id of a table; prints its title",
    "term": "a term of glossary.yaml; prints the word",
    "message": "a family and one of its messages; prints the message word for word",
    "given": "a parameter of a shared check; prints what the entry gives for it",
}

_REFERENCE = re.compile(r"\{(?P<kind>[^{}:]*):(?P<what>[^{}]*)\}")
#: Spellings that prose uses for something else: "12 in the list", "tell us".
_AMBIGUOUS = {"", "1", "in", "us", "K"}


def _longest_first(words: set[str]) -> str:
    return "|".join(sorted(words, key=lambda word: (-len(word), word)))


#: The units as words and as signs. The list of units lacks longer times, charge and turns, which no formula takes.
_UNIT_WORDS = rf"{_longest_first({w for u in UNITS.values() for w in u.spellings if w.isalpha() and len(w) > 3})}|amp|days?|weeks?|months?|years?|per cent"
_UNIT_SIGNS = rf"{_longest_first({re.escape(w) for u in UNITS.values() for w in (u.symbol, u.printed) if w not in _AMBIGUOUS})}|Ah|rpm|C\b|F\b"
_UNITS = f"{_UNIT_WORDS}|{_UNIT_SIGNS}"
_WORDS = "one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fifteen|twenty|thirty|forty|sixty|ninety|hundred|half an?"
_LOOSE = re.compile(
    rf"(?<![\w.])(?:[-+−]?\d+(?:[.,]\d+)?(?:\s?(?:-|–|to)\s?\d+(?:[.,]\d+)?)?[\s-]?(?:{_UNITS})"
    rf"|(?:{_WORDS})\s(?:{_UNIT_WORDS}))(?![\w])",
    re.IGNORECASE,
)
_LOOSE_SYMBOLS_CASED = re.compile(r"[-+−]?\d[\d.,]*\s?(?P<unit>[A-Za-z°%]+2?)\Z")


@dataclass(frozen=True)
class Reference:
    """One inline reference and where it begins in the text."""

    kind: str
    what: str
    offset: int


@dataclass(frozen=True)
class Fault:
    """Something wrong in a text: at which character, what, and what to do."""

    offset: int
    what: str
    hint: str


def segments(text: str) -> tuple[str | Reference, ...]:
    """The text as plain pieces and references, in order. Malformed braces stay in the plain pieces."""
    if "{" not in text:
        return (text,) if text else ()
    # As plain text, so that the kind of prose does not count.
    return _parsed(str(text))


@lru_cache(maxsize=20_000)
def _parsed(text: str) -> tuple[str | Reference, ...]:
    """Each text is taken apart once, however many pages and rules ask."""
    found: list[str | Reference] = []
    end = 0
    for match in _REFERENCE.finditer(text):
        if match.start() > end:
            found.append(text[end : match.start()])
        found.append(Reference(match["kind"].strip(), " ".join(match["what"].split()), match.start()))
        end = match.end()
    if end < len(text):
        found.append(text[end:])
    return tuple(found)


def references(text: str) -> list[Reference]:
    """All references in a text."""
    return [piece for piece in segments(text) if isinstance(piece, Reference)] if "{" in text else []


class WholeWords:
    """What finds any of some phrases, as whole words, in capitals or not."""

    def __init__(self, *phrases: str) -> None:
        self.pattern = re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, phrases))})(?!\w)", re.IGNORECASE)
        #: The first word of each phrase: a text without any of them holds none of the phrases.
        self.first = frozenset(
            match.group() for phrase in phrases if (match := _LETTERS.match(phrase.lower()))
        )
        #: Beyond ASCII there are letters that are the same in capitals and not in small letters.
        self.plain = len(phrases) == sum(
            phrase.isascii() and bool(_LETTERS.match(phrase)) for phrase in phrases
        )

    def search(self, text: str) -> re.Match[str] | None:
        """Where the first of them stands; most texts hold none, which their words tell sooner than a search."""
        if self.plain and text.isascii() and self.first.isdisjoint(_words_in(str(text))):
            return None
        return self.pattern.search(text)

    def sub(self, replacement: str, text: str) -> str:
        """The text with each of them replaced."""
        return self.pattern.sub(replacement, text)


_LETTERS = re.compile(r"\w+")


@lru_cache(maxsize=20_000)
def _words_in(text: str) -> frozenset[str]:
    return frozenset(_LETTERS.findall(text.lower()))


@lru_cache(maxsize=2000)
def whole_words(*phrases: str) -> WholeWords:
    """What finds any of some phrases, as whole words, in capitals or not.

    Examples
    --------
    >>> found = whole_words("fuse", "12 V")
    >>> [found.search(text) is not None for text in ("Fuses", "a FUSE", "12 Volts", "at 12 V.")]
    [False, True, False, True]
    """
    return WholeWords(*phrases)


def named(texts: Iterable[str], kind: str) -> list[str]:
    """What some texts refer to by one kind of reference, each once, in the order of first mention."""
    found = (r.what for text in texts for r in references(text) if r.kind == kind)
    return list(dict.fromkeys(found))


def replace(text: str, render: Callable[[Reference], str]) -> str:
    """The text with each reference replaced by what ``render`` gives for it."""
    if "{" not in text:
        # As plain text, whatever kind of prose it was.
        return str(text)
    return "".join(render(piece) if isinstance(piece, Reference) else piece for piece in segments(text))


def faults(text: str) -> Iterator[Fault]:
    """What is wrong with the references and the markup of a text, whatever they point to."""
    offset = 0
    for piece in segments(text):
        if isinstance(piece, Reference):
            offset = piece.offset
            if piece.kind not in KINDS:
                near = get_close_matches(piece.kind, KINDS, 1)
                hint = (
                    f"did you mean {{{near[0]}: {piece.what}}}?" if near else f"use one of {', '.join(KINDS)}"
                )
                yield Fault(offset, f"'{piece.kind}' is no kind of reference", hint)
            elif not piece.what:
                yield Fault(offset, f"{{{piece.kind}: }} names nothing", f"write {KINDS[piece.kind]}")
            offset = text.find("}", offset) + 1
            continue
        for brace in re.finditer(r"[{}]", piece):
            yield Fault(offset + brace.start(), "has a stray brace", "a reference is written {kind: name}")
        for markup, hint in _FORBIDDEN:
            for match in markup.finditer(piece):
                yield Fault(offset + match.start(), f"holds {match.group()!r}", hint)
        offset += len(piece)


_FORBIDDEN = (
    (re.compile(r"</?[A-Za-z!][^>]*>?"), "HTML is not allowed; write plain text"),
    (re.compile(r"!\[[^\]]*\]"), "pictures cannot be put into prose; declare a table or picture"),
    (re.compile(r"\[[^\]]*\]\([^)]*\)"), "links are written as {card: id}"),
    (re.compile(r"https?://\S+"), "put the source into sources.yaml"),
    (re.compile(r"\{\{|\{%"), "no template language; a reference is written {kind: name}"),
    (re.compile(r"`"), "write the words plainly"),
)


def loose_numbers(text: str) -> list[tuple[int, str]]:
    """Numbers with a unit that stand in the prose itself, with their offsets; each should be a ``{value: }``."""
    found = []
    offset = 0
    for piece in segments(text):
        if isinstance(piece, Reference):
            offset = text.find("}", piece.offset) + 1
            continue
        for match in _LOOSE.finditer(piece):
            cased = _LOOSE_SYMBOLS_CASED.match(match.group())
            # "12 a" and "3 S" are no amperes or seconds: the symbols' case counts.
            if cased and len(cased["unit"]) <= 2 and not re.fullmatch(_UNITS, cased["unit"]):
                continue
            found.append((offset + match.start(), match.group()))
        offset += len(piece)
    return found


_SENTENCE_END = re.compile(r"(?<=[.!?:;])\s+|\n\s*(?:[-*]|\d+\.)?\s*")
_WORD = re.compile(r"[\w'’.,%/-]*\w[\w'’%-]*")


def sentences(text: str) -> list[str]:
    """The sentences of a text; a reference counts as one word."""
    plain = replace(text, lambda reference: "X")
    return [s.strip() for s in _SENTENCE_END.split(plain) if s and s.strip()]


def words(sentence: str) -> int:
    """How many words a sentence has; a number with its unit reads as one word each."""
    return len(_WORD.findall(sentence))
