"""The weigh-out sheet."""

import pytest

from core.batch.material_file import shipped_materials
from core.batch.reckon import make_batch
from core.batch.request import Addition, BatchRequest, Cullet
from core.batch.sheet import as_read, decimals_of, sheet_of
from core.errors import BatchError
from core.glass.library import find_glass

CLEAR = find_glass("harbour clear").composition


@pytest.fixture(scope="module")
def batch():
    return make_batch(
        BatchRequest(
            "harbour clear",
            CLEAR,
            shipped_materials(),
            40.0,
            cullet=Cullet("own", CLEAR, 0.25),
            additions=(Addition("CoO", 150e-6),),
        )
    )


def test_the_tub_fills_up_line_by_line(batch):
    sheet = sheet_of(batch)
    total = 0.0
    for line, weighing in zip(sheet.lines, batch.weighings, strict=True):
        total += weighing.mass
        assert line.running_total == pytest.approx(total, abs=1e-9)
    assert sheet.total == sheet.lines[-1].running_total
    assert sheet.total == pytest.approx(batch.balance.weighed)


def test_weights_read_as_the_scale_shows_them(batch):
    shown = {line.material: line.shown() for line in sheet_of(batch).lines}
    assert shown["silica sand"].endswith(" kg")
    assert len(shown["silica sand"].split()[0].split(".")[1]) == 2
    grams = float(shown["cobalt oxide"].removesuffix(" g"))
    cobalt = next(line for line in batch.weighings if line.material == "cobalt oxide")
    assert grams == pytest.approx(1000 * cobalt.mass)


@pytest.mark.parametrize(
    ("mass", "division", "shown"),
    [
        (27.8, 0.01, "27.80 kg"),
        (0.1832, 0.0001, "183.2 g"),
        (0.005, 0.00001, "5.00 g"),
        (12.0, 1.0, "12 kg"),
        (0.345, 0.001, "0.345 kg"),
    ],
)
def test_a_mass_as_it_is_read(mass, division, shown):
    assert as_read(mass, division) == shown


@pytest.mark.parametrize(
    ("division", "decimals"), [(1.0, 0), (10.0, 0), (0.5, 1), (0.01, 2), (0.005, 3), (0.0001, 4)]
)
def test_decimals_of_a_scale(division, decimals):
    assert decimals_of(division) == decimals


def test_other_sizes_are_in_proportion(batch):
    sheet = sheet_of(batch, (20.0, 80.0))
    for row, factor in zip(sheet.sizes, (0.5, 2.0), strict=True):
        assert row.glass in {20.0, 80.0}
        for mass, weighing in zip(row.masses, batch.weighings, strict=True):
            assert mass == pytest.approx(factor * weighing.exact, abs=1.1 * weighing.division)


@pytest.mark.parametrize("size", [0.0, -5.0, float("nan"), 1e9])
def test_impossible_sizes_are_refused(batch, size):
    with pytest.raises(BatchError):
        sheet_of(batch, (size,))


def test_the_sheet_carries_safety_and_rules(batch):
    sheet = sheet_of(batch)
    assert sheet.safety == batch.safety
    assert sheet.notes
