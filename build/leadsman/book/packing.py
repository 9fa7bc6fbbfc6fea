"""Put the blocks of a card onto the faces of its sheets.

The steps stand on the fronts and are read from front to front. The back of a sheet holds what its steps
lead to: the table that they use, then the fixes; what finds no room there stands on a back that has some.
A block is never split, so that a card is parted only
where a reader may stop. A caution stands once a face, before the first block there that needs it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from leadsman.content.model.reference import Caution
from leadsman.errors import OutputError

NamedCaution = tuple[str, Caution]


@dataclass(frozen=True)
class Block:
    """Something that stands whole on a face: its kind (a template macro), its data, and its name.

    ``serves`` names the blocks of the fronts that lead to this one; without any it may stand on any back.
    ``after`` names a block of the backs that must be placed before this one.
    """

    id: str
    kind: str
    data: Any
    cautions: tuple[NamedCaution, ...] = ()
    serves: frozenset[str] = frozenset()
    after: str = ""


@dataclass(frozen=True)
class Placed:
    """A block on its face, with the cautions that are printed before it and those printed further up."""

    block: Block
    cautions: tuple[NamedCaution, ...]
    above: tuple[NamedCaution, ...]


@dataclass
class Face:
    """One face of a card, and how much of its height is taken [mm]."""

    number: int
    placed: list[Placed] = field(default_factory=list)
    height_mm: float = 0.0

    @property
    def is_front(self) -> bool:
        """Whether it is the front of its sheet."""
        return self.number % 2 == 1

    @property
    def blocks(self) -> list[Block]:
        """The blocks alone."""
        return [placed.block for placed in self.placed]

    def _parted(self, block: Block) -> tuple[tuple[NamedCaution, ...], tuple[NamedCaution, ...]]:
        there = {name for placed in self.placed for name, _ in placed.cautions}
        new = tuple(caution for caution in block.cautions if caution[0] not in there)
        return new, tuple(caution for caution in block.cautions if caution[0] in there)

    def with_block(self, block: Block, heights_mm: Mapping[str, float]) -> float:
        """The height that the face would take with the block on it [mm]."""
        new, _ = self._parted(block)
        return self.height_mm + heights_mm[block.id] + sum(heights_mm[caution_id(name)] for name, _ in new)

    def put(self, block: Block, heights_mm: Mapping[str, float]) -> None:
        """Put the block below the others."""
        self.height_mm = self.with_block(block, heights_mm)
        self.placed.append(Placed(block, *self._parted(block)))


def caution_id(name: str) -> str:
    """The name under which a caution's height is kept."""
    return f"caution-{name}"


def pack(
    card: str,
    fronts: Sequence[Block],
    backs: Sequence[Block],
    heights_mm: Mapping[str, float],
    room_mm: float,
) -> list[Face]:
    """The faces of one card, an even number.

    Parameters
    ----------
    card
        The card's code, for messages.
    fronts
        Blocks that are read from front to front. Without ``backs`` they fill every face in turn.
    backs
        Blocks that stand behind the blocks which they serve, or on a later sheet where there is no room.
    heights_mm
        Height of each block without its cautions, and of each caution (:func:`caution_id`) [mm].
    room_mm
        Height that a face offers [mm].

    Raises
    ------
    OutputError
        When a single block is taller than a face: the message says which, and by how much.
    """
    for block in (*fronts, *backs):
        height = Face(1).with_block(block, heights_mm)
        if height > room_mm:
            raise OutputError(
                f"card {card}: the block '{block.id}' is {height - room_mm:.1f} mm taller than a face; "
                "shorten its text, or split the step"
            )
    if not backs:
        return _even(_filled(fronts, heights_mm, room_mm, numbers=1))
    # A table and its notes are kept on one face, unless that takes a sheet more.
    apart, together = (_backed(fronts, backs, heights_mm, room_mm, keep) for keep in (False, True))
    return together if len(together) <= len(apart) else apart


def _backed(
    fronts: Sequence[Block],
    backs: Sequence[Block],
    heights_mm: Mapping[str, float],
    room_mm: float,
    keep_together: bool,
) -> list[Face]:
    faces = _filled(fronts, heights_mm, room_mm, numbers=2)
    waiting = list(backs)
    followers = {block.after: block for block in backs if block.after and keep_together}
    sheets: list[Face] = []
    reached: set[str] = set()
    for front in faces:
        reached |= {block.id for block in front.blocks}
        back = Face(front.number + 1)
        for block in [b for b in waiting if not b.serves or b.serves & reached]:
            pair = [block, followers[block.id]] if block.id in followers else [block]
            free = block in waiting and all(other.id != block.after for other in waiting)
            if free and _fits(back, pair, heights_mm, room_mm):
                for one in pair:
                    back.put(one, heights_mm)
                    waiting.remove(one)
        sheets += [front, back]
    for block in list(waiting):
        if block not in waiting:
            continue
        pair = [block, followers[block.id]] if block.id in followers else [block]
        # What is left may stand below the last step, or on any back that has room: a sheet less to carry.
        for face in (faces[-1], *reversed([f for f in sheets if not f.is_front])):
            if _fits(face, pair, heights_mm, room_mm):
                for one in pair:
                    face.put(one, heights_mm)
                    waiting.remove(one)
                break
    return _even([*sheets, *_filled(waiting, heights_mm, room_mm, numbers=1, first=len(sheets) + 1)])


def _fits(face: Face, blocks: Sequence[Block], heights_mm: Mapping[str, float], room_mm: float) -> bool:
    """Whether a face has room for all of some blocks; none of the later ones brings a caution of its own."""
    later = sum(heights_mm[block.id] for block in blocks[1:])
    return face.with_block(blocks[0], heights_mm) + later <= room_mm


def _even(faces: list[Face]) -> list[Face]:
    """With an empty last back where the faces are odd in number: every card has whole sheets."""
    return [*faces, Face(len(faces) + 1)] if len(faces) % 2 else faces


def _filled(
    blocks: Iterable[Block], heights_mm: Mapping[str, float], room_mm: float, *, numbers: int, first: int = 1
) -> list[Face]:
    """Faces in order, a new one begun where the next block does not fit; ``numbers`` is the step of numbering."""
    faces: list[Face] = []
    for block in blocks:
        if not faces or faces[-1].with_block(block, heights_mm) > room_mm:
            faces.append(Face(faces[-1].number + numbers if faces else first))
        faces[-1].put(block, heights_mm)
    return faces
