"""A customer list is read strictly: every slip with its place, no good row lost, no name repeated."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

import small_guides
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.fleet import COLUMNS, PERSONAL, Fleet, read_fleet

HEAD = "id,like,owner,boat,lead_length,element_tilt,waters,units\n"


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """Return the demo content: its boats, displays and transducers."""
    return load(small_guides.ROOT / "content")


def read(folder: Path, text: str, catalogue: Catalogue, name: str = "fleet.csv") -> Fleet:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return read_fleet(path, catalogue)


def places(fleet: Fleet) -> list[tuple[int, int, str]]:
    return [(p.line, p.column, p.field) for p in fleet.problems]


def test_the_demo_list_is_sound(catalogue: Catalogue) -> None:
    fleet = read_fleet(small_guides.ROOT / "tests" / "fleet" / "customers.csv", catalogue)
    assert fleet.problems == []
    assert len(fleet.rows) == 6
    brindle = next(row for row in fleet.rows if row.id == "brindle")
    assert brindle.boat.supply.lead_length_m == pytest.approx(5.4864)  # 18 ft of exactly 0.3048 m
    assert (brindle.units, brindle.boat.waters) == ("us", ["harrow-bank"])


def test_every_problem_is_reported_at_its_place_and_good_rows_stay(
    tmp_path: Path, catalogue: Catalogue
) -> None:
    fleet = read(
        tmp_path,
        HEAD
        + "good,sedge,,,5 m,,,\n"
        + "Bad Id,sedge,,,,,,\n"
        + 'tilted,marten,"Two, Names",,five,13 deg,harrow-bank;nowhere,imperial\n'
        + "good,corrie,,,,,,\n"
        + "other,nobody,,,,,,\n"
        + "last,corrie,,,,20 deg,,us\n",
        catalogue,
    )
    assert [row.id for row in fleet.rows] == ["good", "last"]
    assert places(fleet) == [
        (3, 1, "id"), (4, 29, "lead_length"), (4, 41, "waters"), (4, 61, "units"), (5, 1, "id"), (6, 7, "like"),
    ]  # fmt: skip


def test_parts_that_do_not_go_together_are_refused(tmp_path: Path, catalogue: Catalogue) -> None:
    text = (
        "id,like,transducer,element_tilt,deadrise\na,sedge,fl-675,,\nb,marten,,13 deg,\nc,marten,,,80 deg\n"
    )
    fleet = read(tmp_path, text, catalogue)
    assert fleet.rows == []
    assert places(fleet)[0][:2] == (2, 9)
    assert [place[2] for place in places(fleet)[-2:]] == ["element_tilt", "deadrise"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "is empty"),
        ("id,like,ownr\na,sedge,x\n", "'ownr' is no column"),
        ("id,owner\na,x\n", "'like' is missing"),
        ("id,like,id\na,sedge,b\n", "stands twice"),
        ('id,like\n"a,sedge\n', "is not valid CSV"),
    ],
)
def test_a_list_that_cannot_be_understood_gives_no_row(
    tmp_path: Path, catalogue: Catalogue, text: str, told: str
) -> None:
    fleet = read(tmp_path, text, catalogue)
    assert told in " ".join(p.what for p in fleet.problems)
    assert fleet.rows == [] or fleet.unreadable


def test_a_missing_file_and_other_bytes_are_problems(tmp_path: Path, catalogue: Catalogue) -> None:
    assert read_fleet(tmp_path / "none.csv", catalogue).unreadable
    (tmp_path / "old.csv").write_bytes("id,like,owner\na,sedge,Müller".encode("latin-1"))
    assert "UTF-8" in read_fleet(tmp_path / "old.csv", catalogue).problems[0].what


def test_semicolons_a_mark_at_the_start_and_quotes_over_lines_are_read(
    tmp_path: Path, catalogue: Catalogue
) -> None:
    text = '\ufeffid;like;owner\r\na;sedge;"Rook\nling"\r\n\r\nb;sedge;Pellow\r\n'
    fleet = read(tmp_path, text, catalogue)
    # A line break inside a name is a slip of the list, and the row behind it keeps its own line.
    assert places(fleet) == [(2, 9, "owner")]
    assert [(row.id, row.place[0]) for row in fleet.rows] == [("b", 5)]


def test_yaml_says_the_same_as_csv(tmp_path: Path, catalogue: Catalogue) -> None:
    row = {"like": "marten", "owner": "Perpetua Rookling", "lead_length": "5 m", "waters": ["harrow-bank"]}
    as_list = read(tmp_path, yaml.safe_dump([{"id": "a", **row}]), catalogue, "fleet.yaml")
    as_mapping = read(tmp_path, yaml.safe_dump({"a": row}), catalogue, "fleet.yml")
    as_csv = read(tmp_path, HEAD + "a,marten,Perpetua Rookling,,5 m,,harrow-bank,\n", catalogue)
    for fleet in (as_list, as_mapping, as_csv):
        assert fleet.problems == []
        (found,) = fleet.rows
        assert (found.id, found.boat, dict(found.personal)) == (
            "a",
            as_csv.rows[0].boat,
            {"owner": "Perpetua Rookling"},
        )


def test_yaml_slips_have_their_places(tmp_path: Path, catalogue: Catalogue) -> None:
    fleet = read(
        tmp_path,
        "- id: a\n  like: marten\n  lead_length: 5\n- id: b\n  like: sedge\n  colour: red\n- c\n",
        catalogue,
        "f.yaml",
    )
    assert [(line, field) for line, _, field in places(fleet)] == [(3, "lead_length"), (6, "colour"), (7, "")]
    assert read(tmp_path, "a: &x {like: sedge}\nb: *x\n", catalogue, "f.yaml").unreadable
    assert read(tmp_path, "just words\n", catalogue, "f.yaml").unreadable


@pytest.mark.parametrize("column", [column for column in COLUMNS if column not in PERSONAL])
@pytest.mark.parametrize("name", ["Perpetua Rookling", 'O\'Dunmere, "Wherry" & Sons', "Zq12 m'quoted'"])
def test_no_message_repeats_a_cell(tmp_path: Path, catalogue: Catalogue, column: str, name: str) -> None:
    """In a list whose columns slipped, a name can stand anywhere."""
    fleet = read(
        tmp_path, yaml.safe_dump([{"id": "a", "like": "sedge", column: name}]), catalogue, "fleet.yaml"
    )
    assert fleet.rows == []
    assert fleet.problems
    assert all(word not in str(problem) for problem in fleet.problems for word in name.split())


def test_every_column_is_documented(repository: Path) -> None:
    text = (repository / "content" / "CONVENTIONS.md").read_text(encoding="utf-8")
    assert [column for column in COLUMNS if f"`{column}`" not in text] == []
