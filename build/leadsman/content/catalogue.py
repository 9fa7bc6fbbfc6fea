"""Read a whole content folder into one catalogue, collecting every problem of every file."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cache, cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from pydantic import BaseModel, ValidationError

from leadsman.content.judged import MAX_BYTES, Seen, listed
from leadsman.content.kinds import FOLDERS as FOLDERS
from leadsman.content.kinds import LISTS as LISTS
from leadsman.content.kinds import NOTES, OPTIONAL, SINGLES
from leadsman.content.kinds import PRINTED_CARDS as PRINTED_CARDS
from leadsman.content.kinds import PRINTED_NUMBERS as PRINTED_NUMBERS
from leadsman.content.memory import WORDS_ALONE as WORDS_ALONE
from leadsman.content.memory import Memory as Memory
from leadsman.content.memory import digest_of
from leadsman.content.model.base import Prose, Record
from leadsman.content.records import Records, WaitingRecords
from leadsman.content.source import Document, Location, parse, unread
from leadsman.errors import Problem, UsageError, quoted, shown_path, shown_paths
from leadsman.files import Refused, read_regular

if TYPE_CHECKING:
    from leadsman.content.model.edition import Edition
    from leadsman.content.model.equipment import Boat, Dealer, Family, Transducer, Water
    from leadsman.content.model.fault import FaultEntry, SharedCheck
    from leadsman.content.model.phrases import Phrases
    from leadsman.content.model.reference import Area, Caution, Hazard, Topic, UsWord, Value
    from leadsman.content.model.table import Table

#: A hint lists what is known up to this number.
_MOST_NAMED = 24

R = TypeVar("R", bound=Record)


@dataclass(repr=False)
class Catalogue:
    """All records of a content folder by kind and id, with the place of each."""

    folder: Path
    records: dict[str, dict[str, Any]] = field(default_factory=dict)
    origins: dict[tuple[str, str], tuple[Document, Location]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    unread: set[tuple[str, str]] = field(default_factory=set)
    """Records whose file is there and is no YAML: whatever names them is not wrong for that."""
    misplaced: list[tuple[Document, tuple[str, ...]]] = field(default_factory=list)
    """Entries that lie in another folder than their area's: file and place."""
    memory: Memory | None = field(default=None, repr=False)
    texts: dict[int, tuple[Any, list[tuple[Location, Prose]]]] = field(
        default_factory=dict, repr=False, compare=False
    )
    """The prose of records that was gathered; a copy with other records knows it too."""
    kept: dict[tuple[str, ...], Any] = field(default_factory=dict, init=False, repr=False, compare=False)
    """What was computed from these records; a copy with other records begins anew."""

    def __getstate__(self) -> dict[str, Any]:
        return {**self.__dict__, "kept": {}, "texts": {}}

    def __repr__(self) -> str:
        # Thousands of records, each in a page of others: a message that shows them all takes gigabytes.
        return f"<content of {self.folder}>"

    @property
    def faults(self) -> dict[str, FaultEntry]:
        return self.records["faults"]

    @property
    def checks(self) -> dict[str, SharedCheck]:
        return self.records["checks"]

    @property
    def families(self) -> dict[str, Family]:
        return self.records["families"]

    @property
    def transducers(self) -> dict[str, Transducer]:
        return self.records["transducers"]

    @property
    def waters(self) -> dict[str, Water]:
        return self.records["waters"]

    @property
    def boats(self) -> dict[str, Boat]:
        return self.records["boats"]

    @property
    def tables(self) -> dict[str, Table]:
        return self.records["tables"]

    @property
    def topics(self) -> dict[str, Topic]:
        return self.records["topics"]

    @property
    def editions(self) -> dict[str, Edition]:
        return self.records["editions"]

    @property
    def areas(self) -> dict[str, Area]:
        return self.records["areas"]

    @property
    def values(self) -> dict[str, Value]:
        return self.records["values"]

    @property
    def cautions(self) -> dict[str, Caution]:
        return self.records["cautions"]

    def phrases(self, language: str = "en") -> Phrases:
        """The words of the frame in a language; a rule reports an edition whose language has none."""
        found: Phrases = self.records["phrases"][language.partition("-")[0]]
        return found

    @property
    def hazards(self) -> dict[str, Hazard]:
        return self.records["hazards"]

    @property
    def us_words(self) -> dict[str, UsWord]:
        return self.records["us_words"]

    @property
    def dealer(self) -> Dealer:
        dealer: Dealer = self.records["dealer"]["dealer"]
        return dealer

    def table_in(self, name: str, units: str) -> str:
        """The table that stands for the named one in an edition of these units."""
        return (units != "metric" and self.tables[name].us) or name

    def problem(self, kind: str, record_id: str, location: Location, what: str, hint: str = "", *, key: bool = False,
                rule: str = "content", severity: str = "error", offset: int = 0) -> Problem:  # fmt: skip
        """A problem at a place inside one record."""
        document, base = self.origins[kind, record_id]
        return document.problem(
            (*base, *location), what, hint, key=key, rule=rule, severity=severity, offset=offset
        )

    def entry(self, named: str) -> FaultEntry:
        """The fault entry of an id or of a printed code; a wrong name is a wrong use that names the nearest."""
        if named in self.faults:
            return self.faults[named]
        found = next((entry for entry in self.faults.values() if entry.code == named.upper()), None)
        if found is None:
            raise UsageError(
                f"'{named}' is no fault entry; {self.near('faults', named)}; `leadsman list` has them all"
            )
        return found

    def knows(self, kind: str, name: str) -> bool:
        """Whether a record is there, be it one that cannot be read: its own problems are told."""
        return (
            name in self.records.get(kind, {})
            or (kind, name) in self.origins
            or bool({(kind, name), (kind, kind)} & self.unread)
        )

    def near(self, kind: str, wrong: str) -> str:
        """A hint that names the closest existing id of a kind, or what took the place of a retired one."""
        if wrong in self.records["retired"]:
            instead = self.records["retired"][wrong].replaced_by
            return f"it is retired; take '{instead}'" if instead else "it is retired and nothing replaces it"
        known = self.records.get(kind, {})
        close = get_close_matches(wrong, known, 1, 0.5)
        if close:
            return f"did you mean '{close[0]}'?"
        if len(known) > _MOST_NAMED:
            return f"{len(known)} are known, none like it"
        return f"known: {', '.join(sorted(known)) or 'none yet'}"

    def prose(self) -> tuple[tuple[str, str, Location, Prose], ...]:
        """Every piece of prose in every record: kind, id, place, text."""
        return self._prose

    @cached_property
    def _prose(self) -> tuple[tuple[str, str, Location, Prose], ...]:
        return tuple(
            (kind, record_id, location, text)
            for kind, records in self.records.items()
            for record_id, record in records.items()
            for location, text in self.prose_in(record)
        )

    def prose_in(self, record: Any) -> list[tuple[Location, Prose]]:
        """Every piece of prose inside one record, with its place; gathered once, since many rules ask."""
        # The record is kept beside its prose, so that no other can get its number.
        if (known := self.texts.get(id(record))) is None:
            known = self.texts[id(record)] = (record, prose_of(record))
        return known[1]


