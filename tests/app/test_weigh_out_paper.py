"""The weigh-out sheet on paper: every weighing with its box, nothing over anything else."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import QRectF, QSizeF

from app.batch.weigh_out_paper import MARGIN, weigh_out_document, weigh_out_pages
from app.card.paper import save_pdf
from app.card.sheet import Sheet, width_of
from core.batch.answer import BatchAnswer, answer_to
from core.batch.material import Material, MaterialList
from core.batch.material_file import shipped_materials
from core.batch.request import Addition, BatchRequest, Cullet
from core.composition.composition import Composition
from core.units import LengthUnit, MassUnit, TemperatureUnit, UnitChoice

CELSIUS = UnitChoice()
TRADE = UnitChoice(TemperatureUnit.FAHRENHEIT, LengthUnit.INCH, MassUnit.POUND)
ZONE = ZoneInfo("Europe/Lisbon")
MADE = datetime(2026, 11, 25, 17, 0, tzinfo=UTC)
LARGE = 20.1
"""[pt] What the title has at most is less than what is weighed has at least."""
A4, LETTER = QSizeF(595, 842), QSizeF(612, 792)
CLEAR = Composition.from_percent(
    {"SiO2": 69.0, "Na2O": 15.0, "K2O": 3.0, "CaO": 9.0, "PbO": 2.0, "ZnO": 2.0}
)


@cache
def answer() -> BatchAnswer:
    return answer_to(
        BatchRequest(
            "prism blue",
            CLEAR,
            shipped_materials(),
            24.0,
            cullet=Cullet("harbour cullet", CLEAR, 0.3),
            additions=(Addition("CoO", 220e-6), Addition("saltpetre", 0.008)),
        ),
        sizes=(12.0, 48.0),
    )


@cache
def long_answer() -> BatchAnswer:
    """Forty materials, each with a hazard, most added by name."""
    pigments = [
        Material.from_formula(
            f"a pigment with quite a long name from the third drawer, number {n}",
            "Co3O4",
            hazard="Keep the lid on; this one has cost somebody a lung, they say. " * 2,
        )
        for n in range(36)
    ]
    materials = MaterialList((*shipped_materials(), *pigments))
    added = tuple(Addition(pigment.name, 20e-6) for pigment in pigments)
    return answer_to(BatchRequest("forty", CLEAR, materials, 24.0, additions=added))


def pages_of(of: BatchAnswer, page: QSizeF = A4, units: UnitChoice = CELSIUS) -> list[Sheet]:
    return weigh_out_pages(of.batch, of.sheet, page, units=units, zone=ZONE, made_at=MADE)


def text_of(pages: list[Sheet]) -> str:
    return "\n".join(words.text for page in pages for words in page.words)


@pytest.mark.parametrize("page", [A4, LETTER], ids=["A4", "Letter"])
@pytest.mark.parametrize("units", [CELSIUS, TRADE], ids=["metric", "trade"])
@pytest.mark.parametrize("of", [answer, long_answer], ids=["usual", "long"])
def test_nothing_covers_anything_else(appearance, of, units, page) -> None:
    for sheet in pages_of(of(), page, units):
        inside = QRectF(0, 0, sheet.width, sheet.height).adjusted(
            MARGIN - 0.5, MARGIN - 0.5, 0.5 - MARGIN, 0.5 - MARGIN
        )
        for words in sheet.words:
            assert inside.contains(words.rect), words.text
            assert width_of(words.text, words.face) <= words.rect.width() + 0.5, words.text
        for box in sheet.boxes:
            assert inside.contains(box.rect)
        for one, other in itertools.combinations(sheet.words, 2):
            shared = one.rect.intersected(other.rect)
            assert shared.width() <= 0.1 or shared.height() <= 0.1, (one.text, other.text)


@pytest.mark.parametrize("of", [answer, long_answer], ids=["usual", "long"])
def test_every_weighing_has_a_box_and_its_weight_in_large_figures(appearance, of) -> None:
    pages = pages_of(of())
    lines = of().sheet.lines
    assert sum(len(page.boxes) for page in pages) == len(lines)
    large = [words.text for page in pages for words in page.words if words.face.size >= LARGE]
    assert large == [line.shown() for line in lines]


def test_all_that_is_to_be_minded_is_said(appearance) -> None:
    words = " ".join(text_of(pages_of(answer())).split())
    for sentence in answer().batch.safety:
        assert sentence in words
    assert "prism blue" in words
    assert "Wednesday 25 November 2026 17:00" in words
    assert f"{answer().sheet.glass:.2f} kg of glass" in words
    assert "12.00 kg" in words  # another size of melt


def test_pages_are_counted_and_each_says_what_it_is_of(appearance) -> None:
    assert "page 1/" in text_of(pages_of(answer())[:1])
    pages = pages_of(long_answer())
    assert len(pages) > 2
    for number, page in enumerate(pages, start=1):
        assert f"page {number}/{len(pages)}" in text_of([page])
        assert "forty" in text_of([page])


def test_pounds_for_a_scale_in_pounds(appearance) -> None:
    of = answer()
    large = [
        w.text for page in pages_of(of, units=TRADE) for w in page.words if w.face.size >= LARGE
    ]
    # 1 lb is 0.45359237 kg exactly (international yard and pound agreement, 1959).
    first = float(large[0].removesuffix(" lb"))
    assert first == pytest.approx(of.sheet.lines[0].mass / 0.45359237, abs=0.006)


def test_decimal_comma(appearance, choose_locale) -> None:
    choose_locale("de_DE")
    large = [w.text for page in pages_of(answer()) for w in page.words if w.face.size >= LARGE]
    assert all("." not in text for text in large)


def test_pdf_has_the_pages(appearance, tmp_path: Path) -> None:
    of = long_answer()
    document = weigh_out_document(
        of.batch, of.sheet, units=CELSIUS, zone=ZONE, made_at=MADE, page=A4
    )
    path = tmp_path / "sheet.pdf"
    save_pdf(path, document)
    pdf = path.read_bytes()
    assert pdf.startswith(b"%PDF-")
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf)) == document.pages
    assert document.file_name == "Weigh-out 2026-11-25 forty"


def test_a_sheet_kept_in_the_book_prints_without_its_properties(appearance) -> None:
    of = answer()
    kept = replace(of.batch, target_properties=None, base_properties=None, glass_properties=None)
    pages = weigh_out_pages(kept, of.sheet, A4, units=CELSIUS, zone=ZONE, made_at=MADE)
    assert text_of(pages) == text_of(pages_of(of))
