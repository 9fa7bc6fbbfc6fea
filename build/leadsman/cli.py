"""The command line: one subcommand for each module of ``leadsman.commands``.

Exit codes: 0 all is well; 1 the content, or the values asked about, have problems, or something cannot be read
or written; 2 the command was called wrongly; 70 something went wrong inside leadsman; 130, 143, 129 it was stopped
by Ctrl-C or a signal.
"""

# argparse, not a larger library: every command here takes flags and plain words, and argparse costs no start-up
# time. What it lacks comes from rich (tables, colour) and argcomplete (the shell's completion), each when used.
from __future__ import annotations

import argparse
import contextlib
import errno
import importlib
import os
import signal
import sys
import threading
import traceback
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, NoReturn

from leadsman import __version__
from leadsman.commands.options import wrong_with_content
from leadsman.errors import LeadsmanError, MissingRecord, UsageError, visible

#: The commands in the order of the help. Each is a module ``leadsman.commands.<name>`` with
#: ``add(subparsers)``, which returns the parser that it added, and ``run(arguments)``, which returns
#: the exit code. The modules load at every start: they import anything heavy inside ``run``.
COMMANDS: tuple[str, ...] = (
    "check",
    "list",
    "show",
    "walk",
    "preview",
    "drill",
    "sound",
    "case",
    "tally",
    "table",
    "calc",
    "report",
    "changes",
    "build",
    "guides",
    "sheets",
    "survey",
    "new",
    "schema",
)


#: Shows where something went wrong inside the program; may stand anywhere.
TRACEBACK = "--traceback"
#: The exit code then (EX_SOFTWARE of the BSD sysexits).
INSIDE = 70
#: What the system answers when a disk, a quota or a limit is full.
_NO_ROOM = {errno.ENOSPC, errno.EFBIG, getattr(errno, "EDQUOT", errno.ENOSPC)}


class Parser(argparse.ArgumentParser):
    """An argument parser whose errors are raised, so that every mistake is reported in one way."""

    def error(self, message: str) -> NoReturn:
        raise UsageError(f"{message}; see {self.prog} --help")


