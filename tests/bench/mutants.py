"""Plant small mistakes in the program, one at a time, and tell which of them no test notices.

    python tests/bench/mutants.py build/leadsman/compute/supply --sample 60
    python tests/bench/mutants.py build/leadsman/content/rules --tests tests/content --sample 60

A mistake is a turned comparison, an exchanged operator, a number that is a tenth off, a turned condition, ``and`` for
``or``, or a refusal left out. Declarations (decorators, annotations, docstrings) are left alone: ranges and sources have
no other expectation than themselves. Each mistake is planted in a copy of the package, the tests run against the copy
until the first that fails, and the survivors are printed with file, line and change. The share noticed is of those drawn.
"""

from __future__ import annotations

import argparse
import ast
import importlib
import os
import random
import shutil
import signal
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "build" / "leadsman"
#: A mistake that makes the tests run for longer than this is noticed: they hang.
LONGEST_S = 300

#: The libraries are loaded before pytest could rewrite their assertions, which none of the tests needs.
QUIET = ("-W", "ignore::pytest.PytestAssertRewriteWarning")
#: What the tests of the formulas import beside the package; loaded once.
SLOW = (
    "hypothesis",
    "scipy.optimize",
    "scipy.special",
    "scipy.integrate",
    "yaml",
    "gsw",
    "iapws",
    "arlpy.uwa",
)

COMPARISONS = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
OPERATORS = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd, ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult,
}  # fmt: skip


class Mutant(NamedTuple):
    """One mistake: the file, the place in it, what stands there and what is put in its place."""

    path: Path
    start: int
    end: int
    line: int
    old: str
    new: str


def mutants(path: Path) -> Iterator[Mutant]:
    """Every mistake that can be planted in a file."""
    source = path.read_text(encoding="utf-8")
    starts = [0]
    for line in source.encode().splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    tree = ast.parse(source)
    declared = {
        id(part) for node in ast.walk(tree) for each in _declarations(node) for part in ast.walk(each)
    }
    for node in ast.walk(tree):
        if id(node) in declared or not isinstance(node, ast.expr | ast.stmt):
            continue
        first = starts[node.lineno - 1] + node.col_offset
        last = starts[(node.end_lineno or node.lineno) - 1] + (node.end_col_offset or 0)
        for new in _changed(node):
            yield Mutant(path, first, last, node.lineno, source.encode()[first:last].decode(), new)


def _declarations(node: ast.AST) -> list[ast.AST]:
    """The parts of a node that declare and do not compute."""
    parts: list[ast.AST] = []
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        parts += node.decorator_list
    if isinstance(node, ast.FunctionDef):
        parts += [node.args, *([node.returns] if node.returns else [])]
    if isinstance(node, ast.AnnAssign):
        parts.append(node.annotation)
    if isinstance(node, ast.Assign) and isinstance(node.value, ast.Call):
        called = node.value.func
        if isinstance(called, ast.Name) and called.id in {
            "Number",
            "Choice",
            "Text",
            "Series",
            "Output",
            "TypeVar",
        }:
            parts.append(node.value)
    if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
        parts.append(node)
    return parts


def _changed(node: ast.AST) -> Iterator[str]:
    """The same node with a mistake in it, as source text."""
    if isinstance(node, ast.Compare) and len(node.ops) == 1 and type(node.ops[0]) in COMPARISONS:
        yield ast.unparse(ast.Compare(node.left, [COMPARISONS[type(node.ops[0])]()], node.comparators))
    if isinstance(node, ast.BinOp) and type(node.op) in OPERATORS and not _is_text(node):
        yield f"({ast.unparse(ast.BinOp(node.left, OPERATORS[type(node.op)](), node.right))})"
    if isinstance(node, ast.BoolOp):
        other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        yield f"({ast.unparse(ast.BoolOp(other, node.values))})"
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield f"({ast.unparse(node.operand)})"
    if isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield str(not node.value)
    elif isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        yield repr(node.value + 1 if isinstance(node.value, int) else node.value * 1.1 or 0.1)
    if isinstance(node, ast.IfExp):
        yield f"({ast.unparse(ast.IfExp(ast.UnaryOp(ast.Not(), node.test), node.body, node.orelse))})"
    if isinstance(node, ast.Raise):
        yield "pass"


