"""Fill faces with blocks in turn: a block stands whole on a face, or the deck is not made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from leadsman.errors import OutputError


@dataclass(frozen=True)
class Block:
    """Something that stands whole on a face: its name, its kind (a template macro) and its data."""

    id: str
    kind: str
    data: Any


@dataclass
class Face:
    """One face of a card, and how much of its height is taken [mm]."""

    number: int
    blocks: list[Block] = field(default_factory=list)
    height_mm: float = 0.0


def fill(card: str, blocks: Sequence[Block], heights_mm: Mapping[str, float], room_mm: float) -> list[Face]:
    """The faces of one card: a new one is begun where the next block does not fit.

    Parameters
    ----------
    card
        The card's code, for messages.
    blocks
        What stands on it, in order.
    heights_mm
        Height of each block by its name [mm].
    room_mm
        Height that a face offers [mm].

    Raises
    ------
    OutputError
        When a single block is taller than a face: the message says which, and by how much.
    """
    faces: list[Face] = []
    for block in blocks:
        height = heights_mm[block.id]
        if height > room_mm:
            raise OutputError(
                f"card {card}: the block '{block.id}' is {height - room_mm:.1f} mm taller than a face; shorten its text"
            )
        if not faces or faces[-1].height_mm + height > room_mm:
            faces.append(Face(len(faces) + 1))
        faces[-1].blocks.append(block)
        faces[-1].height_mm += height
    return faces
