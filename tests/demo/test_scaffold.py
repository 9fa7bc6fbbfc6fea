"""Each record of the project can be begun with: what is written after it passes the check."""

from __future__ import annotations

import shutil
from pathlib import Path

import built
from content.test_scaffold import every_kind_passes

#: A record of each kind with much in it.
LIKE = {"family": "holm", "boat": "corrie", "transducer": "th-50-200", "water": "harrow-bank", "table": "fuse-drop",
        "edition": "pocket-deck"}  # fmt: skip


def test_every_kind_passes_the_check_as_written(tmp_path: Path) -> None:
    content = Path(shutil.copytree(built.ROOT / "content", tmp_path / "content"))
    every_kind_passes(content, ("sensors", "power"), LIKE)
