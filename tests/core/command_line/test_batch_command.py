"""``lehrkeeper batch`` as a person types it."""

import json
from pathlib import Path

import pytest

from core.command_line.main import run

DEMO = Path(__file__).parents[3] / "demo_data" / "batch"
FRIDAY = str(DEMO / "harbour_clear_friday.toml")


def answer(capsys, *arguments):
    status = run(["batch", *arguments])
    out = capsys.readouterr()
    assert status == 0, out.err
    assert not out.err
    return out.out


def refused(capsys, *arguments):
    status = run(["batch", *arguments])
    out = capsys.readouterr()
    assert status == 2
    assert not out.out
    lines = out.err.strip().splitlines()
    assert len(lines) == 1
    assert "Traceback" not in lines[0]
    return lines[0]


def test_the_weights_stand_first_with_a_box_to_tick(capsys):
    text = answer(capsys, "harbour lead crystal", "--kg", "25")
    lines = text.splitlines()
    assert lines[0] == "harbour lead crystal"
    assert lines[1].startswith("25.0")
    boxes = [line for line in lines if line.startswith("[ ]")]
    assert len(boxes) == 6
    assert "silica sand" in boxes[0]
    assert text.index("[ ]") < text.index("annealing point") < text.index("safety data sheet")


def test_json_holds_the_whole_answer(capsys):
    result = json.loads(answer(capsys, FRIDAY, "--json"))
    assert result["glass_kg"] == pytest.approx(40.0, abs=0.05)
    assert sum(line["kg"] for line in result["weighings"]) == pytest.approx(
        result["batch_kg"], abs=1e-6
    )
    balance = result["mass_balance_kg"]
    parts = ("glass", "gas", "moisture", "volatilised")
    assert balance["weighed"] == pytest.approx(sum(balance[p] for p in parts), abs=1e-5)
    assert result["currency"] == "EUR"
    for which in ("target", "reached", "with_additions"):
        points = result["properties"][which]
        assert points["annealing_point_low_C"] < points["annealing_point_C"]
        assert points["working_range_C"] == pytest.approx(
            points["working_point_C"] - points["softening_point_C"], abs=0.2
        )
    assert {gas["gas"] for gas in result["gases"]} == {"CO2", "H2O", "NO2", "O2"}
    assert any("safety data sheet" in line for line in result["safety"])
    iron = next(one for one in result["cannot_be_reached"] if one["oxide"] == "Fe2O3")
    assert "silica sand" in iron["helps"]


def test_options_change_what_the_file_says(capsys):
    plain = json.loads(answer(capsys, FRIDAY, "--json"))
    changed = json.loads(
        answer(capsys, FRIDAY, "--kg", "20", "--cullet-share", "0", "--division", "1", "--json")
    )
    assert changed["glass_kg"] == pytest.approx(20.0, abs=0.01)
    assert not any(line["part"] == "cullet" for line in changed["weighings"])
    assert plain["weighings"][0]["division_kg"] == 0.01
    assert changed["weighings"][0]["division_kg"] == 0.001


def test_every_option_in_plain_words(capsys):
    text = answer(
        capsys,
        "SiO2 70, Na2O 16, CaO 11, MgO 3",
        *("--batch-kg", "30", "--cullet", "clear float", "--cullet-share", "20,5"),
        *("--materials", str(DEMO / "harbour_materials.toml"), "--fine-division", "1"),
        *("--add", "cobalt oxide=150ppm", "--add", "saltpetre=0,4%", "--counted", "on top"),
        *("--at-most", "dune sand=25", "--at-least", "dune sand=1", "--exactly", "feldspar=0.2"),
        *("--weight", "CaO=3", "--volatilises", "Na2O=2", "--sizes", "10 60"),
        *("--prefer", "cheapest", "--basis", "wt%"),
    )
    assert "for 10 kg" in text
    assert "for 60 kg" in text
    assert "0.200 kg" in text
    assert "MgO comes to" in text
    assert "Volatilised: Na2O" in text
    assert "EUR per kg of glass" in text
    assert "On top of the target, not counted in it: " in text


