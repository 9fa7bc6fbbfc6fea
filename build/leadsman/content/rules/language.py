"""Plain language and numbers (rules of the trade 9 and 10)."""

from __future__ import annotations

import re
from collections.abc import Iterator

from leadsman.compute.rounding import exceeds, falls_short
from leadsman.content import prose
from leadsman.content.model.base import Label, Step
from leadsman.content.model.reference import Value
from leadsman.content.rules import Context, rule
from leadsman.errors import Problem, counted, quoted
from leadsman.units import Quantity, convert, parse


@rule("sentence-length", "A step has at most 20 words a sentence, other prose 25.", scope="file")
def sentence_length(context: Context) -> Iterator[Problem]:
    """ASD-STE100: 20 words in procedures, 25 in descriptions."""
    for kind, name, location, text in context.prose():
        if isinstance(text, Label) or kind == "sources":
            continue
        for sentence in prose.sentences(text):
            count = prose.words(sentence)
            if count > text.sentence_words:
                yield context.catalogue.problem(kind, name, location,
                                                f"a sentence of {counted(count, 'word')} (at most {text.sentence_words}): {quoted(sentence, 50)}",
                                                "split it")  # fmt: skip


@rule("loose-number", "Every number with a unit is a computed or a declared value.", scope="file")
def loose_number(context: Context) -> Iterator[Problem]:
    """No bare number with a unit in the prose."""
    for kind, name, location, text in context.prose():
        # A name may hold a number ("200 kHz element"); what the reader acts on may not.
        if kind in ("sources", "assumptions", "boats", "dealer", "editions") or (
            isinstance(text, Label) and kind not in ("faults", "checks")
        ):
            continue
        for offset, number in prose.loose_numbers(text):
            yield context.catalogue.problem(kind, name, location, f"the number '{number}' stands loose in the text",
                                            "declare it in values.yaml and write {value: its-name}", offset=offset)  # fmt: skip


#: How far a US value may stand from the metric one that it goes with, where neither is a limit.
_US_SHARE = 0.15


@rule(
    "us-limit",
    "A US value in place of a metric limit stands on its safe side, any other beside it.",
    scope="equipment",
)
def us_limit(context: Context) -> Iterator[Problem]:
    """No US edition may permit what the metric one forbids."""
    for name, value in context.catalogue.values.items():
        if value.us is None or value.declared is None:
            continue
        for what, hint in _us_faults(value):
            yield context.catalogue.problem("values", name, ("us",), what, hint)


@rule("declared-unit", "A declared value carries its unit, or says that it has none.", scope="equipment")
def declared_unit(context: Context) -> Iterator[Problem]:
    """A number that lost its unit prints as a bare number."""
    for name, value in context.catalogue.values.items():
        if value.declared is None or not re.fullmatch(
            r"[-+]?[0-9.,]+(?: to [-+]?[0-9.,]+)?", str(value.declared).strip()
        ):
            continue
        if not value.unitless:
            yield context.catalogue.problem("values", name, ("declared",), f"'{quoted(value.declared)}' has no unit",
                                            "write the unit behind it, or add 'unitless: true'")  # fmt: skip


def _us_faults(value: Value) -> Iterator[tuple[str, str]]:
    metric, us = (ends(text) for text in (str(value.declared), str(value.us)))
    if str(value.meaning).startswith(("Least", "Greatest")) and value.limit is None:
        yield "is a limit by its meaning and does not say which", "add 'limit: least' or 'limit: greatest'"
    for own, other in zip(metric, us, strict=False):
        said = convert(other.value, other.unit, own.unit)
        unsafe = {"least": falls_short, "greatest": exceeds}.get(value.limit or "")
        if unsafe is not None and unsafe(said, own.value):
            yield f"'{other}' is {said:.3g} {own.unit}, on the wrong side of a {value.limit}, {own}", "take the next that is safe"  # fmt: skip
        # A difference of temperatures and a temperature look alike, so they are left to the eye.
        elif (
            value.limit is None and own.unit != "degC" and abs(said - own.value) > _US_SHARE * abs(own.value)
        ):
            yield f"'{other}' is {said:.3g} {own.unit}, far from {own}", "take a nearer one"


def ends(text: str) -> list[Quantity]:
    """Both ends of "2 to 5 m", or the one quantity of "2 m"."""
    low, _, high = text.rpartition(" to ")
    last = parse(high)
    return [parse(f"{low} {last.unit}"), last] if low else [last]


#: Words with which a step does not begin, since they are no command.
_NO_COMMAND = re.compile(
    r"^(?:the|a|an|this|that|it|there|you|your|we|i|is|are|was|were|should|must|can|could|may|might|would|will)\b",
    re.IGNORECASE,
)


