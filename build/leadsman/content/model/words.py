"""What a phrase may be: words or a sentence, and the places in it for what is known only in print."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import AfterValidator

from leadsman.content import prose
from leadsman.content.model.base import Label, Prose

#: The housings of transducers, for words that differ with them.
HOUSINGS = ("transom", "through-hull", "in-hull", "trolling-motor")


def with_places(places: tuple[str, ...]) -> AfterValidator:
    """A check that a phrase has exactly these places."""

    def check(text: Any) -> Any:
        named = [reference.what for reference in prose.references(text) if reference.kind == "given"]
        for place in places:
            if place not in named:
                raise ValueError(f"has no place for '{place}'; write {{given: {place}}} where it is to stand")
        for name in named:
            if name not in places:
                raise ValueError(f"'{name}' is not given here; given are: {', '.join(places) or 'none'}")
        return text

    return AfterValidator(check)


Words = Annotated[Label, with_places(())]
Sentence = Annotated[Prose, with_places(())]
OfCode = Annotated[Label, with_places(("code",))]
OfTitle = Annotated[Label, with_places(("title",))]
OfName = Annotated[Label, with_places(("name",))]
OfNumber = Annotated[Prose, with_places(("number",))]
OfNames = Annotated[Label, with_places(("names",))]
SentenceOfNames = Annotated[Prose, with_places(("names",))]
SentenceOfText = Annotated[Prose, with_places(("text",))]


def whole(name: str, given: dict[str, Any], wanted: tuple[str, ...]) -> None:
    """Refuse a group of words that lacks one of its keys or has another."""
    missing = [key for key in wanted if key not in given]
    unknown = [key for key in given if key not in wanted]
    if missing:
        raise ValueError(f"'{name}' lacks '{missing[0]}'; wanted are: {', '.join(wanted)}")
    if unknown:
        raise ValueError(f"'{name}' has an unknown '{unknown[0]}'; wanted are: {', '.join(wanted)}")
