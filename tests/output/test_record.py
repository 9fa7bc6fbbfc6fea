"""Service records: what stands in them, and that what is filled in lasts from one program to another.

Filling is tried with PyMuPDF and with pikepdf (qpdf), two libraries of different making, each reading what the other
wrote. Field rules: ISO 32000-1, 12.7 (names, tooltips, appearance) and 12.5.2 (tab order). Limits are recomputed from
the formula module and from the declared records.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
import re
from functools import cache
from pathlib import Path
from typing import Any

import pikepdf
import pymupdf
import pytest
from pikepdf import Name, String

import built
import validators
from leadsman import build
from leadsman.book.record import RecordSheet, record_sheets
from leadsman.build import Order, build_editions, pieces_of
from leadsman.compute.supply.plug_checks import plug_bands
from leadsman.output.prose_html import Setter
from leadsman.output.record import record_folder, record_html, write_record
from leadsman.press.completeness import normalised
from leadsman.press.typeset import Typesetter

RECORD = "service-record"
#: Findings of outloud that are set aside, with the reason.
WAIVERS = {"TBL-010": "a table of one swap or of one display truly has more header cells than data cells"}
CONDITION, BOAT = "P3-restarts-on-transmit", "boat-linnet"
SAMPLES = ("blank", CONDITION, BOAT)


@cache
def sheets() -> dict[str, RecordSheet]:
    catalogue, _ = built.content()
    return {sheet.name: sheet for sheet in record_sheets(catalogue.editions[RECORD], catalogue)}


@pytest.fixture(scope="module")
def typesetter() -> Typesetter:
    return Typesetter(built.ROOT / "templates")


@pytest.fixture(scope="module")
def made(typesetter: Typesetter, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The three kinds of record, and the blank one on Letter."""
    catalogue, _ = built.content()
    folder = tmp_path_factory.mktemp("records")
    blank = sheets()["blank"]
    on_letter = dataclasses.replace(blank, edition=blank.edition.model_copy(update={"paper": "us"}))
    wanted = {name: sheets()[name] for name in SAMPLES} | {"letter": on_letter}
    return {
        name: write_record(
            sheet, catalogue, out=folder / f"{name}.pdf", templates=built.ROOT / "templates", typesetter=typesetter
        ).path
        for name, sheet in wanted.items()
    }  # fmt: skip


def widgets(pdf: pikepdf.Pdf) -> list[Any]:
    return [a for page in pdf.pages for a in page.get("/Annots", ()) if a.Subtype == "/Widget"]


def text_of(path: Path) -> str:
    with pymupdf.open(path) as document:
        return normalised("\n".join(page.get_text() for page in document))


def test_there_is_one_blank_and_one_for_each_condition_and_boat() -> None:
    catalogue, _ = built.content()
    names = list(sheets())
    assert names[0] == "blank"
    assert {n for n in names if n.startswith("boat-")} == {f"boat-{b}" for b in catalogue.boats}
    assert len(names) == 1 + len(catalogue.faults) + len(catalogue.boats)


@pytest.mark.parametrize("name", SAMPLES)
def test_validators_have_nothing_to_say(made: dict[str, Path], name: str) -> None:
    """PDF/UA-1 (ISO 14289-1) by machine; how a reader program speaks the fields is not tried."""
    assert validators.pdf_findings(made[name], skip=WAIVERS) == []


@pytest.mark.parametrize("name", SAMPLES)
def test_every_field_has_a_name_a_tooltip_and_an_appearance(made: dict[str, Path], name: str) -> None:
    with pikepdf.open(made[name]) as pdf:
        found = widgets(pdf)
        names = [str(field.T) for field in found]
        assert len(names) == len(set(names)) > 60
        assert {str(f.T) for f in pdf.Root.AcroForm.Fields} == set(names)
        # A period would part a name into parent and child (12.7.3.2).
        assert all(re.fullmatch(r"[a-z0-9-]+", n) for n in names)
        assert all(len(str(field.TU)) > 3 and "{" not in str(field.TU) for field in found)
        assert all(int(field.F) & 4 for field in found), "every field is printed"
        assert all("/AP" in field for field in found)
        assert "/NeedAppearances" not in pdf.Root.AcroForm
        assert all(page.Tabs == "/S" for page in pdf.pages if "/Annots" in page)


