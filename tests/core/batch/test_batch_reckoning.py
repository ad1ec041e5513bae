"""Whole batches: recovered, balanced, paid for, short of things and refused."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.batch.batch import Part
from core.batch.material import Hazard, Material, MaterialList, Use
from core.batch.material_file import shipped_materials
from core.batch.reckon import make_batch
from core.batch.request import (
    Addition,
    BatchRequest,
    Bound,
    Counted,
    Cullet,
    MeltSize,
    Prefer,
)
from core.composition.composition import Composition
from core.errors import BatchError
from core.glass.library import find_glass

CLEAR = find_glass("harbour clear").composition
CRYSTAL = find_glass("harbour lead crystal").composition
SHIPPED = shipped_materials()


def ask(target=CLEAR, materials=SHIPPED, size=40.0, **others):
    return BatchRequest("test", target, materials, size, **others)


def mass_of(batch, name):
    return math.fsum(line.mass for line in batch.weighings if line.material == name)


SHELF = MaterialList(
    (
        Material.from_analysis(
            "sand",
            {"SiO2": 99.5, "Al2O3": 0.3, "Fe2O3": 0.03},
            0.17,
            {"H2O": 100},
            moisture=0.03,
            price=0.6,
        ),
        Material.from_formula("soda ash", "Na2CO3", moisture=0.004, price=1.3),
        Material.from_formula("potash", "K2CO3", moisture=0.02, price=3.0),
        Material.from_analysis(
            "whiting", {"CaO": 55.2, "MgO": 0.4, "SiO2": 0.5}, 43.9, {"CO2": 99}, price=0.7
        ),
        Material.from_formula("dolomite", "CaMg(CO3)2", price=0.8),
        Material.from_formula("red lead", "Pb3O4", price=7.0),
        Material.from_formula("saltpetre", "KNO3", use=Use.ADDITION, price=2.5),
        Material.from_formula("cobalt oxide", "Co3O4", use=Use.ADDITION, price=70.0),
    ),
    currency="EUR",
)


@st.composite
def known_batches(draw):
    """A glass that a known weigh-out of the shelf makes."""
    mass = st.floats(0.2, 1.0)
    known = {
        "sand": draw(st.floats(6.0, 8.0)),
        "soda ash": draw(st.floats(1.0, 3.0)),
        "potash": draw(mass),
        "whiting": draw(mass),
        "dolomite": draw(mass),
    }
    oxides: dict[str, float] = {}
    for name, kg in known.items():
        for oxide, share in SHELF.find(name).yields().items():
            oxides[oxide] = oxides.get(oxide, 0.0) + kg * share
    glass = math.fsum(oxides.values())
    percent = {oxide: 100 * m / glass for oxide, m in oxides.items()}
    return known, Composition.from_percent(percent), glass


@settings(max_examples=30, deadline=None)
@given(known_batches(), st.sampled_from(Prefer))
def test_a_known_weigh_out_is_recovered(batch, prefer):
    known, glass, mass = batch
    found = make_batch(ask(glass, SHELF, mass, prefer=prefer, division=1e-5, fine_division=1e-5))
    assert not found.shortfalls
    assert {line.material for line in found.weighings} == set(known)
    for line in found.weighings:
        assert line.mass == pytest.approx(known[line.material], rel=2e-3)


@settings(max_examples=30, deadline=None)
@given(
    size=st.floats(0.5, 300.0),
    size_of=st.sampled_from(MeltSize),
    share=st.floats(0.0, 0.9),
    lost=st.floats(0.0, 0.1),
    cobalt=st.floats(10e-6, 2e-3),
    nitrate=st.floats(0.001, 0.02),
    division=st.sampled_from([0.001, 0.01, 0.1]),
)
def test_the_mass_balance_closes_and_the_costs_add_up(
    size, size_of, share, lost, cobalt, nitrate, division
):
    cullet = Cullet("old", find_glass("bottle green potash").composition, share, 0.25)
    target = Composition.from_percent({"SiO2": 70, "Na2O": 12, "K2O": 6, "CaO": 9, "MgO": 3})
    batch = make_batch(
        ask(
            target,
            SHELF,
            size,
            size_of=size_of,
            cullet=cullet,
            volatilises={"Na2O": lost, "K2O": lost},
            additions=(Addition("CoO", cobalt), Addition("saltpetre", nitrate)),
            division=division,
        )
    )
    balance = batch.balance
    assert abs(balance.open) < 1e-9 * balance.weighed
    assert balance.weighed == pytest.approx(math.fsum(line.mass for line in batch.weighings))
    assert balance.gas == pytest.approx(math.fsum(gas.mass for gas in batch.gases))
    assert balance.glass > 0.7 * balance.weighed
    wanted = balance.glass if size_of is MeltSize.GLASS else balance.weighed
    assert wanted == pytest.approx(size, abs=2 * division * len(batch.weighings))
    prices = {m.name: m.price for m in SHELF} | {"old": 0.25}
    assert batch.cost == pytest.approx(
        math.fsum(prices[line.material] * line.mass for line in batch.weighings)
    )
    assert not batch.unpriced
    # The oxides of the glass, added up from the weighings by hand.
    potash = (
        math.fsum(
            SHELF.find(line.material).yields().get("K2O", 0.0) * line.mass
            for line in batch.weighings
            if line.part is not Part.CULLET
        )
        * (1 - lost)
        + mass_of(batch, "old") * cullet.composition.weight("K2O") / 100
    )
    assert batch.glass.weight("K2O") == pytest.approx(100 * potash / balance.glass)


def test_the_answer_does_not_depend_on_the_size():
    small, large = (make_batch(ask(size=size, division=1e-6)) for size in (1.0, 100.0))
    for one, other in zip(small.weighings, large.weighings, strict=True):
        assert 100 * one.exact == pytest.approx(other.exact, rel=1e-9)


def test_cullet_of_the_target_changes_only_the_amounts():
    cullet = Cullet("own", CLEAR, 0.4)
    plain, half = make_batch(ask()), make_batch(ask(cullet=cullet))
    assert mass_of(half, "own") == pytest.approx(16.0)
    for line in plain.weighings:
        assert 0.6 * line.exact == pytest.approx(
            next(o.exact for o in half.weighings if o.material == line.material), rel=1e-6
        )


def test_cullet_alone_is_a_melt():
    batch = make_batch(ask(cullet=Cullet("own", CLEAR, 1.0)))
    assert [line.material for line in batch.weighings] == ["own"]
    assert batch.glass_yield == pytest.approx(1.0)
    assert not batch.gases


def test_foreign_cullet_is_made_up_for_as_far_as_can_be():
    bottle = find_glass("bottle green potash").composition
    batch = make_batch(ask(cullet=Cullet("bottles", bottle, 0.3)))
    iron = next(one for one in batch.shortfalls if one.oxide == "Fe2O3")
    assert "cullet “bottles”" in iron.cause
    assert iron.reached == pytest.approx(0.3, abs=0.01)
    # Its potash is more than the target has, and no more is added; soda is made up for.
    assert batch.base.weight("K2O") == pytest.approx(0.3 * bottle.weight("K2O"), abs=0.01)
    assert mass_of(batch, "potash") == 0
    assert batch.base.weight("Na2O") / batch.base.weight("SiO2") == pytest.approx(
        16.6 / 69.5, rel=0.01
    )


def test_a_volatile_oxide_is_put_in_beforehand():
    plain = make_batch(ask(CRYSTAL))
    allowed = make_batch(ask(CRYSTAL, volatilises={"PbO": 0.02}))
    assert mass_of(allowed, "red lead") == pytest.approx(
        mass_of(plain, "red lead") / 0.98, rel=2e-3
    )
    assert allowed.base.weight("PbO") == pytest.approx(30.0, abs=0.02)
    assert allowed.volatilised["PbO"] == pytest.approx(0.3 * 40 / 0.98 * 0.02, rel=2e-3)


def test_an_addition_on_top_leaves_the_target_alone():
    batch = make_batch(ask(additions=(Addition("CoO", 200e-6),)))
    cobalt = next(line for line in batch.weighings if line.part is Part.ADDITION)
    assert cobalt.counted is Counted.ON_TOP
    assert batch.base.weight("CoO") == 0
    base = batch.balance.glass - cobalt.mass * SHIPPED.find("cobalt oxide").oxides["CoO"]
    assert batch.glass.weight("CoO") / 100 * batch.balance.glass / base == pytest.approx(
        200e-6, rel=0.01
    )
    assert any("On top of the target" in note and "cobalt" in note for note in batch.notes)


def test_cullet_is_a_share_of_the_finished_glass_additions_and_all():
    batch = make_batch(
        ask(cullet=Cullet("own", CLEAR, 0.3), additions=(Addition("Fe2O3", 0.2, Counted.ON_TOP),))
    )
    assert batch.balance.glass == pytest.approx(40.0, abs=0.05)
    assert mass_of(batch, "own") == pytest.approx(0.3 * 40.0, abs=0.01)
    assert batch.glass.weight("Fe2O3") == pytest.approx(100 * 0.2 / 1.2, abs=0.02)


def test_an_addition_is_dry_material_or_oxide_that_stays():
    wet = dataclasses.replace(SHIPPED.find("iron oxide"), moisture=0.2)
    materials = MaterialList(tuple(wet if one.name == wet.name else one for one in SHIPPED))
    by_material = ask(materials=materials, additions=(Addition("iron oxide", 0.01),))
    assert mass_of(make_batch(by_material), "iron oxide") == pytest.approx(
        0.01 / 0.8 * 40 / 1.01, rel=2e-3
    )
    by_oxide = dataclasses.replace(
        by_material, additions=(Addition("Fe2O3", 0.01),), volatilises={"Fe2O3": 0.05}
    )
    batch = make_batch(by_oxide)
    assert mass_of(batch, "iron oxide") == pytest.approx(0.01 / 0.8 / 0.95 * 40 / 1.01, rel=2e-3)
    assert batch.glass.weight("Fe2O3") == pytest.approx(100 * 0.01 / 1.01, rel=2e-3)


def test_an_addition_in_the_target_takes_the_place_of_something():
    plain = make_batch(ask(CRYSTAL))
    batch = make_batch(ask(CRYSTAL, additions=(Addition("saltpetre", 0.02),)))
    nitre = next(line for line in batch.weighings if line.part is Part.ADDITION)
    assert nitre.counted is Counted.IN_TARGET
    assert nitre.mass == pytest.approx(0.8, abs=0.001)
    brought = nitre.mass * SHIPPED.find("saltpetre").oxides["K2O"]
    spared = brought / SHIPPED.find("potash").oxides["K2O"]
    assert mass_of(plain, "potash") - mass_of(batch, "potash") == pytest.approx(spared, abs=0.03)
    assert batch.base.weight("K2O") == pytest.approx(11.5, abs=0.02)


def test_a_reducing_addition_changes_nothing_but_the_weight():
    plain = make_batch(ask())
    batch = make_batch(ask(additions=(Addition("charcoal", 0.001), Addition("salt cake", 0.004))))
    assert mass_of(batch, "charcoal") == pytest.approx(0.04, abs=1e-4)
    assert abs(batch.balance.open) < 1e-9
    assert dict(batch.base.weight_percent) == pytest.approx(
        dict(plain.base.weight_percent), abs=0.02
    )
    unknown = next(gas for gas in batch.gases if gas.volume is None)
    assert unknown.mass == pytest.approx(mass_of(batch, "charcoal"))


def test_what_a_target_lacks_is_named_and_what_would_help():
    few = MaterialList(tuple(SHIPPED.find(n) for n in ("silica sand", "soda ash", "whiting")))
    target = Composition.from_percent({"SiO2": 70, "Na2O": 16, "CaO": 10, "MgO": 3, "Al2O3": 1})
    batch = make_batch(ask(target, few))
    missing = {one.oxide: one for one in batch.shortfalls}
    assert set(missing) == {"MgO", "Al2O3"}
    assert missing["MgO"].helps[0] in {"dolomite", "magnesium carbonate"}
    assert set(missing["Al2O3"].helps) & {"alumina hydrate", "soda feldspar", "potash feldspar"}
    # The rest makes up the whole and keeps its proportions.
    assert batch.balance.glass == pytest.approx(40.0, abs=0.05)
    assert batch.base.weight("SiO2") / batch.base.weight("CaO") == pytest.approx(7.0, abs=0.02)


def test_a_bound_that_bites_is_the_cause():
    batch = make_batch(ask(CRYSTAL, bounds={"Red Lead": Bound(0, 11.0)}))
    assert mass_of(batch, "red lead") <= 11.0
    lead = batch.shortfalls[0]
    assert lead.oxide == "PbO"
    assert "red lead to 11 kg" in lead.cause
    assert "more red lead" in lead.helps
    # What fills the gap is not worth a word, and nothing foreign is put in to fill it.
    assert [one.oxide for one in batch.shortfalls] == ["PbO"]
    assert set(batch.base.weight_percent) == set(CRYSTAL.weight_percent)


def test_iron_that_comes_with_the_sand_is_said_and_purer_sand_named():
    batch = make_batch(ask(Composition.from_percent({"SiO2": 74, "Na2O": 16, "CaO": 10}), SHELF))
    iron = next(one for one in batch.shortfalls if one.oxide == "Fe2O3")
    assert "sand" in iron.cause
    assert "silica sand" in iron.helps


def test_stock_decides_and_says_how_far_it_goes():
    short = dataclasses.replace(SHIPPED.find("red lead"), stock=11.0)
    materials = MaterialList(tuple(short if one.name == "red lead" else one for one in SHIPPED))
    batch = make_batch(ask(CRYSTAL, materials))
    needed = mass_of(make_batch(ask(CRYSTAL)), "red lead")
    assert mass_of(batch, "red lead") <= 11.0
    enough = 40 * 11.0 / needed
    assert f"{enough:.3g} kg of glass" in batch.warnings[0]
    assert "more red lead" in batch.shortfalls[0].helps


def test_too_little_stock_for_the_melt_is_refused_with_what_it_is_enough_for():
    materials = MaterialList(
        tuple(dataclasses.replace(SHIPPED.find(n), stock=5.0) for n in ("silica sand", "soda ash"))
    )
    target = Composition.from_percent({"SiO2": 80, "Na2O": 20})
    with pytest.raises(BatchError, match=r"silica sand runs out at 6\.25 kg") as caught:
        make_batch(ask(target, materials, 40.0))
    assert caught.value.field == "stock"
    # Rounding may take two divisions of 10 g of each material.
    assert make_batch(ask(target, materials, 6.25)).balance.glass == pytest.approx(6.25, abs=0.04)


def test_an_impossible_target_is_refused_with_the_material_that_would_help():
    few = MaterialList(tuple(SHIPPED.find(n) for n in ("silica sand", "soda ash", "potash")))
    with pytest.raises(BatchError, match="30 wt% PbO") as caught:
        make_batch(ask(CRYSTAL, few))
    assert caught.value.field == "PbO"
    assert "red lead" in caught.value.remedy
    with pytest.raises(BatchError, match="instead of 30") as caught:
        make_batch(ask(CRYSTAL, bounds={"red lead": Bound(0, 1.0)}))
    assert "more red lead" in caught.value.remedy


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"size": -1.0}, "size"),
        ({"size": float("nan")}, "size"),
        ({"division": 0.0}, "division"),
        ({"weights": {"SiO2": -1.0}}, "weights.SiO2"),
        ({"weights": {"Sand": 1.0}}, "weights.Sand"),
        ({"volatilises": {"PbO": 0.9}}, "volatilises.PbO"),
        ({"bounds": {"unobtainium": Bound(1)}}, "material"),
        ({"additions": (Addition("CoO", 0.01), Addition("coo", 0.01))}, "additions"),
        ({"additions": (Addition("GeO2", 0.01),)}, "material"),
        ({"prefer": Prefer.CHEAPEST}, "prefer"),
        ({"weights": {"SiO2": 1e6}}, "weights.SiO2"),
        ({"bounds": {"charcoal": Bound(1.0)}}, "bounds"),
        (
            {"bounds": {"soda ash": Bound(1.0)}, "additions": (Addition("soda ash", 0.01),)},
            "bounds",
        ),
        ({"bounds": {"silica sand": Bound(100.0)}}, "bounds"),
        (
            {"cullet": Cullet("own", CLEAR, 1.0), "additions": (Addition("CoO", 0.01),)},
            "share",
        ),
    ],
)
def test_what_cannot_be_asked_is_refused(change, field):
    with pytest.raises(BatchError) as caught:
        make_batch(dataclasses.replace(ask(), **change))
    assert caught.value.field == field
    assert caught.value.remedy


@pytest.mark.parametrize(
    "make",
    [
        lambda: Cullet("x", CLEAR, 1.2),
        lambda: Cullet("x", CLEAR, 0.2, -1.0),
        lambda: Addition("CoO", 0.0),
        lambda: Addition(" ", 0.1),
        lambda: Bound(-1.0),
        lambda: Bound(3.0, 2.0),
    ],
)
def test_parts_of_a_request_that_cannot_be_are_refused(make):
    with pytest.raises(BatchError):
        make()


def test_small_weights_go_on_the_fine_scale():
    batch = make_batch(ask(division=0.01, fine_division=0.0001))
    antimony = next(line for line in batch.weighings if line.material == "antimony trioxide")
    sand = next(line for line in batch.weighings if line.material == "silica sand")
    assert (antimony.division, sand.division) == (0.0001, 0.01)


def test_rounding_together_is_no_worse_than_each_by_itself():
    request = ask(CRYSTAL, size=6.0, division=0.05, fine_division=0.05)
    batch = make_batch(request)
    weights = {oxide: request.weight(oxide) for oxide in CRYSTAL.weight_percent}

    def error(masses):
        total = math.fsum(masses.values())
        return math.fsum(
            (w * (100 * masses.get(o, 0) / total - CRYSTAL.weight(o))) ** 2
            for o, w in weights.items()
        )

    def oxides(weighed):
        found: dict[str, float] = {}
        for name, kg in weighed:
            for oxide, share in SHIPPED.find(name).yields().items():
                found[oxide] = found.get(oxide, 0.0) + kg * share
        return found

    together = oxides((line.material, line.mass) for line in batch.weighings)
    exact = {line.material: line.exact for line in batch.weighings}
    alone = oxides((name, 0.05 * round(kg / 0.05)) for name, kg in exact.items())
    assert error(together) <= error(alone)


def test_an_oxide_of_another_valency_is_counted_atom_for_atom():
    # Atomic weights: 2 FeO = 143.69 g are one Fe2O3 = 159.69 g, Sb2O5 323.51 one Sb2O3 291.52.
    target = Composition.from_percent(
        {"SiO2": 70, "Na2O": 16, "CaO": 10, "FeO": 2, "MnO2": 1, "Sb2O5": 1}
    )
    batch = make_batch(ask(target, weights={"FeO": 5.0}))
    assert not batch.shortfalls
    iron, silica = (batch.base.weight(oxide) for oxide in ("Fe2O3", "SiO2"))
    assert iron / silica == pytest.approx(2 * 159.69 / 143.69 / 70, rel=1e-3)
    antimony = batch.base.weight("Sb2O3")
    assert antimony / silica == pytest.approx(291.52 / 323.51 / 70, rel=2e-3)
    assert any("FeO as Fe2O3" in note for note in batch.notes)
    assert dict(batch.request.weights) == {"Fe2O3": 5.0}


def test_a_material_counts_in_the_same_oxides():
    slag = Material.from_analysis("slag", {"SiO2": 60, "FeO": 20, "CaO": 20})
    assert "FeO" not in slag.oxides
    grown = 20 * 159.69 / 143.69
    assert slag.oxides["Fe2O3"] == pytest.approx(grown / (80 + grown), rel=1e-4)


def test_a_target_that_is_off_and_an_analysis_that_is_scaled_are_said():
    target = Composition.from_percent({"SiO2": 68, "Na2O": 15, "CaO": 12})
    batch = make_batch(ask(target))
    assert any("95" in warning for warning in batch.warnings)


def test_safety_lines_name_every_hazard_and_defer_to_the_supplier():
    batch = make_batch(ask(CRYSTAL, additions=(Addition("saltpetre", 0.01),)))
    text = "\n".join(batch.safety)
    for name in ("silica sand", "red lead", "potash", "antimony trioxide", "saltpetre"):
        assert f"{name}: " in text
    assert "silicosis" in text
    assert "nitrogen oxides" in text
    assert "safety data sheet" in batch.safety[-1]
    lines = {h for line in batch.weighings for h in line.hazards}
    assert {Hazard.SILICA, Hazard.LEAD, Hazard.ALKALI, Hazard.NITRATE} <= lines


def test_properties_of_target_and_batch_compare():
    batch = make_batch(ask())
    target, reached = batch.target_properties, batch.base_properties
    assert reached.annealing_point.value == pytest.approx(target.annealing_point.value, abs=0.5)
    assert reached.expansion.value == pytest.approx(target.expansion.value, abs=0.1e-7)
    assert batch.glass_properties is reached


def test_a_user_weight_draws_its_oxide_nearer():
    bounds = {"red lead": Bound(0, 10.0)}
    plain = make_batch(ask(CRYSTAL, bounds=bounds))
    heavy = make_batch(ask(CRYSTAL, bounds=bounds, weights={"K2O": 50.0}))
    assert abs(heavy.base.weight("K2O") - 11.5) < 0.2 * abs(plain.base.weight("K2O") - 11.5)


def test_no_number_of_a_batch_is_infinite_or_no_number():
    batch = make_batch(ask(CRYSTAL, SHELF, cullet=Cullet("own", CLEAR, 0.1)))
    masses = [line.mass for line in batch.weighings] + [gas.mass for gas in batch.gases]
    assert np.isfinite([*masses, batch.cost, batch.glass_yield]).all()
