"""What is read of a PDF, from files written by hand object by object: ISO 32000-1:2008 says what each of them means."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, String

from inspection import making
from leadsman.errors import OutputError
from leadsman.inspection import reading
from leadsman.inspection.model import Box, PdfFile

#: A point in millimetres.
PT = 25.4 / 72
Change = Callable[[pikepdf.Pdf], object]


def helvetica(**more: Any) -> Dictionary:
    """One of the fonts that every reader has (ISO 32000-1, 9.6.2.2)."""
    return Dictionary(
        Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica, Encoding=Name.WinAnsiEncoding, **more
    )


def made(*contents: bytes, change: Change = lambda pdf: None, **page: Any) -> bytes:
    """A file of one page for each content, 300 by 200 pt, with a font F1."""
    out = io.BytesIO()
    with pikepdf.new() as pdf:
        for content in contents:
            pdf.add_blank_page(page_size=(300, 200))
            made_page = pdf.pages[-1].obj
            made_page.Resources = Dictionary(Font=Dictionary(F1=pdf.make_indirect(helvetica())))
            made_page.Contents = pdf.make_stream(content)
            for name, value in page.items():
                made_page["/" + name] = value
        change(pdf)
        pdf.save(out)
    return out.getvalue()


def read(folder: Path, *contents: bytes, change: Change = lambda pdf: None, **page: Any) -> PdfFile:
    return making.read(made(*contents, change=change, **page), folder)


def shown(words: bytes, x: float = 50, y: float = 100, size: float = 10, before: bytes = b"") -> bytes:
    return b"BT /F1 %g Tf %s %g %g Td (%s) Tj ET\n" % (size, before, x, y, words)


# --- places ------------------------------------------------------------------------------------


def test_places_count_from_the_corner_of_the_trim_size(tmp_path: Path) -> None:
    """Boxes count up from below (14.11.2); ours count down from the upper left corner of the trim size."""
    file = read(
        tmp_path, shown(b"Hold") + b"0 0 1 rg 50 60 20 10 re f", TrimBox=Array([20, 30, 280, 180]), BleedBox=Array([10, 15, 290, 195]),
    )  # fmt: skip
    (page,) = file.pages
    assert page.trim == Box(0, 0, pytest.approx(260 * PT), pytest.approx(150 * PT))
    for box, left, top, right, bottom in ((page.media, -20, -20, 280, 180), (page.bleed, -10, -15, 270, 165)):
        assert (box.left, box.top, box.right, box.bottom) == pytest.approx(
            [v * PT for v in (left, top, right, bottom)]
        )
    (run,) = page.runs
    assert run.baseline == pytest.approx((180 - 100) * PT)
    # Helvetica is 0.722, 0.556, 0.222 and 0.556 wide (Adobe's metrics of the core fonts).
    assert run.box.left == pytest.approx((50 - 20) * PT, abs=0.01)
    assert run.box.width == pytest.approx(0.01 * (72.2 + 55.6 + 22.2 + 55.6) * 10 * PT, abs=0.02)
    (shape,) = page.shapes
    assert (shape.box.left, shape.box.top) == pytest.approx((30 * PT, (180 - 70) * PT), abs=0.01)
    assert (shape.box.width, shape.box.height) == pytest.approx((20 * PT, 10 * PT), abs=0.01)


def test_a_page_that_shows_a_part_of_itself_is_measured_all_the_same(tmp_path: Path) -> None:
    """The painter begins at the CropBox (14.11.2), the boxes of the file at its origin."""
    file = read(
        tmp_path, shown(b"Hold"), CropBox=Array([10, 20, 290, 190]), TrimBox=Array([20, 30, 280, 180])
    )
    (run,) = file.pages[0].runs
    assert run.box.left == pytest.approx((50 - 20) * PT, abs=0.01)
    assert run.baseline == pytest.approx((180 - 100) * PT, abs=0.01)
    assert file.pages[0].bleed == file.pages[0].trim  # none is said


@pytest.mark.parametrize(("words", "depth"), [(b"Hand", 0.02), (b"Hang", 0.22), (b"Hand,", 0.22)])
def test_the_box_of_letters_goes_from_their_capitals_to_their_tails(
    tmp_path: Path, words: bytes, depth: float
) -> None:
    """Helvetica's capitals are 0.718 high and its tails 0.207 deep (Adobe's metrics of the core fonts)."""
    (run,) = read(tmp_path, shown(words, size=20)).runs
    assert run.box.top == pytest.approx((100 - 0.75 * 20) * PT, abs=0.01)
    assert run.box.bottom == pytest.approx((100 + depth * 20) * PT, abs=0.01)
    assert (run.size_pt, run.text) == (20, words.decode())


# --- letters -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "colour"),
    [
        (b"0.25 g", (0.25, 0.25, 0.25)),
        (b"0.1 0.2 0.3 rg", (0.1, 0.2, 0.3)),
    ],
)
def test_letters_have_the_colour_that_is_set(tmp_path: Path, said: bytes, colour: tuple[float, ...]) -> None:
    (run,) = read(tmp_path, shown(b"Hold", before=said)).runs
    assert run.colour == pytest.approx(colour, abs=0.003)
    assert (run.opacity, run.invisible, run.artifact) == (1.0, False, False)


@pytest.mark.parametrize(
    ("values", "colour"),
    [
        (0.25, (0.25, 0.25, 0.25)),
        ((0.25,), (0.25, 0.25, 0.25)),
        ([0.1, 0.2, 0.3], (0.1, 0.2, 0.3)),
        ((0.5, 0.0, 0.2, 0.0), (0.5, 1.0, 0.8)),
        ((0.2, 0.5, 0.0, 0.5), (0.4, 0.25, 0.5)),
        ((0.0, 0.0, 0.0, 1.0), (0.0, 0.0, 0.0)),
    ],
)
def test_grey_and_process_colours_become_red_green_and_blue(values: Any, colour: tuple[float, ...]) -> None:
    """Black ink takes from all three, each other ink from its own (common practice; ISO 32000-1, 10.3.5 adds instead)."""
    assert reading._rgb(values) == pytest.approx(colour)


def test_letters_that_are_not_painted_are_told(tmp_path: Path) -> None:
    """Rendering mode 3 paints nothing (9.3.6); a clip that cuts a word away whole hides it."""
    content = (
        shown(b"Hold", before=b"3 Tr")
        + b"0 0 300 90 re W n "
        + shown(b"Gone", before=b"0 Tr")
        + shown(b"Seen", y=50)
    )
    runs = read(tmp_path, content).runs
    assert [(run.text, run.invisible) for run in runs] == [("Hold", True), ("Gone", True), ("Seen", False)]


def pieces(file: PdfFile) -> list[tuple[str, str | None, bool]]:
    """Each run: its letters, the tag of its text, and whether it is decoration."""
    return [(run.text, run.block.tag if run.block else None, run.artifact) for run in file.runs]


def tagged(pdf: pikepdf.Pdf, *kids: Any, roles: dict[str, str] | None = None) -> list[Any]:
    """A structure tree over the first page; each kid is a dictionary of an element."""
    root = pdf.make_indirect(Dictionary(Type=Name.StructTreeRoot))
    if roles:
        root.RoleMap = Dictionary({f"/{k}": Name(f"/{v}") for k, v in roles.items()})
    found = [pdf.make_indirect(Dictionary(Pg=pdf.pages[0].obj, **kid)) for kid in kids]
    root.K = Array(found)
    pdf.Root.StructTreeRoot = root
    return found


def test_letters_belong_to_the_element_of_their_marked_content(tmp_path: Path) -> None:
    """14.7.4.2: the innermost number counts; an artifact belongs to none."""
    content = (
        b"/P <</MCID 0>> BDC " + shown(b"One ") + b"/Span <</ActualText (x)>> BDC " + shown(b"two.", x=80) + b"EMC EMC "
        b"/Artifact BMC " + shown(b"Head", y=150) + b"EMC "
        b"/H1 <</MCID 1>> BDC " + shown(b"Title", y=120) + b"EMC " + shown(b"Loose", y=20)
    )  # fmt: skip

    def tags(pdf: pikepdf.Pdf) -> None:
        tagged(pdf, {"S": Name.Para, "K": 0}, {"S": Name.H1, "K": Array([1])}, roles={"Para": "P"})

    file = read(tmp_path, content, change=tags)
    assert pieces(file) == [
        ("One ", "P", False), ("two.", "P", False), ("Head", None, True), ("Title", "H1", False), ("Loose", None, False),
    ]  # fmt: skip
    assert [element.tag for element in file.elements] == ["P", "H1"]
    assert [element.text for element in file.elements] == ["One two.", "Title"]
    assert [element.page for element in file.elements] == [1, 1]


def test_one_span_of_letters_may_hold_several_elements(tmp_path: Path) -> None:
    """The painter joins what follows without a gap; the tags part it again."""
    content = (
        b"BT /F1 10 Tf 50 100 Td /P <</MCID 0>> BDC (ab) Tj EMC /P <</MCID 1>> BDC [(c) -10 (d)] TJ EMC () Tj "
        b"/Artifact BMC (e) ' EMC ET"
    )
    file = read(
        tmp_path, content, change=lambda pdf: tagged(pdf, {"S": Name.P, "K": 0}, {"S": Name.LI, "K": 1})
    )
    assert ["".join(r.text for r in e.runs()) for e in file.elements] == ["ab", "cd"]
    assert [run.text for run in file.runs if run.artifact] == ["e"]


def test_the_properties_of_marked_content_may_have_a_name(tmp_path: Path) -> None:
    """14.6.2: a name stands for what the resources hold under it."""

    def change(pdf: pikepdf.Pdf) -> None:
        tagged(pdf, {"S": Name.P, "K": 3})
        pdf.pages[0].Resources.Properties = Dictionary(Mark=Dictionary(MCID=3))

    assert pieces(read(tmp_path, b"/P /Mark BDC " + shown(b"Here") + b"EMC", change=change)) == [
        ("Here", "P", False)
    ]


@pytest.mark.parametrize(
    ("content", "count"),
    [
        (b"10 10 20 20 re f", 1),
        (b"10 10 m 20 20 l S 10 10 20 20 re B*", 2),
        (b"/Artifact BMC 10 10 20 20 re f EMC", 0),
        (b"/Artifact BMC EMC EMC 10 10 20 20 re f", 1),  # an end too many opens nothing
        (b"/Artifact BMC /P <</MCID 0>> BDC EMC 10 10 20 20 re f EMC", 0),
        (shown(b"a") + shown(b"b"), 2),
        (b"10 10 20 20 re n", 0),
        (b"/Fm Do", 1),  # the form paints once
        (b"/Artifact BMC /Fm Do EMC", 0),
        (b"/None Do", 1),
        (b"/Im Do", 1),
        (b"/Artifact BMC /Im Do EMC", 0),
    ],
)
def test_what_is_painted_outside_the_tags_is_counted(tmp_path: Path, content: bytes, count: int) -> None:
    """14.8.2.2: everything is real content or an artifact; what a form paints counts with what is around it."""

    def change(pdf: pikepdf.Pdf) -> None:
        form = pdf.make_stream(
            b"0 0 5 5 re f", Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 9, 9])
        )
        image = pdf.make_stream(
            b"\0", Type=Name.XObject, Subtype=Name.Image, Width=1, Height=1, ColorSpace=Name.DeviceGray, BitsPerComponent=8,
        )  # fmt: skip
        pdf.pages[0].Resources.XObject = Dictionary(Fm=form, Im=image)

    assert read(tmp_path, content, change=change).pages[0].untagged_operators == count


def test_letters_of_a_form_belong_to_the_tags_around_it(tmp_path: Path) -> None:
    """8.10: a form has resources of its own, or those of the page; one that paints itself is not followed for ever."""

    def change(pdf: pikepdf.Pdf) -> None:
        tagged(pdf, {"S": Name.P, "K": 0})
        own = Dictionary(Font=Dictionary(F1=helvetica()))
        inner = {"Type": Name.XObject, "Subtype": Name.Form, "BBox": Array([0, 0, 300, 200])}
        pdf.pages[0].Resources.XObject = Dictionary(
            Own=pdf.make_stream(shown(b"Own"), Resources=own, **inner),
            Page=pdf.make_stream(shown(b"Lent", y=50), **inner),
        )

    content = b"/P <</MCID 0>> BDC /Own Do /Page Do EMC " + shown(b"Loose", y=20)
    assert pieces(read(tmp_path, content, change=change)) == [
        ("Own", "P", False),
        ("Lent", "P", False),
        ("Loose", None, False),
    ]


def test_two_bytes_are_a_letter_of_a_composite_font() -> None:
    """9.7: its codes have two bytes as this program writes them, those of a simple font one."""
    simple, composite = helvetica(), Dictionary(Type=Name.Font, Subtype=Name("/Type0"))
    array = Array([String("ab"), -20, String("cd"), 3])
    assert [reading._glyphs([String("abcd")], font) for font in (simple, composite, None)] == [4, 2, 4]
    assert [reading._glyphs([array], font) for font in (simple, composite, None)] == [4, 2, 4]
    assert reading._glyphs([], simple) == 0
    assert reading._glyphs([1, 2, String("abc")], simple) == 3


def test_where_both_libraries_count_otherwise_the_tags_are_unknown() -> None:
    """The second letter of a ligature has no glyph of its own: it stays with the first."""
    span = {"chars": [(102, 7, (0, 0)), (105, -1, (0, 0)), (110, 9, (5, 0)), (100, 3, (9, 0))]}
    one, two = (reading._Slice(count, None, mcid, False) for count, mcid in ((1, 0), (2, 1)))
    empty = reading._Slice(0, None, 9, False)

    def parts(*slices: reading._Slice) -> list[tuple[int | None, str]]:
        return [
            (found.mcid if found else None, "".join(chr(letter[0]) for letter in letters))
            for found, letters, _ in reading._matched(slices, [span])
        ]

    assert parts(one, empty, two) == [(0, "fi"), (1, "nd")]
    assert parts(one, one) == [(None, "find")]
    assert parts(reading._Slice(3, None, 4, False)) == [(4, "find")]


# --- tags --------------------------------------------------------------------------------------


def test_an_element_says_what_its_attributes_say(tmp_path: Path) -> None:
    """14.8.5: one dictionary or several; 14.9.3 and 14.9.4: an alternative, or else the text that it stands for."""

    def change(pdf: pikepdf.Pdf) -> None:
        tagged(
            pdf,
            {"S": Name.TH, "A": Dictionary(O=Name.Table, Scope=Name.Column), "Lang": String("de")},
            {
                "S": Name.TD,
                "A": Array([Dictionary(O=Name.Layout), Dictionary(O=Name.Table, Headers=Array([]))]),
            },
            {
                "S": Name.Figure,
                "Alt": String(" A hull "),
                "A": Dictionary(O=Name.Layout, BBox=Array([30, 40, 130, 90])),
            },
            {"S": Name.Figure, "ActualText": String("keel")},
        )

    file = read(tmp_path, b"", change=change)
    head, cell, hull, keel = file.elements
    assert [(e.scope, e.has_headers, e.language, e.alt) for e in file.elements] == [
        ("Column", False, "de", ""), ("", True, "", ""), ("", False, "", "A hull"), ("", False, "", "keel"),
    ]  # fmt: skip
    assert (head.frame, cell.frame, hull.frame, keel.frame) == (None, None, (30, 40, 130, 90), None)
    (figure,) = file.pages[0].figures
    assert (figure.left, figure.top, figure.right, figure.bottom) == pytest.approx(
        [v * PT for v in (30, 200 - 90, 130, 200 - 40)]
    )


def test_an_element_may_run_over_pages(tmp_path: Path) -> None:
    """14.7.4: a piece of marked content names its page where that is another than the element's."""

    def change(pdf: pikepdf.Pdf) -> None:
        (element,) = tagged(pdf, {"S": Name.P})
        later = Dictionary(Type=Name.MCR, Pg=pdf.pages[1].obj, MCID=0)
        inner = pdf.make_indirect(Dictionary(S=Name.Span, P=element, K=Array([1])))
        element.K = Array([0, later, inner])

    content = (
        b"/P <</MCID 0>> BDC " + shown(b"First") + b"EMC /P <</MCID 1>> BDC " + shown(b"third", y=50) + b"EMC"
    )
    file = read(tmp_path, content, content, change=change)
    assert [(run.text, run.page) for run in file.elements[0].runs()] == [
        ("First", 1),
        ("First", 2),
        ("third", 1),
    ]
    assert [(e.tag, e.page, e.order) for e in file.elements] == [("P", 1, 1), ("Span", 1, 4)]
    assert [run.text for run in file.runs if run.element is None] == ["third"]


