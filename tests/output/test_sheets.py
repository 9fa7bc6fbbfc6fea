"""Print-shop sheets: after the sheet is turned, the back of each card lies on its front.

That is checked twice: by the numbers of the finished PDF (each face's matrix and box, read with pikepdf and turned
over by hand), and by sight (pages painted by PyMuPDF, the back mirrored, dots laid on dots). The turning itself is
plain geometry: a sheet flipped about an edge mirrors the coordinate across that edge. Paper sizes: ISO 216 and
ANSI/ASME Y14.1.
"""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import pymupdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pikepdf import Array, Dictionary, Name

import small_content
from leadsman.cli import main
from leadsman.errors import OutputError
from leadsman.output.imposition import BLEED_MM, FLIPS, MARK_MM, PAPERS_MM, Plan, Slot, plan
from leadsman.output.sheets import FinishedSheets, write_sheets
from leadsman.press.typeset import Typesetter

WORDS = small_content.edited().phrases().sheets
MM = 72 / 25.4
SIZES = {"a6": (105.0, 148.0), "100x150": (100.0, 150.0), "4x6": (101.6, 152.4)}
#: A dot of each card off every axis of symmetry, as seen on the front [mm from the lower left trim corner].
DOT_MM, DOT_SIZE_MM = (20.0, 30.0), 4.0


