"""Many glasses at once give what each gives alone."""

import numpy as np
import pytest

from core.composition.composition import Composition
from core.composition.parse import parse_composition
from core.glass.glass import Glass
from core.glass.library import shipped_glasses
from core.glass.many_glasses import properties_of_many
from core.glass.properties import properties_of
from core.working.working_properties import working_properties_of

SHIPPED = [glass.composition for glass in shipped_glasses().values() if glass.composition]


def test_each_is_as_alone() -> None:
    unsure = parse_composition("SiO2 60, K2O 12 ± 1, PbO 20 to 30, Nd2O3 0.2")
    compositions = [*SHIPPED, unsure]
    many = properties_of_many(compositions)
    assert many.physical.all()
    for index, composition in enumerate(compositions):
        alone = properties_of(Glass("x", composition))
        assert alone.domain is not None
        assert many.in_range[index] == alone.domain.in_range
        for key, values in many.values.items():
            estimate = getattr(alone, key)
            for ours, theirs in (
                (values.value, estimate.value),
                (values.low, estimate.low),
                (values.high, estimate.high),
            ):
                # Intervals are summed in single precision.
                assert ours[index] == pytest.approx(theirs, rel=1e-5), key


def test_none_and_a_glass_of_nothing_the_model_knows() -> None:
    assert properties_of_many([]).in_range.shape == (0,)
    germania = Composition.from_percent({"GeO2": 100.0})
    many = properties_of_many([SHIPPED[0], germania])
    assert many.physical.tolist() == [True, False]
    assert many.in_range.tolist() == [True, False]


def test_more_than_fit_at_once() -> None:
    many = properties_of_many(SHIPPED[:3] * 900)
    annealing = many.values["annealing_point"].value
    assert annealing.shape == (2700,)
    assert np.allclose(annealing.reshape(900, 3), annealing[:3], rtol=1e-9)


def test_however_strange_an_analysis_nothing_unphysical_gets_through() -> None:
    """Random mixtures of oxides, nearly all far from any glass; bounds are this project's own."""
    generator = np.random.default_rng(5)
    oxides = ["Al2O3", "B2O3", "Na2O", "K2O", "Li2O", "CaO", "BaO", "PbO", "P2O5", "F", "TiO2"]
    mixtures = []
    for number in generator.integers(1, 6, 400):
        shares = 100.0 * generator.dirichlet(np.ones(number + 1))
        chosen = ["SiO2", *(oxides[at] for at in generator.choice(len(oxides), number, False))]
        mixtures.append(Composition.from_percent(dict(zip(chosen, shares.tolist(), strict=True))))
    many = properties_of_many(mixtures)
    physical = many.physical
    assert 50 < physical.sum() < 400
    span = many.values["melting_point"].value - many.values["strain_point"].value
    assert (span[physical] >= 300.0).all()
    for key, values in many.values.items():
        assert (values.low <= values.value)[physical].all(), key
        assert (values.value <= values.high)[physical].all(), key
    for mixture, found in zip(mixtures[:100], physical[:100], strict=True):
        if found:
            glass = Glass("x", mixture)
            working = working_properties_of(glass, properties_of(glass))
            assert working.setting_time is not None
            assert working.setting_time.low <= working.setting_time.value
