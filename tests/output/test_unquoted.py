"""What an error says of a guide names nobody: whatever a message quotes may be a customer's name."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leadsman.output.guide_press import unquoted


@pytest.mark.parametrize(
    ("message", "left"),
    [
        ("'Ann Other' does not fit its line", "'...' does not fit its line"),
        ('"Ann Other" does not fit its line', "'...' does not fit its line"),
        ("the font lacks a sign (U+2693) of 'Ann'", "the font lacks a sign '...' of '...'"),
        ("no end: 'Ann Other", "no end: '...'"),
        ("a number is too wide", "a number is too wide"),
        ("'Ann'\nand 'Ben' fail", "'...'\nand '...' fail"),
    ],
)
def test_what_is_quoted_goes(message: str, left: str) -> None:
    assert unquoted(message) == left


@given(name=st.text(st.characters(codec="latin-1", exclude_categories=("Cc", "Zl", "Zp")), min_size=1))
def test_no_letter_of_a_name_stays(name: str) -> None:
    """Apostrophes and quotation marks within a name included."""
    quoted = f"the text {name!r} does not fit", f"the text '{name}' does not fit"
    assert {unquoted(message) for message in quoted} == {"the text '...' does not fit"}
