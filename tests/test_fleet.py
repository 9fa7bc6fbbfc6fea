"""A fleet of guides: made by any executor, resumed, one bad row at a time, and silent about people."""

from __future__ import annotations

import csv
import dataclasses
import hashlib
import html
import io
import json
import re
import subprocess
import sys
import zipfile
from concurrent.futures import BrokenExecutor
from pathlib import Path
from typing import Any

import pikepdf
import pymupdf
import pytest

import small_fleet
import small_guides
from leadsman import fleet as fleets
from leadsman.cli import main
from leadsman.content.fleet import Fleet, read_fleet
from leadsman.content.model.edition import GuideEdition
from leadsman.content.model.equipment import Dealer
from leadsman.errors import Problem
from leadsman.fleet import FleetPlan, FleetReport, make_fleet, plan_fleet, read_manifest
from leadsman.output import guide_press
from leadsman.press.gate import Refused

LIST = """id,like,owner,boat,display_serial,units
rook,punt,Perpetua Rookling,Old Sedge,AI-S-10442,
corvin,punt,Corvin Thackthwaite,Kittiwake's Rest,,us
pellow,punt,Æthelwyn Pellow,Štika,,
lantern,punt,Isolde Lanternby,Pontoon,,
"""
#: The same with a name that is too long for its place: its guide is laid out whole.
LONG = LIST.replace(
    "Pontoon", "Pontoon of the Greater Lanternby-Quennell-Ossory Family and Friends at Sedgeholm"
)
NAMES = (
    "Perpetua",
    "Rookling",
    "Corvin",
    "Thackthwaite",
    "Æthelwyn",
    "Pellow",
    "Isolde",
    "Lanternby",
    "Kittiwake",
    "10442",
)


def make(out: Path, text: str = LIST, formats: tuple[str, ...] = ("pdf",), executor: Any = small_guides.Here,
         survey: str = "off") -> FleetReport:  # fmt: skip
    fleet = listed(out.parent, text)
    catalogue, edition = small_guides.content()
    plan = plan_fleet(fleet, edition, catalogue, out, small_guides.TEMPLATES, formats=formats)
    return make_fleet(plan, fleet, edition, out, executor, survey=survey)


def listed(folder: Path, text: str) -> Fleet:
    (folder / "fleet.csv").write_text(text, encoding="utf-8")
    return read_fleet(folder / "fleet.csv", small_guides.content()[0])


