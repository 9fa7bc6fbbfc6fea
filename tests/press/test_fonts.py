"""Each weight and slant is cut out of its file, embedded once, and measured right."""

from __future__ import annotations

import io
import subprocess
import sys
from pathlib import Path

import pikepdf
import pytest
from fontTools import subset
from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

import validators
from leadsman.press import fonts
from leadsman.press.typeset import Typesetter, render_pdf

#: Loads the engine and names each program that this starts, and what it left of the function it borrows.
LOADED = """
import ctypes.util, sys
before, started = ctypes.util.find_library, []
sys.addaudithook(lambda event, given: started.append(given[0]) if event in ("subprocess.Popen", "os.system") else None)
from leadsman.press.engine import load_engine
load_engine()
print(started, ctypes.util.find_library is before)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere the libraries have other names")
def test_the_engine_looks_for_its_libraries_by_itself() -> None:
    """It once started fifty programs (ldconfig, a compiler, a linker) in each process that sets a page."""
    done = subprocess.run([sys.executable, "-c", LOADED], capture_output=True, text=True, check=False)
    assert (done.stdout.strip(), done.stderr) == ("[] True", "")


def embedded(path: Path) -> dict[str, bytes]:
    """Return the embedded fonts of a file: name without its tag, font program."""
    found: dict[str, bytes] = {}
    with pikepdf.open(path) as pdf:
        for item in pdf.objects:
            if isinstance(item, pikepdf.Dictionary) and item.get("/Type") == "/FontDescriptor":
                program = item.get("/FontFile2", item.get("/FontFile3"))
                found[str(item.FontName).partition("+")[2]] = program.read_bytes()
    return found


def test_weights_of_the_variable_file(typesetter: Typesetter, tmp_path: Path) -> None:
    """OS/2 usWeightClass of each cut-out font; two declared weights would give wrong widths."""
    html = "<h1>Weights</h1><p>" + " ".join(
        f'<span style="font-weight: {weight}; font-style: {slant}">Weight {weight} {slant}</span>'
        for weight in (300, 400, 600, 700)
        for slant in ("normal", "italic")
    )
    done = render_pdf(html, out=tmp_path / "a.pdf", title="Weights of a font", typesetter=typesetter)
    programs = embedded(done.path)
    weights = {name: TTFont(io.BytesIO(data))["OS/2"].usWeightClass for name, data in programs.items()}
    assert {name: w for name, w in weights.items() if name.startswith("Leadsman-Text")} == {
        "Leadsman-Text": 400,
        "Leadsman-Text-Bold": 700,
        "Leadsman-Text-Bold-Italic": 700,
        "Leadsman-Text-Italic": 400,
        "Leadsman-Text-Light": 300,
        "Leadsman-Text-Light-Italic": 300,
        "Leadsman-Text-Semi-Bold": 600,
        "Leadsman-Text-Semi-Bold-Italic": 600,
    }
    assert all(len(data) < 60_000 for data in programs.values()), "a font is embedded whole"
    assert validators.pdf_findings(done.path) == []


def test_letters_are_listed_alike_for_the_library_that_cuts(typesetter: Typesetter) -> None:
    """As many of them, in the same memory, as where each length is a type of its own."""
    from weasyprint.pdf.fonts import ffi

    for letters in ((7,), (3, 40, 2000), tuple(range(1500))):
        ours, theirs = (way.new(f"hb_codepoint_t[{len(letters)}]", letters) for way in (ffi, ffi._ffi))
        assert tuple(ours) == tuple(theirs) == letters
        assert ffi.sizeof(ours) == ffi.sizeof(theirs) == 4 * len(letters)


@pytest.mark.parametrize("file", ["SourceSans3[wght].ttf", "SourceSans3-Italic[wght].ttf"])
def test_a_weight_is_the_same_when_empty_glyphs_are_passed_over(
    typesetter: Typesetter, monkeypatch: pytest.MonkeyPatch, file: str
) -> None:
    """Against fontTools as it is: letters, blanks of several widths, letters made of others, and all that was cut away."""
    font = TTFont(io.BytesIO(fonts.font_bytes("source", file)))
    subsetter = subset.Subsetter(subset.Options(retain_gids=True, notdef_outline=False))
    subsetter.populate(text="Dead unit: 12.6 V, \u00a0\u202f\u2009\u2003éÅǾ½Ω→")
    subsetter.subset(font)
    cut = io.BytesIO()
    font.save(cut)

    def weighed(weight: int) -> bytes:
        cut.seek(0)
        made = io.BytesIO()
        instancer.instantiateVariableFont(
            TTFont(cut, recalcTimestamp=False), {"wght": weight}, static=True
        ).save(made)
        return made.getvalue()

    quick = [weighed(weight) for weight in (200, 400, 700)]
    assert len(set(quick)) == 3
    monkeypatch.setattr(instancer, "_instantiateGvarGlyph", instancer._instantiateGvarGlyph.__wrapped__)
    assert [weighed(weight) for weight in (200, 400, 700)] == quick


@pytest.mark.parametrize(
    ("weight", "name"), [(400, "Head"), (500, "Head-Medium"), (600, "Head-Semi-Bold"), (700, "Head-Bold")]
)
def test_weights_of_the_headings(typesetter: Typesetter, tmp_path: Path, weight: int, name: str) -> None:
    css = f"h1 {{ font-weight: {weight} }}"
    done = render_pdf(
        "<h1>Supply</h1>", css, out=tmp_path / "a.pdf", title="One heading", typesetter=typesetter
    )
    assert list(embedded(done.path)) == [f"Leadsman-{name}-Semi-Condensed"]
    assert validators.pdf_findings(done.path) == []


def test_form_fields_lend_no_font_to_the_text(typesetter: Typesetter, tmp_path: Path) -> None:
    """A field's font is embedded whole and loses ligatures: it must be a face of its own."""
    html = '<h1>Record</h1><form><p><label for="a">First offset</label> <input id="a" name="a" value="AB-12"></p></form>'
    css = "input { appearance: auto }"
    done = render_pdf(html, css, out=tmp_path / "a.pdf", title="A service record", typesetter=typesetter)
    sizes = {name: len(data) for name, data in embedded(done.path).items()}
    assert sizes["Leadsman-Form-Semi-Condensed"] > 50_000
    assert sizes["Leadsman-Text"] < 30_000
    assert validators.pdf_findings(done.path) == []
    with pikepdf.open(done.path) as pdf:
        assert pdf.Root.AcroForm.NeedAppearances, "a field with a value is drawn by the viewer"


