"""A content folder from somebody who means harm: only its own regular files are read, all else is told at its place.

Unicode's own lists stand behind the signs: noncharacters (The Unicode Standard, section 23.7), private use (23.5),
Default_Ignorable_Code_Point (DerivedCoreProperties), bidirectional controls (UAX #9), normalisation (UAX #15).
"""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import small_content
from leadsman import letters
from leadsman.book.verdict import judge
from leadsman.content.catalogue import load
from leadsman.content.source import parse
from leadsman.errors import MOST_QUOTED, Problem, quoted, visible
from leadsman.press import fonts

ENTRY = "faults/power/low-volts.yaml"
SECRET = "daemon:x:0:0:daemon:/nowhere:/bin/bash\nThe secret of a system file, word for word, of more than sixty letters.\n"


def problems(folder: Path) -> list[str]:
    return [str(problem).partition("content/")[2] for problem in judge(load(folder)).errors]


# --- files ---------------------------------------------------------------------------------------


@pytest.fixture
def secret(tmp_path: Path) -> Path:
    path = tmp_path / "secret"
    path.write_text(SECRET, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "name", ["topics/planted.yaml", "tools.yaml", "faults/power/planted.yaml", "dealer.yaml"]
)
def test_a_link_is_told_and_leaks_nothing(tmp_path: Path, secret: Path, name: str) -> None:
    folder = small_content.copy(tmp_path)
    (folder / name).unlink(missing_ok=True)
    (folder / name).symlink_to(secret)
    catalogue = load(folder)
    assert f"{name}:1:1: is a link, no regular file; put the file itself into the folder" in problems(
        folder
    ) or (name == "dealer.yaml")
    said = "\n".join(map(str, catalogue.problems))
    assert "is a link" in said
    assert not any(word in said for word in ("daemon", "secret of", "word for word"))


def test_a_folder_that_is_a_link_is_told(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    (folder / "topics").rename(tmp_path / "elsewhere")
    (folder / "topics").symlink_to(tmp_path / "elsewhere")
    assert "topics:1:1: is a link, no regular file; put the file itself into the folder" in problems(folder)
    assert load(folder).topics == {}


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (os.mkfifo, "is a pipe, no regular file"),
        (lambda p: p.symlink_to(p), "is a link, no regular file"),
        (lambda p: p.symlink_to("/dev/zero"), "is a link, no regular file"),
        (Path.mkdir, "is a folder"),
        (lambda p: (p.touch(), os.truncate(p, 5_000_000_000)), "is larger than 512 kB"),
    ],
)
def test_a_list_that_is_no_small_regular_file_is_told(
    tmp_path: Path, make: Callable[[Path], object], told: str
) -> None:
    folder = small_content.copy(tmp_path)
    (folder / "tools.yaml").unlink()
    make(folder / "tools.yaml")
    assert any(line.startswith(f"tools.yaml:1:1: {told}") for line in problems(folder))


def test_names_with_signs_for_the_terminal_are_shown(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    (folder / "topics" / "\x1b[31mred\n.yaml").write_text("id: x\n", encoding="utf-8")
    told = [line for line in problems(folder) if "red" in line]
    assert told
    assert all(line.startswith("topics/<U+001B>[31mred<U+000A>.yaml:1:") for line in told)


# --- quoting -------------------------------------------------------------------------------------


LONG = "z" * 300 + "\x1b[31m"


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        (ENTRY, "title: Low volts", f"title: {'z' * 300}"),
        (ENTRY, "status: draft", f"status: {'z' * 300}"),
        (ENTRY, "  messages:", f"  {'z' * 300}:"),
        (ENTRY, "in_service: 3", f"in_service: {'z' * 300}"),
        (ENTRY, "id: limit", f"id: {'z' * 300}"),
        (ENTRY, "remedy: [Renew the joint.]", f"remedy: [The {'z ' * 300}.]"),
        (ENTRY, "remedy: [Renew the joint.]", f"remedy: ['{{value: {'z' * 300}}}']"),
        (ENTRY, "remedy: [Renew the joint.]", f"remedy: ['Renew <{'z' * 300}>.']"),
        (ENTRY, "    use: own-volts\n", f"    use: {'z' * 300}\n"),
        ("tools.yaml", "torch: {name: Torch}", f"{'z' * 300}: {{name: Torch}}"),
        ("tools.yaml", "torch: {name: Torch}", f"torch: *{'z' * 300}"),
        ("tools.yaml", "torch: {name: Torch}", f"torch: !{'z' * 300} x"),
        ("values.yaml", "declared: 10 s", f"declared: {'z' * 300}"),
    ],
)
def test_a_message_quotes_at_most_sixty_letters(tmp_path: Path, file: str, old: str, new: str) -> None:
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, file, old, new)
    found = problems(folder)
    assert found
    for line in found:
        assert re.search(rf"z{{{MOST_QUOTED + 1}}}", line) is None
        assert line.count("z ") <= MOST_QUOTED