def test_a_tree_that_comes_back_to_itself_ends(tmp_path: Path) -> None:
    def change(pdf: pikepdf.Pdf) -> None:
        one, two = tagged(pdf, {"S": Name.Sect}, {"S": Name.P})
        one.K = Array([two, one])

    assert [e.tag for e in read(tmp_path, b"", change=change).elements] == ["Sect", "P"]


def test_links_and_fields_tell_where_they_lead_and_what_holds_them(tmp_path: Path) -> None:
    """12.5.6.5, 12.3.2 and 12.7.3.1: a place by its name must be there; a field may say its name in its parent."""

    def change(pdf: pikepdf.Pdf) -> None:
        rect, made_indirect = Array([30, 40, 130, 60]), pdf.make_indirect
        notes = [
            Dictionary(Subtype=Name.Link, Rect=rect, Contents=String(" Power "), Dest=String("there")),
            Dictionary(Subtype=Name.Link, Rect=rect, A=Dictionary(S=Name.GoTo, D=String("nowhere"))),
            Dictionary(
                Subtype=Name.Link, Rect=rect, A=Dictionary(S=Name.URI, URI=String("https://example.org"))
            ),
            Dictionary(Subtype=Name.Link, Rect=rect, Dest=Array([pdf.pages[0].obj, Name.Fit])),
            Dictionary(Subtype=Name.Widget, Rect=rect, FT=Name.Tx, T=String("a"), TU=String("Boat")),
            Dictionary(
                Subtype=Name.Widget,
                Rect=rect,
                Parent=made_indirect(Dictionary(FT=Name.Tx, TU=String("Owner"))),
            ),
            Dictionary(Subtype=Name.Text, Rect=rect, Contents=String("A note")),
        ]
        notes = [made_indirect(note) for note in notes]
        pdf.pages[0].obj.Annots = Array(notes)
        pdf.pages[0].obj.Tabs = Name.S
        pdf.Root.AcroForm = Dictionary(Fields=Array([notes[4], notes[5].Parent]))
        notes[5].Parent.Kids = Array([notes[5]])
        pdf.Root.Names = Dictionary(
            Dests=Dictionary(Names=Array([String("there"), Array([pdf.pages[0].obj, Name.Fit])]))
        )
        held = Dictionary(Type=Name.OBJR, Obj=notes[0])
        tagged(
            pdf, {"S": Name.Link, "K": held}, {"S": Name.Form, "K": Dictionary(Type=Name.OBJR, Obj=notes[4])}
        )

    file = read(tmp_path, b"", change=change)
    (page,) = file.pages
    found = page.annotations
    assert [(a.kind, a.says, a.tagged_as, a.resolved) for a in found] == [
        ("link", "Power", "Link", True), ("link", "", "", False), ("link", "", "", True), ("link", "", "", True),
        ("field", "Boat", "Form", True), ("field", "Owner", "", True),
    ]  # fmt: skip
    assert [a.target for a in found[:3]] == ["there", "nowhere", ""]
    assert (found[0].box.left, found[0].box.top) == pytest.approx((30 * PT, 140 * PT))
    assert (file.fields, page.tab_order) == (2, "/S")
    assert [e.annotations for e in file.elements] == [1, 1]


