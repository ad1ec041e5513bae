from pathlib import Path

import pytest

from core.errors import GlassError
from core.glass.library import find_glass, read_glasses, shipped_glasses
from core.glass.properties import properties_of
from core.units import kelvin_to


@pytest.mark.parametrize("name", shipped_glasses())
def test_every_shipped_glass_has_a_source_and_properties(name: str) -> None:
    glass = find_glass(name)
    assert glass.source
    properties = properties_of(glass)
    # No oxide glass anneals outside this (common practice, no source).
    assert 400.0 < kelvin_to(properties.annealing_point.value) < 750.0
    assert 30e-7 < properties.expansion.value < 130e-7


def test_unverified_historical_averages_say_so() -> None:
    assert "from memory, unverified" in find_glass("cristallo").source
    assert "Verita" in find_glass("natron glass, Italian windows").source


def test_the_examples_are_marked_invented() -> None:
    for name in ("harbour clear", "harbour lead crystal", "bottle green potash"):
        assert "invented" in find_glass(name).source


def test_the_studio_glass_anneals_where_a_soda_lime_studio_glass_does() -> None:
    # 500-530 °C, common practice, no source.
    annealing = properties_of(find_glass("harbour clear")).annealing_point.value
    assert 500.0 < kelvin_to(annealing) < 530.0


def test_names_are_found_in_any_case() -> None:
    assert find_glass("  CLEAR Float ").name == "clear float"


@pytest.mark.parametrize(
    ("name", "near"), [("cristalo", "cristallo"), ("710", "NIST SRM 710A"), ("", "clear float")]
)
def test_unknown_names_list_near_ones(name: str, near: str) -> None:
    with pytest.raises(GlassError, match="no glass called") as caught:
        find_glass(name)
    assert near in (caught.value.remedy or "")
    assert caught.value.field == "name"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[[glass]\n", "cannot be read"),
        ("title = 'x'\n", "tables only"),
        ("[[glass]]\nname = 'x'\ncolour = 'red'\n", "unknown key colour"),
        ("[[glass]]\nname = 'x'\ncomposition = 'SiO2 seventy'\n", "seventy"),
        ("[[glass]]\nname = 'x'\n", "neither an analysis"),
        ("[[glass]]\ncomposition = 'SiO2 100'\n", "no name"),
        ("[[glass]]\nname='x'\nmeasured.strain_point_F = 950\n", "strain_point_F"),
        ("[[glass]]\nname='x'\nmeasured.strain_point_C = 'hot'\n", "strain_point_C"),
    ],
)
def test_damaged_files_are_named(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(GlassError, match=words) as caught:
        read_glasses(path)
    assert caught.value.place is not None
    assert caught.value.place.file == "mine.toml"
