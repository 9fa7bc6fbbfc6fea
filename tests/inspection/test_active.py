"""What a file runs, opens or carries, object by object: ISO 32000-1, 7.11.4, 12.6.4 and 12.7.8; EPUB 3.3, 3.6 and 11."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, String

from inspection import making
from leadsman.inspection import active


def found(*objects: Any) -> tuple[str, ...]:
    """What a file with these objects is told to do."""
    with pikepdf.new() as pdf:
        # Copies: an object belongs to one file.
        pdf.Root.Test = Array([pdf.make_indirect(pikepdf.Object.parse(each.unparse())) for each in objects])
        return active.active_content(pdf)


@pytest.mark.parametrize(
    ("kind", "says"),
    [
        ("JavaScript", "a script"), ("Launch", "an action that starts a program"), ("GoToE", "a way into an attachment"),
        ("GoToR", "a way into another file"), ("SubmitForm", "a form that is sent away"),
        ("ImportData", "an action that reads another file"), ("Rendition", "a film or a sound"), ("Movie", "a film"),
        ("Sound", "a sound"), ("RichMediaExecute", "a film or a program"), ("GoTo3DView", "a model"),
        ("GoTo", ""), ("Named", ""), ("URI", ""), ("Hide", ""), ("SetOCGState", ""), ("Trans", ""), ("Unheard", ""),
    ],
)  # fmt: skip
def test_an_action_is_told_by_its_kind(kind: str, says: str) -> None:
    action = Dictionary(S=Name(f"/{kind}"))
    expected = (says,) if says else ()
    assert found(action) == expected
    assert found(Dictionary(Type=Name.Action, S=Name(f"/{kind}"))) == expected
    # The same word as the tag of an element is none (14.7.2).
    assert found(Dictionary(Type=Name.StructElem, S=Name(f"/{kind}"))) == ()
    # When it is opened, every action counts that does not stay on its pages, known or not.
    opened = found(Dictionary(OpenAction=action))
    harmless = kind in ("GoTo", "Named", "URI", "Hide", "SetOCGState", "Trans")
    assert ("an action when it is opened" in opened) != harmless
    assert found(Dictionary(OpenAction=Array([0, Name.Fit]))) == ()


@pytest.mark.parametrize(
    ("node", "says"),
    [
        (Dictionary(JS=String("x")), "a script"),
        (Dictionary(XFA=String("x")), "a form that is a program"),
        (Dictionary(AA=Dictionary()), "an action without a click"),
        (Dictionary(EF=Dictionary()), "an attachment"),
        (Dictionary(EmbeddedFiles=Dictionary()), "an attachment"),
        (Dictionary(Type=Name.EmbeddedFile), "an attachment"),
        *[(Dictionary(Subtype=Name(f"/{kind}"), Rect=Array([0, 0, 9, 9])), says) for kind, says in (
            ("FileAttachment", "an attachment"), ("RichMedia", "a film or a program"), ("Movie", "a film"), ("Sound", "a sound"),
            ("Screen", "a film or a sound"), ("3D", "a model"))],
    ],
)  # fmt: skip
def test_what_is_carried_is_told(node: Any, says: str) -> None:
    assert found(node) == (says,)
    # However deep it lies in other objects, in lists too.
    assert found(Dictionary(A=Array([Dictionary(B=node)]))) == (says,)


def test_a_mark_that_is_no_annotation_is_none() -> None:
    assert found(Dictionary(Subtype=Name("/3D"))) == ()
    assert found(Dictionary(Subtype=Name.Link, Rect=Array([0, 0, 9, 9]))) == ()


def test_what_a_stream_says_of_itself_counts() -> None:
    with pikepdf.new() as pdf:
        pdf.Root.Test = pdf.make_stream(b"MZ", Type=Name.EmbeddedFile)
        assert active.active_content(pdf) == ("an attachment",)


def test_each_finding_is_told_once_and_the_depth_has_an_end() -> None:
    script = Dictionary(S=Name.JavaScript, JS=String("x"))
    assert found(script, script, Dictionary(XFA=String("x"))) == ("a script", "a form that is a program")
    for levels, told in ((20, ("a script",)), (21, ())):
        node = Dictionary(JS=String("x"))
        for _ in range(levels):
            node = Dictionary(Next=node)
        assert found(node) == told


def test_a_file_is_looked_through_and_each_finding_is_a_breach() -> None:
    file = making.page()
    clean = making.outcome("AC-01", "deck", file)
    assert (clean.verdict, clean.looked_at) == ("kept", 1)
    told = making.outcome("AC-01", "deck", replace(file, active=("a script", "a film")))
    assert [(r.measured, r.says) for r in told.breaches] == [
        ("a script", "beside the pages"),
        ("a film", "beside the pages"),
    ]
    assert told.looked_at == 3


_ONE, _OPF = "EPUB/one.xhtml", "EPUB/book.opf"


@pytest.mark.parametrize(
    ("markup", "says"),
    [
        *[(f"<{name}></{name}>", f"an element {name}") for name in ("script", "iframe", "object", "embed", "applet", "form", "audio", "video")],
        ('<p onload="x()">y</p>', "an event onload"),
        ('<p ONclick="x()">y</p>', "an event onclick"),
        ('<a href="javascript:x()">y</a>', "a script in an address"),
        ('<a href=" JavaScript:x()">y</a>', "a script in an address"),
        ('<a href="data:text/html,x">y</a>', "a script in an address"),
        ('<p action="vbscript:x">y</p>', "a script in an address"),
        ('<img alt="" src="javascript:x"/>', "a script in an address"),
        ('<img alt="" src="http://example.org/a.png"/>', "a remote file"),
        ('<img alt="" src="//example.org/a.png"/>', "a remote file"),
        ('<p poster="http://example.org/a.png">y</p>', "a remote file"),
        ('<p data="http://example.org/a">y</p>', "a remote file"),
        ('<a href="http://example.org/">y</a>', ""),  # a reader sees where it leads
        ('<img alt="" src="a.png"/>', ""),
        ('<img alt="" src="data:image/png,x"/>', ""),
        ('<p title="javascript:x">y</p>', ""),
        ('<p class="on">y</p>', ""),
    ],
)  # fmt: skip
def test_a_book_runs_nothing_and_loads_nothing(tmp_path: Path, markup: str, says: str) -> None:
    outcome = making.outcome(
        "AC-01", "epub", making.epub(tmp_path, [(_ONE, "<h2>Dead unit</h2>", f"<h2>Dead unit</h2>{markup}")])
    )
    assert [(r.measured, r.file) for r in outcome.breaches] == ([(says, _ONE)] if says else [])
    assert outcome.looked_at == 2 + bool(says)  # two documents


@pytest.mark.parametrize(
    ("item", "active"),
    [
        ('href="a.js" media-type="application/javascript"', True),
        ('href="a.bin" media-type="text/script"', True),
        ('href="http://example.org/a.mp3" media-type="audio/mpeg"', True),
        ('href="//example.org/a.mp3" media-type="audio/mpeg"', True),
        ('href="a.png" media-type="image/png"', False),
    ],
)
def test_a_book_carries_no_program_and_no_remote_file(tmp_path: Path, item: str, active: bool) -> None:
    outcome = making.outcome(
        "AC-01", "epub", making.epub(tmp_path, [(_OPF, "</manifest>", f'<item id="x" {item}/></manifest>')])
    )
    assert [r.measured for r in outcome.breaches] == (["a program or a remote file"] if active else [])
