"""JSON Schema of the content's files, so that an editor completes, explains and underlines while a writer types.

Draft 2020-12. The shapes come from the records themselves; where a field names another record, the schema lists the ids
that this content has, so that they are completed and a wrong one is underlined before ``leadsman check`` is run.
"""

from __future__ import annotations

import ast
import inspect
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from leadsman.compute.registry import formulas
from leadsman.content.catalogue import Catalogue, model_of
from leadsman.content.kinds import FOLDERS, LISTS, SINGLES
from leadsman.content.model.base import Record
from leadsman.content.model.edition import KINDS
from leadsman.content.rules import RULES, load_rules
from leadsman.content.rules.links import LINKS

DIALECT = "https://json-schema.org/draft/2020-12/schema"
#: Of the texts and numbers that the content has in a field, so many are shown as examples.
_MOST_EXAMPLES = 3
_LONGEST_EXAMPLE = 80


def file_pattern(kind: str) -> str:
    """Which files of the content folder hold records of a kind, as a glob.

    Examples
    --------
    >>> file_pattern("faults"), file_pattern("values")
    ('faults/*/*.yaml', 'values.yaml')
    """
    return f"{kind}/*/*.yaml" if kind == "faults" else f"{kind}/*.yaml" if kind in FOLDERS else f"{kind}.yaml"


def schemas(catalogue: Catalogue) -> dict[str, dict[str, Any]]:
    """The schema of each kind of file, by kind, with the ids of this content."""
    return {kind: schema_of(kind, catalogue) for kind in (*FOLDERS, *LISTS, *SINGLES)}


def schema_of(kind: str, catalogue: Catalogue) -> dict[str, Any]:
    """The schema of one kind of file.

    Parameters
    ----------
    kind
        A folder of one record a file, a list file, or a file of one record.
    catalogue
        The content whose ids are listed.
    """
    models = list(KINDS.values()) if kind == "editions" else [model_of(kind, None)]
    schema = _schema_of_all(models)
    for model in models:
        _describe(schema, model)
    for source, path, target in LINKS:
        if source == kind:
            for node in _nodes(schema, schema, tuple(path.split("."))):
                _name(node, schema, target, sorted(catalogue.records[target]))
    _name_the_programs_own(schema, kind)
    _give_examples(schema, kind, catalogue)
    if kind in LISTS:
        schema = _mapping_of(schema, kind)
    return {
        "$schema": DIALECT,
        "title": kind,
        **{key: value for key, value in schema.items() if key != "title"},
    }


def _schema_of_all(models: Sequence[type[Record]]) -> dict[str, Any]:
    """The schema of a record, or of one of several, of which its ``kind`` says which."""
    if len(models) == 1:
        return models[0].model_json_schema(ref_template="#/$defs/{model}")
    _, schema = models_json_schema(
        [(model, "validation") for model in models], ref_template="#/$defs/{model}"
    )
    return {**schema, "oneOf": [{"$ref": f"#/$defs/{model.__name__}"} for model in models]}


def _mapping_of(record: dict[str, Any], kind: str) -> dict[str, Any]:
    """A list file maps ids to records."""
    definitions = record.pop("$defs", {})
    definitions[f"{kind}-record"] = record
    return {
        "type": "object",
        "description": "Each id with its record.",
        "propertyNames": {"pattern": "^[a-z][a-z0-9]*(?:-[a-z0-9]+)*$", "maxLength": 60},
        "additionalProperties": {"$ref": f"#/$defs/{kind}-record"},
        "$defs": definitions,
    }


def _nodes(node: dict[str, Any], root: dict[str, Any], path: tuple[str, ...]) -> Iterator[dict[str, Any]]:
    """The places of a schema that a path of the link table names ('*' each item, '#' each key)."""
    options = [*node.get("anyOf", []), *node.get("oneOf", [])]
    for option in options:
        yield from _nodes(option, root, path)
    if options or node.get("type") == "null":
        return
    if "$ref" in node and path:
        node = _definition(node["$ref"], root)
    if not path:
        yield node
        return
    step, rest = path[0], path[1:]
    if step == "#":
        yield node.setdefault("propertyNames", {})
    elif step == "*":
        for key in ("items", "additionalProperties"):
            if isinstance(node.get(key), dict):
                yield from _nodes(node[key], root, rest)
    elif step in node.get("properties", {}):
        yield from _nodes(node["properties"][step], root, rest)