@pytest.mark.parametrize("name", SAMPLES)
def test_tab_order_is_reading_order(made: dict[str, Path], name: str) -> None:
    """The order of the structure tree, by which the tab key goes: line by line, left to right in a line."""
    with pikepdf.open(made[name]) as pdf:
        pages = {page.obj.objgen: number for number, page in enumerate(pdf.pages)}
        order = [(pages[f.P.objgen], f) for f in structured(pdf.Root.StructTreeRoot.K)]
        assert len(order) == len(widgets(pdf))
        for (page, one), (later, other) in itertools.pairwise(order):
            assert page <= later
            if page != later:
                continue
            top_one, top_other = (max(float(f.Rect[1]), float(f.Rect[3])) for f in (one, other))
            bottom_one = min(float(one.Rect[1]), float(one.Rect[3]))
            same_line = top_other > bottom_one
            below = top_other <= top_one + 1
            right = float(other.Rect[0]) > float(one.Rect[0])
            assert below or (same_line and right), f"{one.T} then {other.T}"


def structured(node: Any) -> list[Any]:
    if isinstance(node, pikepdf.Array):
        return [found for kid in node for found in structured(kid)]
    if not isinstance(node, pikepdf.Dictionary):
        return []
    if node.get("/Type") == "/OBJR":
        return [node.Obj] if node.Obj.get("/Subtype") == "/Widget" else []
    return structured(node.K) if "/K" in node else []


def fill_with_pymupdf(path: Path, out: Path) -> dict[str, str]:
    """Fill every field; returns what was filled in."""
    filled = {}
    with pymupdf.open(path) as document:
        for page in document:
            for number, widget in enumerate(page.widgets()):
                if widget.field_type == pymupdf.PDF_WIDGET_TYPE_CHECKBOX:
                    widget.field_value = number % 2 == 0
                    filled[widget.field_name] = "/on" if number % 2 == 0 else "/Off"
                else:
                    widget.field_value = filled[widget.field_name] = f"{12 + number / 100:.2f} V é"
                widget.update()
        document.save(out)
    return filled


def values(path: Path) -> dict[str, str]:
    with pikepdf.open(path) as pdf:
        return {str(field.T): str(field.V) for field in widgets(pdf)}


@pytest.mark.parametrize("name", ["blank", CONDITION])
def test_filled_by_one_library_read_and_kept_by_the_other(
    made: dict[str, Path], name: str, tmp_path: Path
) -> None:
    filled = fill_with_pymupdf(made[name], tmp_path / "filled.pdf")
    assert values(tmp_path / "filled.pdf") == filled
    with pikepdf.open(tmp_path / "filled.pdf") as pdf:
        ticked = [f for f in widgets(pdf) if f.FT == "/Btn" and str(f.V) == "/on"]
        assert ticked
        assert all(f.AS == "/on" for f in ticked)
        pdf.save(tmp_path / "again.pdf")
    assert values(tmp_path / "again.pdf") == filled
    with pymupdf.open(tmp_path / "again.pdf") as document:
        shown = {w.field_name: w.field_value for page in document for w in page.widgets()}
        assert {n: v for n, v in shown.items() if not filled[n].startswith("/")} == {
            n: v for n, v in filled.items() if not v.startswith("/")
        }
        # What was filled in is also seen: flattened, it is text of the page.
        document.bake()
        assert normalised("12.00 V") in normalised(document[0].get_text())


