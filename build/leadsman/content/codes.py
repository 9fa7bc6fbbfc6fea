"""Printed codes of entries: a letter for the area, and a number that no other entry has."""

from __future__ import annotations

from collections.abc import Iterable

from leadsman.content.catalogue import Catalogue


def free_code(catalogue: Catalogue, area: str, codes: Iterable[str] | None = None) -> str:
    """The first code of an area that no entry has and none ever had, as far as the content tells.

    Parameters
    ----------
    catalogue
        The content.
    area
        The id of an area; its letter begins the code.
    codes
        The codes of all entries, for whoever has them at hand.
    """
    letter = catalogue.areas[area].letter
    given = (entry.code for entry in catalogue.faults.values()) if codes is None else codes
    taken = [int(code[1:]) for code in given if code[:1] == letter]
    return f"{letter}{max(taken, default=0) + 1}"
