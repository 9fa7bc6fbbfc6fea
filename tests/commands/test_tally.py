"""``leadsman tally``: records that other programs filled are read back, and what cannot be counted is told.

Filled by PyMuPDF (MuPDF) and by pikepdf (qpdf), two libraries of different making; read back with pikepdf. A record
filled by pencil and scanned has no fields and is refused with that reason.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pikepdf
import pymupdf
import pytest
from pikepdf import Name, String

import built
from leadsman.book.record import record_sheets
from leadsman.cli import main
from leadsman.output.record import write_record
from leadsman.press.typeset import Typesetter

VALUES: dict[str, str | bool] = {
    "check-history-in-service": True, "check-when-yes": True, "check-own-volts-no": True, "check-plug-no": True,
    "finding-found-contact": True, "proved-found-contact": True, "minutes": "30", "came-back": True,
    "equipment-display-model": "Tideway 9", "boat-name": "Sea Otter", "signed-owner": "J. Miller",
}  # fmt: skip


@pytest.fixture(scope="module")
def blank(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The empty record of P3."""
    catalogue, _ = built.content()
    edition = catalogue.editions["service-record"]
    sheet = next(s for s in record_sheets(edition, catalogue) if s.name == "P3-restarts-on-transmit")
    out = tmp_path_factory.mktemp("record") / "p3.pdf"
    templates = built.ROOT / "templates"
    return write_record(sheet, catalogue, out=out, templates=templates, typesetter=Typesetter(templates)).path


def by_pymupdf(blank: Path, out: Path) -> None:
    with pymupdf.open(blank) as document:
        for page in document:
            for widget in page.widgets():
                if widget.field_name in VALUES:
                    widget.field_value = VALUES[widget.field_name]
                    widget.update()
        document.save(out)


def by_pikepdf(blank: Path, out: Path) -> None:
    with pikepdf.open(blank) as pdf:
        for field in pdf.Root.AcroForm.Fields:
            value = VALUES.get(str(field.T))
            if value is True:
                field.V = field.AS = Name("/on")
            elif value:
                field.V = String(str(value))
        pdf.save(out)


def tally(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[object, Any]:
    with pytest.raises(SystemExit) as end:
        main(["tally", *words, "--format", "json"])
    return end.value.code, json.loads(capsys.readouterr().out)


def test_records_of_two_programs_and_a_case_are_counted(
    blank: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    by_pymupdf(blank, tmp_path / "one.pdf")
    by_pikepdf(blank, tmp_path / "two.pdf")
    shutil.copy(Path(__file__).resolve().parents[1] / "cases/proved-face.yaml", tmp_path)
    code, data = tally(
        capsys, str(tmp_path), "--picture", str(tmp_path / "t.svg"), "--patch", str(tmp_path / "t.patch")
    )
    assert (code, data["cases"], data["left_out"]) == (0, 3, [])
    counts = {item["code"]: item for item in data["entries"]}
    assert (
        counts["P3"]["cases"],
        counts["P3"]["proved"],
        counts["P3"]["came_back"],
        counts["P3"]["minutes"],
    ) == (2, 2, 2, 30)
    assert counts["D1"]["proved"] == 1
    (p3,) = (item for item in data["likelihoods"] if item["entry"] == "restarts-on-transmit")
    contact = next(c for c in p3["causes"] if c["cause"] == "contact")
    assert contact["mean"] > contact["written"]
    assert "Miller" not in json.dumps(data)
    assert "Otter" not in json.dumps(data)
    assert (tmp_path / "t.svg").read_text().startswith("<?xml")


def test_what_cannot_be_counted_is_told_with_the_reason(
    blank: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copy(blank, tmp_path / "empty.pdf")
    (tmp_path / "torn.pdf").write_bytes(blank.read_bytes()[:2000])
    with pymupdf.open() as scan:
        scan.new_page()
        scan.save(tmp_path / "scan.pdf")
    shutil.copy(Path(__file__).resolve().parents[1] / "cases/weak-feed.yaml", tmp_path)
    code, data = tally(capsys, str(tmp_path))
    told = {Path(item["file"]).name.split(":")[0]: item["reason"] for item in data["left_out"]}
    assert (code, data["cases"]) == (1, 0)
    assert "no verdict" in told["empty.pdf"]
    assert "cannot be read as a PDF" in told["torn.pdf"]
    assert "no fields" in told["scan.pdf"]
    assert "no verdict" in told["weak-feed.yaml"]