def test_filled_by_pikepdf_read_and_kept_by_pymupdf(made: dict[str, Path], tmp_path: Path) -> None:
    with pikepdf.open(made["blank"]) as pdf:
        for field in widgets(pdf):
            if field.FT == "/Btn":
                field.V = field.AS = Name("/on")
            else:
                field.V = String(f"Value of {field.T}")
                del field["/AP"]
        pdf.Root.AcroForm.NeedAppearances = True
        pdf.save(tmp_path / "filled.pdf")
    with pymupdf.open(tmp_path / "filled.pdf") as document:
        found = [w for page in document for w in page.widgets()]
        assert all(w.field_value in ("on", "Yes", True) for w in found if w.field_type == pymupdf.PDF_WIDGET_TYPE_CHECKBOX)  # fmt: skip
        assert all(w.field_value == f"Value of {w.field_name}" for w in found if w.field_type == pymupdf.PDF_WIDGET_TYPE_TEXT)  # fmt: skip
        document.save(tmp_path / "again.pdf")
    assert values(tmp_path / "again.pdf") == values(tmp_path / "filled.pdf")


@pytest.mark.parametrize("name", SAMPLES)
def test_a_ticked_box_looks_ticked(made: dict[str, Path], name: str) -> None:
    with pymupdf.open(made[name]) as document:
        page = document[0]
        box = next(w for w in page.widgets() if w.field_name == "settings-recorded")
        before = page.get_pixmap(clip=box.rect, dpi=200, colorspace=pymupdf.csGRAY)
        box.field_value = True
        box.update()
        after = page.get_pixmap(clip=box.rect, dpi=200, colorspace=pymupdf.csGRAY)
    assert sum(p < 128 for p in after.samples) > 1.2 * sum(p < 128 for p in before.samples)


def test_a_condition_brings_its_steps_answers_ends_and_evidence(made: dict[str, Path]) -> None:
    catalogue, _ = built.content()
    sheet, text, names = sheets()[CONDITION], text_of(made[CONDITION]), set(values(made[CONDITION]))
    plain = Setter(catalogue).plain
    view = sheet.view
    assert view is not None
    for step in view.steps:
        assert normalised(plain(step.check.body.do)) in text
        assert {f"check-{step.id}-{answer.key}" for answer in step.answers} <= names
    for fix in view.fixes:
        assert normalised(plain(fix.finding.proof)) in text
        assert {f"finding-{fix.id}", f"proved-{fix.id}"} <= names
    asked = {e for end in view.hand_overs for e in end.hand_over.evidence}
    for name in asked:
        record = catalogue.records["evidence"][name]
        assert normalised(str(record.ask)) in text
        assert (
            f"photo-{name.removeprefix('photo-')}" if record.kind == "photo" else f"evidence-{name}"
        ) in names
    assert not {n for n in names if n.startswith(("evidence-", "photo-"))} - {
        n for e in asked for n in (f"evidence-{e}", f"photo-{e.removeprefix('photo-')}")
    }


def test_every_condition_and_boat_gives_unique_field_names() -> None:
    """Without setting them: a name given twice would tie two fields together."""
    catalogue, _ = built.content()
    every_fifth = list(sheets().items())[::5]
    for name, sheet in every_fifth:
        names = re.findall(r'name="([^"]*)"', record_html(sheet, catalogue, built.ROOT / "templates"))
        assert len(names) == len(set(names)), name
        assert all(re.fullmatch(r"[a-z0-9-]+", n) for n in names), name


@pytest.mark.parametrize("name", ["boat-linnet", "boat-brent"])
def test_limits_of_a_boat_are_those_of_its_lead_on_the_safe_side(name: str) -> None:
    """Recomputed from the boat's own record; a limit below which something is wrong is never printed too low."""
    catalogue, _ = built.content()
    sheet = sheets()[name]
    boat, display = sheet.boat, sheet.display
    assert boat is not None
    assert display is not None
    assumed = {n: float(r.value.split()[0]) for n, r in catalogue.records["assumptions"].items() if re.match(r"[\d.]+ ", r.value)}  # fmt: skip
    # Common practice, no source: 0.15 V for a bad joint, 0.5 V above the low limit; 10 % of 24 V by the standards.
    bands: Any = plug_bands(
        block_v=assumed["battery-loaded-12"], nominal_v=float(boat.supply.nominal_v), unit_power_w=12 * display.current_a,
        warm_c=assumed["lead-temperature-warm"], joint_allowance_v=0.15, low_limit_margin_v=0.5, working_drop_pct=10.0,
        length_m=boat.supply.lead_length_m, conductor=boat.supply.conductor, construction="stranded",
        temperature_c=assumed["lead-temperature-read"], contact_ohm=boat.supply.contact_ohm,
        low_limit_v=display.supply_low_v,
    )  # fmt: skip
    printed = {limit.id: float(limit.text.split("\u202f")[0]) for line in sheet.readings for limit in line.limits}  # fmt: skip
    assert set(printed) == {"sound-lead", "bad-joint", "convicted"}
    for key, exact in (("bad-joint", bands.find_joint_below), ("convicted", bands.convicted_below)):
        assert 0 <= printed[key] - float(exact) + 1e-9 < 0.05 + 1e-9
    assert printed["sound-lead"] == pytest.approx(float(bands.expected), abs=0.0251)


