"""``leadsman calc``: what it prints, what it refuses, with which exit code, and how quickly it starts."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from leadsman.arguments import ArgumentError, find_input, read_arguments, read_input
from leadsman.calculation import CalculationError, as_data, calculate, shown_result, table_rows
from leadsman.cli import COMMANDS, main
from leadsman.compute.registry import TOPICS, Number, formulas
from leadsman.compute.sources import SOURCES
from leadsman.errors import LeadsmanError

SOUND = "water.sound_speed"


class Result:
    """What a command left behind."""

    def __init__(self, code: int, out: str, err: str) -> None:
        self.code, self.out, self.err = code, out, err


@pytest.fixture
def leadsman(capsys: pytest.CaptureFixture[str]) -> Any:
    """The command line, called in this process."""

    def call(*words: str) -> Result:
        with pytest.raises(SystemExit) as end:
            main(words)
        captured = capsys.readouterr()
        assert isinstance(end.value.code, int)
        return Result(end.value.code, captured.out, captured.err)

    return call


def in_process_of_its_own(*words: str, **environment: str) -> Result:
    """The command line as a user starts it."""
    done = subprocess.run(
        [sys.executable, "-m", "leadsman", *words],
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, **environment},
        timeout=60,
        check=False,
    )
    return Result(done.returncode, done.stdout, done.stderr)


# --- list and description ----------------------------------------------------------------------


def test_lists_every_formula_under_its_topic(leadsman: Any) -> None:
    """Nothing registered is missing from the list."""
    result = leadsman("calc")

    assert result.code == 0
    lines = result.out.splitlines()
    assert [line.split()[0] for line in lines if line.startswith("  ")] == sorted(formulas())
    assert "water" in lines


def test_lists_one_topic(leadsman: Any) -> None:
    """A topic's name lists its formulas only."""
    result = leadsman("calc", "water", "--format", "json")

    assert {entry["formula"].split(".")[0] for entry in json.loads(result.out)} == {"water"}


@pytest.mark.parametrize("name", sorted(formulas()))
def test_describes_every_formula(leadsman: Any, name: str) -> None:
    """Inputs with unit and range, output, method, accuracy and full sources."""
    result = leadsman("calc", name)
    entry = formulas()[name]
    text = " ".join(result.out.split())

    assert result.code == 0
    assert entry.title in text
    for item in entry.inputs:
        assert f"{item.name} {' '.join(item.meaning.split()).rstrip('.')} (" in text
        if isinstance(item, Number):
            unit = "" if item.unit in ("", "1") else f" {item.unit}"
            assert f"{item.low:g} to {item.high:g}{unit}" in text
    for words in (entry.method, entry.accuracy, *entry.references.values()):
        assert " ".join(words.split()) in text


@pytest.mark.parametrize("name", sorted(formulas()))
def test_describes_every_formula_as_data(leadsman: Any, name: str) -> None:
    """The same as JSON."""
    described = json.loads(leadsman("calc", name, "--format", "json").out)

    assert [i["argument"] for i in described["inputs"]] == [i.argument for i in formulas()[name].inputs]
    assert described["sources"]


def test_no_description_points_at_the_program_text() -> None:
    """Whoever reads ``leadsman calc NAME`` has no module to look into."""
    told = [f"{n}: {i.meaning}" for n, f in formulas().items() for i in (*f.inputs, *f.outputs)]

    assert [text for text in told if "module" in text or "see the" in text] == []


# --- evaluation --------------------------------------------------------------------------------


def test_evaluates_with_units(leadsman: Any) -> None:
    """Pure water at 20 degC: 1482.34 m/s (Del Grosso and Mader 1972), typed in degrees Fahrenheit."""
    result = leadsman("calc", SOUND, "temperature=68F", "--digits", "6")

    assert result.code == 0
    assert result.err == ""
    assert "  temperature = 20 degC\n" in result.out
    assert float(result.out.split()[-2]) == pytest.approx(1482.34, abs=0.05)


