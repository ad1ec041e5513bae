"""Preferences keep their types between starts and survive a damaged file."""

import logging
from pathlib import Path

import pytest
from PySide6.QtCore import QByteArray, QSettings

from app.settings import Settings, ThemeChoice
from core.units import LengthUnit, MassUnit, TemperatureUnit, UnitChoice


def reopen(path: Path) -> Settings:
    return Settings(QSettings(str(path), QSettings.Format.IniFormat))


def test_everything_comes_back_with_its_type(tmp_path: Path) -> None:
    path = tmp_path / "p.ini"
    first = reopen(path)
    chosen = UnitChoice(TemperatureUnit.FAHRENHEIT, LengthUnit.INCH, MassUnit.POUND)
    first.units = chosen
    first.theme = ThemeChoice.DARK
    first.last_page = "logbook"
    first.last_lehr = "Quay lehr, the big one"
    first.geometry = QByteArray(b"\x01\xd9\x00\xff")
    first.set_flag("tonight/deviation", value=False)
    first.set_number("tonight/width", 312.5)
    first.sync()
    del first
    second = reopen(path)
    assert second.units == chosen
    assert second.theme is ThemeChoice.DARK
    assert second.last_page == "logbook"
    assert second.last_lehr == "Quay lehr, the big one"
    assert second.geometry == QByteArray(b"\x01\xd9\x00\xff")
    assert second.flag("tonight/deviation", default=True) is False
    assert second.number("tonight/width", 0.0) == 312.5


@pytest.mark.parametrize(
    "line",
    [
        "units\\temperature=Kelvin",
        "units\\temperature=C, F",
        pytest.param(
            "units\\temperature=@Variant(broken)",
            marks=pytest.mark.qt_log_ignore("Trying to construct an instance"),
        ),
        "units\\temperature=",
    ],
)
def test_a_bad_unit_counts_as_never_set(
    tmp_path: Path, line: str, caplog: pytest.LogCaptureFixture
) -> None:
    path = tmp_path / "p.ini"
    group, rest = line.split("\\", 1)
    path.write_text(f"[{group}]\n{rest}\n", encoding="utf-8")
    with caplog.at_level(logging.WARNING):
        assert reopen(path).units == UnitChoice()
    assert "temperature" in caplog.text


def test_bad_geometry_flag_and_number_fall_back(tmp_path: Path) -> None:
    path = tmp_path / "p.ini"
    path.write_text("[window]\ngeometry=wide\n[a]\nflag=maybe\nnumber=nan\n", encoding="utf-8")
    settings = reopen(path)
    assert settings.geometry.isEmpty()
    assert settings.flag("a/flag", default=True) is True
    assert settings.number("a/number", 4.0) == 4.0


def test_a_file_that_is_no_ini_is_given_up(tmp_path: Path) -> None:
    path = tmp_path / "p.ini"
    path.write_bytes(b"\x00\x01\x02[[[\n\xff\xfe=")
    settings = reopen(path)
    assert settings.units == UnitChoice()
    settings.last_page = "glass"
    assert settings.last_page == "glass"


def test_reset_forgets_everything(settings: Settings) -> None:
    settings.units = UnitChoice(TemperatureUnit.FAHRENHEIT)
    settings.last_page = "glass"
    settings.reset()
    assert settings.units == UnitChoice()
    assert settings.last_page == ""
