"""Read a dealer's own details from a file outside the content, held to the same rules as the content's dealer."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from leadsman.content.catalogue import Catalogue, record_problems
from leadsman.content.cells import spoilt
from leadsman.content.judged import MAX_BYTES
from leadsman.content.model.edition import Edition
from leadsman.content.model.equipment import Dealer, darker, too_light
from leadsman.content.rules import RULES, Context, load_rules
from leadsman.content.rules.keeping import WORDS
from leadsman.content.source import Document, read
from leadsman.errors import LeadsmanError, Problem, quoted
from leadsman.files import Refused, nearest_file, read_regular

#: The record's id, which a file of one's own need not say.
_ID = "dealer"
#: A mark may be a picture file beside the dealer's file.
_PICTURE = ".svg"


def with_dealer(
    path: Path, catalogue: Catalogue, draw: Callable[[Dealer], object]
) -> tuple[Catalogue, list[Problem]]:
    """The content with the dealer of a file in place of its own, and what is wrong in that file.

    Parameters
    ----------
    path
        A YAML file with the keys of ``dealer.yaml``; its ``mark`` is an SVG picture or the name of an .svg file in
        the same folder.
    catalogue
        The content, which stays as it is.
    draw
        Makes the mark safe; it raises a :class:`~leadsman.errors.LeadsmanError` that says why it does not, or a :class:`MarkFault`.
    """
    document = read(path)
    problems = [_with_hint(problem, path) for problem in document.problems]
    if not problems and not isinstance(document.data, dict):
        problems.append(document.problem((), "is no dealer", "write lines such as 'name: Quay Workshop'"))
    if problems:
        return catalogue, problems
    data, problems = _eased({"id": _ID, **document.data}, document)
    try:
        dealer = Dealer.model_validate(data)
    except ValidationError as error:
        return catalogue, sorted({*problems, *record_problems(document, (), Dealer, error)})
    mine = replace(catalogue, records={**catalogue.records, "dealer": {"dealer": dealer}},
                   origins={**catalogue.origins, ("dealer", "dealer"): (document, ())})  # fmt: skip
    problems += _in_its_texts(document, mine)
    if dealer.mark is not None:
        try:
            draw(dealer)
        except LeadsmanError as error:
            problems.append(_of_mark(document, error))
    return (catalogue, sorted(set(problems))) if problems else (mine, [])


def document_of(edition: Edition, dealer: Dealer) -> str:
    """The document number of an edition under a dealer: the letters of a dealer stand before the first hyphen."""
    own, _, rest = str(edition.document).partition("-")
    return f"{dealer.letters or initials(str(dealer.name))}-{rest or own}"


def initials(name: str) -> str:
    """The letters of a dealer whose file says none: the first ones of the words of the name.

    Examples
    --------
    >>> initials("Sedge Lane Sounders"), initials("Ærø & Søn, Ltd"), initials("Sounders"), initials("Ναυτικά")
    ('SLS', 'ASL', 'SO', 'D')
    """
    plain = unicodedata.normalize("NFKD", name.translate(_PLAIN_LETTERS)).upper()
    words: list[str] = re.findall(
        r"[A-Z0-9]+", "".join(sign for sign in plain if not unicodedata.combining(sign))
    )
    words = [word for word in words if not word[0].isdigit()]
    if len(words) == 1:
        return words[0][:2]
    return "".join(word[0] for word in words[:3]) or "D"


#: Letters of Latin alphabets that are no plain letter with a mark.
_PLAIN_LETTERS = str.maketrans({"Æ": "A", "æ": "a", "Ø": "O", "ø": "o", "Ł": "L", "ł": "l", "Đ": "D", "đ": "d",
                                "Þ": "T", "þ": "t", "ß": "s", "Œ": "O", "œ": "o", "ı": "i"})  # fmt: skip


def _with_hint(problem: Problem, path: Path) -> Problem:
    return replace(problem, hint=nearest_file(path)) if problem.what == Refused.MISSING else problem


def _eased(data: dict[str, Any], document: Document) -> tuple[dict[str, Any], list[Problem]]:
    """A dealer's lines as the model takes them, and what is wrong with those that need an explanation of their own.

    A line with something wrong is left out, so that the rest is judged all the same.
    """
    problems = []
    for key, ease in (
        ("colour", _colour),
        ("phone", _phone),
        ("dial", _dial),
        ("letters", _letters),
        ("emergency", _emergency),
        ("mark", None),
    ):
        if key not in data:
            continue
        try:
            data[key] = ease(data[key]) if ease else _mark(data[key], document.path.parent)
        except _Wrong as wrong:
            problems.append(document.problem((key,), wrong.what, wrong.hint))
            del data[key]
    if isinstance(data.get("address"), str):
        data["address"] = [data["address"]]
    return data, problems


class _Wrong(Exception):
    """What is wrong with a line of a dealer's file, and what to do."""

    def __init__(self, what: str, hint: str) -> None:
        self.what, self.hint = what, hint


def _colour(given: object) -> str:
    """A colour in the form of the model: six figures in small letters behind a #."""
    hint = "write it as on web pages, # and six signs, in quotes: '#1f3a5f'"
    if given is None:
        # YAML takes an unquoted # for the beginning of a remark.
        raise _Wrong("no colour stands here", f"without quotes all behind a # is lost; {hint}")
    text = str(given).strip().lower().removeprefix("#")
    if re.fullmatch(r"[0-9a-f]{3}", text):
        text = "".join(2 * sign for sign in text)
    if not re.fullmatch(r"[0-9a-f]{6}", text):
        raise _Wrong(f"'{quoted(given)}' is no colour that can be printed", hint)
    colour = f"#{text}"
    if (fault := too_light(colour)) is not None:
        raise _Wrong(fault, f"the same colour, dark enough: '{darker(colour)}'")
    return colour


