"""The lehr card: one page, everything on it, nothing over anything else."""

from __future__ import annotations

import itertools
import os
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from PySide6.QtCore import QLocale, QRectF, QSizeF, Qt
from PySide6.QtGui import QImage, QPageSize, QPainter
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QDialog, QFileDialog

from app.card.card_layout import MARGIN, lay_out_card
from app.card.card_page import night_of
from app.card.card_preview import CardPreview
from app.card.lehr_card import card_page_size, paint_card, save_card_pdf, show_card
from app.card.sheet import Face, Row, Sheet, Title, column_widths, width_of, wrapped
from app.widgets.banner import Weight
from core.equipment.lehr import Controller, Entry, Lehr
from core.errors import LehrkeeperError
from core.glass.glass import Glass, MeasuredPoints
from core.load.load import Load
from core.piece.piece import Piece, Shape
from core.plan.card import card_of
from core.plan.plan import Plan
from core.plan.planner import make_plan
from core.run.readings import Readings
from core.units import LengthUnit, MassUnit, TemperatureUnit, UnitChoice

CELSIUS = UnitChoice()
TRADE = UnitChoice(TemperatureUnit.FAHRENHEIT, LengthUnit.INCH, MassUnit.POUND)
ZONE = ZoneInfo("Europe/Lisbon")
MADE = datetime(2026, 11, 25, 10, 0, tzinfo=UTC)
A4, LETTER = QSizeF(595, 842), QSizeF(612, 792)
LONG = "Captain's presentation decanter with a very thick base and cut stopper, number"


def a_glass(name: str = "harbour clear") -> Glass:
    return Glass(
        name,
        measured=MeasuredPoints(
            strain_point=273.15 + 475,
            annealing_point=273.15 + 515,
            expansion=95e-7,
            source="invented sheet",
        ),
    )


def a_load(**changes: object) -> Load:
    glass = a_glass()
    decanter = Piece(
        "Ship's decanter",
        6,
        Shape.VESSEL,
        glass.name,
        wall_thickness=0.004,
        base_thickness=0.022,
    )
    floats = Piece("Fishing float", 8, Shape.PLATE, glass.name, wall_thickness=0.003)
    start = datetime(2026, 11, 25, 20, 30, tzinfo=UTC)
    load = Load(
        name="Decanters for the harbour office",
        pieces=(decanter, floats),
        glasses={glass.name: glass},
        lehr=Lehr("Big lehr", 4.5 * 3600),
        button_time=start,
        out_by=start + timedelta(hours=20),
    )
    return replace(load, **changes)


def a_full_load() -> Load:
    """Twelve pieces of four glasses with long names, a controller of sixteen lines."""
    names = [f"harbour clear, remelt {n} of the third week of November" for n in range(4)]
    shapes: tuple[dict[str, object], ...] = (
        {"shape": Shape.VESSEL, "wall_thickness": 0.0041, "base_thickness": 0.0287},
        {"shape": Shape.PLATE, "wall_thickness": 0.0033},
        {"shape": Shape.CYLINDER, "diameter": 0.0905, "height": 0.0415},
        {"shape": Shape.SPHERE, "diameter": 0.1205},
    )
    pieces = tuple(
        Piece(name=f"{LONG} {n}", count=12, glass=names[n % 4], **shapes[n % 4])  # type: ignore[arg-type]
        for n in range(12)
    )
    controller = Controller(entry=Entry.TIME, unit=TemperatureUnit.FAHRENHEIT, max_segments=16)
    return a_load(
        name="The harbour master's commission of prisms and decanters for the new lightship",
        pieces=pieces,
        glasses={name: a_glass(name) for name in names},
        lehr=Lehr(
            "Big lehr by the north wall of the old boat house",
            1.5 * 3600,
            thermocouple_offset=8.0,
            controller=controller,
        ),
    )


def a_heavy_plan(load: Load, warnings: int = 45) -> Plan:
    """A plan of eight segments with many long warnings."""
    plan = make_plan(load)
    split = plan.segments[1]
    middle = [replace(split, governing_piece=f"{LONG} {n}") for n in range(6)]
    warning = "“harbour clear”: its annealing point is computed, give or take 17 °C; " * 2
    return replace(
        plan,
        segments=(plan.segments[0], *middle, plan.segments[-1]),
        warnings=tuple(f"{n}: {warning}" for n in range(warnings)),
    )


def laid_out(plan: Plan, load: Load, page: QSizeF = A4, units: UnitChoice = CELSIUS) -> Sheet:
    return lay_out_card(card_of(plan, load, ZONE), page, units=units, zone=ZONE, made_at=MADE)


def all_text(sheet: Sheet) -> str:
    return "\n".join(words.text for words in sheet.words)


