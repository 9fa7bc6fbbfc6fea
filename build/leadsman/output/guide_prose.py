"""The prose of an owner's guide, and the places in it that take a value later."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup, escape

from leadsman.book.guide import Outline
from leadsman.content import prose
from leadsman.output.prose_html import Setter

#: Private-use signs around the name of a place that a value takes later.
SLOT_OPEN, SLOT_CLOSE = "\ue010", "\ue011"


@dataclass
class GuideSetter(Setter):
    """Sets prose for one outline: conditions by their titles, tables by the boat's own where it has them."""

    outline: Outline | None = None

    def _reference(self, reference: prose.Reference, after_by: bool = False) -> Markup:
        kind, what = reference.kind, reference.what
        if kind == "card":
            return self._linked(kind, what, escape(self.catalogue.faults[what].title))
        if kind == "table" and self.outline is not None and what in self.outline.window_tables:
            end = "least" if what == self.outline.window_tables[0] else "greatest"
            return Markup('<a href="#guide-depths">your boat’s {} depths</a>').format(end)
        if kind == "table" and self.outline is not None and what in self.outline.tables:
            window = self.outline.edition.window
            if window is not None and what in (window.shallow, *window.deep):
                end = "least" if what == window.shallow else "greatest"
                return Markup('<a href="#table-{}">the {}-depth table</a>').format(what, end)
        return super()._reference(reference, after_by)


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
