"""Plant small mistakes in the program, one at a time, and tell which of them no test notices.

    python tests/bench/mutants.py build/leadsman/compute/supply --sample 60
    python tests/bench/mutants.py build/leadsman/content/rules --tests tests/content --sample 60
    python tests/bench/mutants.py build/leadsman/inspection --near
    python tests/bench/mutants.py build/leadsman/book --wide

A mistake is a turned comparison, an exchanged operator, a number that is a tenth off, a turned condition, ``and`` for
``or``, or a refusal left out. Declarations (decorators, annotations, docstrings, the ``strict`` of a ``zip``) are left
alone: ranges and sources have no other expectation than themselves. Each mistake is planted in a copy of the package,
the tests run against the copy until the first that fails, and the survivors are printed with file, line and change. The
share noticed is of those drawn.

With ``--near`` a mistake meets first the tests that call the changed function, and then, since what one test has put into
a cache another one may assert, the whole of each file that holds such a test. With ``--wide`` what survives that meets the
files of all other places whose imports lead to the changed module and of whose tests one calls the function.
"""

from __future__ import annotations

import argparse
import ast
import builtins
import functools
import importlib
import itertools
import os
import pickle
import random
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Generator, Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "build" / "leadsman"
TESTS = ROOT / "tests"
#: A mistake that makes the tests run for longer than this is noticed: they hang.
LONGEST_S = 300

#: The libraries are loaded before pytest could rewrite their assertions, which none of the tests needs.
QUIET = ("-W", "ignore::pytest.PytestAssertRewriteWarning")
#: What the tests import beside the package; loaded once.
SLOW = (
    "hypothesis",
    "scipy.optimize",
    "scipy.special",
    "scipy.integrate",
    "yaml",
    "pydantic",
    "lxml.etree",
    "pikepdf",
    "pymupdf",
    "weasyprint",
    "gsw",
    "iapws",
    "arlpy.uwa",
)
#: A time of change for each mistake, one second each.
MOMENTS = itertools.count(1)

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
    if isinstance(node, ast.Assign):
        # By itself, or one of a record of many.
        parts += [part for part in ast.walk(node.value) if _is_declared(part)]
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "zip":
        # Whether two lists must be of one length shows only where they are not, and then something else is wrong.
        parts += [keyword.value for keyword in node.keywords if keyword.arg == "strict"]
    if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
        parts.append(node)
    return parts


def _is_declared(part: ast.AST) -> bool:
    return (
        isinstance(part, ast.Call)
        and isinstance(part.func, ast.Name)
        and part.func.id in {"Number", "Choice", "Text", "Series", "Output", "TypeVar"}
    )


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


def chosen_tests(path: Path, given: list[str]) -> list[tuple[str, ...]]:
    """The runs for a file: the tests given, or those of its topic after its reference rows. One for each file of tests."""
    parts = path.relative_to(PACKAGE).parts
    if not given and parts[0] == "compute" and len(parts) > 2:
        topic = ("-k", parts[1])
        rows = ("tests/compute/test_reference_rows.py", "-k", f"{parts[1]}.")
        return [rows, *each_file(f"tests/compute/{parts[1]}"), ("tests/compute/test_arrays.py", *topic)]
    return [run for place in given or [f"tests/{parts[0]}"] for run in each_file(place)]


def each_file(place: str) -> list[tuple[str, ...]]:
    """A run for each file of tests in a place."""
    if not Path(place).is_dir():
        return [(place,)]
    return [(str(file),) for file in sorted(Path(place).rglob("test_*.py"))]


@functools.cache
def imported(file: Path) -> frozenset[Path]:
    """The modules of the package and the helpers of the tests that a file imports itself."""
    found: set[Path] = set()
    for node in ast.walk(ast.parse(file.read_bytes())):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [each.name for each in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module, *(f"{node.module}.{each.name}" for each in node.names)]
        for name in names:
            parts = name.split(".")
            place = PACKAGE.joinpath(*parts[1:]) if parts[0] == PACKAGE.name else TESTS.joinpath(*parts)
            found |= {each for each in (place.with_suffix(".py"), place / "__init__.py") if each.is_file()}
    if file == PACKAGE / "cli.py":
        # The commands are imported by their names.
        found |= set((PACKAGE / "commands").glob("*.py"))
    return frozenset(found)


@functools.cache
def leads_to(file: Path) -> frozenset[Path]:
    """All modules to which the imports of a file lead."""
    found, left = {file}, [file]
    while left:
        new = imported(left.pop()) - found
        found |= new
        left += new
    return frozenset(found)


