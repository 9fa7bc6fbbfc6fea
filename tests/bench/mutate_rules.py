"""Change the rules of the content one small thing at a time, and tell which changes no breaking case notices.

Run it from the checkout: ``python tests/bench/mutate_rules.py [--most N] [--seed S] [--tests PATH ...] [MODULE ...]``. A mutant is one
changed comparison, condition, operator or number of a module in ``content/rules``. It is noticed when a case of
``tests/content/test_rules.py`` no longer breaks its rule alone and in its words, or when the small content or that of
the project breaks one. Other tests notice more, so that this share is a lower bound; with ``--tests`` those that are left are
planted in a copy of the program, and the tests of that place run over it.
"""

from __future__ import annotations

import argparse
import ast
import copy
import importlib
import os
import random
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "tests" / "content"), str(ROOT / "tests" / "bench")]

import mutants  # noqa: E402
import test_rules  # noqa: E402

import small_content  # noqa: E402
from leadsman.content.catalogue import Catalogue  # noqa: E402
from leadsman.content.rules import RULES, Context  # noqa: E402

FOLDER = ROOT / "build" / "leadsman" / "content" / "rules"
#: Modules without rules of their own, and what they need of other places.
SKIPPED = {"__init__", "followers"}
COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
COUNTED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """A module with one change: where, what, and the whole changed tree."""

    module: str
    line: int
    what: str
    tree: ast.Module


def spots(module: str) -> Iterator[tuple[str, int, int]]:
    """Where a module can be changed: its name, the node by its place in the tree, and which change."""
    tree = ast.parse((FOLDER / f"{module}.py").read_text(encoding="utf-8"))
    # The unions of annotations are no operators.
    typed = {id(n) for a in ast.walk(tree) for n in _annotations(a)}
    for index, node in enumerate(ast.walk(tree)):
        if id(node) not in typed and isinstance(
            node, ast.Compare | ast.BoolOp | ast.BinOp | ast.If | ast.IfExp | ast.UnaryOp | ast.Constant
        ):
            # The change is tried on a copy of the node alone.
            yield from (
                (module, index, choice) for choice in range(2) if _change(copy.deepcopy(node), choice)
            )


def _annotations(node: ast.AST) -> Iterator[ast.AST]:
    for name in ("annotation", "returns"):
        if isinstance(found := getattr(node, name, None), ast.AST):
            yield from ast.walk(found)


def mutant_of(module: str, index: int, choice: int) -> Mutant:
    """The module with the change at one spot."""
    tree = ast.parse((FOLDER / f"{module}.py").read_text(encoding="utf-8"))
    node = next(n for i, n in enumerate(ast.walk(tree)) if i == index)
    what = _change(node, choice)
    return Mutant(module, getattr(node, "lineno", 0), what, ast.fix_missing_locations(tree))


def _change(node: ast.AST, choice: int) -> str:
    """Change a node in place; what was changed, or nothing where there is no such change."""
    if isinstance(node, ast.Compare) and choice == 0 and type(node.ops[0]) in COMPARED:
        old, new = type(node.ops[0]), COMPARED[type(node.ops[0])]
        node.ops[0] = new()
        return f"{old.__name__} to {new.__name__}"
    if isinstance(node, ast.BoolOp) and choice == 0:
        node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        return "and for or"
    if isinstance(node, ast.BinOp) and choice == 0 and type(node.op) in COUNTED:
        old_operator = type(node.op)
        node.op = COUNTED[old_operator]()
        return f"{old_operator.__name__} exchanged"
    if isinstance(node, ast.If | ast.IfExp) and choice < 2:
        node.test = ast.Constant(bool(choice))
        return f"condition always {bool(choice)}"
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not) and choice == 0:
        node.operand = ast.UnaryOp(ast.Not(), node.operand)
        return "not dropped"
    if isinstance(node, ast.Constant) and type(node.value) in (int, float) and choice == 0:
        node.value += 1
        return "number plus one"
    return ""


@dataclass
class Trial:
    """A content with what its rules must say: one rule in some words, or nothing at all."""

    catalogue: Catalogue
    rule: str
    says: str

    @cached_property
    def context(self) -> Context:
        """What the rules look at; no rule changes it, so that every mutant may have the same."""
        return Context(self.catalogue)


