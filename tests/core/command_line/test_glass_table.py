"""``lehrkeeper glass --table``: every row answered, other columns untouched, never half a file."""

import csv
import io
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.command_line.glass_table import ADDED
from core.command_line.main import run
from core.composition.composition import Composition
from core.glass.glass import Glass
from core.glass.properties import properties_of
from core.units import kelvin_to

HEAD = "name,SiO2,Na2O,CaO,K2O,PbO,note\n"
GOOD = "quay clear,72.0,14.5,10.0,3.5,,window\n"
LEAD = "decanter,57.0,2.0,,11.0,30.0,heavy\n"


DEMO = Path(__file__).parents[3] / "demo_data"


@pytest.fixture
def table(tmp_path, capsys):
    """Run the command on bytes or text; gives the rows and what was printed."""

    def run_on(content, *options):
        source, target = tmp_path / "in.csv", tmp_path / "out.csv"
        data = content.encode("utf-8") if isinstance(content, str) else content
        source.write_bytes(data)
        assert run(["glass", "--table", str(source), "--out", str(target), *options]) == 0
        text = target.read_text(encoding="utf-8")
        return list(csv.DictReader(io.StringIO(text))), capsys.readouterr().out

    return run_on


@pytest.fixture
def refused(tmp_path, capsys):
    """Run the command where it must refuse; gives its one line."""

    def run_on(content, out="out.csv"):
        source, target = tmp_path / "in.csv", tmp_path / out
        source.write_text(content, encoding="utf-8")
        before = target.read_bytes() if target.is_file() else None
        assert run(["glass", "--table", str(source), "--out", str(target)]) == 2
        after = target.read_bytes() if target.is_file() else None
        assert after == before
        captured = capsys.readouterr()
        assert captured.out == ""
        assert len(captured.err.splitlines()) == 1
        return captured.err

    return run_on


def test_other_columns_stay_as_they_are_and_ours_follow_in_order(table):
    rows, said = table(HEAD + GOOD + LEAD)
    assert list(rows[0]) == [*HEAD.strip().split(","), *ADDED]
    assert [row["note"] for row in rows] == ["window", "heavy"]
    assert rows[0]["SiO2"] == "72.0"
    assert rows[1]["CaO"] == ""
    assert [row["error"] for row in rows] == ["", ""]
    assert [row["in_range"] for row in rows] == ["true", "true"]
    assert "2 glasses" in said
    assert "name, note" in said


def test_a_row_says_the_same_as_the_glass_alone(table):
    rows, _ = table(HEAD + GOOD)
    amounts = {"SiO2": 72.0, "Na2O": 14.5, "CaO": 10.0, "K2O": 3.5}
    alone = properties_of(Glass("x", Composition.from_percent(amounts)))
    for column, name in (
        ("strain_point_C", "strain_point"),
        ("annealing_point_C", "annealing_point"),
        ("glass_transition_C", "glass_transition"),
        ("softening_point_C", "softening_point"),
        ("working_point_C", "working_point"),
        ("T_log2_C", "temperature_log2"),
        ("melting_point_C", "melting_point"),
    ):
        estimate = getattr(alone, name)
        for end, value in (("", estimate.value), ("_low", estimate.low), ("_high", estimate.high)):
            assert float(rows[0][column + end]) == pytest.approx(kelvin_to(value), abs=0.06)
    for column, estimate, unit in (
        ("expansion_1e7_per_K", alone.expansion, 1e-7),
        ("density_g_cm3", alone.density, 1e3),
    ):
        for end, value in (("", estimate.value), ("_low", estimate.low), ("_high", estimate.high)):
            assert float(rows[0][column + end]) == pytest.approx(value / unit, abs=0.006)


def test_the_demo_table_shows_what_its_readme_says(table):
    rows, said = table((DEMO / "studio_glasses.csv").read_text(encoding="utf-8"))
    faults = {row["name"]: row["error"] for row in rows if row["error"]}
    assert list(faults) == ["smudged label", "half an analysis"]
    assert "40O" in faults["smudged label"]
    assert "4 of 6" in said
    assert all(row["in_range"] == "true" for row in rows if not row["error"])