def times(out: Path) -> dict[str, int]:
    return {path.name: path.stat().st_mtime_ns for path in out.iterdir() if path.name != fleets.MANIFEST}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a finished fleet in both formats."""
    out = tmp_path_factory.mktemp("fleet") / "guides"
    report = make(out, LONG, formats=("pdf", "epub"), survey="refuse")
    assert report.problems == []
    assert (report.made, report.kept, report.whole) == (8, 0, 1)
    return out


def test_the_manifest_names_each_file_and_nobody(made: Path) -> None:
    text = (made / fleets.MANIFEST).read_text(encoding="utf-8")
    said = json.loads(text)
    assert (said["edition"], said["document"], said["revision"]) == ("guide", "Q-OWNER", 1)
    assert sorted(entry["file"] for entry in said["guides"]) == sorted(times(made))
    for entry in said["guides"]:
        assert hashlib.sha256((made / entry["file"]).read_bytes()).hexdigest() == entry["sha256"]
        assert set(entry) == {"id", "file", "sha256", "bytes", "units", "inputs"}
    assert [name for name in NAMES if name in text] == []


def test_a_name_stands_on_its_own_guide_and_in_no_metadata(made: Path) -> None:
    with pymupdf.open(made / "rook.pdf") as document:
        pages = [page.get_text() for page in document]
        facts = json.dumps([document.metadata, document.get_xml_metadata(), document.get_toc()])
    assert [n for n, text in enumerate(pages) if "Perpetua Rookling" in text] == [0]
    assert [name for name in NAMES if name in facts] == []
    assert [name for name in NAMES[2:9] if any(name in text for text in pages)] == []
    with zipfile.ZipFile(made / "rook.epub") as archive:
        holding = [n for n in archive.namelist() if any(name.encode() in archive.read(n) for name in NAMES)]
    assert holding == ["EPUB/guide-front.xhtml", "EPUB/guide-numbers.xhtml"]


def test_no_words_of_one_owner_lie_hidden_in_another_file(made: Path) -> None:
    """Every object of the file, unpacked: pages draw glyphs, so that a name in plain letters would be a leak."""
    for path in made.glob("*.pdf"):
        with pikepdf.open(path) as pdf:
            for item in pdf.objects:
                text = (
                    item.unparse(resolved=True) if not isinstance(item, pikepdf.Stream) else item.read_bytes()
                )
                assert not any(name.encode() in text for name in NAMES)


def test_units_follow_the_row(made: Path) -> None:
    entries = {entry["id"]: entry["units"] for entry in read_manifest(made).values()}
    assert entries == {"rook": "metric", "corvin": "us", "pellow": "metric", "lantern": "metric"}


def test_an_epub_frame_is_the_plainly_made_book(made: Path, tmp_path: Path) -> None:
    from leadsman.output.guide import set_epub

    values = small_guides.guide("Perpetua Rookling", "Old Sedge").values
    source = small_guides.source()
    set_epub(source, "rook", {**values, "display-serial": "AI-S-10442"}, tmp_path / "plain.epub")
    assert (tmp_path / "plain.epub").read_bytes() == (made / "rook.epub").read_bytes()


def test_a_second_run_makes_nothing_and_a_third_only_what_changed(tmp_path: Path) -> None:
    out = tmp_path / "guides"
    assert make(out).made == 4
    before = times(out)
    again = make(out)
    assert (again.made, again.kept, times(out)) == (0, 4, before)

    (out / "rook.pdf").write_bytes(b"%PDF cut off")
    (out / "corvin.pdf").unlink()
    changed = make(out, LIST.replace("Štika", "Raven"))
    assert (changed.made, changed.kept) == (3, 1)
    assert times(out)["lantern.pdf"] == before["lantern.pdf"]
    with pymupdf.open(out / "pellow.pdf") as document:
        assert "Raven" in document[0].get_text()


def test_an_interrupted_run_goes_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "guides"
    monkeypatch.setattr(fleets, "BATCH", 1)
    stopped: list[int] = []

    def stop(files: int) -> None:
        stopped.append(files)
        if len(stopped) == 2:
            raise KeyboardInterrupt

    fleet = listed(tmp_path, LIST)
    catalogue, edition = small_guides.content()
    plan = plan_fleet(fleet, edition, catalogue, out, small_guides.TEMPLATES, formats=["pdf"])
    with pytest.raises(KeyboardInterrupt):
        make_fleet(plan, fleet, edition, out, small_guides.Here, stop, survey="off")
    assert len(read_manifest(out)) == 2
    rest = make(out)
    assert (rest.made, rest.kept, len(read_manifest(out))) == (2, 2, 4)


def batch_of_three(tmp_path: Path, out: Path) -> tuple[FleetPlan, Fleet, GuideEdition]:
    """A plan whose first batch has three guides, with its list and its edition."""
    fleet = listed(tmp_path, LIST.replace(",us\n", ",\n"))
    catalogue, edition = small_guides.content()
    plan = plan_fleet(fleet, edition, catalogue, out, small_guides.TEMPLATES, formats=["pdf"])
    assert [[o.id for o in b.orders] for b in plan.batches] == [["corvin", "pellow", "lantern"], ["rook"]]
    return plan, fleet, edition


def test_what_is_finished_of_a_batch_is_kept_when_it_is_stopped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ctrl-C at the third guide of a batch of three: the two before it stand in their place."""
    right = fleets.press

    def stopped(source: Any, orders: Any, *more: Any, **named: Any) -> Any:
        found = []
        for order in orders:
            if order.id == "lantern":
                raise KeyboardInterrupt
            found += right(source, [order], *more, **named)
        return found

    monkeypatch.setattr(fleets, "press", stopped)
    out = tmp_path / "guides"
    plan, fleet, edition = batch_of_three(tmp_path, out)
    with pytest.raises(KeyboardInterrupt):
        make_fleet(plan, fleet, edition, out, small_guides.Here, survey="off", shares_disk=True)
    assert sorted(times(out)) == ["corvin.pdf", "pellow.pdf"]
    assert (fleets.in_place(plan, out), len(read_manifest(out))) == (2, 2)
    assert [p.name for p in out.iterdir() if p.name.startswith(".")] == []


