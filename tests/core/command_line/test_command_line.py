"""The command line: tables, JSON keys, exit statuses, and no Qt."""

import contextlib
import io
import json
import subprocess
import sys
from pathlib import Path

import pytest

from core.command_line.main import run

ROOT = Path(__file__).parents[3]
DECANTERS = str(ROOT / "schedules" / "decanters_tonight.toml")
DEMO = ROOT / "demo_data"
SODA_LIME = "SiO2 72.6, Na2O 13.9, CaO 8.4, MgO 3.9, Al2O3 1.1, K2O 0.6"


def json_of(capsys, *arguments):
    assert run([*arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def refused(capsys, *arguments):
    assert run(arguments) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert len(captured.err.strip().splitlines()) == 1
    assert "Traceback" not in captured.err
    return captured.err


def test_glass_json(capsys):
    glass = json_of(capsys, "glass", SODA_LIME)
    points = [
        glass[f"{name}_point_C"]
        for name in ("strain", "annealing", "softening", "working", "melting")
    ]
    assert points == sorted(points)
    assert 5e-6 < glass["expansion_per_K"] < 15e-6
    assert 2300 < glass["density_kg_m3"] < 2700
    assert isinstance(glass["warnings"], list)


def test_glass_by_name_by_file_and_in_mole_percent(capsys, tmp_path):
    named = json_of(capsys, "glass", "clear float")
    assert named["name"] == "clear float"
    file = tmp_path / "mine.txt"
    file.write_text(SODA_LIME, encoding="utf-8")
    by_file = json_of(capsys, "glass", str(file))
    by_text = json_of(capsys, "glass", SODA_LIME)
    assert by_file["annealing_point_C"] == by_text["annealing_point_C"]
    mole = json_of(capsys, "glass", SODA_LIME, "--basis", "mol%")
    assert mole["annealing_point_C"] != by_text["annealing_point_C"]


def test_glass_from_a_suppliers_sheet(capsys, tmp_path):
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(
        'name = "bought cullet"\n[measured]\nstrain_point_C = 471\nannealing_point_C = 507\n'
        "expansion_per_K = 9.6e-6\n",
        encoding="utf-8",
    )
    glass = json_of(capsys, "glass", str(sheet))
    assert (glass["name"], glass["annealing_point_C"]) == ("bought cullet", 507.0)
    assert glass["softening_point_C"] is None
    sheet.write_text(
        "[measured]\nstrain_point_C = 571\nannealing_point_C = 507\n", encoding="utf-8"
    )
    assert "strain" in refused(capsys, "glass", str(sheet))


@pytest.fixture(scope="module")
def decanters():
    """The plan of the shipped load as the command tells it to machines."""
    with contextlib.redirect_stdout(io.StringIO()) as told:
        assert run(["plan", DECANTERS, "--json"]) == 0
    return json.loads(told.getvalue())


def test_plan_json(decanters):
    plan = decanters
    assert plan["governing_piece"] == "Ship's decanter"
    assert plan["feasible"] is (plan["ready_at"] <= plan["out_by"])
    for segment in plan["segments"]:
        assert {"target_C", "rate_C_per_h", "hold_min", "start", "end"} <= set(segment)
    assert plan["segments"][0]["start"] == "2026-11-24T17:30:00+00:00"
    assert plan["cautions"]


def test_plan_table_names_piece_reason_and_cautions(capsys):
    assert run(["plan", DECANTERS]) == 0
    text = capsys.readouterr().out
    assert "Ship's decanter" in text
    assert "20 mm base" in text
    assert "polariscope" in text
    assert "local codes" in text


def test_plan_says_whether_it_is_safe_and_what_would_change_it(decanters):
    plan = decanters
    assert plan["safe"] is True
    assert plan["replay"]["margin"] >= 1.0
    worst = min(s["allowed_MPa"] / s["stress_MPa"] for s in plan["replay"]["stresses"])
    assert worst == pytest.approx(plan["replay"]["margin"], rel=0.01)
    gains = plan["trade_offs"]
    assert gains["without_piece"]["piece"] == "Ship's decanter"
    assert gains["without_piece"]["saved_min"] > 60
    assert gains["hour_more"]["margin_with_hour"] > gains["hour_more"]["margin"]
    assert {u["name"] for u in gains["uncertainties"]} == {"glass", "thermocouple", "unevenness"}
    assert all(u["costs_min"] >= 0 for u in gains["uncertainties"])


def test_plan_in_brief_leaves_the_neighbouring_nights_out(capsys):
    assert run(["plan", DECANTERS, "--brief"]) == 0
    text = capsys.readouterr().out
    assert "Replayed through the stress engine" in text
    assert "Without “" not in text


def test_compare_json(capsys):
    found = json_of(capsys, "compare", DECANTERS, str(DEMO / "decanters_clean.csv"))
    assert {"max_deviation_C", "soak_time_min", "rate_C_per_h", "gaps"} <= set(found)
    assert abs(found["max_deviation_C"]) < 10
    assert found["gaps"] == []


def test_compare_says_which_row_is_bad_and_skips_on_request(capsys):
    log = str(DEMO / "decanters_broken_thermocouple.csv")
    line = refused(capsys, "compare", DECANTERS, log)
    assert "line" in line
    assert "--skip-bad-rows" in line
    found = json_of(capsys, "compare", DECANTERS, log, "--skip-bad-rows")
    assert found["bad_rows"]


def test_compare_says_what_it_took_a_silent_file_to_mean(capsys):
    found = json_of(capsys, "compare", DECANTERS, str(DEMO / "decanters_two_channels.txt"))
    (note,) = found["notes"]
    assert "2 temperature columns" in note
    assert "Chamber" in note


def test_compare_names_the_log_of_another_night(capsys, tmp_path):
    log = tmp_path / "other night.csv"
    log.write_text("time,T (C)\n2026-11-01 17:30,520\n2026-11-01 17:31,519\n", encoding="utf-8")
    line = refused(capsys, "compare", DECANTERS, str(log))
    assert str(log) in line
    assert "within the plan" in line


def test_compare_asks_about_fahrenheit(capsys):
    log = str(DEMO / "decanters_fahrenheit.csv")
    assert "--unit F" in refused(capsys, "compare", DECANTERS, log)
    found = json_of(capsys, "compare", DECANTERS, log, "--unit", "F")
    assert abs(found["max_deviation_C"]) < 30


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["anneal"],
        ["glass"],
        ["glass", ""],
        ["glass", "SiO2 70, Unobtainium 30"],
        ["glass", "no such glass anywhere"],
        ["glass", "SiO2 -5, Na2O 15"],
        ["glass", "SiO2 1e400, Na2O 15"],
        ["glass", "\x00"],
        ["glass", str(DEMO)],
        ["plan", "missing.toml"],
        ["plan", str(ROOT)],
        ["plan", str(DEMO / "decanters_clean.csv")],
        ["plan", DECANTERS, "--frobnicate"],
        ["compare", DECANTERS],
        ["compare", DECANTERS, "missing.csv"],
        ["compare", DECANTERS, str(ROOT)],
        ["compare", DECANTERS, DECANTERS],
    ],
    ids=lambda a: " ".join(Path(part).name for part in a)[:40] or "nothing",
)
def test_bad_input_is_one_line_and_status_two(capsys, arguments):
    refused(capsys, *arguments)


def test_plan_runs_without_importing_qt():
    code = (
        "import sys; from app.__main__ import main; "
        f"status = main(['plan', {DECANTERS!r}, '--brief']); "
        "loaded = {m.split('.')[0] for m in sys.modules}; "
        "sys.exit(9 if loaded & {'PySide6', 'pyqtgraph', 'sqlalchemy'} else status)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "Ship's decanter" in done.stdout