def test_columns_go_by_any_name_order_and_unit(table):
    plain, _ = table("SiO2,Na2O,CaO,Fe2O3\n72,14.9,13,0.1\n")
    named, said = table("lime,Fe2O3 (ppm),silica,soda\n13,1000,72,14.9\n")
    for column in ADDED:
        assert named[0][column] == plain[0][column]
    assert "“soda” as Na2O" in said


def test_mole_percent_on_request(table):
    by_mole, _ = table("SiO2,Na2O,CaO\n72,14,14\n", "--basis", "mol%")
    by_weight, _ = table("SiO2,Na2O,CaO\n72,14,14\n")
    assert by_mole[0]["annealing_point_C"] != by_weight[0]["annealing_point_C"]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("x,seventy,14,10,6,,", "column SiO2"),
        ("x,72,-14,10,32,,", "cannot be negative"),
        ("x,72,14,,,,", "adds up to 86"),
        ("x,,,,,,", "empty"),
        ("x,,50,50,,,", "no glass former"),
        ("x,nan,14,10,6,,", "column SiO2"),
        ("x,72,14,10,4,,window,extra", "8 cells"),
        ("x,1e400,14,10,4,,", "SiO2"),
    ],
)
def test_a_bad_row_says_why_and_the_others_go_on(table, row, words):
    rows, said = table(HEAD + GOOD + row + "\n" + LEAD)
    assert [bool(r["error"]) for r in rows] == [False, True, False]
    assert words in rows[1]["error"]
    assert "line 3" in rows[1]["error"]
    assert "in.csv" not in rows[1]["error"]
    assert {rows[1][name] for name in ADDED[:-1]} == {""}
    assert rows[2]["annealing_point_C"]
    assert "2 of 3" in said


def test_limits_traces_ranges_and_errors_are_read_and_widen(table):
    rows, _ = table(
        "SiO2,Na2O,CaO,K2O,PbO\n72,14,10,4,\n72,14 ± 1,10,4,<0.1\n"
        "58,2,-,12,20 to 30\n72,14,10,4,trace\n"
    )
    assert [row["error"] for row in rows] == ["", "", "", ""]

    def width(row):
        return float(row["annealing_point_C_high"]) - float(row["annealing_point_C_low"])

    assert width(rows[1]) > width(rows[0])
    assert width(rows[2]) > width(rows[0])


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("mark", [";", "\t"])
def test_encodings_marks_and_decimal_commas(table, encoding, mark):
    lines = ["Schmelze", "SiO2", "Na2O", "CaO"], ["grün 1", "72,5", "14,0", "13,5"]
    content = "\r\n".join(mark.join(line) for line in lines) + "\r\n"
    rows, _ = table(content.encode(encoding))
    plain, _ = table("Schmelze,SiO2,Na2O,CaO\ngrün 1,72.5,14.0,13.5\n")
    assert rows[0]["Schmelze"] == "grün 1"
    assert rows[0]["SiO2"] == "72,5"
    assert [rows[0][name] for name in ADDED] == [plain[0][name] for name in ADDED]


@pytest.mark.parametrize(
    "heading", ["SiO2, wt%;Na2O, wt%;CaO, wt%;note, more", "SiO2 (wt%)\tNa2O\tCaO\tnote; more, too"]
)
def test_commas_and_semicolons_in_headings_part_nothing(table, heading):
    mark = ";" if "\t" not in heading else "\t"
    rows, _ = table(f"{heading}\n" + mark.join(["72,5", "14", "13,5", "x"]) + "\n")
    assert rows[0]["error"] == ""
    assert list(rows[0])[:4] == heading.split(mark)


def test_quoted_cells_keep_separators_and_lines(table):
    rows, _ = table('SiO2,note,Na2O,CaO\n72,"two\nlines, one ""word""",14,14\n72,x,14,bad\n')
    assert rows[0]["note"] == 'two\nlines, one "word"'
    assert "line 4" in rows[1]["error"]


