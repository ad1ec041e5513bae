"""The number box: decimals, units, limits, steps and the wheel."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.widgets.quantity import (
    NOTHING,
    Quantity,
    entry_text,
    format_quantity,
    local_sentence,
    read_quantity,
    signed_text,
)
from app.widgets.quantity_edit import QuantityEdit
from core.errors import UnitError
from core.units import LengthUnit, MassUnit, TemperatureUnit, UnitChoice

METRIC = UnitChoice()
FAHRENHEIT = UnitChoice(TemperatureUnit.FAHRENHEIT, LengthUnit.INCH, MassUnit.POUND)


@pytest.fixture
def box(qtbot: QtBot) -> Callable[..., QuantityEdit]:
    def make(quantity: Quantity, **options: object) -> QuantityEdit:
        edit = QuantityEdit(quantity, **options)
        qtbot.addWidget(edit)
        edit.show()
        return edit

    return make


@pytest.mark.parametrize("locale", ["de_DE", "en_US", "de_CH", "fr_FR", "ar_EG"])
@pytest.mark.parametrize("typed", ["1,5", "1.5"])
def test_comma_and_point_both_mark_decimals(
    qtbot: QtBot,
    box: Callable[..., QuantityEdit],
    choose_locale: Callable[[str], None],
    locale: str,
    typed: str,
) -> None:
    choose_locale(locale)
    edit = box(Quantity.PLAIN)
    qtbot.keyClicks(edit, typed)
    qtbot.keyClick(edit, Qt.Key.Key_Return)
    assert edit.value_si == 1.5
    assert read_quantity(edit.text(), Quantity.PLAIN, METRIC) == 1.5


def test_german_shows_a_comma_and_no_thousands_mark(
    box: Callable[..., QuantityEdit], choose_locale: Callable[[str], None]
) -> None:
    choose_locale("de_DE")
    edit = box(Quantity.PLAIN, value=12345.5)
    assert edit.text() == "12345,5"
    assert format_quantity(Quantity.MASS, 1234.5, METRIC) == "1234,50 kg"


@pytest.mark.parametrize(
    "typed", ["1,250.5", "1.250,5", "1 250", "1'250", "twelve", "--3", "1e999"]
)
def test_what_could_be_two_numbers_is_refused(
    qtbot: QtBot, box: Callable[..., QuantityEdit], typed: str
) -> None:
    edit = box(Quantity.PLAIN)
    qtbot.keyClicks(edit, typed)
    qtbot.keyClick(edit, Qt.Key.Key_Return)
    assert edit.value_si is None
    assert edit.error
    with pytest.raises(UnitError):
        edit.require()


@pytest.mark.parametrize(
    ("quantity", "si", "metric", "other"),
    [
        # Exact factors: NIST SP 811 (2008), Appendix B.8.
        (Quantity.TEMPERATURE, 813.15, "540", "1004"),
        (Quantity.INTERVAL, 10.0, "10", "18"),
        (Quantity.RATE, 50.0 / 3600.0, "50", "90"),
        (Quantity.LENGTH, 0.0254, "25.4", "1"),
        (Quantity.MASS, 0.45359237, "0.4536", "1"),
        (Quantity.DURATION, 5400.0, "1:30", "1:30"),
        (Quantity.MINUTES, 5400.0, "90", "90"),
        (Quantity.HOURS, 5400.0, "1.5", "1.5"),
        (Quantity.PERCENT, 0.125, "12.5", "12.5"),
        (Quantity.STRESS, 0.5e6, "0.5", "0.5"),
        (Quantity.MODULUS, 72e9, "72", "72"),
        (Quantity.EXPANSION, 90.5e-7, "90.5", "90.5"),
        (Quantity.DENSITY, 2520.0, "2.52", "2.52"),
        (Quantity.COUNT, 6.0, "6", "6"),
    ],
)
def test_units_change_what_is_shown_and_not_the_value(
    box: Callable[..., QuantityEdit], quantity: Quantity, si: float, metric: str, other: str
) -> None:
    edit = box(quantity, value=si)
    assert edit.text() == metric
    edit.set_units(FAHRENHEIT)
    assert edit.text() == other
    edit.set_units(METRIC)
    assert edit.text() == metric
    assert edit.value_si == si


def test_a_unit_may_be_typed(qtbot: QtBot, box: Callable[..., QuantityEdit]) -> None:
    for typed, si in (("1.5 in", 0.0381), ('1,5"', 0.0381), ("4cm", 0.04), ("12", 0.012)):
        assert read_quantity(typed, Quantity.LENGTH, METRIC) == pytest.approx(si, rel=1e-12)
    assert read_quantity("977 °F", Quantity.TEMPERATURE, METRIC) == pytest.approx(798.15)
    assert read_quantity("525°", Quantity.TEMPERATURE, METRIC) == pytest.approx(798.15)
    edit = box(Quantity.LENGTH)
    qtbot.keyClicks(edit, "2 in")
    qtbot.keyClick(edit, Qt.Key.Key_Return)
    assert edit.value_si == pytest.approx(0.0508)
    assert edit.text() == "50.8"
    with pytest.raises(UnitError, match="not a unit"):
        read_quantity("12 kg", Quantity.LENGTH, METRIC)


@pytest.mark.parametrize(
    ("typed", "seconds"),
    [
        ("1:30", 5400.0),
        ("0:05", 300.0),
        ("90 min", 5400.0),
        ("1,5 h", 5400.0),
        ("126:05", 453900.0),
    ],
)
def test_durations(typed: str, seconds: float) -> None:
    assert read_quantity(typed, Quantity.DURATION, METRIC) == seconds


@pytest.mark.parametrize("typed", ["90", "1:75", "1:5", "soon"])
def test_a_duration_that_could_be_two_is_refused(typed: str) -> None:
    with pytest.raises(UnitError):
        read_quantity(typed, Quantity.DURATION, METRIC)


def test_counts_are_whole() -> None:
    with pytest.raises(UnitError, match="whole"):
        read_quantity("2.5", Quantity.COUNT, METRIC)


def test_the_wheel_never_changes_a_number(qtbot: QtBot, box: Callable[..., QuantityEdit]) -> None:
    edit = box(Quantity.TEMPERATURE, value=800.0)
    for focus in (False, True):
        if focus:
            edit.setFocus()
        before = edit.text()
        event = QWheelEvent(
            QPointF(5, 5),
            QPointF(5, 5),
            QPoint(0, 0),
            QPoint(0, 120),
            Qt.MouseButton.NoButton,
            Qt.KeyboardModifier.NoModifier,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(edit, event)
        assert edit.text() == before
        assert not event.isAccepted()
    assert edit.focusPolicy() is Qt.FocusPolicy.StrongFocus


def test_limits_are_said_in_the_units_shown_and_only_after_typing(
    qtbot: QtBot, box: Callable[..., QuantityEdit]
) -> None:
    edit = box(Quantity.LENGTH, minimum=0.0003, maximum=0.3)
    messages: list[str] = []
    edit.error_changed.connect(messages.append)
    qtbot.keyClicks(edit, "900")
    assert messages == []
    assert edit.value_si is None
    qtbot.keyClick(edit, Qt.Key.Key_Return)
    assert messages == ["Use 0.3 mm to 300 mm."]
    edit.set_units(replace(METRIC, length=LengthUnit.INCH))
    assert "in" in edit.error
    edit.set_units(METRIC)
    edit.selectAll()
    qtbot.keyClicks(edit, "90")
    assert edit.error == ""
    assert edit.value_si == pytest.approx(0.09)


def test_limits_themselves_are_allowed_in_every_unit() -> None:
    low, high = 293.15, 1473.15
    for units in (METRIC, FAHRENHEIT):
        for limit in (low, high):
            text = entry_text(Quantity.TEMPERATURE, limit, units)
            assert read_quantity(text, Quantity.TEMPERATURE, units) == pytest.approx(limit)


def test_empty_is_none_when_optional_and_an_error_when_not(
    box: Callable[..., QuantityEdit],
) -> None:
    assert box(Quantity.MASS, optional=True).optional_value() is None
    needed = box(Quantity.MASS, name="mass")
    assert needed.error == ""
    with pytest.raises(UnitError, match="needed") as caught:
        needed.require()
    assert caught.value.field == "mass"
    assert needed.error


def test_steps_stop_at_the_limits(qtbot: QtBot, box: Callable[..., QuantityEdit]) -> None:
    edit = box(Quantity.TEMPERATURE, value=273.15 + 520.0, maximum=273.15 + 525.0)
    told: list[object] = []
    edit.value_changed.connect(told.append)
    qtbot.keyClick(edit, Qt.Key.Key_Up)
    assert edit.text() == "521"
    qtbot.keyClick(edit, Qt.Key.Key_PageUp)
    assert edit.text() == "525"
    qtbot.keyClick(edit, Qt.Key.Key_Down)
    assert edit.text() == "524"
    assert told == pytest.approx([794.15, 798.15, 797.15])


def test_text_that_cannot_be_read_survives_a_change_of_units(
    qtbot: QtBot, box: Callable[..., QuantityEdit]
) -> None:
    edit = box(Quantity.LENGTH)
    qtbot.keyClicks(edit, "thick")
    edit.set_units(FAHRENHEIT)
    assert edit.text() == "thick"


def test_no_number_is_a_dash_never_nan() -> None:
    for nothing in (None, float("nan"), float("inf")):
        assert format_quantity(Quantity.TEMPERATURE, nothing, METRIC) == NOTHING
    assert format_quantity(Quantity.RATE, -30 / 3600, METRIC) == "-30.0 °C/h"
    assert format_quantity(Quantity.INTERVAL, -0.01, METRIC) == "0.0 °C"


@given(
    st.sampled_from([q for q in Quantity if q not in {Quantity.DURATION, Quantity.COUNT}]),
    st.floats(min_value=1.0, max_value=1500.0),
    st.sampled_from([METRIC, FAHRENHEIT]),
)
def test_typed_text_comes_back_to_the_digits_shown(
    quantity: Quantity, number: float, units: UnitChoice
) -> None:
    si = read_quantity(f"{number:.2f}", quantity, units)
    shown = entry_text(quantity, si, units)
    again = read_quantity(shown, quantity, units)
    assert entry_text(quantity, again, units) == shown
    assert again == pytest.approx(si, rel=1e-3)


def test_sentences_have_the_local_decimal_mark_and_names_stay(
    choose_locale: Callable[[str], None],
) -> None:
    text = "“Float 2.5”: 22.5 mm base at 4.1 °C/h. Usual."
    assert local_sentence(text) == text
    choose_locale("de_DE")
    assert local_sentence(text) == "“Float 2.5”: 22,5 mm base at 4,1 °C/h. Usual."


@pytest.mark.parametrize(
    ("text", "shown"),
    [("-3.0", "−3.0"), ("2.0", "+2.0"), ("0.0", "0.0"), ("0,0", "0,0"), ("–", "–")],
)
def test_differences_have_their_sign(text: str, shown: str) -> None:
    assert signed_text(text) == shown
