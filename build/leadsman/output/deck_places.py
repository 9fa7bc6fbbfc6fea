"""Where a table, a picture or the pin tables of a deck stand: the sheet and the face that a text names behind them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from leadsman.book.sheet_plan import Extra
from leadsman.content.model.phrases import LadderWords, filled

#: What is looked for: the kind ("table", "picture", "term") and the id.
What = tuple[str, str]
#: The word of the glossary for what a meter reads at the plugs; the sheet of a set has that of each transducer.
PIN_TABLE = "pin-table"
#: Blocks are measured with a face of two digits, and with pin tables on the first few faces.
_WIDEST = {"table": (10,), "picture": (10,), "term": (2, 9)}


@dataclass(frozen=True)
class Standing:
    """The faces of one sheet or card on which something stands."""

    code: str
    faces: tuple[int, ...]
    """Its faces in their order; none where only the sheet is known."""
    ring: str
    """The code of the sheet that opens the set."""

    @property
    def on_set_sheet(self) -> bool:
        """Whether that is the sheet which opens a set, and not a card."""
        return self.code == self.ring


def what_of(extra: Extra) -> What | None:
    """What a block on a face is, by the name under which a text asks for it; none for what no text names."""
    if extra.kind == "table":
        return "table", str(extra.data.table.id)
    if extra.kind == "picture":
        return "picture", str(extra.data)
    return ("term", PIN_TABLE) if extra.kind == "pins" else None


@dataclass
class Places:
    """Where everything stands, and how that is said to the reader of one card."""

    words: LadderWords
    standing: dict[What, list[Standing]] = field(default_factory=dict)
    """By what is looked for; empty until the faces are known."""
    asked_elsewhere: bool = False
    """Whether something was asked for that does not stand in the set of the card that asks."""

    def put(self, extras: Iterable[Extra], code: str, face: int, ring: str) -> None:
        """Take note of what stands on one face."""
        for extra in extras:
            what = what_of(extra)
            if what is None:
                continue
            found = self.standing.setdefault(what, [])
            mine = next((each for each in found if each.code == code), Standing(code, (), ring))
            found[:] = [each for each in found if each.code != code]
            found.append(Standing(code, tuple(dict.fromkeys((*mine.faces, face))), ring))

    def named(self, what: What, ring: str) -> str:
        """The sheet and the face, for a reader who holds a card of that set; empty where it stands on no sheet.

        What stands in the reader's own set comes first, and the sheet of a set before a card.
        """
        found = self.standing.get(what, [])
        self.asked_elsewhere |= not any(each.ring == ring for each in found)
        if not found:
            return ""
        return self.said(min(found, key=lambda each: (each.ring != ring, not each.on_set_sheet)))

    def said(self, place: Standing) -> str:
        """A place in words; what stands on several faces is said from the first to the last."""
        if not place.faces:
            return place.code
        first, last = min(place.faces), max(place.faces)
        words = self.words
        said = (
            filled(words.at_face, code=place.code, face=first) if first == last
            else filled(words.at_faces, code=place.code, first=first, last=last)
        )  # fmt: skip
        # A place is read in one piece.
        return said.replace(" ", "\N{NO-BREAK SPACE}")


def widest(words: LadderWords, codes: Mapping[What, Iterable[str]]) -> Places:
    """Places as wide as any can be: blocks are measured before the faces are known."""
    found = {
        what: [Standing(max(each, key=len), _WIDEST[what[0]], "")]
        for what, all_codes in codes.items() if (each := sorted(all_codes))
    }  # fmt: skip
    return Places(words, found)
