"""Two editions never share a file: told by the check, refused by the build, whatever the way to the same name."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

import small_content
import small_guides
from leadsman.book.outputs import output_names, shared_names
from leadsman.book.verdict import judge
from leadsman.build import Order, build_editions, pieces_of
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.model.edition import (
    DeckEdition,
    GuideEdition,
    HandbookEdition,
    RecordEdition,
    TelephoneEdition,
)
from leadsman.content.rules import Verdict
from leadsman.errors import OutputError


def with_edition(folder: Path, name: str, like: str = "deck", **changes: Any) -> Path:
    """The small content with one more edition."""
    content = small_guides.with_guide(folder)
    data = yaml.safe_load((content / "editions" / f"{like}.yaml").read_text(encoding="utf-8"))
    data |= {"id": name, **changes}
    (content / "editions" / f"{name}.yaml").write_text(
        yaml.safe_dump(data, sort_keys=False), encoding="utf-8"
    )
    return content


@pytest.mark.parametrize(
    ("name", "like", "changes", "file"),
    [
        ("deck-a6", "guide", {"formats": ["pdf"], "guides": ["dealer"]}, "deck-a6.pdf"),
        ("guide-plain", "guide", {"formats": ["epub"], "guides": ["dealer"]}, "guide-plain.epub"),
        ("guide-punt", "deck", {"formats": ["a6", "a6"]}, "guide-punt-a6.pdf"),
    ],
)
def test_two_editions_with_one_file_are_told_and_refused(
    tmp_path: Path, name: str, like: str, changes: dict[str, Any], file: str
) -> None:
    catalogue = load(with_edition(tmp_path, name, like, **changes))
    verdict = judge(catalogue)
    assert any(p.rule == "same-file" and file in p.what and p.path.endswith(".yaml") for p in verdict.errors)
    if changes["formats"] != ["a6", "a6"]:
        out = tmp_path / "out"
        with pytest.raises(OutputError, match=f"would both be made into {file}"):
            build_editions(Order(catalogue, verdict, small_guides.TEMPLATES), list(catalogue.editions), out)
        assert not out.exists()


def unforeseen(catalogue: Catalogue, verdict: Verdict) -> dict[str, set[str]]:
    """The files that a build would make of each edition and nobody foretold, or the other way round."""
    order = Order(catalogue, verdict, small_guides.TEMPLATES)
    found = {}
    for name, edition in catalogue.editions.items():
        made = {piece.target.as_posix() for piece in pieces_of(order, name)}
        if differ := made ^ set(output_names(edition, catalogue)) - {f"{name}-replace.txt"}:
            found[name] = differ
    return found


def test_the_names_are_those_that_a_build_makes(tmp_path: Path) -> None:
    catalogue = load(small_guides.with_guide(tmp_path))
    assert unforeseen(catalogue, judge(catalogue)) == {}


def test_a_family_and_a_boat_of_one_name_are_told(tmp_path: Path) -> None:
    content = small_guides.with_guide(tmp_path)
    (content / "boats" / "punt.yaml").rename(content / "boats" / "plain.yaml")
    small_content.edit(content, "boats/plain.yaml", "id: punt", "id: plain")
    edition = GuideEdition.model_validate(small_guides.EDITION)
    assert edition.guides == ["dealer", "families", "boats"]
    told = [p for p in judge(load(content)).errors if p.rule == "same-file"]
    assert [p.what for p in told] == [
        f"makes the file guide-plain.{form}, which it makes itself too" for form in ("epub", "pdf")
    ]


def made(record: type[Any], like: str = "guide", **changes: Any) -> Any:
    """An edition of a kind, with what the small guide or the small deck has in common with it."""
    base = small_guides.EDITION if like == "guide" else small_content.edited().editions["deck"].model_dump()
    return record.model_validate(
        {**{k: v for k, v in base.items() if k in record.model_fields}, "id": "x", **changes}
    )


@pytest.mark.parametrize(
    ("edition", "names"),
    [
        (made(DeckEdition, "deck", formats=["a6", "a5"]), ["x-a6.pdf", "x-a5.pdf", "x-replace.txt"]),
        (made(HandbookEdition, kind="handbook", formats=["pdf", "epub"]), ["x.pdf", "x.epub", "x-evidence.pdf"]),
        (made(HandbookEdition, kind="handbook", formats=["epub"]), ["x.epub"]),
        (made(TelephoneEdition, kind="telephone", formats=["pdf"]), ["x.pdf"]),
        (made(GuideEdition, formats=["pdf"], guides=["dealer"]), ["x.pdf"]),
        (made(GuideEdition, formats=["pdf", "epub"], guides=["families"]), ["x-plain.pdf", "x-plain.epub"]),
        (made(GuideEdition, formats=["pdf"], guides=["dealer", "boats"]), ["x.pdf", "x-punt.pdf"]),
        (made(RecordEdition, kind="record", formats=["pdf"]), ["x-a4"]),
        (made(RecordEdition, kind="record", formats=["pdf"], paper="us"), ["x-letter"]),
    ],
)  # fmt: skip
def test_the_files_of_an_edition_of_each_kind(edition: Any, names: list[str]) -> None:
    assert output_names(edition, small_content.edited()) == names


def test_a_name_that_stands_twice_is_told_with_both_owners() -> None:
    named = [("a", ["x.pdf", "y.pdf"]), ("b", ["Y.pdf", "z.pdf"]), ("c", ["y.PDF", "z.pdf", "own.pdf"])]
    assert list(shared_names(named)) == [("Y.pdf", "a", "b"), ("y.PDF", "a", "c"), ("z.pdf", "b", "c")]
    assert list(shared_names([("a", ["x.pdf", "x.pdf"])])) == [("x.pdf", "a", "a")]
