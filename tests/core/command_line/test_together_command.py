"""``lehrkeeper together`` as somebody types it."""

from __future__ import annotations

import json

import pytest

from core.command_line.main import COMMANDS, run
from core.command_line.named_glass import glass_named
from core.errors import GlassError

CLEAR = "harbour clear"


def _json(capsys, *arguments: str) -> dict:
    assert run(["together", *arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_text_gives_verdict_and_advice(capsys):
    assert run(["together", "clear float", "container glass"]) == 0
    out = capsys.readouterr().out
    assert "Verdict: will crack." in out
    assert "Lower the expansion of “container glass” by 7.0e-7 per K" in out
    assert "casing shrinks more than the core" in out


def test_the_program_knows_the_command():
    assert "together" in COMMANDS


def test_json_holds_every_number_with_its_interval(capsys):
    values = _json(capsys, CLEAR, "cristallo", "--same-house")
    for key in ("difference_ppm", "core_tension_MPa", "casing_tension_MPa", "set_temperature_C"):
        assert values[f"{key}_low"] <= values[key] <= values[f"{key}_high"], key
    assert values["verdict"] in {"safe together", "doubtful, make a trial", "will crack"}
    assert {stress["direction"] for stress in values["stress_core"]} == {"radial", "hoop", "axial"}


@pytest.mark.parametrize("form", ["cased", "layer", "thread"])
def test_same_glass_is_safe_in_every_form(capsys, form):
    values = _json(capsys, CLEAR, CLEAR, "--form", form)
    assert values["form"]["form"] == form
    assert values["difference_ppm"] == 0.0
    assert values["verdict"] == "safe together"
    assert values["advice"] is None


def test_sizes_are_millimetres(capsys):
    values = _json(capsys, CLEAR, "cristallo", "--core-mm", "12,5", "--casing-mm", "0.5")
    assert values["form"] == {"form": "cased", "core_diameter_mm": 12.5, "casing_mm": 0.5}
    layers = _json(capsys, CLEAR, "cristallo", "--form", "layer", "--vessel", "--core-mm", "3")
    assert layers["form"]["base_mm"] == 3.0
    assert layers["form"]["bends"] is False


def test_match_changes_the_lesser_partner(capsys):
    values = _json(capsys, CLEAR, "cristallo", "--match", "Na2O, SiO2, CaO", "--within", "0.2")
    found = values["match"]
    assert found["name"].startswith("cristallo")
    assert abs(found["expansion_per_K"] - found["target_expansion_per_K"]) < 0.21e-7
    assert sum(found["change_weight_percent"].values()) == pytest.approx(0.0, abs=1e-3)
    lower = _json(
        capsys, CLEAR, "cristallo", "--match", "Na2O SiO2 CaO", "--within", "0.2", "--lower-by", "2"
    )["match"]
    assert lower["target_expansion_per_K"] == pytest.approx(found["target_expansion_per_K"] - 2e-7)
    assert run(["together", CLEAR, "cristallo", "--match", "Na2O SiO2"]) == 0
    assert "Smallest change that matches" in capsys.readouterr().out


def test_analyses_may_be_typed(capsys):
    values = _json(capsys, "SiO2 72, Na2O 16, CaO 12", "SiO2 71, Na2O 17, CaO 12", "--same-house")
    assert values["in_tension"].startswith("SiO2 71")
    assert values["advice"]["change"].startswith("SiO2 71")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((CLEAR, "no such glass"), "no glass called"),
        ((CLEAR, " "), "No glass was named"),
        ((CLEAR, CLEAR, "--core-mm", "0"), "no size of a piece"),
        ((CLEAR, CLEAR, "--core-mm", "ten"), "not a number"),
        ((CLEAR, CLEAR, "--vessel"), "for layers only"),
        ((CLEAR, CLEAR, "--within", "1"), "No oxides"),
        ((CLEAR, CLEAR, "--match", "Na2O"), "at least two"),
        ((CLEAR, CLEAR, "--match", "Na2O Unobtainium"), "not an oxide"),
        ((CLEAR,), "casing"),
        ((CLEAR, CLEAR, "--form", "knitted"), "knitted"),
    ],
)
def test_bad_input_is_one_plain_line(capsys, arguments, words):
    assert run(["together", *arguments]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert len(captured.err.strip().splitlines()) == 1
    assert words in captured.err


def test_a_long_analysis_is_named_by_its_beginning():
    glass = glass_named("SiO2 70.12, Na2O 16.23, K2O 1.5, CaO 9.15, MgO 3.0")
    assert glass.name == "SiO2 70.12, Na2O 16.23, K2O …"
    assert len(glass.name) <= 32


def test_files_are_read(tmp_path):
    path = tmp_path / "blue.txt"
    path.write_text("SiO2 70, Na2O 17, CaO 13", encoding="utf-8")
    assert glass_named(str(path)).name == "blue"
    with pytest.raises(GlassError):
        glass_named("nothing like it")


def test_no_stress_has_no_sign(capsys):
    assert run(["together", "harbour clear", "harbour clear"]) == 0
    text = capsys.readouterr().out
    assert "axial 0.0 MPa" in text
    assert "-0.0" not in text
    assert "+0.0" not in text