@pytest.mark.parametrize(
    ("where", "said"),
    [
        ("leadsman.content.fleet.read_fleet", "stopped before a guide was begun: this run made none; the same command begins again"),
        ("leadsman.fleet.make_batch", "stopped before the first guide was finished: none of 4 files is made"),
    ],
)  # fmt: skip
def test_a_run_that_is_stopped_early_says_that_none_is_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, where: str, said: str
) -> None:
    content = small_guides.with_guide(tmp_path)
    (tmp_path / "f.csv").write_text(LIST, encoding="utf-8")

    def stop(*words: Any, **named: Any) -> Any:
        raise KeyboardInterrupt

    monkeypatch.setattr(where, stop)
    monkeypatch.setattr("leadsman.commands.guides._processes", lambda workers, work: small_guides.Here)
    with pytest.raises(SystemExit) as ended:
        main(["guides", str(tmp_path / "f.csv"), "--content", str(content), "--out", str(tmp_path / "g"), "--only", "pdf"])  # fmt: skip
    assert ended.value.code == 130
    told = capsys.readouterr().err
    assert said in told
    assert "begins again" in told


def test_files_of_no_row_of_the_list_are_named_and_kept(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of a list that became shorter the older guides stay; a bad row's is of this list all the same."""
    content, out = small_guides.with_guide(tmp_path), tmp_path / "g"
    out.mkdir()
    kept = ["gone.epub", "gone.pdf", "nowhere.pdf", "Prices 2026.pdf", "notes.txt"]
    for name in kept:
        (out / name).write_bytes(b"earlier")
    monkeypatch.setattr("leadsman.commands.guides._processes", lambda workers, work: small_guides.Here)

    def said(rows: str) -> str:
        (tmp_path / "f.csv").write_text("id,like\n" + rows, encoding="utf-8")
        with pytest.raises(SystemExit):
            main(["guides", str(tmp_path / "f.csv"), "--content", str(content), "--out", str(out), "--only", "epub", "--survey", "off"])  # fmt: skip
        return capsys.readouterr().err

    told = said("rook,punt\nnowhere,barge\n")
    assert told.count("of no row of this list") == 1
    assert (
        "g: 2 files of no row of this list: gone.epub, gone.pdf; delete what is no customer's any more"
        in told
    )
    assert all((out / name).read_bytes() == b"earlier" for name in kept)
    assert "of no row" not in said("rook,punt\nnowhere,barge\ngone,barge\n")
    # A line that could not be read may be theirs.
    assert "of no row" not in said('rook,punt\n"gone,barge\n')


def test_a_bad_row_and_a_sign_without_glyph_stop_nobody(tmp_path: Path) -> None:
    out = tmp_path / "guides"
    report = make(out, LIST + "nowhere,barge,Quillan Dunmere,,,\nfar,punt,李小龍,,,\n")
    assert report.made == 4
    assert [(p.line, p.what) for p in report.problems] == [
        (6, "cell B6 of nowhere: 'barge' is no boat of the content"),
        (7, "cell C7 of far: holds a sign that the fonts lack"),
    ]
    assert not any(
        word in str(p) for p in report.problems for word in ("Quillan", "Dunmere", *"李小龍", "674E")
    )


def test_names_of_any_kind_are_printed_whole(tmp_path: Path) -> None:
    """Letters of four alphabets, signs that mean something to a page or a shell, and eighty letters without a blank."""
    names = [
        ("İpek Çağlayan", "Öğle Yıldızı"), ("Søren Ørsted-Æbelø", "Ørnen"), ("Константин Рыбаков", "Чайка"),
        ("Ελένη Παπαδοπούλου", "Γλάρος"), ("Ø", "Å"), ("d'Angelo & <b>Söhne</b>", "“Stella” {x} %s $HOME `x`"),
        ("W" * 80, "M" * 80), ('Ada "Dee" Vane', "The & Wren"),
    ]  # fmt: skip
    serial = "SN" + "0123456789" * 7 + "12345678"
    text = io.StringIO()
    rows = csv.writer(text)
    rows.writerow(["id", "like", "owner", "boat", "display_serial"])
    rows.writerows([f"k-{n}", "punt", owner, boat, serial] for n, (owner, boat) in enumerate(names))
    out = tmp_path / "guides"
    assert make(out, text.getvalue(), formats=("pdf", "epub")).problems == []
    for n, said in enumerate(names):
        with pymupdf.open(out / f"k-{n}.pdf") as pdf:
            page = "".join("".join(page.get_text() for page in pdf).split())
        with zipfile.ZipFile(out / f"k-{n}.epub") as book:
            words = "".join(html.unescape(book.read(name).decode()) for name in book.namelist() if name.endswith(".xhtml"))  # fmt: skip
        for word in (*said, serial):
            assert "".join(word.split()) in page
            assert word in words


def test_a_guide_that_is_refused_for_another_reason_is_told_that_reason(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A letter that no font has is no want of room: to shorten the name would cure nothing."""

    def refused(source: Any, values: Any, typesetter: Any, target: str) -> bytes:
        raise Refused(target, ["no glyph for U+26A0"])

    monkeypatch.setattr(guide_press, "set_pdf", refused)
    report = make(tmp_path / "guides", f"id,like,owner\nlong,punt,{'W' * 80}\n")
    (problem,) = report.problems
    assert "no glyph" in problem.what
    assert "room" not in problem.what


def test_a_guide_that_its_own_names_make_too_long_is_told_by_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The shared pages fit the edition: whoever has the list can shorten a name, and nobody need touch the edition."""
    right = guide_press.set_pdf
    asked: list[str] = []

    def shorter(source: Any, values: Any, *more: Any) -> bytes:
        asked.append(values["owner"])
        return right(dataclasses.replace(source, most_pages=4), values, *more)

    monkeypatch.setattr(guide_press, "set_pdf", shorter)
    report = make(tmp_path / "guides", f"id,like,owner\nrook,punt,Rook\nlong,punt,{'W' * 80}\n")
    assert asked == ["W" * 80]
    assert report.made == 1
    (problem,) = report.problems
    assert problem.line == 3
    assert problem.what.endswith(
        "pages; the edition allows 4: its names and numbers take more room than the pages have: shorten them in the list"
    )
    assert "conditions" not in problem.what


def test_the_dealer_hears_of_a_lead_that_is_too_thin_and_whose_it_is(tmp_path: Path) -> None:
    catalogue = small_fleet.content()
    text = (
        "id,like,owner,lead_length,conductor\na,pintail,Rook,,\nb,pintail,,12 m,1 mm2\nc,pintail,,5 m,6 mm2\n"
    )
    (tmp_path / "f.csv").write_text(text, encoding="utf-8")
    fleet = read_fleet(tmp_path / "f.csv", catalogue)
    plan = plan_fleet(fleet, small_fleet.EDITION, catalogue, tmp_path / "out", small_guides.TEMPLATES)
    assert [(p.line, p.severity, p.hint) for p in plan.problems] == [
        (
            2,
            "warning",
            "lead_length and conductor taken from 'pintail', the boat under 'like': fill in those of this boat",
        ),
        (3, "warning", "run a larger pair"),
    ]
    assert plan.problems[0].what == "a: the power lead is too thin for its display, and the guide says so"


@pytest.mark.parametrize("kind", [BrokenExecutor, MemoryError])
def test_a_row_that_kills_its_worker_takes_no_other_with_it(tmp_path: Path, kind: type[Exception]) -> None:
    def deadly(orders: Any) -> None:
        if any(order.id == "pellow" for order in orders):
            raise kind("Æthelwyn Pellow")

    out = tmp_path / "guides"
    report = make(out, executor=lambda: small_guides.Here(deadly))
    assert (report.made, sorted(times(out))) == (3, ["corvin.pdf", "lantern.pdf", "rook.pdf"])
    (problem,) = report.problems
    assert (problem.line, "pellow" in problem.what, "Pellow" in problem.what) == (4, True, False)


def test_what_a_dead_worker_had_finished_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The worker of a batch dies at its second guide: the first is kept, that one is told, the third is made."""
    made: list[str] = []
    right = fleets.press

    def dying(source: Any, orders: Any, *more: Any, **named: Any) -> Any:
        found = []
        for order in orders:
            if order.id == "pellow":
                raise BrokenExecutor
            made.append(order.id)
            found += right(source, [order], *more, **named)
        return found

    monkeypatch.setattr(fleets, "press", dying)
    out = tmp_path / "guides"
    plan, fleet, edition = batch_of_three(tmp_path, out)
    report = make_fleet(plan, fleet, edition, out, small_guides.Here, survey="off", shares_disk=True)
    assert (report.made, sorted(times(out))) == (3, ["corvin.pdf", "lantern.pdf", "rook.pdf"])
    assert sorted(made) == ["corvin", "lantern", "rook"], "nothing is made twice"
    (problem,) = report.problems
    assert problem.what == "pellow: pdf: the process that set it died"
    assert [p.name for p in out.iterdir() if p.name.startswith(".")] == []


def test_what_a_dead_run_had_finished_is_taken_over(tmp_path: Path, made: Path) -> None:
    """A run was killed before it moved a guide to its place: the next one moves it and does not make it again."""
    out = tmp_path / "guides"
    fleet = listed(tmp_path, LIST)
    catalogue, edition = small_guides.content()
    plan = plan_fleet(fleet, edition, catalogue, out, small_guides.TEMPLATES, formats=["pdf"])
    left = out / f".guides-being-made-{'9' * 20}-abc"
    left.mkdir(parents=True)
    (left / f"{plan.inputs['rook', 'pdf']}.pdf").write_bytes((made / "rook.pdf").read_bytes())
    (left / f".{plan.inputs['corvin', 'pdf']}.pdf.1-x.part").write_bytes(b"%PDF half")

    def none_of_rook(orders: Any) -> None:
        assert all(order.id != "rook" for order in orders)

    again = plan_fleet(fleet, edition, catalogue, out, small_guides.TEMPLATES, formats=["pdf"])
    report = make_fleet(
        again, fleet, edition, out, lambda: small_guides.Here(none_of_rook), survey="off", shares_disk=True
    )
    assert (report.made, report.problems) == (4, [])
    assert len(report.cleared) == 1
    assert (out / "rook.pdf").read_bytes() == (made / "rook.pdf").read_bytes()
    assert sorted(p.name for p in out.iterdir()) == sorted(
        [*(f"{n}.pdf" for n in ("rook", "corvin", "pellow", "lantern")), fleets.MANIFEST]
    )


def test_guides_that_break_a_rule_of_the_page_are_not_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One forbidden thing on the shared pages of one frame stops the guides of that frame and no other."""
    catalogue, edition = small_guides.content()
    bare = edition.model_copy(update={"never": edition.never[:1]})
    fleet = listed(tmp_path, LIST)
    for survey, made in (("refuse", 0), ("tell", 4), ("off", 4)):
        out = tmp_path / survey
        plan = plan_fleet(fleet, bare, catalogue, out, small_guides.TEMPLATES, formats=["epub"])
        report = make_fleet(plan, fleet, bare, out, small_guides.Here, survey=survey)
        assert report.made == made
        assert {p.severity for p in report.problems} == {
            "refuse": {"error"},
            "tell": {"warning"},
            "off": set(),
        }[survey]
        for problem in report.problems:
            assert (
                "the shared pages (epub) break a rule that must be kept" in problem.what or survey == "tell"
            )
            assert not any(name in str(problem) for name in NAMES)


def test_pages_that_cannot_be_made_are_told_with_their_reason(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In real processes: the reason once came back as "the process that set it died"."""
    folder = small_guides.with_guide(tmp_path)
    path = folder / "editions" / "guide.yaml"
    path.write_text(path.read_text(encoding="utf-8") + "most_pages: 4\n", encoding="utf-8")
    (tmp_path / "f.csv").write_text("\n".join(LIST.split("\n")[:2]) + "\n", encoding="utf-8")
    for survey in ("refuse", "off"):  # found on the shared pages, and on the first guide
        with pytest.raises(SystemExit) as ended:
            main(["guides", str(tmp_path / "f.csv"), "--content", str(folder), "--out", str(tmp_path / survey),
                  "--only", "pdf", "--workers", "1", "--survey", survey])  # fmt: skip
        said = capsys.readouterr()
        assert ended.value.code == 1
        assert "the edition allows 4" in said.err
        assert "died" not in said.err
        assert not any(name in said.err for name in NAMES)


def test_a_filled_guide_of_each_batch_is_surveyed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    looked: list[str] = []
    monkeypatch.setattr(fleets.publish, "breaches", lambda path, kind: looked.append(seen(path)) or [])

    def seen(path: Path) -> str:
        with zipfile.ZipFile(path) as archive:
            text = b"".join(archive.read(n) for n in archive.namelist() if not n.endswith(".png")).decode()
        return next((name for name in ("Rookling", "Thackthwaite", "Lanternby") if name in text), "stand-ins")

    monkeypatch.setattr(fleets, "BATCH", 2)
    out = tmp_path / "guides"
    report = make(out, LIST.replace(",us\n", ",\n"), formats=("epub",), survey="refuse")
    assert report.made == 4
    assert looked == ["stand-ins", "Thackthwaite", "Lanternby", "stand-ins", "Rookling"]


def test_the_command_makes_a_fleet_in_processes_and_ends_with_1_for_a_bad_row(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    content = small_guides.with_guide(tmp_path)
    (tmp_path / "f.csv").write_text(LIST + "nowhere,barge,Quillan Dunmere,,,\n", encoding="utf-8")
    words = ["guides", str(tmp_path / "f.csv"), "--content", str(content), "--out", str(tmp_path / "g"),
             "--only", "epub", "--workers", "1"]  # fmt: skip
    with pytest.raises(SystemExit) as ended:
        main(words)
    said = capsys.readouterr()
    assert ended.value.code == 1
    assert "f.csv:6:9: like: cell B6 of nowhere: 'barge' is no boat of the content" in said.err
    assert "4 files made" in said.out
    assert [name for name in (*NAMES, "Quillan", "Dunmere") if name in said.out + said.err] == []


def test_another_dealer_stands_on_every_guide_and_the_contents_own_on_none(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Name, telephone, mark and colour; a file with a mistake makes nothing."""
    content, own = small_guides.with_guide(tmp_path), tmp_path / "mine.yaml"
    (tmp_path / "f.csv").write_text("\n".join(LIST.split("\n")[:2]) + "\n", encoding="utf-8")
    own.write_text(small_guides.DEALER + "mark: mark.svg\n", encoding="utf-8")
    (tmp_path / "mark.svg").write_text(small_guides.MARK, encoding="utf-8")
    monkeypatch.setattr("leadsman.commands.guides._processes", lambda workers, work: small_guides.Here)

    def command(out: str) -> tuple[object, str]:
        with pytest.raises(SystemExit) as ended:
            main(["guides", str(tmp_path / "f.csv"), "--content", str(content), "--out", str(tmp_path / out),
                  "--dealer", str(own), "--survey", "off"])  # fmt: skip
        said = capsys.readouterr()
        return ended.value.code, said.out + said.err

    code, said = command("g")
    assert code == 0, said
    with pymupdf.open(tmp_path / "g" / "rook.pdf") as pdf:
        text = " ".join(" ".join(page.get_text() for page in pdf).replace("\u00a0", " ").split())
        links = [link.get("uri", "") for page in pdf for link in page.get_links()]
        metadata = json.dumps(pdf.metadata) + pdf.get_xml_metadata()
        colours = {drawing["fill"] for page in pdf for drawing in page.get_drawings() if drawing.get("fill")}
    assert "Sedge Lane Sounders" in text
    assert "2 Sedge Lane, Lanternby" in text
    assert "tel:+441632960555" in links
    assert "Quay Workshop" not in text + metadata
    assert "SLS-OWNER, revision 1" in text
    manifest = (tmp_path / "g" / fleets.MANIFEST).read_text(encoding="utf-8")
    assert json.loads(manifest)["document"] == "SLS-OWNER"
    assert "Q-OWNER" not in text + metadata + manifest
    assert any(max(abs(a - b) for a, b in zip(fill, (0x40 / 255, 0x20 / 255, 0x60 / 255), strict=True)) < 0.01
               for fill in colours if len(fill) == 3), colours  # fmt: skip
    with zipfile.ZipFile(tmp_path / "g" / "rook.epub") as book:
        words = "".join(
            book.read(name).decode() for name in book.namelist() if name.endswith((".xhtml", ".opf"))
        )
    assert "Sedge Lane Sounders" in words
    assert "M1 1" in words, "the mark is not in the book"
    assert "Quay Workshop" not in words
    assert ("SLS-OWNER" in words, "Q-OWNER" in words) == (True, False)
    own.write_text(small_guides.DEALER.replace("phone", "fone"), encoding="utf-8")
    code, said = command("h")
    assert code == 1
    assert "mine.yaml:3:1: fone: is an unknown key" in said
    assert not (tmp_path / "h").exists()


def test_every_line_of_a_dealers_file_is_explained_in_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["guides", "--help"])
    told = capsys.readouterr().out.partition("the keys of a dealer's file")[2]
    keys = {word for line in told.splitlines() if line[:3].strip() for word in re.findall(r"\w+", line)}
    assert {name for name in Dealer.model_fields if name != "id"} <= keys


def test_list_and_dealer_are_told_in_one_run_and_samples_are_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], repository: Path
) -> None:
    content = small_guides.with_guide(tmp_path)
    (tmp_path / "customers-2026.csv").write_text(LIST, encoding="utf-8")

    def said(*words: str) -> str:
        with pytest.raises(SystemExit) as ended:
            main(["guides", *words, "--content", str(content), "--out", str(tmp_path / "g")])
        assert ended.value.code == 1
        return capsys.readouterr().err

    told = said(str(tmp_path / "customers2026.csv"), "--dealer", str(tmp_path / "mine.yaml"))
    assert "customers2026.csv:1:1: is missing; did you mean 'customers-2026.csv' in that folder?" in told
    assert "mine.yaml:1:1: is missing" in told
    (sample,) = (
        line.partition(": ")[2].partition(";")[0]
        for line in told.splitlines()
        if line.startswith("a list to copy")
    )
    assert (repository / "tests/fleet/customers.csv").samefile(sample)
    assert f"a dealer's file to copy: {content / 'dealer.yaml'}" in told
    (tmp_path / "mine.yaml").write_text("name: Sedge Lane\n", encoding="utf-8")
    (tmp_path / "list.csv").write_text("id,owner\n", encoding="utf-8")
    told = said(str(tmp_path / "list.csv"), "--dealer", str(tmp_path / "mine.yaml"))
    assert "mine.yaml:1:1: phone: is missing" in told
    assert "list.csv:1:1: the column 'like' is missing" in told
    assert "to copy" not in told


