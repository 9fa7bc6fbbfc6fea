"""Set a deck of conditions as a PDF of faces: measure the blocks, plan the sheets, print each face on its page."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from leadsman.book.chosen import chosen_entries
from leadsman.book.computed import compute_table
from leadsman.book.pins import pin_tables
from leadsman.book.rungs import (
    GRAVE,
    End,
    HeadLine,
    Ladder,
    Rung,
    head_lines,
    ladder_of,
    spoken,
)
from leadsman.book.sheet_plan import (
    Extra,
    Heights,
    Plan,
    Room,
    Sheet,
    end_block,
    head_block,
    over_block,
    plan_sheets,
    rung_block,
    spans,
    strip_block,
    where_blocks,
    with_spare,
)
from leadsman.book.views import view_entry
from leadsman.content import prose
from leadsman.content.catalogue import Catalogue
from leadsman.content.decision import Decision
from leadsman.content.model.edition import DeckEdition, SheetSet
from leadsman.content.model.fault import FaultEntry
from leadsman.content.model.phrases import Phrases, filled
from leadsman.errors import OutputError, counted
from leadsman.output.deck_places import PIN_TABLE, Places, Standing, What, what_of, widest
from leadsman.output.figures import card_figures
from leadsman.output.ladder_filters import ladder_filters
from leadsman.output.prose_html import Setter
from leadsman.output.templating import environment, stylesheet
from leadsman.output.us_words import printed_language
from leadsman.press.measure import natural_sizes
from leadsman.press.typeset import FinishedPdf, Typesetter, render_pdf

#: Bleed beyond the trim [mm].
BLEED_MM = 3.0


@dataclass(frozen=True)
class Format:
    """A trim size [mm], in how many columns the ends stand on it, and on how many sheets a condition may stand."""

    width_mm: float
    height_mm: float
    columns: int
    most_sheets: int
    above_mm: float = 11.4
    below_mm: float = 8.9
    side_mm: float = 5.0
    answers_mm: float = 34.0

    @property
    def live_mm(self) -> float:
        """The width of what is printed."""
        return self.width_mm - 2 * self.side_mm

    @property
    def room(self) -> Room:
        """What a face offers."""
        return Room(self.height_mm - self.above_mm - self.below_mm, self.columns)


FORMATS = {
    "a5": Format(148.0, 210.0, 2, 1),
    "half-letter": Format(139.7, 215.9, 2, 1),
    "a6": Format(105.0, 148.0, 1, 3, answers_mm=29.0),
    "100x150": Format(100.0, 150.0, 1, 3, answers_mm=29.0),
    "4x6": Format(101.6, 152.4, 1, 3, answers_mm=29.0),
}
#: Each document has a heading: that of a further face is a paragraph in the deck.
_TITLE = re.compile(r'<p class="title">(.*?)</p>')
_LINK = re.compile(r'<a href="#[^"]*"')
#: The formats on which a condition is one sheet.
SHEETS = ("a5", "half-letter")
#: A remedy of so many letters or fewer may stand beside the answer that leads to it.
_SHORT_REMEDY = 48
#: From so many printed answers on, the last ones may stand below a step, where that saves as much [mm].
_MANY_ANSWERS = 3
_SAVES_MM = 5.0
#: What the head of a set's first sheet takes [mm].
_SET_HEAD_MM = 10.0
#: On a page wider than this the word of an area stands on its tab [mm].
_WORDY_MM = 130.0
#: So many sheets hang on one ring and can be leafed in one hand.
MOST_ON_A_RING = 20
#: Between two columns [mm]: the padding on both sides and the line.
_GUTTER_MM = 4.0


@dataclass(frozen=True)
class Face:
    """A face of the deck as it is printed."""

    ladder: Ladder
    sheet: Sheet
    is_front: bool
    number: int
    faces: int
    title: str
    lines: tuple[HeadLine, ...]
    spoken: Mapping[str, tuple[str, ...]]
    turn: str
    tab_style: str
    tab_word: str
    again: frozenset[str]
    """The ends that an earlier sheet of the card has too."""


@dataclass(frozen=True)
class SetFace:
    """A face of the sheet that opens a set: what hangs on the ring, how to use it, tables that found no room."""

    code: str
    id: str
    number: int
    faces: int
    is_front: bool
    title: str
    extras: tuple[Extra, ...]
    owner: Mapping[str, Ladder | None]
    turn: str
    tab_style: str
    tab_word: str


@dataclass(frozen=True)
class FinishedDeck:
    """A deck that was made, with its plans and faces."""

    pdf: FinishedPdf
    plans: Sequence[Plan]
    faces: Sequence[Face]


@dataclass
class _Maker:
    """What the steps of making one deck share."""

    edition: DeckEdition
    catalogue: Catalogue
    form: Format
    size: str
    templates: Path
    typesetter: Typesetter
    beside: frozenset[str] = frozenset()
    """Conditions of the deck whose cards are not made here: an answer that leads to one names its sheet."""
    ladders: list[Ladder] = field(init=False)
    known: dict[str, float] = field(init=False, default_factory=dict)
    sheets_of: dict[str, Sequence[Sheet]] = field(init=False, default_factory=dict)
    here: frozenset[What] = field(init=False, default=frozenset())
    """What stands on the sheets of the card that is printed: no place stands behind its name."""
    ring_here: str = field(init=False, default="")
    """The sheet that opens the set of the card that is printed."""
    places: Places = field(init=False)
    """Where tables stand: as wide as can be until the faces are known."""

    def __post_init__(self) -> None:
        entries = chosen_entries(self.edition, self.catalogue)
        self.ladders = [
            ladder_of(view_entry(Decision(entry, self.catalogue)), self.catalogue) for entry in entries
        ]
        self.words: Phrases = self.catalogue.phrases(self.edition.language)
        self.codes_of = self._codes_of()
        self.places = widest(self.words.ladder, self.codes_of)
        self.on_deck = {ladder.id for ladder in self.ladders} | self.beside
        self.remedies = _remedies(self.ladders)
        self.jinja = self._environment()
        self.extras = {ladder.id: self._extras(ladder) for ladder in self.ladders}
        self.spare = {ladder.id: self._spare(ladder) for ladder in self.ladders}
        self.shared: dict[str, Any] = {
            "edition": self.edition,
            "revision": self.edition.revisions[-1],
            "own": self._own_revisions(),
            "catalogue": self.catalogue,
            "words": self.words.ladder,
            "answers": self.words.answers,
            "signals": self.words.signals,
            "grave": GRAVE,
            "on_deck": self.on_deck,
            "pictures": card_figures(
                self.catalogue, self.edition.units, self.edition.language, self._pictures()
            ),
            "remedies": {},
            "below": {},
            "place": lambda extra: self.places.named(_sought(extra), self.ring_here),
            "enter": self.enter,
            "enter_set": self.enter_set,
        }
        self.css = [
            stylesheet(self.templates, "tokens", "ladder"),
            f"@page {{ size: {self.form.width_mm}mm {self.form.height_mm}mm }} "
            f":root {{ --w: {self.form.width_mm}mm; --h: {self.form.height_mm}mm; --live: {self.form.live_mm}mm; "
            f"--answers: {self.form.answers_mm}mm }}",
        ]

    def _own_revisions(self) -> dict[str, tuple[int, str]]:
        """The revision of each card with its day: its own, else the first, so that a card that stays says the same."""
        first = self.edition.revisions[0]
        entries = (ladder.view.entry for ladder in self.ladders)
        return {e.id: (e.revision or first.revision, e.revised or first.date) for e in entries}

    def _pictures(self) -> set[str]:
        return {x.data for extras in self.extras.values() for x in extras if x.kind == "picture"}

    def _environment(self) -> Any:
        setter = Setter(
            self.catalogue,
            self.edition.units,
            lambda kind, name: f"#{name}" if kind == "card" and name in self.on_deck else None,
            elsewhere=f" ({self.words.ladder.in_book.partition(' ')[0]})",
            holds=lambda kind, name: (kind, name) in self.here or (kind, name) in self.codes_of,
            stands=lambda kind, name: (
                "" if (kind, name) in self.here else self.places.named((kind, name), self.ring_here)
            ),
            language=self.edition.language,
            titles=False,
        )
        jinja = environment(self.templates, setter)
        jinja.filters |= ladder_filters(self.words.ladder)
        return jinja

    def _codes_of(self) -> dict[What, set[str]]:
        """On which sheets and cards of the deck each table, picture and the pin tables may stand."""
        found: dict[What, set[str]] = {}
        rings = self.ring_codes
        entries = [ladder.view.entry for ladder in self.ladders]
        for entry in [*entries, *(self.catalogue.faults[name] for name in self.beside)]:
            codes = {
                str(entry.code),
                *(rings[str(ring.name)] for ring in self.edition.sets if _hangs_on(ring, entry)),
            }
            if entry.card_table is not None:
                found.setdefault(("table", self._held(entry.card_table)), set()).update(codes)
            for name in entry.tables if self.form.most_sheets == 1 else ():
                found.setdefault(("table", self._held(name)), set()).add(str(entry.code))
            if entry.card_picture is not None:
                found.setdefault(("picture", str(entry.card_picture)), set()).update(codes)
        for what, code in self._on_set_sheets().items():
            found.setdefault(what, set()).add(code)
        return found

    def _on_set_sheets(self) -> dict[What, str]:
        """The sheet of what a set has for any boat and any transducer."""
        found: dict[What, str] = {}
        for ring in self.edition.sets:
            own: list[What] = [("table", table) for table in self._own_tables(ring)]
            for what in [*own, *([("term", PIN_TABLE)] if ring.equipment else [])]:
                found.setdefault(what, self.ring_codes[str(ring.name)])
        return found

    def _own_tables(self, ring: SheetSet) -> list[str]:
        """The tables that a set has for any boat, each as the units of the edition want it, if not all of them are."""
        held = (table if self._held(table) in ring.tables else self._held(table) for table in ring.tables)
        return list(dict.fromkeys(held))

    def _held(self, table: str) -> str:
        """The table that takes its place in the units of the edition."""
        return self.catalogue.table_in(table, self.edition.units)

    def _extras(self, ladder: Ladder) -> list[Extra]:
        entry = ladder.view.entry
        found = [Extra(f"{ladder.id}-before", "before", None)]
        if entry.card_table is not None:
            table = compute_table(self.catalogue.tables[entry.card_table], self.catalogue, self.edition.units)
            users = frozenset(ladder.uses(entry.card_table)) or frozenset({ladder.rungs[-1].id})
            named = ladder.names(entry.card_table)
            found.append(Extra(f"{ladder.id}-table", "table", table, users, named))
            if entry.card_picture is not None:
                found.append(Extra(f"{ladder.id}-picture", "picture", entry.card_picture, users))
        elif entry.card_picture is not None:
            found.append(Extra(f"{ladder.id}-picture", "picture", entry.card_picture))
        return found

    def _spare(self, ladder: Ladder) -> list[Extra]:
        """What each display shows, and the entry's other tables: on a sheet, where a back has room for them."""
        if self.form.most_sheets > 1:
            return []
        entry = ladder.view.entry
        found = [Extra(f"{ladder.id}-looks", "looks", None)] if ladder.view.looks else []
        for name in dict.fromkeys(entry.tables):
            if name != entry.card_table:
                held = self.catalogue.table_in(name, self.edition.units)
                table = compute_table(self.catalogue.tables[held], self.catalogue, self.edition.units)
                found.append(Extra(f"spare-{held}", "table", table, frozenset(ladder.uses(name))))
        return found

    def title(self, ladder: Ladder, side: str, first: bool) -> str:
        """What stands at the head of a face."""
        title, words = str(ladder.view.entry.title), self.words.ladder
        if side == "back":
            return filled(words.fixes, title=title)
        return title if first else filled(words.goes_on, title=title)

    def heights(self, ladder: Ladder) -> Callable[[Iterable[str]], Heights]:
        """The heights of the blocks of one card, from memory."""

        def ask(names: Iterable[str]) -> Heights:
            return {name: self.known[name] for name in names}

        return ask

    def measure(self) -> None:
        """Measure every block of every card."""
        # A table that several conditions have is measured once.
        items = list({item["id"]: item for ladder in self.ladders for item in self._items(ladder)}.values())
        self.known = self._heights(items, {})
        tall = {ladder.id for ladder in self.ladders if not self._planned(ladder, self.form.most_sheets).fits}
        many = [item for item in items if item["kind"] == "rung" and len(item["rung"].exits) >= _MANY_ANSWERS]
        self._put_below([item for item in many if item["ladder"].id in tall])
        self._put_remedies([item for item in items if item.get("remedied")])
        self.shared["remedies"] = self.remedies

    def _heights(self, items: Sequence[Mapping[str, Any]], remedies: Mapping[str, Any]) -> dict[str, float]:
        if not items:
            return {}
        html = self.jinja.get_template("ladder/measure.html.j2").render(
            **{**self.shared, "remedies": remedies}, wanted=items, anchors=sorted(self._anchors())
        )
        endless = f"@page {{ bleed: 0; marks: none }} body {{ width: {self.form.live_mm}mm }}"
        sizes = natural_sizes(self.typesetter, html, [*self.css, endless], class_name="block",
                              page_width_mm=self.form.width_mm,
                              language=printed_language(self.edition, self.catalogue))  # fmt: skip
        found = {size.id: size.height_mm for size in sizes}
        if missing := [item["id"] for item in items if item["id"] not in found]:
            raise OutputError(f"these blocks were not laid out: {', '.join(missing)}")
        return found

    def _planned(self, ladder: Ladder, most: int) -> Plan:
        return plan_sheets(ladder, self.extras[ladder.id], self.heights(ladder), self.form.room, most,
                           tables_may_move=bool(self.table_codes), goes_over=self.goes_over)  # fmt: skip

    def _put_below(self, items: Sequence[Mapping[str, Any]]) -> None:
        """Set the last answers of a step of a tall card below it, side by side, where that saves height."""
        steps = {(item["ladder"].id, item["rung"].id): item for item in items}
        found: dict[tuple[str, str], int] = {}
        heights = {name: self.known[item["id"]] - _SAVES_MM for name, item in steps.items()}
        for kept in range(1, _MANY_ANSWERS):
            self.shared["below"] = dict.fromkeys(steps, kept)
            tried = self._heights(list(steps.values()), {})
            for name, item in steps.items():
                if tried[item["id"]] < heights[name] - 0.05:
                    found[name], heights[name] = kept, tried[item["id"]]
        self.shared["below"] = found
        self.known |= self._heights([i for i in items if (i["ladder"].id, i["rung"].id) in found], {})

    def _put_remedies(self, items: Sequence[Mapping[str, Any]]) -> None:
        """Keep a remedy beside its answer only where it costs no height."""
        wanted = dict(self.remedies)
        found = self._heights(items, wanted)
        kept = {
            (item["ladder"].id, leaves.target.id)
            for item in items if found[item["id"]] <= self.known[item["id"]] + 0.05
            for leaves in item["rung"].exits
        }  # fmt: skip
        self.remedies = {name: text for name, text in wanted.items() if name in kept}

    def _anchors(self) -> set[str]:
        found = {ladder.id for ladder in self.ladders} | self.beside
        found |= {f"{name}-step-{c.id}" for name in self.beside for c in self.catalogue.faults[name].checks}
        for ladder in self.ladders:
            found |= {f"{ladder.id}-step-{rung.id}" for rung in ladder.rungs}
            found |= {f"{ladder.id}-{'fix' if end.fix else 'end'}-{end.id}" for end in ladder.ends}
        return found

    def _items(self, ladder: Ladder) -> list[dict[str, Any]]:
        """Every block that some plan of a card may need."""
        items: dict[str, dict[str, Any]] = {}

        def add(name: str, kind: str, side: str, width: float = 0.0, **data: Any) -> None:
            items[name] = {
                "id": name,
                "kind": kind,
                "side": side,
                "width": width,
                "ladder": ladder,
                **data,
            }

        for side, first, kind in (("front", True, "head-front"), ("front", False, "head-more"),
                                  ("back", True, "head-back"), ("back", False, "head-back")):  # fmt: skip
            add(head_block(ladder, side, first), kind, side, title=self.title(ladder, side, first))
        if self.goes_over:
            title = self.title(ladder, "front", False)
            add(over_block(ladder), "head-over", "back", title=title)
        words, most = spoken(ladder.rungs, ladder), self.most_sheets(ladder)
        for at, rung in enumerate(ladder.rungs):
            short = any((ladder.id, leaves.target.id) in self.remedies for leaves in rung.exits)
            for top in (False, True):
                # Only a rung that may stand at the head of a face needs both of its forms.
                if top == (at == 0) or (top and (most > 1 or self.goes_over)):
                    said = tuple(name for name, _ in rung.step.cautions) if top else words[rung.id]
                    add(rung_block(ladder, rung, top=top), "rung", "front", rung=rung, top=top, spoken=said,
                        remedied=short)  # fmt: skip
        column = self.form.live_mm / 2 if self.form.columns == 2 else self.form.live_mm
        words = spoken(ladder.ends, ladder)
        for end in ladder.ends:
            add(end_block(ladder, end), "end", "back", column - _GUTTER_MM / 2, end=end, spoken=words[end.id])
        moved = where_blocks(self.extras[ladder.id]) if self.table_codes else []
        for extra in (*self.extras[ladder.id], *moved, *self.spare[ladder.id]):
            add(extra.id, extra.kind, "back", data=extra.data)
        return [*items.values(), *self._strips(ladder)]

    def _strips(self, ladder: Ladder) -> list[dict[str, Any]]:
        """The blocks of hazards for every run of rungs, and of the ends behind it."""
        found: dict[str, dict[str, Any]] = {}
        count = len(ladder.rungs)
        most = min(self.most_sheets(ladder), count)
        runs = dict.fromkeys(
            run for sheets in range(1, most + 1) for cut in spans(count, sheets) for run in cut
        )
        for start, stop in runs:
            rungs = ladder.rungs[start:stop]
            for parts in (rungs, ladder.ends_behind(rungs, last=stop == count)):
                name = strip_block(ladder, parts)
                if name and name not in found:
                    side = "front" if parts is rungs else "back"
                    found[name] = {
                        "id": name, "kind": "strip", "side": side, "width": 0.0, "ladder": ladder,
                        "lines": head_lines(parts), "parts": "steps" if parts is rungs else "letters",
                    }  # fmt: skip
        for front in range(1, count) if self.goes_over else ():
            before: Sequence[Rung | End] = ladder.rungs[:front]
            after: Sequence[Rung | End] = (*ladder.rungs[front:], *ladder.ends)
            for side, both in (("front", before), ("back", after)):
                if name := strip_block(ladder, both):
                    found.setdefault(name, {
                        "id": name, "kind": "strip", "side": side, "width": 0.0, "ladder": ladder,
                        "lines": head_lines(both), "parts": "steps",
                    })  # fmt: skip
        return list(found.values())

    @property
    def goes_over(self) -> bool:
        """Whether a ladder may go on at the head of its back: on the sheets that hold a condition whole."""
        return self.form.most_sheets == 1

    def most_sheets(self, ladder: Ladder) -> int:
        """On how many sheets a condition may stand."""
        second = {off.entry for off in self.edition.second_sheets}
        return 2 if self.form.most_sheets == 1 and ladder.id in second else self.form.most_sheets

    def plans(self) -> list[Plan]:
        """Each card on its sheets."""
        self.measure()
        found = []
        for ladder in self.ladders:
            heights, room = self.heights(ladder), self.form.room
            plan = self._planned(ladder, self.most_sheets(ladder))
            found.append(with_spare(plan, self.spare[ladder.id], heights, room) if plan.fits else plan)
        return found

    def locate(self, faces: Sequence[Face], set_faces: Sequence[SetFace]) -> None:
        """Take note of the faces on which tables stand: from now on texts name them."""
        self.places = Places(self.words.ladder)
        rings = self.table_codes
        for opening in set_faces:
            self.places.put(opening.extras, opening.code, opening.number, opening.code)
        for face in faces:
            shown = face.sheet.front_extras if face.is_front else face.sheet.extras
            self.places.put(shown, face.ladder.code, face.number, rings.get(face.ladder.id, ""))
        self._refuse_wide_places()

    def _refuse_wide_places(self) -> None:
        """No place may be wider than it was measured: its step would be a line taller than its card has room for."""
        measured = widest(self.words.ladder, self.codes_of)
        for what in self.codes_of:
            for place in self.places.standing.get(what, []):
                said = self.places.said(place)
                if len(said) > len(measured.named(what, "")):
                    raise OutputError(f"'{what[1]}' stands on {said}, further back than blocks were measured for; "
                                      "give the set fewer tables before it")  # fmt: skip

    def locate_sheets(self, plan: Plan) -> None:
        """The same for one card alone: the sheets are known, their faces are not."""
        self.places = Places(self.words.ladder)
        own = self.table_codes.get(plan.ladder.id, "")
        moved = {_sought(extra): own for extra in plan.moved}
        for what, code in {**self._on_set_sheets(), **moved}.items():
            self.places.standing[what] = [Standing(code, (), code)]

    def enter(self, face: Face) -> str:
        """Begin a face: the texts that follow name no place of a table that its own card has."""
        extras = [x for sheet in self.sheets_of[face.ladder.id] for x in (*sheet.front_extras, *sheet.extras)]
        self.here = frozenset(what for x in extras if (what := what_of(x)))
        self.ring_here = self.table_codes.get(face.ladder.id, "")
        return ""

    def enter_set(self, face: SetFace) -> str:
        """Begin a face of the sheet that opens a set."""
        self.here, self.ring_here = frozenset(filter(None, map(what_of, face.extras))), face.code
        return ""

    def faces(self, plan: Plan) -> list[Face]:
        """The faces of a card."""
        self.sheets_of[plan.ladder.id] = plan.sheets
        ladder, words = plan.ladder, self.words.ladder
        count = 2 * len(plan.sheets)
        found = []
        seen: set[str] = set()
        for sheet in plan.sheets:
            said = {**spoken(sheet.rungs, ladder), **spoken(sheet.over, ladder), **spoken(sheet.ends, ladder)}
            turn = filled(words.turn_to, name=sheet.over[0].step.number) if sheet.over else words.turn
            last = sheet.number == len(plan.sheets)
            onward = filled(words.end_of, code=ladder.code) if last else filled(
                words.next_step, name=plan.sheets[sheet.number].rungs[0].step.number
            )  # fmt: skip
            for is_front in (True, False):
                side = "front" if is_front else "back"
                lines = head_lines(sheet.rungs if is_front else [*sheet.over, *sheet.ends])
                found.append(Face(
                    ladder, sheet, is_front, 2 * sheet.number - is_front, count,
                    self.title(ladder, "front" if sheet.over else side, is_front and sheet.number == 1), lines, said,
                    turn if is_front and last else onward, self._tab_style(ladder.view.entry.area, is_front),
                    self._tab_word(ladder.view.entry.area), frozenset(seen),
                ))  # fmt: skip
            seen |= {end.id for end in sheet.ends}
        return found

    def set_faces(self, plans: Sequence[Plan]) -> list[SetFace]:
        """The sheet that opens each set.

        Raises
        ------
        OutputError
            When a set has more sheets than hang on a ring.
        """
        found: list[SetFace] = []
        for ring in self.edition.sets:
            mine = [plan for plan in plans if _hangs_on(ring, plan.ladder.view.entry)]
            if mine:
                faces = self._set_card(ring, mine)
                sheets = sum(len(plan.sheets) for plan in mine) + len(faces) // 2
                if sheets > MOST_ON_A_RING:
                    raise OutputError(
                        f"the set '{ring.name}' has {sheets} sheets, at most {MOST_ON_A_RING} hang on a ring; "
                        "share its areas out"
                    )
                found += faces
        return found

    def _set_card(self, ring: SheetSet, plans: Sequence[Plan]) -> list[SetFace]:
        shown: dict[str, Extra] = {}
        owner: dict[str, Ladder | None] = {}
        for plan in plans:
            for extra in plan.moved:
                owner[shown.setdefault(_what(extra), extra).id] = plan.ladder
        code = self.ring_codes[str(ring.name)]
        name = f"set-{code.lower()}"
        own = [
            self._own_table(f"{name}-{table}", table)
            for table in self._own_tables(ring)
            if table not in shown
        ]
        # The number of faces is known only when the faces are: room for any number is the same.
        rows = [(name, code, str(ring.name), "2")]
        rows += [
            (p.ladder.id, p.ladder.code, str(p.ladder.view.entry.title), str(2 * len(p.sheets)))
            for p in plans
        ]
        opening = [Extra(f"{name}-list", "effective", rows)]
        opening += [
            Extra(f"{name}-how-{number}", "how", (number == 1, line))
            for number, line in enumerate(self.edition.front, 1)
        ]
        own += self._equipment(name) if ring.equipment else []
        items = [{"id": x.id, "kind": x.kind, "side": "front", "width": 0.0, "ladder": None, "data": x.data} for x in (*opening, *own)]  # fmt: skip
        self.known |= self._heights(items, {})
        tables = sorted(shown.values(), key=lambda extra: -self.known[extra.id]) + own
        groups = self._grouped([*opening, *tables])
        if len(groups) % 2:
            groups = self._grouped(opening[:1]) + self._grouped([*opening[1:], *tables])
        if len(groups) % 2:
            groups = [*self._grouped(opening[:1]), *self._grouped(opening[1:]), *self._grouped(tables)]
        rows[0] = (*rows[0][:3], str(len(groups)))
        words = self.words.ladder
        return [
            SetFace(
                code, name, number, len(groups), number % 2 == 1, filled(words.set, name=ring.name), tuple(group),
                owner | dict.fromkeys((x.id for x in (*opening, *own)), None),
                filled(words.end_of, code=code) if number == len(groups) else filled(words.face, name=number + 1),
                self._tab_style(ring.areas[0], number % 2 == 1), self._tab_word(ring.areas[0]),
            )
            for number, group in enumerate(groups, 1)
        ]  # fmt: skip

    def _own_table(self, extra: str, table: str) -> Extra:
        """A table that the set has for any boat."""
        return Extra(
            extra, "table", compute_table(self.catalogue.tables[table], self.catalogue, self.edition.units)
        )

    def _equipment(self, name: str) -> list[Extra]:
        """Each unit's list of transducers, and what a meter reads at their plugs."""
        units = [
            (
                str(f.name),
                [(str(self.catalogue.transducers[t].name), str(v)) for t, v in f.transducers.items()],
            )
            for f in self.catalogue.families.values()
        ]
        pins = pin_tables(self.catalogue, self.words.pins, self.edition.units)
        return [Extra(f"{name}-lists", "lists", units)] + [
            Extra(f"{name}-pins-{transducer.id}", "pins", (str(transducer.name), lines))
            for transducer, lines in pins
        ]

    def _grouped(self, extras: Sequence[Extra]) -> list[list[Extra]]:
        """Blocks in groups that a face holds."""
        groups: list[list[Extra]] = []
        room, used = self.form.room.face_mm - _SET_HEAD_MM, 0.0
        for extra in extras:
            height = self.known[extra.id]
            if not groups or used + height > room:
                groups.append([])
                used = 0.0
            groups[-1].append(extra)
            used += height
        return groups

    @property
    def ring_codes(self) -> dict[str, str]:
        """The code of the sheet that opens each set: its first area's letter and a nought, then 02, 03."""
        found: dict[str, str] = {}
        for ring in self.edition.sets:
            letter = str(self.catalogue.areas[ring.areas[0]].letter)
            before = sum(code.startswith(letter) for code in found.values())
            found[str(ring.name)] = f"{letter}0{before + 1 if before else ''}"
        return found

    @property
    def table_codes(self) -> dict[str, str]:
        """By condition, the code of the sheet that opens its set, where its table may stand."""
        return {
            ladder.id: self.ring_codes[str(ring.name)]
            for ring in self.edition.sets
            for ladder in self.ladders
            if _hangs_on(ring, ladder.view.entry)
        }

    def _tab_word(self, name: str) -> str:
        area = self.catalogue.areas[name]
        # A small card has room for the letter of the area only.
        return str(area.short or area.name) if self.form.width_mm > _WORDY_MM else str(area.letter)

    def _tab_style(self, area: str, is_front: bool) -> str:
        """Its place in the strip: clear of the hole, one for each area, the same end of the sheet on both sides."""
        areas = list(self.catalogue.areas)
        at, hole = areas.index(area), 12.0
        width = (self.form.live_mm - hole) / len(areas)
        side = "left" if is_front else "right"
        return (
            f"{side}: {self.form.side_mm + hole + at * width:.2f}mm; width: {width:.2f}mm; "
            f"background-image: url(asset://templates/art/marks-{at + 1}.svg)"
        )


