"""``lehrkeeper glass``: every value with its interval, range, second opinions and versions."""

import json

import pytest

from core.command_line.main import run

SODA_LIME = "SiO2 72.6, Na2O 13.9, CaO 8.4, MgO 3.9, Al2O3 1.1, K2O 0.6"
VALUES = (
    *("strain_point_C", "annealing_point_C", "glass_transition_C", "softening_point_C"),
    *("working_point_C", "T_log2_C", "melting_point_C", "liquidus_C", "expansion_per_K"),
    *("density_kg_m3", "youngs_modulus_Pa", "poissons_ratio", "refractive_index"),
    "stress_optical_coefficient_per_Pa",
)


def glass_json(capsys, *arguments):
    assert run(["glass", *arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_every_value_lies_in_its_interval(capsys):
    glass = glass_json(capsys, SODA_LIME)
    for key in VALUES:
        assert glass[f"{key}_low"] < glass[key] < glass[f"{key}_high"], key


def test_range_and_versions_and_second_opinions_are_there(capsys):
    glass = glass_json(capsys, SODA_LIME)
    assert glass["in_range"] is True
    assert glass["domain"] == {"in_range": True, "sentences": [], "oxides": []}
    assert len(glass["model_versions"]) == 3
    fluegel, _ = glass["models"]
    assert fluegel["agrees"] is True
    assert fluegel["disagrees"] == []
    assert "inside our interval" in fluegel["verdict"]
    assert {p["property"] for p in glass["published_factors"]} >= {"expansion", "density"}


def test_a_glass_unlike_any_other_is_blamed_on_its_oxide(capsys):
    glass = glass_json(capsys, "SiO2 35, PbO 60, K2O 5")
    assert glass["in_range"] is False
    assert glass["domain"]["oxides"][0] == "PbO"
    assert "More lead oxide than any glass" in glass["domain"]["sentences"][0]


def test_an_unsure_analysis_makes_wider_intervals(capsys):
    def width(text):
        glass = glass_json(capsys, text)
        return glass["annealing_point_C_high"] - glass["annealing_point_C_low"]

    sure = width("SiO2 72, Na2O 14, CaO 14")
    assert sure < width("SiO2 72, Na2O 14 ± 1, CaO 14") < width("SiO2 72, Na2O 14 ± 3, CaO 14")


def test_an_unknown_point_is_null_with_its_interval(capsys, tmp_path):
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(
        "[measured]\nstrain_point_C = 471\nannealing_point_C = 507\nexpansion_per_K = 9.6e-6\n",
        encoding="utf-8",
    )
    glass = glass_json(capsys, str(sheet))
    assert (glass["melting_point_C"], glass["melting_point_C_low"]) == (None, None)
    assert glass["annealing_point_C_low"] < 507 < glass["annealing_point_C_high"]
    assert glass["domain"] is None
    assert glass["models"] == []


def test_text_shows_intervals_range_and_second_opinions(capsys):
    assert run(["glass", SODA_LIME]) == 0
    text = capsys.readouterr().out
    for part in (
        "90 % between",
        "Second opinions",
        "Fluegel 2007 agrees",
        "Glasses like this one are behind the model.",
        "liquidus",
    ):
        assert part in text
    assert run(["glass", "SiO2 35, PbO 60, K2O 5"]) == 0
    text = capsys.readouterr().out
    assert "! More lead oxide than any glass behind this model" in text
    assert "Glasses like this one" not in text


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--table", "in.csv"], "--out"),
        (["--out", "out.csv"], "--table"),
        (["clear float", "--table", "in.csv", "--out", "out.csv"], "does not go with --table"),
        (["--json", "--table", "in.csv", "--out", "out.csv"], "does not go with --table"),
    ],
)
def test_a_table_takes_its_two_files_and_nothing_else(capsys, arguments, words):
    assert run(["glass", *arguments]) == 2
    assert words in capsys.readouterr().err


def test_how_it_works_is_told(capsys):
    working = glass_json(capsys, SODA_LIME)["working"]
    for key in ("gathering_temperature_C", "working_range_C", "setting_time_s"):
        assert working[f"{key}_low"] < working[key] < working[f"{key}_high"], key
    assert working["length"] in {"long", "middling", "short"}
    assert run(["glass", SODA_LIME]) == 0
    text = capsys.readouterr().out
    assert "gathering temperature" in text
    assert "In the working this glass is" in text


def test_a_table_given_as_one_glass_is_sent_to_the_right_option(capsys, tmp_path):
    path = tmp_path / "several.csv"
    path.write_text("SiO2,Na2O,CaO\n72,14,14\n71,15,14\n", encoding="utf-8")
    assert run(["glass", str(path)]) == 2
    assert "--table" in capsys.readouterr().err
