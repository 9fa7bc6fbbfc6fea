"""A dealer's mark that must not be printed is told by its own file, and with what to change in the drawing."""

from __future__ import annotations

from pathlib import Path

import pytest

import small_guides
from leadsman.cli import main
from leadsman.content.dealer_file import with_dealer
from leadsman.content.model.equipment import Dealer
from leadsman.mark import proved_mark

WORD = '<text x="5" y="20" font-size="12" fill="{fill}">Sedge</text>'
DARK = '<rect width="90" height="40" fill="#222222"/>'


def told(folder: Path, inside: str) -> list[str]:
    """Return what is said of a mark with these parts, from a file beside the dealer's."""
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 90 40">{inside}</svg>'
    (folder / "lane.svg").write_text(svg, encoding="utf-8")
    (folder / "mine.yaml").write_text(small_guides.DEALER + "mark: lane.svg\n", encoding="utf-8")

    def draw(dealer: Dealer) -> str:
        return proved_mark(dealer, small_guides.TEMPLATES)

    _, problems = with_dealer(folder / "mine.yaml", small_guides.content()[0], draw)
    return [str(problem).replace(f"{folder}/", "") for problem in problems]


@pytest.mark.parametrize(
    ("inside", "said", "hint"),
    [
        (DARK + WORD.format(fill="#000000"), "its letters are too like the ground behind them to be read", "dark letters on a light ground"),
        (WORD.format(fill="#eeeeee"), "its letters are too like the ground behind them to be read", "white ones on a dark ground"),
        ('<path stroke="#000000" stroke-width="0.05" fill="none" d="M1 1h50v10z"/>', "it has lines too fine for a mark of this size in print", "draw them thicker"),
        (DARK + WORD.format(fill="#ffffff"), "its letters are too small to be read in print", "make them larger"),
        (WORD.format(fill="#000000").replace("Sedge", "雑魚"), "it holds letters that the fonts lack", "turn the letters into outlines"),
    ],
)  # fmt: skip
def test_a_mark_that_would_stop_every_page_is_told_as_the_mark(
    tmp_path: Path, inside: str, said: str, hint: str
) -> None:
    """Contrast 4.5 to 1 (WCAG 2.2, 1.4.3): #000000 on #222222 has 1.3, #eeeeee on white 1.2."""
    (line,) = told(tmp_path, inside)
    assert line.startswith(f"mine.yaml:8:7: mark: 'lane.svg' cannot be printed: {said} (")
    assert hint in line
    assert "page 1" not in line


@pytest.mark.parametrize(
    "inside",
    [
        WORD.format(fill="#000000"),
        DARK + WORD.format(fill="#ffffff").replace("12", "20"),
        '<path d="M1 1 h7 v7 z"/>',
    ],
)
def test_a_mark_that_can_be_read_passes(tmp_path: Path, inside: str) -> None:
    assert told(tmp_path, inside) == []


def test_the_command_makes_nothing_with_such_a_mark_unless_it_is_only_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    content = small_guides.with_guide(tmp_path)
    told(tmp_path, DARK + WORD.format(fill="#000000"))
    (tmp_path / "f.csv").write_text("id,like\nrook,punt\n", encoding="utf-8")
    monkeypatch.setattr("leadsman.commands.guides._processes", lambda workers, work: small_guides.Here)

    def run(out: str, survey: str) -> tuple[object, str]:
        with pytest.raises(SystemExit) as ended:
            main(["guides", str(tmp_path / "f.csv"), "--content", str(content), "--out", str(tmp_path / out), "--only", "epub",
                  "--dealer", str(tmp_path / "mine.yaml"), "--survey", survey])  # fmt: skip
        return ended.value.code, capsys.readouterr().err

    code, said = run("g", "refuse")
    assert (code, "'lane.svg' cannot be printed: its letters are too like" in said) == (1, True)
    assert not (tmp_path / "g").exists()
    code, said = run("h", "tell")
    assert (code, "mine.yaml:8:7: warning: mark: 'lane.svg' cannot be printed: " in said) == (0, True)
    assert (tmp_path / "h" / "rook.epub").exists()
    code, said = run("i", "off")
    assert (code, "lane.svg" in said) == (0, False)
