"""Grids, curves and lists in pictures, held against the tables and records of the content."""

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