def _hangs_on(ring: SheetSet, entry: FaultEntry) -> bool:
    return entry.area in ring.areas and (not ring.only or entry.id in ring.only)


def _sought(extra: Extra) -> What:
    """What a line about a moved block is about."""
    return what_of(extra) or ("", "")


def _what(extra: Extra) -> str:
    """A table is the same on every card that names it; a picture by its name."""
    return str(extra.data.table.id if extra.kind == "table" else extra.data)


def _remedies(ladders: Sequence[Ladder]) -> dict[tuple[str, str], Any]:
    """The remedies that are one line and ask for no care, by condition and fix: they may stand beside their answer."""
    found = {}
    for ladder in ladders:
        for end in ladder.ends:
            fix = end.fix
            if fix is None or len(fix.finding.remedy) > 1 or fix.cautions or fix.finding.condemns:
                continue
            text = fix.finding.remedy[0]
            if len(text) <= _SHORT_REMEDY and not prose.references(text):
                found[ladder.id, end.id] = text
    return found


def plan_deck(
    edition: DeckEdition, catalogue: Catalogue, size: str, *, templates: Path, typesetter: Typesetter
) -> list[Plan]:
    """Each card of a deck on its sheets, whether it fits or not: for reports."""
    return _Maker(edition, catalogue, FORMATS[size], size, templates, typesetter).plans()


