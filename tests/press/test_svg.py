"""A picture comes back harmless and labelled, or not at all."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from leadsman.errors import OutputError
from leadsman.press.svg import MOST_ELEMENTS, SVG, safe_svg

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">'


def picture(inside: str, before: str = "") -> str:
    """Return an SVG with a title around some parts."""
    return f"{before}{HEAD}<title>A hull</title>{inside}</svg>"


@pytest.mark.parametrize(
    ("source", "words"),
    [
        (
            picture("", '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hostname">]>'),
            "a document type (DOCTYPE)",
        ),
        (picture("", '<!doctype svg SYSTEM "https://example.org/a.dtd">'), "a document type (DOCTYPE)"),
        (picture("&x;"), "not well-formed"),
        (picture("", '<?xml-stylesheet href="https://example.org/a.css"?>'), "processing instructions"),
        (picture("<?php x?>"), "processing instructions"),
        (picture("<script>1</script>"), "element <script> is not allowed"),
        (picture('<image href="https://example.org/a.png"/>'), "element <image> is not allowed"),
        (picture('<g><p xmlns="http://www.w3.org/1999/xhtml">x</p></g>'), "element <p> is not allowed"),
        (picture("<foreignObject/>"), "element <foreignObject> is not allowed"),
        (picture('<a href="#x"/>'), "element <a> is not allowed"),
        (picture('<animate attributeName="href"/>'), "element <animate> is not allowed"),
        (picture('<rect onload="x()"/>'), "script attribute onload"),
        (picture('<use href="https://example.org/a.svg#x"/>'), "leads outside the picture"),
        (picture('<use xlink:href="file:///a.svg#x"/>'), "leads outside the picture"),
        (picture('<use href="data:image/svg+xml,x"/>'), "leads outside the picture"),
        (picture('<rect fill="url(https://example.org/a#b)"/>'), "may load something"),
        (picture('<rect style="fill: URL( https://example.org/a )"/>'), "may load something"),
        (picture('<rect style="fill: u\\72l(a)"/>'), "may load something"),
        (picture('<rect style="background: image-set(a)"/>'), "may load something"),
        (picture("<style>@import 'a.css';</style>"), "may load something"),
        (picture("<style>p { color: red }</style>"), "a <style> with selectors"),
        (picture('<text font-family="Garamond">x</text>'), "unknown font family 'Garamond'"),
        (
            picture("<text style=\"font-family: 'Leadsman Text', Arial\">x</text>"),
            "unknown font family 'Arial'",
        ),
        (picture('<text style="font: 10px Arial">x</text>'), "write font-family and font-size"),
        (picture('<rect style="position: fixed"/>'), "style property position has no place"),
        (picture('<rect style="fill red"/>'), "a style is not well-formed"),
        (f"{HEAD}<rect/></svg>", "has no <title>"),
        (f"{HEAD}<title> </title></svg>", "has no <title>"),
        ("<svg><title>x</title></svg>", "not <svg> in the SVG namespace"),
        ("<svg", "not well-formed"),
        (b"\xff\xfe<\x00s\x00", "not UTF-8"),
    ],
)
def test_dangerous_pictures_are_refused(source: str | bytes, words: str) -> None:
    with pytest.raises(OutputError) as caught:
        safe_svg(source, name="hull")
    assert words in str(caught.value)
    assert str(caught.value).startswith("picture hull: ")


def test_entities_are_never_expanded() -> None:
    """Ten levels of ten would be ten thousand million letters."""
    entities = '<!ENTITY a "aaaaaaaaaa">' + "".join(
        f'<!ENTITY {chr(98 + i)} "{(f"&{chr(97 + i)};") * 10}">' for i in range(9)
    )
    with pytest.raises(OutputError, match="DOCTYPE"):
        safe_svg(picture("<text>&j;</text>", f"<!DOCTYPE svg [{entities}]>"), name="hull")


def test_nested_use_cannot_grow_without_measure() -> None:
    """Eight levels of ten uses would draw a hundred million parts."""
    levels = "".join(f'<g id="l{i}">' + f'<use href="#l{i - 1}"/>' * 10 + "</g>" for i in range(1, 9))
    with pytest.raises(OutputError, match=f"more than {MOST_ELEMENTS} parts"):
        safe_svg(picture(f'<defs><path id="l0"/>{levels}</defs><use href="#l8"/>'), name="hull")


def test_a_picture_cannot_draw_itself() -> None:
    with pytest.raises(OutputError, match="is drawn inside itself"):
        safe_svg(picture('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'), name="hull")


def test_ids_of_two_pictures_do_not_collide() -> None:
    source = picture('<linearGradient id="g"/><rect fill="url(#g)"/><use xlink:href="#g"/>')
    one, other = (etree.fromstring(safe_svg(source, name=name)) for name in ("port", "starboard"))
    ids = [{e.get("id") for e in root.iter() if e.get("id")} for root in (one, other)]
    assert ids == [{"port-title", "port-g"}, {"starboard-title", "starboard-g"}]
    assert one.find(f"{{{SVG}}}rect").get("fill") == "url(#port-g)"
    assert one.find(f"{{{SVG}}}use").get("href") == "#port-g"


def test_the_title_is_the_text_alternative() -> None:
    root = etree.fromstring(safe_svg(picture("<rect/>"), name="hull", title="  Seen from\n astern "))
    assert [t.text for t in root.iter(f"{{{SVG}}}title")] == ["Seen from astern"]
    assert root[0].tag == f"{{{SVG}}}title"
    assert (root.get("role"), root.get("aria-labelledby")) == ("img", root[0].get("id"))


def test_drawing_programs_leave_nothing_behind() -> None:
    source = picture(
        '<metadata><x xmlns="urn:x"/></metadata><n:view xmlns:n="urn:n" n:zoom="2"/>'
        '<rect xmlns:n="urn:n" n:label="x" width="3"/><!-- made by a program -->'
    )
    safe = safe_svg(source, name="hull")
    assert "urn:" not in safe
    assert "metadata" not in safe
    assert "made by" not in safe
    assert '<rect width="3"/>' in safe


def test_a_plot_passes_with_its_style() -> None:
    """What the plotting library writes: a standard document type, metadata, a universal style."""
    import io

    import matplotlib
    from matplotlib.figure import Figure

    with matplotlib.rc_context({"svg.hashsalt": "x"}):
        figure = Figure(figsize=(3, 2))
        figure.subplots().plot([1, 2, 3], [1, 4, 9], "o-")
        stream = io.StringIO()
        figure.savefig(stream, format="svg")
    assert "<!DOCTYPE" in stream.getvalue()
    safe = safe_svg(stream.getvalue(), name="plot", title="Depth by frequency")
    root = etree.fromstring(safe)
    assert root.get("stroke-linejoin") == "round"
    assert not [e for e in root.iter() if e.get("style")]
    assert not list(root.iter(f"{{{SVG}}}style", f"{{{SVG}}}metadata"))
    targets = {e.get("id") for e in root.iter() if e.get("id")}
    used = {e.get("href")[1:] for e in root.iter() if e.get("href")}
    assert used
    assert used <= targets


def test_styles_become_attributes() -> None:
    """The stronger wins: an element's own style over its attribute and over the sheet of the picture."""
    source = picture(
        '<style>* { fill: red; stroke: blue }</style><rect fill="#111" style="FILL: #222 !important;-x-y:1"/>'
    )
    root = etree.fromstring(safe_svg(source.replace("<svg ", '<svg style="fill: green" ', 1), name="hull"))
    assert (root.get("fill"), root.get("stroke")) == ("green", "blue")
    assert dict(root.find(f"{{{SVG}}}rect").attrib) == {"fill": "#222"}


def test_a_path_without_data_gets_some() -> None:
    """SVG 1.1, 8.3.1: d is required; plotting libraries leave it out for a space."""
    root = etree.fromstring(safe_svg(picture("<path/><path d='M1 1'/>"), name="hull"))
    assert [path.get("d") for path in root.iter(f"{{{SVG}}}path")] == ["M0 0", "M1 1"]


def test_safe_pictures_stay_as_they_are() -> None:
    once = safe_svg(picture('<path d="M0 0L9 9"/><text x="1">keel</text>'), name="hull")
    assert safe_svg(once.replace("hull-", ""), name="hull") == once


@given(st.text(alphabet="<>&;\"'=/! #:()@\\{}abghilmnorstuxyDCTYPE-[]\n", max_size=80))
def test_no_text_gets_through_unchecked(inside: str) -> None:
    """Whatever is put into a picture: it is refused, or comes back without any reference outside."""
    try:
        safe = safe_svg(picture(inside), name="hull")
    except OutputError:
        return
    root = etree.fromstring(safe)
    for element in root.iter():
        assert element.tag.startswith(f"{{{SVG}}}")
        assert all(not name.startswith("on") for name in element.attrib)
        assert (element.get("href") or "#").startswith("#")