def assert_nothing_covered(sheet: Sheet) -> None:
    inside = QRectF(0, 0, sheet.width, sheet.height).adjusted(MARGIN, MARGIN, -MARGIN, -MARGIN)
    roomy = inside.adjusted(-0.5, -0.5, 0.5, 0.5)
    assert roomy.contains(sheet.curve)
    for words in sheet.words:
        assert roomy.contains(words.rect), words.text
        assert width_of(words.text, words.face) <= words.rect.width() + 0.5, words.text
        assert not words.rect.intersects(sheet.curve), words.text
    for one, other in itertools.combinations(sheet.words, 2):
        shared = one.rect.intersected(other.rect)
        assert shared.width() <= 0.1 or shared.height() <= 0.1, (one.text, other.text)


@pytest.mark.parametrize("page", [A4, LETTER], ids=["A4", "Letter"])
@pytest.mark.parametrize("units", [CELSIUS, TRADE], ids=["metric", "trade"])
class TestLayout:
    def test_nothing_covers_anything_else(self, appearance, page, units):
        load = a_load()
        sheet = laid_out(make_plan(load, units), load, page, units)
        assert_nothing_covered(sheet)
        assert sheet.curve.height() >= 190
        assert "in the program" not in all_text(sheet)

    def test_nor_with_a_full_load(self, appearance, page, units):
        load = a_full_load()
        sheet = laid_out(a_heavy_plan(load), load, page, units)
        assert_nothing_covered(sheet)
        assert sheet.curve.height() >= 149

    def test_what_finds_no_room_is_counted(self, appearance, page, units):
        load = a_full_load()
        text = all_text(laid_out(a_heavy_plan(load), load, page, units))
        shown = len(re.findall(r"^\d+: “harbour clear”", text, re.MULTILINE))
        left_out = re.search(r"and (\d+) more in the program", text)
        assert left_out is not None
        assert "above the true temperature" in text
        assert shown + int(left_out[1]) == 45

    def test_the_standing_cautions_are_never_left_out(self, appearance, page, units):
        load = a_full_load()
        text = " ".join(all_text(laid_out(a_heavy_plan(load), load, page, units)).split("\n"))
        assert "A polariscope decides" in text
        assert "stay hot inside" in text
        assert "never controls a furnace" in text


def test_everything_asked_for_stands_on_the_card(appearance):
    load = a_load()
    plan = make_plan(load)
    text = all_text(laid_out(plan, load))
    for words in (
        "Decanters for the harbour office",
        "Big lehr, Wednesday 25 November 2026",
        "Wed 20:30",
        "Slow cooling",
        "To key in",
        "then power off, door shut",
        "▸ Ship's decanter",
        "vessel, wall 4, base 22",
        "6 ×",
        "harbour clear",
        "515",
        "475",
        "In at",
        "Out at",
        "Seen in polariscope",
        f"Lehrkeeper {plan.program_version}.",
        "10:00",
    ):
        assert words in text, words
    for line in card_of(plan, load).key_in:
        assert line in text


def test_german_card_writes_decimal_commas_and_german_days(appearance, choose_locale):
    choose_locale("de_DE")
    load = a_load()
    text = all_text(laid_out(make_plan(load), load))
    assert re.search(r"−\d+,\d", text)
    assert "Mittwoch 25 November 2026" in text


def test_card_in_fahrenheit_says_in_which_degrees_the_controller_counts(appearance):
    load = a_load()
    text = all_text(laid_out(make_plan(load, TRADE), load, LETTER, TRADE))
    assert "To key in (in Celsius)" in text
    assert "vessel, wall 0.157, base 0.866" in text  # 4 and 22 mm over 25.4, NIST SP 811


def test_more_pieces_than_a_page_holds_are_counted_and_the_marked_one_stays(appearance):
    load = a_load()
    many = tuple(replace(load.pieces[1], name=f"Float {n}") for n in range(90))
    load = replace(load, pieces=(*many, load.pieces[0]))
    sheet = laid_out(make_plan(load), load)
    assert_nothing_covered(sheet)
    text = all_text(sheet)
    shown = len(re.findall(r"^Float \d+$", text, re.MULTILINE)) + 1
    assert "▸ Ship's decanter" in text
    assert f"and {91 - shown} more in the program" in text


def test_columns_that_give_come_down_and_the_others_keep_their_words(appearance):
    titles = [Title("Piece", gives=1.0), Title("Size")]
    rows = [Row((LONG, "vessel, wall 4, base 22"))]
    face = Face(9.0)
    widths = column_widths(titles, rows, face, 220.0, 9.0)
    assert sum(widths) + 9.0 == pytest.approx(220.0)
    assert widths[1] >= width_of("vessel, wall 4, base 22", face)


