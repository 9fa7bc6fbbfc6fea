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

import small_fleet
from leadsman.content.catalogue import Catalogue
from leadsman.content.fleet import COLUMNS, PERSONAL, Fleet, read_fleet
from leadsman.content.rows import read_rows

HEAD = "id,like,owner,boat,lead_length,element_tilt,waters,units\n"


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The small content with more boats, displays and transducers."""
    return small_fleet.content()


def read(folder: Path, text: str, catalogue: Catalogue, name: str = "fleet.csv") -> Fleet:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return read_fleet(path, catalogue)


def places(fleet: Fleet) -> list[tuple[int, int, str]]:
    return [(p.line, p.column, p.field) for p in fleet.problems]


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
        (3, 1, "id"), (4, 29, "lead_length"), (4, 34, "element_tilt"), (4, 41, "waters"), (4, 61, "units"),
        (5, 1, "id"), (6, 7, "like"),
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
    assert [(line, field) for line, _, field in places(fleet)] == [(3, "lead_length"), (6, ""), (7, "")]
    assert "not used: 'colour'" in fleet.problems[1].what
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


# --- cells as people type them -------------------------------------------------------------------

CONDUCTORS = {
    "2.5 mm2": ("2,5 mm²", "2.5mm2", "2,5 mm2", "2,5mm²", "2.50 MM²", " 2,5 qmm ", "2 x 2,5 mm²", "2x2.5mm2", "2.5 mm^2"),
    "14 AWG": ("AWG 14", "14 AWG", "14awg", "#14", "AWG #14", "#14 AWG", "AWG14", "14 ga", "14/2 AWG", "\u00a014\u00a0AWG"),
    "2/0 AWG": ("2/0 AWG", "00 AWG", "#2/0"),
    "14 SAE": ("14 SAE", "14sae"),
}  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "size"), [(typed, size) for size, forms in CONDUCTORS.items() for typed in forms]
)
@pytest.mark.parametrize("separator", [";", "\t"])
def test_a_conductor_is_read_as_people_type_it_and_kept_in_one_form(
    tmp_path: Path, catalogue: Catalogue, typed: str, size: str, separator: str
) -> None:
    """It is printed on the guide: whatever was typed, the page shows one spelling."""
    fleet = read(tmp_path, f"id;like;conductor\na;sedge;{typed}\n".replace(";", separator), catalogue)
    assert fleet.problems == []
    assert fleet.rows[0].boat.supply.conductor == size


def test_numbers_as_ids_lose_the_decimal_of_a_spreadsheet(tmp_path: Path, catalogue: Catalogue) -> None:
    """A column of whole numbers with a gap is saved as 1030.0; its file is the customer's all the same."""
    fleet = read(tmp_path, 'id;like\n1030.0;sedge\n"1031,0";sedge\n1.5;sedge\n', catalogue)
    assert fleet.problems == []
    assert [row.id for row in fleet.rows] == ["1030", "1031", "1-5"]
    twice = read(tmp_path, "id;like\n1030.0;sedge\n1030;sedge\n", catalogue)
    assert len(twice.problems) == 1


@pytest.mark.parametrize(
    ("column", "typed", "field", "value"),
    [
        ("lead_length", "4,5 m", "lead_length_m", 4.5),
        ("lead_length", "4,5m", "lead_length_m", 4.5),
        ("lead_length", "16ft", "lead_length_m", 4.8768),
        ("lead_length", "16' 6\"", "lead_length_m", 5.0292),
        ("lead_length", " 5  Meter ", "lead_length_m", 5.0),
        ("lead_length", "5 M", "lead_length_m", 5.0),
        ("lead_length", "5 mtrs", "lead_length_m", 5.0),
        ("lead_length", "4 m 50", "lead_length_m", 4.5),
        ("lead_length", "4M05 cm", "lead_length_m", 4.05),
        ("face_immersion", "0,250 m", "face_immersion_m", 0.25),
        ("face_immersion", "35CM", "face_immersion_m", 0.35),
        ("deadrise", "2,5°", "deadrise_deg", 2.5),
        ("fuse", "2a", "fuse_a", 2.0),
        ("system_volts", "12v", "nominal_v", 12),
        ("system_volts", "12", "nominal_v", 12),
        ("fuse", "2,0", "fuse_a", 2.0),
        ("deadrise", "3", "deadrise_deg", 3.0),
    ],
)
def test_numbers_are_read_with_commas_capitals_and_glued_units(
    tmp_path: Path, catalogue: Catalogue, column: str, typed: str, field: str, value: float
) -> None:
    fleet = read(tmp_path, yaml.safe_dump([{"id": "a", "like": "sedge", column: typed}]), catalogue, "f.yaml")
    assert fleet.problems == []
    boat = fleet.rows[0].boat
    assert {**boat.model_dump(), **boat.supply.model_dump()}[field] == pytest.approx(value)


