"""The schemas for editors: valid by the standard's own schema, true of the content, and strict about its ids."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import jsonschema
import pytest

import small_content
from leadsman.content.catalogue import Catalogue, load
from leadsman.content.schema import DIALECT, file_pattern, schema_of, schemas

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module", params=[ROOT / "content", small_content.FOLDER], ids=["demo", "small"])
def catalogue(request: pytest.FixtureRequest) -> Catalogue:
    """Return one content."""
    return load(request.param)


def found_in(schema: dict[str, Any], data: Any) -> list[str]:
    """What a validator says of data: the path and the message of each error."""
    validator = jsonschema.Draft202012Validator(schema)
    return [f"{error.json_path}: {error.message}" for error in validator.iter_errors(data)]


def test_each_schema_is_one_by_the_standard(catalogue: Catalogue) -> None:
    """JSON Schema 2020-12: each schema is valid under the dialect's meta-schema."""
    for schema in schemas(catalogue).values():
        assert schema["$schema"] == DIALECT
        jsonschema.Draft202012Validator.check_schema(schema)


def test_the_content_is_valid_under_its_schemas(catalogue: Catalogue) -> None:
    """An editor underlines nothing that ``leadsman check`` lets pass."""
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
    assert (wrong, seen > 20) == ({}, True)


@pytest.mark.parametrize(
    ("kind", "record", "keys", "value"),
    [
        ("faults", "dead-unit", ("checks", 1, "use"), "signs-of-lif"),
        ("faults", "dead-unit", ("causes", 0, "component"), "joint"),
        ("faults", "dead-unit", ("see_also",), ["dead-units"]),
        ("faults", "dead-unit", ("kind",), "faults"),
        ("faults", "dead-unit", ("waivers",), [{"rule": "links", "reason": "None."}]),
        ("checks", "own-volts", ("cautions",), ["petrol"]),
        ("families", "holm", ("menus", "transmit-onn"), ["Knob"]),
        ("boats", "corrie", ("display",), "skery"),
        ("tables", "fuse-drop", ("formula",), "supply.fuse_dropp"),
        ("tables", "fuse-drop", ("roows",), {}),
        ("editions", "pocket-deck", ("formats",), ["pdf"]),
        ("editions", "handbook", ("never",), ["Do not open it."]),
        ("editions", "owner-guide", ("tables",), ["fuse-dropp"]),
        ("editions", "service-record", ("kind",), "records"),
    ],
)
def test_a_slip_is_underlined(kind: str, record: str, keys: tuple[Any, ...], value: Any) -> None:
    """Ids that this content lacks, unknown keys, words that are no choice."""
    catalogue = load(ROOT / "content")
    document, _ = catalogue.origins[kind, record]
    place = document.data
    for key in keys[:-1]:
        place = place[key]
    place[keys[-1]] = value
    assert found_in(schema_of(kind, catalogue), document.data)


def test_a_schema_names_what_an_editor_completes() -> None:
    """Ids, choices, examples and the sentence below a field."""
    catalogue = load(ROOT / "content")
    schema = schema_of("faults", catalogue)
    assert set(schema["$defs"]["ids-of-faults"]["enum"]) == set(catalogue.faults)
    assert set(schema["$defs"]["ids-of-cautions"]["enum"]) == set(catalogue.cautions)
    outcome = schema["$defs"]["Outcome"]["properties"]
    assert outcome["shows"]["description"].startswith("Causes under which this answer is seen.")
    assert schema["properties"]["title"]["examples"]
    assert schema_of("values", catalogue)["propertyNames"]["pattern"]
