"""The finished handbook of the real content as a PDF: found, read and cited by page."""

from __future__ import annotations

import os
import subprocess
import sys
from collections import Counter, defaultdict
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pymupdf
import pytest

import built
import validators
from leadsman.book.manual import Manual, build_manual
from leadsman.book.rungs import GRAVE, first_words, hazard, ladder_of
from leadsman.book.views import likeliest
from leadsman.output.figures import figures
from leadsman.output.handbook import Part, handbook_parts, printed_parts
from leadsman.output.prose_html import Setter
from leadsman.output.table_rows import HALF, below, letters_mm, table_rows
from leadsman.press.completeness import normalised

#: Common practice for a book read at a bench, no source.
BODY_PT, LEAST_PT = 10.0, 8.0


@cache
def manual() -> Manual:
    catalogue, verdict = built.content()
    return build_manual(built.edition(built.HANDBOOK), catalogue, verdict.waived)


@cache
def parts() -> list[Part]:
    return printed_parts(handbook_parts(manual(), built.content()[0], built.ROOT / "templates"))


@cache
def setter() -> Setter:
    # As in the book: numbers of menus link to their list.
    return Setter(built.content()[0], manual().edition.units)


@pytest.fixture(scope="module")
def handbook_path(built_folder: Path) -> Path:
    """Return the finished file."""
    return built.make(built_folder, built.HANDBOOK, "pdf")


@pytest.fixture(scope="module")
def document(handbook_path: Path) -> Any:
    """Return the finished file, opened."""
    return pymupdf.open(handbook_path)


@pytest.fixture(scope="module")
def pages(document: Any) -> list[str]:
    """Return the letters of each page."""
    return [built.page_letters(page).text for page in document]


@pytest.fixture(scope="module")
def printed(document: Any) -> str:
    """Return all letters, without the running lines that would split a text at a page break."""
    running = {normalised(line) for line in _running_lines(document)}
    bodies = []
    for page in document:
        height = page.rect.height
        spans = built.page_spans(page)
        body = [s for s in spans if s.bottom_mm >= 12 and s.top_mm <= height * built.MM_PER_PT - 11]
        bodies.append(normalised("".join(s.text for s in body)))
    assert running, "no running line was found"
    return "".join(bodies)


def _running_lines(document: Any) -> list[str]:
    return [s.text for page in document for s in built.page_spans(page) if s.bottom_mm < 12]


def test_validators_have_nothing_to_say(handbook_path: Path) -> None:
    """PDF/UA-1 (ISO 14289-1) by machine, waivers by name; no person with a screen reader stands behind it."""
    assert validators.pdfua_findings(handbook_path) == []
    assert validators.outloud_findings(handbook_path, skip=built.HANDBOOK_WAIVERS) == []


def test_bookmarks_lead_to_every_part_entry_table_and_picture(document: Any, pages: list[str]) -> None:
    marks = {normalised(title): page for _, title, page in document.get_toc()}
    wanted = [part.title for part in parts()]
    wanted += [section.title for part in parts() for section in part.sections]
    assert [title for title in wanted if normalised(title) not in marks] == []
    assert [title for title in wanted if normalised(title) not in pages[marks[normalised(title)] - 1]] == []


def test_page_numbers_in_the_contents_are_right(document: Any) -> None:
    """Each line of the contents names the page that its link opens and that this page prints at its foot."""
    names = document.resolve_names()
    lines: dict[int, dict[str, list[Any]]] = defaultdict(lambda: defaultdict(list))
    after = document.resolve_names()[parts()[0].id]
    for number in _contents_pages(document):
        for link in document[number].get_links():
            if number == after["page"] and document[number].rect.height - link["from"].y0 < after["to"][1]:
                continue  # Below the heading of the part that goes on there.
            if link["kind"] == pymupdf.LINK_URI:
                continue  # The dealer's number on the title page.
            lines[number][link.get("nameddest") or link["name"]].append(link["from"])
    targets = [target for found in lines.values() for target in found]
    # Conditions are listed; checks stand in the order of the alphabet, tables and pictures have lists of their own.
    listed = [part for part in parts() if part.children]
    wanted = ["behind", *(part.id for part in parts()), *(s.anchor for part in listed for s in part.sections)]
    assert sorted(set(targets)) == sorted(wanted)
    wrong = []
    for number, found in lines.items():
        for target, rects in found.items():
            says = _number_after(document[number], rects)
            opened = names[target]["page"]
            if says != str(opened + 1) or _printed_number(document[opened]) != str(opened + 1):
                wrong.append(f"{target}: says {says}, opens {opened + 1}")
    assert wrong == []