def wider_tests(paths: set[Path], known: set[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """A run for each file of tests whose imports lead to one of some modules, less the runs that are known."""
    return [
        (name,)
        for file in sorted(TESTS.rglob("test_*.py"))
        if (name := str(file.relative_to(ROOT)),) not in known
        and file.parent != TESTS / "bench" and leads_to(file) & paths
    ]  # fmt: skip


#: How pytest ends when it has told of its tests: all pass, some fail, there are none.
TOLD = frozenset({pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED, pytest.ExitCode.NO_TESTS_COLLECTED})
#: What a function of the telling copy calls.
REACHED = "_leadsman_reached"
#: Where a function is written: its module, its first line.
Place = tuple[str, int]


class Reached:
    """Notes which functions of the copy each test of a run calls."""

    def __init__(self) -> None:
        self.test = ""
        self.fixtures: list[str] = []
        self.tests: dict[Place, set[str]] = {}
        self.failed: set[str] = set()

    def pytest_collection_finish(self, session: pytest.Session) -> None:
        self.items = session.items

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        self.test = nodeid

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: pytest.FixtureDef[object]) -> Generator[None, object, object]:
        shared = fixturedef.scope != "function"
        self.fixtures += [fixturedef.argname] * shared
        try:
            return (yield)
        finally:
            del self.fixtures[len(self.fixtures) - shared :]

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.add(report.nodeid)

    def __call__(self, file: str, line: int) -> None:
        # What a shared fixture calls, all tests call that ask for it.
        self.tests.setdefault((file, line), set()).add(self.fixtures[0] if self.fixtures else self.test)

    def by_place(self) -> dict[Place, set[str]]:
        """The tests that call each function."""
        asking: dict[str, set[str]] = {}
        for item in self.items:
            for name in getattr(item, "fixturenames", ()):
                asking.setdefault(name, set()).add(item.nodeid)
        return {
            place: {t for name in names for t in asking.get(name, {name})}
            for place, names in self.tests.items()
        }


class First:
    """Puts the tests that call a function before the others of their run, and leaves out what fails anyway.

    With ``alone`` the others are left out as well.
    """

    def __init__(self, tests: set[str], failed: set[str], *, alone: bool) -> None:
        self.tests = tests
        self.failed = failed
        self.alone = alone

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted(
            (
                item
                for item in items
                if item.nodeid not in self.failed and (not self.alone or item.nodeid in self.tests)
            ),
            key=lambda item: item.nodeid not in self.tests,
        )


class OneWorker:
    """What the tests ask of the runner that is left out here."""

    @pytest.fixture(scope="session")
    @classmethod
    def worker_id(cls) -> str:
        """Return the name that a process without workers has."""
        return "master"


class Run(NamedTuple):
    """A run of tests on the sound copy: what pytest is given, which tests fail, what the tests call, its seconds."""

    given: tuple[str, ...]
    failed: set[str]
    reached: dict[Place, set[str]]
    seconds: float


def tried(given: tuple[str, ...], copy: Path, *, near: bool) -> Run:
    """Run tests on the sound copy and note which fail, and with ``near`` what they call."""
    began = time.monotonic()
    note = copy / "reached"
    tried_on = telling(copy) if near else copy

    def noted() -> bool:
        reached = Reached()
        vars(builtins)[REACHED] = reached
        if pytest.main([*options(tried_on), *given], plugins=[reached, OneWorker()]) not in TOLD:
            # A file that cannot even be collected would seem to notice every mistake.
            reached.failed.add(given[0])
        note.write_bytes(pickle.dumps((reached.failed, reached.by_place())))
        return True

    if not in_a_fork(noted, 4 * LONGEST_S):
        raise SystemExit(f"{given} end without any mistake")
    return Run(given, *pickle.loads(note.read_bytes()), time.monotonic() - began)


def copied(folder: Path) -> Path:
    """A copy of the package below a folder, beside the folders of the checkout in which it looks."""
    for name in ("content", "templates", "tests"):
        (folder / name).symlink_to(ROOT / name)
    return Path(shutil.copytree(PACKAGE, folder / "build" / "leadsman")).parent


@functools.cache
def telling(copy: Path) -> Path:
    """A second copy, in which each function tells that it is called."""
    package = copy.parent / "telling" / "leadsman"
    shutil.copytree(copy / "leadsman", package, ignore=shutil.ignore_patterns("__pycache__"))
    for file in package.rglob("*.py"):
        _make_telling(file, str(file.relative_to(package)))
    # A process that the program starts begins without it and has nobody to tell.
    first = package / "__init__.py"
    silent = f"vars(__import__('builtins')).setdefault({REACHED!r}, lambda *place: None)"
    first.write_text(f"{first.read_text(encoding='utf-8')}\n{silent}\n", encoding="utf-8")
    return package.parent


def _make_telling(file: Path, name: str) -> None:
    """Let each function of a file tell that it is called: to watch every call of every library takes many times as long."""
    tree = ast.parse(file.read_bytes())
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            call = ast.parse(f"{REACHED}({name!r}, {_begins(node)})").body
            node.body[bool(ast.get_docstring(node)) : 0] = call
    ast.fix_missing_locations(tree)
    file.write_text(ast.unparse(tree), encoding="utf-8")


def _begins(function: ast.FunctionDef) -> int:
    return min(each.lineno for each in (function, *function.decorator_list))


def place_of(mutant: Mutant, source: bytes) -> Place | None:
    """The function that a mistake is in; none where it is in the module itself or in the body of a class."""
    line = mutant.line
    around = [
        node
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.FunctionDef) and node.body[0].lineno <= line <= (node.end_lineno or 0)
    ]
    if not around:
        return None
    inner = max(around, key=lambda node: node.lineno)
    return str(mutant.path.relative_to(PACKAGE)), _begins(inner)


