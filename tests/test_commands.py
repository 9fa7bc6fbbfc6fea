"""``leadsman check``, ``walk`` and ``table``: what they print, and with which exit code they leave."""

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

import small_content
from leadsman.cli import main
from leadsman.content.rules import RULES


@pytest.fixture
def leadsman(capsys: pytest.CaptureFixture[str]) -> Any:
    """The command line on the small content: exit code, output, errors."""

    def call(*words: str, content: Path = small_content.FOLDER) -> tuple[object, str, str]:
        with pytest.raises(SystemExit) as end:
            main([*words, "--content", str(content)])
        captured = capsys.readouterr()
        return end.value.code, captured.out, captured.err

    return call


@pytest.fixture
def broken(tmp_path: Path) -> Path:
    """The small content with two mistakes, and a rule waived."""
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, "faults/power/low-volts.yaml", "code: P1", "code: D1")
    small_content.edit(folder, "areas.yaml", "letter: P", "letter: p")
    small_content.edit(
        folder, "faults/depth/no-depth.yaml", "see_also: [low-volts]\n",
        "see_also: [low-volts]\nwaivers:\n  - {rule: looks-like, reason: One family only.}\n",
    )  # fmt: skip
    small_content.edit(
        folder, "faults/depth/no-depth.yaml", "  looks_like: {plain: The corner stays empty.}\n", ""
    )
    return folder


def test_check_passes_sound_content(leadsman: Any) -> None:
    assert leadsman("check") == (0, "2 entries: 0 problems, 0 warnings, 0 waived breaches\n", "")


def test_check_tells_of_the_named_files_alone(leadsman: Any, broken: Path) -> None:
    """As a hook before a commit asks: the areas' slip is not this file's."""
    code, out, _ = leadsman("check", str(broken / "faults/depth/no-depth.yaml"), content=broken)
    assert (code, "areas.yaml" in out) == (1, False)
    assert leadsman("check", str(broken / "tools.yaml"), content=broken)[0] == 0
    assert leadsman("check", "absent.yaml", content=broken)[0] == 2


def test_check_lists_every_problem_and_leaves_with_one(leadsman: Any, broken: Path) -> None:
    code, out, err = leadsman("check", content=broken)
    lines = out.splitlines()
    assert (code, err) == (1, "")
    assert f"{broken}/areas.yaml:1:30: power.letter: 'p' has the wrong form" in lines[0]
    assert any("low-volts.yaml:2:7: code: 'D1' is also the code of" in line for line in lines) or any(
        "no-depth.yaml:2:7: code: 'D1' is also the code of" in line for line in lines
    )
    assert lines[-1].startswith("2 entries: ")
    assert lines[-1].endswith(", 0 warnings, 1 waived breach")


def test_check_prints_json(leadsman: Any, broken: Path) -> None:
    code, out, _ = leadsman("check", "--format", "json", content=broken)
    data = json.loads(out)
    assert code == 1
    assert {problem["rule"] for problem in data["problems"]} >= {"content", "codes"}
    assert set(data["problems"][0]) == {
        "path",
        "line",
        "column",
        "what",
        "hint",
        "field",
        "rule",
        "severity",
        "follows",
    }
    (waived,) = data["waived"]
    assert (waived["entry"], waived["reason"], waived["rule"]) == (
        "no-depth",
        "One family only.",
        "looks-like",
    )
    assert json.loads(leadsman("check", "--format", "json")[1]) == {"problems": [], "waived": []}


def test_check_lists_waivers_and_rules(leadsman: Any, broken: Path) -> None:
    assert (
        "waived looks-like in no-depth: One family only." in leadsman("check", "--waivers", content=broken)[1]
    )
    code, out, _ = leadsman("check", "--rules")
    assert code == 0
    assert [line.split()[0] for line in out.splitlines()] == list(RULES)


