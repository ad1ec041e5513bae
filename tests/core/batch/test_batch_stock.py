"""What weighing a batch leaves on the shelf."""

import dataclasses

import pytest

from core.batch.material import Material, MaterialList
from core.batch.reckon import make_batch
from core.batch.request import Addition, BatchRequest, Bound, Cullet
from core.batch.stock import stock_after, taken_from_stock
from core.composition.composition import Composition
from core.errors import BatchError

SODA_LIME = Composition.from_percent({"SiO2": 74.0, "Na2O": 16.0, "CaO": 10.0})


def shelf(soda_ash: float) -> MaterialList:
    return MaterialList(
        (
            Material.from_formula("sand", "SiO2", stock=50.0),
            Material.from_formula("soda ash", "Na2CO3", stock=soda_ash),
            Material.from_formula("whiting", "CaCO3"),
            Material.from_formula("cobalt oxide", "Co3O4", stock=0.5),
            Material.from_formula("red lead", "Pb3O4", stock=3.0),
        )
    )


def blue(materials: MaterialList):
    return make_batch(
        BatchRequest(
            "blue",
            SODA_LIME,
            materials,
            20.0,
            cullet=Cullet("sand", SODA_LIME, 0.25),  # called like a material, but it is cullet
            additions=(Addition("cobalt oxide", 0.002),),
        )
    )


def test_each_stock_goes_down_by_what_was_weighed() -> None:
    materials = shelf(20.0)
    batch = blue(materials)
    weighed = {line.material: line.mass for line in batch.weighings if line.part.value != "cullet"}
    assert taken_from_stock(batch) == pytest.approx(weighed)
    left = {material.name: material.stock for material in stock_after(materials, batch)}
    # What has no stock stays without; what is not in the batch is not touched.
    assert set(left) == {"sand", "soda ash", "cobalt oxide"}
    assert left["soda ash"] == pytest.approx(20.0 - weighed["soda ash"], abs=1e-9)
    assert left["cobalt oxide"] == pytest.approx(0.5 - weighed["cobalt oxide"], abs=1e-9)


def test_no_stock_ever_becomes_negative() -> None:
    batch = blue(shelf(20.0))
    need = taken_from_stock(batch)["soda ash"]
    exact = stock_after(shelf(need), batch)
    assert next(m.stock for m in exact if m.name == "soda ash") == 0.0
    with pytest.raises(BatchError, match=r"soda ash: .* only") as caught:
        stock_after(shelf(need - 0.01), batch)
    assert caught.value.field == "stock"
    assert caught.value.remedy


def test_a_material_taken_off_the_list_is_passed_over() -> None:
    materials = shelf(20.0)
    batch = blue(materials)
    kept = dataclasses.replace(materials, materials=materials.materials[1:])
    assert "sand" not in {material.name for material in stock_after(kept, batch)}


def test_a_melt_far_beyond_the_stock_names_what_runs_out() -> None:
    # Whiting is without end, so a glass of hardly anything else could be made: not the one asked.
    with pytest.raises(BatchError, match="sand runs out at") as caught:
        make_batch(BatchRequest("clear", SODA_LIME, shelf(200.0), 400.0))
    assert caught.value.field == "stock"
    # 74 % of the glass is sand, of which there are 50 kg.
    assert f"{50.0 / 0.74:.3g} kg" in caught.value.message


def test_a_material_left_out_is_named_as_what_would_help() -> None:
    batch = make_batch(
        BatchRequest("clear", SODA_LIME, shelf(50.0), 20.0, bounds={"whiting": Bound.fixed(0.0)})
    )
    (short,) = [one for one in batch.shortfalls if one.oxide == "CaO"]
    assert short.helps[0] == "more whiting"
