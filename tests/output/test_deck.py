"""Finished sheets, small cards and the finder ring of the real content, as a printer and a reader meet them.

Limits of type and margin are the survey's, each with its source there; what the survey does not know is looked at
here: that nothing of a condition is lost, that a letter is answered behind it, that the same input gives the same bytes.
"""

from __future__ import annotations

import hashlib
import re
from functools import cache
from pathlib import Path
from typing import Any

import pikepdf
import pymupdf
import pytest
from jinja2 import UndefinedError

import built
import validators
from leadsman.book.pins import pin_lines
from leadsman.book.rungs import Ladder, ladder_of
from leadsman.book.views import view_entry
from leadsman.content.decision import Decision
from leadsman.content.model.edition import OffDeck
from leadsman.inspection import publish
from leadsman.inspection.model import PdfFile
from leadsman.inspection.reading import read_pdf
from leadsman.inspection.roles import Face, cards
from leadsman.output.deck import FORMATS, write_card, write_deck, write_faces
from leadsman.output.ladder_filters import bound, ladder_filters, lowered
from leadsman.output.prose_html import Setter
from leadsman.output.templating import environment
from leadsman.press.completeness import normalised
from leadsman.press.typeset import Typesetter

#: ISO 216 A5; half of US Letter; ISO 216 A6 [mm].
TRIM_MM = {"a5": (148.0, 210.0), "half-letter": (139.7, 215.9), "a6": (105.0, 148.0)}
EDITIONS = {"a5": built.SHEETS, "half-letter": built.SHEETS, "a6": built.DECK}


@pytest.fixture(scope="module", params=list(TRIM_MM))
def deck_path(request: pytest.FixtureRequest, built_folder: Path) -> tuple[Path, str]:
    """Return the file of one size, and the size."""
    size = request.param
    return built.make(built_folder, EDITIONS[size], size), size


@cache
def ladders(name: str) -> tuple[Ladder, ...]:
    """The conditions of an edition."""
    catalogue, _ = built.content()
    return tuple(
        ladder_of(view_entry(Decision(catalogue.faults[entry], catalogue)), catalogue)
        for entry in built.edition(name).entries
    )


@cache
def file_of(path: Path) -> PdfFile:
    """A file as the survey reads it."""
    return read_pdf(path)


@cache
def faces_of(path: Path) -> dict[str, list[Face]]:
    """The faces of a file by the code of their card."""
    return cards(file_of(path))


@pytest.mark.parametrize("size", ["a5", "a6"])
def test_validators_have_nothing_to_say(built_folder: Path, size: str) -> None:
    """PDF/UA-1 (ISO 14289-1) by machine, waivers by name; no person with a screen reader stands behind it.

    Half letter is the A5 sheet on another paper, from the same templates: its tags are left to the survey.
    """
    path = built.make(built_folder, EDITIONS[size], size)
    assert validators.pdfua_findings(path) == []
    assert validators.outloud_findings(path, skip=built.DECK_WAIVERS) == []
    assert validators.page_findings(path) == []


def test_the_survey_finds_nothing_that_must_go(deck_path: tuple[Path, str]) -> None:
    """Every rule that must be kept is kept."""
    path, _ = deck_path
    assert list(publish.findings([path])) == []


def test_trim_is_exact(deck_path: tuple[Path, str]) -> None:
    """ISO 15930 (PDF/X) terms: TrimBox is the finished sheet."""
    path, size = deck_path
    with pikepdf.open(path) as pdf:
        for page in pdf.pages:
            left, bottom, right, top = (n * built.MM_PER_PT for n in built.box_pt(page, "/TrimBox"))
            assert (right - left, top - bottom) == pytest.approx(TRIM_MM[size], abs=0.01)


def test_the_sheet_that_has_the_equipment_prints_lists_and_pin_tables(deck_path: tuple[Path, str]) -> None:
    """Who stands at the plug with a meter has the limits on the ring, cold water's thermistor too."""
    path, size = deck_path
    catalogue, _ = built.content()
    edition = built.edition(EDITIONS[size])
    with_equipment = [ring.name for ring in edition.sets if ring.equipment]
    printed = normalised("".join(b.text for page in file_of(path).pages for b in page.blocks))
    lines = [
        line
        for t in catalogue.transducers.values()
        for line in pin_lines(t, catalogue, catalogue.phrases().pins, edition.units)
    ]
    found = [normalised(line.limits) in printed for line in lines]
    assert bool(with_equipment) == (size != "a6")
    assert all(found) if with_equipment else not all(found)


