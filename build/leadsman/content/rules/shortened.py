"""A shortened form permits nothing that the long form forbids: on a card, only the shortened one is read."""

from __future__ import annotations

import re
from collections.abc import Iterator

from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import fill
from leadsman.content.model.fault import CheckBody, SharedCheck
from leadsman.content.rules import Context, rule
from leadsman.content.rules.links import bodies
from leadsman.errors import Problem

#: What is harmed, or harms, when the shortened form lets a reader do what the long one forbids.
OBJECTS = frozenset({
    "battery", "bracket", "collar", "element", "face", "fitting", "flap", "fuse", "insert", "lamp", "offset", "pair",
    "plug", "propeller", "protection", "ring", "seal", "splice", "terminal", "type", "wheel",
})  # fmt: skip
_BAN = re.compile(r"\b(?:do not|never|nobody|no one)\b", re.IGNORECASE)
#: A shortened form with one of these says itself what is not done.
_RESTRAINED = re.compile(r"\b(?:not|never|no|nobody|without|only|leave|left)\b", re.IGNORECASE)


@rule(
    "shortened",
    "What the long form of a check forbids of a thing, its shortened form does not leave open.",
    scope="entry",
)
def shortened(context: Context) -> Iterator[Problem]:
    """An object that the card names and the handbook says 'do not' of: the card restrains itself, or a caution does."""
    catalogue = context.catalogue
    for kind, name, location, body in bodies(context):
        for sentence, objects in _forbidden(body):
            spoken = objects & _objects(_short(body))
            if spoken and not _says_so(body, spoken, catalogue):
                yield catalogue.problem(kind, name, (*location, "do"),
                                        f"names '{sorted(spoken)[0]}' and leaves out what the long form forbids: '{sentence}'",
                                        "say it in the shortened form too ('do not', 'only', 'without'), or attach its caution")  # fmt: skip


def _forbidden(body: CheckBody) -> Iterator[tuple[str, set[str]]]:
    """The sentences of the long form that forbid something, each with the objects that it forbids it of."""
    for text in (*body.how, *([body.note] if body.note else [])):
        for sentence in prose.sentences(text):
            if ban := _BAN.search(sentence):
                yield sentence, _objects(sentence[ban.end() :])


def _short(body: CheckBody) -> str:
    """The shortened form, a shared check's parameters at their usual words."""
    usual = body.parameters if isinstance(body, SharedCheck) else {}
    return f"{fill(body.do, usual)} {fill(body.see, usual)}"


def _objects(text: str) -> set[str]:
    plain = prose.replace(text, lambda reference: " ")
    return {word.removesuffix("s") for word in re.findall(r"[a-z]+", plain.casefold())} & OBJECTS


def _says_so(body: CheckBody, objects: set[str], catalogue: Catalogue) -> bool:
    """Whether the card's own command restrains the reader, or a caution that stands before it names the object."""
    if _RESTRAINED.search(body.do):
        return True
    cautions = [catalogue.cautions[name] for name in body.cautions if name in catalogue.cautions]
    return any(objects & _objects(f"{caution.short} {caution.avoid}") for caution in cautions)
