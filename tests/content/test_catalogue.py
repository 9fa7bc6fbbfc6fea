"""A folder of records: every problem of every file in one run, each at its place and with a hint."""

from pathlib import Path

import pytest

import small_content
from leadsman.content.catalogue import load
from leadsman.content.model.base import Step
from leadsman.errors import UsageError

ENTRY = "faults/power/low-volts.yaml"


def test_the_small_content_is_whole() -> None:
    catalogue = small_content.edited()
    assert catalogue.problems == []
    assert list(catalogue.faults) == ["no-depth", "low-volts"]
    assert catalogue.faults["low-volts"].causes[0].prior.share("after-impact") == 3
    assert catalogue.dealer.name == "Quay Workshop"
    assert [kind for kind, records in catalogue.records.items() if not records] == [
        "hazards",
        "retired",
        "us_words",
    ]


@pytest.mark.parametrize(
    ("file", "old", "new", "expected"),
    [
        (ENTRY, "  messages:", "  mesages:", "condition.mesages: is an unknown key; did you mean 'messages'?"),
        (ENTRY, "to: Workshop,", "to: Workshop, qqq: 1,",
         "hand_overs.hand-over.qqq: is an unknown key; known: id, says, to, evidence, cautions"),
        (ENTRY, "shows: [joint]", "show: [joint]",
         "checks.volts.outcomes.no.show: is an unknown key; did you mean 'shows'?"),
        (ENTRY, "title: Low volts\n", "", "title: is missing; add it"),
        (ENTRY, "title: Low volts", "title: 12", "title: 12 is not text; put it in quotes"),
        (ENTRY, "title: Low volts", "title:", "title: nothing stands here; write text"),
        (ENTRY, "title: Low volts", "title: [a]", "title: this is not text; put it in quotes"),
        (ENTRY, "in_service: 3", "in_service: many",
         "causes.joint.prior.in_service: 'many' is not a number; write a number"),
        (ENTRY, "in_service: 3", "in_service: -3", "causes.joint.prior.in_service: -3: input should be greater"),
        (ENTRY, "evidence: [history]", "evidence: history",
         "hand_overs.hand-over.evidence: 'history' is not a list (lines that begin with '- '); write a list"),
        (ENTRY, "status: draft", "status: done", "status: 'done' is not allowed; use 'draft' or 'reviewed'"),
        (ENTRY, '"2026-11-25"', "25 November", "reviewed: '25 November' has the wrong form; write the date as"),
        (ENTRY, "id: limit", "id: Too High", "causes.Too High.id: 'Too High' has the wrong form; use small letters"),
        (ENTRY, "cannot: {then: hand-over}", "cannot: {means: Go.}",
         "checks.volts.outcomes.cannot: an outcome needs exactly one of 'then' and 'to_entry'"),
        (ENTRY, "    use: own-volts\n", "",
         "checks.volts: a check needs exactly one of 'use' (a shared check) and 'body' (its own)"),
        (ENTRY, "id: low-volts", "id: low-volt", "id: 'low-volt' is not the file's name; write 'id: low-volts' or"),
        (ENTRY, "area: power", "area: depth", "area: the entry lies in faults/power; move it to faults/depth/"),
        ("tools.yaml", "name: Torch", "name: Torch, colour: red", "torch.colour: is an unknown key; known: name"),
        ("tools.yaml", "torch: {name: Torch}", "torch: Torch", "torch: 'Torch' is not a mapping"),
        ("values.yaml", "declared: 10 s, ", "", "wait-time: a value needs exactly one of 'declared' and 'computed'"),
        ("values.yaml", "declared: 10 s, source: common-practice", "declared: 10 s",
         "wait-time: a declared value needs its 'source'"),
        ("tables/lead-drop.yaml", "rows: {input: length, ", "rows: {",
         "rows: an axis needs exactly one of 'input' (with 'values') and 'each'"),
        ("boats/punt.yaml", "nominal_v: 12", "nominal_v: 13", "supply.nominal_v: 13 is not allowed; use 12 or 24"),
        ("boats/punt.yaml", "deadrise_deg: 2.0", "deadrise_deg: 200.0", "deadrise_deg: 200.0: input should be less"),
    ],
)  # fmt: skip
def test_one_mistake_is_one_problem_with_a_hint(file: str, old: str, new: str, expected: str) -> None:
    catalogue = small_content.edited((file, old, new))
    (problem,) = catalogue.problems
    assert f"{problem.field}: {problem.what}; {problem.hint}".startswith(expected)
    assert problem.path.endswith(file)


