"""Pictures of pages and of findings, held against published colours and the places of the findings."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pymupdf
import pytest

from inspection import making
from leadsman.inspection.findings import Limit, Outcome, Reading, Rule
from leadsman.inspection.model import Box
from leadsman.inspection.pictures import _lines, in_light, png, write_findings, write_pages
from leadsman.inspection.reading import read_pdf
from leadsman.inspection.survey import Report

PT = 25.4 / 72


def test_a_png_holds_its_pixels() -> None:
    """ISO/IEC 15948: a signature of eight bytes, chunks with length, name and sum; a filter byte before each row."""
    pixels = np.arange(2 * 3 * 3, dtype=np.uint8).reshape(2, 3, 3)
    data, chunks = png(pixels), []
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    place = 8
    while place < len(data):
        length, name = struct.unpack(">I4s", data[place : place + 8])
        body = data[place + 8 : place + 8 + length]
        (total,) = struct.unpack(">I", data[place + 8 + length : place + 12 + length])
        assert total == zlib.crc32(name + body)
        chunks.append((name, body))
        place += 12 + length
    assert [name for name, _ in chunks] == [b"IHDR", b"IDAT", b"IEND"]
    # Three wide, two high, eight bits of true colour, and the only methods that there are.
    assert struct.unpack(">IIBBBBB", chunks[0][1]) == (3, 2, 8, 2, 0, 0, 0)
    assert zlib.decompress(chunks[1][1]) == b"".join(b"\0" + pixels[row].tobytes() for row in range(2))
    assert len(png(np.full((200, 200, 3), 255, np.uint8))) < 2000


def test_a_page_in_grey_and_by_red_light() -> None:
    """sRGB greys of the luminance of the primaries: 127, 220 and 76 of 255 (IEC 61966-2-1 with ITU-R BT.709)."""
    pixels = np.array(
        [[(255, 0, 0), (0, 255, 0), (0, 0, 255), (255, 255, 255), (0, 0, 0), (9, 9, 9), (90, 90, 90)]],
        np.uint8,
    )
    assert in_light(pixels, "colour") is pixels
    assert in_light(pixels, "red").tolist() == [[[v] * 3 for v in (255, 0, 0, 255, 0, 9, 90)]]
    grey = in_light(pixels, "grey")
    assert grey.dtype == np.uint8
    assert grey.tolist() == [[[v] * 3 for v in (127, 220, 76, 255, 0, 9, 90)]]


@pytest.mark.parametrize("level", range(256))
def test_a_grey_stays_as_it_is(level: int) -> None:
    assert in_light(np.full((1, 1, 3), level, np.uint8), "grey").tolist() == [[[level] * 3]]


def drawn(folder: Path, pages: int = 1) -> Path:
    """A file of white pages, 300 by 200 pt."""
    document: Any = pymupdf.open()  # type: ignore[no-untyped-call]
    for _ in range(pages):
        document.new_page(width=300, height=200)
    document.save(folder / "deck.pdf")
    return folder / "deck.pdf"


def test_every_page_is_written_once_for_each_light(tmp_path: Path) -> None:
    file = read_pdf(drawn(tmp_path, pages=2))
    made = write_pages(file, tmp_path, ("colour", "red"), dots_per_inch=36)
    assert [path.name for path in made] == [
        "deck-001-colour.png", "deck-001-red.png", "deck-002-colour.png", "deck-002-red.png",
    ]  # fmt: skip
    picture = pymupdf.Pixmap(str(made[0]))  # type: ignore[no-untyped-call]
    assert (picture.width, picture.height) == (150, 100)  # half a pixel for each point


def report(path: Path, *readings: tuple[str, Reading]) -> Report:
    """A report of readings, each with the severity of its rule."""
    outcomes = tuple(
        Outcome(Rule(f"XX-{i:02}", "says", severity, ("deck",), Limit(">=", 1, ""), "", "", lambda file: ()), 1, None, (reading,))  # type: ignore[arg-type]
        for i, (severity, reading) in enumerate(readings)
    )  # fmt: skip
    return Report(path, "deck", 1, "", outcomes, 0.0, read_pdf(path))


def inked(path: Path) -> Any:
    """Where a picture is no longer white, and where red or blue outweighs the other."""
    picture = pymupdf.Pixmap(str(path))  # type: ignore[no-untyped-call]
    pixels = np.frombuffer(picture.samples, np.uint8).reshape(picture.height, picture.width, 3).astype(int)
    red, green, blue = (pixels[..., i] for i in range(3))
    return (red - blue > 60) & (red - green > 60), (blue - red > 60) & (blue - green > 20)


def extent(marked: Any, rows: slice, columns: slice) -> tuple[int, int, int, int]:
    """The edges of what is marked in a part of the picture."""
    down, across = np.nonzero(marked[rows, columns])
    return (
        int(across.min()) + columns.start, int(down.min()) + rows.start, int(across.max()) + columns.start + 1, int(down.max()) + rows.start + 1,
    )  # fmt: skip


def test_a_finding_has_its_frame_and_its_line_in_the_colour_of_its_severity(tmp_path: Path) -> None:
    """A frame of a point and a half around the place; the number behind it; what must be kept stands first and red."""
    path = drawn(tmp_path, pages=2)
    must = Reading(5.0, "here", 1, Box(100 * PT, 50 * PT, 150 * PT, 70 * PT))
    should = Reading(7.0, "there", 1, Box(20 * PT, 120 * PT, 90 * PT, 140 * PT))
    nowhere, unplaced = Reading(1, "file", 0, Box(0, 0, 9, 9)), Reading(1, "page", 2, None)
    made = write_findings(
        report(path, ("should", should), ("must", must), ("must", nowhere), ("must", unplaced)),
        tmp_path,
        dots_per_inch=288,
    )
    assert [each.name for each in made] == ["deck-001-findings.png"]
    red, blue = inked(made[0])
    # The sheet is at least 420 pt wide for the list, and as high as the page, a head of 14 pt and 9 pt a line.
    assert red.shape == (4 * (200 + 14 + 2 * 9), 4 * 420)
    # The line of the frame is 0.8 pt wide: its outer edge lies 1.9 pt off the place. Its number has 6 pt.
    for marked, (left, top, right, bottom) in ((red, (100, 50, 150, 70)), (blue, (20, 120, 90, 140))):
        page, near = slice(0, 800), slice(0, 4 * right + 8)
        frame = [v / 4 for v in extent(marked, page, near)]
        assert frame == pytest.approx((left - 1.9, top - 1.9, right + 1.9, bottom + 1.9), abs=0.3)
        number = [v / 4 for v in extent(marked, page, slice(4 * right + 8, 1200))]
        assert number[1::2] == pytest.approx((top + 1.5 - 4.3, top + 1.5), abs=0.5)
        assert right + 2 <= number[0] < number[2] < right + 6
    # The lines below the page begin at 6 pt; the baseline of the first is at 14 pt. The figures have 7 pt.
    for marked, line in ((red, 214), (blue, 223)):
        below = [v / 4 for v in extent(marked, slice(810, 928), slice(0, 1680))]
        assert below[0] == pytest.approx(6.5, abs=0.6)
        assert below[1] == pytest.approx(line - 5.1, abs=0.6)
        assert line <= below[3] < line + 2.2


def test_a_list_of_findings_has_an_end(tmp_path: Path) -> None:
    """Forty on a page, and a line that says how many more the report has."""
    path = drawn(tmp_path)
    one = ("must", Reading("x" * 300, "ÿ Ω", 1, Box(0, 0, 9, 9)))
    heights = []
    for count in (1, 40, 41, 60):
        (made,) = write_findings(report(path, *[one] * count), tmp_path, dots_per_inch=72)
        heights.append(pymupdf.Pixmap(str(made)).height)  # type: ignore[no-untyped-call]
    assert heights == [200 + 14 + 9 * lines for lines in (1, 40, 41, 41)]


def test_a_finding_stands_where_it_was_found_on_a_sheet_with_bleed(tmp_path: Path) -> None:
    """Places count from the trim size, pictures from the sheet."""
    html = '<p style="position: absolute; left: 10mm; top: 20mm; margin: 0">Here</p>'
    path = tmp_path / "bled.pdf"
    path.write_bytes(
        making.pdf(html, "@page { size: 60mm 90mm; margin: 0; bleed: 10mm; marks: crop }", bleed_mm=3)
    )
    found = Reading(1.0, "", 1, Box(10, 20, 30, 25))
    (made,) = write_findings(report(path, ("must", found)), tmp_path, dots_per_inch=72)
    red, _ = inked(made)
    left, top, right, bottom = extent(red, slice(0, 300), slice(0, round(41 / PT)))
    assert (left * PT, top * PT, right * PT, bottom * PT) == pytest.approx((20, 30, 40, 35), abs=1.2)


def test_an_epub_has_no_pages_to_draw_on(tmp_path: Path) -> None:
    book = making.epub(tmp_path)
    assert write_findings(Report(book.path, "epub", 1, "", (), 0.0, book), tmp_path) == []


@pytest.mark.parametrize(
    ("more", "told"), [(0, []), (1, ["and 1 more, in the report"]), (2, ["and 2 more, in the report"])]
)
def test_what_finds_no_room_below_the_page_is_counted(more: int, told: list[str]) -> None:
    assert [text for text, _ in _lines([], more)] == told


def test_a_finding_has_one_line_below_the_page() -> None:
    """Of 110 letters at most; a sign that the line's font has not is no reason to stop."""
    first, second = _lines(
        [("TY-01", "must", Reading(9, "\u2192" + "x" * 200)), ("TY-02", "should", Reading(1, "y"))], 0
    )
    assert first == ("1  TY-01 (must): 9  ?" + "x" * 89, "must")
    assert second == ("2  TY-02 (should): 1  y", "should")
