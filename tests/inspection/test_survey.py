"""The report as its reader meets it: kinds, text, JSON, pictures, exit codes, and what a build does with it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pymupdf
import pytest

from inspection import making
from leadsman.build import Finished, Piece, publish_finished
from leadsman.cli import main
from leadsman.errors import OutputError
from leadsman.inspection import publish
from leadsman.inspection.findings import KINDS, RULES
from leadsman.inspection.for_person import for_a_person
from leadsman.inspection.pictures import write_findings, write_pages
from leadsman.inspection.survey import look, survey, unlike_revisions

_WHITE_PNG_START = b"\x89PNG"


def file_of(folder: Path, name: str, data: bytes) -> Path:
    path = folder / name
    path.write_bytes(data)
    return path


def good_deck() -> bytes:
    return making.pdf(making.DECK, making.DECK_CSS, bleed_mm=3)


def small_type() -> bytes:
    style = making.changed(making.DECK_CSS, [("font: 500 8pt/1.3", "font: 500 7pt/1.3")])
    return making.pdf(making.DECK, style, bleed_mm=3)


def run(*words: str | Path) -> int:
    with pytest.raises(SystemExit) as left:
        main([str(word) for word in words])
    return int(left.value.code or 0)


def test_kinds_are_told_from_the_files(tmp_path: Path) -> None:
    form = '<h1>Record</h1><p><input type="text" title="Boat" style="appearance: auto"></p>'
    assert survey(file_of(tmp_path, "d.pdf", good_deck())).kind == "deck"
    assert survey(file_of(tmp_path, "h.pdf", making.pdf(making.BOOK, making.BOOK_CSS))).kind == "handbook"
    guide = making.changed(making.BOOK, [("<h1>Contents</h1>", "<h1>Find</h1>")])
    assert survey(file_of(tmp_path, "g.pdf", making.pdf(guide, making.BOOK_CSS))).kind == "guide"
    assert survey(file_of(tmp_path, "r.pdf", making.pdf(form, "@page { size: A4 }"))).kind == "record"
    making.epub(tmp_path)
    assert survey(tmp_path / "sample.epub").kind == "epub"
    with pytest.raises(OutputError, match="no deck"):
        survey(tmp_path / "sample.epub", "deck")


def test_sheets_are_measured_for_size_and_scale(tmp_path: Path) -> None:
    """ISO 216 A4; a bar of 100 mm within 0.2 mm, our own figure."""

    def sheet(width_mm: float, bar_mm: float) -> Path:
        document = pymupdf.open()  # type: ignore[no-untyped-call]
        page = document.new_page(width=width_mm * 72 / 25.4, height=297 * 72 / 25.4)
        page.draw_rect((100, 100, 100 + bar_mm * 72 / 25.4, 104), fill=(0, 0, 0), color=None)
        return file_of(tmp_path, "sheet.pdf", document.tobytes())

    def broken(path: Path) -> set[str]:
        report = survey(path, "sheets")
        return {outcome.rule.id for outcome in report.outcomes if outcome.breaches}

    assert {"PH-03", "PH-19"} & broken(sheet(210, 100)) == set()
    assert "PH-03" in broken(sheet(205, 100))
    assert "PH-19" in broken(sheet(210, 99.5))


def test_every_rule_names_its_source_and_kinds() -> None:
    for entered in RULES.values():
        assert all((entered.says, entered.source, entered.wants)), entered.id
        assert set(entered.kinds) <= set(KINDS), entered.id


def test_what_no_program_can_judge_is_listed_with_its_reason() -> None:
    for kind in KINDS:
        assert for_a_person(kind)
        assert all(item.why for item in for_a_person(kind))


def test_the_command_reports_page_place_value_limit_and_source(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = file_of(tmp_path, "deck.pdf", small_type())

    code = run("survey", path)
    said = capsys.readouterr().out

    assert code == 1
    assert "TY-20 must, broken" in said
    assert "page 1 at 6," in said
    assert "limit >= 8 pt at the foot" in said
    assert "Common practice" in said


def test_json_holds_every_rule_and_the_list_for_a_person(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = file_of(tmp_path, "deck.pdf", good_deck())

    assert run("survey", path, "--format", "json") == 0
    (data,) = json.loads(capsys.readouterr().out)["files"]

    assert data["must_broken"] == 0
    assert {rule["rule"] for rule in data["rules"]} == {r.id for r in RULES.values() if "deck" in r.kinds}
    assert {"verdict", "limit", "source", "severity", "looked_at", "findings"} <= set(data["rules"][0])
    assert data["for_a_person"]


def test_pictures_show_pages_in_three_lights_and_the_findings(tmp_path: Path) -> None:
    report = survey(file_of(tmp_path, "deck.pdf", small_type()))
    made = write_pages(report.file, tmp_path / "pictures", dots_per_inch=72)  # type: ignore[arg-type]
    drawn = write_findings(report, tmp_path / "pictures", dots_per_inch=72)

    assert len(made) == 3 * report.pages
    assert all(path.read_bytes().startswith(_WHITE_PNG_START) for path in (*made, *drawn))
    colour, grey, red = (pymupdf.Pixmap(str(path)) for path in made[9:12])  # type: ignore[no-untyped-call]
    assert colour.width == grey.width == red.width
    assert colour.width == pytest.approx((105 + 20) / 25.4 * 72, abs=1)
    # The panel of WARNING is orange: on the last face grey is between, and under red light as bright as paper.
    place = next((x, y) for x in range(0, colour.width) for y in range(0, colour.height) if colour.pixel(x, y) == (255, 130, 0))  # fmt: skip
    assert red.pixel(*place) == (255, 255, 255)
    assert len(set(grey.pixel(*place))) == 1
    # Luminance 0.37 of orange is the grey of value 164 (IEC 61966-2-1).
    assert grey.pixel(*place)[0] == pytest.approx(164, abs=2)
    assert [path.name for path in drawn][:1] == ["deck-001-findings.png"]


def test_a_finding_is_framed_where_it_stands_on_the_page(tmp_path: Path) -> None:
    """The identity line, too small, has a red frame; below the page its rule is written in the same red."""
    report = survey(file_of(tmp_path, "deck.pdf", small_type()))
    (path, *_) = write_findings(report, tmp_path / "pictures", dots_per_inch=72)
    picture = pymupdf.Pixmap(str(path))  # type: ignore[no-untyped-call]

    def red_in(columns: range, rows: range) -> int:
        seen = [
            picture.pixel(x, y) for x in columns for y in rows if x < picture.width and y < picture.height
        ]
        return sum(red - green > 60 and red - blue > 30 for red, green, blue in seen)

    # 10 mm of bleed, 6 mm to the line; the trim size ends 10 mm above the page's end, the foot 6 mm above that.
    left, foot, end = (round(v / 25.4 * 72) for v in (16, 10 + 148 - 6, 20 + 148))
    assert red_in(range(left - 3, left + 1), range(foot - 9, foot)) > 5
    assert red_in(range(left + 40, left + 100), range(30, foot - 40)) == 0
    assert red_in(range(0, picture.width), range(end, picture.height)) > 20


def test_one_document_has_one_revision_in_all_files(tmp_path: Path) -> None:
    newer = making.pdf(making.changed(making.DECK, [("rev 1,", "rev 2,")]), making.DECK_CSS, bleed_mm=3)
    one, two = file_of(tmp_path, "a6.pdf", good_deck()), file_of(tmp_path, "4x6.pdf", newer)

    assert unlike_revisions([survey(one), survey(one)]) == []
    (told,) = unlike_revisions([survey(one), survey(two)])
    assert all(word in told for word in ("TQ-DECK", "a6.pdf", "4x6.pdf"))


def test_wanted_texts_come_from_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    texts = tmp_path / "texts.txt"
    texts.write_text("Switch the unit on.\nOpen the hatch.\n", encoding="utf-8")

    assert run("survey", file_of(tmp_path, "deck.pdf", good_deck()), "--texts", texts) == 1
    assert "Open the hatch." in capsys.readouterr().out


# --- builds --------------------------------------------------------------------------------------


def build(out: Path, survey: str, **files: bytes) -> tuple[list[str], list[str]]:
    """Build some files: what was made, and what was complained of."""
    complaints: list[str] = []
    pieces = [Piece("edition", Path(f"{name}.pdf"), (), 1) for name in files]
    with publish.staging(out) as stage:

        def finished() -> Iterator[Finished]:
            for piece, data in zip(pieces, files.values(), strict=True):
                path = file_of(stage, piece.target.name, data)
                yield Finished(piece, path.stem, tuple(publish.findings([path])))

        made = publish_finished(finished(), pieces, stage, out, survey, complaints.append)
    return [item.what for item in made], complaints


def test_a_build_refuses_a_file_that_breaks_a_rule_and_keeps_the_earlier_one(tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert build(out, "refuse", first=good_deck()) == (["first"], [])
    earlier = (out / "first.pdf").read_bytes()

    with pytest.raises(OutputError, match=r"first\.pdf breaks rules .* an earlier one is left as it was"):
        build(out, "refuse", first=small_type(), second=good_deck())

    assert (out / "first.pdf").read_bytes() == earlier
    assert (out / "second.pdf").exists(), "the other files are made all the same"
    assert sorted(path.name for path in out.iterdir()) == ["first.pdf", "second.pdf"]


def test_a_build_that_only_tells_replaces_the_file(tmp_path: Path) -> None:
    made, complaints = build(tmp_path / "out", "tell", first=small_type())

    assert made == ["first"]
    assert any("TY-20" in line and "first.pdf, page 1" in line for line in complaints)
    assert (tmp_path / "out" / "first.pdf").read_bytes() == small_type()


def test_what_a_killed_build_left_is_cleared_and_a_running_one_is_not(tmp_path: Path) -> None:
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    left, running = (tmp_path / f".being-surveyed-{owner}-x" for owner in (ended.pid, os.getpid()))
    left.mkdir()
    running.mkdir()

    build(tmp_path, "refuse", first=good_deck())

    assert not left.exists()
    assert running.exists()


def test_an_output_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    """Before anything is laid out: a file stands where the folder should be."""
    (tmp_path / "out").write_bytes(b"a file")
    with (
        pytest.raises(OutputError, match=r"cannot write to .*out"),
        publish.staging(tmp_path / "out" / "deck"),
    ):
        pytest.fail("nothing is made where nothing can be put")


def test_what_keeps_a_guide_back_names_rule_and_page_and_none_of_its_words(tmp_path: Path) -> None:
    """A guide holds what an owner told; the message names the first page of each rule, or the file."""
    told = dict(publish.breaches(file_of(tmp_path, "small.pdf", small_type()), "deck"))
    assert {says[-6:]: where for says, where in told.items()} == {"TY-20)": "page 1"}
    whole = making.pdf(
        making.changed(making.BOOK, [("<h1", "<p"), ("</h1>", "</p>"), ("h2>", "p>")]), making.BOOK_CSS
    )
    told = dict(publish.breaches(file_of(tmp_path, "flat.pdf", whole), "handbook"))
    assert {says[-6:]: where for says, where in told.items()}["PD-07)"] == "the file"
    assert "Petrol" not in str(told)


def test_pictures_are_made_where_they_are_asked_for(tmp_path: Path) -> None:
    path = file_of(tmp_path, "small.pdf", small_type())
    assert look(path, "deck", (), None, None)[1:] == (0, 0)
    _, painted, drawn = look(path, "deck", (), tmp_path / "pages", tmp_path / "findings")
    assert (painted, drawn) == (
        len(list((tmp_path / "pages").iterdir())),
        len(list((tmp_path / "findings").iterdir())),
    )
    # Four pages in three lights, and each page has an identity line that is too small.
    assert (painted, drawn) == (12, 4)


@pytest.mark.parametrize(
    ("wide", "high", "kind"),
    [(210, 297, "sheets"), (420, 297, "sheets"), (215.9, 279.4, "sheets"), (200, 250, "guide")],
)
def test_what_goes_to_the_printer_is_told_by_its_size(
    tmp_path: Path, wide: float, high: float, kind: str
) -> None:
    """A file without tags on A4, A3 or Letter (ISO 216, and 8.5 by 11 inches) is a sheet of cards."""
    document: Any = pymupdf.open()
    document.new_page(width=wide * 72 / 25.4, height=high * 72 / 25.4).insert_text((50, 50), "P1")
    assert survey(file_of(tmp_path, "sheet.pdf", document.tobytes())).kind == kind
