"""How the templates of a ladder set its small pieces: an answer with its arrow, the steps of a hazard, a name."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from markupsafe import Markup, escape

from leadsman.book.rungs import first_words, hazard
from leadsman.content.model.phrases import LadderWords, filled

#: A last word and its target of more letters than this do not stand on one line.
_LONG_ANSWER = 10


def ladder_filters(words: LadderWords) -> dict[str, Callable[..., Any]]:
    """The filters that the blocks of a ladder need, by name."""

    def listed(where: Sequence[str], parts: str) -> str:
        """The steps or letters of a hazard; on a back with both, the steps come first."""
        steps = [name for name in where if name.isdigit()] if parts == "steps" else []
        letters = [name for name in where if name not in steps]
        found = [_listed(words.step, words.steps, steps), _listed(words.letter, words.letters, letters)]
        return ", ".join(filter(None, found))

    return {
        "hazard": hazard,
        "first_words": first_words,
        "listed": listed,
        "bound": bound,
        "last_held": last_held,
        "lowered": lowered,
    }


def _listed(one: str, many: str, names: Sequence[str]) -> str:
    if len(names) == 1:
        return filled(one, name=names[0])
    return filled(many, names=", ".join(names)) if names else ""


def last_held(text: str) -> str:
    """A name in a narrow column whose last number or word does not stand alone on a line.

    Examples
    --------
    >>> last_held("each of 1 and 2 with 5")
    'each of 1 and 2 with\\xa05'
    """
    head, blank, last = text.rpartition(" ")
    return f"{head}\u00a0{last}" if blank else last


def bound(label: str, target: str, arrow: str) -> Markup:
    """An answer whose last word, arrow and target are never parted.

    Examples
    --------
    >>> bound("NOT BACK", "K", "→")
    Markup('NOT <span class="to">BACK → K</span>')
    """
    head, _, tail = label.rpartition(" ")
    start = f"{escape(head)} " if head else ""
    if " " in str(Markup(target).striptags()):
        # What stands in the book only has two words: on a small card they take a line of their own.
        return Markup('{}<span class="to">{} {}</span> <span class="to">{}</span>').format(
            Markup(start), tail, arrow, target
        )
    if len(tail) + len(str(Markup(target).striptags())) > _LONG_ANSWER:
        # A single long word: its arrow begins the next line, with the target.
        return Markup('{}<span class="to">{}</span> <span class="to">{} {}</span>').format(
            Markup(start), tail, arrow, target
        )
    return Markup('{}<span class="to">{} {} {}</span>').format(Markup(start), tail, arrow, target)


def lowered(text: str) -> Any:
    """A name inside a sentence: its first letter small, unless it is an abbreviation."""
    return text if text[:2].isupper() else type(text)(text[:1].lower() + text[1:])
