"""American words in US editions: one mapping of the content, applied to finished HTML in one place.

What a display shows stays as it is: messages, menu paths. So do ids, addresses and the places of values.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property

from leadsman.content.catalogue import Catalogue
from leadsman.content.model.edition import Edition

_AMERICAN = "en-US"
#: Classes of elements that print what a display shows.
_VERBATIM = {"message", "menu", "path"}
#: What stands between the steps of a menu path.
_PATH_SIGN = "\u203a"
_TAG = re.compile(r"(<[^>]*>)")
_CLASSES = re.compile(r'\bclass="([^"]*)"')
#: Attributes that are read out to a reader.
_READ_OUT = re.compile(r'\b(?P<name>alt|aria-label|title)="(?P<text>[^"]*)"')
_SLOT = "\ue010[^\ue011]*\ue011"
_VOID = {"area", "base", "br", "col", "hr", "img", "input", "link", "meta", "wbr"}


@dataclass(frozen=True)
class WordsFor:
    """The words of an edition: American ones in English with US units, the content's own elsewhere."""

    catalogue: Catalogue
    units: str
    language: str = "en-GB"
    """The BCP 47 tag of the language that the content is written in."""

    @property
    def tag(self) -> str:
        """The tag of the language as it is printed: a text with American words is not the British one it was made from."""
        return _AMERICAN if self._forms else self.language

    @cached_property
    def _forms(self) -> dict[str, str]:
        """Each British form with its American one; none where the edition is no US edition or speaks no English."""
        if self.language.partition("-")[0] != "en":
            return {}
        if not self.units.startswith("us") and self.language != _AMERICAN:
            return {}
        found = {}
        for word in self.catalogue.us_words.values():
            found[word.british] = word.american
            if word.plural:
                found[word.plural[0]] = word.plural[1]
        return found

    @cached_property
    def _pattern(self) -> re.Pattern[str]:
        forms = "|".join(re.escape(form) for form in sorted(self._forms, key=len, reverse=True))
        return re.compile(rf"{_SLOT}|\b(?:{forms})\b", re.IGNORECASE)

    @cached_property
    def _shown(self) -> frozenset[str]:
        """Every text that a display shows in one piece: its messages, and its menu paths of one step."""
        families = self.catalogue.families.values()
        messages = {str(message.text) for family in families for message in family.messages.values()}
        steps = {str(step) for family in families for path in family.menus.values() for step in path}
        return frozenset(messages | steps)

    def text(self, words: str) -> str:
        """Plain text with its words replaced, each with the capitals that it had."""
        if not self._forms or words.strip() in self._shown or _PATH_SIGN in words:
            return words
        return self._pattern.sub(self._replaced, words)

    def _replaced(self, match: re.Match[str]) -> str:
        found = match.group()
        american = self._forms.get(found.casefold())
        if american is None:
            return found
        if found.isupper():
            return american.upper()
        return american[0].upper() + american[1:] if found[0].isupper() else american

    def html(self, html: str) -> str:
        """A page or a part of one with the words of its text replaced, and nothing else."""
        if not self._forms:
            return html
        found, open_elements = [], list[bool]()
        for piece in _TAG.split(html):
            if not piece.startswith("<"):
                found.append(piece if any(open_elements) else self.text(piece))
                continue
            found.append(_READ_OUT.sub(lambda m: f'{m["name"]}="{self.text(m["text"])}"', piece))
            _follow(piece, open_elements)
        return "".join(found)


def _follow(tag: str, open_elements: list[bool]) -> None:
    """Keep for each open element whether it prints what a display shows."""
    if tag.startswith("</"):
        if open_elements:
            open_elements.pop()
    elif not tag.startswith("<!") and not tag.endswith("/>"):
        name = re.split(r"[\s>]", tag[1:], maxsplit=1)[0].casefold()
        if name not in _VOID:
            classes = _CLASSES.search(tag)
            open_elements.append(bool(classes and _VERBATIM & set(classes[1].split())))


def printed_language(edition: Edition, catalogue: Catalogue, units: str | None = None) -> str:
    """The language of an edition's finished file; ``units`` where a guide's are others than its edition's."""
    return WordsFor(catalogue, units or edition.units, edition.language).tag
