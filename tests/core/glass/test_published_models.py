import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.composition.composition import Basis, Composition
from core.composition.oxides import MOLAR_MASS
from core.glass.fluegel_2007 import FLUEGEL_2007
from core.glass.lakatos_1976 import LAKATOS_1976
from core.glass.library import find_glass
from core.glass.published_models import MODELS, answers
from core.glass.viscosity_model import extrapolated_points, recast

FLOAT = find_glass("clear float").composition
assert FLOAT is not None


def test_a_soda_lime_glass_is_in_range_of_both() -> None:
    given_answers = answers(FLOAT)
    assert [answer.model for answer in given_answers] == [FLUEGEL_2007, LAKATOS_1976]
    assert all(answer.in_range for answer in given_answers)


def test_outside_says_by_how_much() -> None:
    potash = Composition.from_percent({"SiO2": 70.0, "K2O": 17.2, "CaO": 12.8})
    evaluation = LAKATOS_1976.evaluate(potash)
    assert "K2O 17.2 wt% is above the 8.7 wt% this model was fitted to." in evaluation.outside
    assert "Na2O 0 wt% is below the 10 wt% this model was fitted to." in evaluation.outside


def test_near_the_limit_the_sentence_shows_the_difference() -> None:
    glass = Composition.from_percent({"SiO2": 73.02, "Na2O": 10.0, "B2O3": 16.98}, Basis.MOLE)
    (sentence,) = FLUEGEL_2007.evaluate(glass).outside
    assert "B2O3 16.980 mol% is above the 16.97 mol%" in sentence


@pytest.mark.parametrize(
    ("oxide", "mole", "outside"),
    [
        ("CoO", 0.25, False),  # a trace of an oxide without a term
        ("CoO", 0.4, True),
        ("ZnO", 2.8, False),  # a range but no term at the cold level: no effect there
        ("ZnO", 2.9, True),
        ("SO3", 0.4, False),  # a term at the hot level and no range
        ("SO3", 0.6, True),
        ("P2O5", 0.25, False),
        ("P2O5", 0.5, True),  # a term at the middle level, but not in the cold level's data
        ("MnO", 0.25, False),
        ("MnO", 0.4, True),
    ],
)
def test_minor_oxides_of_fluegel(oxide: str, mole: float, outside: bool) -> None:
    glass = Composition.from_percent(
        {"SiO2": 74.0, "Na2O": 15.0, "CaO": 11.0 - mole, oxide: mole}, Basis.MOLE
    )
    evaluation = FLUEGEL_2007.evaluate(glass)
    assert bool(evaluation.outside) is outside
    assert (oxide in evaluation.ignored) is (oxide == "CoO")


def test_reduced_oxides_are_counted_as_the_model_lists_them() -> None:
    # 2 FeO are one Fe2O3: the model must not see a difference.
    rest = {"SiO2": 74.0, "Na2O": 15.0, "CaO": 10.0}
    ferrous = Composition.from_percent({**rest, "FeO": 1.0}, Basis.MOLE)
    ferric = Composition.from_percent({**rest, "Fe2O3": 0.5}, Basis.MOLE)
    ours, theirs = (FLUEGEL_2007.evaluate(g).curve.temperature(12.0) for g in (ferrous, ferric))
    assert ours == pytest.approx(theirs, abs=1e-9)
    counted = recast({"FeO": 2.0, "Fe2O3": 1.0, "SiO2": 98.0}, {"FeO": ("Fe2O3", 0.5)})
    assert counted == pytest.approx({"Fe2O3": 2.0, "SiO2": 98.0})


def test_points_beyond_the_fitted_viscosities() -> None:
    assert [p.name for p in extrapolated_points(FLUEGEL_2007)] == [
        "strain point",
        "melting temperature",
    ]
    assert [p.name for p in extrapolated_points(LAKATOS_1976)] == [
        "strain point",
        "annealing point",
        "softening point",
    ]


@given(
    st.dictionaries(
        st.sampled_from([o for o in MOLAR_MASS if o != "SiO2"]),
        st.floats(0.01, 90.0),
        min_size=1,
        max_size=6,
    ),
    st.floats(0.0, 95.0),
)
def test_no_composition_gives_anything_but_a_falling_curve_or_a_sentence(
    parts: dict[str, float], silica: float
) -> None:
    total = sum(parts.values())
    amounts = {o: a * (100.0 - silica) / total for o, a in parts.items()}
    amounts["B2O3"] = amounts.get("B2O3", 0.0) + 1e-6
    glass = Composition.from_percent({**amounts, "SiO2": silica})
    for answer in answers(glass):
        if answer.evaluation is None:
            assert "no physical viscosity curve" in answer.problem
            continue
        curve = answer.evaluation.curve
        points = [curve.temperature(log) for log in (13.5, 12.0, 6.6, 3.0, 1.0)]
        assert points == sorted(points)
        assert points[0] > 373.0
        assert points[-1] < 2900.0


def test_every_model_names_its_source_and_error() -> None:
    for model in MODELS:
        assert model.source.split()[0] == model.name.split()[0]
        assert model.stated_error > 0