def make_deck(path: Path, size: tuple[float, float], cards: int, *, bleed_mm: float = 10.0) -> Path:
    """Cards with a dot that goes through the paper; the trim corner is not the page's corner."""
    width, height = size
    pdf = pikepdf.new()
    for number in range(2 * cards):
        across = DOT_MM[0] if number % 2 == 0 else width - DOT_MM[0] - DOT_SIZE_MM
        # Ink over the whole bleed, as far as it goes, in a tone of the card's own.
        tone = 0.70 + 0.02 * (number // 2)
        drawn = (
            f"{tone} g {-bleed_mm * MM} {-bleed_mm * MM} {(width + 20) * MM} {(height + 20) * MM} re f "
            f"0 g {across * MM:.4f} {DOT_MM[1] * MM:.4f} {DOT_SIZE_MM * MM:.4f} {DOT_SIZE_MM * MM:.4f} re f"
        )
        box = Array([-bleed_mm * MM, -bleed_mm * MM, (width + bleed_mm) * MM, (height + bleed_mm) * MM])
        page = Dictionary(
            Type=Name.Page, MediaBox=box, TrimBox=Array([0, 0, width * MM, height * MM]), Resources=Dictionary(),
            Contents=pdf.make_stream(drawn.encode()),
        )  # fmt: skip
        pdf.pages.append(pikepdf.Page(pdf.make_indirect(page)))
    pdf.docinfo["/Title"] = "Test cards"
    pdf.save(path)
    return path


@pytest.fixture(scope="module")
def typesetter(repository: Path) -> Typesetter:
    return Typesetter(repository / "templates")


def sheets(
    tmp_path: Path, repository: Path, typesetter: Typesetter, size: str, paper: str, flip: Any, cards: int = 3, **more: Any
) -> FinishedSheets:  # fmt: skip
    deck = make_deck(tmp_path / f"{size}.pdf", SIZES[size], cards)
    return write_sheets(
        deck,
        paper,
        flip,
        WORDS,
        out=tmp_path,
        templates=repository / "templates",
        typesetter=typesetter,
        **more,
    )


def turned(point: tuple[float, float], page: tuple[float, float], flip: str) -> tuple[float, float]:
    """Where a point of the front lies on the back as it is read, after the flip."""
    upright = page[1] > page[0]
    about_upright_axis = (flip == "long-edge") == upright
    return (page[0] - point[0], point[1]) if about_upright_axis else (point[0], page[1] - point[1])


def placed(page: pikepdf.Page) -> dict[Any, tuple[Any, tuple[float, float], tuple[float, float]]]:
    """Each face on a page: its form, and where two corners of its trim come to lie [mm]."""
    found = {}
    matrix: Any = None
    for words, operator in pikepdf.parse_content_stream(page):
        if str(operator) == "cm":
            matrix = pikepdf.Matrix(*(float(w) for w in words))
        elif str(operator) == "Do" and str(words[0]).startswith("/Face"):
            form = page.Resources.XObject[str(words[0])]
            to_page = pikepdf.Matrix(*(float(n) for n in form.Matrix)) @ matrix
            found[form.objgen] = form, to_page
    return found


@pytest.mark.parametrize("flip", ["long-edge", "short-edge"])
@pytest.mark.parametrize(
    ("size", "paper"), [("a6", "a4"), ("4x6", "letter"), ("100x150", "a3"), ("4x6", "tabloid")]
)
def test_numbers_front_and_back_meet(
    tmp_path: Path, repository: Path, typesetter: Typesetter, size: str, paper: str, flip: Any
) -> None:
    made = sheets(tmp_path, repository, typesetter, size, paper, flip, cards=5)
    width, height = SIZES[size]
    seen = 0
    with pikepdf.open(made.sheets) as pdf:
        assert len(pdf.pages) == 2 * made.sheet_count
        for front, back in zip(pdf.pages[0::2], pdf.pages[1::2], strict=True):
            page_mm = (float(front.mediabox[2]) / MM, float(front.mediabox[3]) / MM)
            assert sorted(page_mm) == pytest.approx(PAPERS_MM[paper], abs=0.01)
            assert list(front.mediabox) == list(back.mediabox)
            fronts, backs = list(placed(front).values()), list(placed(back).values())
            assert len(fronts) == len(backs)
            for (_, on_front), (_, on_back) in zip(fronts, backs, strict=True):
                # The form's own matrix takes its trim corner to (0, 0): its box begins a bleed before.
                for u, v in ((0.0, 0.0), (width, 0.0), (0.0, height), (31.0, 17.0)):
                    front_point = on_front.transform((u * MM, v * MM))
                    back_point = on_back.transform(((width - u) * MM, v * MM))
                    expected = turned((front_point[0] / MM, front_point[1] / MM), page_mm, flip)
                    assert (back_point[0] / MM, back_point[1] / MM) == pytest.approx(expected, abs=0.005)
                seen += 1
    assert seen == 5


def painted(path: Path, number: int, dpi: int = 100) -> Any:
    """A page as gray pixels."""
    with pymupdf.open(path) as document:
        pixels = document[number].get_pixmap(dpi=dpi, colorspace=pymupdf.csGRAY)
        return np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.stride)[
            :, : pixels.width
        ]


@pytest.mark.parametrize("flip", ["long-edge", "short-edge"])
@pytest.mark.parametrize("paper", ["a4", "a3"])
def test_sight_dots_lie_on_dots(
    tmp_path: Path, repository: Path, typesetter: Typesetter, paper: str, flip: Any
) -> None:
    made = sheets(tmp_path, repository, typesetter, "a6", paper, flip, cards=made_cards(paper))
    front, back = painted(made.sheets, 0), painted(made.sheets, 1)
    upright = front.shape[0] > front.shape[1]
    through = np.fliplr(back) if (flip == "long-edge") == upright else np.flipud(back)
    dots, inner = dots_of(front), dots_of(through)
    assert dots.sum() > 100
    # A pixel of difference at the rim of a dot is rounding.
    assert (dots != inner).sum() < 0.15 * dots.sum()
    # Turned the other way, the dots do not meet: the test would see a wrong flip.
    assert (dots & dots_of(np.fliplr(through)[::-1])).sum() < 0.1 * dots.sum()


def made_cards(paper: str) -> int:
    return 2 if paper == "a4" else 4


def dots_of(page: Any) -> Any:
    """The dots alone: dark over an area, not the lines and letters beside the cards."""
    dark = page < 60
    kept = dark.copy()
    for shift in range(1, 5):
        kept[:, :-shift] &= dark[:, shift:]
        kept[:-shift, :] &= dark[shift:, :]
    return kept


