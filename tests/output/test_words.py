"""No English sentence stands in a template or a module of the sheets: all words of the frame are content."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

#: Templates and modules that hold markup only.
TEMPLATES = ("ladder", "finder")
MODULES = ("output/deck.py", "output/finder.py", "book/rungs.py", "book/sheet_plan.py", "book/finder.py")
#: Two words in a row are words for a reader.
_WORDS = re.compile(r"[A-Za-z]{2,}[ ,.:]+[A-Za-z]{2,}")


def printed(template: str) -> str:
    """What a template prints by itself: without expressions, statements, comments, tags and entities."""
    text = re.sub(r"\{#.*?#\}|\{\{.*?\}\}|\{%.*?%\}", "\n", template, flags=re.S)
    return re.sub(r"<[^>]*>|&[#\w]+;", "\n", text)


def test_templates_hold_no_words(repository: Path) -> None:
    """Not even one word of the frame: "Bring" and "NO" are content as well."""
    found = {
        f"{path.name}: {word}"
        for folder in TEMPLATES
        for path in sorted((repository / "templates" / folder).glob("*.j2"))
        for word in re.findall(r"[A-Za-z]{2,}", printed(path.read_text(encoding="utf-8")))
    }
    assert found == set()


@pytest.mark.parametrize("module", MODULES)
def test_modules_hold_no_sentence_for_a_reader(repository: Path, module: str) -> None:
    """Strings of two words and more are documentation or the text of an error."""
    tree = ast.parse((repository / "build" / "leadsman" / module).read_text(encoding="utf-8"))
    allowed = {id(node) for error in ast.walk(tree) if _is_error(error) for node in ast.walk(error)}
    # Docstrings of modules, classes, functions and fields.
    allowed |= {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    words = [
        f"{node.lineno}: {node.value}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in allowed
        and _WORDS.search(node.value) and not re.search(r"[{}@]|: \d|asset:|\.j2|url\(|\\b", node.value)
    ]  # fmt: skip
    assert words == []


def _is_error(node: ast.AST) -> bool:
    """An error that is raised, or a line that is gathered for one."""
    if isinstance(node, ast.Raise):
        return True
    return isinstance(node, ast.FunctionDef) and node.name == "_too_tall"
