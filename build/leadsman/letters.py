"""Signs: which of them may stand in a text at all, and which the fonts can print."""

from __future__ import annotations

import io
import re
import unicodedata
from collections.abc import Iterator
from functools import cache
from importlib.resources import files

#: The font that every text falls back to: a sign that it lacks cannot be printed.
TEXT_FONT = ("fontpkg_source_sans_3", "SourceSans3[wght].ttf")

#: Signs without a picture of their own that Unicode counts among letters and marks (Default_Ignorable_Code_Point and
#: blanks that are no spaces).
_UNSEEN = re.compile(
    "[\u00ad\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u2800\u3164\ufe00-\ufe0f\uffa0\ufff9-\ufffd"
    "\U000e0000-\U000e0fff]"
)
#: What is looked at: all but plain letters, blanks and line ends.
_UNUSUAL = re.compile("[^\t\n\r -~]")
_WHAT = {
    "Cc": "the control character",
    "Cf": "the hidden sign",
    "Co": "the private sign",
    "Cs": "half a sign,",
    "Zl": "the line separator",
    "Zp": "the paragraph separator",
}


def forbidden(text: str) -> Iterator[tuple[int, str, str]]:
    """Every sign that no text may hold, in order: at which letter, what it is, and what to do.

    Control characters but for line ends and tabs; signs that are not seen or turn the direction of others; private
    signs, some of which the program uses as marks; what is no sign; and two signs where one stands for them.

    Examples
    --------
    >>> [found for _, found, _ in forbidden("volts\\u202e\\x07")]
    ['holds the hidden sign U+202E', 'holds the control character U+0007']
    >>> [found for _, found, _ in forbidden("caf\\u0065\\u0301")]
    ['spells U+00E9 in another way']
    """
    if text.isascii() and text.isprintable():
        return
    for match in _UNUSUAL.finditer(text):
        at, sign = match.start(), match.group()
        category = unicodedata.category(sign)
        if category in _WHAT:
            yield at, f"holds {_WHAT[category]} U+{ord(sign):04X}", "remove it"
        elif _UNSEEN.match(sign):
            yield at, f"holds the hidden sign U+{ord(sign):04X}", "remove it"
        elif category == "Cn":
            yield at, f"holds U+{ord(sign):04X}, which is no sign", "remove it"
    if not unicodedata.is_normalized("NFC", text):
        yield _other_spelling(text)


def _other_spelling(text: str) -> tuple[int, str, str]:
    composed = unicodedata.normalize("NFC", text)
    at = next((n for n, (a, b) in enumerate(zip(text, composed, strict=False)) if a != b), len(composed))
    sign = composed[at] if at < len(composed) else composed[-1]
    return at, f"spells U+{ord(sign):04X} in another way", f"write it as the one sign '{sign}'"


@cache
def printable() -> frozenset[str]:
    """Every sign that the text font has a picture of, read from the font once."""
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]  # only when it is asked

    package, name = TEXT_FONT
    data = (files(package) / "files" / name).read_bytes()
    with TTFont(io.BytesIO(data), lazy=True) as font:
        return frozenset(map(chr, font.getBestCmap()))