def test_a_folded_sheet_has_front_and_back_side_by_side(
    tmp_path: Path, repository: Path, typesetter: Typesetter
) -> None:
    made = sheets(tmp_path, repository, typesetter, "a6", "letter", "fold", cards=2)
    page = painted(made.sheets, 0)
    with pikepdf.open(made.sheets) as pdf:
        assert len(pdf.pages) == made.sheet_count == 2
        (_, one), (_, other) = placed(pdf.pages[0]).values()
    fold = one.transform((105 * MM, 0.0))[0]
    assert other.transform((0.0, 0.0))[0] == pytest.approx(fold, abs=0.01)
    at = round(fold / 72 * 100)
    left, right = dots_of(page[:, at - 420 : at]), dots_of(np.fliplr(page[:, at : at + 420]))
    assert left.sum() > 50
    assert (left != right).sum() < 0.25 * left.sum()


@given(
    width=st.floats(40, 200), height=st.floats(40, 200), paper=st.sampled_from(sorted(PAPERS_MM)),
    flip=st.sampled_from(FLIPS), u=st.floats(0, 1), v=st.floats(0, 1),
)  # fmt: skip
@settings(max_examples=60)
def test_every_point_of_every_card_meets(
    width: float, height: float, paper: str, flip: Any, u: float, v: float
) -> None:
    try:
        found = plan((width, height), paper, flip)
    except OutputError:
        return
    for front, back in zip(found.fronts, found.backs, strict=True):
        a = seen_at(front, u * width, v * height)
        b = seen_at(back, width - u * width, v * height)
        if flip == "fold":
            fold = front.left_mm + width
            assert (2 * fold - a[0], a[1]) == pytest.approx(b, abs=1e-9)
        else:
            assert turned(a, found.page_mm, flip) == pytest.approx(b, abs=1e-9)
    inside(found)


def seen_at(slot: Slot, u: float, v: float) -> tuple[float, float]:
    a, b, c, d, e, f = slot.matrix
    return a * u + c * v + e, b * u + d * v + f


def inside(found: Plan) -> None:
    """Cards with bleed and marks lie on the paper, and no bleed reaches into another card."""
    for slots in (found.fronts, found.backs):
        for slot in slots:
            reach = BLEED_MM + MARK_MM
            assert slot.left_mm - reach >= 4.2
            assert slot.bottom_mm - reach >= 16.9
            assert slot.left_mm + slot.width_mm + reach <= found.page_mm[0] - 4.2
            assert slot.bottom_mm + slot.height_mm + reach <= found.page_mm[1] - 4.2
    for one in found.fronts:
        for other in found.fronts:
            if one is not other:
                across = abs(one.left_mm - other.left_mm) - one.width_mm
                along = abs(one.bottom_mm - other.bottom_mm) - one.height_mm
                assert max(across, along) >= 2 * BLEED_MM - 1e-9


def test_bleed_reaches_three_millimetres_and_no_farther(
    tmp_path: Path, repository: Path, typesetter: Typesetter
) -> None:
    made = sheets(tmp_path, repository, typesetter, "a6", "a4", "long-edge", cards=1)
    page = painted(made.sheets, 0, dpi=254)
    toned = (page > 170) & (page < 190)
    # A letter's soft rim has that tone too, but never a hundred pixels of it in a row.
    rows = np.flatnonzero([longest_run(row) > 100 for row in toned])
    columns = np.flatnonzero([longest_run(column) > 100 for column in toned.T])
    slot = made.plan.fronts[0]
    assert columns.min() / 10 == pytest.approx(slot.left_mm - 3, abs=0.15)
    assert (columns.max() + 1) / 10 == pytest.approx(slot.left_mm + 105 + 3, abs=0.15)
    assert (rows.max() - rows.min() + 1) / 10 == pytest.approx(148 + 6, abs=0.25)
    # No mark and no letter lies over the bleed.
    box = page[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]
    assert ((box < 170).sum() - (box < 60).sum()) < 400


