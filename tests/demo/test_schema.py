"""An editor underlines nothing in the project's content."""

import built
from content.test_schema import hold_by_the_standard, underlined


def test_each_schema_is_one_by_the_standard() -> None:
    hold_by_the_standard(built.catalogue())


def test_the_content_is_valid_under_its_schemas() -> None:
    assert underlined(built.catalogue()) == {}
