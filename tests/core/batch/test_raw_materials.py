"""Raw materials and their lists: made, refused, read and written."""

import dataclasses
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.batch.material import Hazard, Material, MaterialList, Use
from core.batch.material_analysis import NOT_STATED
from core.batch.material_file import (
    materials_to_toml,
    parse_materials,
    read_materials,
    shipped_materials,
    write_materials,
)
from core.errors import BatchError, LoadError

DEMO = Path(__file__).parents[3] / "demo_data" / "batch" / "harbour_materials.toml"


def test_a_wet_material_brings_less():
    dry = Material.from_formula("soda ash", "Na2CO3")
    wet = Material.from_formula("soda ash", "Na2CO3", moisture=0.1)
    assert wet.yields()["Na2O"] == pytest.approx(0.9 * dry.yields()["Na2O"])


def test_an_analysis_is_scaled_with_its_loss_and_a_bad_total_is_said():
    lime = Material.from_analysis("lime", {"CaO": 54.0, "SiO2": 0.5}, 42.0, {"CO2": 90})
    assert sum(lime.oxides.values()) + lime.loss == pytest.approx(1.0)
    assert lime.oxides["CaO"] == pytest.approx(54.0 / 96.5)
    assert lime.gases["CO2"] == pytest.approx(0.9 * 42.0 / 96.5)
    assert lime.gases[NOT_STATED] == pytest.approx(0.1 * 42.0 / 96.5)
    assert "96.5" in lime.warnings[0]


@pytest.mark.parametrize(
    ("percent", "loss", "says", "field"),
    [
        ({"CaO": 55.0}, 0.0, "add up to 55 %", "oxides"),
        ({"SiO2": 120.0}, 0.0, "add up to 120 %", "oxides"),
        ({"SiO2": 100.0, "Fe2O3": -1.0}, 0.0, "Fe2O3 of -1", "Fe2O3"),
        ({"SiO2": 100.0}, -2.0, "loss on ignition of -2", "loss"),
        ({"SiO2": 50.0, "sio2": 50.0}, 0.0, "given twice", "sio2"),
        ({"SiO2": float("nan")}, 0.0, "SiO2 of nan", "SiO2"),
        ({}, 100.0, "leaves nothing in the glass", "oxides"),
    ],
)
def test_an_analysis_that_cannot_be_is_refused(percent, loss, says, field):
    with pytest.raises(BatchError, match=says) as caught:
        Material.from_analysis("stuff", percent, loss)
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"stock": -1.0}, "stock"),
        ({"price": -0.5}, "price"),
        ({"price": float("inf")}, "price"),
        ({"moisture": 1.0}, "moisture"),
        ({"name": "  "}, "name"),
    ],
)
def test_impossible_numbers_are_refused(change, field):
    with pytest.raises(BatchError) as caught:
        dataclasses.replace(Material.from_formula("soda ash", "Na2CO3"), **change)
    assert caught.value.field == field


def test_an_addition_may_burn_away():
    charcoal = shipped_materials().find("charcoal")
    assert charcoal.use is Use.ADDITION
    assert not charcoal.oxides
    assert charcoal.loss == 1.0


def test_a_list_finds_by_name_and_names_near_ones():
    listed = shipped_materials()
    assert listed.find(" Soda ASH ").formula == "Na2CO3"
    with pytest.raises(BatchError, match="no material called “soda”") as caught:
        listed.find("soda")
    assert "soda ash" in caught.value.remedy
    assert [m.name for m in listed.bringing("PbO")] == ["litharge", "red lead"]


def test_a_list_has_no_two_of_a_name_and_is_not_empty():
    sand = Material.from_formula("sand", "SiO2")
    with pytest.raises(BatchError, match="twice"):
        MaterialList((sand, dataclasses.replace(sand, name="SAND")))
    with pytest.raises(BatchError, match="no materials"):
        MaterialList(())


def test_every_shipped_material_has_a_hazard_or_is_harmless_dust():
    for material in shipped_materials():
        assert material.hazards, material.name
        assert material.price is None
        assert material.stock is None
    lead = {m.name for m in shipped_materials() if "PbO" in m.oxides}
    assert all(Hazard.LEAD in shipped_materials().find(name).hazards for name in lead)
    silica = shipped_materials().find("silica sand")
    assert Hazard.SILICA in silica.hazards