def _contents_pages(document: Any) -> list[int]:
    first = next(page for _, title, page in document.get_toc() if title == "Contents") - 1
    after = next(page for _, title, page in document.get_toc() if title == parts()[0].title) - 1
    return list(range(first, after + 1))


def _number_after(page: Any, rects: list[Any]) -> str:
    """The number that follows a link on its lines: in two columns the next one to its right."""
    top, bottom, right = min(r.y0 for r in rects), max(r.y1 for r in rects), max(r.x1 for r in rects)
    words = [w for w in page.get_text("words") if w[4].isdigit() and top <= (w[1] + w[3]) / 2 <= bottom]
    return min(((w[0], w[4]) for w in words if w[0] >= right), default=(0.0, ""))[1]


def _printed_number(page: Any) -> str:
    """The number in the outer corner at the foot: left on a left page."""
    is_left = page.number % 2 == 1
    foot = [w for w in page.get_text("words") if w[1] > page.rect.height * 0.95]
    corner = [w[4] for w in foot if (w[0] < page.rect.width * 0.2) == is_left and w[4].isdigit()]
    return corner[0 if is_left else -1] if corner else ""


def test_links_resolve(document: Any) -> None:
    assert built.unresolved_links(document) == []


def test_every_text_of_every_entry_is_printed(printed: str) -> None:
    # A card names another condition by its code.
    plain, missing = replace(setter(), titles=False).plain, []
    for view in manual().entries:
        entry = view.entry
        words = [f"{entry.code} {entry.title}", plain(entry.condition.seen)]
        words += [
            plain(text) for text in (*entry.condition.tells_apart, *entry.condition.looks_like.values())
        ]
        words += [
            line.cause + " ".join(map(str, line.percent if len(set(line.percent)) > 1 else line.percent[:1]))
            for line in likeliest(view.likelihoods)
        ]
        for step in view.steps:
            body, shared = step.check.body, step.check.shared
            # How a shared check is done stands once, in the chapter of the checks.
            method = [*body.how, *([body.note] if body.note else [])] if shared is None else []
            words += [plain(text) for text in (body.do, body.see, *method)]
            words += [plain(answer.means) for answer in step.answers if answer.means]
        for fix in view.fixes:
            words += [plain(text) for text in (fix.finding.says, *fix.finding.remedy, fix.finding.proof)]
        for end in view.hand_overs:
            # What to record stands on the form; the book says which, and what cannot be had later.
            words += [plain(end.hand_over.says), plain(end.hand_over.to), f"Form {entry.code}."]
            (here,) = (e for e in ladder_of(view, built.content()[0]).ends if e.id == end.id)
            words += [fact.strip("?") for fact in here.facts]
        grave = [caution for _, caution in view.cautions if caution.signal in GRAVE]
        words += [plain(text) for caution in grave for text in (hazard(caution), first_words(caution))]
        missing += [f"{entry.code}: {text[:60]}" for text in words if normalised(text) not in printed]
    assert missing == []


def test_every_shared_check_is_printed_once_in_full(printed: str) -> None:
    plain, missing = setter().plain, []
    for method in manual().methods:
        words = [method.title, *map(plain, (method.do, method.see, *method.how, *method.tools))]
        words += [plain(caution.short) for _, caution in method.cautions]
        missing += [f"{method.id}: {text[:60]}" for text in words if normalised(text) not in printed]
    assert missing == []


