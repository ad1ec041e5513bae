"""Load files tell which pot pieces were gathered from, and when."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from core.errors import LoadError
from core.load.gathering import Gathering
from core.load.load_file import parse_load
from core.load.load_writer import load_to_toml

TEXT = """
button_pressed = 2026-11-24T17:30:00
timezone = "UTC"

[lehr]
name = "Big lehr"
cooling_time_constant_h = 3

[[pieces]]
name = "float"
glass = "harbour clear"
wall_mm = 3
pot = "Clear pot"
gathered_at = 15:10:00

[[pieces]]
name = "prism"
glass = "harbour clear"
shape = "cylinder"
diameter_mm = 60
"""


def test_a_gather_is_read_and_written_again() -> None:
    load = parse_load(TEXT)
    moment = datetime(2026, 11, 24, 15, 10, tzinfo=UTC)
    assert load.gathered == {"float": Gathering("Clear pot", moment)}
    assert parse_load(load_to_toml(load)).gathered == load.gathered


@pytest.mark.parametrize(
    ("line", "key"),
    [('pot = "Clear pot"\n', "pot"), ("gathered_at = 15:10:00\n", "gathered_at")],
)
def test_half_a_gather_is_refused(line: str, key: str) -> None:
    with pytest.raises(LoadError, match="only one of pot and gathered_at") as caught:
        parse_load(TEXT.replace(line, ""))
    assert caught.value.field is not None
    assert caught.value.field.endswith(key)