@given(st.text())
def test_what_is_quoted_is_short_and_seen(text: str) -> None:
    shown = quoted(text)
    assert len(re.sub(r"<U\+[0-9A-F]+>", "x", shown)) <= MOST_QUOTED + 3
    assert shown == visible(shown)
    assert not any(unicodedata.category(sign) in ("Cc", "Cf", "Co", "Cn", "Zl", "Zp") for sign in shown)


def test_the_last_wall_leaves_words_with_apostrophes_alone() -> None:
    text = "the boat's lead is longer than the dealer's list of leads allows, and the owner's fuse is smaller"
    assert Problem("a", 1, 1, text).what == text
    assert Problem("a", 1, 1, f"'{'q' * 100}' is odd").what == f"'{'q' * 60}...' is odd"


# --- signs ---------------------------------------------------------------------------------------

FORBIDDEN = {
    "noncharacter": "\ufdd0", "last of a plane": "\U0001ffff", "private": "\ue000", "far private": "\U000f0000",
    "right to left": "\u202e", "isolate": "\u2066", "zero width": "\u200b", "joiner": "\u200d", "soft hyphen": "\xad",
    "variation": "\ufe0f", "tag": "\U000e0041", "filler": "\u3164", "line": "\u2028", "bell": "\x07", "next line": "\x85",
    "unassigned": "\u0378", "object": "\ufffc",
}  # fmt: skip


@pytest.mark.parametrize("sign", FORBIDDEN.values(), ids=FORBIDDEN)
@pytest.mark.parametrize("escaped", [False, True])
def test_signs_that_no_text_may_hold_are_told_at_their_place(
    tmp_path: Path, sign: str, escaped: bool
) -> None:
    folder = small_content.copy(tmp_path)
    written = f"\\U{ord(sign):08x}" if escaped else sign
    small_content.edit(folder, "tools.yaml", "torch: {name: Torch}", f'torch: {{name: "To{written}rch"}}')
    (told,) = [line for line in problems(folder) if line.startswith("tools.yaml")]
    line = (folder / "tools.yaml").read_text(encoding="utf-8").split("torch:")[0].count("\n") + 1
    assert told.startswith(f"tools.yaml:{line}:")
    assert f"U+{ord(sign):04X}" in told
    if not escaped:
        assert told.startswith(f"tools.yaml:{line}:{len('torch: {name: ') + 4}:")


@pytest.mark.parametrize("sign", ["\x07", "\u202e", "\ue000"])
def test_signs_in_keys_are_told(tmp_path: Path, sign: str) -> None:
    folder = small_content.copy(tmp_path)
    small_content.edit(
        folder, "tools.yaml", "torch: {name: Torch}", f'"torch\\U{ord(sign):08x}": {{name: Torch}}'
    )
    assert any(f"U+{ord(sign):04X}" in line and sign not in line for line in problems(folder))


def test_two_spellings_of_one_letter_are_told() -> None:
    document = parse("name: Jose\u0301 and Ang\u212bstrom\n".encode(), Path("a.yaml"))
    (told,) = document.problems
    assert (told.line, told.column) == (1, 10)
    assert "spells U+00E9 in another way" in told.what


def test_a_file_of_nothing_but_forbidden_signs_is_told_in_few_lines() -> None:
    assert len(parse("\u200b".encode() * 100_000, Path("a.yaml")).problems) == 21


@pytest.mark.parametrize("sign", ["\N{GRINNING FACE}", "\u05d0", "\u0627", "\u6d77", "\u2693"])
@pytest.mark.parametrize("escaped", [False, True])
def test_signs_without_a_glyph_are_told_with_line_and_column(
    tmp_path: Path, sign: str, escaped: bool
) -> None:
    folder = small_content.copy(tmp_path)
    written = f"\\U{ord(sign):08x}" if escaped else sign
    small_content.edit(folder, ENTRY, "remedy: [Renew the joint.]", f'remedy: ["Renew the {written} joint."]')
    (told,) = problems(folder)
    text = (folder / ENTRY).read_text(encoding="utf-8")
    line = text[: text.index("Renew the")].count("\n") + 1
    assert told.startswith(f"{ENTRY}:{line}:")
    assert f"the fonts have no sign '{sign}' (U+{ord(sign):04X})" in told
    if not escaped:
        assert int(told.split(":")[2]) == text.splitlines()[line - 1].index(sign) + 1


