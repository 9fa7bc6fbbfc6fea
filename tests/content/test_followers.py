"""One slip is one problem: what only follows from it is held back, and nothing that stands for itself is."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

import small_content
from leadsman.book.verdict import judge
from leadsman.cli import main
from leadsman.content.catalogue import load
from leadsman.content.rules import Verdict, followers
from leadsman.errors import Problem, shown_path

ENTRY, OTHER = "faults/depth/no-depth.yaml", "faults/power/low-volts.yaml"


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """Return a copy of the small content, in which a table takes a value and three places name the other entry."""
    folder = small_content.copy(tmp_path)
    edit("tables/lead-drop.yaml", "{assumption: copper-temperature}", "{value: copper-warm}")(folder)
    edit("tables/lead-drop.yaml", "assumptions: [copper-temperature]", "assumptions: []")(folder)
    edit("values.yaml", "{assumption: copper-temperature}", "{value: copper-warm}")(folder)
    (folder / "assumptions.yaml").write_text("{}\n", encoding="utf-8")
    with (folder / "values.yaml").open("a", encoding="utf-8") as values:
        values.write(
            "copper-warm: {meaning: Warm copper, declared: 30 C, source: common-practice, band: [20 C, 50 C]}\n"
        )
    edit(ENTRY, "[Keep the defaults.]", "['Keep the defaults, or take {card: low-volts}.']")(folder)
    assert [str(problem) for problem in judge(load(folder)).problems] == []
    return folder


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
    edit(OTHER, "id: low-volts", "id: low-thing")(folder)
    (folder / OTHER).rename(folder / "faults/power/low-thing.yaml")


def double(folder: Path) -> None:
    """Begin an entry as a copy of another, and leave its code."""
    text = (folder / OTHER).read_text(encoding="utf-8").replace("  messages: {plain: [low-supply]}\n", "")
    (folder / "faults/power/more-volts.yaml").write_text(
        text.replace("id: low-volts", "id: more-volts"), encoding="utf-8"
    )


def misspell(folder: Path) -> None:
    """Misspell the folder of an area."""
    (folder / "faults/depth").rename(folder / "faults/depht")


SLIPS: dict[str, tuple[Callable[[Path], None], str]] = {
    "a tab": (edit(ENTRY, "\n  - {id: bad-plug", "\n\t- {id: bad-plug"), "indent with spaces, not tabs"),
    "a merge": (edit(ENTRY, "title:", "<<<<<<< HEAD\ntitle:"), "settle the merge"),
    "a byte-order mark": (edit(ENTRY, "id: no-depth", "\ufeffid: no-depth"), "byte-order mark"),
    "curly quotes": (edit(ENTRY, 'reviewed: "2026-11-25"', "reviewed: “2026-11-25”"), "straight quotes"),
    "a shared check": (edit(ENTRY, "use: lamp-at-plug", "use: lamp-at-plugg"), "checks.lamp.use: 'lamp-at-plugg' is no check; did you mean 'lamp-at-plug'?"),
    "an id": (edit(ENTRY, "id: no-depth", "id: no-depths"), "write 'id: no-depth' or rename the file"),
    "a code": (double, "'P1' is also the code of low-volts; take P2"),
    "an area": (edit(ENTRY, "area: depth", "area: depht"), "'depht' is no area; did you mean 'depth'?"),
    "a folder": (misspell, "rename the folder; did you mean 'depth'?"),
    "a sediment": (edit("waters/lake.yaml", "sediment: ", "sediment: silt #"), "'silt' is not allowed; use 'rock', 'gravel', 'sand' or 'mud'"),
    "a key": (edit(ENTRY, "in_service", "in-service"), "did you mean 'in_service'?"),
    "a number": (edit("values.yaml", "declared: 10 s", "declared: 10"), "write it with its unit, in quotes"),
    "a lost unit": (edit("values.yaml", "declared: 30 C", "declared: '30'"), "'30' has no unit"),
    "a renamed entry": (rename, "{card: low-volts} points to nothing; did you mean 'low-thing'?"),
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
    edit(OTHER, "title: ", "title: Ten volts, 10 V and ")(content)
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
    edit(ENTRY, "use: lamp-at-plug", "use: old-check")(content)
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
    said_of_all = said("walk", "low-volts", "--all", "--limit", "1")
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


@pytest.mark.parametrize(
    ("rules", "following"),
    [
        (("codes", "message-coverage"), []),
        (("yaml", "message-coverage"), ["message-coverage"]),
        (("content", "message-coverage"), ["message-coverage"]),
        (("declared-unit", "message-coverage"), ["message-coverage"]),
        (("links", "message-coverage"), []),
    ],
)
def test_what_is_asked_of_all_records_waits_for_those_that_cannot_be_read(
    rules: tuple[str, ...], following: list[str]
) -> None:
    """In a file of its own, which nothing is wrong with."""
    problems = [Problem(f"{rule}.yaml", 1, 1, "is wrong", "mend it", "", rule) for rule in rules]
    found = followers.followers(problems, load(small_content.FOLDER))
    assert [problem.rule for problem in found] == following


@pytest.mark.parametrize(
    ("kind", "name", "following"),
    [("checks", "own-volts", ["found"]), ("checks", "software-list", []), ("families", "plain", []), ("faults", "low-volts", ["found"])],
)  # fmt: skip
def test_a_slip_in_a_shared_check_leads_the_entries_astray_that_use_it(
    kind: str, name: str, following: list[str]
) -> None:
    """The entry on low volts reads the unit's own, and asks for no list of software."""
    catalogue = load(small_content.FOLDER)

    def problem(kind: str, name: str, rule: str) -> Problem:
        path = shown_path(catalogue.origins[kind, name][0].path)
        return Problem(path, 1, 1, "is wrong", "mend it", "", rule)

    problems = [problem(kind, name, "links"), problem("faults", "low-volts", "found")]
    assert [each.rule for each in followers.followers(problems, catalogue)] == following