def test_three_digits_behind_a_comma_are_read_only_where_the_comma_is_a_decimal_sign(
    tmp_path: Path, catalogue: Catalogue
) -> None:
    """Of 1,200 mm nobody knows whether it is one or a thousand, unless semicolons part the cells."""
    (problem,) = read(tmp_path, "id\tlike\tlaminate\na\tmarten\t1,200 mm\n", catalogue).problems
    assert problem.what == "cell C2 of a: '1,200 mm' is no quantity in mm"
    assert problem.hint == "write 1.200 mm or 1200 mm"
    fleet = read(tmp_path, "id;like;laminate\na;marten;1,200 mm\n", catalogue)
    assert (fleet.problems, fleet.rows[0].boat.laminate_mm) == ([], 1.2)


def test_a_decimal_comma_that_parts_a_cell_is_told_as_that(tmp_path: Path, catalogue: Catalogue) -> None:
    text = "id,like,conductor,owner\na,sedge,2,5 mm2,\nb,sedge,,\n"
    (problem,) = read(tmp_path, text, catalogue).problems
    assert problem.what == "row 2: has 5 cells under 4 columns"
    assert problem.hint.startswith("a decimal comma in 'conductor' parts its cell in two")


@pytest.mark.parametrize(
    ("typed", "hint"),
    [
        ("2,5", "add the unit: 2.5 mm2"),
        ("16", "add the unit: 16 mm2 or 16 AWG"),
        ("3 mm2", "nearest: 2.5 mm2 and 4 mm2"),
        ("13 AWG", "nearest: 14 AWG and 12 AWG"),
        ("thick", "write it as 14 AWG or 2.5 mm2"),
    ],
)
def test_the_hint_names_what_the_conductor_may_be(
    tmp_path: Path, catalogue: Catalogue, typed: str, hint: str
) -> None:
    in_head = ", or name it once for all rows in the head: conductor (mm2)"
    (problem,) = read(tmp_path, f"id;like;conductor\na;sedge;{typed}\n", catalogue).problems
    assert (problem.what, problem.hint) == (
        f"cell C2 of a: '{typed.replace(',', '.')}' is no conductor that is known",
        hint + in_head * hint.startswith("add"),
    )


def test_choices_are_read_with_capitals_and_by_their_names(tmp_path: Path, catalogue: Catalogue) -> None:
    text = (
        "ID;LIKE;Display;Transducer;Waters;Units\n"
        "K-2041; SEDGE ;SKERRY;TD 70/190;Harrow Bank & Lake Vessany;Metric\n"
        "2026/117;Sedge;skerry;td-70-190;lake-vessany harrow-bank;U.S.\n"
    )
    fleet = read(tmp_path, text, catalogue)
    assert fleet.problems == []
    assert [(row.id, row.like, row.units) for row in fleet.rows] == [
        ("k-2041", "sedge", "metric"),
        ("2026-117", "sedge", "us"),
    ]
    assert [row.boat.waters for row in fleet.rows] == [
        ["harrow-bank", "lake-vessany"],
        ["lake-vessany", "harrow-bank"],
    ]


def test_a_cell_that_says_nothing_is_an_empty_one(tmp_path: Path, catalogue: Catalogue) -> None:
    fleet = read(tmp_path, "id;like;owner;fuse;units\na;sedge;-;n/a;–\n", catalogue)
    assert fleet.problems == []
    assert (dict(fleet.rows[0].personal), fleet.rows[0].units) == ({}, None)