def test_full_argument_name_needs_no_unit(leadsman: Any) -> None:
    """``temperature_c=20`` says the unit in its name."""
    by_name = leadsman("calc", SOUND, "temperature_c=20")
    by_unit = leadsman("calc", SOUND, "temperature=20 degC")

    assert by_name.out == by_unit.out
    assert by_name.code == 0


def test_several_values_give_rows(leadsman: Any) -> None:
    """A list makes a table, one row for each value, in order."""
    result = leadsman("calc", SOUND, "temperature=10C,20C", "salinity=0; 35", "--digits", "5")
    rows = [line.split() for line in result.out.splitlines()[-3:]]

    assert rows[0] == ["temperature", "salinity", "sound_speed"]
    assert [row[0] for row in rows[1:]] == ["10", "20"]
    expected = formulas()[SOUND](temperature_c=np.array([10.0, 20.0]), salinity_psu=np.array([0.0, 35.0]))
    assert [float(row[-2]) for row in rows[1:]] == pytest.approx(list(expected), abs=0.06)


def test_several_choices_give_rows(leadsman: Any) -> None:
    """A list of choices works like a list of numbers, and along with one."""
    drop = formulas()["supply.voltage_drop"]
    words = ["current=2A,4A", "length=7m", "conductor=16AWG", "construction=tinned,solid", "--format", "json"]
    data = json.loads(leadsman("calc", drop.name, *words).out)
    one_by_one = [
        drop(current_a=current, length_m=7, conductor="16 AWG", construction=construction)
        for current, construction in ((2, "tinned"), (4, "solid"))
    ]

    assert data["outputs"]["drop"]["value"] == one_by_one
    assert data["inputs"]["construction"]["value"] == ["tinned", "solid"]


def test_json_holds_every_digit_and_the_sources(leadsman: Any) -> None:
    """JSON is for programs: unrounded, with unit, defaults, accuracy and sources."""
    data = json.loads(leadsman("calc", SOUND, "temperature=20C", "--format", "json").out)

    assert data["outputs"]["sound_speed"] == {"value": formulas()[SOUND](temperature_c=20), "unit": "m/s"}
    assert data["inputs"]["depth"] == {"value": 0, "unit": "m"}
    assert data["accuracy"] == formulas()[SOUND].accuracy
    assert list(data["sources"]) == list(formulas()[SOUND].sources)


def test_us_units_on_request(leadsman: Any) -> None:
    """The second unit stands behind the first."""
    result = leadsman("calc", SOUND, "temperature=20C", "--units", "us")

    assert result.out.endswith("sound_speed = 1482 m/s (4863 ft/s)\n")


def test_every_reference_row_of_the_command_line_agrees() -> None:
    """Typed as text with units, the inputs of a reference row give what the function gives."""
    from leadsman.evidence import read_rows

    seen = set()
    for row in read_rows():
        formula = formulas()[row.formula]
        plain = all(isinstance(value, str | int | float) for value in row.inputs.values())
        if row.known_bad or row.formula in seen or not plain:
            continue
        seen.add(row.formula)
        given = {}
        for argument, value in row.inputs.items():
            item = find_input(formula, argument)
            given[item.name] = (
                value if isinstance(value, str) else f"{value!r} {item.unit}".removesuffix(" 1")
            )
        typed = calculate(formula, read_arguments(formula, given), given)

        assert list(typed.outputs.values()) == pytest.approx(
            list(calculate(formula, row.inputs).outputs.values())
        ) or list(typed.outputs.values()) == list(calculate(formula, row.inputs).outputs.values())
    assert len(seen) > 10


