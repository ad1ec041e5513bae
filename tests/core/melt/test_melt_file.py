from pathlib import Path

import pytest

from core.errors import LehrkeeperError
from core.melt.charge_material import ChargeKind
from core.melt.heat_source import GasBurner
from core.melt.melt_file import parse_melt, read_melt
from core.melt.melt_writer import melt_to_toml, write_melt

DEMO = Path(__file__).parents[3] / "demo_data"
TEXT = (DEMO / "quay_pot_overnight.toml").read_text(encoding="utf-8")


def test_the_example_is_read_in_si():
    task = read_melt(DEMO / "quay_pot_overnight.toml")
    assert task.furnace.source.power == 14_000.0
    assert task.furnace_temperature == pytest.approx(1130 + 273.15)
    assert task.furnace.sections[0].layers[0].thickness == pytest.approx(0.114)
    assert task.pot.depth == pytest.approx(0.36)
    assert task.materials["crushed harbour clear"].kind is ChargeKind.CULLET
    assert task.fill.to == 55.0
    assert task.workable_by.isoformat() == "2026-11-28T09:00:00+00:00"


@pytest.mark.parametrize("path", sorted(DEMO.glob("*_pot_*.toml")), ids=lambda p: p.stem)
def test_what_is_written_reads_back_the_same(path):
    task = read_melt(path)
    again = parse_melt(melt_to_toml(task))
    assert melt_to_toml(again) == melt_to_toml(task)
    assert again.programme == task.programme
    assert again.materials == task.materials
    assert again.charges == task.charges
    assert again.pot == task.pot
    assert again.furnace.sections == task.furnace.sections


def test_a_burner_and_own_refractory_read_back_the_same():
    text = TEXT.replace(
        "[furnace.elements]\npower_kW = 14\narea_m2 = 0.15\nheat_capacity_kJ_K = 5\nmax_C = 1500",
        '[furnace.burner]\npower_kW = 40\nfuel = "propane"\nair_ratio = 1.15\nair_C = 300',
    ).replace("64 mm high-alumina brick", "64.5 mm kelp brick")
    text += (
        '\n[refractories."kelp brick"]\nconductivity_C_W_mK = [[200, 0.5], [1000, 0.7]]\n'
        "density_kg_m3 = 1400\n"
    )
    task = parse_melt(text)
    assert isinstance(task.furnace.source, GasBurner)
    assert task.furnace.sections[2].layers[0].thickness == pytest.approx(0.0645)
    assert melt_to_toml(parse_melt(melt_to_toml(task))) == melt_to_toml(task)


@pytest.mark.parametrize(
    ("old", "new", "line", "says"),
    [
        ("power_kW = 14", "power_kW = 0", "power_kW = 0", "no power heats nothing"),
        ("power_kW = 14", "power_kW = '14'", "power_kW = '14'", "not a number"),
        ("firebrick 28", "firebrck 28", "layers", "no refractory called"),
        ('"114 mm insulating', '"114 insulating', "layers", "is not a layer"),
        ("outer_area_m2 = 2.20", "outer_area_m2 = -2", "outer_area_m2 = -2", "not possible"),
        ("depth_mm = 360\n", "", "[pot]", "depth_mm is missing"),
        ("by = 2026-11-28", "by = 2026-11-26", "workable_by", "before the furnace starts"),
        ('glass = "harbour', 'glass = "harbr', 'glass = "harbr', "no glass called"),
        (
            "[[furnace.sections]]",
            "[[furnace.section]]",
            "[[furnace.section]]",
            "Did you mean sections",
        ),
        ("bubble_mm = 0.5", "bubble_mm = 0", "bubble_mm = 0", "not possible"),
        ("work_C = 1130", "work_C = 1430", "work_C", "lies above melting"),
        ('kind = "cullet"', 'kind = "sand"', 'kind = "sand"', "Use one of"),
        ('material = "crushed', 'material = "crashed', 'material = "crashed', "no material"),
        ("start = 2026-11-27T17:30:00", "start = 'soon'", "start = 'soon'", "is not a time"),
        ("price_per_kWh = 0.24", "price_per_kWh = -1", "price_per_kWh = -1", "not possible"),
        ("furnace_at_C = 1130", "furnace_at_C = 9999", "furnace_at_C", "not possible"),
        ("diameter_mm = 150", "diameter_mm = 150\nwidth_mm = 9", "diameter_mm", "either round"),
    ],
)
def test_a_fault_is_told_with_line_and_what_to_do(old, new, line, says):
    assert old in TEXT
    text = TEXT.replace(old, new)
    with pytest.raises(LehrkeeperError, match=says) as fault:
        parse_melt(text, file="night.toml")
    assert fault.value.remedy
    assert fault.value.place.file == "night.toml"
    found = text.splitlines()[fault.value.place.line - 1]
    assert line.splitlines()[0] in found


def test_both_kinds_of_charging_at_once_are_refused():
    text = TEXT + ('\n[[charges]]\nat = 18:00:00\nmaterial = "crushed harbour clear"\nkg = 10\n')
    with pytest.raises(LehrkeeperError, match="not both"):
        parse_melt(text)


def test_writing_into_a_missing_folder_is_an_error_with_its_place(tmp_path):
    task = parse_melt(TEXT)
    with pytest.raises(LehrkeeperError, match="cannot be written"):
        write_melt(tmp_path / "no" / "night.toml", task)
    write_melt(tmp_path / "night.toml", task)
    assert read_melt(tmp_path / "night.toml").fill == task.fill