def write_deck(
    edition: DeckEdition,
    catalogue: Catalogue,
    size: str,
    *,
    out: Path,
    templates: Path,
    typesetter: Typesetter,
    rings: bool = True,
) -> FinishedDeck:
    """Make the deck in one size, or leave the earlier file as it is; without ``rings`` the cards alone.

    Raises
    ------
    OutputError
        With every card that does not fit, and by how much.
    """
    maker = _Maker(edition, catalogue, FORMATS[size], size, templates, typesetter)
    plans = maker.plans()
    refuse_what_does_not_fit(plans, size, maker.most_sheets)
    faces = [face for plan in plans for face in maker.faces(plan)]
    set_faces = maker.set_faces(plans) if rings else []
    maker.locate(faces, set_faces)
    html = maker.jinja.get_template("ladder/deck.html.j2").render(
        **maker.shared, faces=faces, set_faces=set_faces
    )
    pdf = render_pdf(html, maker.css, out=out, title=f"{edition.title}, {size}",
                     language=printed_language(edition, catalogue), bleed_mm=BLEED_MM, face_class="face", typesetter=typesetter)  # fmt: skip
    return FinishedDeck(pdf, plans, faces)


def write_card(
    edition: DeckEdition, catalogue: Catalogue, size: str, entry: str, *, out: Path, templates: Path,
    typesetter: Typesetter,
) -> FinishedDeck:  # fmt: skip
    """Make the card of one condition as the deck prints it, a file of its own without links to the other cards.

    Raises
    ------
    OutputError
        With the card, when it does not fit, and by how much.
    """
    maker = _Maker(edition, catalogue, FORMATS[size], size, templates, typesetter)
    whole, fault = maker.ladders, catalogue.faults[entry]
    # Which face a table stands on, its set tells; where the card names what stands elsewhere, only the whole deck.
    rings = [ring for ring in edition.sets if _hangs_on(ring, fault)]
    maker.ladders = [
        each for each in whole if each.id == entry or any(_hangs_on(ring, each.view.entry) for ring in rings)
    ]
    plan, faces, html = _in_its_deck(maker, entry, size, {maker.ring_codes[str(ring.name)] for ring in rings})
    if maker.places.asked_elsewhere and len(maker.ladders) < len(whole):
        maker.ladders = whole
        plan, faces, html = _in_its_deck(maker, entry, size, set(maker.ring_codes.values()))
    pdf = render_pdf(_LINK.sub("<a", html), maker.css, out=out, title=f"{edition.title}, {plan.ladder.code}, {size}",
                     language=printed_language(edition, catalogue), bleed_mm=BLEED_MM, face_class="face", typesetter=typesetter)  # fmt: skip
    return FinishedDeck(pdf, [plan], faces)


