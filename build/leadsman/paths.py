"""Where the content and the templates are: named, in the working folder, or installed with the package."""

from __future__ import annotations

import os
from pathlib import Path

from leadsman.errors import UsageError

_PACKAGE = Path(__file__).resolve().parent
#: Installed data, then the checkout that the package stands in.
_BASES = (_PACKAGE / "_data", _PACKAGE.parents[1])


def content_folder(named: str | None = None) -> Path:
    """The content to work on: the named folder, else ./content, else the demo content of the package."""
    if named is not None:
        # os.path: of a name that no folder can have the system says more than no.
        if not os.path.isdir(named):
            raise UsageError(f"{named} is no folder; name the content with --content DIR")
        return Path(named)
    if (Path("content") / "areas.yaml").is_file():
        return Path("content")
    return data_folder("content")


def templates_folder() -> Path:
    """The page templates and style sheets."""
    return data_folder("templates")


def data_folder(name: str) -> Path:
    """A folder that comes with the package, installed or in the checkout."""
    for base in _BASES:
        if (base / name).is_dir():
            return base / name
    tried = " and ".join(str(base / name) for base in _BASES)
    raise UsageError(f"no {name} came with the package; looked in {tried}; install leadsman again")