def test_wrapped_lines_keep_every_word_and_their_width(appearance):
    face = Face(9.0)
    lines = wrapped(f"{LONG} 1", face, 120.0)
    assert " ".join(lines) == f"{LONG} 1"
    assert len(lines) > 2
    assert all(width_of(line, face) <= 120.0 for line in lines)


# -- the curve ----------------------------------------------------------------------------------


def readings_of(plan: Plan, hours: float = 6.0) -> Readings:
    start = plan.start.timestamp()
    time = np.arange(start, start + hours * 3600, 120.0)
    return Readings(time, plan.temperature_at(time) + 2.0)


def test_the_actual_curve_breaks_where_nothing_was_logged(appearance):
    plan = make_plan(a_load())
    whole = readings_of(plan)
    since = whole.time - whole.time[0]
    kept = (since < 7200) | (since > 10800)
    broken = Readings(whole.time[kept], whole.temperature[kept])
    actual = night_of(plan, broken, ZONE)["lines"][1]
    gaps = actual.time[np.isnan(actual.temperature)] - whole.time[0]
    assert gaps == pytest.approx([9000], abs=120)
    assert not np.isnan(night_of(plan, whole, ZONE)["lines"][1].temperature).any()


def test_readings_of_another_night_are_drawn_all_the_same(appearance):
    plan = make_plan(a_load())
    other = readings_of(plan)
    moved = Readings(other.time + 30 * 86400, other.temperature)
    assert len(night_of(plan, moved, ZONE)["lines"]) == 2


def ink_in(image: QImage, colour: str) -> int:
    pixels = np.frombuffer(image.constBits(), dtype=np.uint8)
    pixels = pixels.reshape(image.height(), image.bytesPerLine() // 4, 4)[:, : image.width(), :3]
    blue, green, red = (pixels[..., n].astype(int) for n in range(3))
    wanted = [int(colour[n : n + 2], 16) for n in (1, 3, 5)]
    near = abs(red - wanted[0]) + abs(green - wanted[1]) + abs(blue - wanted[2]) < 40
    return int(near.sum())


def painted(plan: Plan, load: Load, readings: Readings | None) -> QImage:
    image = QImage(595, 842, QImage.Format.Format_RGB32)
    image.setDotsPerMeterX(round(72 / 0.0254))
    image.setDotsPerMeterY(round(72 / 0.0254))
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    sheet = QRectF(image.rect())
    paint_card(painter, sheet, plan, load, readings, units=CELSIUS, zone=ZONE, made_at=MADE)
    painter.end()
    return image


def test_readings_are_painted_over_the_plan(appearance):
    from app.theme import LIGHT

    load = a_load()
    plan = make_plan(load)
    without = ink_in(painted(plan, load, None), LIGHT.actual)
    with_them = ink_in(painted(plan, load, readings_of(plan)), LIGHT.actual)
    assert with_them > without + 100


def test_white_edges_stay_white(appearance):
    load = a_full_load()
    image = painted(a_heavy_plan(load), load, None)
    white = 0xFFFFFFFF
    edge = int(MARGIN) - 3
    for x in range(0, 595, 3):
        for y in (*range(0, edge, 4), *range(842 - edge, 842, 4)):
            assert image.pixel(x, y) == white
    for y in range(0, 842, 3):
        for x in (*range(0, edge, 4), *range(595 - edge, 595, 4)):
            assert image.pixel(x, y) == white


# -- the file -----------------------------------------------------------------------------------


def media_box(pdf: bytes) -> tuple[float, float]:
    found = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    assert found is not None
    return float(found[1]), float(found[2])


@pytest.mark.parametrize(
    ("locale", "width", "height"),
    # ISO 216 A4 is 210 x 297 mm; ANSI/ASME Y14.1 size A (Letter) is 8.5 x 11 in.
    [
        ("en_GB", 210 / 25.4 * 72, 297 / 25.4 * 72),
        ("de_DE", 210 / 25.4 * 72, 297 / 25.4 * 72),
        ("en_US", 612, 792),
    ],
)
def test_pdf_is_one_page_of_the_countrys_paper(
    appearance, tmp_path, choose_locale, locale, width, height
):
    choose_locale(locale)
    load = a_full_load()
    path = tmp_path / "card.pdf"
    save_card_pdf(path, a_heavy_plan(load), load, None, units=CELSIUS, zone=ZONE, made_at=MADE)
    pdf = path.read_bytes()
    assert pdf.startswith(b"%PDF-")
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf)) == 1
    assert media_box(pdf) == pytest.approx((width, height), abs=1.0)
    assert [p.name for p in tmp_path.glob("*.pdf")] == ["card.pdf"]
    assert not list(tmp_path.glob(".lehr*"))


def save(path: Path) -> None:
    load = a_load()
    save_card_pdf(path, make_plan(load), load, None, units=CELSIUS, zone=ZONE)


