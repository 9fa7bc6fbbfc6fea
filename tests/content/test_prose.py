"""The inline references, what is refused beside them, loose numbers, and the count of sentences and words.

The limits of 20 and 25 words are those of ASD-STE100, issue 8, rules 5.1 and 6.3 (from memory).
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leadsman.compute.unit_table import UNITS
from leadsman.content.prose import (
    KINDS,
    Reference,
    faults,
    loose_numbers,
    named,
    references,
    replace,
    segments,
    sentences,
    words,
)


def test_references_are_found_in_order_with_their_offsets() -> None:
    text = "Take {card: dead-unit}, wait {value:  wait-time } and {message: plain\n  no-depth}."
    assert references(text) == [
        Reference("card", "dead-unit", 5),
        Reference("value", "wait-time", 29),
        Reference("message", "plain no-depth", 54),
    ]
    assert replace(text, lambda r: f"<{r.kind}>") == "Take <card>, wait <value> and <message>."


def test_what_texts_refer_to_is_named_once_in_order() -> None:
    texts = ["{menu: gain} and {table: reach}", "{menu: transmit-on}, then {menu: gain}", ""]
    assert named(texts, "menu") == ["gain", "transmit-on"]
    assert named(texts, "card") == []


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_of_reference_is_allowed(kind: str) -> None:
    assert list(faults(f"See {{{kind}: some-thing}}.")) == []


@pytest.mark.parametrize(
    ("text", "offset", "what", "hint"),
    [
        ("Wait {valu: x}.", 5, "'valu' is no kind of reference", "did you mean {value: x}?"),
        ("Wait {zzz: x}.", 5, "'zzz' is no kind of reference", "use one of value, menu"),
        ("Wait {value: }.", 5, "{value: } names nothing", "the name of a value"),
        ("Wait {value x}.", 5, "has a stray brace", "{kind: name}"),
        ("Wait x}.", 6, "has a stray brace", "{kind: name}"),
        ("Use <b>force</b>.", 4, "holds '<b>'", "HTML"),
        ("Use <script", 4, "holds '<script'", "HTML"),
        ("Use <!-- this -->.", 4, "holds '<!-- this -->'", "HTML"),
        ("See [there](page).", 4, "holds '[there](page)'", "{card: id}"),
        ("See ![it](x).", 4, "holds '![it]'", "pictures"),
        ("See https://a.example/b now.", 4, "holds 'https://a.example/b'", "sources.yaml"),
        ("Take {% if x %}.", 5, "holds '{%'", "template"),
        ("Type `this`.", 5, "holds '`'", "plainly"),
        ("{card: a} and <i>.", 14, "holds '<i>'", "HTML"),
        ("{card: a} {card: b} }", 20, "has a stray brace", "{kind: name}"),
    ],
)
def test_what_is_refused_at_its_character(text: str, offset: int, what: str, hint: str) -> None:
    found = [fault for fault in faults(text) if fault.what == what]
    assert found, list(faults(text))
    assert found[0].offset == offset
    assert hint in found[0].hint


@pytest.mark.parametrize(
    "text", ["", "Plain words.", "If it is < then >, stop.", "**Bold** words.", "- one\n- two", "[x] (y)"]
)
def test_plain_text_is_allowed(text: str) -> None:
    assert list(faults(text)) == []


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Wait 10 min.", "10 min"), ("Wait 10min.", "10min"), ("Keep 0.3 V.", "0.3 V"), ("Keep 0,3 V.", "0,3 V"),
        ("Keep -5 °C.", "-5 °C"), ("Below 3 % it fails.", "3 %"), ("Use 10-20 A.", "10-20 A"),
        ("Use 10 to 20 A.", "10 to 20 A"), ("A 5-minute wait.", "5-minute"), ("Hear 200 kHz.", "200 kHz"),
        ("Wait two minutes.", "two minutes"), ("Keep Two metres.", "Two metres"), ("Wait half an hour.", "half an hour"),
        ("At 1500 rpm it goes.", "1500 rpm"), ("Use 12 V.", "12 V"), ("A 12 volt lamp.", "12 volt"),
        ("Use 1.5 mm2.", "1.5 mm2"), ("Use 16 AWG.", "16 AWG"), ("Read 2 Mohm.", "2 Mohm"),
        ("Go {card: a}, wait 10 s.", "10 s"),
    ],
)  # fmt: skip
def test_a_loose_number_is_found_where_it_stands(text: str, found: str) -> None:
    ((offset, number),) = loose_numbers(text)
    assert number == found
    assert text[offset : offset + len(number)] == number


@pytest.mark.parametrize(
    "text",
    [
        "Try it three times.", "Both people look.", "Wait {value: wait-time}.", "Step 3 says so.", "Two people.",
        "Plugs 12 apart.", "Read 12 a second time.", "Sizes 3 S.", "See A6 and B12V.", "Use pins 1 and 2.",
        "Item 1.2.3 mm", "Fit one fuse.", "A 12 vote.",
    ],
)  # fmt: skip
def test_what_is_no_quantity_is_left_alone(text: str) -> None:
    assert loose_numbers(text) == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("One. Two? Three!", ["One.", "Two?", "Three!"]),
        ("One: two; three", ["One:", "two;", "three"]),
        ("Keep 0.3 as it is.", ["Keep 0.3 as it is."]),
        ("- one\n- two\n", ["one", "two"]),
        ("Wait {value: a. b}. Go.", ["Wait X.", "Go."]),
        ("", []),
        (" \n ", []),
    ],
)
def test_sentences(text: str, expected: list[str]) -> None:
    parts = sentences(text)
    assert [part.removeprefix("- ") for part in parts] == expected


@pytest.mark.parametrize(
    ("sentence", "count"),
    [
        ("One two three.", 3),
        ("Fuse-holder and owner's plug", 4),
        ("X, Y - Z", 3),
        ("", 0),
        ("12.5 % of it", 3),
        ("...", 0),
    ],
)
def test_words(sentence: str, count: int) -> None:
    assert words(sentence) == count


TEXTS = st.text(alphabet="ab {}:<>![]()%`*-.,;?1250Vms\n°", max_size=60)


@settings(max_examples=300)
@given(TEXTS)
def test_pieces_make_up_the_text_and_nothing_raises(text: str) -> None:
    end = 0
    for piece in segments(text):
        if isinstance(piece, Reference):
            assert text[piece.offset] == "{"
            assert piece.offset == end
            end = text.index("}", end) + 1
        else:
            assert text[end : end + len(piece)] == piece
            end += len(piece)
    assert end == len(text)


@settings(max_examples=300)
@given(TEXTS)
def test_every_fault_and_number_lies_in_the_text(text: str) -> None:
    for fault in faults(text):
        assert 0 <= fault.offset < len(text)
        assert fault.what
        assert fault.hint
    for offset, number in loose_numbers(text):
        assert text[offset : offset + len(number)] == number


@settings(max_examples=200)
@given(TEXTS)
def test_no_brace_passes_unless_it_belongs_to_a_reference(text: str) -> None:
    outside = "".join(piece for piece in segments(text) if not isinstance(piece, Reference))
    strays = [fault for fault in faults(text) if fault.what == "has a stray brace"]
    assert len(strays) == outside.count("{") + outside.count("}")


@given(
    st.lists(
        st.lists(st.sampled_from(["alpha", "fuse-holder", "it's", "X9"]), min_size=1, max_size=9), max_size=5
    )
)
def test_words_and_sentences_are_counted_as_they_were_written(text: list[list[str]]) -> None:
    written = " ".join(" ".join(sentence) + "." for sentence in text)
    assert [words(sentence) for sentence in sentences(written)] == [len(sentence) for sentence in text]


@pytest.mark.parametrize("unit", sorted(set(UNITS) - {"1", "in", "us", "K"}))
def test_a_number_with_any_unit_of_the_list_stands_loose(unit: str) -> None:
    """A unit that is added to the list is known to the rule; "12 in the list" and "tell us" are no quantities."""
    assert loose_numbers(f"Reads 12 {unit} or more.")
    assert loose_numbers("Take 12 in the list, and tell 3 us.") == []
