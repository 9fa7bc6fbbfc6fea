"""Work with a stranger's file in a process of its own, with stated limits of time and memory, that may be ended.

This is no wall against a program that takes the process over: it keeps damage, waste and endless work of a
misleading file away from the command, and tells it in one line.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import traceback
from collections.abc import Callable
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from leadsman.errors import LeadsmanError, OutputError, quoted
from leadsman.files import Refused, read_named

#: What a file may cost: writable memory [bytes], and seconds for itself and for each megabyte of it.
MEMORY = 2_000_000_000
SECONDS, SECONDS_A_MEGABYTE, MOST_SECONDS = 60.0, 60.0, 1200.0
#: The largest file that is read at all [bytes].
MOST_BYTES = 200_000_000


def stranger(path: Path) -> bytes:
    """The bytes of a file that a user named: through a link if need be, but a regular file of a sensible size."""
    try:
        return read_named(path, MOST_BYTES)
    except Refused as refused:
        if str(refused) == "is missing":
            raise OutputError(f"there is no file {path}") from None
        raise OutputError(f"{path} {refused}") from None


def seconds_for(path: Path) -> float:
    """How long a file may take [s], by its size."""
    try:
        size = path.stat().st_size
    except OSError:
        size = 0
    return min(SECONDS + SECONDS_A_MEGABYTE * size / 1e6, MOST_SECONDS)


def apart(function: Callable[..., Any], *given: Any, name: str, seconds: float, memory: int = MEMORY) -> Any:
    """What a function gives, called in a process of its own.

    Raises
    ------
    OutputError
        When it takes longer or needs more than it may, crashes, or raises whatever: one line, beginning with ``name``.
    """
    spawn = multiprocessing.get_context("spawn")
    ours, theirs = spawn.Pipe(duplex=False)
    process = spawn.Process(target=_child, args=(theirs, memory, function, given), daemon=True)
    process.start()
    theirs.close()
    try:
        answer = None
        if not ours.poll(seconds):
            raise OutputError(f"{name} takes longer than {seconds:.0f} s to read; refused")
        with contextlib.suppress(EOFError, OSError):
            answer = ours.recv()
        if answer is None:
            process.join(5)
            raise OutputError(f"{name} {_ended(process.exitcode, memory)}; refused")
    finally:
        ours.close()
        process.kill()
        process.join()
    kind, value = answer
    if kind == "done":
        return value
    raise OutputError(value if kind == "said" else f"{name} {value}")


def _ended(code: int | None, memory: int) -> str:
    if code is not None and code < 0:
        return f"ended the process that read it ({signal.Signals(-code).name})"
    return f"could not be read with {memory // 1_000_000} MB of memory"


def _child(answers: Connection, memory: int, function: Callable[..., Any], given: tuple[Any, ...]) -> None:
    from leadsman.processes import begin_worker

    begin_worker("")
    _quiet()
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource  # not everywhere

        resource.setrlimit(resource.RLIMIT_DATA, (memory, memory))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    answer = attempt(function, *given)
    try:
        answers.send(answer)
    except MemoryError:
        answers.send(("told", "needs more memory than it may have; refused"))


def attempt(function: Callable[..., Any], *given: Any) -> tuple[str, Any]:
    """``("done", result)``; ``("said", words)`` for what the function says; ``("told", words)``, which its name begins."""
    try:
        return "done", function(*given)
    except LeadsmanError as error:
        return "said", quoted(str(error), 300)
    except MemoryError:
        return "told", "needs more memory than it may have; refused"
    except Exception as error:
        # The libraries under the survey raise every kind of error at a damaged file.
        frames = [
            f for f in traceback.extract_tb(error.__traceback__) if "leadsman" in Path(f.filename).parts
        ]
        place = f" in {Path(frames[-1].filename).name}, line {frames[-1].lineno}" if frames else ""
        return (
            "told",
            f"cannot be read: it is damaged or not what it says ({type(error).__name__}{place}); refused",
        )


def _quiet() -> None:
    """The libraries write of their own to the terminal; what a stranger's file makes them say is not shown."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for number in (1, 2):
        os.dup2(nowhere, number)
    os.close(nowhere)