def test_signs_that_the_pages_need_are_covered() -> None:
    """Every sign below is in the text face; the heading face borrows it."""
    characters = "•◦▪→←↑↓✓☐☑°µΩ±−–—≤≥≈×÷²³½…′″\u00a0\u2009\u202f"
    text = TTFont(io.BytesIO(fonts.font_bytes("source", "SourceSans3[wght].ttf"))).getBestCmap()
    assert [c for c in characters if ord(c) not in text] == []


def test_headings_borrow_from_the_text_face(typesetter: Typesetter, tmp_path: Path) -> None:
    done = render_pdf(
        "<h1>Plug → cradle</h1>", out=tmp_path / "a.pdf", title="An arrow", typesetter=typesetter
    )
    assert set(embedded(done.path)) == {"Leadsman-Head-Bold-Semi-Condensed", "Leadsman-Text-Bold"}
    assert validators.pdf_findings(done.path) == []


def test_embedding_is_permitted() -> None:
    """OS/2 fsType 0: installable embedding, no restriction (OpenType specification)."""
    for face in fonts.FACES:
        assert TTFont(io.BytesIO(fonts.font_bytes(face.package, face.file)))["OS/2"].fsType == 0


@pytest.mark.parametrize("file", ["../__init__.py", "none.ttf", "", "."])
def test_only_font_files_are_given_out(file: str) -> None:
    with pytest.raises(FileNotFoundError):
        fonts.font_bytes("barlow", file)