def test_a_letter_in_two_signs_is_read_as_the_one(tmp_path: Path, catalogue: Catalogue) -> None:
    """Some systems write file names and exports so (Unicode, normalization form D): no owner can mend that."""
    fleet = read(tmp_path, "id;like;owner\na;sedge;Mu\u0308ller\n", catalogue)
    assert fleet.problems == []
    assert fleet.rows[0].personal["owner"] == "M\u00fcller"


def test_another_fuse_brings_its_own_resistance(tmp_path: Path, catalogue: Catalogue) -> None:
    """ISO 8820-3 blade fuses: a small one has more than the contacts of the boat under 'like' with its larger one."""
    like = catalogue.boats["marten"].supply
    text = f"id,like,display,transducer,element_tilt,fuse\na,marten,skerry,th-50-200,12 deg,2 A\nb,marten,,,,{like.fuse_a:g} A\n"
    fleet = read(tmp_path, text, catalogue)
    assert fleet.problems == []
    own, other = (row.boat.supply.contact_ohm for row in fleet.rows)
    assert other == like.contact_ohm
    assert own == pytest.approx(like.contact_ohm - 0.0109 + 0.0535)


# --- what is told ---------------------------------------------------------------------------------


def test_all_that_is_wrong_is_told_in_one_run(tmp_path: Path, catalogue: Catalogue) -> None:
    """Of one row what cannot be read, what is out of range and what does not go together; of all rows; and the heads."""
    text = (
        "id,like,display,transducer,lead_length,fuse,deadrise,conductor,units,notes\n"
        "a,sedg,skerry,fl-675,five,99 A,80 deg,3 mm2,imperial,x\n"
        "b,sedge,skery,fl-675,900 m,2 A,25 deg,#14,us,\n"
    )
    fleet = read(tmp_path, text, catalogue)
    assert fleet.rows == []
    assert [(p.line, p.field) for p in fleet.problems] == [
        (1, ""),
        (2, "like"), (2, "transducer"), (2, "lead_length"), (2, "fuse"), (2, "deadrise"), (2, "conductor"), (2, "units"),
        (3, "display"), (3, "lead_length"), (3, "deadrise"),
    ]  # fmt: skip
    # What is mended leaves nothing new to tell.
    mended = {"sedg,": "sedge,", "fl-675": "td-70-190", "five": "5 m", "99 A": "2 A", "80 deg": "2 deg", "3 mm2": "4 mm2",
              "imperial": "us", "900 m": "9 m", "skery": "skerry", "25 deg": "2 deg"}  # fmt: skip
    right = text
    for wrong, written in mended.items():
        right = right.replace(wrong, written)
    assert [p.severity for p in read(tmp_path, right, catalogue).problems] == ["warning"]


def test_what_an_empty_cell_takes_from_the_boat_under_like_is_said(
    tmp_path: Path, catalogue: Catalogue
) -> None:
    fleet = read(tmp_path, "id,like,display,transducer,element_tilt\na,sedge,,fl-675,\nb,marten,tideway,th-50-200,20 deg\nc,corrie,tideway,ch-185,\nd,corrie,holm,td-70-190,\n", catalogue)  # fmt: skip
    told = {problem.line: problem for problem in fleet.problems}
    assert told[2].what == "cell D2 of a: 'fl-675' is not on the list of skerry"
    assert told[2].hint == (
        "its list: td-70-190, th-50-200, ih-200; taken from 'sedge', the boat under 'like': the display skerry; "
        "fill in 'display' if your boat differs"
    )
    assert "taken" not in str(told.get(3, ""))
    tilt = next(
        problem
        for problem in fleet.problems
        if "is not made with 20 degrees" in problem.what and problem.line == 5
    )
    assert tilt.what.startswith("cell D5 of d: ")
    assert "taken from 'corrie', the boat under 'like': an element tilt of 20 deg; fill in 'element_tilt' if your boat differs" in tilt.hint  # fmt: skip


def test_a_message_names_cell_and_row_as_a_spreadsheet_shows_them(
    tmp_path: Path, catalogue: Catalogue
) -> None:
    """An empty row counts, a cell of several lines is one row, and the line that names the separator is none."""
    text = 'sep=;\nid;like;owner;fuse\n;;;\na;sedge;"Rook\nling";2 A\nb;sedge;;2 B\n'
    fleet = read(tmp_path, text, catalogue)
    assert [problem.what for problem in fleet.problems] == [
        "cell C3 of a: holds a line break or a tab",
        "cell D4 of b: '2 B' is no quantity in A",
    ]