# --- refusals ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["clac"], "unknown command 'clac'; did you mean calc?"),
        (["frobnicate"], "unknown command 'frobnicate'; the commands are "),
        (
            ["calc", "water.sound_sped"],
            "there is no formula 'water.sound_sped'; did you mean water.sound_speed?",
        ),
        (["calc", "sound_speed"], "there is no formula 'sound_speed'; did you mean water.sound_speed?"),
        (["calc", "quux"], "there is no formula 'quux'; leadsman calc lists all"),
        (["calc", "water", "temperature=3C"], "water is a topic; name one of water."),
        (
            ["calc", SOUND, "temprature=3C"],
            "water.sound_speed has no input 'temprature'; did you mean temperature?",
        ),
        (
            ["calc", SOUND, "quux=3C"],
            "water.sound_speed has no input 'quux'; it takes temperature, salinity,",
        ),
        (["calc", SOUND, "20C"], "'20C' is no input; write name=value, as in length=7m"),
        (["calc", SOUND, "temperature="], "'temperature=' is no input; write name=value"),
        (["calc", SOUND, "depth=3m"], "water.sound_speed also needs temperature (0 to 40 degC)"),
        (
            ["calc", SOUND, "temperature=20"],
            "temperature=20: 20 has no unit; write 20 degC, or temperature_c=NUMBER",
        ),
        (["calc", SOUND, "temperature=warm"], "temperature=warm: 'warm' is no quantity"),
        (
            ["calc", SOUND, "temperature=20 m"],
            "temperature=20 m: m is a unit of length, degC one of temperature",
        ),
        (["calc", SOUND, "temperature=20 quux"], "temperature=20 quux: unknown unit 'quux'"),
        (["calc", SOUND, "temperature=20C,"], "temperature=20C,: a value is missing"),
        (
            ["calc", SOUND, "temperature=20,5C"],
            "temperature=20,5C: a comma between digits may be a decimal sign; write 20.5C for one value, '20; 5C' for several",
        ),
        (["calc", SOUND, "temperature=20C", "temperature=21C"], "temperature is given twice"),
        (["calc", SOUND, "temperature=20C", "temperature_c=21"], "temperature is given twice"),
        (["calc", "supply.voltage_drop", "construction=tined"], "did you mean tinned?"),
        (
            ["calc", SOUND, "temperature=1C,2C", "depth=1m,2m,3m"],
            "lists that go together must be equally long",
        ),
        (["calc", SOUND, "temperature=20C", "--digits", "99999999"], "is no whole number from 1 to 17"),
        (["calc", SOUND, "temperature=20C", "--digits", "0"], "'0' is no whole number from 1 to 17"),
        (
            ["calc", SOUND, "temperature=20C", "--digits", "few"],
            "'few' is no whole number from 1 to 17; see leadsman calc --help",
        ),
        (["calc", SOUND, "temperature=20C", "--evidence"], "--evidence takes no inputs"),
        (["calc", "--frobnicate"], "unrecognized arguments: --frobnicate"),
        (["--json"], "unrecognized arguments: --json"),
    ],
)
def test_wrong_usage_is_exit_code_2_with_a_hint(leadsman: Any, words: list[str], told: str) -> None:
    """One line on the error stream, nothing on the other, and what to do."""
    result = leadsman(*words)

    assert (result.code, result.out) == (2, "")
    assert result.err.startswith("leadsman: ")
    assert told in result.err
    assert len(result.err.splitlines()) == 1


def test_out_of_range_is_exit_code_1_with_range_and_source(leadsman: Any) -> None:
    """Quantity, value, range, what was typed, and the full source."""
    result = leadsman("calc", SOUND, "temperature=200F")
    source = SOURCES[formulas()[SOUND].sources[0]]

    assert (result.code, result.out) == (1, "")
    assert "temperature = 93.3333 degC is outside 0 to 40 degC" in result.err
    assert "given: temperature=200F" in result.err
    assert f"source: {source}" in result.err


def test_one_bad_value_of_many_is_named(leadsman: Any) -> None:
    """A list is refused for the value that is out of range."""
    result = leadsman("calc", SOUND, "temperature=20C,41C,10C")

    assert result.code == 1
    assert "temperature = 41 degC is outside 0 to 40 degC" in result.err


