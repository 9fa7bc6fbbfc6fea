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


def test_the_handbook_sends_to_nothing_that_the_reader_lacks() -> None:
    """Formulas and reasons of causes stand in a file of their own, and forms in the service record."""
    catalogue = built.catalogue()
    use = " ".join(str(text) for text in catalogue.editions["handbook"].front)
    assert "appendix" not in use
    assert "file of the evidence" in use
    assert "Form P1" in use
    assert "service record" in use
    assert any(edition.kind == "record" for edition in catalogue.editions.values())
