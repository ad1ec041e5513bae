"""Entry to the command line: a table or JSON on good input, one clear line on bad."""

from __future__ import annotations

import argparse
import importlib
from collections.abc import Sequence
from typing import NoReturn

from core.command_line.terminal import one_line, print_error, print_out
from core.errors import LehrkeeperError
from core.version import VERSION

COMMANDS = ("glass", "together", "batch", "melt", "plan", "compare", "stress")
"""Each is a module beside this one; only the one asked for is imported."""

BAD_INPUT = 2
"""Exit status when the input is at fault."""
CANNOT_PRINT = 1
"""Exit status when the result was made but could not be written out."""
STOPPED = 130
"""Exit status after Ctrl-C, as shells have it."""


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one line, without the usage block."""

    def error(self, message: str) -> NoReturn:
        self.exit(BAD_INPUT, one_line(f"{self.prog}: {message}. Try {self.prog} --help.") + "\n")


def build_parser(names: Sequence[str] = COMMANDS) -> argparse.ArgumentParser:
    """The parser of commands that need no window, all of them unless some are named."""
    parser = _Parser(
        prog="lehrkeeper",
        description="Anneal curves, glass properties, batches and logged runs. Advice only: it "
        "never controls a furnace.",
    )
    parser.add_argument("--version", action="version", version=f"lehrkeeper {VERSION}")
    commands = parser.add_subparsers(dest="command", required=True, parser_class=_Parser)
    for name in names:
        importlib.import_module(f"core.command_line.{name}").add_arguments(commands)
    return parser


def run(argv: Sequence[str]) -> int:
    """Run one command.

    Parameters
    ----------
    argv : sequence of str
        Arguments after the program's name.

    Returns
    -------
    int
        0; 2 on bad input (after one line on standard error), 1 if the result cannot be printed.
    """
    parser = build_parser(argv[:1] if argv and argv[0] in COMMANDS else COMMANDS)
    try:
        arguments = parser.parse_args(argv)
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else BAD_INPUT
    try:
        text = arguments.execute(arguments)
    except LehrkeeperError as error:
        print_error(f"lehrkeeper: {error}")
        return BAD_INPUT
    except KeyboardInterrupt:
        return STOPPED
    fault = print_out(text)
    if fault is not None:
        print_error(f"lehrkeeper: {fault}")
        return CANNOT_PRINT
    return 0
