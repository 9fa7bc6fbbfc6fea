"""A dealer's mark printed alone, as a guide prints it, and held to the rules of the page: told of the mark, not of pages.

On the shared pages a mark with letters that nobody can read would stop every guide of a list, in words about a page
that the dealer did not make.
"""

from __future__ import annotations

from pathlib import Path

from leadsman.content.dealer_file import MarkFault
from leadsman.content.model.equipment import Dealer
from leadsman.inspection.survey import survey
from leadsman.output.guide import dealer_mark
from leadsman.output.templating import stylesheet
from leadsman.press.gate import Refused
from leadsman.press.temporary import temporary_folder
from leadsman.press.typeset import Typesetter, render_pdf

#: The rules that a mark can break, by the beginning of their names, or what the typesetter says; what that is of a
#: mark; what to change in the drawing.
_SAID = (
    ("CO-", "its letters are too like the ground behind them to be read",
     "take dark letters on a light ground, or white ones on a dark ground"),
    ("PH-", "it has lines too fine for a mark of this size in print", "draw them thicker, or as filled shapes"),
    ("TY-", "its letters are too small to be read in print", "make them larger, or turn them into outlines"),
    ("glyph", "it holds letters that the fonts lack", "turn the letters into outlines and save it again"),
    ("", "it breaks a rule of the printed page", "change that in the drawing"),
)  # fmt: skip


def proved_mark(dealer: Dealer, templates: Path) -> str:
    """The mark of a dealer as :func:`~leadsman.output.guide.dealer_mark` has it, when its print breaks no rule.

    Raises
    ------
    OutputError
        Where the picture is none that may be printed at all.
    MarkFault
        Where its print would break a rule that must be kept.
    """
    mark = dealer_mark(dealer)
    if not mark:
        return mark
    broken = _broken(f'<div class="mark">{mark}</div>', templates)
    own = broken.keys() - _broken("", templates).keys()
    for pattern, said, hint in _SAID:
        if name := next((name for name in sorted(own) if name.startswith(pattern)), None):
            raise MarkFault(f"{said} ({broken[name]})", hint)
    return mark


def _broken(picture: str, templates: Path) -> dict[str, str]:
    """Each rule that must be kept and that a page with the picture breaks, by its name; and what was measured."""
    html = f'<section class="front">{picture}<h1 class="title">Mark</h1></section>'
    css = stylesheet(templates, "tokens", "common", "guide")
    with temporary_folder() as folder:
        path = folder / "guide.pdf"
        try:
            render_pdf(html, css, out=path, title="Mark", typesetter=Typesetter())
        except Refused as refused:
            return {"glyph": refused.findings[0]}
        return {
            o.rule.id: f"{o.rule.says}, here {reading.measured}"
            for o, reading in survey(path, "guide").breaches
        }