def test_every_word_of_a_condition_is_printed_on_its_card(deck_path: tuple[Path, str]) -> None:
    """Title, condition, steps, questions, fixes, proofs, ends and what to bring."""
    path, size = deck_path
    catalogue, _ = built.content()
    edition = built.edition(EDITIONS[size])
    entries = {ladder.id for ladder in ladders(edition.id)}
    # A table that no card of this deck and no opening of a set holds stands in the book.
    held = {catalogue.faults[entry].card_table for entry in entries} | {
        t for ring in edition.sets for t in ring.tables
    }
    setter = Setter(catalogue, edition.units, lambda kind, name: name if kind == "card" and name in entries else None,
                    elsewhere=" (book)", titles=False, holds=lambda kind, name: kind == "table" and name in held)  # fmt: skip
    missing = []
    for ladder in ladders(edition.id):
        # Where a table stands is printed behind its name: that has a test of its own.
        printed = normalised(_PLACE.sub("", _pressed(faces_of(path)[ladder.code])))
        for text in _texts(ladder):
            words = setter.plain(text)
            if normalised(words) not in printed:
                missing.append(f"{ladder.code}: {words[:70]}")
    assert missing == []


#: The sheet and the faces on which a table stands, as they are printed behind its name, without spaces.
_PLACE = re.compile(r"\(([A-Z]\d+)faces?(\d+)(?:–(\d+))?\)")


def _text(faces: list[Face]) -> str:
    return "".join(b.text for face in faces for b in face.page.blocks)


def _pressed(faces: list[Face]) -> str:
    """The text without spaces and hidden signs: what a line's end cannot change."""
    return "".join(sign for sign in _text(faces) if not sign.isspace() and sign.isprintable())


def test_a_table_stands_on_the_face_that_is_named(deck_path: tuple[Path, str]) -> None:
    """Whoever turns to the sheet and the face behind a name finds the table there, or the pins of each transducer."""
    path, size = deck_path
    catalogue, _ = built.content()
    found = faces_of(path)
    named = 0
    for ladder in ladders(EDITIONS[size]):
        printed = _pressed(found[ladder.code])
        for match in _PLACE.finditer(printed):
            code, first, last = match[1], int(match[2]), int(match[3] or match[2])
            shown = _pressed(found[code][first - 1 : last])
            before = printed[: match.start()]
            if before.endswith("”"):
                assert before[before.rindex("“") + 1 : -1] in shown, (ladder.code, match[0])
            else:
                assert before.endswith("pintable"), (ladder.code, match[0])
                assert all(
                    f"Pin table: {t.name}".replace(" ", "") in shown for t in catalogue.transducers.values()
                )
            named += 1
    assert bool(named) == (size != "a6")


def test_one_card_made_alone_names_the_faces_of_the_deck(tmp_path: Path, built_folder: Path) -> None:
    """A card that replaces a lost one says the same as the lost one said."""
    catalogue, _ = built.content()
    folder, alone = built.ROOT / "templates", tmp_path / "card.pdf"
    write_card(built.edition(built.SHEETS), catalogue, "a5", "no-bottom-shallow", out=alone, templates=folder,
               typesetter=Typesetter(folder))  # fmt: skip
    texts = [_pressed(faces_of(each)["D4"]) for each in (built.make(built_folder, built.SHEETS, "a5"), alone)]
    assert texts[0] == texts[1]
    assert _PLACE.search(texts[0])


def _texts(ladder: Ladder) -> list[Any]:
    entry = ladder.view.entry
    found = [entry.title, entry.condition.seen, *entry.condition.tells_apart]
    for rung in ladder.rungs:
        body = rung.step.check.body
        found += [body.do] if rung.step.asks_history and not rung.step.decides else [body.do, body.see]
    for end in ladder.ends:
        if end.fix is not None:
            found += [end.fix.finding.says, *end.fix.finding.remedy, end.fix.finding.proof]
        elif end.hand_over is not None:
            found += [end.hand_over.hand_over.says, end.hand_over.hand_over.to]
    return found


