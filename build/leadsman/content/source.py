"""Read strict YAML: plain data together with the line and column of every key and value.

Refused, each with its place and a hint: duplicate keys, anchors and aliases, tags, merge keys, several
documents, control characters, and every plain word that one YAML version reads as text and another as
something else (``no``, ``012``, ``12:30``, ``2026-11-25``, ``1e3``, ``0x1F``, ``1_000``).
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

import yaml

from leadsman.content.judged import MAX_BYTES as MAX_BYTES
from leadsman.errors import Problem, quoted, shown_path
from leadsman.files import Refused, read_regular
from leadsman.letters import forbidden
from leadsman.store import Store, digest, program_digest

Location = tuple[str | int, ...]

MAX_DEPTH = 30
MAX_NODES = 50_000

_NULL = frozenset({"null", "~", ""})
_INTEGER = re.compile(r"[-+]?(?:0|[1-9][0-9]*)\Z")
_FLOAT = re.compile(r"[-+]?(?:0|[1-9][0-9]*)\.[0-9]+\Z")
#: Plain words that YAML 1.1 and 1.2 read differently.
_AMBIGUOUS_WORDS = frozenset(
    [
        "y",
        "n",
        "yes",
        "no",
        "on",
        "off",
        "True",
        "False",
        "TRUE",
        "FALSE",
        "Yes",
        "No",
        "On",
        "Off",
        "YES",
        "NO",
        "ON",
        "OFF",
        "Null",
        "NULL",
    ]
)
#: With what a number may begin, and the words of the next list.
_OPENS_NUMBER = frozenset("+-.0123456789")
#: The same of what looks like a number, with what to write instead.
_AMBIGUOUS = (
    (re.compile(r"[-+]?0[0-9_]+\Z"), "put it in quotes if it is text, else drop the leading zero"),
    (re.compile(r"[-+]?[0-9][0-9_]*(?::[0-5]?[0-9])+(?:\.[0-9]*)?\Z"), "put it in quotes"),
    (re.compile(r"[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}.*\Z"), "put the date in quotes"),
    (re.compile(r"[-+]?(?:[0-9][0-9_]*\.?[0-9_]*|\.[0-9]+)[eE][-+]?[0-9]+\Z"), "write the number out"),
    (re.compile(r"[-+]?0[xob][0-9A-Fa-f_]+\Z"), "write a decimal number"),
    (re.compile(r"[-+]?[0-9]+_[0-9_]+\Z"), "write the number without underscores"),
    (re.compile(r"[-+]?\.(?:inf|Inf|INF)\Z|\.(?:nan|NaN|NAN)\Z"), "write a number"),
    (re.compile(r"[-+]?\.[0-9]+\Z|[-+]?[0-9]+\.\Z"), "write digits on both sides of the point"),
)  # fmt: skip
#: A number of the content has few digits; thousands of them are an attack on whoever reads it.
_MOST_DIGITS = 20
#: So many forbidden signs of one file are told one by one.
_MOST_SIGNS = 20

#: The lines that git leaves where two sides changed the same text.
_MERGE_MARK = re.compile(r"(?:<{7}|={7}|>{7}|\|{7})(?: |\Z)")

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass
class Document:
    """One file's data, the place of each part of it, and what is wrong with it as YAML."""

    path: Path
    data: Any = None
    text: str = field(default="", repr=False)
    keys: dict[Location, tuple[int, int]] = field(default_factory=dict)
    values: dict[Location, tuple[int, int]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    @cached_property
    def shown(self) -> str:
        """The path as a writer would type it."""
        return shown_path(self.path)

    @cached_property
    def digest(self) -> str:
        """Digest of its text."""
        return hashlib.sha256(self.text.encode()).hexdigest()

    def place(self, location: Location, *, key: bool = False) -> tuple[int, int]:
        """Line and column of the value at ``location`` (of its key when asked), or of the nearest parent."""
        while location:
            for table in (self.keys, self.values) if key else (self.values, self.keys):
                if location in table:
                    return table[location]
            location = location[:-1]
        return self.values.get((), (1, 1))

    def problem(self, location: Location, what: str, hint: str = "", *, key: bool = False, rule: str = "content",
                severity: str = "error", offset: int = 0) -> Problem:  # fmt: skip
        """A problem at that place of this file."""
        line, column = self.place(location, key=key)
        return Problem(
            self.shown,
            line,
            column + offset,
            what,
            hint,
            field_name(by_ids(self.data, location)),
            rule,
            severity,
        )


def by_ids(data: object, location: Location) -> Location:
    """A place with the ids that the writer gave in place of the numbers in lists.

    Examples
    --------
    >>> by_ids({"checks": [{"id": "fuse", "outcomes": {}}]}, ("checks", 0, "outcomes"))
    ('checks', 'fuse', 'outcomes')
    """
    named: list[str | int] = []
    for part in location:
        try:
            data = data[part]  # type: ignore[index]
        except (KeyError, IndexError, TypeError):
            data = None
        given = data.get("id") if isinstance(part, int) and isinstance(data, dict) else None
        named.append(given if isinstance(given, str) else part)
    return tuple(named)


def field_name(location: Location) -> str:
    """A location as a writer reads it: ``checks[1].outcomes.yes``."""
    text = ""
    for part in location:
        name = part if isinstance(part, int) else quoted(part)
        text += f"[{name}]" if isinstance(part, int) else f".{name}" if text else str(name)
    return text


def read(path: Path) -> Document:
    """Read one file; problems are collected in the document, never raised."""
    try:
        raw = read_regular(path, MAX_BYTES)
    except Refused as refused:
        return unread(path, refused)
    return parse(raw, path)


def unread(path: Path, refused: Refused) -> Document:
    """A file that was refused, which is all that there is to tell of it."""
    document = Document(path)
    document.problems.append(Problem(shown_path(path), 1, 1, str(refused), "put a small regular file there"))
    return document


def parse(raw: bytes, path: Path) -> Document:
    """Parse bytes as strict YAML under the name of ``path``."""
    document = Document(path)

    def complain(line: int, column: int, what: str, hint: str = "") -> None:
        document.problems.append(Problem(shown_path(path), line, column, what, hint, rule="yaml"))

    if len(raw) > MAX_BYTES:
        complain(1, 1, f"the file is larger than {MAX_BYTES // 1000} kB", "split it")
        return document
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        complain(raw[: error.start].count(b"\n") + 1, 1, "is not UTF-8 text", "save the file as UTF-8")
        return document
    document.text = text
    if text.startswith("\ufeff"):
        complain(1, 1, "begins with a byte-order mark", "save the file as UTF-8 without it")
        return document
    for number, line in enumerate(text.split("\n"), 1):
        if _MERGE_MARK.match(line):
            complain(number, 1, "holds a mark of an unsettled merge", "settle the merge and remove its marks")
            return document
    for count, (at, what, hint) in enumerate(forbidden(text)):
        if count == _MOST_SIGNS:
            complain(1, 1, f"holds more than {_MOST_SIGNS} signs that no text may hold", "is it a text file?")
            break
        complain(*place_in(text, at), what, hint)
    if document.problems:
        return document
    try:
        _Builder(document, complain).build(yaml.parse(text, Loader=_Loader))
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        complain(mark.line + 1 if mark else 1, mark.column + 1 if mark else 1,
                 f"is not valid YAML: {quoted(error.problem or error.context)}", _syntax_hint(text, error))  # fmt: skip
    except _Stop:
        pass
    except RecursionError:
        complain(1, 1, f"is nested more than {MAX_DEPTH} levels deep", "flatten it")
    return document


class _Recalled(Document):
    """A file whose data were kept: the places in it are found when somebody asks for them."""

    def __init__(self, path: Path, data: Any, text: str) -> None:
        self.path, self.data, self.text, self.problems = path, data, text, []

    def __getattr__(self, name: str) -> Any:
        if name not in ("keys", "values"):
            raise AttributeError(name)
        read_again = parse(self.text.encode(), self.path)
        self.keys, self.values = read_again.keys, read_again.values
        return self.__dict__[name]


class _Unopened(_Recalled):
    """A file without a problem of which nobody has asked anything yet: neither its text nor its data were looked at."""

    def __init__(self, path: Path, raw: bytes, store: Store, key: str) -> None:
        self.path, self.problems = path, []
        self._raw, self._store, self._key = raw, store, key

    @cached_property
    def text(self) -> str:  # type: ignore[override]
        return self._raw.decode()

    @cached_property
    def data(self) -> Any:
        return recalled(self._raw, self.path, self._store, self._key).data


def recalled(raw: bytes, path: Path, store: Store, key: str = "") -> Document:
    """The same as :func:`parse`, with the data from the store where the same bytes were read without a problem.

    ``key`` is the digest of the bytes, for whoever has it.
    """
    key = key or hashlib.sha256(raw).hexdigest()
    read_as = digest(program_digest(), "document", key)
    data = store.get_data("read", read_as)
    if data is not None:
        return _Recalled(path, data, raw.decode())
    document = parse(raw, path)
    if not document.problems:
        store.put_data("read", read_as, document.data)
    return document


def unopened(raw: bytes, path: Path, store: Store, key: str) -> Document:
    """The same for bytes (of the digest ``key``) that are known to hold no problem: read when somebody asks for them."""
    found = _Unopened(path, raw, store, key)
    found.digest = key
    return found


def place_in(text: str, at: int) -> tuple[int, int]:
    """Line and column of a letter of a text."""
    before = text[:at]
    return before.count("\n") + 1, at - before.rfind("\n")


def _syntax_hint(text: str, error: yaml.MarkedYAMLError) -> str:
    mark = error.problem_mark
    line = text.splitlines()[mark.line] if mark and mark.line < len(text.splitlines()) else ""
    if "\t" in line[: len(line) - len(line.lstrip())]:
        return "indent with spaces, not tabs"
    if ": " in line.partition(":")[2]:
        return "put text that holds a colon and a space in quotes"
    if re.search(r":\s+[{@`%&*!|>]", line):
        return "put text that begins with a special character such as { in quotes"
    return "check the indentation and the quotes of this line and the one before"


def _mark(event: Any) -> tuple[int, int]:
    return event.start_mark.line + 1, event.start_mark.column + 1


class _Stop(Exception):
    """The file cannot be read further."""


class _Builder:
    """Plain data from YAML events, noting the place of each part."""

    def __init__(self, document: Document, complain: Any) -> None:
        self.document, self.complain = document, complain
        self.nodes = 0

    def build(self, events: Iterator[Any]) -> None:
        """Fill the document from the event stream."""
        documents = 0
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self._complain(
                        event, "holds a second document", "one file, one record: remove the --- line"
                    )
                    raise _Stop
            elif isinstance(event, yaml.NodeEvent):
                self.document.data = self._node(event, events, ())
        if documents == 0:
            self.complain(1, 1, "is empty", "write the record, or delete the file")

    def _complain(self, event: Any, what: str, hint: str = "") -> None:
        self.complain(*_mark(event), what, hint)

    def _node(self, event: Any, events: Iterator[Any], location: Location) -> Any:
        self.nodes += 1
        self.document.values.setdefault(location, _mark(event))
        is_scalar = isinstance(event, yaml.ScalarEvent)
        if isinstance(event, yaml.AliasEvent) or event.anchor:
            self._complain(
                event, "uses an anchor or alias (& or *)", "write the value out, or put the text in quotes"
            )
            if isinstance(event, yaml.AliasEvent):
                return None
        elif event.tag and not (is_scalar and event.tag == "!"):
            self._complain(event, f"uses the tag {quoted(event.tag)}", "remove it, or put the text in quotes")
        if len(location) > MAX_DEPTH or self.nodes > MAX_NODES:
            self._complain(event, "is nested too deep or too large", "split or flatten it")
            raise _Stop
        if is_scalar:
            return self._scalar(event)
        if isinstance(event, yaml.SequenceStartEvent):
            items: list[Any] = []
            while not isinstance(child := next(events), yaml.SequenceEndEvent):
                items.append(self._node(child, events, (*location, len(items))))
            return items
        return self._mapping(events, location)

    def _mapping(self, events: Iterator[Any], location: Location) -> dict[str, Any]:
        mapping: dict[str, Any] = {}
        while not isinstance(key := next(events), yaml.MappingEndEvent):
            if not isinstance(key, yaml.ScalarEvent):
                self._complain(key, "has a key that is not plain text", "write a word as the key")
                raise _Stop
            name = key.value
            self._signs(key, name)
            if name == "<<":
                self._complain(key, "uses a merge key (<<)", "write the values out")
            if name in mapping:
                first = self.document.keys[(*location, name)][0]
                self._complain(
                    key, f"the key '{quoted(name)}' stands twice (first in line {first})", "keep one of them"
                )
                self._node(next(events), events, (*location, f"{name} (again)"))
                continue
            self.document.keys[(*location, name)] = _mark(key)
            mapping[name] = self._node(next(events), events, (*location, name))
        return mapping

    def _signs(self, event: Any, text: str) -> None:
        """What an escape in quotes brings in; what stands in the file itself was found before."""
        if text.isascii() and text.isprintable():
            return
        for _, what, hint in forbidden(text):
            self._complain(event, what, hint)
            break

    def _scalar(self, event: Any) -> Any:
        text: str = event.value
        if event.style or event.tag == "!":  # quoted or block text; the C parser gives '' for plain
            self._signs(event, text)
            return text
        if text in _NULL:
            return None
        if text in ("true", "false"):
            return text == "true"
        if text[0] not in _OPENS_NUMBER:
            if text in _AMBIGUOUS_WORDS:
                self._complain(
                    event,
                    f"'{quoted(text)}' can be read in two ways",
                    "put it in quotes if it is text, else write true or false",
                )
            return text
        if _INTEGER.match(text) or _FLOAT.match(text):
            if len(text) > _MOST_DIGITS:
                self._complain(
                    event, f"has more than {_MOST_DIGITS} digits", "write a number that somebody measured"
                )
                return 0
            return float(text) if "." in text else int(text)
        for pattern, hint in _AMBIGUOUS:
            if pattern.match(text):
                self._complain(event, f"'{quoted(text)}' can be read in two ways", hint)
                break
        return text
