"""The plan made by hand of the run tests: soak 525 °C, 20 °C/h to 470 °C, 60 °C/h to 40 °C."""

import importlib.util
from pathlib import Path

import pytest

_PATH = Path(__file__).parents[1] / "run" / "conftest.py"
_spec = importlib.util.spec_from_file_location("plan_by_hand", _PATH)
_module = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(_module)


@pytest.fixture(scope="session")
def plan():
    return _module.build_plan()
