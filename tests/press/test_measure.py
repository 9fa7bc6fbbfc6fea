"""Heights are known before print, and each face stands alone on one page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from leadsman.press import measure
from leadsman.press.gate import Refused
from leadsman.press.typeset import Typesetter, render_pdf
from leadsman.store import Store

STYLE = """
@page { size: 105mm 148mm; margin: 6mm }
body { margin: 0; font-size: 12pt; line-height: 5mm }
p, h1 { margin: 0; font-size: 12pt; line-height: 5mm }
.face { height: 136mm; overflow: hidden; display: flex; flex-direction: column; break-after: page }
.face:last-child { break-after: auto }
"""


def face(name: str, lines: int) -> str:
    """Return a face of one heading and some paragraphs of one line each."""
    return f'<section class="face" id="{name}"><h1>{name}</h1>{"<p>A line</p>" * lines}</section>'


def test_natural_heights_are_those_of_the_lines(typesetter: Typesetter) -> None:
    """By arithmetic: (lines + heading) times 5 mm of line height."""
    html = face("short", 3) + face("full", 26) + face("over", 60)
    sizes = measure.natural_sizes(typesetter, html, STYLE, class_name="face", page_width_mm=105)
    assert [(size.id, size.height_mm, size.width_mm) for size in sizes] == [
        ("short", pytest.approx(20, abs=0.01), pytest.approx(93, abs=0.01)),
        ("full", pytest.approx(135, abs=0.01), pytest.approx(93, abs=0.01)),
        ("over", pytest.approx(305, abs=0.01), pytest.approx(93, abs=0.01)),
    ]


def test_only_what_changed_is_laid_out_with_the_places_that_it_refers_to(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A place in a block that is known already can be referred to; what nobody asks for costs no layout."""
    setter, laid = Typesetter(store=Store(None)), list[str]()
    plain = measure._laid_out

    def heard(typesetter: Typesetter, html: str, *more: Any) -> list[measure.NaturalSize]:
        laid.append(html)
        return plain(typesetter, html, *more)

    monkeypatch.setattr(measure, "_laid_out", heard)
    places = "".join(f'<p class="anchor" id="{name}">.</p>' for name in ("far", "never"))

    def heights(second: str) -> list[float]:
        first = '<div class="face" id="a"><h1>A</h1><p id="inside">x</p><p id="beside">y</p></div>'
        html = f'{places}{first}<div class="face" id="b"><h1>B</h1>{second}</div>'
        sizes = measure.natural_sizes(setter, html, STYLE, class_name="face", page_width_mm=105)
        return [size.height_mm for size in sizes]

    assert heights("<p>one</p>") == pytest.approx([15, 10], abs=0.01)
    links = '<p>one <a href="#inside">there</a></p><p><a href="#far">far</a></p>'
    assert heights(links) == pytest.approx([15, 15], abs=0.01)
    for name, stands in (("inside", True), ("far", True), ("beside", False), ("never", False)):
        assert (f'id="{name}"' in laid[-1]) == stands, name
    assert heights(links) == pytest.approx([15, 15], abs=0.01)
    assert len(laid) == 2


def test_own_heights_and_limits_are_lifted(typesetter: Typesetter) -> None:
    html = (
        '<h1>A</h1><div class="face" id="a" style="height: 90mm !important; min-height: 80mm"><p>x</p></div>'
    )
    (size,) = measure.natural_sizes(typesetter, html, STYLE, class_name="face", page_width_mm=105)
    assert size.height_mm == pytest.approx(5, abs=0.01)


def test_margins_and_padding_count(typesetter: Typesetter) -> None:
    html = '<div class="face" style="margin: 2mm 0; padding: 3mm; border: 1mm solid"><h1>A</h1></div>'
    (size,) = measure.natural_sizes(typesetter, html, STYLE, class_name="face", page_width_mm=105)
    assert size.height_mm == pytest.approx(5 + 2 * (2 + 3 + 1), abs=0.02)


def test_faces_fill_one_page_each(typesetter: Typesetter, tmp_path: Path) -> None:
    html = face("one", 3) + face("two", 20)
    done = render_pdf(
        html, STYLE, out=tmp_path / "a.pdf", title="A deck", face_class="face", typesetter=typesetter
    )
    assert done.page_count == 2


@pytest.mark.parametrize(
    ("html", "css", "words"),
    [
        (face("one", 50), ".face { height: auto; display: block }", "face 'one' runs over pages 1, 2"),
        (
            face("one", 3) + face("two", 3),
            ".face { height: auto; break-after: auto }",
            "page 1 holds 2 elements",
        ),
        (face("one", 3) + '<p style="break-before: page">x', "", "page 2 holds no face"),
        (face("one", 3), "p { position: relative; left: 90mm }", "the text 'A line' leaves the page"),
    ],
)
def test_faces_out_of_place_are_refused(
    typesetter: Typesetter, tmp_path: Path, html: str, css: str, words: str
) -> None:
    with pytest.raises(Refused) as caught:
        render_pdf(
            html,
            [STYLE, css],
            out=tmp_path / "a.pdf",
            title="A deck",
            face_class="face",
            typesetter=typesetter,
        )
    assert any(words in finding for finding in caught.value.findings)


def test_what_measures_too_tall_is_refused_in_print(typesetter: Typesetter, tmp_path: Path) -> None:
    """The two checks agree: a face taller than its page cannot be printed whole."""
    html = "".join(face(f"face-{lines}", lines) for lines in (20, 26, 27, 40))
    sizes = measure.natural_sizes(typesetter, html, STYLE, class_name="face", page_width_mm=105)
    assert [size.id for size in sizes if size.height_mm > 136] == ["face-27", "face-40"]
    with pytest.raises(Refused) as caught:
        render_pdf(
            html, STYLE, out=tmp_path / "a.pdf", title="A deck", face_class="face", typesetter=typesetter
        )
    over = [finding for finding in caught.value.findings if "runs over pages" in finding]
    assert [finding.split("'")[1] for finding in over] == ["face-27", "face-40"]
