"""The printed handbook of the small content: bound from chapters, it is the book set as one document."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

import pytest

import small_content
from leadsman.book.manual import Manual, build_manual
from leadsman.content.catalogue import Catalogue, Memory, load
from leadsman.content.model.edition import Edition, HandbookEdition
from leadsman.output import handbook
from leadsman.output.handbook import handbook_parts, printed_parts, write_handbook_pdf
from leadsman.press.chapters import Chapter
from leadsman.press.typeset import Typesetter, render_pdf
from leadsman.store import Store
from press.test_binding import reader, unlike

TEMPLATES = Path(__file__).resolve().parents[2] / "templates"


@cache
def catalogue() -> Catalogue:
    return load(small_content.FOLDER)


def manual(found: Catalogue, *, reports: bool = False) -> Manual:
    """A handbook of all entries."""
    deck = found.editions["deck"]
    common: dict[str, Any] = {name: getattr(deck, name) for name in Edition.model_fields}
    edition = HandbookEdition(**{**common, "kind": "handbook", "formats": ["pdf"]})
    return build_manual(edition, found, reports=reports)


def write(found: Catalogue, out: Path, typesetter: Typesetter) -> None:
    """Make the printed handbook."""
    book = manual(found)
    parts = printed_parts(handbook_parts(book, found, TEMPLATES, in_print=True))
    write_handbook_pdf(book, parts, out=out, templates=TEMPLATES, typesetter=typesetter, catalogue=found)


@pytest.fixture(scope="module")
def store() -> Store:
    """Return a store in memory."""
    return Store(None)


@pytest.fixture(scope="module")
def setter(store: Store) -> Typesetter:
    """Return the engine of the project's templates, with a store."""
    return Typesetter(TEMPLATES, store=store)


@pytest.fixture(scope="module")
def chapters() -> list[Any]:
    """Return what was bound: the chapters and the rest of what the binder was given."""
    return []


@pytest.fixture(scope="module")
def bound_path(tmp_path_factory: pytest.TempPathFactory, setter: Typesetter, chapters: list[Any]) -> Path:
    """Return the bound handbook."""
    path = tmp_path_factory.mktemp("bound") / "handbook.pdf"
    plain = handbook.bind_book

    def noted(bound: Sequence[Chapter], css: Sequence[str], **named: Any) -> Any:
        chapters.extend([bound, css, named])
        return plain(bound, css, **named)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(handbook, "bind_book", noted)
        write(catalogue(), path, setter)
    return path


def test_it_is_the_book_set_as_one_document(bound_path: Path, chapters: list[Any], tmp_path: Path) -> None:
    bound, css, named = chapters
    assert len(bound) > len(catalogue().faults) + 4
    html = "".join(chapter.html for chapter in bound)
    render_pdf(html, css, **{**named, "out": tmp_path / "one.pdf", "typesetter": Typesetter(TEMPLATES)})
    found, plain = (reader(path.read_bytes()) for path in (bound_path, tmp_path / "one.pdf"))
    assert unlike(found, plain) == []
    assert len(found["bookmarks"]) > 20


def test_what_is_left_out_for_print_is_not_in_print() -> None:
    """The EPUB's conditions and the evidence are not set for it, and nothing of the book misses them."""
    book = manual(catalogue(), reports=True)
    whole = printed_parts(handbook_parts(book, catalogue(), TEMPLATES))
    alone = printed_parts(handbook_parts(manual(catalogue()), catalogue(), TEMPLATES, in_print=True))
    assert [(part.id, part.title, part.sections, part.whole()) for part in alone] == [
        (part.id, part.title, part.sections, part.whole()) for part in whole
    ]
    assert [[child.printed for child in part.children] for part in alone] == [
        [child.printed for child in part.children] for part in whole
    ]


def test_an_edit_of_an_entry_sets_its_own_chapters(
    bound_path: Path, setter: Typesetter, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a warm process; the file is the one that a new process without a store makes, byte for byte."""
    folder = small_content.copy(tmp_path)
    memory = Memory()
    load(folder, memory)
    path = next((folder / "faults").rglob("no-depth.yaml"))
    text = path.read_text(encoding="utf-8")
    seen = next(line for line in text.splitlines() if line.startswith("  seen: "))
    path.write_text(text.replace(seen, "  seen: The depth number is out."), encoding="utf-8")
    layouts: list[str] = []
    plain = Typesetter.lay_out

    def counted(self: Typesetter, *given: Any, **named: Any) -> Any:
        layouts.append(str(named["target"]))
        return plain(self, *given, **named)

    monkeypatch.setattr(Typesetter, "lay_out", counted)
    write(load(folder, memory), tmp_path / "warm.pdf", setter)
    set_anew = [target.partition(", chapter ")[2] for target in layouts if ", chapter " in target]
    assert set_anew == ["no-depth"]
    monkeypatch.undo()
    write(load(folder), tmp_path / "cold.pdf", Typesetter(TEMPLATES))
    assert (tmp_path / "warm.pdf").read_bytes() == (tmp_path / "cold.pdf").read_bytes()
    assert (tmp_path / "warm.pdf").read_bytes() != bound_path.read_bytes()