# --- the file ----------------------------------------------------------------------------------


def test_a_file_says_what_it_is(tmp_path: Path) -> None:
    def change(pdf: pikepdf.Pdf) -> None:
        pdf.Root.Lang = String("en-GB")
        pdf.Root.MarkInfo = Dictionary(Marked=True, Suspects=True)
        pdf.Root.ViewerPreferences = Dictionary(DisplayDocTitle=True)
        with pdf.open_outline() as outline:
            outline.root.append(pikepdf.OutlineItem("Power", 1))
        with pdf.open_metadata(set_pikepdf_as_editor=False) as xmp:
            xmp["dc:title"], xmp["pdfuaid:part"] = "Faults", "1"

    file = read(tmp_path, shown(b"a"), shown(b"b"), change=change)
    assert (file.language, file.marked, file.suspects, file.shows_title) == ("en-GB", True, True, True)
    assert (file.xmp_title, file.ua_part, file.title) == ("Faults", "1", "Faults")
    assert file.outline == [(1, "Power", 2)]
    assert [(run.text, run.page) for run in file.runs] == [("a", 1), ("b", 2)]
    plain = read(tmp_path, shown(b"a"))
    assert (plain.language, plain.marked, plain.suspects, plain.shows_title) == ("", False, False, False)
    assert (plain.xmp_title, plain.ua_part, plain.outline, plain.elements, plain.fields) == (
        "",
        "",
        [],
        [],
        0,
    )
    assert not plain.pages[0].has_pictures


