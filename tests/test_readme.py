"""What README.md and DEVELOPERS.md promise: the first entry passes the check, every name exists."""

import json
import os
import re
import shutil
import subprocess
import sys
import textwrap
import tomllib
from pathlib import Path

import pymupdf
import pytest

from leadsman.cli import COMMANDS

DOCUMENTS = ["README.md", "DEVELOPERS.md"]
#: After so long a command hangs [s]; how quick one is, tests/bench tells: a busy machine takes minutes for a build.
HANGS_S = 900
#: Names that a reader gives, or that a command makes.
MADE_LATER = {
    "content/faults/sensors/silent-alarm.yaml",
    "content/printed-numbers.json",
    "content/printed-cards.json",
}


def first_entry(repository: Path) -> tuple[str, str]:
    """Return the path and the text of the fault entry that README.md has the reader write."""
    text = (repository / "README.md").read_text(encoding="utf-8")
    path = re.search(r"Save this as `(content/[^`]+)`", text)
    block = re.search(r"^( *)```yaml\n(.*?)^ *```", text, re.MULTILINE | re.DOTALL)
    assert path is not None
    assert block is not None
    return path[1], textwrap.dedent(block[2])


def test_the_walkthrough_runs_as_written(repository: Path, tmp_path: Path) -> None:
    """Every command of the first entry, in order, in a copy of the content, to the new card in the deck.

    The check has nothing against the entry, no warning either.
    """
    path, text = first_entry(repository)
    shutil.copytree(repository / "content", tmp_path / "content")
    (tmp_path / path).write_text(text, encoding="utf-8")
    (tmp_path / ".venv").symlink_to(sys.prefix)
    part = (
        (repository / "README.md")
        .read_text(encoding="utf-8")
        .partition("## A first fault entry")[2]
        .partition("\n## ")[0]
    )
    part = re.sub(r"```yaml.*?```", "", part, flags=re.DOTALL)
    commands = [
        line.strip()
        for block in re.findall(r"^ *```\n(.*?)^ *```", part, re.MULTILINE | re.DOTALL)
        for line in block.splitlines()
    ]
    commands = [command for command in commands if command.startswith(".venv/bin/leadsman ")]
    assert [command.split()[1] for command in commands] == ["check", "show", "walk", "build"]
    environment = {**os.environ, "PYTHONPATH": str(repository / "build")}

    def run(command: str) -> subprocess.CompletedProcess[str]:
        words = [sys.executable, "-m", "leadsman", *command.split()[1:]]
        done = subprocess.run(
            words, cwd=tmp_path, env=environment, capture_output=True, text=True, timeout=HANGS_S
        )
        assert done.returncode == 0, (command, done.stdout[-2000:], done.stderr[-2000:])
        return done

    for command in commands:
        run(command)
    checked = run("leadsman check --format json")
    assert checked.stderr == ""
    problems = json.loads(checked.stdout)["problems"]
    assert [problem for problem in problems if Path(path).name in json.dumps(problem)] == []
    made = [
        found
        for found in (tmp_path / "out").rglob("*.pdf")
        if "The depth alarm stays silent" in _text_of(found)
    ]
    assert made


def _text_of(path: Path) -> str:
    with pymupdf.open(path) as document:
        return " ".join(" ".join(page.get_text() for page in document).split())


@pytest.mark.parametrize("document", DOCUMENTS)
def test_named_commands_exist(repository: Path, document: str) -> None:
    text = (repository / document).read_text(encoding="utf-8")
    named = set(re.findall(r"\bleadsman ([a-z]+)\b", "\n".join(re.findall(r"`[^`\n]+`", text))))
    assert sorted(named - set(COMMANDS)) == []


@pytest.mark.parametrize("document", DOCUMENTS)
def test_named_files_and_folders_exist(repository: Path, document: str) -> None:
    text = (repository / document).read_text(encoding="utf-8")
    folders = "build|content|templates|tests"
    named = set(re.findall(rf"(?<![\w/])(?:{folders})/[\w./-]*[\w/]", text)) - MADE_LATER
    assert named, f"{document} names no file at all"
    assert sorted(name for name in named if not (repository / name).exists()) == []


def test_each_dependency_is_explained(repository: Path) -> None:
    project = tomllib.loads((repository / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    names = {re.split(r"[<>=!~\[; ]", requirement)[0] for requirement in wanted}
    text = (repository / "DEVELOPERS.md").read_text(encoding="utf-8")
    tables = text.partition("## Why each dependency is there")[2].partition("\n## ")[0]
    explained = {
        name.strip()
        for row in re.findall(r"^\| ([^|]+) \|", tables, re.MULTILINE)
        for name in row.split(",")
        if name.strip(" -") not in ("", "package")
    }
    assert (sorted(names - explained), sorted(explained - names)) == ([], [])