@pytest.mark.parametrize(
    "name", [n for n, f in sorted(formulas().items()) if any(isinstance(i, Number) for i in f.inputs)]
)
def test_every_formula_refuses_on_the_command_line(leadsman: Any, name: str) -> None:
    """A value far beyond the range of the first number, all else missing or not, is never a traceback."""
    numbers = [i for i in formulas()[name].inputs if isinstance(i, Number)]
    result = leadsman("calc", name, f"{numbers[0].argument}=1e300")

    assert result.code in (1, 2)
    assert result.err.startswith("leadsman: ")


@given(words=st.lists(st.text(alphabet="=,.- 0123456789acefmtµ\"'%", max_size=14), max_size=3))
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_no_input_makes_a_traceback(capsys: pytest.CaptureFixture[str], words: list[str]) -> None:
    """Whatever is typed ends with an exit code, never with an exception."""
    with pytest.raises(SystemExit) as end:
        main(["calc", SOUND, *words])
    capsys.readouterr()

    assert end.value.code in (0, 1, 2)


def test_errors_of_the_parts_carry_data() -> None:
    """A program that uses the parts gets the name of the input, not only a text."""
    with pytest.raises(ArgumentError) as wrong:
        read_arguments(formulas()[SOUND], {"temperature": "warm"})
    assert wrong.value.name == "temperature"

    with pytest.raises(CalculationError, match="outside 0 to 40"):
        calculate(formulas()[SOUND], {"temperature_c": 99.0})


# --- evidence ----------------------------------------------------------------------------------


def test_evidence_report(leadsman: Any) -> None:
    """Each formula has a line; with everything in order the code is 0."""
    result = leadsman("calc", "--evidence")

    assert result.code == 0, result.out
    assert [line.split()[0] for line in result.out.splitlines()[1:-1]] == sorted(formulas())
    assert result.out.splitlines()[-1].endswith(" 0 failed")


def test_evidence_as_data(leadsman: Any) -> None:
    """The same as JSON, with sources."""
    report = {
        entry["formula"]: entry
        for entry in json.loads(leadsman("calc", "--evidence", "--format", "json").out)
    }

    assert sorted(report) == sorted(formulas())
    assert sum(report[SOUND]["witnesses"].values()) > 3
    assert report[SOUND]["sources"]
    assert report[SOUND]["failures"] == []


def test_evidence_of_one_formula_lists_its_rows(leadsman: Any) -> None:
    """Inputs, value, error and source of each row."""
    result = leadsman("calc", SOUND, "--evidence")

    assert result.code == 0
    assert "temperature_c=" in result.out
    assert "19" in result.out