@pytest.mark.parametrize(
    ("column", "typed", "told"),
    [
        ("lead_length", "5 mtr.x", "the text of 7 letters"),
        ("lead_length", "12 Grad", "'12 Grad'"),
        ("display", "Skerry2", "'Skerry2'"),
        ("like", "barge", "'barge'"),
        ("units", "Imperial", "'Imperial'"),
        ("conductor", "x" * 70, f"'{'x' * 60}...'"),
        ("like", "pellow", "the text of 6 letters"),
        ("lead_length", "+44 1632 960555", "the text of 15 letters"),
        ("display", "Isolde", "the text of 6 letters"),
    ],
)
def test_a_wrong_value_is_quoted_unless_it_may_name_a_person(
    tmp_path: Path, catalogue: Catalogue, column: str, typed: str, told: str
) -> None:
    text = yaml.safe_dump(
        [
            {"id": "a", "like": "sedge", column: typed},
            {"id": "b", "like": "sedge", "owner": "Æthelwyn Pellow"},
        ]
    )
    (problem,) = read(tmp_path, text, catalogue, "f.yaml").problems
    assert problem.what.startswith(f"a: {told} is no") or problem.what.startswith(f"a: {told} is neither")


def test_columns_of_a_dealers_own_are_passed_over_and_named_once(
    tmp_path: Path, catalogue: Catalogue
) -> None:
    text = "id,like,KUNDENNUMMER,Ownr,Fuse rating,,\na,sedge,1,x,y,,\nb,sedge,2,x,y,,\n"
    fleet = read(tmp_path, text, catalogue)
    assert [row.id for row in fleet.rows] == ["a", "b"]
    (problem,) = fleet.problems
    assert (problem.line, problem.column, problem.severity) == (1, 9, "warning")
    assert problem.what == "not used: 'KUNDENNUMMER', 'Ownr' (did you mean 'owner'?), 'Fuse rating'"
    fleet = read(tmp_path, "id,like,,\na,sedge,x,\n", catalogue)
    assert [p.what for p in fleet.problems] == ["not used, since it has no name: column C"]


def test_blank_cells_behind_the_last_column_are_a_margin_only_when_every_row_has_them(
    tmp_path: Path, catalogue: Catalogue
) -> None:
    """One longer row alone has a separator too many: an owner's name with a comma in it would become the boat's."""
    fleet = read(tmp_path, "id,like,owner,boat\na,sedge,Rook,Raven,,\nb,sedge,,,,\n", catalogue)
    assert (fleet.problems, len(fleet.rows)) == ([], 2)
    fleet = read(tmp_path, "id,like,owner,boat\na,sedge,Brindle, Ossory,\nb,sedge,,\n", catalogue)
    assert [p.what for p in fleet.problems] == ["row 2: has 5 cells under 4 columns"]


def test_a_row_that_a_line_break_parts_in_two_is_told_as_that(tmp_path: Path, catalogue: Catalogue) -> None:
    fleet = read(tmp_path, "id;like;owner;boat\na;sedge;Rook\nling;Raven\nb;sedge;;\n", catalogue)
    assert [row.id for row in fleet.rows] == ["b"]
    assert [(p.line, p.hint) for p in fleet.problems] == [
        (2, "a line break in a cell parts its row in two: take it out"),
        (3, "a line break in a cell parts its row in two: take it out"),
    ]


def test_a_list_without_heads_repeats_nobody(tmp_path: Path, catalogue: Catalogue) -> None:
    fleet = read(tmp_path, "1;Perpetua Rookling;sedge\n2;Isolde;marten\n", catalogue)
    assert fleet.unreadable
    assert [p.what for p in fleet.problems] == [
        "the columns 'id' and 'like' are missing; the first line has 3 cells, and none names a column"
    ]


