"""A bar in the margin beside every passage that changed, as style rules on the ids that passages carry in print."""

from __future__ import annotations

from collections.abc import Iterable

#: In a book the bar stands left of the text without moving it: out by as much as the bar and its gap are wide. A card
#: has no margin to give: its style lets the bar stand inside, clear of the film's edge.
_BAR = "margin-left: var(--bar-shift, -1mm); border-left: 0.7mm solid #000; padding-left: 0.3mm"


def change_bar_css(changed: Iterable[str]) -> str:
    """Style rules for the ids of ``book.changes.changed_ids``; an id that a book does not print does no harm.

    Examples
    --------
    >>> change_bar_css({"dead-unit-step-plug", "dead-unit-lead"}).split(" {")[0]
    '#dead-unit-lead, #dead-unit-step-plug'
    >>> change_bar_css([])
    ''
    """
    selectors = ", ".join(f"#{name}" for name in sorted(changed))
    return f"{selectors} {{ {_BAR} }}" if selectors else ""