def _in_its_deck(
    maker: _Maker, entry: str, size: str, rings: Collection[str]
) -> tuple[Plan, list[Face], str]:
    """One card as it is set beside the other conditions of the maker, with the sheets that open these sets."""
    plans = maker.plans()
    (plan,) = (each for each in plans if each.ladder.id == entry)
    refuse_what_does_not_fit([plan], size, maker.most_sheets)
    of = {each.ladder.id: maker.faces(each) for each in plans}
    opening = [face for face in maker.set_faces(plans) if face.code in rings]
    maker.locate([face for each in of.values() for face in each], opening)
    template = maker.jinja.get_template("ladder/deck.html.j2")
    return plan, of[entry], template.render(**maker.shared, faces=of[entry], set_faces=[])


def write_faces(
    edition: DeckEdition, catalogue: Catalogue, size: str, entry: str, *, folder: Path, templates: Path,
    typesetter: Typesetter,
) -> list[Path]:  # fmt: skip
    """Make each face of one card of a deck a file of its own, without links, so that a store keeps what did not change.

    A table is named with the sheet alone on which it stands: its face only the whole deck tells, which takes long.

    Raises
    ------
    OutputError
        With every card that does not fit, and by how much.
    """
    maker, plan = _alone(edition, catalogue, size, entry, templates, typesetter)
    maker.locate_sheets(plan)
    template, found = maker.jinja.get_template("ladder/deck.html.j2"), []
    for number, face in enumerate(maker.faces(plan), 1):
        html = _LINK.sub("<a", template.render(**maker.shared, faces=[face], set_faces=[]))
        html = _TITLE.sub(r'<h1 class="title">\1</h1>', html)
        out = folder / f"{number}.pdf"
        render_pdf(html, maker.css, out=out, title=str(edition.title),
                   language=printed_language(edition, catalogue), bleed_mm=BLEED_MM, face_class="face", typesetter=typesetter)  # fmt: skip
        found.append(out)
    return found


