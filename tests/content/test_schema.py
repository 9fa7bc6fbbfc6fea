"""The schemas for editors: valid by the standard's own schema, true of the content, and strict about its ids."""

from __future__ import annotations

import copy
from typing import Any

import jsonschema
import pytest

import small_content
import small_guides
from leadsman.content.catalogue import Catalogue
from leadsman.content.schema import DIALECT, file_pattern, schema_of, schemas


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The small content."""
    return small_content.edited()


def found_in(schema: dict[str, Any], data: Any) -> list[str]:
    """What a validator says of data: the path and the message of each error."""
    validator = jsonschema.Draft202012Validator(schema)
    return [f"{error.json_path}: {error.message}" for error in validator.iter_errors(data)]


def hold_by_the_standard(catalogue: Catalogue) -> None:
    """JSON Schema 2020-12: each schema is valid under the dialect's meta-schema."""
    for schema in schemas(catalogue).values():
        assert schema["$schema"] == DIALECT
        jsonschema.Draft202012Validator.check_schema(schema)


def underlined(catalogue: Catalogue) -> dict[str, list[str]]:
    """What an editor underlines, by file; every file of the content is looked at."""
    wrong, seen = {}, 0
    for kind, schema in schemas(catalogue).items():
        documents = {
            document.path: document for (k, _), (document, _) in catalogue.origins.items() if k == kind
        }
        # A list file without a record is read, but is the origin of none.
        assert not documents or {path.relative_to(catalogue.folder) for path in documents} == {
            path.relative_to(catalogue.folder) for path in catalogue.folder.glob(file_pattern(kind))
        }
        for path, document in documents.items():
            seen += 1
            if errors := found_in(schema, document.data):
                wrong[str(path)] = errors
    assert seen > 20
    return wrong


def test_each_schema_is_one_by_the_standard(catalogue: Catalogue) -> None:
    hold_by_the_standard(catalogue)


def test_the_content_is_valid_under_its_schemas(catalogue: Catalogue) -> None:
    """An editor underlines nothing that ``leadsman check`` lets pass."""
    assert underlined(catalogue) == {}


EDITIONS: dict[str, dict[str, Any]] = {
    "guide": small_guides.EDITION,
    "book": {"kind": "handbook", "formats": ["pdf"]},
    "record": {"kind": "record", "formats": ["pdf"]},
}


@pytest.mark.parametrize(
    ("kind", "record", "keys", "value"),
    [
        ("faults", "no-depth", ("checks", 1, "use"), "temperature-show"),
        ("faults", "no-depth", ("causes", 0, "component"), "joint"),
        ("faults", "no-depth", ("see_also",), ["low-volt"]),
        ("faults", "no-depth", ("kind",), "faults"),
        ("faults", "no-depth", ("waivers",), [{"rule": "links", "reason": "None."}]),
        ("checks", "own-volts", ("cautions",), ["vapor"]),
        ("families", "plain", ("menus", "update-softwear"), ["Knob"]),
        ("boats", "punt", ("display",), "plane"),
        ("tables", "lead-drop", ("formula",), "supply.voltage_dropp"),
        ("tables", "lead-drop", ("roows",), {}),
        ("editions", "deck", ("formats",), ["pdf"]),
        ("editions", "book", ("never",), ["Do not open it."]),
        ("editions", "guide", ("tables",), ["lead-dropp"]),
        ("editions", "record", ("kind",), "records"),
    ],
)
def test_a_slip_is_underlined(kind: str, record: str, keys: tuple[Any, ...], value: Any) -> None:
    """Ids that this content lacks, unknown keys, words that are no choice."""
    catalogue = small_content.edited()
    if record in EDITIONS:
        deck = {**catalogue.origins["editions", "deck"][0].data}
        del deck["sets"]
        data: Any = {**deck, "id": record, **copy.deepcopy(EDITIONS[record])}
    else:
        data = copy.deepcopy(catalogue.origins[kind, record][0].data)
    schema = schema_of(kind, catalogue)
    assert found_in(schema, data) == []
    place = data
    for key in keys[:-1]:
        place = place[key]
    place[keys[-1]] = value
    assert found_in(schema, data)


def test_a_schema_names_what_an_editor_completes(catalogue: Catalogue) -> None:
    """Ids, choices, examples and the sentence below a field."""
    schema = schema_of("faults", catalogue)
    assert set(schema["$defs"]["ids-of-faults"]["enum"]) == set(catalogue.faults)
    assert set(schema["$defs"]["ids-of-cautions"]["enum"]) == set(catalogue.cautions)
    outcome = schema["$defs"]["Outcome"]["properties"]
    assert outcome["shows"]["description"].startswith("Causes under which this answer is seen.")
    assert schema["properties"]["title"]["examples"]
    assert schema_of("values", catalogue)["propertyNames"]["pattern"]