@rule("imperative", "A step is a command; a condition comes first, then a comma.", scope="file")
def imperative(context: Context) -> Iterator[Problem]:
    """ASD-STE100: the imperative, the condition first."""
    for kind, name, location, text in context.prose():
        if type(text) is not Step:
            continue
        for sentence in prose.sentences(text):
            if _NO_COMMAND.match(sentence):
                yield context.catalogue.problem(kind, name, location, f"no command: '{quoted(sentence, 50)}'",
                                                "begin with the verb, or with 'If ...,' and then the verb")  # fmt: skip
            elif (
                re.match(r"(?:if|when|with|while|after|before)\b", sentence, re.IGNORECASE)
                and "," not in sentence
            ):
                yield context.catalogue.problem(kind, name, location, f"no comma after the condition: '{quoted(sentence, 50)}'",
                                                "write the condition, a comma, then the command")  # fmt: skip


@rule("vocabulary", "One word for one thing: forbidden synonyms of the glossary are not used.", scope="file")
def vocabulary(context: Context) -> Iterator[Problem]:
    """The controlled vocabulary of glossary.yaml."""
    forbidden = [
        (word, term.term) for term in context.catalogue.records["glossary"].values() for word in term.never
    ]
    any_of_them = prose.whole_words(*(word for word, _ in forbidden))
    for kind, name, location, text in context.prose():
        if kind in ("glossary", "sources", "retired", "dealer") or (
            kind == "families" and "messages" in location
        ):
            continue
        plain = prose.replace(text, lambda reference: "···")
        if not any_of_them.search(plain):
            continue
        for word, term in forbidden:
            if prose.whole_words(word).search(plain):
                yield context.catalogue.problem(kind, name, location, f"'{word}' is not the handbook's word",
                                                f"write '{term}'")  # fmt: skip


#: What a result must not say alone: it invites an answer without a look.
_EMPTY_RESULT = re.compile(
    r"\b(?:ok|okay|all right|checked|as required|as normal|normal|good condition)\b\W*$", re.IGNORECASE
)


@rule(
    "wanted-reading",
    "Each check says what is wanted: a reading with its limit, or a named sight.",
    scope="file",
)
def wanted_reading(context: Context) -> Iterator[Problem]:
    """No 'OK?' as the only criterion."""
    for kind, name, location, text in context.prose():
        if location and location[-1] in ("see", "proof"):
            if _EMPTY_RESULT.search(text):
                yield context.catalogue.problem(kind, name, location, "asks for no reading or sight", "say what is to be seen, with the limit")  # fmt: skip
            if not text.rstrip().endswith("?"):
                yield context.catalogue.problem(kind, name, location, "is no question", "end it with a question mark, so that YES or NO answers it")  # fmt: skip


@rule(
    "us-words",
    "The content is written in British words; a US edition has the American ones of us_words.yaml.",
    scope="file",
)
def us_words(context: Context) -> Iterator[Problem]:
    """No American word in the prose, and none that is British for something else in the mapping."""
    catalogue = context.catalogue
    british = {form: name for name, w in catalogue.us_words.items() for form in (w.british, *w.plural[:1])}
    american = {form: w.british for w in catalogue.us_words.values() for form in (w.american, *w.plural[1:])
                if not w.british_too}  # fmt: skip
    for name, word in catalogue.us_words.items():
        if word.american in british:
            yield catalogue.problem("us_words", name, ("american",), f"'{word.american}' is itself replaced, by '{british[word.american]}'",
                                    "name a word that stays")  # fmt: skip
    if not american:
        return
    pattern = prose.whole_words(*american)
    for kind, name, location, text in context.prose():
        if kind in ("sources", "retired", "dealer") or (
            kind == "families" and {"messages", "menus"} & set(location)
        ):
            continue
        found = pattern.search(prose.replace(text, lambda reference: " "))
        if found is not None:
            yield catalogue.problem(kind, name, location, f"'{found.group()}' is American",
                                    f"write '{american[found.group().casefold()]}'")  # fmt: skip


@rule("signs", "A sign by its depth number says whether the number is gone, wrong or frozen.", scope="entry")
def signs(context: Context) -> Iterator[Problem]:
    """Whoever telephones looks under one of the three, and a frozen number is a danger of its own."""
    for decision in context.decisions.values():
        for index, sign in enumerate(decision.entry.condition.signs):
            if "number" in decision.entry.condition.groups(sign):
                yield context.entry_problem(decision, ("condition", "signs", index), f"'{sign.words}' does not say how the number fails",
                                            "add 'number: [gone]', [wrong] or [frozen] to the condition")  # fmt: skip