def is_noticed(
    mutant: Mutant, copy: Path, runs: list[Run], *, near: bool = False, alone: bool = True
) -> bool:
    """Whether a test fails on the copy of the package with the mistake in it.

    The runs of the file's own tests come first, then the quickest; with ``near`` only files of which a test calls the
    function, and ``alone`` only these tests of them.
    """
    target = copy / "leadsman" / mutant.path.relative_to(PACKAGE)
    source, changed_at = target.read_bytes(), target.stat().st_mtime_ns
    place = place_of(mutant, source) if near else None
    mirror = f"test_{mutant.path.stem}.py"
    chosen = [
        run for run in runs if (place is None or place in run.reached) and run.given[0] not in run.failed
    ]
    chosen.sort(key=lambda run: (not run.given[0].endswith(mirror), run.seconds))
    target.write_bytes(source[: mutant.start] + mutant.new.encode() + source[mutant.end :])
    # Compiled text is told by second and size of its source: two mistakes within a second would be taken for one.
    os.utime(target, (next(MOMENTS),) * 2)
    try:
        for run in joined(chosen, mirror):
            reaching = run.reached.get(place, set()) if place else set()
            first = First(reaching, run.failed, alone=near and alone and place is not None)

            def made(run: Run = run, first: First = first) -> bool:
                return pytest.main(["-x", *options(copy), *run.given], plugins=[first, OneWorker()]) in {0, 5}

            if not in_a_fork(made, LONGEST_S + 2 * run.seconds):
                return True
        return False
    finally:
        # From the copy and not from the checkout, which somebody may be working on.
        target.write_bytes(source)
        os.utime(target, ns=(changed_at, changed_at))


def joined(runs: list[Run], mirror: str) -> list[Run]:
    """The run of a file's own tests by itself, and all others that only name a file as one: each loads the package anew."""
    alone = [run for run in runs if run.given[0].endswith(mirror) or len(run.given) > 1]
    rest = [run for run in runs if run not in alone]
    if len(rest) < 2:
        return runs
    reached: dict[Place, set[str]] = {}
    for run in rest:
        for place, tests in run.reached.items():
            reached.setdefault(place, set()).update(tests)
    given = tuple(run.given[0] for run in rest)
    failed = {test for run in rest for test in run.failed}
    return [*alone, Run(given, failed, reached, sum(run.seconds for run in rest))]


def options(copy: Path) -> list[str]:
    """What each run is told: above all to take the package from the copy."""
    quiet = ["-q", "-p", "no:cacheprovider", "-p", "no:xdist", *QUIET]
    return [*quiet, "-o", f"pythonpath={copy} tests"]


