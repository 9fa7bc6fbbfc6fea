"""Evaluate the formulas of an earlier revision: its own ``compute`` package in a process of its own.

Running a revision runs its program text. So that looking at a stranger's branch does not, only revisions
that the checkout's own HEAD already builds on are ever run; for any other one today's formulas stand in.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from leadsman.history.repository import HistoryError, Repository, Revision

#: A formula's name with its arguments, as text that is the same for the same call.
Call = tuple[str, str]

#: The folder of the formulas inside the package.
COMPUTE = "compute"
_TIMEOUT_S = 120

#: Reads calls from standard input and answers them; the package to ask is the first argument.
_ASK = """
import json, sys
sys.path.insert(0, sys.argv[1])
from leadsman.compute.registry import NoAnswer, formulas
known, answers = formulas(), []
def plain(value):
    return value if isinstance(value, (str, bool)) else float(value)
for name, text in json.load(sys.stdin):
    try:
        formula = known[name]
        result = formula(**json.loads(text))
        if hasattr(result, "_fields"):
            outputs = {field: plain(getattr(result, field)) for field in result._fields}
        else:
            outputs = {formula.outputs[0].name: plain(result)}
        answers.append({"outputs": outputs})
    except NoAnswer as reason:
        answers.append({"no_answer": str(reason)})
    except Exception as error:
        answers.append({"error": f"{type(error).__name__}: {error}"})
json.dump(answers, sys.stdout)
"""


@dataclass(frozen=True)
class Answer:
    """What a formula of an earlier revision gave: outputs by name, or no answer, or an error."""

    outputs: Mapping[str, Any] | None = None
    no_answer: str | None = None
    error: str | None = None


def call_of(name: str, arguments: Mapping[str, Any]) -> Call:
    """The call as a key.

    Examples
    --------
    >>> call_of("supply.fuse", {"current_a": 2.0})
    ('supply.fuse', '{"current_a": 2.0}')
    """
    return name, json.dumps(dict(arguments), sort_keys=True, default=float)


def package_path(repository: Repository) -> str | None:
    """Where the running program lies inside the repository; None when it comes from elsewhere."""
    package = Path(__file__).resolve().parents[1]
    try:
        return package.relative_to(repository.root).as_posix()
    except ValueError:
        return None


def ask(
    repository: Repository, revision: Revision, package: str, calls: Sequence[Call]
) -> dict[Call, Answer]:
    """Evaluate calls with the formulas of a revision."""
    with tempfile.TemporaryDirectory(prefix="leadsman-formulas-") as folder:
        target = Path(folder) / "leadsman"
        repository.extract(revision, f"{package}/{COMPUTE}", target / COMPUTE)
        # The formulas need nothing else of the package.
        (target / "__init__.py").write_text("", encoding="utf-8")
        try:
            done = subprocess.run(
                [sys.executable, "-I", "-B", "-c", _ASK, folder],
                input=json.dumps(calls),
                env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
                capture_output=True,
                text=True,
                timeout=_TIMEOUT_S,
                check=False,
            )
        except subprocess.TimeoutExpired:
            raise HistoryError(f"the formulas of {revision.label} did not answer in {_TIMEOUT_S} s") from None
    if done.returncode != 0:
        last = (done.stderr.strip().splitlines() or ["no message"])[-1]
        raise HistoryError(f"the formulas of {revision.label} cannot be run here ({last})")
    answers = json.loads(done.stdout)
    return {call: Answer(**answer) for call, answer in zip(calls, answers, strict=True)}