def test_check_reports_yaml_that_cannot_be_read(leadsman: Any, tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    (folder / "areas.yaml").write_bytes(b"\xff\xfe: [")
    (folder / "values.yaml").write_text("a: [1\n")
    (folder / "dealer.yaml").unlink()
    code, out, err = leadsman("check", content=folder)
    assert (code, err) == (1, "")
    for words in (
        "areas.yaml:1:1: is not UTF-8 text",
        "values.yaml:2:1: is not valid YAML",
        "dealer.yaml:1:1: is missing",
    ):
        assert words in out


@pytest.mark.parametrize("command", [["check"], ["walk", "no-depth"], ["table"]])
def test_content_that_is_not_there_is_a_mistake_of_the_call(
    leadsman: Any, tmp_path: Path, command: list[str]
) -> None:
    code, out, err = leadsman(*command, content=tmp_path / "absent")
    assert (code, out) == (2, "")
    assert err.startswith("leadsman: ")
    assert "is no folder; name the content with --content DIR" in err


def test_walk_prints_every_path(leadsman: Any) -> None:
    code, out, _ = leadsman("walk", "low-volts", "--all")
    lines = out.splitlines()
    # By hand: six answers about the history, times a finding proved or not for yes and no, and the hand-over.
    assert (code, len(lines), lines[-2]) == (0, 32, "low-volts: 30 paths, every one ends")
    assert lines[-1] == "low-volts: 2.0 min to isolate, 2.0 by the best legal order"
    assert lines[0] == "    2 min  history: in-service > volts: yes > found-limit = Limit too high"


def test_walk_prints_no_more_than_asked(leadsman: Any) -> None:
    lines = leadsman("walk", "low-volts", "--all", "--limit", "4")[1].splitlines()
    assert (len(lines), lines[-2]) == (6, "low-volts: the first 4 of 30 paths, every one ends")


def test_walk_does_not_vouch_for_the_paths_of_a_content_with_problems(leadsman: Any, tmp_path: Path) -> None:
    """What is broken is on no path: nobody knows whether those are all."""
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, "checks/own-volts.yaml", "kind: read", "kind: guess")
    code, out, _ = leadsman("walk", "no-depth", "--all", "--limit", "2", content=folder)
    assert code == 0
    assert "every one ends" not in out
    assert " paths of a content with 1 problem; see leadsman check\n" in out


def test_walk_prints_the_expected_minutes_and_the_best_move(leadsman: Any) -> None:
    # By hand in tests/content/test_ordering.py: the plug's 3 minutes for 100 of 505.
    last = leadsman("walk", "no-depth", "--all", "--limit", "1")[1].splitlines()[-1]
    assert (
        last
        == "no-depth: 17.5 min to isolate, 16.9 by the best legal order (move 'plug' before 'pins': 0.6 min)"
    )


def test_walk_follows_answers_and_a_cause(leadsman: Any) -> None:
    assert leadsman("walk", "low-volts", "--cause", "joint", "--history", "after-impact")[1] == (
        "    2 min  history: after-impact > volts: no > found-joint = Bad joint\n"
    )
    out = leadsman("walk", "P1", "history=in-service", "volts=cannot")[1]
    # By hand: the history is asked in one minute, what could not be read costs none, three shares to one.
    assert out.splitlines()[-2:] == ["Suspect: Bad joint 75%, Limit set too high 25%.", "Spent 1 min."]
    assert "not done: " in out


def test_walk_prints_the_ladder_in_the_words_of_the_card(leadsman: Any) -> None:
    code, out, _ = leadsman("walk", "p1")
    lines = out.splitlines()
    assert (code, lines[0]) == (0, "P1  Low volts")
    assert lines[-1] == "low-volts: 2.0 min to isolate, 2.0 by the best legal order"
    assert not any(word in out for word in ("found-joint", "found-limit", "hand-over", "{value"))
    assert "      NO > B" in lines


def test_walk_prints_json(leadsman: Any) -> None:
    (way,) = json.loads(leadsman("walk", "low-volts", "--cause", "joint", "--format", "json")[1])
    assert (way["minutes"], way["ends"]) == (2, True)
    assert way["steps"][-1] == {"node": "found-joint", "kind": "finding", "answer": ""}


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["low-volt"], "'low-volt' is no fault entry; did you mean 'low-volts'?"),
        (["low-volts", "volt=yes"], "'volt' is no check of low-volts; checks: history, volts"),
        (["low-volts", "volts=maybe"], "'maybe' is no answer of 'volts'; answers: yes, no, cannot"),
        (["low-volts", "volts"], "'' is no answer of 'volts'"),
        (["low-volts", "--cause", "x"], "'x' is no cause of low-volts; causes: joint, limit"),
        (["low-volts", "--cause", "joint", "--history", "never"], "never"),
        (["low-volts", "--limit", "-1"], "--limit"),
        (["low-volts", "--limit", "x"], "--limit"),
        (["low-volts", "--all", "--limit", "9" * 23], "--limit"),
    ],
)
def test_walk_called_wrongly(leadsman: Any, words: list[str], says: str) -> None:
    code, out, err = leadsman("walk", *words)
    assert (code, out) == (2, "")
    assert says in err


