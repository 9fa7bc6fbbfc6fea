"""The command: its forms, a boat's diary, a comparison, and what it says to wrong words."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

import small_content
from leadsman.cli import main

BOATS = ["no-depth", "--boats", "60", "--seed", "2", "--workers", "1"]


def told(capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> str:
    """What ``leadsman drill`` prints, after it left with the code."""
    with pytest.raises(SystemExit) as left:
        main(["drill", *words, "--content", str(small_content.FOLDER)])
    captured = capsys.readouterr()
    assert left.value.code == code, captured.err
    return captured.out + captured.err


def test_figures_as_text_csv_and_json(capsys: pytest.CaptureFixture[str]) -> None:
    text = told(capsys, *BOATS)
    assert "D1" in text
    assert "checks acted out: " in text
    assert told(capsys, *BOATS, "--format", "csv").splitlines()[0].startswith("entry,boats,right")
    data = json.loads(told(capsys, *BOATS, "--format", "json"))
    assert [score["code"] for score in data["entries"]] == ["D1"]
    assert data["total"]["endless"] == 0
    assert 0 <= data["total"]["right"] <= 1


def test_a_replayed_boat_tells_its_diary(capsys: pytest.CaptureFixture[str]) -> None:
    diary = told(capsys, "--replay", "D1-fault-2-1")

    assert diary.startswith("D1 No depth: ")
    assert "D1-fault-2-1: " in diary


def test_a_comparison_with_an_earlier_drill(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    earlier = tmp_path / "earlier.json"
    data = json.loads(told(capsys, *BOATS, "--format", "json"))
    earlier.write_text(json.dumps(data), encoding="utf-8")
    assert "nothing changed" in told(capsys, *BOATS, "--against", str(earlier))

    data["entries"][0]["right"] = data["total"]["right"] = 1.01
    earlier.write_text(json.dumps(data), encoding="utf-8")
    assert "worse" in told(capsys, *BOATS, "--against", str(earlier), code=1)

    for text in (
        "[]",
        "{",
        json.dumps({name: data[name] for name in ("seed", "boats")}),
        "[" * 100_000,
        json.dumps({**data, "entries": [3], "total": {"right": "x"}}),
    ):
        earlier.write_text(text, encoding="utf-8")
        assert "is no JSON of an earlier drill" in told(capsys, *BOATS, "--against", str(earlier), code=2)
    earlier.unlink()
    os.mkfifo(earlier)
    assert "is a pipe, no regular file" in told(capsys, *BOATS, "--against", str(earlier), code=1)


def test_a_picture_is_written(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "drill.svg"
    told(capsys, *BOATS, "--plot", str(file))

    assert file.read_text(encoding="utf-8").count("<svg") == 1


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["no-such-entry"], "'no-such-entry' is no entry"),
        (["--replay", "D1"], "is no boat of a drill"),
        (["--boats", "0"], "'0' is no whole number from 1 to 1000000"),
        (["--boats", "99999999999999999999"], "'99999999999999999999' is no whole number"),
        (["--boats", "\u00b2"], "'\u00b2' is no whole number"),
        (["--errors", "nan"], "'nan' is no number from 0 to 100"),
        (["--errors", "-1"], "'-1' is no number from 0 to 100"),
        (["--errors", "few"], "'few' is no number from 0 to 100"),
        (["--workers", "1000000"], "'1000000' is no whole number from 1 to 256"),
        (["--replay", "D1-fault-\u00b2-1"], "is no boat of a drill"),
        (["--replay", f"D1-fault-{'9' * 5000}-1"], "is no boat of a drill"),
        (["--seed", "x"], "is no whole number"),
    ],
)
def test_wrong_words_are_told(capsys: pytest.CaptureFixture[str], words: list[str], said: str) -> None:
    assert said in told(capsys, *words, code=2)