def test_missing_folder_says_so(appearance, tmp_path):
    with pytest.raises(LehrkeeperError, match="does not exist") as caught:
        save(tmp_path / "nowhere" / "card.pdf")
    assert caught.value.remedy
    assert not (tmp_path / "nowhere").exists()


def test_a_file_that_may_only_be_read_is_left_alone(appearance, tmp_path):
    path = tmp_path / "card.pdf"
    path.write_bytes(b"old card")
    path.chmod(0o444)
    if os.access(path, os.W_OK):
        pytest.skip("this user may write anything")
    with pytest.raises(LehrkeeperError, match="only be read"):
        save(path)
    assert path.read_bytes() == b"old card"


def test_a_disk_that_fails_leaves_the_old_card_and_no_rubbish(appearance, tmp_path, monkeypatch):
    path = tmp_path / "card.pdf"
    path.write_bytes(b"old card")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(LehrkeeperError, match="No space left on device") as caught:
        save(path)
    assert caught.value.remedy
    assert path.read_bytes() == b"old card"
    assert [p.name for p in tmp_path.iterdir() if p.suffix == ".pdf"] == ["card.pdf"]


def test_a_folder_is_not_a_file(appearance, tmp_path):
    with pytest.raises(LehrkeeperError, match="is a folder"):
        save(tmp_path)


# -- the window ---------------------------------------------------------------------------------


@pytest.fixture
def preview(studio, appearance, qtbot):
    load = a_load()
    made = CardPreview(make_plan(load), load, None, studio, made_at=MADE)
    qtbot.addWidget(made)
    made.show()
    return made


def test_preview_saves_where_it_was_told_and_remembers_the_folder(
    preview, studio, qtbot, monkeypatch, tmp_path
):
    asked: list[str] = []

    def choose(_parent: object, _title: str, suggested: str, _kinds: str) -> tuple[str, str]:
        asked.append(suggested)
        return str(tmp_path / "monday"), "PDF (*.pdf)"

    monkeypatch.setattr(QFileDialog, "getSaveFileName", choose)
    qtbot.mouseClick(preview.save, Qt.MouseButton.LeftButton)
    assert (tmp_path / "monday.pdf").read_bytes().startswith(b"%PDF-")
    assert preview.banner.weight is Weight.GOOD
    assert "2026-11-25 Decanters for the harbour office.pdf" in asked[0]
    assert preview.suggested_path().parent == tmp_path


def test_preview_tells_in_the_window_when_it_cannot_save(preview, qtbot, monkeypatch, tmp_path):
    where = str(tmp_path / "gone" / "card.pdf")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (where, ""))
    qtbot.mouseClick(preview.save, Qt.MouseButton.LeftButton)
    assert preview.banner.weight is Weight.PROBLEM
    assert "does not exist" in preview.banner.text


def test_cancelled_saving_says_nothing(preview, qtbot, monkeypatch):
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: ("", ""))
    qtbot.mouseClick(preview.save, Qt.MouseButton.LeftButton)
    assert not preview.banner.isVisible()


def test_name_of_a_load_that_no_file_could_have(studio, appearance, qtbot):
    load = a_load(name='Floats: 8/9 "small" \\ big?')
    made = CardPreview(make_plan(load), load, None, studio, made_at=MADE)
    qtbot.addWidget(made)
    assert made.suggested_path().name == "Lehr card 2026-11-25 Floats 8 9 small big.pdf"


def test_whole_page_is_seen_at_once(preview, qtbot):
    wide = preview.sheet.height()
    assert wide > preview.scroll.viewport().height()
    qtbot.mouseClick(preview.whole, Qt.MouseButton.LeftButton)
    assert preview.sheet.height() <= preview.scroll.maximumViewportSize().height() + 2
    assert preview.sheet.height() < wide


def test_printing_draws_the_same_one_page(preview, tmp_path):
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    printer.setPageSize(QPageSize(QPageSize.PageSizeId.A4))
    printer.setFullPage(True)
    preview.print_on(printer)
    pdf = (tmp_path / "printed.pdf").read_bytes()
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf)) == 1
    assert preview.banner.weight is Weight.GOOD


def test_show_card_opens_the_preview(studio, appearance, monkeypatch, qapp):
    opened: list[QDialog] = []
    monkeypatch.setattr(QDialog, "exec", lambda self: opened.append(self) or 0)
    load = a_load()
    show_card(None, make_plan(load), load, None, studio)
    assert [type(dialog) for dialog in opened] == [CardPreview]


def test_paper_follows_the_country(choose_locale):
    choose_locale("en_US")
    assert card_page_size().id() is QPageSize.PageSizeId.Letter
    choose_locale("en_GB")
    assert QLocale().measurementSystem() is QLocale.MeasurementSystem.ImperialUKSystem
    assert card_page_size().id() is QPageSize.PageSizeId.A4
