"""What reaches the terminal: one harmless line on faults, whole results or a word about why not."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from core.command_line.main import run

ROOT = Path(__file__).parents[3]
DECANTERS = ROOT / "schedules" / "decanters_tonight.toml"
PLAN = [sys.executable, "-m", "app", "plan", str(DECANTERS), "--brief"]


def changed(tmp_path: Path, old: str, new: str) -> str:
    text = DECANTERS.read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "load.toml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return str(path)


def refused(capsys, *arguments) -> str:
    assert run(arguments) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    return captured.err


def test_a_name_cannot_move_the_cursor(capsys, tmp_path):
    path = changed(tmp_path, '"Fishing float"', '"float \\u001b[2J\\u202e"')
    assert run(["plan", path]) == 0
    text = capsys.readouterr().out
    assert "\x1b" not in text
    assert "\u202e" not in text
    path = changed(tmp_path, '"vessel"', '"\\u001b[2J\\n\\nvessel"')
    assert "\x1b" not in refused(capsys, "plan", path)


def test_a_planner_fault_names_the_file(capsys, tmp_path):
    path = changed(tmp_path, "rate_step = 1", "rate_step = 100")
    assert path in refused(capsys, "plan", path)


def test_absurdly_long_input_gives_a_short_line(capsys, tmp_path):
    path = changed(tmp_path, '"vessel"', '"' + "v" * 100_000 + '"')
    assert len(refused(capsys, "plan", path)) < 3000
    path = changed(tmp_path, 'timezone = "Europe/Lisbon"', 'timezone = "' + "v" * 100_000 + '"')
    line = refused(capsys, "plan", path)
    assert len(line) < 3000
    assert line.rstrip().endswith("or leave it out.")
    assert len(refused(capsys, "plan", path, "--" + "v\n" * 5000)) < 3000


def test_json_survives_a_terminal_that_knows_only_ascii(tmp_path):
    path = changed(tmp_path, '"Fishing float"', '"бакен"')
    for mode in ([], ["--json"]):
        done = subprocess.run(
            [sys.executable, "-m", "app", "plan", path, "--brief", *mode],
            cwd=ROOT,
            capture_output=True,
            env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
            check=False,
        )
        assert (done.returncode, done.stderr) == (0, b"")
    assert "бакен" not in done.stdout.decode("ascii")
    assert json.loads(done.stdout)["load"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
def test_a_full_disk_is_said_and_not_taken_for_success():
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            PLAN, cwd=ROOT, stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1
    assert "cannot be printed" in done.stderr


@pytest.mark.skipif(os.name != "posix", reason="pipes close in their own way elsewhere")
def test_a_reader_that_leaves_early_is_no_fault():
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as gone:
        done = subprocess.run(
            PLAN, cwd=ROOT, stdout=gone, stderr=subprocess.PIPE, text=True, check=False
        )
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("missing.toml", "no such file"),
        ("missing.csv", "no such file"),
        (str(ROOT / "schedules"), "a folder"),
        (" ", "No glass was named"),
        ("Si02 72, Na2O 28", "SiO2, with the letter O"),
        ("Xx2O 50, SiO2 50", "not an oxide"),
    ],
)
def test_a_glass_that_is_none_is_said_in_its_own_words(capsys, text, words):
    assert words in refused(capsys, "glass", text)


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="this system has no /dev/zero")
def test_a_file_that_never_ends_is_refused(capsys):
    assert "too large" in refused(capsys, "plan", "/dev/zero")