@pytest.mark.parametrize(
    ("old", "new", "line", "column"),
    [
        ("  messages:", "  mesages:", 9, 3),
        ("title: Low volts", "title: 12", 3, 8),
        ("in_service: 3", "in_service: many", 11, 73),
        ("    use: own-volts\n", "", 17, 5),
    ],
)
def test_a_problem_stands_at_its_line_and_column(old: str, new: str, line: int, column: int) -> None:
    (problem,) = small_content.edited((ENTRY, old, new)).problems
    assert (problem.line, problem.column) == (line, column)


@pytest.mark.parametrize(
    ("name", "hint"),
    [
        ("notes.txt", "move it out"),
        ("faults/power/extra.yml", "rename it to .yaml"),
        ("unknown.yaml", "move it out"),
        ("checks/deep/extra.yaml", "move it out"),
        ("faults/a/b/extra.yaml", "move it out"),
        ("other/extra.yaml", "move it out"),
        ("checks/CONVENTIONS.md", "move it out"),
    ],
)
def test_a_stray_file_is_a_problem(tmp_path: Path, name: str, hint: str) -> None:
    folder = small_content.copy(tmp_path)
    (folder / name).parent.mkdir(parents=True, exist_ok=True)
    (folder / name).write_text("id: extra\n")
    (problem,) = load(folder).problems
    assert (problem.what, hint in problem.hint) == ("does not belong in the content", True)


def test_the_writers_conventions_may_lie_at_the_top(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    (folder / "CONVENTIONS.md").write_text("For people.")
    assert load(folder).problems == []


@pytest.mark.parametrize("name", ["areas", "sources", "retired", "dealer"])
def test_a_missing_list_is_a_problem(tmp_path: Path, name: str) -> None:
    folder = small_content.copy(tmp_path)
    (folder / f"{name}.yaml").unlink()
    (problem,) = load(folder).problems
    assert (problem.what, problem.hint) == ("is missing", "add the file")
    assert problem.path.endswith(f"{name}.yaml")


def test_a_list_must_be_a_mapping(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    (folder / "tools.yaml").write_text("- torch\n")
    (problem,) = load(folder).problems
    assert problem.what == "must be a mapping of id to record"


@pytest.mark.parametrize("text", ["", "- 1\n", "plain\n", "12\n", "{id: [1]}\n", "\x00", "a: &x 1\nb: *x\n"])
def test_a_record_of_any_other_shape_is_a_problem_and_no_crash(tmp_path: Path, text: str) -> None:
    folder = small_content.copy(tmp_path)
    (folder / "checks/own-volts.yaml").write_text(text)
    catalogue = load(folder)
    assert catalogue.problems
    assert all(problem.path.endswith("checks/own-volts.yaml") for problem in catalogue.problems)
    assert "own-volts" not in catalogue.checks
    assert "ask-history" in catalogue.checks


def test_an_entry_lies_in_the_folder_of_its_area(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    (folder / ENTRY).rename(folder / "faults/low-volts.yaml")
    (problem,) = load(folder).problems
    assert problem.hint == "move it to faults/power/"


def test_the_same_id_in_two_folders_is_a_problem(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    (folder / "faults/depth/low-volts.yaml").write_text((folder / ENTRY).read_text())
    found = [problem.what for problem in load(folder).problems]
    assert "the id 'low-volts' stands twice" in found


def test_all_problems_of_all_files_come_in_one_run_in_order(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, ENTRY, "title: Low volts", "title: 12")
    small_content.edit(folder, ENTRY, "status: draft", "status: done")
    small_content.edit(folder, "areas.yaml", "letter: D", "letter: d")
    small_content.edit(folder, "tools.yaml", "torch: {name: Torch}", "torch: {}")
    (folder / "stray.txt").write_text("x")
    found = load(folder).problems
    places = [(Path(problem.path).name, problem.line) for problem in sorted(found)]
    assert places == [
        ("areas.yaml", 2),
        ("low-volts.yaml", 3),
        ("low-volts.yaml", 5),
        ("stray.txt", 1),
        ("tools.yaml", 2),
    ]


def test_prose_is_found_with_its_place() -> None:
    catalogue = small_content.edited()
    found = {(kind, name, place): text for kind, name, place, text in catalogue.prose()}
    assert found["checks", "ask-history", ("do",)] == "Ask what changed before the fault."
    assert isinstance(found["checks", "look-at-plug", ("how", 0)], Step)
    # The writer's name of a field, not the program's.
    assert found["faults", "no-depth", ("checks", 4, "given", "plug")] == "plug of the transducer"
    assert found["families", "plain", ("messages", "no-depth", "text")] == "SEEKING"


def test_the_nearest_id_is_named() -> None:
    catalogue = small_content.edited()
    assert catalogue.near("tools", "torche") == "did you mean 'torch'?"
    assert catalogue.near("waters", "zzz") == "known: lake"
    assert catalogue.near("retired", "zzz") == "known: none yet"


def test_what_is_no_folder_is_a_mistake_of_the_call(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="is no folder of content; name one with --content"):
        load(tmp_path / "absent")
