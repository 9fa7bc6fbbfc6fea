"""Pictures of pages: as they are, in grey, under red light, and with the findings drawn on them."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pymupdf

from leadsman.inspection.findings import Reading
from leadsman.inspection.model import MM_PER_PT, Page, PdfFile
from leadsman.inspection.survey import Report
from leadsman.press import atomic

#: How a page can be shown.
LIGHTS = ("colour", "grey", "red")
_MUST, _SHOULD = (0.85, 0.0, 0.45), (0.0, 0.35, 0.85)


def in_light(pixels: Any, light: str) -> Any:
    """Painted pixels (0 to 255) as they look in a light.

    In grey each pixel has the luminance of its colour (WCAG 2.2, IEC 61966-2-1). Under red light every
    channel shows the red one: red ink is as bright as paper.
    """
    if light == "colour":
        return pixels
    if light == "red":
        return np.repeat(pixels[..., :1], 3, axis=2)
    share = pixels / 255.0
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    luminance = linear @ np.array([0.2126, 0.7152, 0.0722])
    grey = np.where(luminance <= 0.0031308, 12.92 * luminance, 1.055 * luminance ** (1 / 2.4) - 0.055)
    return np.repeat(np.round(grey * 255).astype(np.uint8)[..., None], 3, axis=2)


def write_pages(
    file: PdfFile, folder: Path, lights: tuple[str, ...] = LIGHTS, dots_per_inch: float = 150
) -> list[Path]:
    """Write every page as one PNG for each light."""
    made = []
    for page in file.pages:
        pixels = page.painter(dots_per_inch / 72)
        for light in lights:
            path = folder / f"{file.path.stem}-{page.number:03}-{light}.png"
            atomic.write_bytes(path, png(in_light(pixels, light)))
            made.append(path)
    return made


def write_findings(report: Report, folder: Path, dots_per_inch: float = 150) -> list[Path]:
    """Write each page with findings as a PNG: a numbered frame around each, what it is in a list below the page.

    Findings without a place on a page are not drawn; the report has them.
    """
    if not isinstance(report.file, PdfFile):
        return []
    found: dict[int, list[tuple[str, str, Reading]]] = {}
    for outcome in report.outcomes:
        for reading in outcome.breaches:
            if reading.page and reading.box is not None:
                found.setdefault(reading.page, []).append((outcome.rule.id, outcome.rule.severity, reading))
    made = []
    source = pymupdf.open(report.path)  # type: ignore[no-untyped-call]
    for number, items in sorted(found.items()):
        items.sort(key=lambda item: item[1])  # "must" before "should"
        path = folder / f"{report.path.stem}-{number:03}-findings.png"
        atomic.write_bytes(path, _drawn(source, report.file.pages[number - 1], items, dots_per_inch))
        made.append(path)
    return made


def _drawn(source: Any, page: Page, items: list[tuple[str, str, Reading]], dots_per_inch: float) -> bytes:
    """One page with its findings, and their list below."""
    shown = items[:40]
    painted = source[page.number - 1].rect
    width, line = max(float(painted.width), 420.0), 9.0
    lines = list(_lines(shown, len(items) - len(shown)))
    document = pymupdf.open()  # type: ignore[no-untyped-call]
    sheet = document.new_page(width=width, height=painted.height + 14 + line * len(lines))
    sheet.show_pdf_page(painted, source, page.number - 1)
    for index, (_, severity, reading) in enumerate(shown, 1):
        box = reading.box
        if box is None:
            continue
        left, top = box.left - page.media.left, box.top - page.media.top
        frame = pymupdf.Rect(left, top, left + box.width, top + box.height) / MM_PER_PT  # type: ignore[no-untyped-call]
        frame = pymupdf.Rect(frame.x0 - 1.5, frame.y0 - 1.5, frame.x1 + 1.5, frame.y1 + 1.5)  # type: ignore[no-untyped-call]
        colour = _MUST if severity == "must" else _SHOULD
        sheet.draw_rect(frame, color=colour, width=0.8)
        sheet.insert_text((frame.x1 + 0.5, frame.y0 + 3), str(index), fontsize=6, color=colour)
    for index, (text, severity) in enumerate(lines):
        colour = _MUST if severity == "must" else _SHOULD
        sheet.insert_text((6, painted.height + 14 + line * index), text, fontsize=7, color=colour)
    pixels: Any = sheet.get_pixmap(dpi=round(dots_per_inch), alpha=False)
    return bytes(pixels.tobytes("png"))


def _lines(items: list[tuple[str, str, Reading]], more: int) -> Iterator[tuple[str, str]]:
    for index, (name, severity, reading) in enumerate(items, 1):
        text = f"{index}  {name} ({severity}): {reading.measured}  {reading.says}"
        yield text.encode("latin-1", "replace").decode("latin-1")[:110], severity
    if more > 0:
        yield f"and {more} more, in the report", "should"


def png(pixels: Any) -> bytes:
    """Pixels (rows, columns, red-green-blue, 0 to 255) as a PNG file (ISO/IEC 15948:2004).

    Examples
    --------
    >>> png(np.zeros((2, 3, 3), np.uint8))[:8]
    b'\\x89PNG\\r\\n\\x1a\\n'
    """
    height, width = pixels.shape[:2]
    rows = np.concatenate(
        [np.zeros((height, 1), np.uint8), pixels.reshape(height, width * 3).astype(np.uint8)], axis=1
    )
    parts = [(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)), (b"IDAT", zlib.compress(rows.tobytes(), 6)), (b"IEND", b"")]  # fmt: skip
    chunks = (struct.pack(">I", len(d)) + t + d + struct.pack(">I", zlib.crc32(t + d)) for t, d in parts)
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks)