def test_the_coverage_is_that_of_the_font_that_every_text_falls_back_to() -> None:
    faces = [face for face in fonts.FACES if face.family == fonts.TEXT and face.style == "normal"]
    assert [(fonts.PACKAGES[f.package], f.file) for f in faces] == [letters.TEXT_FONT]
    assert {
        "\N{DEGREE SIGN}",
        "\N{GREEK CAPITAL LETTER OMEGA}",
        "\u202f",
        "\u2212",
        "é",
    } <= letters.printable()


# --- numbers, ids, dates, sizes ------------------------------------------------------------------


@pytest.mark.parametrize(
    "number",
    [
        "9" * 5000,
        "9" * 21,
        "1" + "0" * 400 + ".0",
        "-" + "9" * 5000,
        ".inf",
        ".nan",
        "1e999",
        "0x" + "f" * 5000,
    ],
)
def test_numbers_that_nobody_measured_are_told(tmp_path: Path, number: str) -> None:
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, "boats/punt.yaml", "deadrise_deg: 2.0", f"deadrise_deg: {number}")
    found = problems(folder)
    assert found
    assert all(line.startswith("boats/punt.yaml:") for line in found)
    assert max(map(len, found)) < 300


@pytest.mark.parametrize(
    ("declared", "told"),
    [
        ("6 ft", "is given in ft; write it in m"),
        ("6 ft 3 in", "is given in ft; write it in m"),
        ("14 AWG", "is given in AWG; write it in mm2"),
        ("40 degF", "is given in degF; write it in degC"),
        ("5 m to 9 A", "gives a unit in the middle"),
        ("9 to 5 A", "runs from the greater to the lesser"),
        ("1e300 V", "is no ordinary number"),
        ("1e-300 V", "is no ordinary number"),
        ("9" * 5000 + " V", "a number of so many digits"),
        ("inf V", "is no quantity"),
    ],
)
def test_declared_values_that_cannot_print_are_told_at_their_line(
    tmp_path: Path, declared: str, told: str
) -> None:
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, "values.yaml", "declared: 10 s", f'declared: "{declared}"')
    assert any(line.startswith("values.yaml:") and f"wait-time.declared: {told}" in line.replace(
        "'" + declared + "' ", "") for line in problems(folder))  # fmt: skip


@pytest.mark.parametrize(
    "name", ["Torch", "tor ch", "torch_2", "-torch", "t" * 61, "../torch", "12", "tórch", ""]
)
def test_ids_of_lists_have_the_form_of_all_ids(tmp_path: Path, name: str) -> None:
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, "tools.yaml", "torch: {name: Torch}", f'"{name}": {{name: Torch}}')
    assert any(
        line.startswith("tools.yaml:") and "has the wrong form; use small letters" in line
        for line in problems(folder)
    )


@pytest.mark.parametrize(
    "date", ["2026-00-10", "2026-13-10", "2026-02-30", "2026-04-31", "0000-01-01", "1880-01-01"]
)
def test_dates_are_dates(tmp_path: Path, date: str) -> None:
    folder = small_content.copy(tmp_path)
    small_content.edit(folder, ENTRY, '"2026-11-25"', f'"{date}"')
    assert any(line.startswith(f"{ENTRY}:") and ": reviewed: " in line for line in problems(folder))


def test_what_a_card_cannot_hold_is_told(tmp_path: Path) -> None:
    folder = small_content.copy(tmp_path)
    steps = ", ".join(f"Renew joint {n}." for n in range(40))
    small_content.edit(folder, ENTRY, "remedy: [Renew the joint.]", f"remedy: [{steps}]")
    small_content.edit(
        folder,
        "tables/lead-drop.yaml",
        "values: [3 m, 6 m]",
        f"values: [{', '.join(f'{n} m' for n in range(1, 12))}]",
    )
    small_content.edit(folder, "tools.yaml", "torch: {name: Torch}", f"torch: {{name: {'T' * 90}}}")
    found = problems(folder)
    assert any("a remedy of 40 steps; a card has room for 6" in line for line in found)
    assert any(
        re.match(
            r"tables/lead-drop.yaml:\d+:\d+: rows: 11 rows and 2 columns; a card has room for 10 and 4", line
        )
        for line in found
    )
    assert any(
        re.match(r"tools.yaml:\d+:\d+: torch.name: a word of 90 letters: 'T{20}\.\.\.'", line)
        for line in found
    )
