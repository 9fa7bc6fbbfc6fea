"""The finished deck of the real content in each size, as a print shop and a reader with a meter meet it.

Limits of type and margin: common practice for pocket cards, no source, unless a test names one.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pikepdf
import pymupdf
import pytest
from leadsman.book.cards import Deck, build_deck, chosen_entries

import built
import validators
from leadsman.book.views import StepView
from leadsman.output.prose_html import Setter
from leadsman.output.templating import printed_date
from leadsman.press.completeness import normalised

#: Trim sizes [mm]: ISO 216 A6; 100 mm x 150 mm; 4 in x 6 in.
TRIM_MM = {"a6": (105.0, 148.0), "100x150": (100.0, 150.0), "4x6": (101.6, 152.4)}
BLEED_MM = 3.0
#: PDF numbers carry a few decimals; a printer's trim is true to about 0.5 mm.
EXACT_MM = 0.01
SAFE_MM = 5.0
HOLE_MM, HOLE_CLEAR_MM = 5.0, 4.0
STEP_PT, READING_PT, LEAST_PT = 12.0, 10.0, 8.0


@dataclass(frozen=True)
class FacePage:
    """A page of the file: whose face it is, its letters and its runs."""

    index: int
    code: str
    number: int
    of: int
    letters: built.Letters
    spans: list[built.Span]


@dataclass(frozen=True)
class DeckFile:
    """A finished deck in one size."""

    size: str
    path: Path
    document: Any
    pages: list[FacePage]

    def card(self, code: str) -> list[FacePage]:
        """The faces of one card."""
        return [page for page in self.pages if page.code == code]


@cache
def deck() -> Deck:
    catalogue, _ = built.content()
    return build_deck(catalogue.editions[built.DECK], catalogue)


@cache
def setter() -> Setter:
    catalogue, _ = built.content()
    tables = {entry.card_table for entry in chosen_entries(catalogue.editions[built.DECK], catalogue)}
    return Setter(
        catalogue, catalogue.editions[built.DECK].units, _link, elsewhere=" (handbook)",
        holds=lambda kind, name: kind == "table" and name in tables,
    )  # fmt: skip


def _link(kind: str, name: str) -> str | None:
    return name if kind == "menu" or name in {card.id for card in deck().cards} else None


@cache
def read(path: Path, size: str) -> DeckFile:
    document = pymupdf.open(path)
    identity = _identity()
    pages = []
    with pikepdf.open(path) as pdf:
        for index, (page, boxes) in enumerate(zip(document, pdf.pages, strict=True)):
            media, trim = built.box_pt(boxes, "/MediaBox"), built.box_pt(boxes, "/TrimBox")
            lines = identity.findall(" ".join(page.get_text().split()))
            assert len(lines) == 1, f"page {index + 1} has {len(lines)} identity lines"
            code, number, of = lines[0]
            spans = built.page_spans(page, trim[0] - media[0], media[3] - trim[3])
            pages.append(FacePage(index, code, int(number), int(of), built.page_letters(page), spans))
    return DeckFile(size, path, document, pages)


def _identity() -> Any:
    edition = deck().edition
    revision = edition.revisions[-1]
    return built.identity_line(
        edition.document, revision.revision, printed_date(revision.date), edition.set_name
    )


@pytest.fixture(scope="module", params=list(TRIM_MM))
def deck_path(request: pytest.FixtureRequest, built_folder: Path) -> tuple[Path, str]:
    """Return the file of one size, and the size."""
    return built.make(built_folder, built.DECK, request.param), request.param


@pytest.fixture
def finished(deck_path: tuple[Path, str]) -> DeckFile:
    """Return the file of one size with its pages read."""
    return read(*deck_path)


def steps() -> list[tuple[str, StepView]]:
    return [(card.code, step) for card in deck().cards if card.view for step in card.view.steps]


def test_validators_have_nothing_to_say(deck_path: tuple[Path, str]) -> None:
    """PDF/UA-1 (ISO 14289-1) by machine, waivers by name; no person with a screen reader stands behind it."""
    path, _ = deck_path
    assert all(built.DECK_WAIVERS.values()), "a waiver needs its reason"
    assert validators.pdfua_findings(path) == []
    assert validators.outloud_findings(path, skip=built.DECK_WAIVERS) == []


def test_trim_and_bleed_are_exact(deck_path: tuple[Path, str]) -> None:
    """ISO 15930 (PDF/X) terms: TrimBox is the finished card; BleedBox lies 3 mm outside on every side."""
    path, size = deck_path
    width, height = TRIM_MM[size]
    with pikepdf.open(path) as pdf:
        for page in pdf.pages:
            trim, bleed, media = (
                [number * built.MM_PER_PT for number in built.box_pt(page, name)]
                for name in ("/TrimBox", "/BleedBox", "/MediaBox")
            )
            assert trim[2] - trim[0] == pytest.approx(width, abs=EXACT_MM)
            assert trim[3] - trim[1] == pytest.approx(height, abs=EXACT_MM)
            outside = (trim[0] - bleed[0], trim[1] - bleed[1], bleed[2] - trim[2], bleed[3] - trim[3])
            assert outside == pytest.approx((BLEED_MM,) * 4, abs=EXACT_MM)
            assert media[0] <= bleed[0]
            assert media[3] >= bleed[3]


def test_faces_of_a_card_are_numbered_and_fill_whole_sheets(finished: DeckFile) -> None:
    assert list(dict.fromkeys(page.code for page in finished.pages)) == [card.code for card in deck().cards]
    for card in deck().cards:
        faces = finished.card(card.code)
        assert [face.number for face in faces] == list(range(1, len(faces) + 1))
        assert {face.of for face in faces} == {len(faces)}
        assert len(faces) % 2 == 0, f"card {card.code} shares a sheet with the next one"


def test_each_card_ends_with_one_end_mark(finished: DeckFile) -> None:
    for card in deck().cards:
        marks = [
            (face.number, span)
            for face in finished.card(card.code)
            for span in face.spans
            if span.text.strip().startswith("END of ")
        ]
        assert len(marks) == 1, f"card {card.code} has {len(marks)} END marks"
        number, mark = marks[0]
        assert mark.text.strip() == f"END of {card.code}"
        below = [
            span.text
            for face in finished.card(card.code)
            for span in face.spans
            if (face.number, span.top_mm) > (number, mark.top_mm) and span.size_pt > READING_PT + 0.01
            and "Readings and notes" not in span.text and span.text.strip() not in (card.code, str(card.title))
            and span.top_mm > 18  # below the bar with code and title
        ]  # fmt: skip
        assert below == [], f"card {card.code} goes on after its END"


def test_no_letter_is_too_small(finished: DeckFile) -> None:
    """Nothing below 8 pt; below 10 pt only the identity line at the foot of each face."""
    too_small, small = [], []
    identity = normalised(deck().edition.document), normalised(deck().edition.set_name)
    for face in finished.pages:
        foot = max(span.bottom_mm for span in face.spans)
        for span in face.spans:
            where = f"{face.code} face {face.number}: {span.size_pt:.1f} pt '{span.text[:40]}'"
            if span.size_pt < LEAST_PT - 0.01:
                too_small.append(where)
            elif span.size_pt < READING_PT - 0.01 and span.bottom_mm < foot - 4.0:
                small.append(where)
        line = " ".join(s.text for s in face.spans if s.size_pt < READING_PT - 0.01)
        assert all(part in normalised(line) for part in identity)
    assert too_small == []
    assert small == []


def test_steps_are_large_enough_for_arms_length(finished: DeckFile) -> None:
    small = []
    for code, step in steps():
        noted = step.asks_history and not step.decides
        texts = [step.check.body.do] if noted else [step.check.body.do, step.check.body.see]
        for words in map(setter().plain, texts):
            for face in finished.card(code):
                if face.letters.find(words) >= 0:
                    if (size := face.letters.smallest_pt(words)) < STEP_PT - 0.01:
                        small.append(f"{code} step {step.number}: {size:.1f} pt '{words[:40]}'")
                    break
            else:
                small.append(f"{code} step {step.number} is not on one face: '{words[:40]}'")
    assert small == []


def test_margin_and_hole_stay_free_of_text(finished: DeckFile) -> None:
    """5 mm to the trim, and 4 mm clear round the hole."""
    width, height = TRIM_MM[finished.size]
    radius = HOLE_MM / 2
    trespassers = []
    for face in finished.pages:
        centre_x = SAFE_MM + radius if face.number % 2 else width - SAFE_MM - radius
        for span in face.spans:
            outside = (
                span.left_mm < SAFE_MM - EXACT_MM or span.right_mm > width - SAFE_MM + EXACT_MM
                or span.top_mm < SAFE_MM - EXACT_MM or span.bottom_mm > height - SAFE_MM + EXACT_MM
            )  # fmt: skip
            across = max(span.left_mm - centre_x, centre_x - span.right_mm, 0.0)
            along = max(span.top_mm - SAFE_MM - radius, SAFE_MM + radius - span.bottom_mm, 0.0)
            near = math.hypot(across, along) < radius + HOLE_CLEAR_MM
            if outside or near:
                trespassers.append(
                    f"{face.code} face {face.number} {'margin' if outside else 'hole'}: '{span.text[:40]}' "
                    f"{span.left_mm:.1f} {span.top_mm:.1f} {span.right_mm:.1f} {span.bottom_mm:.1f}"
                )
    assert trespassers == []


def test_question_answers_and_cautions_stand_on_one_face(finished: DeckFile) -> None:
    """A caution stands before the action that it protects (ANSI Z535.6 practice), answers after their question."""
    lost = []
    for code, step in steps():
        do, see = (normalised(setter().plain(text)) for text in (step.check.body.do, step.check.body.see))
        cautions = [normalised(setter().plain(caution.short)) for _, caution in step.cautions]
        if not any(_holds_step(face.letters, step, do, see, cautions) for face in finished.card(code)):
            lost.append(f"{code} step {step.number}")
    assert lost == []


def _holds_step(letters: built.Letters, step: StepView, do: str, see: str, cautions: list[str]) -> bool:
    # A history that parts no ways is only noted: its action is its question.
    noted = step.asks_history and not step.decides
    question = letters.text.find(do)
    look = question if noted else letters.text.find(see, question + len(do))
    if question < 0 or look < 0:
        return False
    at = look + len(do if noted else see)
    for label in [answer.label for answer in step.answers] if step.decides else ["NOTE IT"]:
        found = letters.find(label, look + len(see) if step.asks_history else at)
        if found < 0:
            return False
        at = found + len(normalised(label))
    return all(0 <= letters.text.find(caution) < question for caution in cautions)


def test_every_text_of_an_entry_is_printed(finished: DeckFile) -> None:
    missing = []
    for card in deck().cards:
        if card.view is None:
            continue
        entry, view, plain = card.view.entry, card.view, setter().plain
        words = [str(entry.title), plain(entry.condition.seen), *map(plain, entry.condition.tells_apart)]
        words += [plain(tool) for tool in view.tools]
        words += [plain(c.short) for _, c in view.cautions]
        for fix in view.fixes:
            words += [plain(fix.finding.says), *map(plain, fix.finding.remedy), plain(fix.finding.proof)]
        for end in view.hand_overs:
            words += [plain(end.hand_over.says), plain(end.hand_over.to), *end.evidence]
        if entry.card_table:
            table = deck().tables[entry.card_table]
            words += [
                str(table.table.title),
                str(table.head),
                *map(str, table.column_heads),
                *map(str, table.row_heads),
            ]
            words += [cell.text for row in table.cells for cell in row]
        printed = "\n".join(face.letters.text for face in finished.card(card.code))
        missing += [f"{card.code}: {text[:60]}" for text in words if normalised(text) not in printed]
    assert missing == []


def test_no_reference_is_printed_as_written(finished: DeckFile) -> None:
    raw = [f"{face.code}: {span.text}" for face in finished.pages for span in face.spans if "{" in span.text]
    assert raw == []


def test_text_is_black_or_stands_out_from_its_ground(finished: DeckFile) -> None:
    """WCAG 2.2: black text at least 7 to 1 (1.4.6), white on a dark ground at least 4.5 to 1 (1.4.3)."""
    faint = []
    for face in finished.pages:
        page = finished.document[face.index]
        for span, ground in zip(face.spans, built.grounds(page, face.spans), strict=True):
            colour = tuple(((span.colour >> shift) & 255) / 255 for shift in (16, 8, 0))
            least = 7.0 if colour == (0.0, 0.0, 0.0) else 4.5
            if colour not in ((0.0, 0.0, 0.0), (1.0, 1.0, 1.0)) or built.contrast(colour, ground) < least:
                faint.append(f"{face.code} face {face.number}: '{span.text[:30]}' {colour} on {ground}")
    assert faint == []


def test_index_lists_every_card_with_its_faces(finished: DeckFile) -> None:
    """The list of effective cards: code, title, faces and revision of each; the rest by the handbook's code."""
    index = "\n".join(face.letters.text for face in finished.card("0"))
    revision = deck().edition.revisions[-1].revision
    for card in deck().cards:
        faces = len(finished.card(card.code))
        assert normalised(f"{card.code}{card.title}{faces}{revision}") in index, f"{card.code} is not listed"
    on_deck = {card.id for card in deck().cards}
    catalogue, _ = built.content()
    for entry in catalogue.faults.values():
        if entry.id not in on_deck:
            assert normalised(f"{entry.code}{entry.title}") in index, f"{entry.code} is not listed"


def test_links_lead_to_their_card(finished: DeckFile) -> None:
    assert built.unresolved_links(finished.document) == []
    first_page = {code: faces[0].index for code, faces in _by_code(finished).items()}
    names = finished.document.resolve_names()
    for code, step in steps():
        others = [
            a.target for a in step.answers if a.target.kind == "entry" and a.target.number in first_page
        ]
        if not others:
            continue
        led = {
            link.get("page", -1) if link.get("page", -1) >= 0 else names[link["nameddest"]]["page"]
            for face in finished.card(code)
            for link in finished.document[face.index].get_links()
        }
        for target in others:
            assert first_page[target.number] in led, (
                f"{code} step {step.number} does not lead to {target.number}"
            )


def _by_code(finished: DeckFile) -> dict[str, list[FacePage]]:
    found: dict[str, list[FacePage]] = defaultdict(list)
    for page in finished.pages:
        found[page.code].append(page)
    return found
