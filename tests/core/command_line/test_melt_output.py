import argparse
import json
from pathlib import Path

import pytest

from core.command_line import melt
from core.errors import LehrkeeperError

DEMO = Path(__file__).parents[3] / "demo_data" / "quay_pot_overnight.toml"


def run(*words):
    parser = argparse.ArgumentParser()
    melt.add_arguments(parser.add_subparsers())
    arguments = parser.parse_args(["melt", *map(str, words)])
    return arguments.execute(arguments)


def test_json_holds_plan_times_energy_and_curve():
    told = json.loads(run(DEMO, "--json", "--break-hours", "62"))
    assert told["in_time"] is True
    assert told["workable"] < told["workable_by"]
    assert sum(charge["kg"] for charge in told["charges"]) == pytest.approx(53.0, abs=0.05)
    assert told["energy"]["kWh"] > 10
    assert abs(told["energy"]["imbalance"]) < 1e-3
    assert told["energy"]["cost"] == pytest.approx(0.24 * told["energy"]["kWh"], abs=0.02)
    assert told["break"]["shut_down"]["kWh"] < told["break"]["idling"]["kWh"]
    assert told["curve"][0]["furnace_C"] == pytest.approx(1130, abs=2)
    assert len(told["curve"]) > 40
    assert told["cautions"]


def test_text_says_when_to_charge_and_when_to_work():
    text = run(DEMO, "--break-hours", "62")
    assert "Workable on Sat" in text
    assert "charge at" in text
    assert "Idling for 62 h" in text
    assert "licensed" in text


def test_a_fault_in_the_simulation_names_the_file(tmp_path):
    weak = tmp_path / "weak.toml"
    weak.write_text(DEMO.read_text("utf-8").replace("power_kW = 14", "power_kW = 1"), "utf-8")
    with pytest.raises(LehrkeeperError, match=r"weak\.toml: .*comes to rest at"):
        run(weak)


def test_an_impossible_break_is_refused():
    with pytest.raises(LehrkeeperError, match="break"):
        run(DEMO, "--break-hours", "0.5")