def prose_of(record: Any, location: Location = ()) -> list[tuple[Location, Prose]]:
    """Every piece of prose inside a record, with its place."""
    found: list[tuple[Location, Prose]] = []
    _gather(record, location, found)
    return found


def _gather(record: Any, location: Location, found: list[tuple[Location, Prose]]) -> None:
    if isinstance(record, Prose):
        found.append((location, record))
        return
    parts: Iterable[tuple[str | int, Any]]
    if isinstance(record, BaseModel):
        parts = ((alias, getattr(record, name)) for name, alias in _fields(type(record)))
    elif isinstance(record, Mapping):
        parts = record.items()
    elif isinstance(record, list | tuple):
        parts = enumerate(record)
    else:
        return
    for part, value in parts:
        kind = type(value)
        if kind in _PLAIN or (not value and kind in _MANY):
            continue
        if isinstance(value, Prose):
            found.append(((*location, part), value))
        else:
            _gather(value, (*location, part), found)


#: What holds no prose: asked first, since most of a record is of it.
_PLAIN = frozenset({str, int, float, bool, type(None)})
#: What holds none where it is empty.
_MANY = frozenset({list, dict, tuple})


@cache
def _fields(model: type[BaseModel]) -> tuple[tuple[str, str], ...]:
    """Each field of a record, with the key that a writer gives it."""
    return tuple((name, info.alias or name) for name, info in model.model_fields.items())


