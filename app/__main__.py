"""Entry point: sends the terminal's subcommands to the core, everything else to the window.

Qt is imported only when the window is wanted, so that plans can be drawn up on a machine
without a display.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from core.command_line.main import COMMANDS, run
from core.version import VERSION

# Our matrices are small: more threads in the linear algebra only wait for each other, and for the
# window. It has to be said before numpy is first imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

_EPILOGUE = """\
without the window:
  lehrkeeper glass TEXT|FILE            points and properties of a glass
  lehrkeeper together CORE CASING       two glasses in one piece, safe or not
  lehrkeeper batch TARGET               what to weigh out for a glass
  lehrkeeper melt POT.toml              a night at the furnace: charges, fining, energy
  lehrkeeper plan LOAD.toml             tonight's curve for a load
  lehrkeeper compare LOAD.toml LOG.csv  a logged run against its plan
  lehrkeeper stress LOAD.toml [LOG.csv] stress that plan or run leaves in each piece
Each takes --help and --json.
"""


def parser() -> argparse.ArgumentParser:
    """Options of the window."""
    result = argparse.ArgumentParser(
        prog="lehrkeeper",
        description="Annealing and furnace scheduler for the glass studio. "
        "Without a subcommand it opens the window.",
        epilog=_EPILOGUE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    result.add_argument(
        "--database", type=Path, metavar="PATH", help="the studio's book to open (made if missing)"
    )
    result.add_argument(
        "--demo", action="store_true", help="open the invented demo studio, in its own book"
    )
    result.add_argument(
        "--reset-settings", action="store_true", help="forget units, colours and window places"
    )
    result.add_argument("--version", action="version", version=f"Lehrkeeper {VERSION}")
    return result


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program; returns the exit status."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    if arguments and arguments[0] in COMMANDS:
        return run(arguments)
    options = parser().parse_args(arguments)
    if options.demo and options.database is not None:
        parser().error("--demo has its own book: leave out --database.")
    from app.start import open_window  # noqa: PLC0415 -- Qt only when the window is wanted

    return open_window(
        database=options.database, demo=options.demo, reset_settings=options.reset_settings
    )


if __name__ == "__main__":
    sys.exit(main())
