"""Menu paths: each leads to one setting of one family."""

from __future__ import annotations

from collections.abc import Iterator

from leadsman.content.rules import Context, rule
from leadsman.errors import Problem


@rule(
    "menu-paths",
    "No menu path stands for two tasks of a family, and none is another family's.",
    scope="equipment",
)
def menu_paths(context: Context) -> Iterator[Problem]:
    """A path that was copied and not changed leads to the wrong setting, or to none."""
    seen: dict[tuple[str, ...], tuple[str, str]] = {}
    for name, family in context.catalogue.families.items():
        for task, path in family.menus.items():
            first = seen.setdefault(tuple(path), (name, task))
            if first != (name, task):
                whose = f"'{first[1]}'" if first[0] == name else f"'{first[1]}' of {first[0]}"
                yield context.catalogue.problem("families", name, ("menus", task), f"the path of '{task}' is that of {whose}",
                                                "write the path as this family's unit shows it", key=True)  # fmt: skip
