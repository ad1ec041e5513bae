import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.composition.composition import Basis, Composition
from core.composition.oxides import MOLAR_MASS
from core.composition.parse import parse_composition
from core.errors import CompositionError, UnitError

WANTED = {"SiO2": 70.1, "Na2O": 16.2, "CaO": 13.7}


@pytest.mark.parametrize(
    "text",
    [
        "SiO2 70.1, Na2O 16.2, CaO 13.7",
        "sio2 70.1 na2o 16.2 cao 13.7",
        "SiO₂ 70.1\nNa₂O 16.2\nCaO 13.7\n",
        "SiO2: 70.1 %\nNa2O: 16.2 %\nCaO: 13.7%",
        "SiO2=70.1; Na2O=16.2; CaO=13.7",
        "SiO2\t70.1\nNa2O\t16.2\nCaO\t13.7",
        "SiO2,70.1\r\nNa2O,16.2\r\nCaO,13.7\r\n",
        "SiO2;70,1\nNa2O;16,2\nCaO;13,7",
        "SiO2\t70,1\nNa2O\t16,2\nCaO\t13,7",
        "SiO2 70,1; Na2O 16,2; CaO 13,7",
        "SiO2 70,1, Na2O 16,2, CaO 13,7",
        'SiO2,"70,1"\nNa2O,"16,2"\nCaO,"13,7"',
        "Oxide\twt%\nSiO2\t70.1\nNa2O\t16.2\nCaO\t13.7\nTotal\t100.0",
        "SiO2\tNa2O\tCaO\n70.1\t16.2\t13.7",
        "SiO2\tNa2O\tCaO\tTotal\n70,1\t16,2\t13,7\t100,0",
        "SiO2,Na2O,CaO\n70.1,16.2,13.7",
        "SiO2, Na2O, CaO\n70,1, 16,2, 13,7",
        "SiO2 Na2O CaO\n70.1 16.2 13.7",
        "wt%\nSiO2 | Na2O | CaO\n70.1 | 16.2 | 13.7",
        "\ufeffSiO2 70.1\u00a0Na2O 16.2 CaO 13.7",
    ],
)
def test_every_form_gives_the_same_analysis(text: str) -> None:
    glass = parse_composition(text)
    assert dict(glass.weight_percent) == pytest.approx(WANTED)
    assert glass.basis is Basis.WEIGHT
    assert glass.warnings == ()


@pytest.mark.parametrize(
    ("words", "basis"),
    [
        ("wt%", Basis.WEIGHT),
        ("wt.-%", Basis.WEIGHT),
        ("weight %", Basis.WEIGHT),
        ("mass percent", Basis.WEIGHT),
        ("% w/w", Basis.WEIGHT),
        ("mol%", Basis.MOLE),
        ("mol-%", Basis.MOLE),
        ("mole %", Basis.MOLE),
        ("(mol %)", Basis.MOLE),
        ("mole percent", Basis.MOLE),
    ],
)
def test_the_basis_may_stand_anywhere(words: str, basis: Basis) -> None:
    amounts = "SiO2 70.1, Na2O 16.2, CaO 13.7"
    for text in (f"{words}\n{amounts}", f"{amounts} {words}"):
        assert parse_composition(text).basis is basis


def test_the_argument_wins_over_the_text() -> None:
    text = "SiO2 70.1, Na2O 16.2, CaO 13.7 mol%"
    assert parse_composition(text, Basis.WEIGHT).basis is Basis.WEIGHT
    assert parse_composition(f"{text} wt%", Basis.WEIGHT).basis is Basis.WEIGHT