def build_parser(commands: Sequence[str] = COMMANDS) -> argparse.ArgumentParser:
    """The whole command line, for the named commands."""
    parser = Parser(
        prog="leadsman",
        description="Make field handbooks for small-craft echosounder faults from checked YAML.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"leadsman {__version__}")
    parser.add_argument(
        TRACEBACK, action="store_true", help="show where it is when something goes wrong inside"
    )
    subparsers = parser.add_subparsers(
        dest="command", metavar="COMMAND", title="commands", parser_class=Parser
    )
    for name in commands:
        module = importlib.import_module(f"leadsman.commands.{name}")
        module.add(subparsers).set_defaults(run=module.run)
    return parser


class Stopped(KeyboardInterrupt):
    """The system or a user asked the command to end; everything is cleaned up as after Ctrl-C."""

    def __init__(self, number: int) -> None:
        self.number = number
        super().__init__(number)


def main(argv: Sequence[str] | None = None) -> NoReturn:
    """Run the command and leave with its exit code; a mistake prints one message, no traceback."""
    _open_standard_streams()
    words = list(sys.argv[1:] if argv is None else argv)
    with_traceback = TRACEBACK in words
    for stream in (sys.stdout, sys.stderr):
        # A terminal that lacks a sign shows a stand-in for it; it is no reason to fail.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        with _ended_by_signals():
            code = _run([word for word in words if word != TRACEBACK], with_traceback)
            sys.stdout.flush()
    except UsageError as problem:
        code = _report(str(problem), 2)
    except LeadsmanError as problem:
        code = _report(str(problem), 1)
    except KeyboardInterrupt as stop:
        code = 128 + (stop.number if isinstance(stop, Stopped) else signal.SIGINT)
    except BrokenPipeError:
        code = 0
    except Exception as error:
        if with_traceback:
            raise
        code = _report(*_told(error))
    _close_output()
    raise SystemExit(code)


def _open_standard_streams() -> None:
    """Give the process the standard streams that whoever started it has closed: nothing is read, nothing is shown.

    Else the next file that is opened would get their numbers, and the libraries would write their words into it.
    """
    for number, name in enumerate(("stdin", "stdout", "stderr")):
        if getattr(sys, name) is None:
            handle = os.open(os.devnull, os.O_RDONLY if number == 0 else os.O_WRONLY)
            setattr(
                sys, name, os.fdopen(handle, "r" if number == 0 else "w", encoding="utf-8", closefd=False)
            )


def _told(error: Exception) -> tuple[str, int]:
    """What is said of something that nobody foresaw, and the exit code."""
    if isinstance(error, OSError) and error.errno in _NO_ROOM:
        return (
            f"there was no room for what was to be written ({error.strerror}); nothing was left half written",
            1,
        )
    return _inside(error), INSIDE


@contextlib.contextmanager
def _ended_by_signals() -> Iterator[None]:
    """Let the signals that end a process clean up first; what is ignored from outside (nohup) stays ignored."""
    before: dict[int, Any] = {}

    def stop(number: int, frame: object) -> None:
        raise Stopped(number)

    if threading.current_thread() is threading.main_thread():
        for name in ("SIGTERM", "SIGHUP"):
            number = getattr(signal, name, None)
            if number is not None and signal.getsignal(number) == signal.SIG_DFL:
                before[number] = signal.signal(number, stop)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _inside(error: BaseException) -> str:
    """What escaped, by kind and place: its words may repeat what a file or a customer list says."""
    place = ""
    if frames := traceback.extract_tb(error.__traceback__):
        ours = [frame for frame in frames if "leadsman" in Path(frame.filename).parts] or frames
        place = f" in {'/'.join(Path(ours[-1].filename).parts[-2:])}, line {ours[-1].lineno}"
    why = f": {error.strerror}" if isinstance(error, OSError) and error.strerror else ""
    return (
        f"something went wrong inside leadsman ({type(error).__name__}{place}{why}); nothing was left half written. "
        f"The same command with {TRACEBACK} shows where; please tell its makers"
    )


def _close_output() -> None:
    """Flush what is left; when its reader (`head`, say) has seen enough, let Python not complain of it at the end."""
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except (OSError, ValueError):
            with contextlib.suppress(OSError, ValueError):
                os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _run(words: list[str], with_traceback: bool) -> int:
    parser = build_parser()
    if "_ARGCOMPLETE" in os.environ:
        import argcomplete  # the shell asks what may follow

        argcomplete.autocomplete(parser, always_complete_options=False)
    if not words:
        parser.print_help()
        return 2
    if not words[0].startswith("-") and words[0] not in COMMANDS:
        raise UsageError(_unknown_command(words[0]))
    arguments = parser.parse_args(words)
    if arguments.command is None:
        raise UsageError("a command is missing; see leadsman --help")
    try:
        return int(arguments.run(arguments))
    except Exception as error:
        if isinstance(error, LeadsmanError | OSError | MemoryError) and not isinstance(error, MissingRecord):
            raise
        # A command that works on part of the content trips over a record that is missing or broken elsewhere.
        if not with_traceback and (wrong := wrong_with_content(arguments)):
            raise LeadsmanError(
                f"{words[0]} stopped at a problem of the content; mend it first: {wrong}; see leadsman check"
            ) from None
        raise


def _unknown_command(word: str) -> str:
    import difflib  # needed only for a mistake

    near = difflib.get_close_matches(word, COMMANDS, n=1)
    hint = f"did you mean {near[0]}?" if near else f"the commands are {', '.join(COMMANDS)}"
    return f"unknown command {word!r}; {hint}"


def _report(problem: str, code: int) -> int:
    # It may name a file, and whoever named that may have meant the terminal.
    told = "\n".join(map(visible, problem.split("\n")))
    with contextlib.suppress(OSError):
        print(f"leadsman: {told}", file=sys.stderr)
    return code