def trials(folder: Path) -> list[Trial]:
    """Every breaking case as a catalogue, and the contents that break nothing: the small one, and the lawful edits."""
    made = [
        Trial(small_content.edited(*case.edits), case.rule, case.says)
        for number, case in enumerate(test_rules.CASES)
    ]
    lawful = [small_content.edited(*edits) for edits in test_rules.LAWFUL.values()]
    return [*made, *(Trial(catalogue, "", "") for catalogue in (small_content.edited(), *lawful))]


def unlike(trial: Trial, rules: list[str]) -> bool:
    """Whether the rules of one module say anything else of a trial than they must."""
    found = [(name, problem) for name in rules for problem in RULES[name].find(trial.context)]
    if trial.rule not in rules:
        return bool(found)
    told = any(trial.says in f"{problem.what}; {problem.hint}" for _, problem in found)
    return {name for name, _ in found} != {trial.rule} or not told


def is_noticed(mutant: Mutant, module: ModuleType, rules: list[str], tried: list[Trial]) -> bool:
    """Put a mutant in the place of its module, try it, and put the module back."""
    kept, known = dict(module.__dict__), {name: RULES.pop(name) for name in rules}
    try:
        exec(compile(mutant.tree, mutant.module, "exec"), module.__dict__)
        # What it does to its own cases tells most; the others are tried after them.
        return any(unlike(trial, rules) for trial in sorted(tried, key=lambda trial: trial.rule not in rules))
    except Exception:
        return True
    finally:
        module.__dict__.clear()
        module.__dict__.update(kept)
        RULES.update(known)


def unnoticed(survivors: list[Mutant], places: list[str]) -> list[Mutant]:
    """Those of the mutants that no test of some places notices either, each planted in a copy of the program."""
    os.chdir(ROOT)
    sys.path[:] = [place for place in sys.path if Path(place or ".").resolve() != mutants.PACKAGE.parent]
    with tempfile.TemporaryDirectory() as folder:
        copied = mutants.copied(Path(folder))
        runs = [
            mutants.tried(given, copied, near=True) for place in places for given in mutants.each_file(place)
        ]
        return [
            mutant
            for mutant in survivors
            if not mutants.is_noticed(_planted(mutant), copied, runs, near=True)
        ]


def _planted(mutant: Mutant) -> mutants.Mutant:
    """A changed tree as a change of the whole file."""
    path = FOLDER / f"{mutant.module}.py"
    source = path.read_text(encoding="utf-8")
    return mutants.Mutant(path, 0, len(source.encode()), mutant.line, source, ast.unparse(mutant.tree))


def main() -> int:
    parser = argparse.ArgumentParser(description="Change the rules one small thing at a time.")
    parser.add_argument("modules", nargs="*", help="modules of content/rules; left out, all")
    parser.add_argument("--most", type=int, default=300, help="so many mutants, drawn at random")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--tests", nargs="+", default=[], help="what else may notice: files or folders of tests"
    )
    arguments = parser.parse_args()
    names = arguments.modules or sorted(p.stem for p in FOLDER.glob("*.py") if p.stem not in SKIPPED)
    found = [spot for name in names for spot in spots(name)]
    random.Random(arguments.seed).shuffle(found)
    drawn = [mutant_of(*spot) for spot in sorted(found[: arguments.most])]
    with tempfile.TemporaryDirectory() as folder:
        tried = trials(Path(folder))
        survivors = []
        for mutant in drawn:
            module = importlib.import_module(f"leadsman.content.rules.{mutant.module}")
            rules = [name for name, rule in RULES.items() if rule.find.__module__ == module.__name__]
            if not is_noticed(mutant, module, rules, tried):
                survivors.append(mutant)
                print(f"{mutant.module}.py:{mutant.line}: {mutant.what}", flush=True)
    if arguments.tests:
        told_by_cases = len(drawn) - len(survivors)
        print(f"{told_by_cases} of {len(drawn)} noticed by the cases", flush=True)
        survivors = unnoticed(survivors, arguments.tests)
        for mutant in survivors:
            print(f"no test: {mutant.module}.py:{mutant.line}: {mutant.what}", flush=True)
    noticed = len(drawn) - len(survivors)
    print(f"{noticed} of {len(drawn)} mutants noticed, {noticed / max(len(drawn), 1):.0%}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
