import pytest

from core.composition.amounts import Unit
from core.composition.columns import AnalysisColumns
from core.composition.composition import Basis, Composition
from core.composition.headings import read_heading
from core.composition.parse import parse_composition
from core.errors import CompositionError


@pytest.mark.parametrize(
    ("text", "oxide", "unit", "basis", "is_error"),
    [
        ("SiO2", "SiO2", None, None, False),
        ("SiO2 (wt%)", "SiO2", None, Basis.WEIGHT, False),
        ("SiO2_wt%", "SiO2", None, Basis.WEIGHT, False),
        ("SiO2_wt", "SiO2", None, Basis.WEIGHT, False),
        ("wt% SiO2", "SiO2", None, Basis.WEIGHT, False),
        ("CaO [mol%]", "CaO", None, Basis.MOLE, False),
        ("Fe2O3/ppm", "Fe2O3", Unit.PPM, None, False),
        ("Fe2O3_ppm", "Fe2O3", Unit.PPM, None, False),
        ("ppm Fe2O3", "Fe2O3", Unit.PPM, None, False),
        ("CoO, mg/kg", "CoO", Unit.PPM, None, False),
        ("Na2O %", "Na2O", Unit.PERCENT, None, False),
        ("lead oxide, %", "PbO", Unit.PERCENT, None, False),
        ("Fe2O3(T) wt%", "Fe2O3", None, Basis.WEIGHT, False),
        ("CaO ±", "CaO", None, None, True),
        ("CaO_err", "CaO", None, None, True),
        ("err CaO", "CaO", None, None, True),
        ("σ(CaO)", "CaO", None, None, True),
        ("CaO (ppm) sd", "CaO", Unit.PPM, None, True),
    ],
)
def test_headings_say_oxide_unit_and_basis(
    text: str, oxide: str, unit: Unit | None, basis: Basis | None, is_error: bool
) -> None:
    found = read_heading(text)
    assert found is not None
    assert (found.oxide, found.unit, found.basis, found.is_error) == (oxide, unit, basis, is_error)


def test_an_element_has_a_factor_and_a_unit_too() -> None:
    found = read_heading("Si (ppm)")
    assert found is not None
    assert found.unit_factor == 1e-4
    # SiO2 60.083 / Si 28.085 g/mol (IUPAC 2021), by hand.
    assert found.oxide_factor == pytest.approx(2.1393, abs=1e-4)


@pytest.mark.parametrize(
    "text",
    [
        *("", "Sample", "No.", "id", "author", "year", "wt%", "ppm", "mass", "T_log2_C", "note"),
        *("density_g_cm3", "strain_C", "error", "±", "(ppm)", "SiO2/Al2O3", "Total", "sand"),
    ],
)
def test_other_headings_say_nothing_of_an_analysis(text: str) -> None:
    assert read_heading(text) is None


def test_a_row_is_read_as_the_parser_reads_it() -> None:
    columns = AnalysisColumns.of(
        ["glass", "silica", "Na", "CaO", "CaO ±", "Fe2O3 (ppm)", "P2O5", "note"]
    )
    assert columns.others == (0, 7)
    assert "soda" not in "".join(columns.notes)
    assert any("“silica” as SiO2" in note for note in columns.notes)
    row = columns.composition(["A 1", "72", "10.4", "12.5", "0.3", "450", "<0.1", "green"], 2)
    text = "SiO2 72, Na 10.4, CaO 12.5 ± 0.3, Fe2O3 450 ppm, P2O5 <0.1"
    assert row == parse_composition(text)


def test_blank_and_missing_cells_are_none_without_a_word() -> None:
    columns = AnalysisColumns.of(["SiO2", "Na2O", "CaO", "MgO"])
    row = columns.composition(["74", "16", "", "10"])
    assert dict(row.weight_percent) == pytest.approx({"SiO2": 74, "Na2O": 16, "MgO": 10})
    assert row.notes == ()
    assert dict(columns.composition(["84", "16"]).weight_percent) == {"SiO2": 84, "Na2O": 16}


