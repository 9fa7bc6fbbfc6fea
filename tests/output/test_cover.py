"""The cover of a book for a phone: whose it is stands on it as on the printed one, and the picture holds nothing else."""

from __future__ import annotations

import dataclasses
import struct
import zipfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pymupdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray

import small_guides
from leadsman.book.guide import guide_values, outline_of
from leadsman.book.guide_subject import boat_subject
from leadsman.output import cover as covers
from leadsman.output.cover import HEIGHT_PX, WIDTH_PX, Cover, CoverFrame, _png, cover_png
from leadsman.output.guide import guide_source, set_epub
from leadsman.press.gate import Refused

NAMES = {"owner": "Æthelwyn Pellow", "boat": "Štika"}
#: The longest names that a list lets through, of wide letters and of many words.
LONG = "Ιωάννης Παπαδόπουλος-Χριστοδούλου και Υιοί, Ναυπηγεία και Εμπόριο Αλιευτικών ΑΕ."
MANY = "İstanbul'un Gülü, Żółta Łódź and the Pontoon of the Greater Lanternby-Quennells."


@pytest.fixture
def painted(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Return the words of each page that was painted."""
    found: list[str] = []
    right = covers._painted

    def noted(data: bytes) -> bytes:
        with pymupdf.open(stream=data) as document:
            found.append(" ".join(document[0].get_text().split()))
            assert len(document) == 1
        return right(data)

    monkeypatch.setattr(covers, "_painted", noted)
    return found


def cover(boat: str = "Old Sedge", owner: str = "Perpetua Rookling") -> Cover:
    catalogue, edition = small_guides.content()
    subject = dataclasses.replace(
        boat_subject(catalogue.boats["punt"], catalogue), owner=owner, boat_name=boat
    )
    values = guide_values("rook", subject, edition, catalogue, "metric")
    return guide_source(outline_of(values.shape, edition, catalogue), catalogue, small_guides.TEMPLATES).cover


def chunks(png: bytes) -> Iterator[str]:
    at = 8
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        yield png[at + 4 : at + 8].decode()
        at += 12 + length


@pytest.mark.parametrize(
    ("owner", "boat"), [("Æthelwyn Pellow", "Štika"), (LONG, MANY), ("Sedge & Son <Ltd>", "Ναυτίλος")]
)
def test_owner_boat_and_dealer_stand_on_the_one_page(painted: list[str], owner: str, boat: str) -> None:
    """80 letters each, the longest that a list lets through; 1600 by 2400 pixels."""
    assert len(LONG) <= 80 >= len(MANY)
    png = cover_png(cover(), {"owner": owner, "boat": boat})
    (words,) = painted
    for text in (owner, boat, "Quay Workshop", "Your sounder"):
        # A long name may be parted at a hyphen.
        assert text.replace(" ", "").replace("-", "") in words.replace(" ", "").replace("-", "")
    pixmap = pymupdf.Pixmap(png)
    assert (pixmap.width, pixmap.height) == (WIDTH_PX, HEIGHT_PX)


def test_a_frame_gives_the_same_cover_as_laying_it_out(painted: list[str]) -> None:
    frame = CoverFrame(cover())
    for owner, boat in (("Æthelwyn Pellow", "Štika"), (LONG, MANY), ("Rook", "Raven")):
        values = {"owner": owner, "boat": boat}
        assert frame.painted(values) == cover_png(cover(), values)
    assert frame.painted(NAMES) != frame.painted({**NAMES, "boat": "Raven"})


def test_a_guide_without_owner_names_the_boat_alone_and_a_family_nobody(painted: list[str]) -> None:
    assert [place for _, place in cover(owner="").whose] == ["boat"]
    bare = dataclasses.replace(cover(), whose=())
    assert CoverFrame(bare).painted({}) == cover_png(bare)
    assert "For" not in painted[-1].split()


def test_the_picture_says_nothing_beside_its_pixels() -> None:
    """PNG specification, third edition: text, time and profile have chunks of their own."""
    assert set(chunks(cover_png(cover(), NAMES))) <= {"IHDR", "pHYs", "IDAT", "IEND"}


def test_the_book_holds_the_owners_own_cover_and_its_package_nobody(tmp_path: Path) -> None:
    values = small_guides.guide(*NAMES.values()).values
    set_epub(small_guides.source(), "rook", values, tmp_path / "rook.epub")
    with zipfile.ZipFile(tmp_path / "rook.epub") as book:
        name = next(name for name in book.namelist() if name.endswith("cover.png"))
        assert book.read(name) == cover_png(small_guides.source().cover, values)
        package = "".join(
            book.read(n).decode() for n in book.namelist() if n.endswith((".opf", ".ncx", "nav.xhtml"))
        )
        assert not any(word in package + name for word in ("Pellow", "thelwyn", "tika"))


def test_words_that_no_size_brings_onto_the_page_are_refused_without_a_name() -> None:
    endless = dataclasses.replace(cover(), dealer="Sedge Lane Sounders and Daughters " * 60)
    with pytest.raises(Refused, match="more than one page") as refused:
        cover_png(endless, NAMES)
    assert not any(word in str(refused.value) for word in ("Pellow", "tika", "Sedge"))


@given(arrays(np.uint8, st.tuples(st.integers(1, 9), st.integers(1, 9).map(lambda width: 3 * width))))
def test_a_picture_is_read_back_as_it_was_painted(rows: NDArray[np.uint8]) -> None:
    """By MuPDF, whose decoder shares nothing with it."""
    found = pymupdf.Pixmap(_png(rows))
    assert (found.width, found.height, found.n) == (rows.shape[1] // 3, rows.shape[0], 3)
    assert bytes(found.samples) == rows.tobytes()


def test_usual_names_are_exchanged_on_the_frame(monkeypatch: pytest.MonkeyPatch) -> None:
    """A blank between two names is no rare sign: nothing is laid out anew."""
    frame = CoverFrame(cover())
    monkeypatch.setattr(covers, "cover_png", lambda *words: pytest.fail("laid out anew"))
    assert frame.painted({"owner": "Isolde Dunmere", "boat": "Šárka II"})