def in_a_fork(passing: Callable[[], bool], longest_s: float = LONGEST_S) -> bool:
    """Whether tests pass in a fork of this process, which has the slow libraries loaded; a run that takes longer fails."""
    child = os.fork()
    if not child:
        failed = True
        try:
            # By the processor's clock: on a busy machine a run takes many times as long.
            signal.setitimer(signal.ITIMER_PROF, longest_s)
            signal.alarm(round(10 * longest_s))
            silence = os.open(os.devnull, os.O_WRONLY)
            os.dup2(silence, 1)
            os.dup2(silence, 2)
            for name in _loaded_of_the_checkout():
                del sys.modules[name]
            failed = not passing()
        finally:  # whatever happens: the folder of the copy is the parent's to remove
            os._exit(int(failed))
    return os.waitpid(child, 0)[1] == 0


def _loaded_of_the_checkout() -> list[str]:
    """What the caller has loaded of the package, and of tests that hold on to it: not that of the copy."""
    return [
        name
        for name, module in sys.modules.items()
        if name != "__main__" and (file := getattr(module, "__file__", None))
        and Path(file).is_relative_to(ROOT) and not Path(file).is_relative_to(ROOT / ".venv")
    ]  # fmt: skip


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
    parser.add_argument(
        "--near", action="store_true", help="only tests that call the function: quicker with many tests"
    )
    parser.add_argument(
        "--wide",
        action="store_true",
        help="as --near, and the survivors meet the tests of all other places (this takes many minutes more)",
    )
    arguments = parser.parse_args()
    near = arguments.near or arguments.wide
    files = sorted({f.resolve() for p in arguments.paths for f in (p.rglob("*.py") if p.is_dir() else [p])})
    os.chdir(ROOT)
    sys.path[:] = [place for place in sys.path if Path(place or ".").resolve() != PACKAGE.parent]
    for library in SLOW:
        importlib.import_module(library)
    every = [mutant for path in files for mutant in mutants(path)]
    drawn = random.Random(arguments.seed).sample(every, min(arguments.sample, len(every)))
    with tempfile.TemporaryDirectory() as folder:
        copy = copied(Path(folder))
        wanted = {mutant.path: chosen_tests(mutant.path, arguments.tests) for mutant in drawn}
        given = list(dict.fromkeys(g for each in wanted.values() for g in each))
        runs = {each: tried_aloud(each, copy, near=near) for each in given}
        survivors = []
        for number, mutant in enumerate(drawn):
            if number % 10 == 0:
                print(f"{number} tried, {len(survivors)} not noticed", file=sys.stderr, flush=True)
            own = [runs[each] for each in wanted[mutant.path]]
            if not is_noticed(mutant, copy, own, near=near) and not (
                near and is_noticed(mutant, copy, own, near=True, alone=False)
            ):
                survivors.append(mutant)
                if not arguments.wide:
                    print(told(mutant), flush=True)
        if arguments.wide and survivors:
            survivors = left_by_the_wider(survivors, copy, set(given))
    print(f"{len(drawn) - len(survivors)} of {len(drawn)} noticed, of {len(every)} that could be planted")
    return 0


def tried_aloud(given: tuple[str, ...], copy: Path, *, near: bool) -> Run:
    """Try a run on the sound copy and tell which of its tests fail there: none of them can notice anything."""
    run = tried(given, copy, near=near)
    for failed in sorted(run.failed):
        print(f"left out, since it fails without any mistake: {failed}", file=sys.stderr, flush=True)
    return run


def told(mutant: Mutant) -> str:
    """A line on a mistake: where it is, and what became of what."""
    return f"{mutant.path.relative_to(ROOT)}:{mutant.line}: {mutant.old!r} became {mutant.new!r}"


def left_by_the_wider(survivors: list[Mutant], copy: Path, known: set[tuple[str, ...]]) -> list[Mutant]:
    """Those of some mistakes that the tests of no other place notice either; each is printed."""
    places = {mutant.path for mutant in survivors}
    runs = [tried_aloud(given, copy, near=True) for given in wider_tests(places, known)]
    slowest = sorted(runs, key=lambda run: -run.seconds)[:5]
    print(
        f"{len(survivors)} meet the tests of other places; "
        f"the slowest: {', '.join(f'{run.given[0]} {run.seconds:.0f} s' for run in slowest)}",
        file=sys.stderr,
        flush=True,
    )
    left = []
    for mutant in survivors:
        fitting = [run for run in runs if mutant.path in leads_to(ROOT / run.given[0])]
        if not is_noticed(mutant, copy, fitting, near=True, alone=False):
            left.append(mutant)
            print(told(mutant), flush=True)
    return left


if __name__ == "__main__":
    sys.exit(main())
