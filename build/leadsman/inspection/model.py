"""What the inspector knows of a finished PDF: pages, runs of letters, lines and fills, tags, links.

Places are millimetres from the upper left corner of the trim size, type sizes are points.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np

MM_PER_PT = 25.4 / 72
#: Pixels per point of the painted pages that colours are read from.
PAINT_SCALE = 1.5

Colour = tuple[float, float, float]
BLACK: Colour = (0.0, 0.0, 0.0)
WHITE: Colour = (1.0, 1.0, 1.0)

#: Tags that hold a text of their own: a run belongs to the nearest of these around it.
BLOCK_TAGS = frozenset(
    [
        "P",
        "H1",
        "H2",
        "H3",
        "H4",
        "H5",
        "H6",
        "LI",
        "TH",
        "TD",
        "Caption",
        "Div",
        "Sect",
        "Art",
        "Part",
        "Document",
        "Figure",
        "Note",
        "BlockQuote",
        "Form",
    ]
)
HEADINGS = frozenset({"H1", "H2", "H3", "H4", "H5", "H6"})


@dataclass(frozen=True)
class Box:
    """A rectangle [mm]."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """Its width [mm]."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Its height [mm]."""
        return self.bottom - self.top

    def shared(self, other: Box) -> Box | None:
        """What both cover, if anything; lines without width count."""
        cut = Box(
            max(self.left, other.left), max(self.top, other.top),
            min(self.right, other.right), min(self.bottom, other.bottom),
        )  # fmt: skip
        return cut if cut.width >= 0 and cut.height >= 0 else None

    def grown(self, by_mm: float) -> Box:
        """The box with a margin around it."""
        return Box(self.left - by_mm, self.top - by_mm, self.right + by_mm, self.bottom + by_mm)

    def holds(self, other: Box) -> bool:
        """Whether ``other`` lies inside."""
        return (
            self.left <= other.left and self.top <= other.top
            and self.right >= other.right and self.bottom >= other.bottom
        )  # fmt: skip


def around(boxes: Sequence[Box]) -> Box:
    """The smallest box around some boxes.

    Examples
    --------
    >>> around([Box(1, 2, 3, 4), Box(0, 3, 2, 9)])
    Box(left=0, top=2, right=3, bottom=9)
    """
    return Box(
        min(b.left for b in boxes), min(b.top for b in boxes),
        max(b.right for b in boxes), max(b.bottom for b in boxes),
    )  # fmt: skip


@dataclass(frozen=True)
class Typeface:
    """One embedded font and the measures of its letters, as shares of the type size; None: no letter to measure."""

    name: str
    embedded: bool
    has_unicode: bool
    bold: bool
    italic: bool
    serif: bool
    cap_height: float | None = None
    x_height: float | None = None
    stem: float | None = None

    @property
    def family(self) -> str:
        """The name without its style words."""
        words = self.name.replace(",", "-").split("-")
        styles = {"Bold", "Italic", "Oblique", "Semi", "Medium", "Regular", "Light", "Condensed", "Black", "Extra", "Roman"}  # fmt: skip
        return " ".join(word for word in words if word not in styles)


@dataclass(eq=False)
class Element:
    """A structure element: its tag, what hangs below it, and the attributes that the rules ask for.

    An element without a tag is the place of some letters in their parent.
    """

    tag: str
    parent: Element | None
    page: int | None
    alt: str = ""
    language: str = ""
    scope: str = ""
    has_headers: bool = False
    frame: tuple[float, ...] | None = None
    """Box in the coordinates of the file, where the tag tells it."""
    order: int = 0
    """Its place in the reading order of the file."""
    kids: list[Element | Run] = field(default_factory=list)
    annotations: int = 0

    @property
    def children(self) -> list[Element]:
        """The elements right below it, without the places of its letters."""
        return [kid for kid in self.kids if isinstance(kid, Element) and kid.tag]

    def elements(self) -> Iterator[Element]:
        """This element and all below it, in reading order."""
        yield self
        for kid in self.kids:
            if isinstance(kid, Element):
                yield from kid.elements()

    def runs(self) -> Iterator[Run]:
        """All letters below it, in reading order."""
        for kid in self.kids:
            if isinstance(kid, Element):
                yield from kid.runs()
            else:
                yield kid

    def inside(self, *tags: str) -> Element | None:
        """The nearest element of one of these tags, itself or around it."""
        found: Element | None = self
        while found is not None and found.tag not in tags:
            found = found.parent
        return found

    @property
    def text(self) -> str:
        """Its words."""
        return words_of(self.runs())


@dataclass(eq=False)
class Run:
    """Letters of one font, size and colour that were set in one go."""

    text: str
    page: int
    box: Box
    baseline: float
    size_pt: float
    face: Typeface
    colour: Colour
    opacity: float
    invisible: bool
    artifact: bool
    element: Element | None = None

    @property
    def block(self) -> Element | None:
        """The element whose text this is."""
        return self.element.inside(*BLOCK_TAGS) if self.element is not None else None


