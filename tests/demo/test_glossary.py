"""Every abbreviation that the content prints is explained among the words of the handbook."""

import re
from itertools import chain

import built

#: A capital word inside a path, a code or a serial sentence is none; nor is the document's own letters.
_CAPITALS = re.compile(r"(?<![\w$/-])[A-Z]{2,5}(?![\w-])")
#: The short answers of a step and the messages of a screen are words in capitals.
_SAID = re.compile(r"(?:label|text): ([^,}\n]+)")
_NOT_PRINTED = ("sources", "retired", "editions", "dealer", "phrases", "us_words", "glossary")


def test_every_abbreviation_is_explained() -> None:
    """An abbreviation is a word in capitals of which the prose has no small form; signs on screens are words."""
    catalogue = built.catalogue()
    prose = " ".join(text for _, _, _, text in catalogue.prose())
    small = set(re.findall(r"\b[a-z]+\b", re.sub(r"\{[^}]*\}", " ", prose)))
    names = {str(t.name).split()[0] for t in catalogue.transducers.values()}
    documents = {
        document.path: document
        for (kind, _), (document, _) in catalogue.origins.items()
        if kind not in _NOT_PRINTED
    }
    text = "\n".join(document.text for document in documents.values())
    for said in sorted(set(_SAID.findall(text)), key=len, reverse=True):
        text = text.replace(said, "")
    shown = {word for word in _CAPITALS.findall(text) if word.lower() not in small} - names
    terms = set(chain.from_iterable(t.term.split(", ") for t in catalogue.records["glossary"].values()))
    assert {"AWG", "PSU", "RMS"} <= shown
    assert shown - terms == set()
    # The reader meets these in tables, whose numbers carry their units, and where the boat's standards are named.
    assert {"ABYC", "ISO", "AGM", "LFP", "DBT", "DPT", "DBS", "dB"} <= terms