def load(folder: Path, memory: Memory | None = None, files: Iterable[Seen] | None = None) -> Catalogue:
    """Read every file of the folder; what is wrong stands in ``problems``, the good records in ``records``.

    Only regular files are read, and no link is followed: what else lies in the folder is a problem. With the
    ``memory`` of an earlier reading only what has changed is parsed; the other records are the same objects. Of
    ``files`` that were opened already the bytes count that they had then.
    """
    if not folder.is_dir():
        raise UsageError(f"{folder} is no folder of content; name one with --content DIR")
    catalogue = _empty(folder, waits=memory is not None and memory.waits)
    catalogue.memory = memory
    shown = shown_paths()
    for file in listed(folder) if files is None else files:
        if file.why:
            hint = "put the file itself into the folder" if file.path != folder else "split the content"
            catalogue.problems.append(Problem(shown_path(file.path), 1, 1, file.why, hint))
        elif (parts := _begin(catalogue, file.path)) is not None:
            _open(catalogue, parts, file, shown(file.path))
    # It serves the reading alone: what has a catalogue need not carry it along.
    catalogue.memory = None
    _place_entries(catalogue)
    _require(catalogue, {path.name for path in folder.iterdir()})
    if memory is not None:
        memory.hand_on(catalogue)
    return catalogue


def load_files(folder: Path, files: Mapping[str, bytes]) -> Catalogue:
    """The same from files in memory, by their path below ``folder``, where messages say that they lie."""
    catalogue = _empty(folder)
    for name in sorted(files):
        if (parts := _begin(catalogue, folder / name)) is not None:
            _take(catalogue, parts, parse(files[name], folder / name))
    _place_entries(catalogue)
    _require(catalogue, {name.partition("/")[0] for name in files})
    return catalogue


def _empty(folder: Path, *, waits: bool = False) -> Catalogue:
    kind_of_records = WaitingRecords if waits else Records
    return Catalogue(folder, {kind: kind_of_records(kind) for kind in (*FOLDERS, *LISTS, *SINGLES)})


def _open(catalogue: Catalogue, parts: tuple[str, ...], file: Seen, shown: str) -> None:
    """Take a file, from the memory where there is one."""
    raw, memory = file.raw, catalogue.memory
    if raw is None:
        try:
            raw = read_regular(file.path, MAX_BYTES)
        except Refused as refused:
            raw = refused
    if isinstance(raw, Refused):
        _take(catalogue, parts, unread(file.path, raw))
    elif memory is None:
        _take(catalogue, parts, parse(raw, file.path))
    else:
        key = file.digest if raw is file.raw else digest_of(raw)
        if (good := memory.found_good(parts, file.path, raw, key)) is not None:
            good[0].shown = shown
            _await(catalogue, parts, *good)
        else:
            document = memory.read(file.path, raw, key)
            document.shown = shown
            wrong, ids = len(catalogue.problems) + len(catalogue.misplaced), _take(catalogue, parts, document)
            if len(catalogue.problems) + len(catalogue.misplaced) == wrong:
                memory.note_good(parts, document, ids)


def _place_entries(catalogue: Catalogue) -> None:
    """Tell of entries outside their area's folder: a misspelt folder once, a misspelt area not here."""
    folders = set()
    for document, parts in catalogue.misplaced:
        area = document.data["area"]
        if catalogue.areas and area not in catalogue.areas:
            # The rule on links says so and names the nearest.
            continue
        lies_in = "/".join(parts[:-1])
        if len(parts) == 3 and parts[1] not in catalogue.areas:
            if parts[1] in folders:
                continue
            folders.add(parts[1])
            hint = f"rename the folder; {catalogue.near('areas', parts[1])}"
        else:
            hint = (
                f"move it to faults/{area}/, or write 'area: {parts[1]}'"
                if len(parts) == 3
                else f"move it to faults/{area}/"
            )
        catalogue.problems.append(document.problem(("area",), f"the entry lies in {lies_in}", hint))


def _require(catalogue: Catalogue, there: set[str]) -> None:
    for name in (f"{name}.yaml" for name in (*LISTS, *SINGLES)):
        path = catalogue.folder / name
        if name not in there and path.stem not in OPTIONAL:
            catalogue.problems.append(Problem(shown_path(path), 1, 1, "is missing", "add the file"))
        elif name in there and path.is_dir() and not path.is_symlink():
            catalogue.problems.append(
                Problem(shown_path(path), 1, 1, "is a folder", "put a file in its place")
            )


def _begin(catalogue: Catalogue, path: Path) -> tuple[str, ...] | None:
    """The place of a file in the folder; None when it is for people or does not belong there."""
    parts = path.relative_to(catalogue.folder).parts
    if len(parts) == 1 and (path.name in NOTES or path.name in (PRINTED_NUMBERS, PRINTED_CARDS)):
        return None
    top, stem = parts[0], path.stem
    in_folder = len(parts) > 1 and top in FOLDERS and len(parts) <= (3 if top == "faults" else 2)
    at_top = len(parts) == 1 and (stem in LISTS or stem in SINGLES)
    if path.suffix == ".yaml" and (in_folder or at_top):
        return parts
    hint = "rename it to .yaml" if path.suffix == ".yml" else "move it out of the content folder"
    catalogue.problems.append(Problem(shown_path(path), 1, 1, "does not belong in the content", hint))
    return None


