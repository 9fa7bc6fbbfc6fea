"""Grids, curves and lists in pictures, held against the tables and records of the content."""

import re

import pytest
from lxml import etree

import built
import drawn
from leadsman.book.computed import compute_table
from leadsman.book.swap_card import swap_card
from leadsman.output.figures.drawing import LINE
from leadsman.output.figures.pins import pins_of
from leadsman.output.figures.places import place
from leadsman.output.figures.suitability import HATCHING, lines


def test_the_grid_holds_every_word_of_the_table_from_high_to_low_bands() -> None:
    catalogue, _ = built.content()
    table = compute_table(catalogue.tables["suitability-harrow-bank"], catalogue)
    found = lines(table, built.content()[0].phrases().links)
    assert [line.frequency_khz for line in found] == sorted(
        (line.frequency_khz for line in found), reverse=True
    )
    figure = drawn.everything()["suitability-harrow-bank"]
    shown = [label.words for label in drawn.labels(figure)]
    # The key names each word once more.
    for word in HATCHING:
        cells = sum(cell.text.partition(": ")[0] == word for row in table.cells for cell in row)
        assert shown.count(word) == cells + 1
    reasons = [cell.text.partition(": ")[2] for row in table.cells for cell in row if ": " in cell.text]
    assert all(shown.count(reason) == reasons.count(reason) for reason in set(reasons))


def test_worse_is_hatched_denser() -> None:
    """Told apart without colour: ink over paper grows from good to none."""
    ink = [len(angles) / spacing if spacing else 0.0 for spacing, angles in HATCHING.values()]
    assert list(HATCHING) == ["good", "fair", "poor", "none"]
    assert ink == sorted(ink)
    assert len(set(ink)) == 4


def test_the_pins_are_those_of_the_pin_table() -> None:
    catalogue, _ = built.content()
    transducer = catalogue.transducers["td-70-190"]
    pairs = [*(str(pin.pair) for pin in transducer.pins), str(transducer.insulated)]
    figure = drawn.everything()["plug-pins"]
    for pair in pairs:
        assert pair in figure.text
    brackets = [
        sorted(x for x, _ in points)
        for points in drawn.of_width(figure, LINE)
        if points[0][1] == points[1][1]
    ]
    assert len(brackets) == len(pairs)
    pitch = 84.0 / 7
    named = [(1, 2), (3, 4), (1, 5), (6, 7), (6, 8)]
    for (first, last), (low, high) in zip(named, brackets, strict=True):
        assert abs(low - (5 + (first - 1) * pitch)) < 0.02
        assert abs(high - (5 + (last - 1) * pitch)) < 0.02
    assert pins_of.__doc__


def test_the_swap_matrix_has_a_sign_for_each_part_that_a_swap_exchanges_or_brings() -> None:
    card = swap_card(built.content()[0])
    figure = drawn.everything()["swap-matrix"]
    squares = figure.drawing.count('width="4" height="4"')
    # Two squares more stand in the key.
    assert squares == sum(len(swap.exchanged) + len(swap.brought) for swap in card.swaps) + 2
    for swap in card.swaps:
        suspects = ", ".join(part.name for part in swap.meanings[0].suspects).lower()
        assert f"leaves as suspects: {suspects}" in figure.text


def test_the_longest_run_says_the_rounded_numbers_of_the_table() -> None:
    catalogue, _ = built.content()
    table = compute_table(catalogue.tables["longest-run-3-metric"], catalogue)
    text = drawn.everything()["longest-run"].text
    row = table.row_heads.index("2\u202fA")
    assert all(cell.text.replace("\u202f", " ") in text for cell in table.cells[row])


def test_each_picture_stands_once_and_beside_the_entry_that_has_it_on_its_card() -> None:
    catalogue, _ = built.content()
    entries = list(catalogue.faults.values())
    places = place(list(drawn.everything().values()), entries)
    homes = {figure.id: entry for entry, found in places.beside_entry.items() for figure in found}
    assert sorted([*homes, *(figure.id for figure in places.alone)]) == sorted(drawn.everything())
    assert {entry.card_picture: entry.id for entry in entries if entry.card_picture} == {
        name: homes[name] for name in homes if any(e.card_picture == name for e in entries)
    }
    for entry, named in places.named_by.items():
        assert all(homes[figure.id] != entry for figure in named)


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_depths_of_the_bars_are_those_of_the_tables(units: str) -> None:
    """Of the displays that take the transducer, the one that shows least; of a range, the end that is certain."""
    catalogue, _ = built.content()
    low, high = (
        compute_table(catalogue.tables[name], catalogue, units)
        for name in ("shallowest-depth", "deepest-depth")
    )
    for column, water in enumerate(high.columns):
        text = drawn.everything(units)[f"depths-{water.record_id}"].text
        for row, item in enumerate(low.rows):
            takes = [
                n for n, family in enumerate(low.columns)
                if item.record_id.partition("/")[0] in catalogue.families[family.record_id].transducers
            ]  # fmt: skip
            least = max(float(last(low.cells[row][n].text)) for n in takes)
            greatest = first(high.cells[row][column].text)
            said = f"{high.row_heads[row]} reads from {least:.1f} {low.cells[row][0].unit} down to {greatest} ".replace(
                "\u202f", " "
            )
            assert said in text


def first(text: str) -> str:
    return re.split("[\N{EN DASH}\u202f]", text)[0]


def last(text: str) -> str:
    return re.split("[\N{EN DASH}\u202f]", text)[-2]


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("name", ["harrow-bank", "lake-vessany", "tolmer-estuary"])
def test_no_word_of_the_grid_and_no_ground_of_one_crosses_the_frame_of_its_cell(
    name: str, units: str
) -> None:
    figure = drawn.everything(units)[f"suitability-{name}"]
    frames = sorted({p[0][0] for _, p in drawn.strokes(figure) if len(p) == 2 and p[0][0] == p[1][0]})
    foot = max(p[1][1] for _, p in drawn.strokes(figure) if len(p) == 2 and p[0][0] == p[1][0])
    grounds = [
        (float(r.get("x")), float(r.get("x")) + float(r.get("width")))
        for r in etree.fromstring(figure.drawing.encode()).iter(f"{drawn.SVG}rect")
    ]
    words = [
        (label.left, label.right) for label in drawn.labels(figure) if label.bottom < foot and label.top > 9.5
    ]
    assert grounds
    assert [
        (left, right, x) for left, right in [*grounds, *words] for x in frames if left - 0.2 < x < right + 0.2
    ] == []


def test_the_black_signs_of_a_swap_are_the_suspects_that_the_words_name() -> None:
    """The caption says so: what stays and is no proof is a filled ring, not an empty one."""
    card = swap_card(built.content()[0])
    figure = drawn.everything()["swap-matrix"]
    for swap in card.swaps:
        black = [
            part
            for part in card.components
            if card.sign(swap, part.id) in ("exchanged", "brought", "unproved")
        ]
        assert black == list(swap.meanings[0].suspects)
    filled = sum(
        c.get("fill") == "#000" and float(c.get("r")) < 2
        for c in etree.fromstring(figure.drawing.encode()).iter(f"{drawn.SVG}circle")
    )
    # One more stands in the key.
    assert filled == sum(len(swap.unproved) for swap in card.swaps) + 1
