"""The template engine: the project's own templates, strict about every name, escaping by default."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from jinja2 import BytecodeCache, Environment, FileSystemLoader, StrictUndefined, Template, pass_context
from jinja2.bccache import Bucket

from leadsman.content.model.phrases import LinkWords, filled
from leadsman.output.prose_html import Setter, put
from leadsman.output.us_words import WordsFor
from leadsman.units import quantity_text, unbroken


class _Localised(Template):
    """A template whose rendered text has the words of its edition."""

    def render(self, *args: Any, **kwargs: Any) -> str:
        """The rendered HTML; in a US edition with American words."""
        words = self.environment.globals["words_for"]
        assert isinstance(words, WordsFor)
        return words.html(super().render(*args, **kwargs))


class _Compiled(BytecodeCache):
    """Compiled templates, kept as long as the process lives: a deck asks for the same ones for every size."""

    def __init__(self) -> None:
        self._known: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Fill the bucket with what was compiled before."""
        if bucket.key in self._known:
            bucket.bytecode_from_string(self._known[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what was compiled now."""
        self._known[bucket.key] = bucket.bytecode_to_string()


_COMPILED = _Compiled()


@pass_context
def _as_it_is(context: object, found: Any) -> Any:
    """What an expression gave. It takes the context, so that no filter is run while a template is compiled."""
    return found


def together(phrase: str) -> str:
    """A phrase whose words stand on one line."""
    return type(phrase)(phrase.replace(" ", "\u00a0"))


def environment(templates: Path, setter: Setter) -> Environment:
    """An environment whose filters set prose for one output, and whose pages have the words of its edition."""
    found = Environment(
        loader=FileSystemLoader(templates),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        # Compiled templates serve environments with other filters: nothing of a filter may get into them.
        optimized=False,
        # One environment serves one book: its templates stay what they are.
        auto_reload=False,
        finalize=_as_it_is,
        bytecode_cache=_COMPILED,
    )
    found.template_class = _Localised
    found.globals["words_for"] = WordsFor(setter.catalogue, setter.units, setter.language)
    found.filters |= {
        "inline": setter.inline,
        "block": setter.block,
        "plain": setter.plain,
        "printed_date": lambda date: printed_date(date, setter.catalogue.phrases(setter.language).links),
        "in_unit": quantity_text,
        "unbroken": unbroken,
        "put": put,
        "together": together,
    }
    return found


def stylesheet(templates: Path, *names: str) -> str:
    """The named style sheets of templates/css, joined."""
    return "\n".join((templates / "css" / f"{name}.css").read_text(encoding="utf-8") for name in names)


def printed_date(date: str, words: LinkWords) -> str:
    """A date with its month in letters, which no reader can take for another one."""
    year, month, day = date.split("-")
    return filled(words.date, day=int(day), month=words.months[int(month) - 1], year=year)
