"""What changed for a reader between two revisions of the content, and which passages and cards that touches."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from leadsman.book.number_changes import NumberChange, Side, table_changes, value_change
from leadsman.book.passages import (
    Passage,
    PrintedEntry,
    Words,
    caution_fields,
    hazard_fields,
    lead_id,
    print_entry,
)
from leadsman.content.catalogue import Catalogue
from leadsman.errors import LeadsmanError

#: What can change, in the order of the report.
KINDS = (
    "condition", "cause", "step", "answer", "finding", "hand-over", "caution", "hazard", "table", "number", "message", "menu",
)  # fmt: skip
ACTIONS = ("added", "removed", "renamed", "changed", "moved", "unreadable")


@dataclass(frozen=True)
class Change:
    """One change as a reader would notice it.

    ``entry`` is the entry it stands in, or nothing where it is shared; ``id`` is the printed passage.
    """

    kind: str
    action: str
    id: str
    name: str
    entry: str = ""
    part: str = ""
    old: str = ""
    new: str = ""
    why: tuple[str, ...] = ()


@dataclass(frozen=True)
class Changes:
    """All changes, and which passages of which entries of the new content they touch."""

    changes: tuple[Change, ...]
    touched: frozenset[str]
    entries: Mapping[str, PrintedEntry]
    """The conditions of the new revision that changed or are new, by id."""
    new: frozenset[str]
    withdrawn: Mapping[str, str]
    """The conditions that went: id and what their card was called."""
    notes: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.changes)


def changed_ids(changes: Changes) -> frozenset[str]:
    """The ids that changed, as the printed passages carry them.

    ``ENTRY`` (anything in it changed), ``ENTRY-lead`` (title, condition, causes), ``ENTRY-step-CHECK``,
    ``ENTRY-fix-FINDING``, ``ENTRY-end-HAND_OVER``, ``ENTRY-table`` (the table on its card), ``table-TABLE``, ``caution-CAUTION``, ``hazard-HAZARD``, ``value-VALUE``,
    ``check-CHECK`` (a shared check), ``menus-FAMILY``, ``menu-FAMILY-TASK``, ``message-FAMILY-MESSAGE``.
    """
    return changes.touched


def compare(old: Side, new: Side, units: str = "metric", notes: Iterable[str] = ()) -> Changes:
    """Everything that reads otherwise in ``new`` than in ``old``."""
    return _Comparison(old, new, units).run(tuple(notes))


@dataclass
class _Comparison:
    old: Side
    new: Side
    units: str
    found: list[Change] = field(default_factory=list)
    touched: set[str] = field(default_factory=set)

    def run(self, notes: tuple[str, ...]) -> Changes:
        self.words = tuple(Words(side.catalogue, self.units, side.evaluate) for side in (self.old, self.new))
        self._numbers()
        self._tables()
        self._cautions()
        self._equipment()
        self._shared_checks()
        before, after = (self._printed(side, words) for side, words in zip((self.old, self.new), self.words, strict=True))  # fmt: skip
        self._conditions(before, after)
        self._spread(after)
        order = {kind: number for number, kind in enumerate(KINDS)}
        codes = {name: (e.code[0], int(e.code[1:])) for name, e in (before | after).items()}
        last = ("~", 0)
        self.found.sort(key=lambda c: (c.entry == "", codes.get(c.entry, last), c.entry, order[c.kind]))
        went = {
            name: f"{e.code} {e.title}" for name, e in before.items() if name not in self.new.catalogue.faults
        }
        entries = {name: entry for name, entry in after.items() if name in self.touched}
        came = frozenset(name for name in after if name not in self.old.catalogue.faults)
        return Changes(tuple(self.found), frozenset(self.touched), entries, came, went, notes)

    def _add(self, kind: str, action: str, passage: str, name: str, **more: Any) -> None:
        self.found.append(Change(kind, action, passage, name, **more))
        self.touched.add(passage)
        if entry := more.get("entry"):
            # Causes stand in the opening of their entry.
            self.touched |= {entry, lead_id(entry)} if kind == "cause" else {entry}

    # --- what entries share ----------------------------------------------------------------------

    def _numbers(self) -> None:
        before, after = self.old.catalogue.values, self.new.catalogue.values
        for name, action in _came_and_went(before, after):
            words = self.words[action == "added"]
            shown = words.value(name)
            meaning = words.text(words.catalogue.values[name].meaning)
            old, new = ("", shown) if action == "added" else (shown, "")
            self._add("number", action, f"value-{name}", meaning, old=old, new=new)
        for name in (n for n in after if n in before):
            change = value_change(before[name], after[name], (self.old, self.new), self.units)
            if change is not None:
                self._add("number", "changed", f"value-{name}", change.place, old=change.old, new=change.new, why=change.why)  # fmt: skip

    def _tables(self) -> None:
        before, after = self.old.catalogue.tables, self.new.catalogue.tables
        for name, action in _came_and_went(before, after):
            record = (after if action == "added" else before)[name]
            self._add("table", action, f"table-{name}", str(record.title))
        for name in (n for n in after if n in before):
            one, other = before[name], after[name]
            fields = (_table_fields(t, w) for t, w in zip((one, other), self.words, strict=True))
            title = str(other.title)
            for part, was, now in _fields_changed(*fields):
                self._add("table", "renamed" if part == "title" else "changed", f"table-{name}", title, part=part, old=was, new=now)  # fmt: skip
            cells: list[NumberChange] = table_changes(one, other, (self.old, self.new), self.units)
            for cell in cells:
                self._add("table", "changed", f"table-{name}", title, part=cell.place, old=cell.old, new=cell.new, why=cell.why)  # fmt: skip

    def _cautions(self) -> None:
        self._named("caution", caution_fields, self.old.catalogue.cautions, self.new.catalogue.cautions)
        self._named("hazard", hazard_fields, self.old.catalogue.hazards, self.new.catalogue.hazards)

    def _named(
        self, kind: str, read: Callable[[Any, Words], dict[str, str]], before: Mapping[str, Any], after: Mapping[str, Any]
    ) -> None:  # fmt: skip
        """Records with a signal word that came, went, or say something else."""
        for name, action in _came_and_went(before, after):
            record = (after if action == "added" else before)[name]
            self._add(kind, action, f"{kind}-{name}", f"{record.signal} {name}")
        for name in (n for n in after if n in before):
            fields = (read(r[name], w) for r, w in zip((before, after), self.words, strict=True))
            for part, was, now in _fields_changed(*fields):
                self._add(kind, "changed", f"{kind}-{name}", f"{after[name].signal} {name}", part=part, old=was, new=now)  # fmt: skip

    def _equipment(self) -> None:
        families = {**self.old.catalogue.families, **self.new.catalogue.families}
        for kind, read in (("message", _messages), ("menu", _menus)):
            before, after = (read(side.catalogue) for side in (self.old, self.new))
            for key in dict.fromkeys([*before, *after]):
                was, now = before.get(key, ""), after.get(key, "")
                if was == now:
                    continue
                action = "added" if not was else "changed" if now else "removed"
                family, record = key
                name = f"{families[family].name}: {record}"
                self._add(kind, action, f"{kind}-{family}-{record}", name, old=was, new=now)
                if kind == "menu":
                    self.touched.add(f"menus-{family}")

    def _shared_checks(self) -> None:
        """Where a book prints a shared check once and in full, that passage carries the check's own id."""
        before, after = self.old.catalogue.checks, self.new.catalogue.checks
        self.touched |= {f"check-{name}" for name in after if before.get(name) != after[name]}

    # --- entries ---------------------------------------------------------------------------------

    def _printed(self, side: Side, words: Words) -> dict[str, PrintedEntry]:
        printed = {}
        for name, entry in side.catalogue.faults.items():
            try:
                printed[name] = print_entry(entry, words)
            except (LeadsmanError, KeyError) as error:
                self._add("condition", "unreadable", name, str(entry.title), entry=name, why=(f"cannot be set: {error}",))  # fmt: skip
        return printed

    def _conditions(self, before: Mapping[str, PrintedEntry], after: Mapping[str, PrintedEntry]) -> None:
        retired = self.new.catalogue.records["retired"]
        replaced = {r.replaced_by: name for name, r in retired.items() if r.replaced_by}
        renamed = after.keys() - before.keys()
        for name, action in _came_and_went(before, after):
            entry = (after if action == "added" else before)[name]
            label = f"{entry.code} {entry.title}"
            if name in (self.old if action == "added" else self.new).catalogue.faults:
                continue  # There, but not to be set: said already.
            former = before.get(replaced.get(name, ""))
            if action == "added" and former is not None:
                self._add("condition", "renamed", lead_id(name), label, entry=name, old=f"{former.code} {former.title}", new=label)  # fmt: skip
            elif action == "removed" and getattr(retired.get(name), "replaced_by", None) in renamed:
                continue  # Said where its successor stands.
            else:
                self._add("condition", action, lead_id(name), label, entry=name)
            if action == "added":
                self.touched.update(entry.passages)
        for name in (n for n in after if n in before):
            self._entry(before[name], after[name])

    def _entry(self, old: PrintedEntry, new: PrintedEntry) -> None:
        came = [new.passages[i] for i in new.passages if i not in old.passages]
        went = [old.passages[i] for i in old.passages if i not in new.passages]
        for passage in came:
            twin = next((p for p in went if p.kind == passage.kind and p.fields == passage.fields), None)
            if twin is not None:
                # Another id, the same words: a reader sees no difference.
                went.remove(twin)
            else:
                self._add(passage.kind, "added", passage.id, passage.name, entry=new.id)
        for passage in went:
            self._add(passage.kind, "removed", passage.id, passage.name, entry=new.id)
        for passage in (p for i, p in new.passages.items() if i in old.passages):
            self._passage(old.passages[passage.id], passage, new.id)
        self._order(old, new)
        if old.tables != new.tables:
            self._add("table", "changed", new.id, "tables of the entry", entry=new.id, old=", ".join(old.tables), new=", ".join(new.tables))  # fmt: skip

    def _passage(self, old: Passage, new: Passage, entry: str) -> None:
        for part, was, now in _fields_changed(old.fields, new.fields):
            kind, action, label = new.kind, "changed", part
            for prefix in ("answer", "caution", "hazard"):
                if part.startswith(f"{prefix} "):
                    kind, label = prefix, part.removeprefix(f"{prefix} ")
                    action = (
                        "added" if part not in old.fields else "changed" if part in new.fields else "removed"
                    )
            if new.kind == "condition" and part in ("code", "title"):
                action = "renamed"
            self._add(kind, action, new.id, new.name, entry=entry, part=label, old=was, new=now)

    def _order(self, old: PrintedEntry, new: PrintedEntry) -> None:
        for kind in ("step", "finding"):
            was, now = ([p.id for p in e.passages.values() if p.kind == kind] for e in (old, new))
            common = [[i for i in order if i in set(was) & set(now)] for order in (was, now)]
            for passage in _moved(*common):
                self._add(kind, "moved", passage, new.passages[passage].name, entry=new.id,
                          old=f"place {was.index(passage) + 1}", new=f"place {now.index(passage) + 1}")  # fmt: skip

    def _spread(self, after: Mapping[str, PrintedEntry]) -> None:
        """Mark the passages that print something shared which changed: a caution, a table, a menu path."""
        menus = {c.name.partition(": ")[2] for c in self.found if c.kind == "menu"}
        for entry in after.values():
            shared = {
                passage.id
                for passage in entry.passages.values()
                for part in passage.fields
                if part.startswith(("caution ", "hazard ")) and part.replace(" ", "-", 1) in self.touched
            }
            if any(f"table-{name}" in self.touched for name in entry.tables) or menus & set(entry.menu_tasks):
                shared.add(entry.id)
            if entry.card_table and f"table-{entry.card_table}" in self.touched:
                shared.add(f"{entry.id}-table")
            if shared:
                self.touched |= {*shared, entry.id}