def test_the_basis_is_named_by_the_headings_or_chosen() -> None:
    headings = ["SiO2 mol%", "Na2O mol%"]
    cells = ["66.6667", "33.3333"]
    by_mole = Composition.from_percent({"SiO2": 66.6667, "Na2O": 33.3333}, Basis.MOLE)
    assert AnalysisColumns.of(headings).composition(cells) == by_mole
    chosen = AnalysisColumns.of(headings, Basis.WEIGHT).composition(cells)
    assert chosen.basis is Basis.WEIGHT


def test_a_printed_total_is_checked() -> None:
    columns = AnalysisColumns.of(["SiO2", "Na2O", "Total"])
    assert columns.composition(["80", "20", "100.0"]).warnings == ()
    assert "given as 99" in columns.composition(["80", "20", "99"]).warnings[0]


@pytest.mark.parametrize(
    ("headings", "words", "column"),
    [
        (["SiO2", "Na2O", "sodium"], "“sodium” could mean the element Na or Na2O", "sodium"),
        (["SiO2", "Na2O", "soda"], "Na2O is given twice, as “Na2O” and “soda”", "soda"),
        (["SiO2", "Na2O", "Na (ppm)"], "given twice, as “Na2O” and “Na”", "Na (ppm)"),
        (["SiO2 wt%", "Na2O mol%"], "wt% and others in mol%", "Na2O mol%"),
        (["SiO2", "CaO ±"], "errors of CaO but no amounts", "CaO ±"),
        (["SiO2", "R2O"], "several oxides together", "R2O"),
        (["name", "note"], "No column is named by an oxide", None),
    ],
)
def test_headings_that_cannot_be_read_name_the_column(
    headings: list[str], words: str, column: str | None
) -> None:
    with pytest.raises(CompositionError, match=words) as caught:
        AnalysisColumns.of(headings, file="glasses.csv")
    place = caught.value.place
    assert place is not None
    assert (place.file, place.line, place.column) == ("glasses.csv", 1, column)


@pytest.mark.parametrize(
    ("cells", "words", "column"),
    [
        (["72", "x", "12", "", ""], "“x” is not an amount", "Na2O"),
        (["72", "-14", "12", "", ""], "cannot be negative", "Na2O"),
        (["72", "14", "12", "1,234", ""], "could be 1.234 or 1234 ppm", "Fe (ppm)"),
        (["72", "14", "13", "", "0.1-0.2"], "error of Na2O cannot be read", "Na2O ±"),
        (["72", "14", "", "", ""], "adds up to 86", None),
        (["", "", "", "", ""], "empty", None),
        (["999", "14", "13", "", ""], "more than a whole glass", "SiO2"),
    ],
)
def test_a_row_that_cannot_be_read_names_line_and_column(
    cells: list[str], words: str, column: str | None
) -> None:
    columns = AnalysisColumns.of(["SiO2", "Na2O", "CaO", "Fe (ppm)", "Na2O ±"], file="glasses.csv")
    with pytest.raises(CompositionError, match=words) as caught:
        columns.composition(cells, 17)
    place = caught.value.place
    assert place is not None
    assert (place.file, place.line, place.column) == ("glasses.csv", 17, column)


@pytest.mark.parametrize("heading", ["K20", "Na20 wt%", "Fe203 (ppm)"])
def test_an_oxide_typed_with_a_zero_is_refused_not_left_out(heading):
    with pytest.raises(CompositionError, match="letter O") as caught:
        AnalysisColumns.of(["SiO2", "CaO", heading])
    assert caught.value.place is not None
    assert caught.value.place.column == heading


def test_headings_with_zeros_that_are_no_oxides_are_carried_through():
    assert AnalysisColumns.of(["SiO2", "CaO", "lot 2020", "T at 10^2"]).others == (2, 3)


def test_moles_may_be_named_without_percent():
    columns = AnalysisColumns.of(["SiO2 mol", "CaO (mol)", "Na2O mol ppm"])
    assert columns.basis is Basis.MOLE
    assert len(columns.amounts) == 3


def test_what_is_no_oxide_of_the_glass_is_said_to_be_left_out():
    notes = AnalysisColumns.of(["SiO2", "CaO", "LOI", "O"]).notes
    assert notes == ("Left out, being no oxide of the glass: “LOI” and “O”.",)
