"""Colours: legible in both themes, taken from the palette, followed by what is painted."""

import pytest
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication

from app.settings import ThemeChoice
from app.theme import (
    BASE_POINTS,
    DARK,
    ICONS,
    LIGHT,
    Appearance,
    Theme,
    base_font,
    icon_pixmap,
    palette_for,
    theme_of,
    themed_icon,
)


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.1 (W3C, 2018), definition in section 'relative luminance'."""
    parts = [
        value / 12.92 if value <= 0.03928 else ((value + 0.055) / 1.055) ** 2.4
        for value in QColor(colour).getRgbF()[:3]
    ]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
@pytest.mark.parametrize(
    ("ink", "ground"),
    [
        ("ink", "surface"),
        ("ink", "raised"),
        ("ink", "rail"),
        ("ink", "selection"),
        ("muted", "surface"),
        ("muted", "raised"),
        ("accent", "surface"),
        ("accent_ink", "accent"),
        ("problem", "surface"),
        ("problem", "raised"),
        ("caution", "surface"),
        ("good", "raised"),
        ("ink", "problem_soft"),
        ("ink", "caution_soft"),
        ("ink", "information_soft"),
        ("ink", "good_soft"),
        ("zone_ink", "plot_ground"),
    ],
)
def test_words_are_legible(theme: Theme, ink: str, ground: str) -> None:
    """WCAG 2.1 success criterion 1.4.3 (AA): text has a contrast of at least 4.5:1."""
    assert contrast(getattr(theme, ink), getattr(theme, ground)) >= 4.5


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
@pytest.mark.parametrize("line", ["plan", "actual", "deviation", "piece", "marker", "late"])
def test_curves_stand_out(theme: Theme, line: str) -> None:
    """WCAG 2.1 success criterion 1.4.11: graphical objects have at least 3:1."""
    assert contrast(getattr(theme, line), theme.plot_ground) >= 3.0


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
def test_the_palette_tells_its_theme(theme: Theme) -> None:
    palette = palette_for(theme)
    assert theme_of(palette) is theme
    disabled = palette.color(QPalette.ColorGroup.Disabled, QPalette.ColorRole.Text)
    assert disabled == QColor(theme.faint)


def test_choosing_a_theme_reaches_the_application(
    qapp: QApplication, appearance: Appearance
) -> None:
    told: list[Theme] = []
    appearance.theme_changed.connect(told.append)
    appearance.choose(ThemeChoice.DARK)
    assert theme_of() is DARK
    assert DARK.accent in qapp.styleSheet()
    appearance.choose(ThemeChoice.LIGHT)
    assert theme_of() is LIGHT
    assert told == [DARK, LIGHT]


def test_following_a_system_that_says_nothing_keeps_the_first_palette(
    appearance: Appearance,
) -> None:
    """The offscreen platform never reports a scheme, like some desktops."""
    appearance.choose(ThemeChoice.DARK)
    appearance.choose(ThemeChoice.SYSTEM)
    assert appearance.theme is LIGHT


def test_text_is_large_enough() -> None:
    assert base_font().pointSizeF() >= BASE_POINTS >= 10.5


@pytest.mark.parametrize("path", sorted(ICONS.glob("*.svg")), ids=lambda path: path.stem)
def test_every_drawing_draws_something_in_its_colour(qapp: QApplication, path: object) -> None:
    image = icon_pixmap(path.stem, "#ff0000", 24, 2.0).toImage()
    alphas = [
        QColor.fromRgba(image.pixel(x, y)).alpha()
        for x in range(image.width())
        for y in range(image.height())
    ]
    assert image.width() == 48
    assert max(alphas) > 200


def test_a_disabled_icon_is_grey(qapp: QApplication) -> None:
    icon = themed_icon("add", LIGHT)
    image = icon.pixmap(24, icon.Mode.Disabled).toImage()
    assert QColor(image.pixel(12, 12)).name() == QColor(LIGHT.faint).name()
