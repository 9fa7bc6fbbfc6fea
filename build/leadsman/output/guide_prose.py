"""The prose of an owner's guide, and the places in it that take a value later."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup, escape

from leadsman.book.guide import Outline
from leadsman.content import prose
from leadsman.output.prose_html import Setter

#: The blank before the last word of a paragraph, where both words around it are plain and short.
_LAST_WORDS = re.compile(r"(?<=[^\s<>;]) (?=[^\s<>&\u00a0]{1,14}$)")
#: What stands before the last step of a menu path, where that is one word.
_LAST_STEP = re.compile(r"\u00a0\u203a (?=[^\s<>\u00a0]+</span>)")
#: The blank between a word and an element of the line.
_BEFORE_ELEMENT = re.compile(r"(?<=[^\s<>]) (?=<(?:a|b|span)[ >])")
#: Private-use signs around the name of a place that a value takes later.
SLOT_OPEN, SLOT_CLOSE = "\ue010", "\ue011"


@dataclass
class GuideSetter(Setter):
    """Sets prose for one outline: conditions by their titles, tables by the boat's own where it has them."""

    outline: Outline | None = None

    def inline(self, text: str) -> Markup:
        """One paragraph without its element, whose last line holds more than one short word."""
        return Markup(_LAST_WORDS.sub("\u00a0", str(super().inline(text))))

    def _menu(self, task: str, after_by: bool) -> Markup:
        """A path whose last step, where it is one word, does not stand alone on a line."""
        return Markup(_LAST_STEP.sub("\u00a0\u203a\u00a0", str(super()._menu(task, after_by))))

    def _reference(self, reference: prose.Reference, after_by: bool = False) -> Markup:
        kind, what = reference.kind, reference.what
        if kind == "card":
            return self._linked(kind, what, escape(self.catalogue.faults[what].title))
        if kind == "table" and self.outline is not None and what in self.outline.window_tables:
            least = what == self.outline.window_tables[0]
            words = self.catalogue.phrases(self.language).guide
            own = words.own_least if least else words.own_greatest
            return Markup('<a href="#guide-depths">{}</a>').format(own)
        if kind == "table" and self.outline is not None and what in self.outline.tables:
            window = self.outline.edition.window
            if window is not None and what in (window.shallow, *window.deep):
                words = self.catalogue.phrases(self.language).guide
                named = words.least_table if what == window.shallow else words.greatest_table
                return Markup('<a href="#table-{}">{}</a>').format(what, named)
        return super()._reference(reference, after_by)


def with_breaks(html: str) -> str:
    """A page on which a line may end before each link and each bold word.

    Where such an element does not fit, the engine breaks the text before it after its first word, unless a place to
    break stands nearer.

    Examples
    --------
    >>> with_breaks('Sound. <a href="#x">How</a>, <b>1</b> <b>2</b>').replace("\u200b", "|")
    'Sound. |<a href="#x">How</a>, |<b>1</b> <b>2</b>'
    """
    return _BEFORE_ELEMENT.sub(" \u200b", html)


def slot(name: str) -> Markup:
    """The place of a value: an element of its own, so that the value can be found in the laid-out page."""
    return Markup('<span data-slot="{}">{}{}{}</span>').format(name, SLOT_OPEN, name, SLOT_CLOSE)


def fill(html: str, values: Mapping[str, str]) -> str:
    """Put the values into their places, escaped.

    Examples
    --------
    >>> fill(f"<b>{slot('boat')}</b>", {"boat": "Sedge & Son"})
    '<b><span data-slot="boat">Sedge &amp; Son</span></b>'
    """
    pieces = html.split(SLOT_OPEN)
    filled = [pieces[0]]
    for piece in pieces[1:]:
        name, _, rest = piece.partition(SLOT_CLOSE)
        filled += [str(escape(values[name])), rest]
    return "".join(filled)
