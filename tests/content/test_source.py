"""Strict YAML: every trap is refused at its line and column with a hint, and nothing at all raises.

The traps are those of the YAML 1.1 type repository (yaml.org/type: bool, int, float, timestamp, merge) where
it reads a plain word otherwise than the core schema of YAML 1.2 (YAML 1.2.2, 2021, section 10.3).
"""

from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import small_content
from leadsman.content.source import MAX_BYTES, MAX_DEPTH, MAX_NODES, Document, field_name, parse, read

NAME = Path("record.yaml")


def problems(text: str) -> list[str]:
    """The problems of a text as a writer reads them."""
    return [str(problem) for problem in parse(text.encode(), NAME).problems]


@pytest.mark.parametrize(
    ("word", "hint"),
    [
        ("no", "true or false"), ("yes", "true or false"), ("on", "true or false"), ("off", "true or false"),
        ("y", "true or false"), ("NO", "true or false"), ("True", "true or false"),
        ("NULL", "true or false"),
        ("012", "leading zero"), ("-07", "leading zero"), ("0_1", "leading zero"),
        ("12:30", "in quotes"), ("1:20:30", "in quotes"), ("12:30.5", "in quotes"),
        ("2026-11-25", "date in quotes"), ("2026-1-2", "date in quotes"),
        ("2026-11-25T10:00:00Z", "date in quotes"),
        ("1e3", "write the number out"), ("1.5e-3", "write the number out"), (".5E+2", "write the number out"),
        ("0x1F", "decimal"), ("0o17", "decimal"), ("0b101", "decimal"),
        ("1_000", "without underscores"),
        (".inf", "write a number"), ("-.INF", "write a number"), (".nan", "write a number"),
        (".5", "both sides"), ("5.", "both sides"), ("+5.", "both sides"),
    ],
)  # fmt: skip
def test_a_word_of_two_readings_is_refused_plain_and_taken_quoted(word: str, hint: str) -> None:
    (problem,) = problems(f"first: 1\nsecond: {word}\n")
    assert problem.startswith(f"record.yaml:2:9: '{word}' can be read in two ways; ")
    assert hint in problem
    for quoted in (f"'{word}'", f'"{word}"'):
        document = parse(f"second: {quoted}\n".encode(), NAME)
        assert (document.problems, document.data) == ([], {"second": word})


@pytest.mark.parametrize("word", ["no", "on", "012", "2026-11-25", "1e3"])
def test_a_key_may_be_such_a_word(word: str) -> None:
    document = parse(f"{word}: right\n".encode(), NAME)
    assert (document.problems, document.data) == ([], {word: "right"})


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("12", 12), ("-3", -3), ("+5", 5), ("+44 1632", "+44 1632"), ("0", 0), ("1.50", 1.5), ("-0.5", -0.5), ("true", True), ("false", False),
        ("null", None), ("~", None), ("", None), ("12 V", "12 V"), ("a b", "a b"), ("1.2.3", "1.2.3"),
        ("3 to 4", "3 to 4"), ("01632 960 147", "01632 960 147"), ("nothing", "nothing"), ("[1, x]", [1, "x"]),
        ("{a: 1}", {"a": 1}), ("! 12", "12"),
    ],
)  # fmt: skip
def test_plain_values_are_read(written: str, value: object) -> None:
    document = parse(f"key: {written}\n".encode(), NAME)
    assert document.problems == []
    assert document.data == {"key": value}
    assert type(document.data["key"]) is type(value)


@pytest.mark.parametrize(
    "text",
    [
        "a: b c\nd: [1, 2.5, true, null, x-y]\n",
        "a: |\n  two\n  lines\nb: >-\n  one\n  line\n",
        "- 1\n- {k: v}\n",
    ],
)
def test_sound_text_reads_as_the_reference_parser_reads_it(text: str) -> None:
    document = parse(text.encode(), NAME)
    assert document.problems == []
    assert document.data == yaml.safe_load(text)


@pytest.mark.parametrize(
    ("text", "place", "what", "hint"),
    [
        ("a: 1\nb: 2\na: 3\n", "3:1", "the key 'a' stands twice (first in line 1)", "keep one"),
        ("x:\n  a: 1\n  a: {b: 1}\n", "3:3", "the key 'a' stands twice (first in line 2)", "keep one"),
        ("a: &here 1\n", "1:4", "anchor or alias", "quotes"),
        ("a: x\nb: *here\n", "2:4", "anchor or alias", "quotes"),
        ("a: &x {b: 1}\n", "1:4", "anchor or alias", "quotes"),
        ("a: !!int '1'\n", "1:4", "uses the tag tag:yaml.org,2002:int", "remove it"),
        ("a: !own [1]\n", "1:4", "uses the tag !own", "remove it"),
        ("a: !!python/object/apply:os.getcwd []\n", "1:4", "uses the tag", "remove it"),
        ("a:\n  <<: {b: 1}\n", "2:3", "merge key", "write the values out"),
        ("a: 1\n---\nb: 2\n", "2:1", "second document", "remove the --- line"),
        ("? [1, 2]\n: x\n", "1:3", "key that is not plain text", "write a word"),
        ("a: 1\n\tb: 2\n", "2:1", "not valid YAML", "spaces, not tabs"),
        ("a: if: x: y\n", "1:6", "not valid YAML", "quotes"),
        ("a: @x\n", "1:4", "not valid YAML", "special character"),
        ("a: 'x\n", "2:1", "not valid YAML", "check the indentation"),
        ("", "1:1", "is empty", "write the record"),
        ("# only a note\n", "1:1", "is empty", "write the record"),
    ],
)
def test_a_trap_is_refused_at_its_place(text: str, place: str, what: str, hint: str) -> None:
    found = problems(text)
    assert len(found) == 1
    assert found[0].startswith(f"record.yaml:{place}: ")
    assert what in found[0].partition("; ")[0]
    assert hint in found[0].partition("; ")[2]