def test_every_caution_is_printed_in_full_once(printed: str) -> None:
    """Hazard, what comes of it and how to avoid it (ANSI Z535.6, from memory): before the first condition."""
    plain, catalogue = setter().plain, built.content()[0]
    missing = [
        name for name, caution in catalogue.cautions.items()
        for text in (caution.hazard, caution.result, caution.avoid) if normalised(plain(text)) not in printed
    ]  # fmt: skip
    assert missing == []


def test_pages_named_beside_links_are_right(document: Any) -> None:
    """ "Method: ..., page n" and "see also ..., page n" name the page that their link opens."""
    names = document.resolve_names()
    wrong, seen = [], 0
    for page in document:
        words = page.get_text("words")
        for link in page.get_links():
            target = link.get("nameddest") or link.get("name")
            after = [w for w in words if abs(w[1] - link["from"].y0) < 6 and w[0] >= link["from"].x1 - 2]
            after.sort(key=lambda w: w[0])
            if (len(after) >= 3 and [after[0][4], after[1][4]] == [",", "page"]) or (
                len(after) >= 2 and after[0][4] == "page"
            ):
                number = next(w[4] for w in after if w[4].strip(";.").isdigit()).strip(";.")
                seen += 1
                if number != str(names[target]["page"] + 1):
                    wrong.append(f"page {page.number + 1}: {target} says {number}")
    assert wrong == []
    assert seen > 20


def test_signs_lead_to_their_entries(printed: str) -> None:
    for heading, rows in manual().signs:
        start = printed.find(normalised(heading))
        for words, entry in rows:
            leads = normalised(f"{entry.code} {entry.title}")
            before = "First of all, page" if entry.condition.danger(words) else ""
            at = printed.find(normalised(f"{words}: {before}"), start)
            told = printed[at : at + 300]
            assert at >= 0, words
            assert leads in told if before else told.startswith(normalised(f"{words}: ") + leads), words


def test_no_reference_is_printed_as_written(document: Any) -> None:
    assert [page.number + 1 for page in document if "{" in page.get_text()] == []


def test_tables_and_pictures_are_listed_with_their_pages(document: Any) -> None:
    """They follow each other as they fill the pages: whoever looks for one by its name finds it in the list."""
    names, titles = document.resolve_names(), {title: page for _, title, page in document.get_toc()}
    drawn = figures(built.content()[0], manual().edition.units)
    lists = {
        "Tables": [f"table-{name}" for name in manual().tables],
        "Pictures": [f"picture-{f.id}" for f in drawn],
    }
    for part, anchors in lists.items():
        found: dict[str, tuple[Any, list[Any]]] = {}
        for page in list(document)[titles[part] - 1 : titles[part] + 2]:
            for link in page.get_links():
                its_page, boxes = found.setdefault(link.get("nameddest", ""), (page, []))
                # The list comes first; a table below it may name the same place again.
                if its_page is page and (not boxes or abs(link["from"].y0 - boxes[-1].y0) < 15):
                    boxes.append(link["from"])
        for anchor in anchors:
            assert _number_after(*found[anchor]) == str(names[anchor]["page"] + 1), anchor


def test_each_table_stands_once_and_two_in_a_row_have_room() -> None:
    rows = table_rows(manual().tables, 115.0)
    assert sorted(name for row in rows for name, _ in row.tables) == sorted(manual().tables)
    pairs = [row for row in rows if len(row.tables) == 2]
    assert pairs
    for row in pairs:
        assert all(letters_mm(table) <= HALF * 115.0 for _, table in row.tables)
        assert row.shared == (below(row.tables[0][1]) == below(row.tables[1][1]))


def test_at_most_ten_pages_stand_before_the_first_condition(document: Any) -> None:
    """Whoever opens the book at a boat wants the card; what is looked up first stands on the last pages."""
    first = manual().entries[0].entry
    assert document.resolve_names()[first.id]["page"] <= 10


