"""The command line: one subcommand for each module of ``leadsman.commands``.

Exit codes: 0 all is well; 1 the content, or the values asked about, have problems; 2 the command was
called wrongly.
"""

# argparse, not a larger library: every command here takes flags and plain words, and argparse costs no start-up
# time. What it lacks comes from rich (tables, colour) and argcomplete (the shell's completion), each when used.
from __future__ import annotations

import argparse
import importlib
import os
import sys
from collections.abc import Sequence
from typing import NoReturn

from leadsman import __version__
from leadsman.errors import LeadsmanError, UsageError

#: The commands in the order of the help. Each is a module ``leadsman.commands.<name>`` with
#: ``add(subparsers)``, which returns the parser that it added, and ``run(arguments)``, which returns
#: the exit code. The modules load at every start: they import anything heavy inside ``run``.
COMMANDS: tuple[str, ...] = (
    "check",
    "list",
    "show",
    "walk",
    "drill",
    "sound",
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
    subparsers = parser.add_subparsers(
        dest="command", metavar="COMMAND", title="commands", parser_class=Parser
    )
    for name in commands:
        module = importlib.import_module(f"leadsman.commands.{name}")
        module.add(subparsers).set_defaults(run=module.run)
    return parser


def main(argv: Sequence[str] | None = None) -> NoReturn:
    """Run the command and leave with its exit code; a mistake prints one message, no traceback."""
    words = list(sys.argv[1:] if argv is None else argv)
    for stream in (sys.stdout, sys.stderr):
        # A terminal that lacks a sign shows a stand-in for it; it is no reason to fail.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        code = _run(words)
        sys.stdout.flush()
    except UsageError as problem:
        code = _report(problem, 2)
    except LeadsmanError as problem:
        code = _report(problem, 1)
    except KeyboardInterrupt:
        code = 130
    except BrokenPipeError:
        # The reader, `head` say, has seen enough. Python would complain again while closing the stream.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        code = 0
    raise SystemExit(code)


def _run(words: list[str]) -> int:
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
    return int(arguments.run(arguments))


def _unknown_command(word: str) -> str:
    import difflib  # needed only for a mistake

    near = difflib.get_close_matches(word, COMMANDS, n=1)
    hint = f"did you mean {near[0]}?" if near else f"the commands are {', '.join(COMMANDS)}"
    return f"unknown command {word!r}; {hint}"


def _report(problem: LeadsmanError, code: int) -> int:
    print(f"leadsman: {problem}", file=sys.stderr)
    return code
