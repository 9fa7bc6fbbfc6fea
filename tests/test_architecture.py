"""Imports point one way: formulas know nothing of content, content nothing of pages, nothing of the command line.

And tests of the program take no content of the project, so that a slip of a writer fails the tests of what he wrote.
"""

import ast
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

#: Each part of the package: the parts that it may import, and the outside libraries, None for any.
#: A new part is entered here before its first import passes.
ALLOWED: dict[str, tuple[set[str], set[str] | None]] = {
    "errors": (set(), set()),
    "compute": (set(), {"numpy", "scipy"}),
    "units": ({"compute", "errors"}, {"numpy"}),
    "paths": ({"errors"}, set()),
    "files": ({"errors"}, set()),
    "letters": (set(), {"fontTools"}),
    "arguments": ({"compute", "errors", "units"}, {"numpy"}),
    "calculation": ({"arguments", "compute", "errors", "units"}, {"numpy"}),
    "evidence": ({"compute", "errors"}, {"yaml"}),
    "content": (
        {"arguments", "calculation", "compute", "errors", "evidence", "files", "letters", "store", "units"},
        {"markdown", "numpy", "pydantic", "pydantic_core", "yaml"},
    ),
    "book": (
        {"arguments", "calculation", "compute", "content", "errors", "evidence", "files", "store", "units"},
        {"numpy"},
    ),
    "plotting": (set(), {"matplotlib"}),
    # It tries the finished book, so that it may read it; nothing that makes pages knows of it.
    "drill": (
        {"book", "compute", "content", "errors", "history", "plotting", "processes", "units"},
        {"numpy"},
    ),
    "store": (set(), set()),
    "collector": (set(), set()),
    "press": ({"collector", "errors", "store"}, None),
    "output": (
        {
            "apart",
            "arguments",
            "book",
            "calculation",
            "compute",
            "content",
            "plotting",
            "press",
            "errors",
            "evidence",
            "units",
        },
        None,
    ),
    # It reads finished files and knows nothing of how they were made; of the press it uses the writing of files.
    "inspection": ({"apart", "press", "errors"}, {"fontTools", "lxml", "numpy", "pikepdf", "pymupdf"}),
    "processes": ({"press"}, set()),
    "apart": ({"errors", "files", "processes"}, set()),
    "build": (
        {
            "processes",
            "book",
            "compute",
            "content",
            "press",
            "errors",
            "evidence",
            "inspection",
            "output",
            "paths",
            "released",
            "store",
            "units",
        },
        set(),
    ),
    "preview": (
        {"book", "content", "errors", "output", "press", "processes", "store"},
        {"pymupdf", "tornado", "watchfiles"},
    ),
    "released": ({"book", "content", "errors", "files", "inspection"}, {"pymupdf"}),
    # Of the press it uses the temporary files.
    "history": ({"errors", "files", "press"}, set()),
    "revisions": ({"book", "compute", "content", "errors", "history", "units"}, set()),
    "mark": ({"content", "inspection", "output", "press"}, set()),
    "fleet": ({"book", "content", "press", "errors", "files", "inspection", "output", "processes"}, set()),
    "cli": ({"__init__", "commands", "errors"}, {"argcomplete"}),
    "__init__": (set(), set()),
    "__main__": ({"cli"}, set()),
}
#: The commands join everything, but not the command line that calls them.
ALLOWED["commands"] = ({part for part in ALLOWED if part not in ("cli", "__main__")}, None)


def part_of(words: list[str]) -> str:
    """The part of the package that a dotted name lies in."""
    # `from leadsman import __version__` reads the package's own __init__.
    return words[1] if len(words) > 1 and not words[1].startswith("__version") else "__init__"


class Import(NamedTuple):
    """One import statement: the part it stands in, what it names, and where."""

    part: str
    target: str
    line: int