def _alone(
    edition: DeckEdition, catalogue: Catalogue, size: str, entry: str, templates: Path, typesetter: Typesetter
) -> tuple[_Maker, Plan]:
    """One card with the words that it has in its deck."""
    beside = frozenset(each.id for each in chosen_entries(edition, catalogue)) - {entry}
    alone = edition.model_copy(update={"entries": [entry]})
    maker = _Maker(alone, catalogue, FORMATS[size], size, templates, typesetter, beside)
    plans = maker.plans()
    refuse_what_does_not_fit(plans, size, maker.most_sheets)
    return maker, plans[0]


def refuse_what_does_not_fit(plans: Sequence[Plan], size: str, most: Callable[[Ladder], int]) -> None:
    """Refuse a deck with a card that is too tall for its sheets."""
    if lines := [line for _, line in _too_tall(plans, size, most)]:
        raise OutputError("\n".join(lines))


def refusals(
    edition: DeckEdition, catalogue: Catalogue, size: str, *, templates: Path, typesetter: Typesetter
) -> list[tuple[str, str]]:
    """Why a build would refuse the deck: the entry (none: the edition itself) and what is said of it."""
    maker = _Maker(edition, catalogue, FORMATS[size], size, templates, typesetter)
    plans = maker.plans()
    found = _too_tall(plans, size, maker.most_sheets)
    try:
        maker.set_faces(plans)
    except OutputError as error:
        found.append(("", str(error)))
    return found


def _too_tall(plans: Sequence[Plan], size: str, most: Callable[[Ladder], int]) -> list[tuple[str, str]]:
    found = []
    for plan in plans:
        if not plan.fits:
            sheets = most(plan.ladder)
            parts = [
                f"its {side} is {over:.1f} mm too tall"
                for side, over in (("front", plan.over_front_mm), ("back", plan.over_back_mm))
                if over > 0
            ]
            line = (
                f"card {plan.ladder.code} ({size}, {counted(sheets, 'sheet')}): {' and '.join(parts)}; "
                "shorten its words, or name it in 'second_sheets' with the reason"
            )
            found.append((plan.ladder.id, line))
    return found