def test_each_condition_has_its_code_in_the_outer_corner_of_its_first_page(document: Any) -> None:
    """Of an area's first condition too, whose page an opener begins: a thumb looks for the code there."""
    names, found = document.resolve_names(), {}
    for view in manual().entries:
        page = document[names[view.entry.id]["page"]]
        words = [w[4] for w in page.get_text("words") if w[3] < page.rect.height * 0.06]
        found[str(view.entry.code)] = words[:1]
    assert found == {code: [code] for code in found}


def test_every_table_is_printed_with_all_its_cells(document: Any, printed: str) -> None:
    for table in manual().tables.values():
        for row, cells in zip(table.row_heads, table.cells, strict=True):
            line = normalised("".join([str(row), *(cell.text for cell in cells)]))
            assert line in printed, f"{table.table.title}: the row {row}"
        assert normalised(setter().plain(table.table.convention)) in printed


def test_every_picture_has_its_text_alternative(handbook_path: Path, printed: str) -> None:
    """WCAG 2.2, 1.1.1; the text below the picture, or the table or chapter that it names, says the same to everybody."""
    alternatives = [normalised(text) for text in built.figure_alternatives(handbook_path)]
    drawn = figures(built.content()[0], manual().edition.units)
    assert len(alternatives) >= len(drawn)
    assert all(alternatives), "a picture without a text alternative"
    for figure in drawn:
        assert any(normalised(figure.text) in text for text in alternatives), figure.id
        said = figure.caption if figure.told_in else figure.text
        assert normalised(said) in printed, figure.id


def test_every_message_of_every_display_leads_to_its_entry(printed: str) -> None:
    catalogue, _ = built.content()
    start = printed.rfind(normalised("Every message of every display"))
    assert start >= 0
    for family in catalogue.families.values():
        for message_id, message in family.messages.items():
            found = [
                view.entry
                for view in manual().entries
                if message_id in view.entry.condition.messages.get(family.id, ())
            ]
            if not found:
                assert len(manual().entries) < len(catalogue.faults)
                continue
            (entry,) = found
            line = normalised(f"{message.text}{family.name}{entry.code}{entry.title}")
            assert printed.find(line, start) >= 0, f"{family.name}: {message.text}"


def test_body_is_large_enough_and_nothing_is_tiny(document: Any) -> None:
    letters: Counter[float] = Counter()
    tiny = []
    for page in document:
        for span in built.page_spans(page):
            letters[round(span.size_pt, 1)] += len(span.text)
            if span.size_pt < LEAST_PT - 0.01:
                tiny.append(f"page {page.number + 1}: {span.size_pt:.1f} pt '{span.text[:40]}'")
    assert letters.most_common(1)[0][0] >= BODY_PT
    assert tiny == []


def test_a_process_that_has_checked_nothing_sets_the_waivers(repository: Path) -> None:
    """A worker of a build takes the verdict from its parent: the rules that a waiver names are known to it all the same."""
    code = (
        "from pathlib import Path\n"
        "from leadsman.book.manual import build_manual\n"
        "from leadsman.content.catalogue import load\n"
        "from leadsman.output.handbook import handbook_parts\n"
        "catalogue = load(Path('content'))\n"
        "edition = catalogue.editions['handbook'].model_copy(update={'entries': ['dead-unit']})\n"
        "manual = build_manual(edition, catalogue, reports=False)\n"
        "part, = handbook_parts(manual, catalogue, Path('templates'), only='area-power')\n"
        "assert catalogue.faults['dead-unit'].waivers\n"
        "print(part.children[0].html)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], cwd=repository, env={**os.environ, "PYTHONPATH": str(repository / "build")},
        capture_output=True, text=True, timeout=200,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr[-1500:]
    assert ran.stdout.count("Not here:") == len(built.content()[0].faults["dead-unit"].waivers)
