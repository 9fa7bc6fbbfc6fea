"""Cells of a customer list as people type them, and how much of a cell a message may repeat.

Whoever fills a spreadsheet writes ``2,5 mm²``, ``#14``, ``Harrow Bank`` or ``Metric``: all of it is read. What cannot be
read is repeated in the message, so that it is found again, but never where it may name a person: in a list whose
columns slipped, a name can stand anywhere.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable, Mapping
from typing import Any

from leadsman.arguments import conductor_text, match_choice
from leadsman.errors import counted, quoted
from leadsman.units import PAIRS, UNITS, UnitError, parse, symbol, with_decimal_point

#: What stands in a cell where somebody says that there is nothing to say.
_NOTHING = {"-", "--", "–", "—", "n/a", "n.a."}
#: How the two wires of one cable are written: "2 x 2.5 mm2" and "14/2 AWG".
_PAIR = re.compile(r"^2\s*[x×*·]\s*(?=\d)", re.IGNORECASE)
_OF_TWO = re.compile(r"^(\d{1,2})\s*/\s*2(?=\s*AWG$)", re.IGNORECASE)
#: A customer's number: figures, with a few letters before or behind.
_NUMBER = re.compile(r"[A-Za-z]{0,3}(?:[-_./ ]?[A-Za-z]{0,2}\d+)+[A-Za-z]?")
#: What has the form of a quantity: a number, and at most one word for its unit.
_QUANTITY = re.compile(
    r"[~<>≈±+−-]?\s*(?:AWG\s*)?[#.]?\s*\d[\d.,/'\"′″ xX×*]*(?P<unit>[^\W\d_]*[²2.]?)", re.IGNORECASE
)
_MOST_FIGURES = 7
#: Units that nobody takes another one for.
_ALONE = ("deg", "V", "A")
#: A word of so few letters behind a number is taken for a unit, whatever it is.
_SHORT_UNIT = 5
#: What has the form of an id: one word in small letters.
_ID_LIKE = re.compile(r"[a-z0-9]+(?:[-_.][a-z0-9]+)*")
#: How a spreadsheet writes a long number where it has no room for its figures, and what stands where it cannot count.
_SHORTENED = re.compile(r"[+-]?\d+(?:[.,]\d+)?E[+-]\d{1,3}|[+-]?\d+[.,]\d+E\d{1,3}", re.IGNORECASE)
_FAILED = re.compile(r"#(?:[A-Z]{2,}[/A-Z0-9]*[!?]|N/A|N/D|NV|NA)|#{2,}", re.IGNORECASE)
#: How a hint begins that asks for a unit.
ADD_UNIT = "add the unit: "
#: The shortest word by which a cell is known to repeat a name.
_SHORTEST_NAME = 3


def plain(text: str) -> str:
    """A cell with each letter as one sign and one blank between words; nothing where it says nothing."""
    text = " ".join(unicodedata.normalize("NFC", text).split())
    # How figures keep their leading zeros in a spreadsheet: a formula that gives a text.
    if formula := re.fullmatch(r'="([^"]*)"', text):
        text = formula[1].strip()
    return "" if text.casefold() in _NOTHING else text


def folded(text: str) -> str:
    """A word without capitals and joints, by which a choice is found."""
    return re.sub(r"[\s_/.-]+", "-", plain(text).casefold()).strip("-")


def chosen(text: str, records: Mapping[str, Any]) -> str | None:
    """The id of the record that a cell names by its id or its name, whatever its capitals; None when none is named.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> chosen("Harrow Bank", {"harrow-bank": SimpleNamespace(name="Harrow Bank")})
    'harrow-bank'
    """
    if text in records:
        return text
    wanted = folded(text)
    for name, record in records.items():
        if wanted in (folded(name), folded(str(getattr(record, "name", name)))):
            return name
    return None


def spoilt(text: str, *, is_number: bool = False) -> tuple[str, str] | None:
    """What a spreadsheet has made of a cell, and what to do; nothing of a cell that it left alone.

    Parameters
    ----------
    text
        The cell.
    is_number
        Whether it tells a quantity: of that the short form of a long number keeps all that counts.

    Examples
    --------
    >>> spoilt("1,2E+11")[0], spoilt("#N/A")[0]
    ('is a long number that a spreadsheet has cut short', 'is the message of a spreadsheet whose formula failed')
    >>> spoilt("AI-S-10442"), spoilt("2E10"), spoilt("#14")
    (None, None, None)
    """
    if _SHORTENED.fullmatch(text) and not is_number:
        return (
            "is a long number that a spreadsheet has cut short",
            "its last figures are lost: give the column the format 'text' in the spreadsheet, then type the number anew",
        )
    if _FAILED.fullmatch(text):
        return (
            "is the message of a spreadsheet whose formula failed",
            "mend the formula, widen the column, or empty the cell",
        )
    return None


def misread(text: str) -> bool:
    """Whether a text is UTF-8 that was taken for another encoding: two or three signs for each letter of its own.

    Examples
    --------
    >>> misread("MÃ¶we"), misread("Möwe"), misread("RENÉ’S")
    (True, False, False)
    """
    try:
        raw = b"".join(sign.encode("latin-1" if sign <= "\xff" else "cp1252") for sign in text)
        if raw.decode("utf-8") == text:
            return False
    except UnicodeError:
        return False
    # Behind a letter these may be meant.
    return re.search(r"Ã|[À-ô][^\u2013\u2014\u2018-\u201d\u2026ƒŠŒŽšœžŸ]", text) is not None


def list_id(text: str) -> str:
    """A customer's number in the form of an id; any other text as it is, since it may be a name.

    Examples
    --------
    >>> list_id("K-2041"), list_id("2026/117"), list_id("1030.0"), list_id("Rookling")
    ('k-2041', '2026-117', '1030', 'Rookling')
    """
    # A column of numbers with an empty cell comes out of many programs with a decimal behind each number.
    if re.fullmatch(r"\d+[.,]0", text):
        text = text[:-2]
    return folded(text) if _NUMBER.fullmatch(text) else text


def conductor(text: str, known: tuple[str, ...]) -> str:
    """The size of conductor that a cell means, as the program names it.

    Raises
    ------
    UnitError
        When it is no size, or one of no known conductor.

    Examples
    --------
    >>> [conductor(text, ("14 AWG", "2.5 mm2")) for text in ("2,5 mm²", "2 x 2.5mm2", "#14", "14/2 AWG")]
    ['2.5 mm2', '2.5 mm2', '14 AWG', '14 AWG']
    """
    size = _size(text)
    return match_choice(conductor_text(size) or size, known)


def _size(text: str) -> str:
    """The size of one wire of a pair."""
    return with_decimal_point(_OF_TWO.sub(r"\1", _PAIR.sub("", text)).strip(), always=True)


def conductor_hint(text: str, known: tuple[str, ...]) -> str:
    """What to write in place of a text that is no conductor."""
    text = _size(text)
    if re.fullmatch(r"\d{1,3}(?:\.\d+)?|[1-4]/0", text):
        fitting = [unit for unit in ("mm2", "AWG") if f"{text} {unit}" in known]
        return ADD_UNIT + " or ".join(f"{text} {unit}" for unit in fitting or ["mm2"])
    size = conductor_text(text)
    if size is None:
        return "write it as 14 AWG or 2.5 mm2"
    unit = size.rpartition(" ")[2]
    try:
        area = parse(size, "mm2").value
    except UnitError as error:
        return str(error)
    near = sorted(
        (name for name in known if name.endswith(unit)), key=lambda name: abs(parse(name, "mm2").value - area)
    )
    return f"nearest: {' and '.join(sorted(near[:2], key=lambda name: parse(name, 'mm2').value))}"


def quantity(text: str, unit: str) -> float:
    """The number of a cell in a unit; a comma with one or two digits behind it is a decimal sign.

    Degrees, volts and amperes may be left out: nobody writes another unit there. Metres may stand before their
    centimetres, as they are spoken.

    Examples
    --------
    >>> quantity("4,5 m", "m"), quantity("4 m 50", "m"), quantity("4m05 cm", "m")
    (4.5, 4.5, 4.05)

    Raises
    ------
    UnitError
        When it is no quantity, has no unit, or one that measures something else.
    """
    written = with_decimal_point(text)
    if spoken := re.fullmatch(r"\s*(\d+)\s*m\s*(\d{2})\s*(?:cm)?\s*", written, re.IGNORECASE):
        written = f"{spoken[1]}.{spoken[2]} m"
    if unit in _ALONE and re.fullmatch(r"[+-]?\d+(?:\.\d+)?", written):
        written = f"{written} {unit}"
    return float(parse(written, unit).value)


def quantity_hint(text: str, unit: str, example: str) -> str:
    """What to write in place of a text that is no quantity."""
    bare = with_decimal_point(text).strip()
    if re.fullmatch(r"[+-]?\d+(?:\.\d+)?", bare) and len(bare) <= _MOST_FIGURES:
        return ADD_UNIT + " or ".join(f"{bare} {u}" for u in (unit, PAIRS.get(unit)) if u)
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}\D{0,12}", bare):
        return f"write {bare.replace(',', '.')} or {bare.replace(',', '')}"
    return f"write a number and its unit, such as {example}"


class Repeatable:
    """Which cells of one list a message may repeat; of a file whose messages repeat nothing, none."""

    def __init__(self, personal: Iterable[str] = (), *, repeats: bool = True) -> None:
        self._names = {word for text in personal for word in _words(text)}
        self._repeats = repeats

    def told(self, text: str, known: Iterable[str] = ()) -> str:
        """The cell in quotes, at most sixty letters of it; where it may name a person only how long it is.

        A cell is repeated when it has the form of a number with a unit or of an id, or is near a ``known`` word,
        and shares no word with a name of the list.

        Examples
        --------
        >>> cells = Repeatable(["Perpetua Rookling"])
        >>> cells.told("5 mtr."), cells.told("rookling"), cells.told("Isolde L.")
        ("'5 mtr.'", 'the text of 8 letters', 'the text of 9 letters')
        """
        if self._repeats and not self._may_name_a_person(text, known):
            return f"'{quoted(text)}'"
        return f"the text of {counted(len(text), 'letter')}"

    def _may_name_a_person(self, text: str, known: Iterable[str]) -> bool:
        if spoilt(text) is not None:
            return False
        if _words(text) & self._names:
            return True
        words = [folded(word) for word in known]
        if difflib.get_close_matches(folded(text), words, 1, 0.7):
            return False
        if _ID_LIKE.fullmatch(text):
            return False
        match = _QUANTITY.fullmatch(text)
        figures = sum(letter.isdigit() for letter in text)
        return match is None or figures > _MOST_FIGURES or not _may_be_a_unit(match["unit"])


def _may_be_a_unit(word: str) -> bool:
    word = word.rstrip(".²2")
    if len(word) <= _SHORT_UNIT or word.islower():
        return True
    try:
        return symbol(word) in UNITS
    except UnitError:
        return False


def _words(text: str) -> set[str]:
    return {word for word in re.findall(r"[^\W_]+", plain(text).casefold()) if len(word) >= _SHORTEST_NAME}