def _await(catalogue: Catalogue, parts: tuple[str, ...], document: Document, ids: Sequence[str]) -> None:
    """Take the records of a file that is known to be good, without looking at them."""
    kind = parts[0] if len(parts) > 1 else document.path.stem
    model_by_kind = FOLDERS if len(parts) > 1 else LISTS if kind in LISTS else SINGLES
    records = catalogue.records[kind]
    assert isinstance(records, WaitingRecords)
    for record_id in ids:
        base: Location = (record_id,) if model_by_kind is LISTS else ()
        catalogue.origins[kind, record_id] = (document, base)
        if record_id in records:
            catalogue.problems.append(_twice(document, base, record_id))
        records.wait(record_id, partial(_read, kind, document, base))


def _read(kind: str, document: Document, base: Location) -> Record:
    data = document.data
    for part in base:
        data = data[part]
    return model_of(kind, data).model_validate(data)


def _take(catalogue: Catalogue, parts: tuple[str, ...], document: Document) -> list[str]:
    """Take the records of a file; the ids of all that stand in it."""
    top, stem, in_folder = parts[0], document.path.stem, len(parts) > 1
    catalogue.problems += document.problems
    if document.problems and document.data is None:
        catalogue.unread.add((top if in_folder else stem, stem))
        return []
    if in_folder:
        record_id = document.data.get("id") if isinstance(document.data, dict) else None
        if record_id is not None and record_id != stem:
            catalogue.problems.append(document.problem(("id",), f"'{quoted(record_id)}' is not the file's name",
                                                       f"write 'id: {quoted(stem)}' or rename the file"))  # fmt: skip
        _add(catalogue, top, stem, document, document.data, ())
        fault = catalogue.faults.get(stem) if top == "faults" else None
        if fault is not None and (len(parts) != 3 or fault.area != parts[1]):
            catalogue.misplaced.append((document, parts))
    elif stem in SINGLES:
        _add(catalogue, stem, stem, document, document.data, ())
    elif not isinstance(document.data, dict):
        catalogue.problems.append(
            document.problem((), "must be a mapping of id to record", "write 'id:' and indent")
        )
        return []
    else:
        for record_id, data in document.data.items():
            if not _ID.fullmatch(record_id) or len(record_id) > _LONGEST_ID:
                catalogue.problems.append(
                    document.problem(
                        (record_id,),
                        f"'{quoted(record_id)}' has the wrong form",
                        _FORMS["^[a-z][a-"],
                        key=True,
                    )
                )
                continue
            _add(catalogue, stem, record_id, document, data, (record_id,))
        return list(document.data)
    return [stem]


def _add(
    catalogue: Catalogue, kind: str, record_id: str, document: Document, data: Any, base: Location
) -> None:
    catalogue.origins[kind, record_id] = (document, base)
    model = model_of(kind, data)
    key = (id(document), kind, record_id)
    known = catalogue.memory.records if catalogue.memory is not None else {}
    record: Record | ValidationError
    if key in known:
        record = known[key][1]
    else:
        try:
            record = model.model_validate(data)
        except ValidationError as error:
            record = error
        known[key] = document, record
    if isinstance(record, ValidationError):
        catalogue.problems += record_problems(document, base, model, record)
        return
    if record_id in catalogue.records[kind]:
        catalogue.problems.append(_twice(document, base, record_id))
    # Under the file's name everywhere, so that one wrong id stays one problem.
    astray = kind in FOLDERS and getattr(record, "id", record_id) != record_id
    catalogue.records[kind][record_id] = record.model_copy(update={"id": record_id}) if astray else record


def _twice(document: Document, base: Location, record_id: str) -> Problem:
    return document.problem(base, f"the id '{record_id}' stands twice", "ids are unique")


def record_problems(
    document: Document, base: Location, model: type[Record], error: ValidationError
) -> list[Problem]:
    """What a record's model has against a file's data, each at its place, with what to do."""
    return [_problem(document, base, model, item) for item in _roots(error.errors(), model)]


def model_of(kind: str, data: Any) -> type[Record]:
    """The record that some data is read as: of an edition the one of its ``kind``, which alone says what it may hold."""
    if kind == "editions" and isinstance(data, dict) and isinstance(said := data.get("kind"), str):
        from leadsman.content.model.edition import KINDS

        return KINDS.get(said, FOLDERS[kind])
    return next(models[kind] for models in (FOLDERS, LISTS, SINGLES) if kind in models)


