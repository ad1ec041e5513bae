"""``lehrkeeper compare``: segments and the verdict on each piece, as text and as JSON."""

import json
from pathlib import Path

from core.command_line.main import run

ROOT = Path(__file__).parents[3]
DECANTERS = str(ROOT / "schedules" / "decanters_tonight.toml")
DEMO = ROOT / "demo_data"


def printed(capsys, *arguments):
    assert run(["compare", DECANTERS, *arguments]) == 0
    return capsys.readouterr().out


def test_a_clean_night_is_annealed_and_a_power_cut_is_told_with_its_cause(capsys):
    clean = json.loads(printed(capsys, str(DEMO / "decanters_clean.csv"), "--json"))
    assert clean["verdict"] == "annealed"
    assert all(piece["cause"] is None for piece in clean["pieces"])
    cut = json.loads(printed(capsys, str(DEMO / "decanters_power_cut.csv"), "--json"))
    assert cut["verdict"] == "re-anneal"
    decanter, float_ = cut["pieces"]
    assert float_["verdict"] == "annealed"
    assert decanter["cause"]["kind"] == "cooled too fast"
    assert decanter["cause"]["rate_C_per_h"] > 2 * decanter["cause"]["planned_rate_C_per_h"]
    assert decanter["what_to_do"]
    core = decanter["stresses"][0]
    assert core["low_MPa"] <= core["MPa"] <= core["high_MPa"]
    assert core["MPa"] > core["allowed_MPa"] > decanter["cause"]["at_the_planned_rate_MPa"]


def test_text_tells_segments_cause_and_what_to_do(capsys):
    text = printed(capsys, str(DEMO / "decanters_power_cut.csv"))
    for words in (
        "2 slow cool",
        "re-anneal",
        "cooled at",
        ", plan ",
        "Anneal it again",
        "* Advice",
    ):
        assert words in text
    assert "nan" not in text.lower()


def test_aligning_moves_the_plan_and_leaves_rates_and_verdict(capsys):
    log = str(DEMO / "decanters_clean.csv")
    by_the_clock = json.loads(printed(capsys, log, "--json"))
    aligned = json.loads(printed(capsys, log, "--json", "--align", "soak-end"))
    assert by_the_clock["shift_min"] == 0.0
    assert 0 < abs(aligned["shift_min"]) < 10
    for name in ("rate_C_per_h", "fastest_rate_C_per_h", "verdict"):
        assert aligned[name] == by_the_clock[name]