@pytest.mark.parametrize(
    ("head", "said"),
    [
        ("id;Owner;Lenght;Leek", "the column 'like' is missing; the first line has 'id', 'Owner', 'Lenght', 'Leek'"),
        ("Lead length (m);Bot;;", "the columns 'id' and 'like' are missing; the first line has 'Lead length (m)', 'Bot' (did you mean 'boat'?)"),
    ],
)  # fmt: skip
def test_a_missing_column_is_told_with_the_heads_that_are_there(
    tmp_path: Path, catalogue: Catalogue, head: str, said: str
) -> None:
    fleet = read(tmp_path, f"{head}\na;b;c;d\n", catalogue)
    assert fleet.unreadable
    assert fleet.problems[0].what == said


def test_a_title_above_the_heads_is_told_as_that(tmp_path: Path, catalogue: Catalogue) -> None:
    fleet = read(tmp_path, "Customers of Perpetua Rookling;;\n;;\nID;Like;Owner\na;sedge;Rook\n", catalogue)
    assert [(p.line, p.hint) for p in fleet.problems] == [(1, "delete all above line 3, which names them")]
    assert "Rookling" not in str(fleet.problems)


@pytest.mark.parametrize(
    ("row", "what"),
    [
        ("Total;;31;", "looks like a sum row"),
        (";;Summe: 31;", "looks like a sum row"),
        ("31;30;;Итого", "looks like a sum row"),
        (";=COUNTA(B2:B31);;", "looks like a sum row"),
        ("Grand total", "looks like a sum row"),
        ("ID;LIKE;Owner;Lead Length", "repeats the column names"),
    ],
)
def test_a_row_of_the_spreadsheets_own_is_told_as_that(
    tmp_path: Path, catalogue: Catalogue, row: str, what: str
) -> None:
    """What spreadsheets put below a list, in words of their users' languages (dictionary words, from memory)."""
    fleet = read(tmp_path, f"id;like;owner;lead_length\na;sedge;Rook;\n{row}\n", catalogue)
    assert [row.id for row in fleet.rows] == ["a"]
    assert [(p.line, p.what, p.hint) for p in fleet.problems] == [
        (3, f"row 3: {what}", "delete this row from the list")
    ]


def test_a_customer_of_a_summing_name_is_a_customer(tmp_path: Path, catalogue: Catalogue) -> None:
    fleet = read(
        tmp_path, "id,like,owner\ntotal,sedge,31\na,sedge,Total\nb,,Somme\nc,,Total Rook\n", catalogue
    )
    assert [row.id for row in fleet.rows] == ["total", "a"]
    assert [p.what for p in fleet.problems] == ["cell B4 of b: is missing", "cell B5 of c: is missing"]


@pytest.mark.parametrize(
    ("column", "typed"),
    [
        ("display_serial", "1,2E+11"),
        ("display_serial", "1.20457E+11"),
        ("transducer_serial", "1.2e11"),
        ("id", "2,04E+15"),
        ("owner", "1.2E+11"),
    ],
)
def test_a_long_number_that_a_spreadsheet_cut_short_is_refused(
    tmp_path: Path, catalogue: Catalogue, column: str, typed: str
) -> None:
    """A spreadsheet shows, and saves, a number of twelve and more figures as 1.2E+11 (common practice, no source)."""
    cells = {"id": "k-7", "like": "sedge", "owner": "", "display_serial": "", "transducer_serial": ""}
    cells[column] = typed
    fleet = read(tmp_path, f"{';'.join(cells)}\n{';'.join(cells.values())}\n", catalogue)
    (problem,) = fleet.problems
    whose = "" if column == "id" else " of k-7"
    cell = f"{'ABCDE'[list(cells).index(column)]}2"
    assert (problem.line, problem.field) == (2, column)
    assert problem.what == f"cell {cell}{whose}: '{typed}' is a long number that a spreadsheet has cut short"
    assert "give the column the format 'text'" in problem.hint


@pytest.mark.parametrize("typed", ["5E11", "AI-E+11", "1E-2026", "12-E", "10442", "2.5", "E+11"])
def test_a_serial_number_with_an_e_is_none_of_those(tmp_path: Path, catalogue: Catalogue, typed: str) -> None:
    fleet = read(tmp_path, f"id,like,display_serial\na,sedge,{typed}\n", catalogue)
    assert (fleet.problems, fleet.rows[0].personal["display_serial"]) == ([], typed)


