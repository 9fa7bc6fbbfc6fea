"""The handbook of the real content as an EPUB: a reader with a phone follows every answer by a touch."""

from __future__ import annotations

import posixpath
import zipfile
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urldefrag

import pytest
from lxml import etree

import built
import drawn
import validators
from leadsman.book.manual import Manual, build_manual
from leadsman.book.views import Answer
from leadsman.press.completeness import normalised

XHTML = "{http://www.w3.org/1999/xhtml}"


@cache
def manual() -> Manual:
    catalogue, verdict = built.content()
    return build_manual(built.edition(built.HANDBOOK), catalogue, verdict.waived)


@pytest.fixture(scope="module")
def epub_path(built_folder: Path) -> Path:
    """Return the finished book."""
    return built.make(built_folder, built.HANDBOOK, "epub")


@pytest.fixture(scope="module")
def documents(epub_path: Path) -> dict[str, Any]:
    """Return every XHTML document of the book by its name in the container."""
    with zipfile.ZipFile(epub_path) as book:
        return {
            name: etree.fromstring(book.read(name)) for name in book.namelist() if name.endswith(".xhtml")
        }


@pytest.fixture(scope="module")
def anchors(documents: dict[str, Any]) -> dict[str, str]:
    """Return the document that holds each id."""
    return {
        element.get("id"): name
        for name, root in documents.items()
        for element in root.iter()
        if isinstance(element.tag, str) and element.get("id")
    }


def test_epubcheck_has_nothing_to_say(epub_path: Path) -> None:
    """EPUB 3.3 and EPUB Accessibility 1.1 by epubcheck, usage notes counted."""
    assert validators.run_epubcheck(epub_path) == []


def test_every_answer_is_a_link_to_where_it_leads(documents: dict[str, Any], anchors: dict[str, str]) -> None:
    wrong = []
    for view in manual().entries:
        for step in view.steps:
            anchor = f"{view.entry.id}-step-{step.id}"
            name = anchors[anchor]
            (block,) = documents[name].xpath("//*[@id=$anchor]", anchor=anchor)
            lines = block.findall(f".//{XHTML}ul[@class='answers']/{XHTML}li")
            assert len(lines) == len(step.answers), anchor
            for line, answer in zip(lines, step.answers, strict=True):
                assert "".join(line.itertext()).strip().startswith(answer.label)
                link = line.find(f".//{XHTML}a")
                led = None if link is None else _resolved(link.get("href"), name)
                wanted = _anchor(view.entry.id, answer)
                # An entry that the edition leaves out is named by its code, without a link.
                place = None if answer.target.kind == "entry" and wanted not in anchors else anchors[wanted]
                if led != (place and (place, wanted)):
                    wrong.append(f"{anchor} {answer.label}: {led}, not {wanted}")
    assert wrong == []


def _anchor(entry: str, answer: Answer) -> str:
    target = answer.target
    kinds = {"step": "step", "fix": "fix", "hand-over": "end"}
    if target.kind == "entry" and target.at:
        return f"{target.id}-step-{target.at}"
    return target.id if target.kind == "entry" else f"{entry}-{kinds[target.kind]}-{target.id}"


def _resolved(href: str, name: str) -> tuple[str, str]:
    file, fragment = urldefrag(href)
    return posixpath.normpath(posixpath.join(posixpath.dirname(name), file)) if file else name, unquote(
        fragment
    )


def test_every_link_inside_the_book_resolves(documents: dict[str, Any], anchors: dict[str, str]) -> None:
    lost, count = [], 0
    for name, root in documents.items():
        for link in root.iter(f"{XHTML}a"):
            href = link.get("href")
            if href is None or ":" in href:
                continue
            count += 1
            file, fragment = _resolved(href, name)
            if file not in documents or (fragment and anchors.get(fragment) != file):
                lost.append(f"{name}: {href}")
    assert count > len(manual().entries)
    assert lost == []


def test_navigation_lists_every_part_and_entry(documents: dict[str, Any]) -> None:
    (navigation,) = [root for root in documents.values() if root.find(f".//{XHTML}nav[@id]") is not None
                     or root.find(f".//{XHTML}nav") is not None]  # fmt: skip
    words = " ".join(" ".join(link.itertext()) for link in navigation.iter(f"{XHTML}a"))
    for view in manual().entries:
        assert f"{view.entry.code} {view.entry.title}" in words
    for area in manual().areas:
        assert str(area.area.name) in words


def test_every_picture_has_a_text_alternative(documents: dict[str, Any]) -> None:
    """WCAG 2.2, 1.1.1: a title inside a drawing, or alt on an image; every picture is there, for epubcheck to read."""
    pictures, titles = 0, set()
    for name, root in documents.items():
        for image in root.iter(f"{XHTML}img"):
            pictures += 1
            assert (image.get("alt") or "").strip(), name
        for drawing in root.iter("{http://www.w3.org/2000/svg}svg"):
            pictures += 1
            title = drawing.find("{http://www.w3.org/2000/svg}title")
            assert drawing.get("aria-label") or (title is not None and (title.text or "").strip()), name
            titles.add(normalised("".join(title.itertext()) if title is not None else ""))
    assert pictures > 0
    drawn_titles = {
        normalised(f"{f.title}. {f.text}") for f in drawn.everything(manual().edition.units).values()
    }
    assert drawn_titles - titles == set()
