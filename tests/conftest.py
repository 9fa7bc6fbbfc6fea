"""Fixtures and settings that every test shares."""

import os
from pathlib import Path

import pytest
from hypothesis import settings

# A shared machine makes single examples slow by chance, so that no time limit applies to one; the
# examples are the same each time in CI, where a failure must be one that the change has caused.
settings.register_profile("leadsman", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("leadsman")


@pytest.fixture(scope="session")
def repository() -> Path:
    """Return the root folder of the checkout."""
    return Path(__file__).resolve().parent.parent
