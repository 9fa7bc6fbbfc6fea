"""The template engine: the project's own templates, strict about every name, escaping by default."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template

from leadsman.output.prose_html import Setter
from leadsman.output.us_words import WordsFor
from leadsman.units import quantity_text, unbroken


class _Localised(Template):
    """A template whose rendered text has the words of its edition."""

    def render(self, *args: Any, **kwargs: Any) -> str:
        """The rendered HTML; in a US edition with American words."""
        words = self.environment.globals["words_for"]
        assert isinstance(words, WordsFor)
        return words.html(super().render(*args, **kwargs))


def environment(templates: Path, setter: Setter) -> Environment:
    """An environment whose filters set prose for one output, and whose pages have the words of its edition."""
    found = Environment(
        loader=FileSystemLoader(templates),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.template_class = _Localised
    found.globals["words_for"] = WordsFor(setter.catalogue, setter.units)
    found.filters |= {
        "inline": setter.inline,
        "block": setter.block,
        "plain": setter.plain,
        "printed_date": printed_date,
        "in_unit": quantity_text,
        "unbroken": unbroken,
    }
    return found


def stylesheet(templates: Path, *names: str) -> str:
    """The named style sheets of templates/css, joined."""
    return "\n".join((templates / "css" / f"{name}.css").read_text(encoding="utf-8") for name in names)


_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def printed_date(date: str) -> str:
    """A date with its month in letters, which no reader can take for another one."""
    year, month, day = date.split("-")
    return f"{int(day)} {_MONTHS[int(month) - 1]} {year}"