def test_short_rows_blank_lines_and_no_rows(table):
    rows, _ = table("SiO2,CaO,Na2O,note\n72,14,14\n\n72,14,14,x\n")
    assert [row["note"] for row in rows] == ["", "x"]
    assert [row["error"] for row in rows] == ["", ""]
    rows, said = table(HEAD)
    assert rows == []
    assert "0 glasses" in said


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "empty"),
        ("\n\n", "empty"),
        ("name,note\na,b\n", "No column is named by an oxide"),
        ("SiO2,Na2O,sio2\n72,14,1\n", "sio2"),
        ("SiO2,soda,Na2O\n72,14,1\n", "soda"),
        ("name,SiO2,Na2O,Name\nx,72,28,y\n", "Two columns are called “Name”"),
        ("SiO2 wt%,Na2O mol%\n72,28\n", "mol%"),
    ],
)
def test_headings_that_will_not_do_name_the_column(refused, content, words):
    assert words in refused(content)


def test_a_column_that_bears_the_name_of_an_added_one_is_kept_under_another(table):
    rows, said = table("SiO2,Error,Na2O,T_log2_C,CaO\n72,none,14,1190,14\n")
    assert list(rows[0])[:5] == ["SiO2", "Error_given", "Na2O", "T_log2_C_given", "CaO"]
    assert rows[0]["T_log2_C_given"] == "1190"
    assert rows[0]["Error_given"] == "none"
    assert 1000 < float(rows[0]["T_log2_C"]) < 1300
    assert rows[0]["error"] == ""
    assert "“T_log2_C” is a column added" in said


def test_totals_that_are_off_are_scaled_and_said(table):
    rows, said = table("SiO2,Na2O,CaO\n72,14,14\n66.24,12.88,12.88\n77.76,15.12,15.12\n")
    assert "line 3, 4" in said
    for row in rows[1:]:  # the same glass, once the total is 100
        assert [row[name] for name in ADDED] == [rows[0][name] for name in ADDED]


def test_missing_folder_and_overwriting_the_input_are_refused(refused, tmp_path, capsys):
    assert "cannot be written" in refused(HEAD + GOOD, "no such folder/out.csv")
    assert "written over" in refused(HEAD + GOOD, "in.csv")
    (tmp_path / "folder").mkdir()
    assert "cannot be written" in refused(HEAD + GOOD, "folder")
    assert "cannot be written" in refused(HEAD + GOOD, "/dev/null")
    for source in ("missing.csv", str(tmp_path)):
        assert run(["glass", "--table", source, "--out", str(tmp_path / "o.csv")]) == 2
        assert len(capsys.readouterr().err.splitlines()) == 1
    assert not (tmp_path / "o.csv").exists()
    left = {path.name for path in tmp_path.iterdir()}
    assert left == {"in.csv", "folder"}  # nothing half-written beside them


def test_a_refused_table_leaves_the_earlier_one(refused, tmp_path):
    (tmp_path / "out.csv").write_text("yesterday's", encoding="utf-8")
    refused("name\nx\n")
    assert (tmp_path / "out.csv").read_text(encoding="utf-8") == "yesterday's"


def test_binary_files_are_no_tables(tmp_path, capsys):
    source = tmp_path / "in.csv"
    source.write_bytes(b"PK\x03\x04\x00\x00" * 50)
    assert run(["glass", "--table", str(source), "--out", str(tmp_path / "o.csv")]) == 2
    assert "not a text file" in capsys.readouterr().err


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.lists(st.text(max_size=8), min_size=1, max_size=5), min_size=1, max_size=4))
def test_whatever_stands_in_the_cells_every_row_comes_back(tmp_path_factory, rows):
    folder: Path = tmp_path_factory.mktemp("table")
    source, target = folder / "in.csv", folder / "out.csv"
    with source.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["note", "SiO2", "Na2O", "CaO"])
        writer.writerows([[f"a{row[0]}", *row[1:]] for row in rows])
    status = run(["glass", "--table", str(source), "--out", str(target)])
    if status == 2:
        assert "\0" in source.read_text(encoding="utf-8")
        return
    with target.open(encoding="utf-8", newline="") as file:
        answers = list(csv.DictReader(file))
    assert len(answers) == len(rows)
    for answer, row in zip(answers, rows, strict=True):
        assert answer["note"] == f"a{row[0]}"
        assert bool(answer["error"]) is not bool(answer["annealing_point_C"])


def test_a_quotation_mark_left_open_swallows_nothing_in_silence(refused):
    told = refused('name,SiO2,Na2O,CaO\na,72,14,14\n"b,72,14,14\nc,72,14,14\n')
    assert "line 3" in told
    assert "never closed" in told
