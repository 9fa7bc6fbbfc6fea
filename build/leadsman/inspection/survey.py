"""Survey a finished file: read it, tell its kind, apply its rules, and report."""

from __future__ import annotations

import hashlib
import json
import re
import time
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from leadsman.apart import stranger
from leadsman.errors import OutputError
from leadsman.inspection import (  # noqa: F401  the modules of rules enter their rules when they are imported
    active_rules,
    card_rules,
    colour_rules,
    epub_rules,
    ladder_rules,
    safety_rules,
    tag_rules,
    trim_rules,
    type_rules,
    wording_rules,
)
from leadsman.inspection.epub_reading import EpubFile, read_epub
from leadsman.inspection.findings import Outcome, Reading, judge, rules_for
from leadsman.inspection.for_person import for_a_person
from leadsman.inspection.model import PdfFile
from leadsman.inspection.reading import read_pdf
from leadsman.inspection.roles import face_of
from leadsman.inspection.trim_rules import SHEET_SIZES_MM

_IDENTITY = re.compile(r"(\S+), revision (\d+), ([^.]+\d{4})")


@dataclass(frozen=True)
class Report:
    """What the rules found in one file."""

    path: Path
    kind: str
    pages: int
    sha256: str
    outcomes: tuple[Outcome, ...]
    seconds: float
    file: PdfFile | EpubFile | None = field(repr=False)
    """What was read; None where the report came from another process."""
    identity: tuple[str, str] | None = None
    """Document number, and revision with date, where the first page says them."""

    @property
    def breaches(self) -> list[tuple[Outcome, Reading]]:
        """Every breach of a rule that must be kept."""
        return [(o, r) for o in self.outcomes if o.rule.severity == "must" for r in o.breaches]

    @property
    def advice(self) -> list[tuple[Outcome, Reading]]:
        """Every breach of a rule that should be kept."""
        return [(o, r) for o in self.outcomes if o.rule.severity == "should" for r in o.breaches]

    def as_data(self) -> dict[str, Any]:
        """The report as plain data, for JSON."""
        return {
            "file": self.path.name,
            "kind": self.kind,
            "pages": self.pages,
            "sha256": self.sha256,
            "must_broken": len(self.breaches),
            "should_broken": len(self.advice),
            "rules": [_rule_data(outcome) for outcome in self.outcomes],
            "for_a_person": [
                {"rule": item.id, "says": item.says, "why": item.why} for item in for_a_person(self.kind)
            ],
        }

    def as_json(self) -> str:
        """The report as JSON."""
        return json.dumps(self.as_data(), indent=2, ensure_ascii=False)


def survey(path: Path, kind: str | None = None, required_texts: Sequence[str] = ()) -> Report:
    """Apply every rule of its kind to a finished PDF or EPUB.

    Parameters
    ----------
    path
        The file.
    kind
        One of :data:`leadsman.inspection.findings.KINDS`; None to tell it from the file.
    required_texts
        Texts of the source that a PDF must hold; none by default, since a finished file does not
        carry its source.

    Raises
    ------
    OutputError
        When the file cannot be read, or is of another kind than asked for.
    """
    started = time.monotonic()
    path = Path(path)
    is_epub = path.suffix.lower() == ".epub"
    if kind is not None and (kind == "epub") != is_epub:
        raise OutputError(f"{path.name} is no {kind}: an EPUB ends in .epub, every other kind is a PDF")
    file: PdfFile | EpubFile = read_epub(path) if is_epub else read_pdf(path, required_texts)
    told = kind or kind_of(file)
    outcomes = tuple(judge(rule, file) for rule in rules_for(told))
    digest = hashlib.sha256(stranger(path)).hexdigest()
    count = len(file.pages) if isinstance(file, PdfFile) else len(file.chapters)
    return Report(path, told, count, digest, outcomes, time.monotonic() - started, file, _identity(file))


def look(
    path: Path, kind: str | None, required_texts: Sequence[str], pages: Path | None, findings: Path | None
) -> tuple[Report, int, int]:
    """Survey a file and write its pictures; plain data, so that a process of its own may do it."""
    from leadsman.inspection.pictures import write_findings, write_pages

    report = survey(path, kind, required_texts)
    painted = len(write_pages(report.file, pages)) if pages and isinstance(report.file, PdfFile) else 0
    drawn = len(write_findings(report, findings)) if findings else 0
    return replace(report, file=None), painted, drawn


def _identity(file: PdfFile | EpubFile) -> tuple[str, str] | None:
    for page in file.pages[:1] if isinstance(file, PdfFile) else ():
        if (face := face_of(page)) is not None:
            return face.document, f"revision {face.revision}, {face.date}"
        line = next((m for run in page.blocks if (m := _IDENTITY.search(run.text))), None)
        if line is not None:
            return line[1], f"revision {line[2]}, {line[3]}"
    return None


def kind_of(file: PdfFile | EpubFile) -> str:
    """Tell the kind of a file: by its form fields, identity lines, size and contents, in this order."""
    if isinstance(file, EpubFile):
        return "epub"
    if file.fields:
        return "record"
    if any(face_of(page) is not None for page in file.pages[:4]) or _is_small(file):
        return "deck"
    if not file.tree and file.pages and any(_is_sheet(file, size) for size in SHEET_SIZES_MM.values()):
        return "sheets"
    has_contents = any(element.tag == "H1" and element.text == "Contents" for element in file.elements)
    return "handbook" if has_contents else "guide"


def _is_small(file: PdfFile) -> bool:
    return bool(file.pages) and max(file.pages[0].trim.width, file.pages[0].trim.height) < 160


def _is_sheet(file: PdfFile, size: tuple[float, float]) -> bool:
    trim = file.pages[0].trim
    sides = sorted((trim.width, trim.height))
    return all(abs(a - b) < 1 for a, b in zip(sides, sorted(size), strict=True))


def _rule_data(outcome: Outcome) -> dict[str, Any]:
    rule = outcome.rule
    return {
        "rule": rule.id,
        "says": rule.says,
        "severity": rule.severity,
        "limit": rule.wants,
        "source": rule.source,
        "verdict": outcome.verdict,
        "looked_at": outcome.looked_at,
        "worst": outcome.worst,
        "findings": [_reading_data(reading) for reading in outcome.breaches],
    }


def _reading_data(reading: Reading) -> dict[str, Any]:
    box = reading.box
    place = [round(v, 1) for v in (box.left, box.top, box.right, box.bottom)] if box is not None else None
    data: dict[str, Any] = {
        "measured": reading.measured,
        "says": reading.says,
        "page": reading.page or None,
        "place_mm": place,
    }
    return data | ({"file": reading.file} if reading.file else {})


def unlike_revisions(reports: Sequence[Report]) -> list[str]:
    """Documents of which the surveyed files show more than one revision or date (rule DC-12)."""
    said: dict[str, dict[str, list[str]]] = {}
    for report in reports:
        if report.identity is not None:
            document, revision = report.identity
            said.setdefault(document, {}).setdefault(revision, []).append(report.path.name)
    return [
        f"{document} has more than one revision: "
        + "; ".join(f"{r} in {', '.join(f)}" for r, f in found.items())
        for document, found in said.items()
        if len(found) > 1
    ]