def test_evidence_that_fails_is_exit_code_1(
    leadsman: Any, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A row that does not agree is printed with its source, and the code says so."""
    (tmp_path / "water.yaml").write_text(
        f"- id: w-1\n  formula: {SOUND}\n  inputs: {{temperature_c: 20}}\n  expected: 1500\n"
        "  tolerance: {abs: 1}\n  why: made up\n  source: Nobody. 2000.\n  basis: regression\n",
        encoding="utf-8",
    )
    monkeypatch.setattr("leadsman.evidence.reference_folder", lambda: tmp_path)
    result = leadsman("calc", "--evidence")

    assert result.code == 1
    assert f"FAILED {SOUND} water/w-1 [regression: Nobody. 2000.]: 1482.3" in result.out


# --- showing -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (0.123456, "V", "0.1235 V"),
        (12345.6, "m", "12350 m"),
        (True, "", "yes"),
        (np.bool_(False), "", "no"),
        ("16 AWG", "", "16 AWG"),
        (None, "m", "none"),
        (float("inf"), "m", "inf"),
        (3, "1", "3"),
        ([1.0, 2.0], "m", "1 m, 2 m"),
        (np.float64(0.1 + 0.2), "m", "0.3 m"),
    ],
)
def test_results_are_shown_as_a_reader_wants_them(value: Any, unit: str, shown: str) -> None:
    """Digits limited, no float noise, words for truth values."""
    assert shown_result(value, unit, 4) == shown


def test_rows_and_data_agree() -> None:
    """The table and the JSON show the same calculation."""
    calculation = calculate(formulas()[SOUND], {"temperature_c": np.array([0.0, 20.0])})
    rows = table_rows(calculation, digits=12)
    data = as_data(calculation)["outputs"]["sound_speed"]["value"]

    assert [float(row[1].split()[0]) for row in rows[1:]] == pytest.approx(data, rel=1e-11)


# --- the command line as such ------------------------------------------------------------------


def test_help_names_every_command(leadsman: Any) -> None:
    """A command in the table has a line in the help and a help of its own."""
    text = leadsman("--help").out

    for name in COMMANDS:
        assert f"\n    {name} " in text
        assert leadsman(name, "--help").code == 0


def test_without_a_command_the_help_is_shown(leadsman: Any) -> None:
    """Nothing to do is a usage mistake, and the help is the answer."""
    result = leadsman()

    assert result.code == 2
    assert "commands:" in result.out


def test_version(leadsman: Any) -> None:
    """Name and number."""
    assert leadsman("--version").out.startswith("leadsman 0.")


def test_content_errors_are_exit_code_1(leadsman: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever a command reports in plain words is printed, without a traceback."""

    def fail(_: object) -> int:
        raise LeadsmanError("the content has a problem")

    monkeypatch.setattr("leadsman.commands.calc.run", fail)
    result = leadsman("calc")

    assert (result.code, result.err) == (1, "leadsman: the content has a problem\n")


def test_as_a_user_starts_it() -> None:
    """The same from a process of its own, in any encoding."""
    plain = in_process_of_its_own("calc", SOUND, "temperature=20°C")
    ascii_only = in_process_of_its_own("calc", SOUND, "temperature=20C", PYTHONIOENCODING="ascii")

    assert plain.code == ascii_only.code == 0
    assert plain.out == ascii_only.out
    refused = in_process_of_its_own("calc", SOUND, "temperature=20°Cµ", PYTHONIOENCODING="ascii")
    assert refused.code == 2
    assert "Traceback" not in refused.err


def test_a_reader_that_stops_early_is_no_error() -> None:
    """``leadsman calc | head -1`` ends quietly."""
    code = (
        "from leadsman import cli\nfrom leadsman.commands import calc\n"
        "calc.run = lambda arguments: print('x' * 1_000_000) or 0\ncli.main(['calc'])"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.read(10)
        process.stdout.close()
        complaint = process.stderr.read().decode()

    assert complaint == ""
    assert process.returncode == 0


#: What a formula of the supply may load beside the standard library: NumPy and the project's own light modules.
HEAVY = ("scipy", "weasyprint", "pint", "yaml", "pydantic", "jinja2", "matplotlib", "markdown", "fontTools")


def test_help_loads_nothing_heavy(loaded_by: Any) -> None:
    """Help needs no library at all."""
    loaded = loaded_by("from leadsman.cli import build_parser\nbuild_parser().format_help()")

    assert not loaded & {"numpy", *HEAVY}


@pytest.mark.parametrize(
    ("words", "topics"),
    [
        (["supply.voltage_drop", "current=4A", "length=20ft", "conductor=16AWG"], {"supply"}),
        (["supply.voltage_drop"], {"supply"}),
        (["supply"], {"supply"}),
        (["water.sound_speed", "temperature=68F", "salinity=35", "--units", "us"], {"water"}),
        (["hull.residual_tilt"], {"hull", "transducer"}),
    ],
)
def test_calc_loads_what_it_needs(loaded_by: Any, words: list[str], topics: set[str]) -> None:
    """An answer imports its own topic and NumPy: no other topic, no SciPy, nothing of content and pages.

    The count holds the start short on any machine, where a time would not: each further module costs about a
    thousandth of a second.
    """
    loaded = loaded_by(
        f"from leadsman.cli import main\ntry: main({['calc', *words]!r})\nexcept SystemExit: pass"
    )
    ours = {name for name in loaded if name.startswith("leadsman.")}

    assert not {name.partition(".")[0] for name in loaded} & set(HEAVY)
    assert {name.split(".")[2] for name in ours if name.startswith("leadsman.compute.")} & set(
        TOPICS
    ) == topics
    assert not {name.split(".")[1] for name in ours} & {"content", "book", "press", "output", "inspection"}
    # Each command's own module is loaded at every start; what is heavy stands inside its run.
    others = {name for name in ours if not name.startswith("leadsman.commands.")}
    assert len(others) <= 26, sorted(others)


# --- numbers as people type them ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("salinity=3,5", "write 3.5 for one value, '3; 5' for several"),
        ("salinity=3,5PSU", "write 3.5PSU for one value, '3; 5PSU' for several"),
        ("depth=5,3 m", "write 5.3 m for one value, '5; 3 m' for several"),
        ("depth=1,200 m", "write 1.200 m or 1200 m for one value"),
        ("depth=1,200.5 m", "write 1200.5 m for one value"),
        ("depth=1.200,5 m", "write 1200.5 m for one value"),
        ("depth_m=5,3", "write 5.3 for one value, '5; 3' for several"),
        ("depth=5,3 m; 6,3 m", "'5,3 m' is no quantity; write 5.3 m"),
    ],
)
def test_a_decimal_comma_never_makes_two_values(leadsman: Any, words: str, told: str) -> None:
    """A number that may be read in two ways is refused, with both ways to write it."""
    result = leadsman("calc", SOUND, "temperature=20C", words)

    assert (result.code, result.out) == (2, "")
    assert told in result.err