def _roots(items: list[Any], model: type[Record]) -> list[Any]:
    """Without a missing key whose misspelling is told beside it."""
    if model is FOLDERS["editions"]:
        # Of what kind it is must be known before its other keys can be judged.
        items = [item for item in items if item["type"] != "extra_forbidden"]
    strange = [item["loc"] for item in items if item["type"] == "extra_forbidden"]
    near = {
        (*loc[:-1], *get_close_matches(str(loc[-1]), _names_at(model, loc[:-1]), 1, 0.5)) for loc in strange
    }
    return [item for item in items if not (item["type"] == "missing" and item["loc"] in near)]


_WANTED = {
    "string_type": "text", "int_type": "a whole number", "float_type": "a number", "bool_type": "true or false",
    "list_type": "a list (lines that begin with '- ')", "dict_type": "a mapping (lines 'name: value')",
    "model_type": "a mapping (lines 'name: value')", "model_attributes_type": "a mapping (lines 'name: value')",
}  # fmt: skip


def _problem(document: Document, base: Location, model: type[Record], item: Any) -> Problem:
    location = tuple(part for part in item["loc"] if part != "[key]")
    kind, context = item["type"], item.get("ctx", {})
    place = (*base, *location)
    if kind == "extra_forbidden":
        names = _names_at(model, location[:-1])
        close = get_close_matches(str(location[-1]), names, 1, 0.5)
        hint = f"did you mean '{close[0]}'?" if close else f"known: {', '.join(names)}"
        if len(location) == 1 and (others := _editions_with(model, str(location[0]))):
            hint = f"it belongs to an edition of the kind {' or '.join(others)}"
        return document.problem(place, "is an unknown key", hint, key=True)
    if kind == "missing":
        return document.problem(place, "is missing", "add it", key=True)
    shown = _shown(item["input"])
    if kind in _WANTED:
        what = "nothing stands here" if item["input"] is None else f"{shown} is not {_WANTED[kind]}"
        hint = (
            "put it in quotes"
            if kind == "string_type" and item["input"] is not None
            else f"write {_WANTED[kind]}"
        )
        if location[-1:] == ("declared",) and isinstance(item["input"], int | float):
            hint = f"write it with its unit, in quotes: '{item['input']} V', say"
        return document.problem(place, what, hint)
    if kind == "literal_error":
        return document.problem(place, f"{shown} is not allowed", f"use {context['expected']}")
    if kind == "string_pattern_mismatch":
        return document.problem(
            place,
            f"{shown} has the wrong form",
            "put straight quotes in place of the curly ones"
            if set(str(item["input"])) & set("“”‘’„")
            else _FORMS.get(context["pattern"][:9], f"it must match {context['pattern']}"),
        )
    if kind == "value_error":
        return document.problem(place, str(context["error"]), "")
    return document.problem(place, f"{shown}: {item['msg'][0].lower()}{item['msg'][1:]}", "")


def _editions_with(model: type[Record], key: str) -> Sequence[str]:
    """The kinds of edition that have a key, where the model is that of an edition."""
    from leadsman.content.model.edition import Edition, kinds_with

    return kinds_with(key) if issubclass(model, Edition) else ()


def _shown(given: Any) -> str:
    if isinstance(given, str):
        return repr(quoted(given))
    return quoted(given) if isinstance(given, int | float) else "this"


#: The form of an id, wherever one is written.
_ID, _LONGEST_ID = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)*"), 60
_FORMS = {
    "^[a-z][a-": "use small letters, digits and single hyphens, such as dead-unit",
    "^[0-9]{4}": "write the date as '2026-11-25'",
}


def _names_at(model: type[BaseModel], location: Location) -> list[str]:
    """The keys that the model allows at a place (best effort: unknown places give none)."""
    current: Any = model
    for part in location:
        if isinstance(part, int):
            continue
        if not (isinstance(current, type) and issubclass(current, BaseModel)):
            continue
        info = next((i for n, i in current.model_fields.items() if part in (n, i.alias)), None)
        current = _model_in(info.annotation) if info else current
    if isinstance(current, type) and issubclass(current, BaseModel):
        return [info.alias or name for name, info in current.model_fields.items()]
    return []


def _model_in(annotation: Any) -> Any:
    if isinstance(annotation, type):
        return annotation
    for argument in getattr(annotation, "__args__", ()):
        found = _model_in(argument)
        if isinstance(found, type) and issubclass(found, BaseModel):
            return found
    return annotation
