"""One slip is one problem: what only follows from it is held back, and nothing that stands for itself is."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from leadsman.book.verdict import judge
from leadsman.cli import main
from leadsman.content.catalogue import load
from leadsman.content.rules import Verdict, followers
from leadsman.errors import Problem

CONTENT = Path(__file__).resolve().parents[2] / "content"
DEAD_UNIT = "faults/power/dead-unit.yaml"


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """Return a copy of the demo content."""
    return Path(shutil.copytree(CONTENT, tmp_path / "content"))


def edit(file: str, old: str, new: str) -> Callable[[Path], None]:
    """Replace the first place of a text."""

    def change(folder: Path) -> None:
        path = folder / file
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), encoding="utf-8")

    return change


def roots(verdict: Verdict) -> list[str]:
    """The errors that are told first, without the folder."""
    return [
        f"{Path(p.path).name}:{p.line}: {p.field}: {p.what}; {p.hint}"
        for p in verdict.roots
        if p.severity == "error"
    ]


def rename(folder: Path) -> None:
    """Give an entry another id and file name."""
    edit(DEAD_UNIT, "id: dead-unit", "id: dead-thing")(folder)
    (folder / DEAD_UNIT).rename(folder / "faults/power/dead-thing.yaml")


def misspell(folder: Path) -> None:
    """Misspell the folder of an area."""
    (folder / "faults/power").rename(folder / "faults/powr")


SLIPS: dict[str, tuple[Callable[[Path], None], str]] = {
    "a tab": (edit(DEAD_UNIT, "\n  - {id: fuse", "\n\t- {id: fuse"), "indent with spaces, not tabs"),
    "a merge": (edit(DEAD_UNIT, "title:", "<<<<<<< HEAD\ntitle:"), "settle the merge"),
    "a byte-order mark": (edit(DEAD_UNIT, "id: dead-unit", "\ufeffid: dead-unit"), "byte-order mark"),
    "curly quotes": (edit(DEAD_UNIT, 'reviewed: "2026-11-25"', "reviewed: “2026-11-25”"), "straight quotes"),
    "a shared check": (edit(DEAD_UNIT, "use: lamp-at-plug", "use: lamp-at-plugg"), "checks.lamp.use: 'lamp-at-plugg' is no check; did you mean 'lamp-at-plug'?"),
    "an id": (edit(DEAD_UNIT, "id: dead-unit", "id: dead-units"), "write 'id: dead-unit' or rename the file"),
    "a code": (edit("faults/power/restarts-on-cranking.yaml", "code: P2", "code: P1"), "'P1' is also the code of dead-unit; take P"),
    "an area": (edit(DEAD_UNIT, "area: power", "area: powr"), "'powr' is no area; did you mean 'power'?"),
    "a folder": (misspell, "rename the folder; did you mean 'power'?"),
    "a sediment": (edit("waters/harrow-bank.yaml", "sediment: ", "sediment: silt #"), "'silt' is not allowed; use 'rock', 'gravel', 'sand' or 'mud'"),
    "a key": (edit(DEAD_UNIT, "in_service", "in-service"), "did you mean 'in_service'?"),
    "a number": (edit("values.yaml", "declared: 0.15 V", "declared: 0.15"), "write it with its unit, in quotes"),
    "a lost unit": (edit("values.yaml", "declared: 0.15 V", "declared: '0.15'"), "'0.15' has no unit"),
    "a renamed entry": (rename, "'dead-unit' is no fault entry"),
}  # fmt: skip


@pytest.mark.parametrize("slip", SLIPS)
def test_one_slip_is_one_problem(content: Path, slip: str) -> None:
    change, says = SLIPS[slip]
    change(content)
    verdict = judge(load(content))
    (told,) = roots(verdict)
    assert says in told
    assert verdict.errors


def test_two_slips_are_two_problems(content: Path) -> None:
    for slip in ("a shared check", "curly quotes"):
        SLIPS[slip][0](content)
    edit("faults/power/restarts-on-cranking.yaml", "title: ", "title: Ten volts, 10 V and ")(content)
    assert len(roots(judge(load(content)))) == 3


def test_the_command_counts_what_follows(content: Path, capsys: pytest.CaptureFixture[str]) -> None:
    SLIPS["a shared check"][0](content)
    printed = []
    for words in ([], ["--all"]):
        with pytest.raises(SystemExit) as end:
            main(["check", *words, "--content", str(content)])
        assert end.value.code == 1
        printed.append(capsys.readouterr().out)
    assert "more follow from these; mend them first, or see all with --all" in printed[0]
    assert "[links]" in printed[0]
    assert "[structure]" in printed[1]
    assert "no path leads here" not in printed[0]


def test_what_was_retired_is_named(content: Path) -> None:
    path = content / "retired.yaml"
    path.write_text(
        "old-check: {was: An old check, on: '2026-01-31', replaced_by: lamp-at-plug, reason: It was merged.}\n",
        encoding="utf-8",
    )
    edit(DEAD_UNIT, "use: lamp-at-plug", "use: old-check")(content)
    (told,) = roots(judge(load(content)))
    assert "it is retired; take 'lamp-at-plug'" in told


def test_every_command_counts_the_same_problems(
    content: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The roots: what follows from them goes with them."""
    SLIPS["a shared check"][0](content)
    SLIPS["a lost unit"][0](content)
    judged = judge(load(content))
    assert (len(judged.root_errors), len(judged.errors) > 3) == (2, True)

    def said(*words: str) -> list[str]:
        with pytest.raises(SystemExit):
            main([*words, "--content", str(content)])
        out, err = capsys.readouterr()
        return (out + err).splitlines()

    places = [f"{problem.path}:{problem.line}:" for problem in judged.root_errors]
    for words in (["check", "--no-cache"], ["build", "--no-cache"], ["guides", "list.csv"]):
        lines = said(*words)
        assert [any(line.startswith(place) for line in lines) for place in places] == [True, True]
        assert len(lines) == 4, lines
        assert " from these; " in lines[2]
        assert "2 problems" in lines[3]
    assert " of these only follow from others" in said("check", "--no-cache", "--all")[-2]
    assert "2 problems, " in said("check", "--no-cache", "--all")[-1]
    said_of_all = said("walk", "restarts-on-cranking", "--all", "--limit", "1")
    assert said_of_all[1].endswith(" paths of a content with 2 problems; see leadsman check")
    monkeypatch.setattr("leadsman.commands.list.run", lambda arguments: {}["a record"])
    (tripped,) = said("list")
    assert tripped.endswith(" and 1 more; see leadsman check")