@pytest.mark.parametrize(
    ("box", "sane"),
    [
        ([0, 0, 100, 200], True),
        ([-14400, -14400, 14400, 14400], True),
        ([0, 0, 14400.5, 200], False),
        ([0, -14400.5, 100, 200], False),
        ([5, 0, 5, 200], False),
        ([0, 7, 100, 7], False),
        ([100, 200, 0, 0], True),  # from another corner: a reader turns it round (7.9.5)
        ([0, 0, 100], False),
        ("wide", False),
        (None, False),
    ],
)
def test_a_box_that_a_page_can_have(box: Any, sane: bool) -> None:
    """ISO 32000-1, annex C: no side is longer than 14 400 units."""
    assert reading._is_box(box) == sane


def test_pages_without_end_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading, "_MOST_PAGES", 2)
    assert len(read(tmp_path, b"", b"").pages) == 2
    with pytest.raises(OutputError, match="has more than 2 pages"):
        read(tmp_path, b"", b"", b"")


@pytest.mark.parametrize(("number", "sane"), [(0, True), (1_000_000, True), (1_000_001, False), (-1, False)])
def test_numbers_of_marked_content_have_an_end(number: int, sane: bool) -> None:
    if sane:
        assert reading._mcid(number) == number
    else:
        with pytest.raises(ValueError, match="no page needs"):
            reading._mcid(number)


