"""Timings run only when asked for by their folder: ``pytest tests/bench``."""

from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Leave the folder out unless it, or a file in it, is named on the command line."""
    asked = [(config.invocation_params.dir / word.split("::")[0]).resolve() for word in config.args]
    return None if any(place.is_relative_to(HERE) for place in asked) else True
