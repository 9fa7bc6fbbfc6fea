"""How high the pieces of a book stand, set as its pages set them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from leadsman.press.measure import natural_sizes
from leadsman.press.typeset import Typesetter


@dataclass(frozen=True)
class Scale:
    """What the height of a piece depends on beside itself.

    Parameters
    ----------
    css
        The style sheets of the book.
    page_mm, room_mm
        Width and height of a page, and of what stands between its margins [mm].
    typesetter, language
        The engine, and the language of the book.
    """

    css: Sequence[str]
    page_mm: tuple[float, float]
    room_mm: tuple[float, float]
    typesetter: Typesetter
    language: str

    def heights(self, pieces: Mapping[str, str], within: str) -> dict[str, float]:
        """The height of each piece [mm] by its name, in a section of the class ``within``."""
        # A padding keeps the margins of what stands in a piece inside its measure.
        alone = (
            f"@page {{ margin: 0 }} body {{ width: {self.room_mm[0]:g}mm }} .piece {{ padding: 0.05mm 0 }}"
        )
        html = "".join(
            f'<section class="{within}"><div class="piece" id="{name}">{text}</div></section>'
            for name, text in pieces.items()
        )
        # Headings do not count here, only heights: an outline of pieces has gaps.
        html = re.sub(r"<(/?)h[1-6]\b", r"<\1h3", html)
        sizes = natural_sizes(
            self.typesetter, html, [*self.css, alone], class_name="piece", page_width_mm=self.page_mm[0],
            language=self.language, late_numbers=True,
        )  # fmt: skip
        return {size.id: size.height_mm for size in sizes}