@pytest.mark.parametrize("materials", [shipped_materials(), read_materials(DEMO)], ids=str)
def test_a_written_list_is_read_back(materials, tmp_path):
    path = tmp_path / "list.toml"
    write_materials(path, materials)
    again = read_materials(path)
    assert again.currency == materials.currency
    for before, after in zip(materials, again, strict=True):
        assert after.name == before.name
        assert after.oxides == pytest.approx(dict(before.oxides), abs=1e-11)
        assert after.gases == pytest.approx(dict(before.gases), abs=1e-11)
        plain = ("moisture", "use", "price", "stock", "hazards", "hazard", "note", "formula")
        assert [getattr(after, k) for k in plain] == [getattr(before, k) for k in plain]


words = st.text(min_size=1, max_size=20).filter(lambda text: text.strip())
shares = st.just(0.0) | st.floats(0.001, 50.0)


@settings(max_examples=40)
@given(
    name=words,
    note=st.text(max_size=30),
    soda=shares,
    lime=shares,
    moisture=st.floats(0.0, 0.5),
    price=st.none() | st.floats(0.0, 1e4),
    stock=st.none() | st.floats(0.0, 1e4),
    use=st.sampled_from(Use),
)
def test_any_material_is_read_back(name, note, soda, lime, moisture, price, stock, use):
    rest = 100.0 - soda - lime
    percent = {"Na2O": soda, "CaO": lime, "SiO2": rest}
    if rest <= 0:
        return
    material = Material.from_analysis(
        name, percent, moisture=moisture, price=price, stock=stock, use=use, note=note
    )
    again = parse_materials(materials_to_toml(MaterialList((material,)))).materials[0]
    assert (again.name, again.note, again.use) == (name, note, use)
    assert again.oxides == pytest.approx(dict(material.oxides), rel=1e-9)
    assert again.moisture == pytest.approx(moisture, rel=1e-9)
    for key, value in (("price", price), ("stock", stock)):
        assert getattr(again, key) == (value if value is None else pytest.approx(value, rel=1e-9))


BAD = [
    ('[[material]]\nname = "a"\n', 2, "neither a formula nor oxides"),
    ('[[material]]\nname = "a"\nformula = "Na2CO3"\nstock_kg = -4\n', 4, "stock of -4"),
    ('[[material]]\nname = "a"\nformula = "Na2CO3"\nprice_per_kg = "2"\n', 4, "not a number"),
    ('[[material]]\nname = "a"\nformula = "Nonsense"\n', 3, "element"),
    ('[[material]]\nname = "a"\nformula = "CaCO3"\noxides = { CaO = 56 }\n', 4, "both a formula"),
    ('[[material]]\nname = "a"\noxides = { CaO = 56 }\n', 3, "add up to 56"),
    ('[[material]]\nname = "a"\noxides = { Sand = 100 }\n', 3, "not an oxide"),
    ('[[material]]\nname = "a"\nformula = "SiO2"\nhazards = ["soot"]\n', 4, "not possible here"),
    ('[[material]]\nname = "a"\nformula = "SiO2"\ncolour = "white"\n', 4, "not a known key"),
    ('[[material]]\nname = "a"\nformula = "SiO2"\nmoisture_percent = 95\n', 4, "moisture of 95"),
    ('name = "empty"\n', None, "no materials"),
]


@pytest.mark.parametrize(("text", "line", "says"), BAD, ids=[says for _, _, says in BAD])
def test_a_fault_in_a_list_is_placed(text, line, says):
    with pytest.raises(LoadError, match=says) as caught:
        parse_materials(text, file="shelf.toml")
    assert caught.value.place.file == "shelf.toml"
    if line is not None:
        assert caught.value.place.line in {line, line - 1}


def test_a_list_that_cannot_be_written_leaves_the_old_one(tmp_path):
    with pytest.raises(BatchError, match="cannot be written"):
        write_materials(tmp_path / "no" / "list.toml", shipped_materials())
    assert not list(tmp_path.iterdir())
