"""One owner's guide of the demo content, finished and read back: what an owner sees, and what none may see."""

from __future__ import annotations

import dataclasses
import html
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pymupdf
import pytest

import built
import small_guides
import validators
from leadsman.book.guide import GuideValues, Outline, guide_values, outline_of
from leadsman.book.guide_subject import Subject, boat_subject
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.decision import Decision
from leadsman.content.model.edition import GuideEdition
from leadsman.inspection import publish
from leadsman.output.figures import chain
from leadsman.output.guide import GuideSource, _Pictures, guide_source, lay_out, set_epub, set_pdf
from leadsman.output.guide_prose import GuideSetter, fill
from leadsman.press import boxes
from leadsman.press.completeness import normalised
from leadsman.press.gate import Refused
from leadsman.press.typeset import Typesetter

#: Three conditions show every kind of page; all of them would only take longer.
ENTRIES = ["dead-unit", "depth-flashes", "wrong-element"]
#: The same caution, step or remedy may stand at the head of several pages.
WAIVERS = {"PAG-001"}
#: Common practice for a page read at the helm, no source.
BODY_PT, LEAST_PT = 11.0, 8.0


@cache
def catalogue() -> Catalogue:
    return load(small_guides.ROOT / "content")


@cache
def edition() -> GuideEdition:
    whole = catalogue().editions["owner-guide"]
    pages = [page for page in whole.pages if page.entry in ENTRIES]
    return whole.model_copy(update={"entries": ENTRIES, "pages": pages})


@cache
def guide(units: str = "metric") -> tuple[GuideValues, Outline, GuideSource]:
    subject = dataclasses.replace(
        boat_subject(catalogue().boats["marten"], catalogue()), owner="Perpetua Rookling"
    )
    values = guide_values("marten", subject, edition(), catalogue(), units)
    outline = outline_of(values.shape, edition(), catalogue())
    return values, outline, guide_source(outline, catalogue(), small_guides.TEMPLATES)