def words_of(runs: Iterable[Run]) -> str:
    """The words of some runs in their order; a new line, a new page or a gap parts two words."""
    found, before = "", None
    for run in runs:
        if before is not None and (
            run.page != before.page or abs(run.baseline - before.baseline) > 0.5
            or run.box.left - before.box.right > 0.15 * run.size_pt * MM_PER_PT
        ):  # fmt: skip
            found += " "
        found += run.text
        before = run
    return " ".join(found.split())


@dataclass(frozen=True)
class Shape:
    """A fill or a line as it is seen: cut by the clips around it."""

    page: int
    box: Box
    whole: Box
    fill: Colour | None
    line: Colour | None
    thickness_pt: float | None
    curved: bool
    dashed: bool

    @property
    def is_rule(self) -> bool:
        """Whether it is seen as a line."""
        return self.thickness_pt is not None

    @property
    def colour(self) -> Colour:
        """The colour that it shows most of."""
        return self.line if self.fill is None and self.line is not None else (self.fill or BLACK)


@dataclass(frozen=True)
class Annotation:
    """A link or a form field."""

    page: int
    kind: str
    box: Box
    says: str
    tagged_as: str
    resolved: bool
    target: str = ""


@dataclass(eq=False)
class Block:
    """The text of one element on one page: a paragraph, a heading, a list item, a cell."""

    element: Element
    page: int
    runs: list[Run]

    @cached_property
    def text(self) -> str:
        """Its words."""
        return words_of(self.runs)

    @cached_property
    def box(self) -> Box:
        """The box around its letters."""
        return around([run.box for run in self.runs])

    @property
    def tag(self) -> str:
        """The tag of its element."""
        return self.element.tag

    @cached_property
    def lines(self) -> list[list[Run]]:
        """Its runs by line, from the top; a run belongs to a line when their baselines nearly agree."""
        found: list[list[Run]] = []
        for run in sorted((r for r in self.runs if r.text.strip()), key=lambda r: r.baseline):
            if found and run.baseline - found[-1][0].baseline < 0.3 * run.size_pt * MM_PER_PT:
                found[-1].append(run)
            else:
                found.append([run])
        return [sorted(line, key=lambda r: r.box.left) for line in found]

    @cached_property
    def label(self) -> str:
        """The number or sign that stands before a list item; empty without one."""
        return "".join(r.text for r in self.runs if r.element is not None and r.element.inside("Lbl")).strip()


@dataclass(eq=False)
class Page:
    """One page: its boxes [mm], everything on it, and its tab order."""

    number: int
    trim: Box
    media: Box
    bleed: Box
    runs: list[Run]
    shapes: list[Shape]
    annotations: list[Annotation]
    tab_order: str
    untagged_operators: int
    figures: list[Box] = field(default_factory=list)
    has_pictures: bool = False
    painter: Any = field(repr=False, default=None)
    memory: dict[str, Any] = field(repr=False, default_factory=dict)
    """What was found out about the page once."""

    @cached_property
    def blocks(self) -> list[Block]:
        """The texts of the page in reading order; letters outside the tags are not among them."""
        found: dict[int, Block] = {}
        tagged = [run for run in self.runs if run.element is not None]
        for run in sorted(tagged, key=lambda run: run.element.order if run.element else 0):
            if (element := run.block) is not None:
                found.setdefault(id(element), Block(element, self.number, [])).runs.append(run)
        return list(found.values())

    @cached_property
    def pixels(self) -> Any:
        """The painted page: rows, columns, and red, green, blue (0 to 255)."""
        return self.painter(PAINT_SCALE)

    @cached_property
    def dark(self) -> Any:
        """Where the painted page is no longer paper."""
        # Channel by channel: a reduction over the short last axis takes ten times as long.
        red, green, blue = (self.pixels[:, :, channel] for channel in range(3))
        return np.minimum(np.minimum(red, green), blue) < 170

    def cut(self, box: Box, of: str = "pixels") -> Any:
        """The pixels of a box, at least one: of ``pixels`` or ``dark``."""
        scale = PAINT_SCALE / MM_PER_PT
        left, top = (max(0, int(v * scale)) for v in (box.left - self.media.left, box.top - self.media.top))
        right, bottom = (
            int(np.ceil(v * scale)) for v in (box.right - self.media.left, box.bottom - self.media.top)
        )
        painted = getattr(self, of)
        return painted[top : max(bottom, top + 1), left : max(right, left + 1)]


@dataclass(eq=False)
class PdfFile:
    """A finished PDF as the rules see it."""

    path: Path
    pages: list[Page]
    tree: list[Element]
    title: str
    language: str
    marked: bool
    suspects: bool
    shows_title: bool
    ua_part: str
    xmp_title: str
    outline: list[tuple[int, str, int]]
    typefaces: list[Typeface]
    fields: int
    required_texts: Sequence[str] = ()
    active: Sequence[str] = ()
    """What the file runs, opens or carries beside its pages, each in words."""

    @cached_property
    def elements(self) -> list[Element]:
        """All structure elements in reading order."""
        return [element for top in self.tree for element in top.elements() if element.tag]

    @cached_property
    def runs(self) -> list[Run]:
        """All visible and invisible letters, page by page."""
        return [run for page in self.pages for run in page.runs]

    @cached_property
    def blocks(self) -> list[Block]:
        """All texts, page by page."""
        return [block for page in self.pages for block in page.blocks]
