"""A writer killed at any moment loses nothing that was acknowledged, and leaves no half file.

A killed process is what can be tried here; a power cut is left to SQLite's own promise for
``synchronous=EXTRA``.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from core.store.book import Book

TRIALS = int(os.environ.get("LEHRKEEPER_KILLS", "9"))
"""How often a writer is killed; set the variable to try it more often."""
ROOT = Path(__file__).parents[3]
WRITER = Path(__file__).with_name("killed_writer.py")


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system has no fork")
def test_killed_in_the_middle_of_logging_and_importing(book: Book, run_id: int) -> None:
    done = subprocess.run(
        [sys.executable, str(WRITER), str(book.path), str(run_id), str(TRIALS), "20260314"],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    sums = json.loads(done.stdout)
    assert sums["trials"] == TRIALS
    assert sums["acknowledged"] > 0
    assert sums["kept"] >= sums["acknowledged"]
