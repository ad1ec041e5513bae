import dataclasses
from pathlib import Path

import pytest

from core.errors import GlassError
from core.glass.library import (
    find_entry,
    find_glass,
    library_entries,
    read_entries,
    shipped_glasses,
)
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


# Keys that plans and notes may refer to: never changed, never reused.
KEYS = (
    "harbour-clear harbour-lead-crystal bottle-green-potash natron-italy-windows "
    "plant-ash-italy-9-16c plant-ash-italy-14-16c soda-italy-17-18c high-lime-potash-perugia "
    "high-lime-potash-rome high-lime-potash-florence roman-blue-green roman-colourless-antimony "
    "roman-colourless-manganese egyptian-new-kingdom forest-glass-nw-europe hlla venetian-common "
    "vitrum-blanchum cristallo english-lead-crystal lattimo lead-arsenate-opal "
    "calcium-antimonate-white kew-thermometer clear-float container window borosilicate-7740 "
    "lead-0120 nist-620 nist-621 nist-1831 corning-a corning-b corning-c corning-d nist-710 "
    "nist-710a nist-711 nist-717a dgg-1"
)


def test_keys_stay() -> None:
    assert set(KEYS.split()) <= set(library_entries())
    for key, entry in library_entries().items():
        assert entry.key == key
        assert entry.version >= 1
        assert find_glass(key) is entry.glass


def test_an_entry_says_whether_its_source_was_at_hand() -> None:
    assert library_entries()["nist-710a"].is_verified
    assert not library_entries()["cristallo"].is_verified
    assert not library_entries()["corning-a"].is_verified


def test_the_spread_of_a_published_average_is_kept() -> None:
    # Verita 2005/2009, Table 6, group Na1: standard deviations of 52 analyses, wt%.
    composition = library_entries()["natron-italy-windows"].glass.composition
    assert composition is not None
    assert composition.errors_as_entered == pytest.approx(
        {"SiO2": 2.0, "Al2O3": 0.3, "Na2O": 2.0, "K2O": 0.2, "CaO": 1.3, "MgO": 0.3}
    )


def test_the_certified_oxides_of_reference_glasses_add_up_as_printed() -> None:
    # Sums of the certificates and of Brill (1999), from memory, unverified.
    printed = {"nist-620": 99.88, "nist-621": 99.96, "nist-1831": 100.01, "corning-a": 99.44}
    printed |= {"corning-b": 99.04, "corning-c": 98.60, "corning-d": 99.26}
    for key, total in printed.items():
        composition = library_entries()[key].glass.composition
        assert composition is not None
        assert composition.original_total == pytest.approx(total, abs=0.006)


def test_a_glass_taken_unchanged_finds_its_entry_again() -> None:
    glass = find_glass("cristallo")
    entry = find_entry(dataclasses.replace(glass, name="ours", note="for the goblets"))
    assert entry is not None
    assert entry.key == "cristallo"
    changed = dataclasses.replace(glass, composition=find_glass("lattimo").composition)
    assert find_entry(dataclasses.replace(changed, measured=glass.measured)) is not entry


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[[glass]\n", "cannot be read"),
        ("title = 'x'\n", "tables only"),
        ("[[glass]]\nname = 'x'\n", "its key None"),
        ("[[glass]]\nname = 'x'\nkey = 'No Key'\n", "its key 'No Key'"),
        ("[[glass]]\nname = 'x'\nkey = 'x'\n", "its version None"),
        ("[[glass]]\nname = 'x'\nkey = 'x'\nversion = 0\n", "its version 0"),
        ("[[glass]]\nname = 'x'\nkey = 'x'\nversion = true\n", "its version True"),
        ("[[glass]]\nname = 'x'\ncolour = 'red'\n", "unknown key colour"),
        (
            "[[glass]]\nkey = 'x'\nversion = 1\nname = 'x'\ncomposition = 'SiO2 seventy'\n",
            "seventy",
        ),
        ("[[glass]]\nkey = 'x'\nversion = 1\nname = 'x'\n", "neither an analysis"),
        ("[[glass]]\nkey = 'x'\nversion = 1\ncomposition = 'SiO2 100'\n", "no name"),
        (
            "[[glass]]\nkey = 'x'\nversion = 1\nname='x'\nmeasured.strain_point_F = 950\n",
            "strain_point_F",
        ),
        (
            "[[glass]]\nkey = 'x'\nversion = 1\nname='x'\nmeasured.strain_point_C = 'hot'\n",
            "strain_point_C",
        ),
    ],
)
def test_damaged_files_are_named(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(GlassError, match=words) as caught:
        read_entries(path)
    assert caught.value.place is not None
    assert caught.value.place.file == "mine.toml"