def test_a_list_of_wrong_rows_is_told_row_by_row(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Thirty thousand of them fit into a list: no problem is held against every other one."""
    content = small_guides.with_guide(tmp_path)
    rows = "".join(f"c-{n},nobody,Owner\n" for n in range(300))
    (tmp_path / "f.csv").write_text("id,like,owner\n" + rows, encoding="utf-8")
    held, right = [], Problem.__eq__

    def equal(one: Problem, other: object) -> bool:
        held.append(one)
        return right(one, other)

    monkeypatch.setattr(Problem, "__eq__", equal)
    with pytest.raises(SystemExit) as ended:
        main(["guides", str(tmp_path / "f.csv"), "--content", str(content), "--out", str(tmp_path / "g")])
    said = capsys.readouterr()
    assert (ended.value.code, said.err.count("is no boat of the content")) == (1, 300)
    assert len(held) < 3000


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["guides", "x.csv", "--encoding", "cp9999"], "cp9999 is no encoding that is known"),
        (["guides", "x.csv", "--encoding", "hex"], "hex is no encoding that is known"),
        (["guides"], "name the customer list"),
        (["guides", "x.csv", "--workers", "0"], "--workers: '0' is no whole number from 1 to 256"),
        (["guides", "x.csv", "--workers", "99999999999999999999"], "is no whole number from 1 to 256"),
        (["guides", "x.csv", "--edition", "none"], "known: guide"),
    ],
)
def test_wrong_use_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], told: str
) -> None:
    content = small_guides.with_guide(tmp_path)
    with pytest.raises(SystemExit) as ended:
        main([*words, "--content", str(content)])
    assert (ended.value.code, told in capsys.readouterr().err) == (2, True)


#: Starts a cluster of one worker process, sends it the fleet, and says how the command ended.
ON_A_CLUSTER = """
import sys
from distributed import LocalCluster
from leadsman.cli import main
from leadsman.content.catalogue import load


from leadsman.errors import Problem
if __name__ == "__main__":
    with LocalCluster(n_workers=1, threads_per_worker=1, dashboard_address=None) as cluster:
        try:
            main([*sys.argv[1:], "--cluster", cluster.scheduler_address])
        except SystemExit as ended:
            print("ended with", ended.code)
"""


def test_a_running_cluster_does_the_same_work(made: Path, tmp_path: Path) -> None:
    pytest.importorskip("distributed", reason="the optional extra 'cluster' is not installed")
    content = small_guides.with_guide(tmp_path)
    (tmp_path / "f.csv").write_text(LONG, encoding="utf-8")
    (tmp_path / "cluster.py").write_text(ON_A_CLUSTER, encoding="utf-8")
    command = [sys.executable, str(tmp_path / "cluster.py"), "guides", str(tmp_path / "f.csv"), "--content", str(content),
               "--out", str(tmp_path / "g"), "--only", "pdf"]  # fmt: skip
    done = subprocess.run(command, capture_output=True, text=True, timeout=240, cwd=tmp_path, check=False)
    assert "ended with 0" in done.stdout, done.stderr[-2000:]
    for name in times(tmp_path / "g"):
        assert (tmp_path / "g" / name).read_bytes() == (made / name).read_bytes()
    assert len(times(tmp_path / "g")) == 4
    assert io.StringIO(done.stdout).read().count("4 files made") == 1


def boats_of_one_kind(count: int) -> str:
    """A list of so many boats that share their pages."""
    head, first = LIST.splitlines()[0], LIST.splitlines()[1]
    return "\n".join([head, *(first.replace(first.split(",")[0], f"boat-{n}", 1) for n in range(count)), ""])


def test_boats_of_one_kind_keep_every_worker_busy(tmp_path: Path) -> None:
    fleet = listed(tmp_path, boats_of_one_kind(8))
    catalogue, edition = small_guides.content()
    plan = plan_fleet(
        fleet, edition, catalogue, tmp_path / "out", small_guides.TEMPLATES, formats=["pdf"], workers=2
    )
    assert [len(batch.orders) for batch in plan.batches] == [4, 4]
    assert len({batch.source.key for batch in plan.batches}) == 1
    assert [batch.is_first for batch in plan.batches] == [True, False], "the shared pages are surveyed once"
    taken: list[list[str]] = []

    class Counting(small_guides.Here):
        """An executor that notes which guides each piece of work held."""

        def submit(self, work: Any, *given: Any, **named: Any) -> Any:
            taken.append([order.id for order in given[1]])
            return super().submit(work, *given, **named)

    report = make_fleet(plan, fleet, edition, tmp_path / "out", Counting, survey="off")
    assert report.made == 8
    assert sorted(map(len, taken)) == [4, 4]
    assert len({name for names in taken for name in names}) == 8


@pytest.mark.parametrize(("boats", "workers"), [(1, 8), (3, 2), (9, 2), (23, 4), (250, 2), (250, 3)])
def test_no_batch_is_longer_than_a_fair_share(tmp_path: Path, boats: int, workers: int) -> None:
    runs = list(fleets._even(list(range(boats)), min(fleets.BATCH, max(-(-boats // workers), 4))))  # type: ignore[arg-type]
    assert [number for run in runs for number in run] == list(range(boats)), "each once and in order"
    assert max(map(len, runs)) - min(map(len, runs)) <= 1
    assert max(map(len, runs)) <= max(4, -(-boats // workers))