def test_a_wish_shows_the_analysis_it_came_from(capsys):
    text = answer(capsys, "harbour clear", "--expansion", "98", "--change", "Na2O SiO2 CaO")
    assert "analysis" in text
    assert "98.0" in text
    result = json.loads(answer(capsys, "harbour clear", "--raise-annealing", "4", "--json"))
    before = result["analysis_before_wish_weight_percent"]
    assert before["Na2O"] == pytest.approx(16.6)
    assert result["target_weight_percent"]["Na2O"] < 16.6


def test_an_analysis_may_stand_in_a_file(capsys, tmp_path):
    path = tmp_path / "old glass.txt"
    path.write_text("SiO2 72\nNa2O 14\nCaO 14\n", encoding="utf-8")
    assert "silica sand" in answer(capsys, str(path))


def test_cullet_may_stand_in_a_glass_file(capsys, tmp_path):
    path = tmp_path / "shards.toml"
    path.write_text('composition = "SiO2 72, Na2O 14, CaO 14"\n', encoding="utf-8")
    text = answer(capsys, "harbour clear", "--cullet", str(path), "--cullet-share", "10")
    assert "cullet" in text
    path.write_text("[measured]\nstrain_point_C = 500\nannealing_point_C = 540\n", encoding="utf-8")
    said = refused(capsys, "harbour clear", "--cullet", str(path), "--cullet-share", "10")
    assert "no analysis" in said
    assert "shards.toml" in said


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["no such glass"], "no glass called"),
        (["missing.toml"], "missing.toml: There is no such file"),
        (["SiO2 50, CaO 20"], "adds up to 70"),
        (["SiO2 50, CaO x"], ""),
        ([" "], "No glass was named"),
        (["harbour clear", "--kg", "much"], "not a number"),
        (["harbour clear", "--kg", "-3"], "melt of -3"),
        (["harbour clear", "--kg", "3", "--batch-kg", "4"], "both a size"),
        (["harbour clear", "--cullet-share", "30"], "no cullet"),
        (["harbour clear", "--cullet", "clear float"], "share of the glass is missing"),
        (["harbour clear", "--cullet", "clear float", "--cullet-share", "140"], "share of 140"),
        (["harbour clear", "--add", "CoO=3"], "no unit"),
        (["harbour clear", "--add", "CoO"], "not a name and a number"),
        (["harbour clear", "--add", "gold=3ppm"], "no material called"),
        (["harbour clear", "--at-most", "soap=3"], "no material called"),
        (["harbour clear", "--exactly", "soda ash=3", "--at-most", "soda ash=2"], "at once"),
        (["harbour clear", "--exactly", "silica sand=0.1"], "cannot be made as asked"),
        (["harbour clear", "--weight", "sand=3"], "not an oxide"),
        (["harbour clear", "--volatilises", "PbO=80"], "loss of 80"),
        (["harbour clear", "--division", "0"], "division of 0"),
        (["harbour clear", "--prefer", "cheapest"], "no price"),
        (["harbour clear", "--prefer", "nicest"], "invalid choice"),
        (["harbour clear", "--change", "CaO"], "no property is asked for"),
        (["harbour clear", "--expansion", "190", "--change", "SiO2 Na2O"], "as far as"),
        (["harbour clear", "--sizes", "10 ten"], "not a number"),
        (["harbour clear", "--sizes", "0"], "melt of 0"),
        (["harbour clear", "--materials", "nowhere.toml"], "no such file"),
        (["SiO2 40, As2O3 40, K2O 20"], "cannot be made of these materials"),
    ],
)
def test_bad_input_is_one_clear_line(capsys, arguments, says):
    assert says in refused(capsys, *arguments)


def test_usual_losses_give_way_to_those_found(capsys):
    given = answer(
        capsys, "harbour lead crystal", "--usual-losses", "--volatilises", "PbO=1", "--json"
    )
    note = next(n for n in json.loads(given)["notes"] if n.startswith("Allowed for"))
    assert "PbO 1 %" in note
    assert "K2O 3 %" in note