def test_a_letter_is_answered_on_the_back_of_its_sheet(deck_path: tuple[Path, str]) -> None:
    """Each exit of the content stands on a front, and its end on the back that follows."""
    path, size = deck_path
    for ladder in ladders(EDITIONS[size]):
        found = faces_of(path)[ladder.code]
        for front, back in zip(found[::2], found[1::2], strict=True):
            shown = {step.number for step in front.steps}
            wanted = {
                leaves.target.number
                for rung in ladder.rungs if rung.step.number in shown
                for leaves in rung.exits if leaves.target.kind in ("fix", "hand-over")
            }  # fmt: skip
            assert wanted <= set(back.letters), (ladder.code, front.number)


def test_a_remedy_beside_an_answer_is_that_of_its_own_fix(deck_path: tuple[Path, str]) -> None:
    """Fixes of two conditions may share their id: a front prints no other condition's remedy."""
    path, size = deck_path
    short = {
        ladder.code: {str(end.fix.finding.remedy[0]) for end in ladder.ends if end.fix is not None}
        for ladder in ladders(EDITIONS[size])
    }
    for code, own in short.items():
        fronts = normalised("".join(b.text for face in faces_of(path)[code][::2] for b in face.page.blocks))
        strange = {text for texts in short.values() for text in texts if "{" not in text} - own
        assert [text for text in strange if normalised(text) in fronts] == [], code


def test_many_answers_stand_side_by_side_below_few_words(tmp_path: Path, repository: Path) -> None:
    """The expected answer keeps its place in the column; of seven answers four stand below, two in a line."""
    catalogue, _ = built.content()
    folder, size = repository / "templates", "a5"
    # Alone, the card says "(book)" behind each other code, and needs room for that.
    room = OffDeck.model_validate(
        {"entry": "not-transmitting", "reason": "The other cards are not in this deck."}
    )
    edition = built.edition(built.SHEETS).model_copy(update={"sets": [], "second_sheets": [room]})
    faces = write_faces(edition, catalogue, size, "not-transmitting", folder=tmp_path, templates=folder,
                        typesetter=Typesetter(folder))  # fmt: skip
    with pymupdf.open(faces[0]) as file:
        page = file[0]
        column = page.search_for("YES ↓")[0]
        (third,), (fourth,) = page.search_for("OTHER"), page.search_for("FEW")
        (fifth,), (sixth,) = page.search_for("MANY"), page.search_for("NO BOX")
        asked = page.search_for("Message.")[0]
    assert (third.y0, fifth.y0) == pytest.approx((fourth.y0, sixth.y0), abs=0.1)
    assert (third.x0, fourth.x0) == pytest.approx((fifth.x0, sixth.x0), abs=0.1)
    assert column.y0 == pytest.approx(asked.y0, abs=6)
    assert third.y0 > asked.y1
    assert third.x1 < column.x0


def test_every_caution_that_can_hurt_is_named_where_it_bears(deck_path: tuple[Path, str]) -> None:
    """Each DANGER and WARNING of a step stands at the head of its face with the number of the step."""
    path, size = deck_path
    for ladder in ladders(EDITIONS[size]):
        for face in faces_of(path)[ladder.code][::2]:
            heads = " ".join(b.text for b in face.body if b.text.split()[0] in ("DANGER", "WARNING"))
            shown = {step.number for step in face.steps}
            for rung in ladder.rungs:
                if rung.step.number in shown and rung.grave:
                    assert str(rung.step.number) in heads.replace(",", " ").split(), (ladder.code, rung.id)


def test_the_finder_is_ten_sheets_and_clean(built_folder: Path) -> None:
    """What comes before every search is its first face; the survey and the validators have nothing to say."""
    path = built.make(built_folder, "finder", "a6")
    pages = pymupdf.open(path)
    assert len(pages) <= 20
    assert len(pages) % 2 == 0
    assert pages[0].get_text(sort=True).strip().startswith("First of all")
    assert list(publish.findings([path])) == []
    assert validators.pdf_findings(path, skip=built.DECK_WAIVERS) == []