def test_scale_bars_are_true(tmp_path: Path, repository: Path, typesetter: Typesetter) -> None:
    """The bars are measured on the painted page: 100 mm, and 4 in = 101.6 mm."""
    made = sheets(tmp_path, repository, typesetter, "a6", "a4", "long-edge", cards=1)
    for path in (made.sheets, made.template):
        page = painted(path, 0, dpi=508)
        foot = page[-round(11 / 25.4 * 508) :] < 140
        widths = {longest_run(row) / 20 for row in foot}
        assert min(abs(w - 100.0) for w in widths) < 0.2
        assert min(abs(w - 101.6) for w in widths) < 0.2


def longest_run(row: Any) -> int:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(np.int8), [0]))))
    return int((edges[1::2] - edges[0::2]).max()) if len(edges) else 0


def test_files_say_print_only_and_ask_not_to_be_scaled(
    tmp_path: Path, repository: Path, typesetter: Typesetter
) -> None:
    made = sheets(tmp_path, repository, typesetter, "4x6", "letter", "short-edge")
    assert made.sheets.name == "4x6-print-only-letter-short-edge.pdf"
    for path in (made.sheets, made.template):
        with pikepdf.open(path) as pdf:
            assert pdf.Root.ViewerPreferences.PrintScaling == "/None"
            assert "/StructTreeRoot" not in pdf.Root
        with pymupdf.open(path) as document:
            assert all("Print only, at 100 %" in page.get_text() for page in document)
            assert all(
                font[3].partition("+")[2].startswith("Leadsman")
                for page in document
                for font in page.get_fonts()
            )


def test_cards_are_dealt_in_order_or_in_piles() -> None:
    found = plan((105, 148), "a4", "long-edge")
    assert found.per_sheet == 2
    assert list(found.sheets(5)) == [[0, 1], [2, 3], [4, None]]
    piles = list(found.sheets(5, stacked=True))
    assert piles == [[0, 3], [1, 4], [2, None]]
    assert [sheet[slot] for slot in range(2) for sheet in piles if sheet[slot] is not None] == [0, 1, 2, 3, 4]


def test_the_same_deck_gives_the_same_bytes(tmp_path: Path, repository: Path, typesetter: Typesetter) -> None:
    digests = set()
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        made = sheets(tmp_path / name, repository, typesetter, "a6", "a4", "long-edge")
        digests.add((hashlib.sha256(made.sheets.read_bytes()).digest(), made.template.read_bytes()))
    assert len(digests) == 1


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (lambda path: path.unlink(), "there is no"),
        (lambda path: path.write_bytes(b"no PDF"), "cannot be read as a PDF"),
        (lambda path: without_last_page(path), "has 5 pages"),
        (lambda path: make_deck(path, (105, 148), 2, bleed_mm=1.0), "no bleed of 3 mm"),
        (lambda path: make_deck(path, (280, 430), 2), "does not fit a4"),
    ],
)
def test_what_is_no_deck_is_refused_in_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], spoil: Any, told: str
) -> None:
    # The command reads the demo content for its words and the deck in a process of its own: test_odd_words.py lets it.
    monkeypatch.setattr("leadsman.content.catalogue.load", lambda folder: small_content.edited())
    monkeypatch.setattr("leadsman.apart.apart", lambda function, *given, **named: function(*given))
    deck = make_deck(tmp_path / "deck.pdf", SIZES["a6"], 3)
    spoil(deck)
    with pytest.raises(SystemExit) as ended:
        main(["sheets", str(deck)])
    err = capsys.readouterr().err
    assert ended.value.code == 1
    assert told in err
    assert err.count("\n") == 1
    assert not list(tmp_path.glob("*print-only*"))


def without_last_page(path: Path) -> None:
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        del pdf.pages[-1]
        pdf.save(path)
