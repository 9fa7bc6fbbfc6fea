"""A new record passes the check as it is written, whatever it is called, and harms nothing that is there."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import small_content
from leadsman.book.verdict import judge
from leadsman.cli import main
from leadsman.content.catalogue import load
from leadsman.content.scaffold import quoted

LIKE = {"family": "plain", "boat": "punt", "transducer": "round", "water": "lake", "table": "lead-drop",
        "edition": "deck"}  # fmt: skip


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """Return a copy of the small content, with what the pattern of a fault asks to be recorded."""
    folder = small_content.copy(tmp_path)
    with (folder / "evidence.yaml").open("a", encoding="utf-8") as evidence:
        for name in ("display-serial", "software-versions", "not-done"):
            evidence.write(f"{name}: {{ask: The {name}, kind: text}}\n")
    for entry in ("depth/no-depth", "power/low-volts"):
        small_content.edit(folder, f"faults/{entry}.yaml", "history]", "history, not-done]")
    return folder


def new(*words: str, content: Path) -> object:
    """Run ``leadsman new``; its exit code."""
    with pytest.raises(SystemExit) as end:
        main(["new", *words, "--content", str(content)])
    return end.value.code


def every_kind_passes(content: Path, areas: tuple[str, ...], like: dict[str, str]) -> None:
    """Begin a record of every kind; the content stays sound, and a new family waits for its own words."""
    for area in areas:
        words = ("fault", f"{area}-heron", "--area", area, "--title", "No: a title with 'signs'")
        assert new(*words, content=content) == 0
    assert new("check", "heron", content=content) == 0
    assert new("topic", "heron", content=content) == 0
    for kind, old in like.items():
        assert new(kind, f"heron-{kind}", "--like", old, "--title", f"Heron {kind}", content=content) == 0
    catalogue = load(content)
    assert [str(problem) for problem in judge(catalogue).errors] == []
    codes = [entry.code for entry in catalogue.faults.values()]
    assert len(codes) == len(set(codes))
    family = catalogue.families["heron-family"]
    told = [
        entry.condition for entry in catalogue.faults.values() if like["family"] in entry.condition.looks_like
    ]
    assert told
    assert all("heron-family" in condition.looks_like for condition in told)
    assert all(path[0] == "Heron family" for path in family.menus.values())


def test_every_kind_passes_the_check_as_written(content: Path, capsys: pytest.CaptureFixture[str]) -> None:
    every_kind_passes(content, ("power",), LIKE)
    assert "content/boats/heron-boat.yaml" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["boat", "Heron", "--like", "punt"], "'Heron' is no id"),
        (["boat", "punt", "--like", "punt"], "'punt' is there already"),
        (["boat", "heron", "--like", "pnt"], "did you mean 'punt'?"),
        (["boat", "heron"], "name it with --like ID"),
        (["fault", "heron"], "is no area"),
        (["fault", "heron", "--area", "powre"], "did you mean 'power'?"),
        (["check", "heron", "--like", "own-volts"], "leave --like out"),
        (["boat", "../heron", "--like", "punt"], "is no id"),
    ],
)
def test_a_wrong_call_writes_nothing(
    content: Path, capsys: pytest.CaptureFixture[str], words: list[str], says: str
) -> None:
    before = {path: path.read_bytes() for path in content.rglob("*.yaml")}
    assert new(*words, content=content) == 2
    assert says in capsys.readouterr().err
    assert {path: path.read_bytes() for path in content.rglob("*.yaml")} == before


@pytest.mark.parametrize("title", ["Heron", "no", "12:30", "it's", "a: b", "{brace", "- dash", "1e3", "Null"])
def test_any_title_is_read_back_as_text(title: str) -> None:
    import yaml

    found: Any = yaml.safe_load(f"title: {quoted(title)}")
    assert found == {"title": title}