def test_walk_stops_at_a_loop(leadsman: Any, tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    small_content.edit(
        folder, "faults/power/low-volts.yaml", "cannot: {then: hand-over}", "cannot: {then: history}"
    )
    code, out, _ = leadsman("walk", "low-volts", "--all", content=folder)
    assert code == 0
    assert "every one ends" not in out


def test_table_lists_the_tables(leadsman: Any) -> None:
    assert leadsman("table") == (0, "lead-drop  Drop in the lead\n", "")


def test_table_prints_text_csv_and_json_of_the_same_cells(leadsman: Any) -> None:
    code, out, _ = leadsman("table", "lead-drop")
    plain = out.replace("\u202f", " ")
    assert code == 0
    assert plain.startswith(
        "Drop in the lead\nLength one way. Rounded up.\n\nCurrent:\nLength  1 A     2 A\n3 m     0.09 V  0.17 V\n"
    )
    assert "formula supply.voltage_drop: " in plain
    assert plain.endswith("assumed Copper of the lead: 20 °C\n")
    rows = list(
        csv.reader(io.StringIO(leadsman("table", "lead-drop", "--format", "csv")[1].replace("\u202f", " ")))
    )
    assert rows == [["Length", "1 A", "2 A"], ["3 m", "0.09 V", "0.17 V"], ["6 m", "0.17 V", "0.33 V"]]
    data = json.loads(leadsman("table", "lead-drop", "--format", "json")[1])
    cells = [[cell["text"].replace("\u202f", " ") for cell in row["cells"]] for row in data["rows"]]
    assert cells == [row[1:] for row in rows[1:]]
    assert (data["formula"], data["units"]) == ("supply.voltage_drop", "metric")
    assert data["assumptions"] == {"Copper of the lead": "20\u202f°C"}
    assert 0.08 < data["rows"][0]["cells"][0]["value"] <= 0.09


def test_a_table_says_its_convention_as_the_page_does(leadsman: Any, tmp_path: Path) -> None:
    """A reference in the convention is printed, not shown as written."""
    folder = small_content.copy(tmp_path)
    table = folder / "tables" / "lead-drop.yaml"
    lines = [
        "convention: 'Wait {value: wait-time}.'" if line.startswith("convention:") else line
        for line in table.read_text().splitlines()
    ]
    table.write_text("\n".join(lines) + "\n")
    for form in ("text", "json"):
        code, out, _ = leadsman("table", "lead-drop", "--format", form, content=folder)
        assert code == 0
        assert "{value" not in out
        assert "Wait " in out


def test_table_prints_us_units(leadsman: Any) -> None:
    out = leadsman("table", "lead-drop", "--units", "us", "--format", "csv")[1].replace("\u202f", " ")
    assert [row[0] for row in csv.reader(io.StringIO(out))] == ["Length", "10 ft", "20 ft"]


def test_table_prints_the_us_table_in_place_of_a_metric_one(leadsman: Any, tmp_path: Path) -> None:
    """As in print: no square millimetres for a reader of AWG sizes."""
    folder = small_content.copy(tmp_path)
    metric = (folder / "tables/lead-drop.yaml").read_text(encoding="utf-8")
    awg = metric.replace("id: lead-drop", "id: lead-drop-awg").replace(
        "conductor: 1.5 mm2", "conductor: 16 AWG"
    )
    (folder / "tables/lead-drop-awg.yaml").write_text(awg, encoding="utf-8")
    small_content.edit(folder, "tables/lead-drop.yaml", "convention:", "us: lead-drop-awg\nconvention:")
    told = []
    for units in ("metric", "us"):
        code, out, _ = leadsman("table", "lead-drop", "--units", units, "--format", "json", content=folder)
        told.append((code, json.loads(out)["id"]))

    assert told == [(0, "lead-drop"), (0, "lead-drop-awg")]


def test_table_called_wrongly(leadsman: Any) -> None:
    code, out, err = leadsman("table", "lead-drops")
    assert (code, out, err) == (2, "", "leadsman: 'lead-drops' is no table; did you mean 'lead-drop'?\n")
    assert leadsman("table", "lead-drop", "--units", "imperial")[0] == 2


def test_a_table_that_cannot_be_computed_is_told_without_a_traceback(leadsman: Any, tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, "tables/lead-drop.yaml", "conductor: 1.5 mm2, ", "")
    code, out, err = leadsman("table", "lead-drop", content=folder)
    assert (code, out) == (1, "")
    assert err == "leadsman: supply.voltage_drop also needs conductor; add them under 'given'\n"