def test_a_page_is_painted_in_the_scale_that_is_asked_for(tmp_path: Path) -> None:
    """White paper, and what is drawn on it row by row from above."""
    (page,) = read(tmp_path, b"0 0 1 rg 0 150 100 50 re f").pages
    pixels = page.painter(0.5)
    assert pixels.shape == (100, 150, 3)
    assert pixels[10, 20].tolist() == [0, 0, 255]
    assert pixels[50, 20].tolist() == pixels[10, 80].tolist() == [255, 255, 255]
    assert page.painter(1 / 3).shape == (67, 100, 3)  # a row of pixels may be padded


def test_what_all_pages_share_may_lie_above_them(tmp_path: Path) -> None:
    """7.7.3.4: a page without resources has those of the tree above it."""

    def change(pdf: pikepdf.Pdf) -> None:
        tagged(pdf, {"S": Name.P, "K": 0})
        pdf.Root.Pages.Resources = pdf.pages[0].obj.Resources
        del pdf.pages[0].obj["/Resources"]

    file = read(tmp_path, b"/P <</MCID 0>> BDC " + shown(b"Here") + b"EMC", change=change)
    assert pieces(file) == [("Here", "P", False)]
    assert [face.name for face in file.typefaces] == ["Helvetica"]


def test_a_locked_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "locked.pdf"
    for user, says in (("secret", "is locked with a password"), ("", "is locked; save it without a lock")):
        with pikepdf.open(io.BytesIO(made(b""))) as pdf:
            pdf.save(path, encryption=pikepdf.Encryption(owner="owner", user=user))
        with pytest.raises(OutputError, match=says):
            reading.read_pdf(path)