@pytest.fixture(scope="module")
def path(typesetter: Typesetter, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the finished PDF."""
    values, _, source = guide()
    made = tmp_path_factory.mktemp("guide") / "marten.pdf"
    made.write_bytes(set_pdf(source, values.values, typesetter))
    return made


@pytest.fixture(scope="module")
def pages(path: Path) -> list[str]:
    """Return the letters of each page."""
    with pymupdf.open(path) as document:
        return [normalised(page.get_text()) for page in document]


def test_validators_have_nothing_to_say(path: Path) -> None:
    """PDF/UA-1 (ISO 14289-1) by machine; no person with a screen reader stands behind it."""
    assert validators.pdf_findings(path, skip=WAIVERS) == []


def test_the_book_for_a_phone_is_valid(tmp_path: Path) -> None:
    values, _, source = guide()
    set_epub(source, "marten", values.values, tmp_path / "marten.epub")
    assert validators.run_epubcheck(tmp_path / "marten.epub") == []
    # A sign to break the printed line by would join two sentences for the survey and for a voice.
    assert list(publish.breaches(tmp_path / "marten.epub", "epub")) == []


def test_the_cover_names_dealer_owner_and_boat(pages: list[str]) -> None:
    dealer = catalogue().dealer
    for words in (
        dealer.name,
        *dealer.address,
        dealer.phone,
        dealer.email,
        "Perpetua Rookling",
        "Marten",
        "Tideway",
    ):
        assert normalised(str(words)) in pages[0]
    assert [n for n, page in enumerate(pages) if normalised("Perpetua Rookling") in page] == [0]


def test_what_an_owner_must_never_do_stands_once_at_the_front(pages: list[str]) -> None:
    whole = "".join(pages)
    setter = GuideSetter(catalogue(), outline=guide()[1])
    for line in edition().never:
        assert whole.count(normalised(setter.plain(line))) == 1
    assert sum(normalised("Never do this") in page for page in pages[:6]) == 1


def test_help_stands_inside_the_cover_with_the_numbers_of_the_edition(pages: list[str]) -> None:
    """Channel 16 and MAYDAY: ITU Radio Regulations, article 52 and appendix 15 (from memory); 112: ETSI and EU law."""
    distress = edition().distress
    assert distress is not None
    assert normalised(f"channel {distress.channel}") in pages[1]
    assert normalised(f"telephone {distress.number}") in pages[1]
    assert pages[1].index(normalised("MAYDAY")) < pages[1].index(normalised("Where you are"))
    assert pages[1].index(normalised("Where you are")) < pages[1].index(normalised("What is wrong"))
    assert pages[1].index(normalised("Distress")) < pages[1].index(normalised("Urgent"))


def text_of(
    boat: str | None, units: str = "metric", *, wider: Catalogue | None = None, **changes: Any
) -> str:
    """Return the words of a guide's pages as the typesetter gets them: for a boat, or for a display family."""
    content = wider or catalogue()
    subject = boat_subject(content.boats[boat], content) if boat else Subject(content.families["tideway"])
    chosen = edition().model_copy(update=changes)
    values = guide_values("this", subject, chosen, content, units)
    source = guide_source(outline_of(values.shape, chosen, content), content, small_guides.TEMPLATES)
    words = html.unescape(re.sub(r"<[^>]*>", " ", fill(source.html, values.values)))
    return " ".join(words.replace("\u200b", "").split())


@pytest.mark.parametrize(
    ("units", "paper", "number"),
    [("metric", "a", "112"), ("us", "a", "911"), ("us-fathoms", "a", "911"), ("metric", "us", "911")],
)
def test_the_emergency_number_is_that_of_the_region_and_the_local_one_prevails(
    units: str, paper: str, number: str
) -> None:
    """911: the one emergency number of the United States, 47 U.S.C. 251(e)(3); 112: ETSI TS 122 101; both from memory."""
    said = text_of("marten", units, paper=paper)
    other = ({"112", "911"} - {number}).pop()
    assert f"telephone {number}, or the emergency number of where you are, and ask for the" in said
    assert "VHF radio, channel 16." in said
    assert not re.search(rf"\b{other}\b", said)
    assert ("coast guard" in said, "coastguard" in said) == (units != "metric", units == "metric")


def test_a_dealers_own_emergency_number_takes_the_place_of_the_regions() -> None:
    dealer = catalogue().dealer.model_copy(update={"emergency": "999"})
    own = dataclasses.replace(catalogue(), records={**catalogue().records, "dealer": {"dealer": dealer}})
    said = text_of("marten", "us", wider=own)
    assert "telephone 999, or the emergency number of where you are" in said
    assert "911" not in said


@pytest.mark.parametrize(
    ("boat", "fall", "least"),
    [
        ("marten", "Fall at most 0.6 V", "And at least 10.3 V"),
        ("brent", "Fall at most 1.1 V", "And at least 20.9 V"),
        (None, "Fall at most 0.6 V (24 V feed 1.1 V)", "And at least 10.3 V (24 V feed 20.9 V)"),
    ],
)
def test_a_guide_prints_the_limits_of_its_own_system(boat: str | None, fall: str, least: str) -> None:
    """A display that bears both systems is fed from one; only a guide for no one boat names both."""
    said = text_of(boat, entries=["restarts-on-transmit"], pages=[])
    assert fall in said
    assert least in said
    assert said.count("24 V feed") == (0 if boat else said.count("(24 V feed"))


def test_a_lead_that_is_too_thin_is_said_and_no_number_contradicts_it() -> None:
    """12 m of 1 mm2 leave less than the display's own least volts: then no reading below shows a bad joint."""
    said, sound = text_of("pintail"), text_of("marten")
    words = catalogue().phrases("en-GB").guide.thin_lead
    assert words in said
    assert "Have the dealer run a larger pair" in words
    assert "A longer lead is not yet a fault" not in said
    assert "See your dealer when the plug has less than" not in said
    assert words not in sound
    assert "See your dealer when the plug has less than" in sound
    assert "Volts that this unit wants there" not in sound


def test_a_guide_without_a_channel_to_call_on_is_refused() -> None:
    whole = catalogue().editions["owner-guide"].model_dump()
    with pytest.raises(ValueError, match="distress"):
        GuideEdition.model_validate({**whole, "distress": None})
    with pytest.raises(ValueError, match="channel"):
        GuideEdition.model_validate({**whole, "distress": {"channel": "", "number": "112"}})


def test_the_number_stands_large_on_the_back(path: Path, pages: list[str]) -> None:
    with pymupdf.open(path) as document:
        sizes = [
            s.size_pt
            for s in built.page_spans(document[-1])
            if normalised(s.text) in normalised(str(catalogue().dealer.phone)) and s.text.strip()
        ]
        links = [link.get("uri", "") for link in document[-1].get_links()]
    assert max(sizes) >= 24
    assert f"tel:{catalogue().dealer.dial}" in links
    assert len(pages) % 4 == 0


def test_a_guide_of_too_many_pages_is_refused(typesetter: Typesetter) -> None:
    values, _, source = guide()
    with pytest.raises(Refused, match="the edition allows 4"):
        set_pdf(dataclasses.replace(source, most_pages=4), values.values, typesetter)


def test_only_this_display_is_named_and_its_paths_stand_in_the_sentences(pages: list[str]) -> None:
    whole, family = "".join(pages), catalogue().families["tideway"]
    others = [f for f in catalogue().families.values() if f is not family]
    assert [f.name for f in others if normalised(str(f.name)) in whole] == []
    shown = set(re.findall(r'class="message">([^<]*)<', guide()[2].html))
    assert shown <= {html.escape(str(message.text)) for message in family.messages.values()}
    assert shown
    path = "".join(str(word) for word in family.menus["frequency"])
    assert normalised(f"Try each band by {path}") in whole


def test_no_words_of_a_technicians_step_are_printed(pages: list[str]) -> None:
    """What is not safe for an owner: its action, its details and its question stand nowhere."""
    whole, setter = "".join(pages), GuideSetter(catalogue(), outline=guide()[1])
    safe = {
        normalised(setter.plain(t))
        for c in guide()[1].conditions
        for s in c.steps
        for t in (s.body.do, *s.body.how)
    }
    leaked, checked = [], 0
    for name in ENTRIES:
        decision = Decision(catalogue().faults[name], catalogue())
        for check in decision.checks.values():
            if check.body.owner_safe:
                continue
            for text in (check.body.do, *check.body.how):
                words = normalised(setter.plain(text))
                checked += 1
                if len(words) > 25 and words in whole and words not in safe:
                    leaked.append((name, check.id, str(text)))
    assert checked > 30
    assert leaked == []


def test_every_step_remedy_and_number_is_printed(pages: list[str]) -> None:
    values, outline, _ = guide()
    whole, setter = "".join(pages), GuideSetter(catalogue(), family=outline.family, outline=outline)
    wanted = [
        setter.plain(t)
        for c in (page.condition for page in outline.placed.pages)
        for s in c.steps
        for t in (s.body.do, s.body.see)
    ]
    wanted += [setter.plain(t) for m in outline.placed.methods for t in (m.do, *m.how)]
    wanted += [
        setter.plain(t) for p in outline.placed.pages for k in p.looks for t in (k.do, k.see, k.otherwise)
    ]
    wanted += [
        setter.plain(t)
        for c in (page.condition for page in outline.placed.pages)
        for f in c.fixes
        for t in (*f.finding.remedy, f.finding.proof)
    ]
    wanted += list(values.values.values())
    # A text may be torn by a page's head and foot.
    assert [text for text in wanted if normalised(text) not in whole and len(text) < 60] == []


def test_us_units_are_us_units_throughout(typesetter: Typesetter) -> None:
    values, _, source = guide("us")
    data = set_pdf(source, values.values, typesetter)
    with pymupdf.open(stream=data) as document:
        text = " ".join(page.get_text() for page in document)
    assert " ft" in text.replace("\u202f", " ")
    assert re.findall(r"\d\s?(?:m|°C|mm)\b(?!²)", text.replace("\u202f", " ")) == []


def test_a_guide_on_half_letter_paper(typesetter: Typesetter) -> None:
    """ANSI/ASME Y14.1 size A is 8.5 in by 11 in; half of it is 5.5 in by 8.5 in, 396 pt by 612 pt."""
    values, outline, _ = guide("us")
    paper = dataclasses.replace(outline, edition=outline.edition.model_copy(update={"paper": "us"}))
    source = guide_source(paper, catalogue(), small_guides.TEMPLATES)
    with pymupdf.open(stream=set_pdf(source, values.values, typesetter)) as document:
        sizes = {(round(page.rect.width), round(page.rect.height)) for page in document}
    assert sizes == {(396, 612)}


@pytest.mark.parametrize(
    ("boat", "paper", "units"),
    [
        *((boat, "us", "us") for boat in ("marten", "corrie", "sedge", None)),
        ("corrie", "a", "metric"),
        (None, "a", "metric"),
    ],
)
def test_the_whole_guide_is_within_its_pages_on_either_paper(
    typesetter: Typesetter, boat: str | None, paper: str, units: str
) -> None:
    """Half letter is 8 mm narrower than A5: there the guide once ran to 28 pages, and none could be made.

    So each kind of guide is laid out on it, and on A5 the one that takes longest to lay out, and the one that a build
    of the edition makes for a display with both systems of volts.
    """
    content = catalogue()
    chosen = content.editions["owner-guide"].model_copy(update={"paper": paper})
    subject = boat_subject(content.boats[boat], content) if boat else Subject(content.families["tideway"])
    values = guide_values("this", subject, chosen, content, units)
    source = guide_source(outline_of(values.shape, chosen, content), content, small_guides.TEMPLATES)
    layout, _ = lay_out(source, fill(source.html, values.values), typesetter, "the guide")
    assert len(layout.document.pages) == chosen.most_pages


def test_no_line_holds_one_word_alone_behind_a_menu_path(typesetter: Typesetter) -> None:
    """The engine broke "LIST key > Sounding > Band. / Take / the higher in the shallows" after the first word."""
    content = catalogue()
    changes = {"entries": ["no-bottom-deep", "depth-flashes", "restarts-on-transmit", "range-or-gate"]}
    pages = [page for page in content.editions["owner-guide"].pages if page.entry in changes["entries"]]
    chosen = edition().model_copy(update={**changes, "pages": pages})
    for boat in ("sedge", "pintail", "corrie"):
        values = guide_values("this", boat_subject(content.boats[boat], content), chosen, content, "metric")
        source = guide_source(outline_of(values.shape, chosen, content), content, small_guides.TEMPLATES)
        layout = typesetter.lay_out(
            fill(source.html, values.values), source.css, title="t", language="en-GB", target="the guide"
        )
        alone = [
            (boat, words)
            for page in layout.document.pages
            for lines in paragraphs(boxes.page_box(page), ("do", "see"))
            for words in lines[:-1]
            if len(words.split()) < 2
        ]
        assert alone == []
        last = [
            lines[-1]
            for page in layout.document.pages
            for lines in paragraphs(boxes.page_box(page), ("see",))
        ]
        assert [words for words in last if len(words.split()) < 2 and len(words) < 9] == []


def paragraphs(box: Any, kinds: tuple[str, ...]) -> Iterator[list[str]]:
    """Return the lines of each paragraph of these classes, as they were laid out."""
    box = getattr(box, "_box", box)
    element = getattr(box, "element", None)
    kind = element.get("class") if element is not None else None
    children = list(box.all_children()) if hasattr(box, "children") else []
    if kind in kinds and children and type(children[0]).__name__ == "LineBox":
        yield [words_of(line) for line in children]
        return
    for child in children:
        yield from paragraphs(child, kinds)


def words_of(box: Any) -> str:
    box = getattr(box, "_box", box)
    if boxes.is_text(box):
        return str(box.text).replace("\u200b", "").replace("\u00a0", " ")
    return "".join(map(words_of, box.all_children())) if hasattr(box, "children") else ""


def test_a_chart_is_drawn_where_a_page_names_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Charts take seconds, and no page of an owner's guide has had one yet."""
    monkeypatch.setattr("leadsman.output.figures.SLOW", (chain.chain,))
    outline = guide()[1]
    for picture in (None, "chain"):
        pages = [page.model_copy(update={"picture": picture}) for page in edition().pages]
        asked = dataclasses.replace(outline, edition=edition().model_copy(update={"pages": pages}))
        pictures = _Pictures(asked, catalogue())
        assert (pictures.holds("chain"), pictures.holds("pin-states")) == (picture is not None, True)


def test_letters_are_large_and_links_lead_somewhere(path: Path) -> None:
    sizes: dict[float, int] = {}
    with pymupdf.open(path) as document:
        for page in document:
            for span in built.page_spans(page):
                sizes[round(span.size_pt, 1)] = sizes.get(round(span.size_pt, 1), 0) + len(span.text)
        assert built.unresolved_links(document) == []
        marks: list[Any] = document.get_toc()
    assert max(sizes, key=lambda size: sizes[size]) >= BODY_PT
    assert min(sizes) >= LEAST_PT
    titles = [normalised(title) for _, title, _ in marks]
    assert [e for e in ENTRIES if normalised(str(catalogue().faults[e].title)) not in titles] == []


def test_the_picture_of_a_message_leads_to_the_list_of_messages() -> None:
    """Which message it is decides the page: one page for all would be wrong for most."""
    wider = edition().model_copy(update={"entries": [*ENTRIES, "no-sensor"]})
    values = guide_values(
        "marten", boat_subject(catalogue().boats["marten"], catalogue()), wider, catalogue(), "metric"
    )
    source = guide_source(outline_of(values.shape, wider, catalogue()), catalogue(), small_guides.TEMPLATES)
    page = source.html
    assert '<a href="#guide-messages">A message stands on the screen</a>' in page
    assert 'id="guide-messages"' in page
