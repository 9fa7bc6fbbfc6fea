"""A new record passes the check as it is written, whatever it is called, and harms nothing that is there."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from leadsman.book.verdict import judge
from leadsman.cli import main
from leadsman.content.catalogue import load
from leadsman.content.scaffold import quoted

ROOT = Path(__file__).resolve().parents[2]
LIKE = {"family": "holm", "boat": "corrie", "transducer": "th-50-200", "water": "harrow-bank", "table": "fuse-drop",
        "edition": "pocket-deck"}  # fmt: skip


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """Return a copy of the demo content."""
    import shutil

    return Path(shutil.copytree(ROOT / "content", tmp_path / "content"))


def new(*words: str, content: Path) -> object:
    """Run ``leadsman new``; its exit code."""
    with pytest.raises(SystemExit) as end:
        main(["new", *words, "--content", str(content)])
    return end.value.code


def test_every_kind_passes_the_check_as_written(content: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for area in ("sensors", "power"):
        assert (
            new(
                "fault",
                f"{area}-heron",
                "--area",
                area,
                "--title",
                "No: a title with 'signs'",
                content=content,
            )
            == 0
        )
    assert new("check", "heron", content=content) == 0
    assert new("topic", "heron", content=content) == 0
    for kind, like in LIKE.items():
        assert new(kind, f"heron-{kind}", "--like", like, "--title", f"Heron {kind}", content=content) == 0
    catalogue = load(content)
    assert [str(problem) for problem in judge(catalogue).errors] == []
    codes = [entry.code for entry in catalogue.faults.values()]
    assert len(codes) == len(set(codes))
    family = catalogue.families["heron-family"]
    told = [entry.condition for entry in catalogue.faults.values() if "holm" in entry.condition.looks_like]
    assert told
    assert all("heron-family" in condition.looks_like for condition in told)
    assert all(path[0] == "Heron family" for path in family.menus.values())
    assert "content/boats/heron-boat.yaml" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["boat", "Heron", "--like", "corrie"], "'Heron' is no id"),
        (["boat", "corrie", "--like", "corrie"], "'corrie' is there already"),
        (["boat", "heron", "--like", "corie"], "did you mean 'corrie'?"),
        (["boat", "heron"], "name it with --like ID"),
        (["fault", "heron"], "is no area"),
        (["fault", "heron", "--area", "powre"], "did you mean 'power'?"),
        (["check", "heron", "--like", "own-volts"], "leave --like out"),
        (["boat", "../heron", "--like", "corrie"], "is no id"),
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