def test_a_decimal_comma_in_a_size_of_conductor_is_told(leadsman: Any) -> None:
    """2,5 mm2 is one size, not the sizes 2 and 5."""
    result = leadsman("calc", "supply.voltage_drop", "current=4A", "length=7m", "conductor=2,5mm2")

    assert result.code == 2
    assert "write 2.5mm2 for one value" in result.err


@pytest.mark.parametrize("several", ["0.5,0.3", "0.5;0.3", "0.5, 0.3", "1 / 2; 0.3"])
def test_what_cannot_be_one_number_is_a_list(several: str) -> None:
    """Commas between numbers that have their point already, or with a space or unit, separate values."""
    formula = formulas()["supply.longest_run"]
    item = next(i for i in formula.inputs if isinstance(i, Number) and i.unit == "%")
    argument, values = read_input(formula, item.argument, several)

    assert argument == item.argument
    assert list(values) == [0.5, 0.3]


@pytest.mark.parametrize(
    ("formula", "argument", "text", "value"),
    [
        ("supply.voltage_drop", "length_m", "23 ft 6", 23.5 * 0.3048),
        ("supply.voltage_drop", "length_m", "23’", 23 * 0.3048),
        ("supply.voltage_drop", "length_m", "23’ 6”", 23.5 * 0.3048),
        ("supply.voltage_drop", "length_m", "2 1/2 in", 0.0635),
        ("supply.voltage_drop", "conductor", "2/0", "2/0 AWG"),
        ("supply.voltage_drop", "conductor", "2/0 (AWG)", "2/0 AWG"),
        ("water.sound_speed", "temperature_c", "20 degrees C", 20),
        ("water.sound_speed", "temperature_c", "68 degrees F", 20),
        ("water.sound_speed", "salinity_psu", "35 ppt", 35),
        ("sensors.thermistor_temperature", "resistance_ohm", "12 k", 12_000),
    ],
)
def test_reads_what_people_type_for_an_input(formula: str, argument: str, text: str, value: Any) -> None:
    """By the input's name, in its unit."""
    known = formulas()[formula]
    item = next(i for i in known.inputs if i.argument == argument)

    assert read_input(known, item.name, text) == (
        argument,
        pytest.approx(value) if argument != "conductor" else value,
    )