def _phone(given: object) -> object:
    if (fault := spoilt(str(given).strip())) is not None:
        raise _Wrong(f"'{quoted(given)}' {fault[0]}", _NUMBER_HINT)
    return given


_NUMBER_HINT = "write the number with all its figures, in quotes: '01632 960 147'"


def _dial(given: object) -> str:
    text = re.sub(r"[\s().\u2010-\u2013-]", "", str(given))
    if not re.fullmatch(r"\+[0-9]{6,15}", text):
        raise _Wrong(
            f"'{quoted(given)}' is no number that a telephone dials from anywhere",
            "write a plus, the code of the country and the number, in quotes: '+44 1632 960147'",
        )
    return text


def _letters(given: object) -> str:
    text = str(given).strip().upper()
    if not re.fullmatch(r"[A-Z][A-Z0-9]{0,5}", text):
        raise _Wrong(
            f"'{quoted(given)}' cannot begin the numbers of documents",
            "write one to six letters, such as SLS",
        )
    return text


def _emergency(given: object) -> str:
    text = str(given).strip()
    if not re.fullmatch(r"[0-9]{3,6}", text):
        raise _Wrong(
            f"'{quoted(given)}' is no emergency number", "write its figures, such as 112 or 911, in quotes"
        )
    return text


def _mark(given: object, folder: Path) -> object:
    """The mark's picture, out of its file where one is named."""
    if not isinstance(given, str) or "<" in given:
        return given
    name = given.strip()
    if not name.lower().endswith(_PICTURE):
        raise _Wrong(
            f"'{quoted(name)}' is no SVG picture, and a mark is printed from nothing else",
            "ask whoever drew the mark for its SVG file, or trace it in a drawing program",
        )
    hint = "put the picture beside this file, or write the SVG itself"
    try:
        return _picture(folder, name)
    except Refused as refused:
        missing = nearest_file(folder / name) if refused.missing else hint
        raise _Wrong(f"the file that is named {refused}", missing) from None
    except UnicodeDecodeError:
        raise _Wrong("the file that is named is no SVG picture", hint) from None


#: What is wrong with a mark, as whoever drew it would say it, and how a drawing program mends it.
_OF_MARKS = (
    ("<image>", "it holds a photograph or a scan", "trace it into shapes, or take it out, and save it as plain SVG"),
    ("<text>|font", "it holds letters in a font that is not here", "turn the letters into outlines and save it again"),
    ("<style>|a style|style property", "it keeps its colours in a style sheet",
     "save it with its colours at the shapes ('presentation attributes' in most programs)"),
    ("script|<animate|<set>", "it holds something that runs or moves", "save it as plain SVG: shapes alone"),
    ("outside|from outside|href", "it takes a part of itself from elsewhere", "save it as plain SVG, all parts inside"),
    ("well-formed|root element|UTF-8", "it is no whole SVG picture", "save it anew as plain SVG"),
    ("DOCTYPE|instruction|entit", "it holds instructions for other programs", "save it as plain SVG: shapes alone"),
    ("larger|more than|inside itself", "it is too large or has too many parts", "simplify it"),
)  # fmt: skip


class MarkFault(LeadsmanError):
    """A mark that could be printed and must not be: what is wrong with it, and what to change in the drawing."""

    def __init__(self, said: str, hint: str) -> None:
        super().__init__(said, hint)
        self.said, self.hint = said, hint

    def __str__(self) -> str:
        return f"{self.said}; {self.hint}"


def _of_mark(document: Document, why: LeadsmanError) -> Problem:
    """Why a mark cannot be printed, first in a dealer's words, then in the program's."""
    given = document.data.get("mark")
    which = "the mark" if not isinstance(given, str) or "<" in given else f"'{quoted(given.strip())}'"
    if isinstance(why, MarkFault):
        return document.problem(("mark",), f"{which} cannot be printed: {why.said}", why.hint)
    detail = re.sub(r"^picture [\w-]+: ", "", str(why))
    said, hint = next(
        ((said, hint) for pattern, said, hint in _OF_MARKS if re.search(pattern, detail)),
        ("it holds more than shapes", "save it as plain SVG: shapes alone, nothing that is loaded or run"),
    )
    return document.problem(("mark",), f"{which} cannot be printed: {said} ({detail})", hint)


def _picture(folder: Path, name: str) -> str:
    """The text of a picture beside the dealer's file; nowhere else, since the file may be a stranger's."""
    if Path(name).name != name or "\\" in name:
        raise Refused("lies in another folder")
    return read_regular(folder / name, MAX_BYTES).decode("utf-8")


def _in_its_texts(document: Document, catalogue: Catalogue) -> list[Problem]:
    """What the rules on the texts of one file say of it: signs without a glyph, words that no line holds."""
    load_rules()
    kept = {name: place for name, place in catalogue.origins.items() if name[0] in WORDS}
    alone = replace(catalogue, origins={**kept, ("dealer", "dealer"): (document, ())})
    context = Context(alone, document)
    return [problem for rule in RULES.values() if rule.scope == "file" for problem in rule.find(context)]
