"""Paper families: A4 and A5, or Letter and half letter, as the page size of a style sheet."""

from __future__ import annotations

#: Family and part of a sheet to the page size [mm] (ISO 216; ANSI/ASME Y14.1 A, and half of it).
PAGES_MM = {
    ("a", "full"): (210.0, 297.0),
    ("a", "half"): (148.0, 210.0),
    ("us", "full"): (215.9, 279.4),
    ("us", "half"): (139.7, 215.9),
}


def page_size_css(paper: str, part: str) -> str:
    """The page size as a rule, to stand after the other style sheets.

    Examples
    --------
    >>> page_size_css("us", "half")
    '@page { size: 139.7mm 215.9mm }'
    """
    width, height = PAGES_MM[paper, part]
    return f"@page {{ size: {width:g}mm {height:g}mm }}"
