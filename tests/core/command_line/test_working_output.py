"""Working properties as text and JSON."""

from __future__ import annotations

import json

import pytest

from core.command_line.working import working_json, working_table
from core.glass.glass import Glass, MeasuredPoints
from core.glass.library import find_glass
from core.units import ZERO_CELSIUS
from core.working.working_properties import working_properties_of


def test_json_is_plain_and_in_trade_units():
    working = working_properties_of(find_glass("harbour clear"))
    values = json.loads(json.dumps(working_json(working), allow_nan=False))
    expected = working.gathering_temperature.value - ZERO_CELSIUS
    assert values["gathering_temperature_C"] == pytest.approx(expected, abs=0.05)
    assert (
        values["working_range_C_low"] < values["working_range_C"] < values["working_range_C_high"]
    )
    assert values["length"] in {"long", "middling", "short"}
    assert values["wall_mm"] == 3.0
    assert "10^2 Pa s" in values["definitions"]["gathering_temperature_C"]


def test_table_says_what_each_number_is():
    text = working_table(working_properties_of(find_glass("DGG standard glass I")))
    assert "setting temperature" in text
    assert "717" in text  # 716.8 °C, Conradt in Richet 2021
    assert "302" in text
    assert "this glass is middling" in text


def test_what_two_points_leave_open_is_wide_and_why_is_said():
    points = MeasuredPoints(strain_point=780.0, annealing_point=820.0, expansion=9e-6)
    working = working_properties_of(Glass("bar", measured=points))
    assert "not known" not in working_table(working)
    assert "Enter the analysis" in working_table(working)
    assert working_json(working)["setting_time_s"] is not None
