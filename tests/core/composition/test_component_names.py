import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.composition.names import NameKind, component, find_component, name_phrases
from core.composition.oxides import MOLAR_MASS
from core.errors import CompositionError


@pytest.mark.parametrize(
    ("name", "oxide"),
    [
        *(("silica", "SiO2"), ("soda", "Na2O"), ("Potash", "K2O"), ("LIME", "CaO")),
        *(("magnesia", "MgO"), ("alumina", "Al2O3"), ("baryta", "BaO"), ("strontia", "SrO")),
        *(("lithia", "Li2O"), ("boric oxide", "B2O3"), ("lead oxide", "PbO"), ("litharge", "PbO")),
        *(("lead", "PbO"), ("iron oxide", "Fe2O3"), ("ferric oxide", "Fe2O3")),
        *(("iron(III) oxide", "Fe2O3"), ("Iron (II) oxide", "FeO"), ("ferrous oxide", "FeO")),
        *(("manganese oxide", "MnO"), ("manganese dioxide", "MnO2"), ("pyrolusite", "MnO2")),
        *(("cupric oxide", "CuO"), ("cuprous oxide", "Cu2O"), ("cobalt oxide", "CoO")),
        *(("tin oxide", "SnO2"), ("antimony", "Sb2O3"), ("antimony pentoxide", "Sb2O5")),
        *(("arsenic", "As2O3"), ("white arsenic", "As2O3"), ("titania", "TiO2")),
        *(("phosphorus pentoxide", "P2O5"), ("sulphate", "SO3"), ("chloride", "Cl")),
        *(("fluoride", "F"), ("ceria", "CeO2"), ("zinc_oxide", "ZnO"), ("lead  oxide", "PbO")),
    ],
)
def test_trade_and_mineral_names(name: str, oxide: str) -> None:
    found = component(name)
    assert (found.oxide, found.kind, found.weight_factor) == (oxide, NameKind.OTHER_NAME, 1.0)


def test_forms_an_analysis_keeps_apart_stay_apart() -> None:
    kept = ("FeO", "Fe2O3", "MnO", "MnO2", "CuO", "Cu2O", "CoO", "Sb2O3", "Sb2O5", "SnO2", "SnO")
    assert [component(name).oxide for name in (*kept, "P2O5", "Cl", "SO3", "F")] == [
        *kept,
        *("P2O5", "Cl", "SO3", "F"),
    ]


@pytest.mark.parametrize(
    ("name", "oxide", "factor"),
    [
        # Worked by hand from IUPAC 2021 abridged atomic weights.
        ("Na", "Na2O", 61.979 / 45.980),
        ("K", "K2O", 94.195 / 78.196),
        ("Ca", "CaO", 56.077 / 40.078),
        ("Si", "SiO2", 60.083 / 28.085),
        ("Al", "Al2O3", 101.961 / 53.964),
        ("Pb", "PbO", 223.199 / 207.2),
        ("P", "P2O5", 141.943 / 61.948),
        ("Fe3O4", "Fe2O3", 1.5 * 159.687 / 231.531),
        ("magnetite", "Fe2O3", 1.5 * 159.687 / 231.531),
        ("Co3O4", "CoO", 3 * 74.932 / 240.795),
        ("Pb3O4", "PbO", 3 * 223.199 / 685.596),
    ],
)
def test_elements_and_other_oxides_are_converted(name: str, oxide: str, factor: float) -> None:
    found = component(name)
    assert found.oxide == oxide
    assert found.weight_factor == pytest.approx(factor, rel=1e-5)


@pytest.mark.parametrize("name", ["Na", "NA", "Ca", "CA", "Pb", "PB", "Co", "K", "P", "As"])
def test_elements_are_written_as_chemists_do_or_in_capitals(name: str) -> None:
    assert component(name).kind is NameKind.ELEMENT


@pytest.mark.parametrize("name", ["na", "as", "in", "no", "p", "k"])
def test_small_letters_are_no_elements(name: str) -> None:
    assert find_component(name) is None
    with pytest.raises(CompositionError, match="not an oxide"):
        component(name)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("sodium", "the element Na or Na2O"),
        ("manganese", "the element Mn, MnO or MnO2"),
        ("iron", "the element Fe, Fe2O3 or FeO"),
        ("CO", "the element Co or CoO"),
        ("R2O", "several oxides together"),
        ("alkalis", "several oxides together"),
        ("soda ash", "raw material"),
        ("sand", "raw material"),
        ("red lead", "raw material"),
    ],
)
def test_names_with_more_than_one_reading_are_refused_with_both(name: str, words: str) -> None:
    with pytest.raises(CompositionError, match=words) as caught:
        component(name)
    assert caught.value.field == name
    assert caught.value.remedy


@pytest.mark.parametrize("name", ["Fe2O3T", "Fe2O3 (T)", "Fe2O3*", "FeO tot", "total Fe2O3"])
def test_total_iron_is_recognised(name: str) -> None:
    found = component(name)
    assert found.kind is NameKind.TOTAL_IRON
    assert found.oxide in {"FeO", "Fe2O3"}


@pytest.mark.parametrize("name", ["O", "LOI", "L.O.I.", "loss on ignition", "H2O", "CO2"])
def test_what_is_no_oxide_of_the_glass_is_left_out(name: str) -> None:
    assert component(name).oxide == ""


def test_every_oxide_is_itself() -> None:
    for oxide in MOLAR_MASS:
        assert component(oxide).kind is NameKind.OXIDE
        assert component(oxide.lower()).written == oxide


def outcome(name: str) -> object:
    """What a name is, or the message a person reads; raises anything else."""
    try:
        return find_component(name)
    except CompositionError as error:
        return f"{error.message} {error.remedy}"


@given(st.text(max_size=30) | st.sampled_from(name_phrases()))
def test_any_name_is_something_nothing_or_a_plain_error(name: str) -> None:
    found = outcome(name)
    assert found is None or isinstance(found, str) or found.weight_factor > 0
