"""The fonts of every printed output: shipped as packages, named in CSS, the only ones that can be seen.

A machine's own fonts would change line breaks from one machine to the next. So the text shaper gets
a private fontconfig file that names a single font of ours, and every other face comes from an
``@font-face`` rule whose ``font://`` address the locked fetcher reads out of the font package.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from urllib.parse import quote
from xml.sax.saxutils import escape

from leadsman.press.temporary import own_folder

TEXT = "Leadsman Text"
HEAD = "Leadsman Head"
FORM = "Leadsman Form"

#: The families that a style may name; anything else would be replaced without a word.
FAMILIES = frozenset({TEXT, HEAD, FORM})

#: Address name -> font package.
PACKAGES = {"source": "fontpkg_source_sans_3", "barlow": "fontpkg_barlow_semi_condensed"}


@dataclass(frozen=True)
class Face:
    """One font file under one CSS family."""

    family: str
    package: str
    file: str
    style: str = "normal"
    weight: int | None = None

    @property
    def url(self) -> str:
        """The address that the locked fetcher resolves."""
        return f"font://{self.package}/{quote(self.file)}"

    def css(self) -> str:
        """The ``@font-face`` rule."""
        weight = f"font-weight:{self.weight};" if self.weight else ""
        return (
            f'@font-face{{font-family:"{self.family}";font-style:{self.style};{weight}src:url("{self.url}")}}'
        )


# A variable file is declared once and without a weight: the engine then cuts each weight that the
# text uses. Two rules with a weight each on the same file give wrong glyph widths in the PDF.
# A font in a form field is embedded whole and must not lend its subset to the text: hence FORM.
FACES = (
    Face(TEXT, "source", "SourceSans3[wght].ttf"),
    Face(TEXT, "source", "SourceSans3-Italic[wght].ttf", style="italic"),
    Face(HEAD, "barlow", "BarlowSemiCondensed-Regular.ttf", weight=400),
    Face(HEAD, "barlow", "BarlowSemiCondensed-Medium.ttf", weight=500),
    Face(HEAD, "barlow", "BarlowSemiCondensed-SemiBold.ttf", weight=600),
    Face(HEAD, "barlow", "BarlowSemiCondensed-Bold.ttf", weight=700),
    Face(FORM, "barlow", "BarlowSemiCondensed-Regular.ttf"),
)

#: Seen by fontconfig beside the declared faces: with no font at all the text shaper crashes.
SAFETY_NET = ("barlow", "BarlowSemiCondensed-Regular.ttf")


def font_bytes(package: str, file: str) -> bytes:
    """The bytes of one font file; ``KeyError`` or ``FileNotFoundError`` when there is none.

    Examples
    --------
    >>> font_bytes("barlow", "BarlowSemiCondensed-Bold.ttf")[:4].hex()
    '00010000'
    """
    folder = files(PACKAGES[package]) / "files"
    found = {entry.name: entry for entry in folder.iterdir() if entry.is_file()}
    if file not in found:
        raise FileNotFoundError(f"no font {file} in {PACKAGES[package]}")
    return found[file].read_bytes()


def font_faces_css(faces: Iterable[Face] = FACES) -> str:
    """The ``@font-face`` rules of all families, as the first style sheet of every document.

    Examples
    --------
    >>> font_faces_css().count("@font-face")
    7
    """
    return "\n".join(face.css() for face in faces) + "\n"


@cache
def private_fontconfig() -> Path:
    """Write a fontconfig file that shows one packaged font and nothing of the machine; return its path."""
    folder = own_folder() / "fonts"
    (folder / "net").mkdir(parents=True)
    (folder / "net" / SAFETY_NET[1]).write_bytes(font_bytes(*SAFETY_NET))
    configuration = folder / "fonts.conf"
    configuration.write_text(
        '<?xml version="1.0"?>\n<!DOCTYPE fontconfig SYSTEM "urn:fontconfig:fonts.dtd">\n<fontconfig>'
        f"<dir>{escape(str(folder / 'net'))}</dir><cachedir>{escape(str(folder / 'cache'))}</cachedir>"
        "</fontconfig>\n",
        encoding="utf-8",
    )
    return configuration


def hide_system_fonts() -> None:
    """Let fontconfig see the packaged fonts alone; to be called before the engine is imported."""
    configuration = private_fontconfig()
    os.environ["FONTCONFIG_FILE"] = str(configuration)
    os.environ["FONTCONFIG_PATH"] = str(configuration.parent)
    os.environ.pop("FONTCONFIG_SYSROOT", None)