def test_family_limits_hold_for_every_boat_with_that_display() -> None:
    for line in sheets()["blank"].families:
        (limit,) = line.limits
        # The declared low limit and the half volt of common practice, to the next 0.05 V up.
        exact = line.family.supply_low_v + 0.5
        assert float(limit.text.split("\u202f")[0]) == pytest.approx(math.ceil(exact / 0.05 - 1e-9) * 0.05)


def test_limits_stand_beside_their_fields(made: dict[str, Path]) -> None:
    """Each reading's fields lie in the same line of the page as its limit."""
    catalogue, _ = built.content()
    plain = Setter(catalogue, family=sheets()[BOAT].display).plain
    with pymupdf.open(made[BOAT]) as document:
        rects = {w.field_name: (page.number, w.rect) for page in document for w in page.widgets()}
        for line in sheets()[BOAT].readings:
            words = plain(line.reading.limit).replace("\u200b", "").split(". ")[0].split()[:4]
            for place in line.reading.at:
                number, rect = rects[f"reading-{line.id}-{place.replace(' ', '-')}"]
                found = document[number].search_for(" ".join(words))
                assert any(abs((r.y0 + r.y1) / 2 - (rect.y0 + rect.y1) / 2) < 14 and r.x0 > rect.x1 for r in found), line.id  # fmt: skip


@pytest.mark.parametrize(("name", "size_mm"), [("blank", (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_paper(made: dict[str, Path], name: str, size_mm: tuple[float, float]) -> None:
    """ISO 216 A4; Letter is 8.5 x 11 in (ANSI/ASME Y14.1)."""
    with pikepdf.open(made[name]) as pdf:
        for page in pdf.pages:
            width, height = (float(page.mediabox[i]) * built.MM_PER_PT for i in (2, 3))
            assert (width, height) == pytest.approx(size_mm, abs=0.01)


def test_build_makes_the_folder_whole(tmp_path: Path) -> None:
    catalogue, verdict = built.content()
    edition = catalogue.editions[RECORD].model_copy(update={"records": ["blank"]})
    narrowed = dataclasses.replace(catalogue, records={**catalogue.records, "editions": {RECORD: edition}})
    (made,) = build_editions(
        Order(narrowed, verdict, built.ROOT / "templates", paper="us"), [RECORD], tmp_path
    )
    assert made.path == record_folder(tmp_path, RECORD, "us")
    assert [p.name for p in made.path.glob("*.pdf")] == ["service-record-blank.pdf"]


def test_in_several_processes_the_records_are_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(build, "_RECORDS_AT_ONCE", 1)
    catalogue, verdict = built.content()
    boats = dict(list(catalogue.boats.items())[:2])
    edition = catalogue.editions[RECORD].model_copy(update={"records": ["boats"]})
    records = {**catalogue.records, "boats": boats, "editions": {RECORD: edition}}
    order = Order(dataclasses.replace(catalogue, records=records), verdict, built.ROOT / "templates")
    assert [len(piece.parts) for piece in pieces_of(order, RECORD)] == [1, 1]
    digests = []
    for workers in (1, 2):
        (made,) = build_editions(order, [RECORD], tmp_path / str(workers), workers)
        digests.append({p.name: p.read_bytes() for p in made.path.glob("*.pdf")})
    assert digests[0] == digests[1]
    assert set(digests[0]) == {f"service-record-boat-{b}.pdf" for b in boats}
