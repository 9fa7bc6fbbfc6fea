"""New records to begin with: a fault entry, check or topic from a pattern, anything else after one that is there.

What comes out passes ``leadsman check`` as it is, so that each problem that it reports afterwards comes from an edit.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from leadsman.content.catalogue import Catalogue
from leadsman.content.kinds import FOLDERS
from leadsman.content.model.table import CARD_ROWS
from leadsman.content.source import Document, Location
from leadsman.errors import UsageError

#: What a writer asks for, and the folder of such records.
KINDS = {
    "fault": "faults", "check": "checks", "topic": "topics", "family": "families", "transducer": "transducers",
    "boat": "boats", "water": "waters", "table": "tables", "edition": "editions",
}  # fmt: skip
#: Kinds that are made from a pattern; the others are made after a record that is there.
PATTERNS = ("fault", "check", "topic")
_ID = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)*")
_LONGEST_ID = 60


def place_for(kind: str, new_id: str, catalogue: Catalogue, area: str = "") -> Path:
    """Where the file of a new record belongs; a bad or used id, or an unknown area, is a wrong use."""
    if not _ID.fullmatch(new_id) or len(new_id) > _LONGEST_ID:
        raise UsageError(
            f"'{new_id}' is no id; use small letters, digits and single hyphens, such as dead-unit"
        )
    folder = KINDS[kind]
    if (folder, new_id) in catalogue.origins:
        raise UsageError(f"'{new_id}' is there already: {catalogue.origins[folder, new_id][0].path}")
    if new_id in catalogue.records["retired"]:
        raise UsageError(f"'{new_id}' is retired and never returns; choose another id")
    if kind != "fault":
        return catalogue.folder / folder / f"{new_id}.yaml"
    if area not in catalogue.areas:
        raise UsageError(f"--area '{area}' is no area; {catalogue.near('areas', area)}")
    return catalogue.folder / folder / area / f"{new_id}.yaml"


def after(kind: str, like: str, new_id: str, title: str, catalogue: Catalogue) -> dict[Path, str]:
    """The files of a new record that is like another one, by path.

    A display family also stands in the entries, under what each display shows and says: there the lines of the other
    family are copied, so that the entries are complete and wait for the new family's own words.

    Parameters
    ----------
    kind
        One of ``KINDS`` but those of ``PATTERNS``.
    like
        The id of the record to begin with.
    new_id, title
        The new record's id, and its name or title.
    catalogue
        The content.
    """
    folder = KINDS[kind]
    if like not in catalogue.records[folder]:
        raise UsageError(f"--like '{like}' does not exist; {catalogue.near(folder, like)}")
    document, _ = catalogue.origins[folder, like]
    name = "name" if "name" in FOLDERS[folder].model_fields else "title"
    text = _with_values(document, {("id",): new_id, (name,): quoted(title)})
    if kind == "family":
        # A path of menus is one display's own.
        text = _with_own_menus(text, title)
    if kind == "transducer":
        # Two bands of one id would be one band in every table.
        for number, band in enumerate(catalogue.transducers[like].bands, 1):
            text = re.sub(rf"(?<![\w-]){re.escape(band.id)}(?![\w-])", f"{new_id}-{number}", text)
    files = {place_for(kind, new_id, catalogue): text}
    if kind == "transducer":
        files |= dict(_tables_without(like, catalogue))
    if kind == "family":
        files |= dict(_entries_with(like, new_id, catalogue))
    return files


def _tables_without(like: str, catalogue: Catalogue) -> Iterator[tuple[Path, str]]:
    """The tables of a card that a further transducer would make too long: they go on naming those that they had."""
    down = sum(band.looks == "down" for t in catalogue.transducers.values() for band in t.bands)
    rows = {
        "transducer": len(catalogue.transducers) + 1,
        "band": down + len(catalogue.transducers[like].bands),
    }
    for name, table in catalogue.tables.items():
        each = str(table.rows.each)
        if not table.card or table.rows.only or rows.get(each, 0) <= CARD_ROWS:
            continue
        path = catalogue.origins["tables", name][0].path
        text = path.read_text(encoding="utf-8")
        yield (
            path,
            text.replace(
                f"rows: {{each: {each},",
                f"rows: {{each: {each}, only: [{', '.join(catalogue.transducers)}],",
                1,
            ),
        )


def _entries_with(like: str, new_id: str, catalogue: Catalogue) -> Iterator[tuple[Path, str]]:
    for name in catalogue.faults:
        document, _ = catalogue.origins["faults", name]
        lines = document.path.read_text(encoding="utf-8").split("\n")
        places = [("condition", part, like) for part in ("looks_like", "messages")]
        found = sorted((document.keys[place] for place in places if place in document.keys), reverse=True)
        for line, column in found:
            _copy_key(lines, line - 1, column - 1, like, new_id)
        if found:
            yield document.path, "\n".join(lines)


def _copy_key(lines: list[str], line: int, column: int, like: str, new_id: str) -> None:
    """Let a mapping hold a second key with the same value: below it, or beside it in a mapping of one line."""
    before = lines[line][:column]
    if before.strip():
        rest = lines[line][column:]
        depth, end = 0, len(rest)
        for at, sign in enumerate(rest):
            depth += (sign in "[{") - (sign in "]}")
            if depth < 0 or (depth == 0 and sign == ","):
                end = at
                break
        value = rest[:end]
        lines[line] = f"{before}{value}, {new_id}{value.removeprefix(like)}{rest[end:]}"
        return
    end = line + 1
    while end < len(lines) and (
        not lines[end].strip() or len(lines[end]) - len(lines[end].lstrip()) > column
    ):
        end += 1
    copied = lines[line:end]
    lines[end:end] = [f"{before}{new_id}{copied[0][column + len(like) :]}", *copied[1:]]


def _with_values(document: Document, values: Mapping[Location, str]) -> str:
    """The text of a file with other plain values, each to the end of its line."""
    lines = document.path.read_text(encoding="utf-8").split("\n")
    for location, value in values.items():
        line, column = document.values[location]
        lines[line - 1] = lines[line - 1][: column - 1] + value
    return "\n".join(lines)


def _with_own_menus(text: str, name: str) -> str:
    head, mark, menus = text.partition("\nmenus:\n")
    block, rest = re.match(r"((?:  .*\n?)*)(.*)", menus, re.DOTALL).groups() if mark else ("", "")  # type: ignore[union-attr]
    return head + mark + re.sub(r"(?m)^(  [\w-]+: \[)", rf"\g<1>{quoted(name)}, ", block) + rest


def quoted(text: str) -> str:
    """A title as a YAML value that is text whatever it says."""
    return (
        text
        if re.fullmatch(r"[A-Za-z][\w /]*", text)
        and text.lower() not in ("y", "n", "yes", "no", "on", "off", "true", "false", "null")
        else "'" + text.replace("'", "''") + "'"
    )
