"""Files from strangers: damaged, misleading, endless, locked or active ones are refused or told, within the limits.

The attacks are those that the formats' own standards name: ISO 32000-1 (filters, boxes, marked content, actions,
encryption), EPUB 3.3 and APPNOTE 6.3 (compression, encryption of members).
"""

from __future__ import annotations

import functools
import io
import json
import os
import random
import re
import time
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, Stream

import memory
import small_content
from inspection import making
from leadsman.apart import apart, attempt
from leadsman.cli import main
from leadsman.errors import LeadsmanError
from leadsman.inspection.survey import look, survey
from leadsman.output.sheets import write_sheets

WORDS = small_content.edited().phrases().sheets
PAGE = "<h1>Dead unit</h1><p>Press the key.</p><ol><li>Switch on.</li></ol>"
STYLE = "@page { size: 105mm 148mm; margin: 12mm } body { font: 400 12pt/1.3 'Leadsman Text' }"
#: Files that are mutated when nobody asks for all of them, and all of them (LEADSMAN_WHOLE=1).
SOME, ALL = 200, 2000


@functools.cache
def page() -> bytes:
    return making.pdf(PAGE, STYLE)


def changed(change: Callable[[pikepdf.Pdf], object], data: bytes | None = None, **saving: Any) -> bytes:
    """The sample with one change made to its objects."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data or page())) as pdf:
        change(pdf)
        pdf.save(out, **saving)
    return out.getvalue()


def told(path: Path) -> str:
    """What the survey says of a file, judged in this process: never anything but a report or words."""
    kind, value = attempt(look, path, None, (), None, None)
    return "" if kind == "done" else str(value)


# --- misleading PDFs -----------------------------------------------------------------------------


def _box(value: Any) -> Callable[[pikepdf.Pdf], object]:
    return lambda pdf: pdf.pages[0].obj.__setitem__("/MediaBox", value)


def _mcid(pdf: pikepdf.Pdf) -> None:
    pdf.pages[0].contents_add(b"/P <</MCID 1000000000>> BDC EMC")


def _tree(pdf: pikepdf.Pdf) -> None:
    for item in pdf.objects:
        if isinstance(item, Dictionary) and "/S" in item and "/K" in item:
            item.K = 1_000_000_000


#: Bytes of a document that is beyond the limit when it is unpacked.
_LARGE = 60_000_000


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (_box(Array([Name("/a"), Name("/b"), Name("/c"), Name("/d")])), "a page has a MediaBox that no page has"),
        (_box(Array([0, 0, 10**9, 10**9])), "page 1 has a MediaBox that no page has"),
        (_box(Array([0, 0, 0, 0])), "page 1 has a MediaBox that no page has"),
        (_box(Array([0, 0, 100])), "a page has a MediaBox that no page has"),
        (_box(pikepdf.String("wide")), "a page has a MediaBox that no page has"),
        (lambda pdf: pdf.pages[0].obj.__setitem__("/TrimBox", Array([1, 2, Name("/x"), 4])), "TrimBox that no page has"),
        (_mcid, "cannot be read"),
        (_tree, "cannot be read"),
        (lambda pdf: pdf.Root.__setitem__("/StructTreeRoot", 7), "cannot be read"),
    ],
)  # fmt: skip
def test_a_misleading_pdf_is_refused_in_a_line(
    tmp_path: Path, change: Callable[[pikepdf.Pdf], object], says: str
) -> None:
    path = tmp_path / "file.pdf"
    path.write_bytes(changed(change))
    started = time.monotonic()
    assert says in told(path)
    assert told(path).isprintable()
    assert time.monotonic() - started < 20


@pytest.mark.parametrize("password", ["", "secret"])
def test_locked_files_are_refused(tmp_path: Path, password: str) -> None:
    path = tmp_path / "file.pdf"
    lock = pikepdf.Encryption(owner="owner", user=password)
    path.write_bytes(changed(lambda pdf: None, encryption=lock))
    assert "is locked" in told(path)
    assert "is locked" in attempt(write_sheets, path, "A4", "long-edge", WORDS)[1] or "locked" in str(
        attempt(
            functools.partial(write_sheets, out=tmp_path, templates=tmp_path), path, "A4", "long-edge", WORDS
        )[1]
    )


def _bomb(count: int) -> bytes:
    """A content stream of so many megabytes in a few kilobytes."""
    packer = zlib.compressobj(9)
    data = b"".join(packer.compress(b"q Q " * 250_000) for _ in range(count)) + packer.flush()

    def plant(pdf: pikepdf.Pdf) -> None:
        stream = Stream(pdf, b"")
        stream.write(data, filter=Name.FlateDecode)
        pdf.pages[0].obj.Contents = stream

    return changed(plant, recompress_flate=False, stream_decode_level=pikepdf.StreamDecodeLevel.none)


def test_a_bomb_in_a_pdf_ends_in_its_own_process(tmp_path: Path) -> None:
    """Twelve hundred megabytes in one: the process that reads it ends at its limit, this one does not grow."""
    path = tmp_path / "bomb.pdf"
    path.write_bytes(_bomb(1200))
    assert path.stat().st_size < 10_000_000
    before = memory.begun_mb()
    with pytest.raises(Exception, match=r"bomb\.pdf .*(refused|cannot be read as a PDF)"):
        apart(look, path, None, (), None, None, name="bomb.pdf", seconds=60, memory=600_000_000)
    assert memory.peak_mb() - before < 100


def _sleep(seconds: float) -> None:
    time.sleep(seconds)


def _crash() -> None:
    os.abort()


@pytest.mark.parametrize(
    ("function", "given", "says"),
    [
        (_sleep, (60,), "x takes longer than 1 s to read; refused"),
        (_crash, (), r"x ended the process that read it \(SIGABRT\); refused"),
    ],
)
def test_what_takes_too_long_or_crashes_is_ended(function: Any, given: Any, says: str) -> None:
    started = time.monotonic()
    with pytest.raises(Exception, match=says):
        apart(function, *given, name="x", seconds=1 if function is _sleep else 30)
    assert time.monotonic() - started < 30


# --- active content ------------------------------------------------------------------------------


def _attach(pdf: pikepdf.Pdf) -> None:
    pdf.attachments["list.exe"] = b"MZ"


def _action(kind: str, **more: Any) -> Callable[[pikepdf.Pdf], object]:
    return lambda pdf: pdf.Root.__setitem__("/OpenAction", Dictionary(S=Name(kind), **more))


def _note(subtype: str) -> Callable[[pikepdf.Pdf], object]:
    note = Dictionary(Type=Name.Annot, Subtype=Name(subtype), Rect=Array([0, 0, 9, 9]))
    return lambda pdf: pdf.pages[0].obj.__setitem__("/Annots", Array([note]))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (_action("/JavaScript", JS=pikepdf.String("app.alert(1)")), "a script"),
        (_action("/Launch", F=pikepdf.String("calc.exe")), "an action that starts a program"),
        (_action("/SubmitForm", F=pikepdf.String("http://example.org")), "a form that is sent away"),
        (_attach, "an attachment"),
        (_note("/FileAttachment"), "an attachment"),
        (_note("/RichMedia"), "a film or a program"),
        (lambda pdf: pdf.pages[0].obj.__setitem__("/AA", Dictionary(O=Dictionary(S=Name.GoTo))), "an action without a click"),
        (lambda pdf: pdf.Root.__setitem__("/AcroForm", Dictionary(XFA=pikepdf.String("x"))), "a form that is a program"),
    ],
)  # fmt: skip
def test_active_content_is_a_finding(
    tmp_path: Path, change: Callable[[pikepdf.Pdf], object], says: str
) -> None:
    path = tmp_path / "file.pdf"
    path.write_bytes(changed(change))
    report = survey(path, "guide")
    assert (says, "beside the pages") in [
        (r.measured, r.says) for o, r in report.breaches if o.rule.id == "AC-01"
    ]


def test_a_finished_file_of_ours_has_none(tmp_path: Path) -> None:
    path = tmp_path / "file.pdf"
    path.write_bytes(page())
    assert [o.rule.id for o, _ in survey(path, "guide").breaches if o.rule.id == "AC-01"] == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("<p>No light", "<script>1</script><p>No light"),
        ("<p>No light", '<p onclick="x()">No light'),
        ("<p>No light", '<p><a href="javascript:x()">y</a> No light'),
        ("<p>No light", '<p><img alt="" src="http://example.org/a.png"/> No light'),
        ("<p>No light", '<iframe src="a.xhtml"></iframe><p>No light'),
    ],
)
def test_an_active_book_is_a_finding(tmp_path: Path, old: str, new: str) -> None:
    file = making.epub(tmp_path, [("EPUB/one.xhtml", old, new)])
    assert making.outcome("AC-01", "epub", file).verdict == "broken"
    assert making.outcome("AC-01", "epub", making.epub(tmp_path)).verdict == "kept"


# --- misleading EPUBs ----------------------------------------------------------------------------


def _book(folder: Path) -> bytes:
    making.epub(folder)
    return (folder / "sample.epub").read_bytes()


def _repacked(folder: Path, method: int = zipfile.ZIP_DEFLATED, **more: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(_book(folder))) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            data = more.get(name.rpartition("/")[2].replace(".", "_"), old.read(name))
            new.writestr(name, data, method)
        for name, data in more.items():
            if name.startswith("META_"):
                new.writestr(name.replace("META_", "META-INF/") + ".xml", data)
    return out.getvalue()


def _flagged(folder: Path) -> bytes:
    """Every member marked as encrypted (APPNOTE 4.4.4, bit 0)."""
    data = bytearray(_book(folder))
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        for found in re.finditer(re.escape(mark), bytes(data)):
            data[found.start() + at] |= 1
    return bytes(data)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda f: _repacked(f, one_xhtml=b"<p>" + b" " * _LARGE + b"</p>"), "one.xhtml is larger than 20 MB|broken|larger"),
        (lambda f: _repacked(f, zipfile.ZIP_LZMA), "packed in a way that EPUB does not know"),
        (lambda f: _repacked(f, META_encryption=b"<encryption/>"), "it is locked"),
        (_flagged, "it is locked"),
        (lambda f: _book(f)[:-30], "cannot be read as an EPUB"),
        (lambda f: b"PK\x03\x04 and no more", "cannot be read as an EPUB"),
        (lambda f: _repacked(f, book_opf=b'<!DOCTYPE x [<!ENTITY a "' + b"a" * 1000 + b'">]><package>&a;</package>'), ""),
    ],
)  # fmt: skip
def test_a_misleading_book_is_refused_in_a_line(
    tmp_path: Path, make: Callable[[Path], bytes], says: str
) -> None:
    path = tmp_path / "file.epub"
    path.write_bytes(make(tmp_path))
    started = time.monotonic()
    said = told(path)
    if says:
        report = said or str([r for _, r in survey(path).breaches])
        assert re.search(says, report)
    assert time.monotonic() - started < 10


# --- the command ---------------------------------------------------------------------------------


def test_one_bad_file_does_not_keep_the_others_from_being_surveyed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    good, bad, pipe = tmp_path / "good.pdf", tmp_path / "bad.pdf", tmp_path / "pipe.pdf"
    good.write_bytes(page())
    bad.write_bytes(b"%PDF-1.7 and no more")
    os.mkfifo(pipe)
    with pytest.raises(SystemExit) as ended:
        main(["survey", str(pipe), str(bad), str(good), "--kind", "guide"])
    said = capsys.readouterr()
    assert ended.value.code == 1
    assert "good.pdf: guide, 1 page" in said.out
    assert [line.partition(" ")[2].split(" ")[1] for line in said.err.splitlines()] == ["is", "cannot"]
    assert "pipe.pdf is a pipe" in said.err
    assert "Traceback" not in said.err


# --- mutated files -------------------------------------------------------------------------------

_TOKENS = (
    b"0",
    b"-1",
    b"1000000000",
    b"9" * 400,
    b"1e999",
    b"/Name",
    b"(text)",
    b"null",
    b"true",
    b"[]",
    b"<<>>",
    b"[[[[",
    b"",
)


def mutated(data: bytes, chance: random.Random) -> bytes:
    """A file with some of its numbers, names and bytes replaced, cut off or doubled."""
    kind = chance.randrange(5)
    if kind == 0:
        found = bytearray(data)
        for _ in range(chance.randrange(1, 20)):
            found[chance.randrange(len(found))] = chance.randrange(256)
        return bytes(found)
    if kind == 1:
        return data[: chance.randrange(len(data))]
    if kind == 2:
        start = chance.randrange(len(data))
        return data[:start] + data[start : start + chance.randrange(500)] + data[start:]
    tokens = list(re.finditer(rb"/[A-Za-z]+|-?\d+(?:\.\d+)?|\[|\]|<<|>>", data))
    for token in sorted(
        chance.sample(tokens, min(len(tokens), chance.randrange(1, 6))), key=lambda t: -t.start()
    ):
        data = data[: token.start()] + chance.choice(_TOKENS) + data[token.end() :]
    return data


def corpus(data: bytes, count: int, suffix: str, folder: Path) -> list[Path]:
    chance = random.Random(20261125)
    paths = []
    for number in range(count):
        path = folder / f"{number:04}.{suffix}"
        path.write_bytes(mutated(data, chance))
        paths.append(path)
    return paths


def look_at_all(paths: list[Path], log: Path) -> float:
    """Survey files one after the other; a line of seconds and words for each, and the peak of memory [MB]."""
    with log.open("a", encoding="utf-8") as lines:
        for path in paths:
            started = time.monotonic()
            said = told(path)
            lines.write(json.dumps([path.name, time.monotonic() - started, said]) + "\n")
            lines.flush()
    return memory.peak_mb()


@pytest.mark.parametrize("suffix", ["pdf", "epub"])
def test_mutated_files_end_in_words_within_the_limits(tmp_path: Path, suffix: str) -> None:
    """By a fixed seed, many in one process; where a library crashes, the next process goes on behind that file."""
    count = ALL // 2 if os.environ.get("LEADSMAN_WHOLE") else SOME // 2
    plain = (
        changed(lambda pdf: None, qdf=True, static_id=True)
        if suffix == "pdf"
        else _repacked(tmp_path, zipfile.ZIP_STORED)
    )
    paths, log, crashed, peak = corpus(plain, count, suffix, tmp_path), tmp_path / "log", [], 0.0
    log.touch()
    while (done := len(log.read_text(encoding="utf-8").splitlines()) + len(crashed)) < count:
        try:
            peak = max(peak, apart(look_at_all, paths[done:], log, name="it", seconds=900))
        except LeadsmanError as error:
            # As the command would say it of that file.
            crashed.append(str(error))
    assert all(
        re.fullmatch(r"it ended the process that read it \(SIG[A-Z]+\); refused", line) for line in crashed
    )
    assert len(crashed) < count / 20
    found = [json.loads(line) for line in log.read_text(encoding="utf-8").splitlines()]
    print(f"{count} files: {len(crashed)} crashed a library, {sum(1 for f in found if f[2])} refused in words, "
          f"slowest {max(f[1] for f in found):.1f} s, peak {peak:.0f} MB")  # fmt: skip
    assert [(name, seconds) for name, seconds, _ in found if seconds > 10] == []
    assert peak < 1024
    said = [text for _, _, text in found]
    assert all(text.isprintable() and len(text) < 500 and "Traceback" not in text for text in said)
    assert any(said)
    assert not all(said)