@pytest.mark.parametrize("typed", ["#N/A", "#REF!", "#NAME?", "#DIV/0!", "####"])
def test_the_message_of_a_failed_formula_is_no_name(tmp_path: Path, catalogue: Catalogue, typed: str) -> None:
    for column in ("owner", "lead_length", "like"):
        cells = {"owner": "", "id": "a", "like": "sedge", "lead_length": ""} | {column: typed}
        (problem,) = read(tmp_path, f"{','.join(cells)}\n{','.join(cells.values())}\n", catalogue).problems
        cell = f"{'ABCD'[list(cells).index(column)]}2"
        assert (
            problem.what
            == f"cell {cell} of a: '{typed}' is the message of a spreadsheet whose formula failed"
        )


@pytest.mark.parametrize(
    ("head", "typed", "field", "value"),
    [
        ("Lead length (m)", "5", "lead_length_m", 5.0),
        ("lead_length_m", "5,3", "lead_length_m", 5.3),
        ("LEAD LENGTH [ft]", "16", "lead_length_m", 4.8768),
        ("lead length in m", "4.8", "lead_length_m", 4.8),
        ("lead_length (m)", "16 ft", "lead_length_m", 4.8768),
        ("face_immersion_in", "14", "face_immersion_m", 0.3556),
        ("Laminate, mm", "12", "laminate_mm", 12.0),
        ("Conductor (mm²)", "2,5", "conductor", "2.5 mm2"),
        ("Conductor (mm2)", "2 x 2,5", "conductor", "2.5 mm2"),
        ("conductor AWG", "#14", "conductor", "14 AWG"),
        ("Deadrise (°)", "3", "deadrise_deg", 3.0),
        ("System volts (V)", "12", "nominal_v", 12),
        ("Fuse (A)", "2", "fuse_a", 2.0),
    ],
)
def test_the_unit_of_a_measure_may_stand_in_the_head_of_its_column(
    tmp_path: Path, catalogue: Catalogue, head: str, typed: str, field: str, value: float | str
) -> None:
    """A foot is 0.3048 m and an inch 25.4 mm; a unit in the cell goes before that of the head."""
    fleet = read(tmp_path, f'id;like;"{head}"\na;sedge;{typed}\n', catalogue)
    assert fleet.problems == []
    boat = fleet.rows[0].boat
    found = {**boat.model_dump(), **boat.supply.model_dump()}[field]
    assert found == (value if isinstance(value, str) else pytest.approx(value))


@pytest.mark.parametrize(
    ("column", "typed", "spellings"),
    [
        ("deadrise", "3", ("3 deg", "3°", "3 degrees")), ("element_tilt", "0", ("0 deg", "0°")),
        ("running_trim", "4", ("4 deg", "4°")), ("shaft_angle", "8", ("8 deg", "8°")),
        ("system_volts", "12", ("12 V", "12V", "12 volts")), ("fuse", "2", ("2 A", "2A", "2 amps")),
    ],
)  # fmt: skip
def test_a_unit_that_is_the_only_one_in_use_may_be_written_or_left_out(
    tmp_path: Path, catalogue: Catalogue, column: str, typed: str, spellings: tuple[str, ...]
) -> None:
    boats = []
    for cell in (typed, *spellings):
        fleet = read(tmp_path, f"id;like;{column}\na;sedge;{cell}\n", catalogue)
        assert fleet.problems == [], cell
        boats.append(fleet.rows[0].boat)
    assert all(boat == boats[0] for boat in boats)


@pytest.mark.parametrize(
    ("column", "typed", "hint"),
    [
        ("lead_length", "5", "add the unit: 5 m or 5 ft, or name it once for all rows in the head: lead_length (m)"),
        ("face_immersion", "0,3", "add the unit: 0.3 m or 0.3 ft, or name it once for all rows in the head: face_immersion (m)"),
        ("laminate", "12", "add the unit: 12 mm or 12 in, or name it once for all rows in the head: laminate (mm)"),
    ],
)  # fmt: skip
def test_a_unit_that_may_be_one_of_two_is_asked_for(
    tmp_path: Path, catalogue: Catalogue, column: str, typed: str, hint: str
) -> None:
    (problem,) = read(tmp_path, f"id;like;{column}\na;sedge;{typed}\n", catalogue).problems
    assert problem.hint == hint


