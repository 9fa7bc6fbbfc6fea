"""A customer list is read strictly: every slip with its place, no good row lost, no name repeated."""

from __future__ import annotations

import csv
import io
import os
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

import small_guides
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.fleet import COLUMNS, PERSONAL, Fleet, read_fleet
from leadsman.content.rows import read_rows

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
        ('id,like\n"a,sedge\n', "a quote opens here and is not closed: this row was not read"),
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


# --- the rules of boats, and the forms of spreadsheets --------------------------------------------


@pytest.mark.parametrize(
    ("column", "cell", "told"),
    [
        ("fuse", "0.0000001 A", "a fuse of 1e-07 A does not fit"),
        ("fuse", "10000 A", "10000 A is out of range"),
        ("fuse", "1e300 A", "is no quantity in A"),
        ("lead_length", "100000 m", "100000 m is out of range"),
        ("lead_length", "0 m", "0 m is out of range"),
        ("deadrise", "25 deg", "25 degrees is no deadrise of a flat hull"),
        ("face_immersion", "-1 m", "-1 m is out of range"),
        ("running_trim", "90 deg", "90 deg is out of range"),
        ("laminate", "9" * 5000 + " mm", "is no quantity in mm"),
        ("conductor", "99 AWG", "is no conductor that is known"),
        ("element_tilt", "45 deg", "is not made with 45 degrees"),
        ("waters", "nowhere", "does not exist"),
    ],
)
def test_a_row_is_held_to_the_rules_of_boats(
    tmp_path: Path, catalogue: Catalogue, column: str, cell: str, told: str
) -> None:
    fleet = read(tmp_path, f"id,like,{column}\nfirst,sedge,\nbad,sedge,{cell}\n", catalogue)
    assert [row.id for row in fleet.rows] == ["first"]
    (problem,) = fleet.problems
    assert (problem.line, problem.column, problem.field) == (3, 11, column)
    assert told in problem.what


CUSTOMERS = [f"c-{n},sedge,Owner {n},5 m" for n in range(1, 301)]


def test_one_open_quote_takes_its_own_row_and_no_other(tmp_path: Path, catalogue: Catalogue) -> None:
    lines = ["id,like,owner,lead_length", *CUSTOMERS]
    lines[5] = 'c-5,sedge,"Owner 5,5 m'
    fleet = read(tmp_path, "\n".join(lines), catalogue)
    assert (len(fleet.rows), fleet.unread) == (299, 1)
    (problem,) = fleet.problems
    assert (problem.line, problem.column) == (6, 11)
    assert problem.what == (
        "a quote opens here and is not closed: this row was not read; the list is read on from line 7"
    )


def test_an_open_quote_that_meets_another_takes_no_row_between_them(
    tmp_path: Path, catalogue: Catalogue
) -> None:
    lines = ["id,like,owner,lead_length", *CUSTOMERS]
    lines[5], lines[7] = 'c-5,sedge,"Owner 5,5 m', 'c-7,sedge,"Owner, 7",5 m'
    fleet = read(tmp_path, "\n".join(lines), catalogue)
    assert (len(fleet.rows), fleet.unread) == (299, 1)
    assert {"c-4", "c-6", "c-7"} <= {row.id for row in fleet.rows}


def test_behind_an_open_quote_only_a_row_that_fits_is_read_again(
    tmp_path: Path, catalogue: Catalogue
) -> None:
    text = 'id,like,owner,lead_length\na,sedge,"One,5 m\nand more\nof it\nb,sedge,Two,5 m\n'
    fleet = read(tmp_path, text, catalogue)
    assert ([row.id for row in fleet.rows], fleet.unread) == (["b"], 3)
    (problem,) = fleet.problems
    assert "this row and 2 after it were not read; the list is read on from line 5" in problem.what


ROW = "a-1{0}sedge{0}Rook{0}4.5 m{0}US\r\n"
FORMS = {
    "capitals": "ID,Like,Owner,Lead Length,UNITS\r\n" + ROW.format(","),
    "tabs": "id\tlike\towner\tlead-length\tunits\r\n" + ROW.format("\t"),
    "semicolons and decimal commas": "id;like;owner;lead_length;units\r\n"
    + ROW.format(";").replace("4.5", "4,5"),
    "tabs and decimal commas": "id\tlike\towner\tlead_length\tunits\r\n"
    + ROW.format("\t").replace("4.5", "4,5"),
    "a line that says the separator": "\ufeffsep=;\r\nid;like;owner;lead_length;units\r\n" + ROW.format(";"),
    "old line ends": ("id,like,owner,lead_length,units\r\n" + ROW.format(",")).replace("\r\n", "\r"),
    "quotes everywhere": 'id,like,owner,lead_length,units\n"a-1","sedge","Rook","4.5 m","us"\n',
    "empty rows of a spreadsheet": "id,like,owner,lead_length,units\n,,,,\n"
    + ROW.format(",")
    + ",,,,\n,,,,\n",
}


@pytest.mark.parametrize("text", FORMS.values(), ids=FORMS)
def test_the_usual_forms_of_spreadsheets_are_read(tmp_path: Path, catalogue: Catalogue, text: str) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes(text.encode())
    fleet = read_fleet(path, catalogue)
    assert fleet.problems == []
    (row,) = fleet.rows
    assert (row.id, row.boat.supply.lead_length_m, row.units, dict(row.personal)) == (
        "a-1",
        4.5,
        "us",
        {"owner": "Rook"},
    )


@given(
    st.lists(
        st.lists(
            st.text(st.characters(codec="utf-8", exclude_characters="\r"), max_size=8), min_size=2, max_size=5
        ),
        min_size=1,
        max_size=6,
    )
)
def test_cells_that_are_written_by_the_standard_library_are_read_back(rows: list[list[str]]) -> None:
    """The csv module of Python is the independent writer (RFC 4180); cells of one line each."""
    width = len(rows[0])
    lines = [["id", *"bcdefgh"[: width - 1]]]
    lines += [[f"x{cell}".replace("\n", " ") for cell in (row * width)[:width]] for row in rows]
    out = io.StringIO()
    csv.writer(out, quoting=csv.QUOTE_ALL).writerows(lines)
    found = read_rows(out.getvalue())
    assert (found.faults, found.unread) == ([], 0)
    assert [list(line.cells) for line in found.lines] == lines


@given(st.text(alphabet='a,";\n\t x=', max_size=60))
def test_no_text_is_too_odd(text: str) -> None:
    """Every line is read or counted, none twice."""
    found = read_rows(text)
    assert len(found.lines) + found.unread <= text.count("\n") + 1
    for line in found.lines:
        assert len(line.cells) == len(line.places)


def test_a_list_is_a_regular_file_of_a_sensible_size(tmp_path: Path, catalogue: Catalogue) -> None:
    link, pipe, large = tmp_path / "link.csv", tmp_path / "pipe.csv", tmp_path / "large.csv"
    link.symlink_to("/etc/passwd")
    os.mkfifo(pipe)
    large.touch()
    os.truncate(large, 6_000_000)
    for path, told in (
        (link, "is a link"),
        (pipe, "is a pipe"),
        (large, "is larger than 5 MB"),
        (tmp_path, "is a folder"),
    ):
        fleet = read_fleet(path, catalogue)
        assert fleet.unreadable
        assert told in fleet.problems[0].what
