"""``lehrkeeper stress``: the plan or a log, as table and JSON."""

import json
from datetime import datetime
from pathlib import Path

import pytest

from core.command_line.main import run
from core.plan.words import CAUTIONS
from core.stress.words import NOT_SETTLED, ONE_DIMENSIONAL

ROOT = Path(__file__).parents[3]
DECANTERS = str(ROOT / "schedules" / "decanters_tonight.toml")
DEMO = ROOT / "demo_data"
KEYS = {
    "permanent_midplane_MPa",
    "permanent_surface_MPa",
    "peak_temporary_MPa",
    "peak_time",
    "peak_temperature_C",
    "fictive_temperature_C",
    "retardation_nm",
    "within_limits",
}


def json_of(capsys, *arguments: str) -> dict:
    assert run(["stress", *arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def text_of(capsys, *arguments: str) -> str:
    assert run(["stress", *arguments]) == 0
    return capsys.readouterr().out


@pytest.mark.parametrize(
    "schedule", sorted((ROOT / "schedules").glob("*.toml")), ids=lambda p: p.stem
)
def test_every_shipped_plan_is_replayed(capsys, schedule):
    answer = json_of(capsys, str(schedule))
    assert answer["replayed"] == "plan"
    for piece in answer["pieces"]:
        assert piece.keys() >= KEYS
        assert piece["settled"]
        assert piece["permanent_midplane_MPa"] >= 0 >= piece["permanent_surface_MPa"]
        assert piece["peak_temporary_MPa"] > 0
        assert datetime.fromisoformat(piece["peak_time"]).tzinfo is not None
        assert 300 < piece["fictive_temperature_C"] < 700
        assert piece["within_limits"] == (piece["margin"] >= 1)
    assert answer["within_limits"] == all(p["within_limits"] for p in answer["pieces"])
    assert answer["cautions"] == [ONE_DIMENSIONAL, *CAUTIONS]


def test_a_log_is_replayed_in_place_of_the_plan(capsys):
    planned = json_of(capsys, DECANTERS)
    logged = json_of(capsys, DECANTERS, str(DEMO / "decanters_clean.csv"))
    assert logged["replayed"] == "decanters_clean.csv"
    assert [p["piece"] for p in logged["pieces"]] == [p["piece"] for p in planned["pieces"]]
    vessel = logged["pieces"][0]
    assert [s["part"] for s in vessel["sections"]] == ["wall", "base"]
    assert vessel["permanent_wall_base_MPa"] > 0


def test_noise_and_another_unit_leave_the_same_stress(capsys):
    clean, noisy, other = (
        json_of(capsys, DECANTERS, str(DEMO / name), *more)["pieces"][0]
        for name, more in (
            ("decanters_clean.csv", ()),
            ("decanters_noisy.csv", ()),
            ("decanters_fahrenheit.csv", ("--unit", "F")),
        )
    )
    for found in (noisy, other):
        assert found["permanent_midplane_MPa"] == pytest.approx(
            clean["permanent_midplane_MPa"], rel=0.01
        )


def test_a_power_cut_leaves_more(capsys):
    clean, cut = (
        json_of(capsys, DECANTERS, str(DEMO / f"decanters_{name}.csv"))["pieces"][0]
        for name in ("clean", "power_cut")
    )
    assert cut["permanent_midplane_MPa"] > 1.1 * clean["permanent_midplane_MPa"]
    assert cut["peak_wall_base_MPa"] > clean["peak_wall_base_MPa"]
    text = text_of(capsys, DECANTERS, str(DEMO / "decanters_power_cut.csv"))
    assert "a straight line is taken across" in text


def test_each_limit_that_is_passed_is_named(capsys):
    text = text_of(capsys, DECANTERS, str(DEMO / "decanters_power_cut.csv"))
    vessel = json_of(capsys, DECANTERS, str(DEMO / "decanters_power_cut.csv"))["pieces"][0]
    told = [line for line in text.splitlines() if line.startswith("! ")]
    assert not vessel["within_limits"]
    assert told
    assert all("the limit is" in line and "Ship's decanter" in line for line in told)
    assert any(f"{vessel['permanent_midplane_MPa']:.2f} MPa left in its core" in t for t in told)
    assert "the limit is" not in text_of(capsys, DECANTERS)


def test_nought_has_no_sign(capsys, tmp_path):
    rows = (DEMO / "decanters_clean.csv").read_text(encoding="utf-8").splitlines()
    cold = tmp_path / "cold.csv"
    lines = [f"{row.split(',')[0]},20.0" for row in rows[1:]]
    cold.write_text("\n".join([rows[0], *lines]) + "\n", encoding="utf-8")
    assert "-0.00" not in text_of(capsys, DECANTERS, str(cold))


def test_table_names_pieces_verdict_and_cautions(capsys):
    text = text_of(capsys, DECANTERS)
    assert "Ship's decanter" in text
    assert "limits" in text
    assert "between wall and base" in text
    assert "if neither can give way" in text
    for caution in (ONE_DIMENSIONAL, *CAUTIONS):
        assert caution in text


def test_a_log_that_ends_hot_says_so(capsys, tmp_path):
    whole = (DEMO / "decanters_clean.csv").read_text(encoding="utf-8").splitlines()
    short = tmp_path / "short.csv"
    short.write_text("\n".join(whole[: len(whole) // 4]) + "\n", encoding="utf-8")
    assert NOT_SETTLED in text_of(capsys, DECANTERS, str(short))
    assert not json_of(capsys, DECANTERS, str(short))["pieces"][0]["settled"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["nowhere.toml"], "no such file"),
        ([DECANTERS, "nowhere.csv"], "nowhere.csv"),
        ([DECANTERS, str(DEMO / "decanters_broken_thermocouple.csv")], "line"),
        ([DECANTERS, str(DEMO / "decanters_clean.csv"), "--unit", "X"], "invalid choice"),
    ],
)
def test_bad_input_is_one_line_and_status_two(capsys, arguments, words):
    assert run(["stress", *arguments]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert len(captured.err.strip().splitlines()) == 1
    assert words in captured.err


def test_a_hole_in_the_log_while_it_cooled_is_refused(capsys, tmp_path):
    rows = (DEMO / "decanters_clean.csv").read_text(encoding="utf-8").splitlines()
    third = len(rows) // 3
    holed = tmp_path / "holed.csv"
    holed.write_text("\n".join(rows[:third] + rows[2 * third :]) + "\n", encoding="utf-8")
    assert run(["stress", DECANTERS, str(holed)]) == 2
    error = capsys.readouterr().err
    assert "holed.csv" in error
    assert "there is no reading while the chamber" in error
