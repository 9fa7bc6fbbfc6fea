"""Set the content's prose as HTML: a small Markdown, with every inline reference in its printed form."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import markdown
import nh3
from markupsafe import Markup, escape

from leadsman.book.computed import ComputedValue, compute_value
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.model.equipment import Family
from leadsman.content.model.phrases import filled
from leadsman.errors import OutputError

#: Private-use signs that stand for a reference while Markdown is read.
_OPEN, _CLOSE = "\ue000", "\ue001"
_TOKEN = re.compile(f"{_OPEN}([0-9]+){_CLOSE}")
_BEFORE_KEPT = re.compile(r" (?=<span class=\"value\"|<a |<span class=\"(?:code|stands)\")")
#: Where a menu follows, the sentence has already said what is done.
_AFTER_BY = re.compile(r"\b(?:by|at|in|with|through) $")
_TAGS = {"p", "strong", "em", "ul", "ol", "li", "br"}

#: Where a reference leads in one kind of output: the kind ("card", "table", "term") and id to an address.
Linker = Callable[[str, str], str | None]


@dataclass
class Setter:
    """Sets prose for one output: its units, and where its links lead."""

    catalogue: Catalogue
    units: str = "metric"
    link: Linker = lambda kind, name: None
    family: Family | None = None
    """The one display family of the output, whose menu paths then stand in the sentence."""
    nominal_v: int | None = None
    """The volts of the one boat of the output, whose limits are then the only ones that are printed."""
    elsewhere: str = ""
    """What follows the name of an entry or a table that this output does not hold."""
    holds: Callable[[str, str], bool] = lambda kind, name: False
    """Whether the output holds what it has no link to: the kind and the id."""
    stands: Callable[[str, str], str] = lambda kind, name: ""
    """Where a table, or what a term names, stands in the output, printed behind it: the kind and the id."""
    language: str = "en"
    titles: bool = True
    """Whether an entry is named by its code and title; else by its code alone, where room is dear."""
    used: dict[str, ComputedValue] = field(default_factory=dict)
    """Every value that was printed, for the provenance appendix."""

    def block(self, text: str) -> Markup:
        """Paragraphs and lists."""
        pieces: list[Markup] = []

        def token(reference: prose.Reference) -> str:
            after_by = bool(_AFTER_BY.search(text[: reference.offset]))
            pieces.append(self._reference(reference, after_by))
            return f"{_OPEN}{len(pieces) - 1}{_CLOSE}"

        html = _to_html(prose.replace(text, token))
        filled = _TOKEN.sub(lambda match: str(pieces[int(match[1])]), html)
        # A line breaks too early before what must not break inside, unless a place to break stands before it.
        return Markup(_BEFORE_KEPT.sub(" \u200b", filled))

    def inline(self, text: str) -> Markup:
        """One paragraph without its element."""
        html = str(self.block(text)).strip()
        if html.startswith("<p>") and html.count("<p>") == 1 and html.endswith("</p>"):
            html = html[3:-4]
        return Markup(html)

    def plain(self, text: str) -> str:
        """The words alone, for titles, alternatives and comparisons."""
        return str(Markup(self.block(text)).striptags())

    def value(self, name: str) -> ComputedValue:
        """A value of the content, computed once."""
        if name not in self.used:
            self.used[name] = compute_value(
                self.catalogue.values[name],
                self.catalogue,
                self.units,
                family=self.family.id if self.family else None,
                nominal_v=self.nominal_v,
            )
        return self.used[name]

    def _reference(self, reference: prose.Reference, after_by: bool = False) -> Markup:
        kind, what = reference.kind, reference.what
        if kind == "value":
            number = self.value(what).number
            # One for each display is a list, which may run over a line's end.
            if isinstance(number.exact, list) and "," in number.text:
                return Markup('<span class="value many">{}</span>').format(number.text)
            # The reading of the other feed may stand on the next line, but in one piece.
            reading, bracket, other = number.text.partition(" (")
            parts = [reading, f"({other}"] if bracket else [reading]
            return Markup(" ").join(Markup('<span class="value">{}</span>').format(part) for part in parts)
        if kind == "menu":
            return self._linked(kind, what, self._menu(what, after_by))
        if kind == "card":
            entry = self.catalogue.faults[what]
            words = Markup('<span class="code">{}</span>\u00a0{}').format(entry.code, entry.title)
            if not self.titles:
                words = Markup('<span class="code">{}</span>').format(entry.code)
            linked = self._linked(kind, what, words)
            return linked + escape(self.elsewhere) if linked == words else linked
        if kind == "table":
            what = self.catalogue.table_in(what, self.units)
            words = escape(f"“{self.catalogue.tables[what].title}”")
            linked = self._linked(kind, what, words)
            if place := self.stands(kind, what):
                return linked + _stands(place)
            return (
                linked + escape(self.elsewhere) if linked == words and not self.holds(kind, what) else linked
            )
        if kind == "term":
            place = self.stands(kind, what)
            words = escape(self.catalogue.records["glossary"][what].term)
            return self._linked(kind, what, words) + (_stands(place) if place else "")
        if kind == "message":
            family, _, message = what.partition(" ")
            return Markup('<span class="message">{}</span>').format(
                self.catalogue.families[family].messages[message].text
            )
        raise OutputError(f"the reference {{{kind}: {what}}} cannot be set here")

    def _menu(self, task: str, after_by: bool) -> Markup:
        """One family's path; for several families the task's number in the list of paths.

        "Start transmitting by menu 1." needs no more; "Read the supply volts (menu 13)." names the thing.
        """
        if self.family is not None and task in self.family.menus:
            path = "\u00a0\u203a ".join(str(step) for step in self.family.menus[task])
            return Markup('<span class="menu">{}</span>').format(path)
        record = self.catalogue.records["tasks"][task]
        words = self.catalogue.phrases(self.language).links
        named = filled(words.menu, number=menu_number(self.catalogue, task)).replace(" ", "\u00a0")
        number = Markup('<span class="menu">{}</span>').format(named)
        if after_by or record.noun is None:
            return number
        return put(words.menu_of, name=record.noun, menu=number)

    def _linked(self, kind: str, what: str, words: Markup) -> Markup:
        address = self.link(kind, what)
        return Markup('<a href="{}">{}</a>').format(address, words) if address else words


def _stands(place: str) -> Markup:
    """A place behind a name, read in one piece."""
    return Markup(' <span class="stands">({})</span>').format(place)


def put(phrase: str, **given: Any) -> Markup:
    """A phrase with its places filled, as HTML; what is given may hold markup of its own."""
    return Markup(prose.replace(str(escape(phrase)), lambda reference: str(escape(given[reference.what]))))


@cache
def _reader() -> Any:
    reader = markdown.Markdown(extensions=["sane_lists"], output_format="xhtml")
    reader.preprocessors.deregister("html_block")
    for name in ("html", "image_link", "image_reference", "short_image_ref", "autolink", "automail", "link", "reference",
                 "short_reference", "backtick", "entity"):  # fmt: skip
        reader.inlinePatterns.deregister(name, strict=False)
    return reader


@cache
def _to_html(text: str) -> str:
    reader = _reader()
    reader.reset()
    return nh3.clean(reader.convert(text), tags=_TAGS, attributes={})


def menu_number(catalogue: Catalogue, task: str) -> int:
    """The number under which a task stands in every list of menu paths: its place in tasks.yaml."""
    return list(catalogue.records["tasks"]).index(task) + 1


def menu_paths(catalogue: Catalogue, task: str) -> Mapping[str, list[str]]:
    """Each display family's own path to a task, by the family's name; families that lack it are left out."""
    return {
        str(f.name): [str(w) for w in f.menus[task]] for f in catalogue.families.values() if task in f.menus
    }
