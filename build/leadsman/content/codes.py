"""Printed codes of entries: a letter for the area, and a number that no other entry has."""

from __future__ import annotations

from leadsman.content.catalogue import Catalogue


def free_code(catalogue: Catalogue, area: str) -> str:
    """The first code of an area that no entry has and none ever had, as far as the content tells.

    Parameters
    ----------
    catalogue
        The content.
    area
        The id of an area; its letter begins the code.
    """
    letter = catalogue.areas[area].letter
    taken = [int(entry.code[1:]) for entry in catalogue.faults.values() if entry.code[:1] == letter]
    return f"{letter}{max(taken, default=0) + 1}"