def imports(package: Path, module: Path) -> list[Import]:
    """All imports of a module, inside functions and under TYPE_CHECKING too, relative ones resolved."""
    inside = ["leadsman", *module.relative_to(package).with_suffix("").parts]
    part = part_of(inside)
    found = []
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [Import(part, alias.name, node.lineno) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = (node.module or "").split(".") if node.module else []
            if node.level:
                # A package's own __init__ counts as one level below the package, like any module in it.
                base = inside[: len(inside) - node.level] + base
            # `from leadsman import cli` names a module, `from leadsman.cli import main` a name in one.
            packages = (["leadsman"], ["leadsman", "output"])
            names = [[*base, alias.name] if base in packages else base for alias in node.names]
            found += [Import(part, ".".join(name), node.lineno) for name in names]
    return found


def violations(package: Path) -> list[str]:
    """Every import that the table does not allow, with file and line."""
    wrong = []
    for module in sorted(package.rglob("*.py")):
        place = str(module.relative_to(package))
        found = imports(package, module)
        if found and found[0].part not in ALLOWED:
            wrong.append(f"{place}: the part {found[0].part!r} is not in the table of this test")
            continue
        for part, target, line in found:
            words = target.split(".")
            parts, libraries = ALLOWED[part]
            if words[0] == "leadsman":
                if part_of(words) not in parts | {part}:
                    wrong.append(f"{place}:{line}: {target}: {part} may not import {part_of(words)}")
            elif (
                words[0] not in sys.stdlib_module_names
                and libraries is not None
                and words[0] not in libraries
            ):
                wrong.append(f"{place}:{line}: {target}: {part} may not use {words[0]}")
    return wrong


def test_imports_point_one_way(repository: Path) -> None:
    """No module reaches above its own part or for a library that is not its business."""
    assert violations(repository / "build" / "leadsman") == []


def test_imports_are_absolute(repository: Path) -> None:
    """A relative import hides which part a module reaches for."""
    package = repository / "build" / "leadsman"
    relative = [
        f"{module.relative_to(package)}:{node.lineno}"
        for module in sorted(package.rglob("*.py"))
        for node in ast.walk(ast.parse(module.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and node.level
    ]

    assert relative == []


@pytest.mark.parametrize(
    ("file", "statement", "told"),
    [
        ("compute/water/by_water.py", "import leadsman.units", "compute may not import units"),
        ("compute/water/by_water.py", "from leadsman.units import parse", "compute may not import units"),
        ("compute/water/by_water.py", "from leadsman import units", "compute may not import units"),
        ("compute/water/by_water.py", "from ...units import parse", "compute may not import units"),
        ("compute/water/by_water.py", "from ... import units", "compute may not import units"),
        ("compute/water/by_water.py", "import pint", "compute may not use pint"),
        ("compute/water/by_water.py", "import numpy, yaml", "compute may not use yaml"),
        (
            "compute/water/by_water.py",
            "def f():\n    from leadsman import units",
            "compute may not import units",
        ),
        (
            "content/source.py",
            "from leadsman.press.typeset import Typesetter",
            "content may not import press",
        ),
        ("content/model/base.py", "from ...press import typeset", "content may not import press"),
        ("content/source.py", "import weasyprint", "content may not use weasyprint"),
        ("press/typeset.py", "from leadsman.content import catalogue", "press may not import content"),
        ("press/epub.py", "from leadsman.book.finder import FinderCard", "press may not import book"),
        ("output/deck.py", "from leadsman import build", "output may not import build"),
        ("book/finder.py", "from leadsman.press import typeset", "book may not import press"),
        ("book/finder.py", "import leadsman.output.deck", "book may not import output"),
        ("book/chapter.py", "from leadsman import cli", "book may not import cli"),
        ("commands/calc.py", "from leadsman.cli import main", "commands may not import cli"),
        ("errors.py", "import leadsman.paths", "errors may not import paths"),
        ("cli.py", "import numpy", "cli may not use numpy"),
        ("novelty.py", "import json", "the part 'novelty' is not in the table"),
    ],
)
def test_a_planted_violation_is_caught(tmp_path: Path, file: str, statement: str, told: str) -> None:
    """Each spelling of a wrong import is found, with file and line."""
    module = tmp_path / "leadsman" / file
    module.parent.mkdir(parents=True)
    module.write_text(f'"""Planted."""\n\n{statement}\n', encoding="utf-8")

    (found,) = violations(tmp_path / "leadsman")

    assert found.startswith((f"{file}:{3 + statement.count(chr(10))}: ", "novelty.py: "))
    assert told in found


@pytest.mark.parametrize(
    ("file", "statement"),
    [
        ("compute/water/by_water.py", "import math\nimport numpy as np\nfrom scipy import special"),
        (
            "compute/water/by_water.py",
            "from leadsman.compute import sound_speed\nfrom . import beam\nfrom .beam import width",
        ),
        ("cli.py", "from leadsman import __version__"),
        ("commands/calc.py", "from leadsman import units, errors\nimport leadsman.compute.registry"),
    ],
)
def test_a_right_import_passes(tmp_path: Path, file: str, statement: str) -> None:
    """The check does not cry wolf."""
    module = tmp_path / "leadsman" / file
    module.parent.mkdir(parents=True)
    module.write_text(statement, encoding="utf-8")

    assert violations(tmp_path / "leadsman") == []


# --- which tests take the content of the project

#: What makes or draws the project's content for tests.
HELPERS = {"built.py", "drawn.py"}
#: Tests of what is finished: files, pictures and commands as the project ships them.
FINISHED = {
    "output/figures/test_all_pictures.py",
    "output/figures/test_contents.py",
    "output/figures/test_geometry.py",
    "output/figures/test_supply.py",
    "output/figures/test_validated.py",
    "output/test_case_pages.py",
    "output/test_deck.py",
    "output/test_epub_browser.py",
    "output/test_guide.py",
    "output/test_handbook.py",
    "output/test_handbook_epub.py",
    "output/test_record.py",
    "output/test_telephone.py",
    # The words of the small content are a copy of those that ship.
    "output/test_words.py",
    # A filled record is read back; the preview shows every view; the walk through the README.
    "commands/test_tally.py",
    "preview/test_preview_browser.py",
    "test_readme.py",
    # Every rule on much content: the same with the store as without.
    "test_store.py",
    # No formula that nothing uses: the content is among the users.
    "compute/test_registry.py",
}
#: Folders whose tests are of the project's content, and measurements that nobody runs by default.
DEMO = ("demo", "bench")
_READERS = {"built": {"catalogue", "content", "edition", "make"}, "drawn": {"everything"}}


def takes_content(text: str) -> list[int]:
    """The lines of a test file at which it takes the content of the project."""
    return sorted({node.lineno for node in ast.walk(ast.parse(text)) if _takes(node)})  # type: ignore[attr-defined]


def _takes(node: ast.AST) -> bool:
    if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
        return node.attr in _READERS.get(node.value.id, ())
    if isinstance(node, ast.ImportFrom):
        known = _READERS.get(node.module or "", set())
        return (node.module or "").split(".")[0] == "demo" or any(name.name in known for name in node.names)
    if isinstance(node, ast.Call):
        named = isinstance(node.func, ast.Name) and node.func.id == "data_folder"
        return named and any(_is_content(word) for word in node.args)
    return isinstance(node, ast.BinOp) and _is_content(node.right) and _is_root(node.left)


def _is_content(node: ast.AST) -> bool:
    word = node.value if isinstance(node, ast.Constant) else ""
    return isinstance(word, str) and word.partition("/")[0] == "content"


def _is_root(node: ast.AST) -> bool:
    """Whether an expression names the checkout: ``repository``, ``ROOT`` or a parent of the file itself."""
    name = node.id if isinstance(node, ast.Name) else node.attr if isinstance(node, ast.Attribute) else ""
    parent = isinstance(node, ast.Subscript) and isinstance(node.value, ast.Attribute)
    return name in ("ROOT", "REPOSITORY", "repository") or (parent and node.value.attr == "parents")  # type: ignore[attr-defined]


def test_only_tests_of_the_project_take_its_content(repository: Path) -> None:
    """Whatever else is tested takes the small content, or records of its own; and the list has no stale name."""
    tests = repository / "tests"
    files = {path.relative_to(tests).as_posix(): path for path in sorted(tests.rglob("*.py"))}
    taking = {
        name: lines
        for name, path in files.items()
        if not name.startswith(tuple(f"{folder}/" for folder in DEMO))
        and (lines := takes_content(path.read_text(encoding="utf-8")))
    }
    assert {name: lines for name, lines in taking.items() if name not in FINISHED | HELPERS} == {}
    assert set(taking) == FINISHED | HELPERS


@pytest.mark.parametrize(
    ("line", "taken"),
    [
        ("catalogue = load(repository / 'content')", True),
        ("catalogue = load(ROOT / 'content')", True),
        ("text = (built.ROOT / 'content/values.yaml').read_text()", True),
        ("found = load(Path(__file__).resolve().parents[2] / 'content')", True),
        ("catalogue = load(data_folder('content'))", True),
        ("catalogue, _ = built.content()", True),
        ("deck = built.edition(built.SHEETS)", True),
        ("figure = drawn.everything()['probes']", True),
        ("from built import make", True),
        ("from demo.conftest import book", True),
        ("catalogue = load(small_content.FOLDER)", False),
        ("folder = shutil.copytree(small_content.FOLDER, tmp_path / 'content')", False),
        ("templates = data_folder('templates')", False),
        ("pages = built.page_spans(page)", False),
        ("templates = built.ROOT / 'templates'", False),
    ],
)
def test_a_test_that_takes_the_content_is_seen(line: str, taken: bool) -> None:
    assert bool(takes_content(line)) == taken