@pytest.mark.parametrize("sign", ["\x00", "\x07", "\x1b", "\x7f", "\x85", "\u2028", "\ufeff"])
def test_a_control_character_is_refused_at_its_place(sign: str) -> None:
    kind = {"\u2028": "line separator", "\ufeff": "hidden sign"}.get(sign, "control character")
    assert problems(f"a: 1\nb: x{sign}y\n") == [
        f"record.yaml:2:5: holds the {kind} U+{ord(sign):04X}; remove it"
    ]


def test_an_escaped_control_character_is_refused_too() -> None:
    assert problems('a: "x\\e[31my"\n') == ["record.yaml:1:4: holds the control character U+001B; remove it"]


def test_a_byte_that_is_no_utf8_is_reported_in_its_line() -> None:
    (problem,) = parse(b"a: 1\nb: caf\xe9\n", NAME).problems
    assert str(problem) == "record.yaml:2:1: is not UTF-8 text; save the file as UTF-8"


def test_all_traps_of_a_file_are_listed_in_one_run() -> None:
    found = problems("a: no\nb: 012\nb: 1\nc: !t x\n")
    assert [line.split(":")[1] for line in found] == ["1", "2", "3", "4"]


@pytest.mark.parametrize(
    "text",
    [
        "[" * (MAX_DEPTH + 5) + "]" * (MAX_DEPTH + 5),
        "".join(" " * n + "a:\n" for n in range(MAX_DEPTH + 5)),
        "[" * 100_000,
        "{a: " * 20_000,
        "- " * 20_000 + "x",
        "a: [" + "1, " * (MAX_NODES + 1) + "1]",
    ],
    ids=["flow", "block", "brackets", "braces", "dashes", "nodes"],
)
def test_deep_or_large_text_is_refused(text: str) -> None:
    found = problems(text)
    assert len(found) == 1
    assert "too deep or too large" in found[0] or "nesting depth" in found[0]


def test_a_list_at_the_permitted_depth_is_read() -> None:
    assert problems("[" * MAX_DEPTH + "]" * MAX_DEPTH) == []


def test_a_file_beyond_the_permitted_size_is_refused() -> None:
    assert problems("a: " + "x" * MAX_BYTES) == ["record.yaml:1:1: the file is larger than 512 kB; split it"]


def test_a_file_that_cannot_be_read_is_a_problem(tmp_path: Path) -> None:
    (problem,) = read(tmp_path / "absent.yaml").problems
    assert problem.what == "is missing"


def test_places_of_keys_and_values() -> None:
    document = parse(b"a:\n  - {b: 1}\n  - x\n", NAME)
    assert document.place(("a", 0, "b")) == (2, 9)
    assert document.place(("a", 0, "b"), key=True) == (2, 6)
    assert document.place(("a", 1)) == (3, 5)
    # What does not stand there is reported at what encloses it.
    assert document.place(("a", 0, "absent", "deeper")) == (2, 5)
    assert document.place(("absent",)) == (1, 1)
    assert Document(NAME).place(("absent",)) == (1, 1)
    assert field_name(("checks", 1, "outcomes", "yes")) == "checks[1].outcomes.yes"


def check_sound(raw: bytes) -> None:
    """Whatever the bytes are: a document comes back, each problem has a place, and data are plain."""
    document = parse(raw, NAME)
    for problem in document.problems:
        assert problem.line >= 1
        assert problem.column >= 1
        assert problem.what
        # A control sign in a message would reach the terminal.
        assert all(sign.isprintable() for sign in problem.what if sign not in "\n\u00a0"), problem.what
    if not document.problems:
        assert document.data is None or isinstance(document.data, (str, int, float, bool, list, dict))


@settings(max_examples=250)
@given(st.binary(max_size=200))
def test_no_bytes_raise(raw: bytes) -> None:
    check_sound(raw)


@settings(max_examples=250)
@given(st.text(alphabet="ab01:-?{}[]&*!|>'\"%@`#,. \n\t\\~<=\u00e9", max_size=80))
def test_no_text_of_special_signs_raises(text: str) -> None:
    check_sound(text.encode())


PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers(-999, 999) | st.text("abc xyz-'\"#:{", max_size=12),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text("abc", min_size=1, max_size=3), inner, max_size=3),
    max_leaves=8,
)  # fmt: skip


@settings(max_examples=100)
@given(PLAIN)
def test_what_a_yaml_writer_quotes_comes_back(data: object) -> None:
    # Every text in quotes and all else as PyYAML writes it, with no anchors.
    class Writer(yaml.SafeDumper):
        def ignore_aliases(self, data: object) -> bool:
            return True

    Writer.add_representer(
        str, lambda writer, text: writer.represent_scalar("tag:yaml.org,2002:str", text, style='"')
    )
    document = parse(yaml.dump(data, Dumper=Writer).encode(), NAME)
    assert document.problems == []
    assert document.data == data


ENTRY = (small_content.FOLDER / "faults/depth/no-depth.yaml").read_bytes()


@settings(max_examples=120, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.integers(0, len(ENTRY)), st.integers(0, 40), st.sampled_from([b"", b"\t", b"&a ", b"*a", b"- ", b": ", b"'", b"\xff",
                                                                     b"\x00", b"---\n", b"{", b"]", b"\n", b"!!x ", b"<<: "])
)  # fmt: skip
def test_a_damaged_entry_never_raises(start: int, length: int, put: bytes) -> None:
    check_sound(ENTRY[:start] + put + ENTRY[start + length :])
