"""The curve on paper: in its place, in light ink whatever the theme, as wide on any device."""

from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QColor, QImage, QPageSize, QPainter, QPdfWriter
from PySide6.QtWidgets import QApplication

from app.plots.curves import CurveLine, Level, LineRole, Marker, MarkerRole, ZoneBand
from app.plots.printed_curve import degree_step, paint_night
from app.settings import ThemeChoice
from app.theme import LIGHT, Appearance
from core.units import TemperatureUnit, UnitChoice

START = datetime(2026, 11, 25, 16, 0, tzinfo=UTC).timestamp()
TIME = START + 3600.0 * np.array([0.0, 2.0, 6.5, 16.0])
KELVIN = 273.15 + np.array([532.0, 532.0, 482.0, 45.0])
RECT = QRectF(40, 30, 900, 500)


def night(count: int = 100) -> list[CurveLine]:
    time = np.linspace(START, START + 10 * 3600, count)
    run = CurveLine("Actual", time, np.interp(time, TIME, KELVIN), LineRole.ACTUAL)
    return [CurveLine("Plan", TIME, KELVIN, LineRole.PLAN), run]


def painted(lines: list[CurveLine], *, dots_per_inch: float = 96.0, **options: object) -> QImage:
    image = QImage(QSize(1000, 560), QImage.Format.Format_RGB32)
    image.setDotsPerMeterX(round(dots_per_inch / 0.0254))
    image.setDotsPerMeterY(round(dots_per_inch / 0.0254))
    image.fill(QColor("white"))
    painter = QPainter(image)
    painter.setPen(QColor("green"))
    paint_night(painter, RECT, lines, zone=ZoneInfo("Europe/Berlin"), **options)
    assert painter.pen().color() == QColor("green")
    painter.end()
    return image


def pixels(image: QImage) -> np.ndarray:
    data = np.frombuffer(image.constBits(), dtype=np.uint8)
    return data.reshape(image.height(), image.width(), 4)[:, :, 2::-1].astype(int)


def near(image: QImage, colour: str) -> np.ndarray:
    wanted = np.array(QColor(colour).getRgb()[:3])
    return np.abs(pixels(image) - wanted).sum(axis=2) < 40


ALL = {
    "zones": [ZoneBand(273.15 + 527, 273.15 + 492, "annealing", "strain")],
    "levels": [Level(273.15 + 532, "soak")],
    "markers": [
        Marker(START + 15 * 3600, "out by 08:00", MarkerRole.OUT_BY),
        Marker(START + 16 * 3600, "ready 09:00", MarkerRole.LATE),
    ],
}


def test_everything_stays_inside_its_rectangle(qapp: QApplication) -> None:
    ink = pixels(painted(night(), **ALL)).sum(axis=2) < 740
    assert ink.any()
    ink[30:531, 40:941] = False
    assert not ink.any()


def test_dark_screens_print_in_light_ink(appearance: Appearance) -> None:
    light = pixels(painted(night(), **ALL))
    appearance.choose(ThemeChoice.DARK)
    assert (pixels(painted(night(), **ALL)) == light).all()


def test_lines_are_as_wide_in_points_on_a_finer_device(qapp: QApplication) -> None:
    def width(dots_per_inch: float) -> float:
        flat = CurveLine("Actual", TIME, np.full(4, 273.15 + 300.0), LineRole.ACTUAL)
        image = painted([flat], dots_per_inch=dots_per_inch)
        # Ink across the line: how much of the blue that the line's colour takes is gone.
        middle = int(np.flatnonzero(near(image, LIGHT.actual)[:, 505]).mean())
        blue = pixels(image)[middle - 8 : middle + 9, 505, 2]
        return float((255 - blue).sum() / (255 - QColor(LIGHT.actual).blue()))

    # 2.4 points of 1/72 inch.
    assert width(96.0) == pytest.approx(2.4 * 96 / 72, rel=0.15)
    assert width(192.0) == pytest.approx(2.4 * 192 / 72, rel=0.15)


def test_actual_and_plan_and_zone_are_all_there(qapp: QApplication) -> None:
    image = painted(night(), **ALL)
    for colour in (LIGHT.plan, LIGHT.actual, LIGHT.late):
        assert near(image, colour).sum() > 20


def test_gaps_are_not_bridged(qapp: QApplication) -> None:
    time = np.linspace(START, START + 10 * 3600, 101)
    kelvin = np.full(101, 573.15)
    whole = near(painted([CurveLine("Actual", time, kelvin, LineRole.ACTUAL)]), LIGHT.actual)
    kelvin[40:60] = np.nan
    gap = near(painted([CurveLine("Actual", time, kelvin, LineRole.ACTUAL)]), LIGHT.actual)
    middle = slice(450, 460)
    assert whole[:, middle].any()
    assert not gap[:450, middle].any()


def test_many_points_fahrenheit_and_nothing_at_all(qapp: QApplication) -> None:
    fahrenheit = UnitChoice(TemperatureUnit.FAHRENHEIT)
    assert near(painted(night(100_000), units=fahrenheit, **ALL), LIGHT.actual).any()
    painted([])


@pytest.mark.parametrize(
    ("span", "expected"),
    [(600.0, 100.0), (700.0, 100.0), (701.0, 200.0), (30.0, 5.0), (1100.0, 200.0)],
)
def test_grid_lines_are_round(span: float, expected: float) -> None:
    assert degree_step(span) == expected


def test_a_pdf_is_made_of_lines(qapp: QApplication, tmp_path: Path) -> None:
    path = tmp_path / "card.pdf"
    writer = QPdfWriter(str(path))
    writer.setPageSize(QPageSize(QPageSize.PageSizeId.A4))
    painter = QPainter(writer)
    paint_night(painter, QRectF(0, 0, writer.width(), writer.width() * 0.55), night(), **ALL)
    painter.end()
    content = path.read_bytes()
    assert content.startswith(b"%PDF")
    assert b"/Subtype /Image" not in content
