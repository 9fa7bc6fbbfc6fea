"""The project's editions: one of each kind, and no two make one file."""

import built
from book.test_outputs import unforeseen
from leadsman.content.model.edition import KINDS


def test_each_edition_is_a_record_of_its_kind() -> None:
    editions = built.catalogue().editions
    assert {edition.kind for edition in editions.values()} == set(KINDS)
    assert all(type(edition) is KINDS[edition.kind] for edition in editions.values())


def test_the_names_are_those_that_a_build_makes() -> None:
    assert unforeseen(*built.content()) == {}