def test_a_doubled_row_is_told_and_made_once(tmp_path: Path, catalogue: Catalogue) -> None:
    fleet = read(tmp_path, "id,like,owner\na,sedge,Rook\nA,Sedge, Rook\na-1,sedge,\na-1,marten,\n", catalogue)
    assert [row.id for row in fleet.rows] == ["a", "a-1"]
    assert [(p.line, p.severity, p.what) for p in fleet.problems] == [
        (3, "error", "cell A3: the text of 1 letter is no id"),
        (5, "error", "cell A5 of a-1: 'a-1' stands twice (first in line 4)"),
    ]
    fleet = read(tmp_path, "id,like,owner\nk-1,sedge,Rook\nK-1,sedge, Rook\n", catalogue)
    assert [row.id for row in fleet.rows] == ["k-1"]
    assert [(p.severity, p.what) for p in fleet.problems] == [("warning", "cell A3 of k-1: the row stands twice (first in line 2)")]  # fmt: skip


def test_a_missing_list_is_answered_with_the_nearest_name(tmp_path: Path, catalogue: Catalogue) -> None:
    for name in ("kunden-2026.csv", "boats.csv", "prices.csv", "tides.csv", "kunden-2026.xlsx"):
        (tmp_path / name).write_text("id,like\n", encoding="utf-8")
    (problem,) = read_fleet(tmp_path / "Kunden_2026.csv", catalogue).problems
    assert problem.what == "is missing"
    assert problem.hint == "did you mean 'kunden-2026.csv' in that folder?"
    (problem,) = read_fleet(Path("no") / "list.csv", catalogue).problems
    assert problem.hint == "there is no folder 'no'"


def test_other_encodings_are_read_when_they_are_named_or_marked(tmp_path: Path, catalogue: Catalogue) -> None:
    text = "id;like;owner\na;sedge;Müller-Łąk\n"
    path = tmp_path / "list.csv"
    path.write_bytes(text.encode("cp1250"))
    (problem,) = read_fleet(path, catalogue).problems
    assert (problem.line, problem.what) == (2, "is not UTF-8 text")
    assert "--encoding cp1252" in problem.hint
    assert read_fleet(path, catalogue, encoding="cp1250").rows[0].personal["owner"] == "Müller-Łąk"
    path.write_bytes(text.encode("utf-16"))
    assert read_fleet(path, catalogue).rows[0].personal["owner"] == "Müller-Łąk"


# --- the rules of boats, and the forms of spreadsheets --------------------------------------------