def test_what_only_follows_is_told_of_a_named_file(content: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing else is wrong with the file, and its root is in another."""
    SLIPS["a lost unit"][0](content)
    judged = judge(load(content))
    followed = min({problem.path for problem in judged.following} - {judged.root_errors[0].path})
    with pytest.raises(SystemExit) as end:
        main(["check", followed, "--no-cache", "--content", str(content)])
    lines = capsys.readouterr().out.splitlines()
    assert end.value.code == 1
    assert lines[0].startswith(f"{followed}:")
    assert " problem" in lines[-1]
    assert " 0 problems" not in lines[-1]


def test_thousands_of_places_that_name_nothing_cost_no_more_than_each_its_look(
    content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A stranger's file may hold ten thousand of them."""
    terms = "".join(f"w{n}: {{term: W{n}, definition: 'See {{value: nope}}.'}}\n" for n in range(300))
    with (content / "glossary.yaml").open("a", encoding="utf-8") as glossary:
        glossary.write(terms)
    looks, right = [], followers._missing

    def missing(problem: Problem) -> str | None:
        looks.append(problem)
        return right(problem)

    monkeypatch.setattr(followers, "_missing", missing)
    verdict = judge(load(content))
    assert (len(verdict.root_errors), len(verdict.errors)) == (1, 300)
    assert len(looks) == 300