def _is_text(node: ast.BinOp) -> bool:
    """Whether an operator works on text, where another one would only be a type error."""
    return any(
        isinstance(side, ast.JoinedStr) or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in (node.left, node.right)
    )


def chosen_tests(path: Path, given: list[str]) -> list[list[str]]:
    """The runs for a file, the quickest first: the tests given, or those of its topic after its reference rows."""
    if given:
        return [given]
    parts = path.relative_to(PACKAGE).parts
    if parts[0] != "compute" or len(parts) < 3:
        return [[f"tests/{parts[0]}"]]
    rows = ["tests/compute/test_reference_rows.py", "-k", f"{parts[1]}."]
    return [rows, [f"tests/compute/{parts[1]}", "tests/compute/test_arrays.py", "-k", parts[1]]]


def is_noticed(mutant: Mutant, copy: Path, runs: list[list[str]]) -> bool:
    """Whether a test fails on the copy of the package with the mistake in it."""
    target = copy / "leadsman" / mutant.path.relative_to(PACKAGE)
    source = mutant.path.read_bytes()
    target.write_bytes(source[: mutant.start] + mutant.new.encode() + source[mutant.end :])
    try:
        return not passes(copy, runs)
    finally:
        target.write_bytes(source)


def passes(copy: Path, runs: list[list[str]]) -> bool:
    """Whether all tests pass on the copy as it is.

    They run in a fork of this process, which has the slow libraries loaded and nothing of the package.
    """
    child = os.fork()
    if not child:
        failed = True
        try:
            signal.alarm(LONGEST_S)
            silence = os.open(os.devnull, os.O_WRONLY)
            os.dup2(silence, 1)
            os.dup2(silence, 2)
            options = [
                "-q",
                "-x",
                "-p",
                "no:cacheprovider",
                "-p",
                "no:xdist",
                *QUIET,
                "-o",
                f"pythonpath={copy} tests",
            ]
            failed = any(pytest.main([*options, *run]) for run in runs)
        finally:  # whatever happens: the folder of the copy is the parent's to remove
            os._exit(int(failed))
    return os.waitpid(child, 0)[1] == 0


def main() -> int:
    """Draw the mistakes, plant one after the other, and tell the share noticed and the survivors."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("paths", nargs="+", type=Path, help="modules or folders of build/leadsman")
    parser.add_argument(
        "--tests", nargs="+", default=[], help="tests to run (default: those that mirror each file)"
    )
    parser.add_argument("--sample", type=int, default=50, help="how many mistakes to draw (%(default)s)")
    parser.add_argument("--seed", type=int, default=1, help="which ones (%(default)s)")
    arguments = parser.parse_args()
    files = sorted({f.resolve() for p in arguments.paths for f in (p.rglob("*.py") if p.is_dir() else [p])})
    os.chdir(ROOT)
    sys.path[:] = [place for place in sys.path if Path(place or ".").resolve() != PACKAGE.parent]
    for library in SLOW:
        importlib.import_module(library)
    every = [mutant for path in files for mutant in mutants(path)]
    drawn = random.Random(arguments.seed).sample(every, min(arguments.sample, len(every)))
    survivors = 0
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(shutil.copytree(PACKAGE, Path(folder) / "leadsman")).parent
        for runs in {str(r): r for r in (chosen_tests(m.path, arguments.tests) for m in drawn)}.values():
            if not passes(copy, runs):
                print(f"{runs} fail without any mistake", file=sys.stderr)
                return 1
        for mutant in drawn:
            if not is_noticed(mutant, copy, chosen_tests(mutant.path, arguments.tests)):
                survivors += 1
                where = mutant.path.relative_to(ROOT)
                print(f"{where}:{mutant.line}: {mutant.old!r} became {mutant.new!r}", flush=True)
    print(f"{len(drawn) - survivors} of {len(drawn)} noticed, of {len(every)} that could be planted")
    return 0


if __name__ == "__main__":
    sys.exit(main())
