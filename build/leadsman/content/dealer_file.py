"""Read a dealer's own details from a file outside the content, held to the same rules as the content's dealer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from leadsman.content.catalogue import Catalogue, record_problems
from leadsman.content.judged import MAX_BYTES
from leadsman.content.model.equipment import Dealer
from leadsman.content.rules import RULES, Context, load_rules
from leadsman.content.rules.keeping import WORDS
from leadsman.content.source import Document, read
from leadsman.errors import LeadsmanError, Problem
from leadsman.files import Refused, read_regular

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
        Makes the mark safe; it raises a :class:`~leadsman.errors.LeadsmanError` that says why it does not.
    """
    document = read(path)
    problems = list(document.problems)
    if not problems and not isinstance(document.data, dict):
        problems.append(document.problem((), "is no dealer", "write lines such as 'name: Quay Workshop'"))
    if problems:
        return catalogue, problems
    data: dict[str, Any] = {"id": _ID, **document.data}
    try:
        if _names_a_file(data.get("mark")):
            data["mark"] = _picture(path.parent, data["mark"].strip())
    except (Refused, UnicodeDecodeError) as refused:
        why = str(refused) if isinstance(refused, Refused) else "is no SVG picture"
        hint = "put the picture beside this file, or write the SVG itself"
        return catalogue, [document.problem(("mark",), f"the file that is named {why}", hint)]
    try:
        dealer = Dealer.model_validate(data)
    except ValidationError as error:
        return catalogue, record_problems(document, (), Dealer, error)
    mine = replace(catalogue, records={**catalogue.records, "dealer": {"dealer": dealer}},
                   origins={**catalogue.origins, ("dealer", "dealer"): (document, ())})  # fmt: skip
    problems += _in_its_texts(document, mine)
    if dealer.mark is not None:
        try:
            draw(dealer)
        except LeadsmanError as error:
            hint = "save it as plain SVG: shapes alone, nothing that is loaded or run"
            problems.append(document.problem(("mark",), f"the mark cannot be printed: {error}", hint))
    return (catalogue, sorted(set(problems))) if problems else (mine, [])


def _names_a_file(mark: object) -> bool:
    return isinstance(mark, str) and "<" not in mark and mark.strip().lower().endswith(_PICTURE)


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
