"""The rules of the structure that no linter sees."""

import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]


def test_core_is_importable_without_qt_and_sql_stays_in_the_store():
    code = """
import importlib, pkgutil, sys
import core
for module in pkgutil.walk_packages(core.__path__, "core."):
    if not module.name.startswith("core.store"):
        importlib.import_module(module.name)
loaded = {name.split(".")[0] for name in sys.modules}
sys.exit(str(loaded & {"PySide6", "pyqtgraph", "sqlalchemy", "alembic"}) if loaded & {
    "PySide6", "pyqtgraph", "sqlalchemy", "alembic"} else 0)
"""
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def test_readme_opens_with_the_job_and_prints_both_commands():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert text.startswith("# Lehrkeeper\n\nLehrkeeper draws up tonight's anneal curve")
    for marker, word in (("open", "lehrkeeper --demo"), ("test", "-m pytest")):
        found = re.search(rf"<!-- {marker} -->\n```sh\n(.+)\n```", text)
        assert found, marker
        assert word in found[1]
        assert "\n" not in found[1]


def test_every_module_reads_in_one_sitting():
    long = {
        str(path.relative_to(ROOT)): count
        for folder in ("core", "app")
        for path in (ROOT / folder).rglob("*.py")
        if (count := len(path.read_text(encoding="utf-8").splitlines())) > 450
    }
    assert not long


def test_no_vague_module_names():
    vague = {"utils", "util", "helpers", "helper", "manager", "misc", "common"}
    found = [p for f in ("core", "app") for p in (ROOT / f).rglob("*.py") if p.stem in vague]
    assert not found