@pytest.mark.parametrize(
    ("text", "words", "line", "column"),
    [
        ("SiO2 70\nNa2O 20\nSiO2 10", "SiO2 is given twice", 3, "1"),
        ("SiO2 70, Sodium 30", "“Sodium” could mean the element Na or Na2O", 1, "10"),
        ("SiO2 70, Sodiom 30", "“Sodiom” is not an oxide", 1, "10"),
        ("SiO2 70\nNa2O", "Na2O has no amount", 2, "1"),
        ("SiO2 Na2O 30", "SiO2 has no amount", 1, "1"),
        ("SiO2 70 30", "no oxide before “30”", 1, "9"),
        ("70 SiO2 30", "no oxide before “70”", 1, "1"),
        ("70 SiO2 30, 5 Na2O", "no oxide behind “30”", 1, "9"),
        ("70 SiO2, Na2O", "Na2O has no amount", 1, "10"),
        ("SiO2 >70", "“>70” has no upper end", 1, "6"),
        ("SiO2 ab70", "“ab70” is not an oxide", 1, "6"),
        ("SiO2 7o.1", "“7o.1” is not a number", 1, "6"),
        ("SiO2 70.1.2", "cannot be read", 1, "6"),
        ("SiO2 1e999", "too large", 1, "6"),
        ("SiO2,70,1\nNa2O,29,9", "decimal comma", 1, "6"),
        ("SiO2,Na2O\n70,1,29,9", "decimal comma", 2, "1"),
        ("SiO2 70,1; Na2O 16.2; CaO 13.7", "mixed", 1, "17"),
        ("SiO2 1.070,1 Na2O 2", "cannot be read", 1, "6"),
        ("SiO2\tNa2O\tCaO\n70\t3o\t30", "Na2O: “3o” is not an amount", 2, "4"),
        ("SiO2 Na2O CaO\n70 30", "3 columns", 2, "1"),
        ("SiO2 Na2O\n70 30\n71 29", "more than one row", 3, "1"),
        ("SiO2 70 wt%, Na2O 30 mol%", "Both wt% and mol%", 1, "22"),
        ("SiO2 -4, Na2O 104", "negative", 1, "1"),
    ],
)
def test_errors_say_where(text: str, words: str, line: int, column: str) -> None:
    with pytest.raises(CompositionError, match=words) as caught:
        parse_composition(text, file="analysis.txt")
    place = caught.value.place
    assert place is not None
    assert (place.file, place.line, place.column) == ("analysis.txt", line, column)


def test_a_stated_total_is_checked() -> None:
    right = parse_composition("SiO2 70.1, Na2O 16.2, CaO 13.7, total 100.05")
    assert right.warnings == ()
    wrong = parse_composition("SiO2 70.1, Na2O 16.2, CaO 13.7, total 99.5")
    assert "99.5" in wrong.warnings[0]
    assert "missing or mistyped" in wrong.warnings[0]


def outcome(text: str) -> Composition | str:
    """What became of a text: an analysis, or the message a person reads."""
    try:
        return parse_composition(text)
    except (CompositionError, UnitError) as error:
        return str(error)


@given(st.text(max_size=80))
def test_any_text_gives_an_analysis_or_a_plain_error(text: str) -> None:
    assert outcome(text)


_BITS = st.sampled_from(
    [
        *MOLAR_MASS,
        *("70.1", "16,2", "0", "1e5", "70.1,16.2", "1,2,3", "²", "-", "."),
        *(",", ";", "\t", "\n", " ", "=", ":", '"', "|", "("),
        *("%", "wt%", "mol%", "total", "oxide"),
    ]
)


@given(st.lists(_BITS, max_size=25).map("".join))
def test_garbled_analyses_never_become_anything_else(text: str) -> None:
    result = outcome(text)
    assert isinstance(result, str) or sum(result.weight_percent.values()) == pytest.approx(100.0)


@pytest.mark.parametrize(
    "text",
    [
        "SiO2 55, 20 to 30 % lead, K2O 12, Na2O 8",
        "SiO2 55; 20-30 % PbO; K2O 12; 8 % soda",
        "SiO2 55\n20 to 30 % lead oxide\nK2O 12, 8 % Na2O",
    ],
)
def test_an_amount_may_stand_before_its_oxide_among_others(text: str) -> None:
    glass = parse_composition(text)
    assert dict(glass.weight_percent) == pytest.approx(
        {"SiO2": 55.0, "PbO": 25.0, "K2O": 12.0, "Na2O": 8.0}
    )
    assert glass.uncertainty["PbO"] == pytest.approx(10.0 / 12.0**0.5)  # JCGM 100:2008, 4.3.7


@pytest.mark.parametrize(
    "text", ["SiO2 55, 20 lead, K2O 12", "SiO2 55, 20 % PbO 5, K2O 12", "SiO2, 55 % PbO, K2O 12"]
)
def test_an_amount_that_could_belong_to_either_oxide_is_refused(text: str) -> None:
    with pytest.raises(CompositionError) as caught:
        parse_composition(text)
    assert caught.value.place is not None
    assert caught.value.place.line == 1
