"""Entry to the command line: a table or JSON on good input, one clear line on bad."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from typing import NoReturn

from core.command_line import compare, glass, plan
from core.errors import LehrkeeperError
from core.version import VERSION

BAD_INPUT = 2
"""Exit status when the input is at fault."""


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one line, without the usage block."""

    def error(self, message: str) -> NoReturn:
        self.exit(BAD_INPUT, f"{self.prog}: {message}. Try {self.prog} --help.\n")


def build_parser() -> argparse.ArgumentParser:
    """The parser of all commands that need no window."""
    parser = _Parser(
        prog="lehrkeeper",
        description="Anneal curves, glass properties and logged runs. Advice only: it never "
        "controls a furnace.",
    )
    parser.add_argument("--version", action="version", version=f"lehrkeeper {VERSION}")
    commands = parser.add_subparsers(dest="command", required=True, parser_class=_Parser)
    for module in (glass, plan, compare):
        module.add_arguments(commands)
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
        0, or 2 on bad input (after one line on standard error).
    """
    parser = build_parser()
    try:
        arguments = parser.parse_args(argv)
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else BAD_INPUT
    try:
        text = arguments.execute(arguments)
    except LehrkeeperError as error:
        line = " ".join(str(error).split())
        print(f"lehrkeeper: {line}", file=sys.stderr)
        return BAD_INPUT
    try:
        print(text)
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader (head, less) has gone; leave quietly.
        sys.stderr.close()
    return 0