def _came_and_went(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield from ((name, "removed") for name in before if name not in after)
    yield from ((name, "added") for name in after if name not in before)


def _fields_changed(old: Mapping[str, str], new: Mapping[str, str]) -> Iterator[tuple[str, str, str]]:
    for part in dict.fromkeys([*old, *new]):
        if old.get(part, "") != new.get(part, ""):
            yield part, old.get(part, ""), new.get(part, "")


def _moved(old: list[str], new: list[str]) -> list[str]:
    """The fewest items that must move to turn one order into the other: all but a longest common subsequence."""
    from difflib import SequenceMatcher

    blocks = SequenceMatcher(None, old, new, autojunk=False).get_matching_blocks()
    kept = {item for block in blocks for item in new[block.b : block.b + block.size]}
    return [item for item in new if item not in kept]


def _table_fields(table: Any, words: Words) -> dict[str, str]:
    return {
        "title": words.text(table.title),
        "question": words.text(table.question),
        "convention": words.text(table.convention),
        "notes": words.lines(table.notes),
    }


def _messages(catalogue: Catalogue) -> dict[tuple[str, str], str]:
    return {(f.id, name): str(m.text) for f in catalogue.families.values() for name, m in f.messages.items()}


def _menus(catalogue: Catalogue) -> dict[tuple[str, str], str]:
    return {
        (f.id, task): " > ".join(path) for f in catalogue.families.values() for task, path in f.menus.items()
    }


@dataclass(frozen=True)
class Replacement:
    """Which cards of a deck to print anew, to add, and to destroy, each as ``CODE title``."""

    replace: tuple[str, ...]
    add: tuple[str, ...]
    destroy: tuple[str, ...]

    def lines(self) -> list[str]:
        """The notice, a line for each kind; nothing when the deck stays as it is."""
        said = (("Replace these cards", self.replace), ("Add these cards", self.add), ("Destroy these cards", self.destroy))  # fmt: skip
        return [f"{what}: {'; '.join(cards)}." for what, cards in said if cards]


def cards_to_replace(changes: Changes, wanted: Callable[[str], bool] = lambda entry: True) -> Replacement:
    """The replacement notice for the entries of a deck (``wanted`` says which ids it holds).

    The index is replaced with any of them: it lists code, title and faces.
    """
    named = {name: f"{entry.code} {entry.title}" for name, entry in changes.entries.items() if wanted(name)}
    replace = [text for name, text in named.items() if name not in changes.new]
    add = [text for name, text in named.items() if name in changes.new]
    index = ["the sheet that opens the set"] if replace or add or changes.withdrawn else []
    return Replacement((*index, *replace), tuple(add), tuple(changes.withdrawn.values()))
