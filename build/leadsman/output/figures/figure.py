"""What a picture is: a drawing with its words, and the entries and tables beside which it belongs."""

from __future__ import annotations

import re
from dataclasses import dataclass

from leadsman.content.model.figure_words import PictureText
from leadsman.press.fonts import FAMILIES
from leadsman.press.svg import safe_svg

#: The faces of a label. A phone's reader that lacks the first takes its own plain face.
LABEL_FAMILIES = FAMILIES | {"sans-serif"}


def told(words: PictureText) -> tuple[str, str, str]:
    """Title, caption and text of a picture that names no number."""
    return str(words.title), str(words.caption), str(words.text)


@dataclass(frozen=True)
class Figure:
    """A picture: its drawing, and a text that says the same with the same numbers."""

    id: str
    title: str
    caption: str
    """What to see in it, in one sentence."""
    text: str
    """The text alternative."""
    drawing: str
    """The SVG as drawn."""
    serves: tuple[str, ...] = ()
    """Ids of the entries and tables beside which it belongs, the first one first."""
    told_in: str = ""
    """The part of the handbook that says the same at length, where the text would be no reading matter."""
    small: bool = False
    """It takes less than half the width of a book, and its words stand beside it."""

    @property
    def svg(self) -> str:
        """The picture as inline SVG with its text alternative."""
        return self.named(self.id)

    def fitted(self, name: str) -> str:
        """The same without a size of its own: it takes the width that the page gives it."""
        return re.sub(r'(<svg\b[^>]*?) width="[^"]*" height="[^"]*"', r"\1", self.named(name), count=1)

    def named(self, name: str) -> str:
        """The same under another name, where one document shows it twice.

        Examples
        --------
        >>> figure = Figure("keel", "Keel", "A keel.", "A line.", '<svg xmlns="http://www.w3.org/2000/svg"/>')
        >>> print(figure.named("second"))
        <svg xmlns="http://www.w3.org/2000/svg" font-family="Leadsman Head" role="img"
         aria-labelledby="second-title"><title id="second-title">Keel. A line.</title></svg>
        """
        return safe_svg(
            self.drawing,
            name=name,
            title=f"{self.title}. {self.text}",
            families=LABEL_FAMILIES,
            default_family="Leadsman Head",
        )