def _definition(reference: str, root: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = root["$defs"][reference.rpartition("/")[2]]
    return found


def _name(node: dict[str, Any], root: dict[str, Any], target: str, ids: list[str]) -> None:
    """Let a place hold the ids of a kind and nothing else."""
    known = f"ids-of-{target}"
    root.setdefault("$defs", {})[known] = {
        "type": "string",
        "enum": ids,
        "description": f"An id of {file_pattern(target)}",
    }
    for key in ("pattern", "maxLength", "type"):
        node.pop(key, None)
    node["$ref"] = f"#/$defs/{known}"


def _name_the_programs_own(schema: dict[str, Any], kind: str) -> None:
    """Formulas and rules are the program's, not the content's."""
    own = {
        "formula": {"type": "string", "enum": sorted(formulas()), "description": "A formula; `leadsman calc` lists them"},
        "rule": {"type": "string", "description": "A rule that may be waived; `leadsman check --rules` lists them",
                 "enum": _waivable()},
    }  # fmt: skip
    places = {"values": ("computed.formula",), "tables": ("formula",), "faults": ("waivers.*.rule",)}
    for path in places.get(kind, ()):
        word = path.rpartition(".")[2]
        for node in _nodes(schema, schema, tuple(path.split("."))):
            node.clear()
            node.update(own[word])


def _waivable() -> list[str]:
    load_rules()
    return sorted(rule.id for rule in RULES.values() if rule.waivable)


def _describe(schema: dict[str, Any], model: type[BaseModel]) -> None:
    """Put the texts that stand below the fields of a record into its schema."""
    for found in {model, *_models_in(model)}:
        node = schema.get("$defs", {}).get(found.__name__, schema if found is model else None)
        for name, words in _field_texts(found).items():
            alias = found.model_fields[name].alias or name
            if node and alias in node.get("properties", {}):
                node["properties"][alias]["description"] = words


def _models_in(model: type[BaseModel]) -> Iterator[type[BaseModel]]:
    for info in model.model_fields.values():
        for found in _models_of(info.annotation):
            if found is not model:
                yield found
                yield from _models_in(found)


def _models_of(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for argument in getattr(annotation, "__args__", ()):
        yield from _models_of(argument)


def _field_texts(model: type[BaseModel]) -> dict[str, str]:
    """The string below each field, of the record and of those that it builds on."""
    texts: dict[str, str] = {}
    for each in reversed(model.__mro__):
        if not (isinstance(each, type) and issubclass(each, Record)) or each is Record:
            continue
        body = ast.parse(textwrap.dedent(inspect.getsource(each))).body[0]
        assert isinstance(body, ast.ClassDef)
        for field, below in zip(body.body, body.body[1:], strict=False):
            if (
                (
                    isinstance(field, ast.AnnAssign)
                    and isinstance(field.target, ast.Name)
                    and isinstance(below, ast.Expr)
                )
                and isinstance(below.value, ast.Constant)
                and isinstance(below.value.value, str)
            ):
                texts[field.target.id] = " ".join(below.value.value.split()).replace("``", "`")
    return texts


def _give_examples(schema: dict[str, Any], kind: str, catalogue: Catalogue) -> None:
    """Show what the content has in a field."""
    for record in catalogue.records[kind].values():
        _show(schema, schema, record)


def _show(node: dict[str, Any], root: dict[str, Any], value: Any) -> None:
    if "$ref" in node:
        node = _definition(node["$ref"], root)
    several = [*node.get("anyOf", []), *node.get("oneOf", [])]
    options = [_definition(o["$ref"], root) if "$ref" in o else o for o in several]
    if isinstance(value, BaseModel):
        named = [o for o in options if o.get("title") == type(value).__name__]
        found = next((o for o in (*named, node, *options) if "properties" in o), {})
        for name, info in type(value).model_fields.items():
            inner = found.get("properties", {}).get(info.alias or name)
            if inner is not None:
                _show(inner, root, getattr(value, name))
    elif isinstance(value, Mapping):
        inner = next(
            (o.get("additionalProperties") for o in (node, *options) if o.get("additionalProperties")), None
        )
        if isinstance(inner, dict):
            for item in value.values():
                _show(inner, root, item)
    elif isinstance(value, list | tuple):
        inner = next((o.get("items") for o in (node, *options) if o.get("items")), None)
        if isinstance(inner, dict):
            for item in value:
                _show(inner, root, item)
    elif (
        isinstance(value, str | int | float)
        and not isinstance(value, bool)
        and not {"enum", "const"} & set(node)
    ):
        shown = node.setdefault("examples", [])
        plain = str(value) if isinstance(value, str) else value
        if len(shown) < _MOST_EXAMPLES and plain not in shown and len(str(plain)) <= _LONGEST_EXAMPLE:
            shown.append(plain)