def test_a_page_of_an_impossible_size_is_named(tmp_path: Path) -> None:
    second = Array([0, 0, 20_000, 20])
    for name in ("MediaBox", "CropBox", "TrimBox", "BleedBox"):

        def change(pdf: pikepdf.Pdf, key: str = "/" + name) -> None:
            pdf.pages[1].obj[key] = second

        with pytest.raises(OutputError, match=f"page 2 has a {name} that no page has"):
            read(tmp_path, b"", b"", change=change)


def test_a_font_is_learnt_from_the_letters_that_it_prints() -> None:
    """Not from spaces, from letters without a glyph, nor from those of which the tags do not tell the font."""
    span = {"chars": [(ord("!"), 1), (ord(" "), 2), (ord("B"), 0), (ord("C"), 7), (ord("c"), -1)]}
    font = SimpleNamespace(objgen=(3, 0))

    def learnt(*slices: reading._Slice) -> dict[Any, dict[str, int]]:
        fonts = reading._Fonts()
        fonts.learn(slices, [span])
        return fonts._glyphs

    assert learnt(reading._Slice(4, font, 0, False)) == {(3, 0): {"!": 1, "C": 7}}
    assert learnt(reading._Slice(4, None, 0, False)) == {}
    assert learnt(reading._Slice(3, font, 0, False)) == {}  # both libraries count otherwise


@pytest.mark.parametrize(
    ("origin", "place"), [((10.0, 20.0), (20, 40)), ((10.2, 19.8), (20, 40)), ((10.3, 19.7), (21, 39))]
)
def test_a_place_is_told_to_half_a_point(origin: tuple[float, float], place: tuple[int, int]) -> None:
    assert reading._place_of(origin) == place
