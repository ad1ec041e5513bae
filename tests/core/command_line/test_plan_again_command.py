"""``lehrkeeper plan LOAD --from-log LOG``: how a night goes on after it went wrong."""

import json
from pathlib import Path

import pytest

from core.command_line.main import run

ROOT = Path(__file__).parents[3]
LOAD = str(ROOT / "schedules" / "decanters_tonight.toml")


@pytest.fixture(scope="module")
def log(tmp_path_factory):
    """The shipped log of a power cut, as far as it was written at a quarter past ten."""
    whole = (ROOT / "demo_data" / "decanters_power_cut.csv").read_text(encoding="utf-8")
    head, *rows = whole.splitlines()
    path = tmp_path_factory.mktemp("night") / "so far.csv"
    kept = [row for row in rows if row < "2026-11-24 22:15"]
    path.write_text("\n".join([head, *kept]) + "\n", encoding="utf-8")
    return str(path)


def test_a_night_is_drawn_up_from_where_its_log_ends(log, capsys):
    assert run(["plan", LOAD, "--from-log", log, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["kind"] in {"the cooling goes on", "back to the soak"}
    assert found["plan"]["start"].startswith("2026-11-24T22:14:00")
    assert found["plan"]["safe"]
    assert found["coldest"]["low_C"] <= found["coldest"]["likely_C"] <= found["coldest"]["high_C"]


@pytest.mark.parametrize(
    ("more", "told"),
    [(["--now", "soon"], "not a time"), (["--unit", "R"], "invalid choice")],
)
def test_what_cannot_be_meant_is_one_line(log, capsys, more, told):
    assert run(["plan", LOAD, "--from-log", log, *more]) == 2
    error = capsys.readouterr().err
    assert told in error
    assert "Traceback" not in error


def test_words_say_what_happened_and_what_to_key_in(log, capsys):
    assert run(["plan", LOAD, "--from-log", log, "--now", "22:40", "--reading", "440"]) == 0
    out = capsys.readouterr().out
    assert "The new program begins 2026-11-24T22:40" in out
    assert "To key in:" in out
    assert "at its coldest" in out