@pytest.mark.parametrize(
    ("column", "cell", "told"),
    [
        ("fuse", "0.0000001 A", "a fuse of 1e-07 A does not fit"),
        ("fuse", "10000 A", "10000 A is out of range"),
        ("lead_length", "5", "'5' is no quantity in m"),
        ("fuse", "1e300 A", "is no quantity in A"),
        ("lead_length", "100000 m", "100000 m is out of range"),
        ("lead_length", "0 m", "0 m is out of range"),
        ("deadrise", "25 deg", "25 degrees is no deadrise of a flat hull"),
        ("face_immersion", "-1 m", "-1 m is out of range"),
        ("running_trim", "90 deg", "90 deg is out of range"),
        ("laminate", "9" * 5000 + " mm", "is no quantity in mm"),
        ("conductor", "99 AWG", "is no conductor that is known"),
        ("element_tilt", "45 deg", "is not made with 45 degrees"),
        ("waters", "nowhere", "'nowhere' does not exist"),
        ("system_volts", "36 V", "36 V is neither 12 V nor 24 V"),
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


@pytest.mark.parametrize(
    "head", ["İD;LİKE;BOAT:;OWNER *", "\u00a0id ; Like\u00a0;boat;Owner", '"ID";"Like";"boat";" Owner "']
)
def test_heads_are_read_in_any_capitals_and_with_what_stands_around_them(
    tmp_path: Path, catalogue: Catalogue, head: str
) -> None:
    """İ is the capital of i in Turkish (Unicode, SpecialCasing)."""
    fleet = read(tmp_path, f"{head}\na;sedge;Raven;Rook\n", catalogue)
    assert fleet.problems == []
    assert fleet.rows[0].personal == {"owner": "Rook", "boat": "Raven"}


def test_a_formula_that_keeps_leading_zeros_is_read_as_its_text(tmp_path: Path, catalogue: Catalogue) -> None:
    text = 'id,like,display_serial,transducer_serial\na,sedge,="00123456","=""0042"""\n'
    fleet = read(tmp_path, text, catalogue)
    assert fleet.problems == []
    assert fleet.rows[0].personal == {"display_serial": "00123456", "transducer_serial": "0042"}


@pytest.mark.parametrize("taken", ["cp1252", "latin-1"])
@pytest.mark.parametrize("name", ["Möwe", "Ærø", "Štika", "Çağlayan", "Чайка", "Γλάρος", "L’Étoile", "Ä–Ö"])
def test_text_that_was_read_in_another_encoding_is_refused(
    tmp_path: Path, catalogue: Catalogue, name: str, taken: str
) -> None:
    """UTF-8 bytes taken for others and written as UTF-8 again, as an import without its encoding does (RFC 3629)."""
    wrong = "".join(bytes([byte]).decode(taken, "ignore") or chr(byte) for byte in name.encode("utf-8"))
    text = f"id;like;owner;conductor\na;sedge;{wrong};\nb;sedge;{name};\nc;sedge;;2,5 mmÂ²\n"
    fleet = read(tmp_path, text, catalogue)
    assert [row.id for row in fleet.rows] == ["b"]
    what = "is UTF-8 text that was read in another encoding, two signs for one letter"
    assert [p.what for p in fleet.problems] == [f"cell C2 of a: {what}", f"cell D4 of c: {what}"]


@pytest.mark.parametrize(
    "name", ["RENÉ’S", "“À LA MER”", "Ång", "Niño", "CAFÉ…", "Ê!", "Ø", "Gül", "Œuvre", "ÀÉÎ"]
)
def test_names_with_letters_of_their_own_are_no_such_text(
    tmp_path: Path, catalogue: Catalogue, name: str
) -> None:
    fleet = read(tmp_path, f"id;like;owner\na;sedge;{name}\n", catalogue)
    assert (fleet.problems, fleet.rows[0].personal["owner"]) == ([], name)


@pytest.mark.parametrize(
    ("raw", "encoding", "what", "hint"),
    [
        (b"PK\x03\x04" + b"\0" * 20, None, "is the workbook of a spreadsheet", "save the list from there as 'CSV UTF-8'"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "cp1252", "is the workbook of a spreadsheet", "save the list from there as 'CSV UTF-8'"),
        ("id;like\na;sedge\n".encode("utf-16-le"), None, "is UTF-16 text without a mark at its start", "say so: --encoding utf-16-le"),
        ("id;like\na;sedge\n".encode("utf-16-be"), None, "is UTF-16 text without a mark at its start", "say so: --encoding utf-16-be"),
        ("id;like;owner\na;sedge;Möwe\n".encode(), "cp1252", "is UTF-8 text, not cp1252", "leave --encoding out"),
        ("id;like;owner\na;sedge;Μαρία\n".encode(), "cp1253", "is UTF-8 text, not cp1253", "leave --encoding out"),
    ],
)  # fmt: skip
def test_a_file_in_another_form_is_told_as_what_it_is(
    tmp_path: Path, catalogue: Catalogue, raw: bytes, encoding: str | None, what: str, hint: str
) -> None:
    """The first bytes of ZIP archives and of compound files are those of their specifications, from memory."""
    (tmp_path / "list.csv").write_bytes(raw)
    fleet = read_fleet(tmp_path / "list.csv", catalogue, encoding=encoding)
    assert fleet.unreadable
    assert [(p.what, p.hint) for p in fleet.problems] == [(what, hint)]


@pytest.mark.parametrize("encoding", ["cp1252", "utf-16-le", "cp1250"])
def test_a_list_in_the_encoding_that_is_named_is_read(
    tmp_path: Path, catalogue: Catalogue, encoding: str
) -> None:
    (tmp_path / "list.csv").write_bytes("id;like;owner\na;sedge;Möwe\n".encode(encoding))
    fleet = read_fleet(tmp_path / "list.csv", catalogue, encoding=encoding)
    assert (fleet.problems, fleet.rows[0].personal["owner"]) == ([], "Möwe")