def test_the_finder_names_every_condition_and_every_message(built_folder: Path) -> None:
    """Each condition by a sign, each message of each family word for word."""
    printed = "".join(page.get_text() for page in pymupdf.open(built.make(built_folder, "finder", "a6")))
    text = normalised(printed)
    catalogue, _ = built.content()
    for entry in catalogue.faults.values():
        for sign in entry.condition.signs[:3]:
            assert normalised(f"{entry.code}{sign.words}") in text, (entry.code, sign.words)
    for family in catalogue.families.values():
        assert all(normalised(str(message.text)) in text for message in family.messages.values())


def test_the_same_bytes_twice(tmp_path: Path, repository: Path) -> None:
    """The same condition, laid out by two engines."""
    catalogue, _ = built.content()
    edition = built.edition(built.SHEETS).model_copy(update={"entries": ["wrong-source"], "sets": []})
    digests = set()
    for number in (1, 2):
        folder = repository / "templates"
        out = tmp_path / f"{number}.pdf"
        write_deck(edition, catalogue, "a5", out=out, templates=folder, typesetter=Typesetter(folder))
        digests.add(hashlib.sha256(out.read_bytes()).hexdigest())
    assert len(digests) == 1


def test_a_condition_too_tall_is_told_with_its_measure(tmp_path: Path, repository: Path) -> None:
    """Nothing is shrunk and nothing half-written: the message names the card, the side and the millimetres."""
    catalogue, _ = built.content()
    edition = built.edition(built.SHEETS).model_copy(
        update={"entries": ["dead-unit"], "sets": [], "second_sheets": []}
    )
    folder, out = repository / "templates", tmp_path / "p1.pdf"
    with pytest.raises(
        built.LeadsmanError, match=r"card P1 \(a5, 1 sheet\): its front is \d+\.\d mm too tall"
    ):
        write_deck(edition, catalogue, "a5", out=out, templates=folder, typesetter=Typesetter(folder))
    assert not out.exists()


@pytest.mark.parametrize("template", ["ladder/measure.html.j2", "finder/measure.html.j2"])
def test_a_kind_of_block_that_no_macro_draws_is_never_left_out(repository: Path, template: str) -> None:
    """A block of a new kind stops the build where its macro is forgotten."""
    catalogue, _ = built.content()
    words = catalogue.phrases()
    jinja = environment(repository / "templates", Setter(catalogue, "metric"))
    jinja.filters |= ladder_filters(words.ladder)
    block = {"id": "b", "kind": "unheard-of", "side": "back", "width": 0, "ladder": None, "data": None}
    card = {"id": "c", "title": "Card", "blocks": [block]}
    with pytest.raises(UndefinedError, match="unheard-of"):
        jinja.get_template(template).render(
            edition=built.edition(built.SHEETS), wanted=[block], anchors=[], cards=[card], words=words.finder
        )


def test_who_calls_for_help_is_asked_for_nothing_undone(repository: Path) -> None:
    """With water coming in nobody fills in a form (common practice, no source); each other hand-over asks for it."""
    catalogue, _ = built.content()
    words = catalogue.phrases()
    jinja = environment(repository / "templates", Setter(catalogue, "metric"))
    jinja.filters |= ladder_filters(words.ladder)
    text = "{% set measuring = True %}{% import 'ladder/blocks.html.j2' as blocks with context %}{{ blocks.end(ladder, end, ()) }}"
    ladder = ladder_of(view_entry(Decision(catalogue.faults["water-at-fitting"], catalogue)), catalogue)
    asks = {
        end.id: str(words.ladder.not_done)
        in jinja.from_string(text).render(ladder=ladder, end=end, words=words.ladder, signals=words.signals)
        for end in ladder.ends
        if end.hand_over is not None
    }
    assert asks == {"help": False, "hand-over": True}


def test_an_answer_keeps_its_target() -> None:
    """The last word, the arrow and the target are one span that does not break."""
    assert 'class="to">BACK → K</span>' in bound("NOT BACK", "K", "→")
    assert lowered("Mirror") == "mirror"
    assert lowered("LED lamp") == "LED lamp"
    assert FORMATS["a5"].room.face_mm > 180
