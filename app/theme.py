"""Every colour, font and icon of the window, light and dark, in one place.

Widgets take colours from the style sheet through a ``role`` property (see :func:`set_role`);
what is painted by hand asks :func:`theme_of` for the colours that go with its palette and does
so again on ``QEvent.PaletteChange``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from PySide6.QtCore import QByteArray, QObject, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontDatabase,
    QGuiApplication,
    QIcon,
    QPainter,
    QPalette,
    QPixmap,
    QPixmapCache,
)
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QApplication, QWidget

from app.settings import ThemeChoice
from app.style_sheet import style_sheet

ICONS = Path(__file__).parent / "icons"
BASE_POINTS = 10.5
"""Smallest size of ordinary text: it is read at arm's length in a hot shop."""


@dataclass(frozen=True)
class Theme:
    """The colours of one appearance, by what they are for."""

    name: str
    dark: bool
    surface: str
    raised: str
    rail: str
    edge: str
    edge_strong: str
    ink: str
    muted: str
    faint: str
    accent: str
    accent_ink: str
    accent_soft: str
    selection: str
    information: str
    information_soft: str
    caution: str
    caution_soft: str
    problem: str
    problem_soft: str
    good: str
    good_soft: str
    plot_ground: str
    grid: str
    plan: str
    actual: str
    deviation: str
    piece: str
    other_line: str
    zone: str
    zone_ink: str
    marker: str
    late: str


LIGHT = Theme(
    name="light",
    dark=False,
    surface="#F6F3EC",
    raised="#FFFDF8",
    rail="#EAE5DA",
    edge="#D5CEC1",
    edge_strong="#8C8A80",
    ink="#1F2C35",
    muted="#53616B",
    faint="#9AA0A0",
    accent="#0B6656",
    accent_ink="#FFFFFF",
    accent_soft="#D5E8E2",
    selection="#CFE3DD",
    information="#1B5A8F",
    information_soft="#E1ECF4",
    caution="#7D5100",
    caution_soft="#FAEDCB",
    problem="#A1261F",
    problem_soft="#F9E2DC",
    good="#23633A",
    good_soft="#DDEEDD",
    plot_ground="#FFFDF8",
    grid="#C9C2B4",
    plan="#1B5F9E",
    actual="#C64A12",
    deviation="#74459A",
    piece="#3E7F7A",
    other_line="#6E6A5E",
    zone="#F1D58A",
    zone_ink="#6F5208",
    marker="#1F2C35",
    late="#A1261F",
)

DARK = Theme(
    name="dark",
    dark=True,
    surface="#1A232A",
    raised="#222D35",
    rail="#131B21",
    edge="#37444E",
    edge_strong="#7A8892",
    ink="#EFEAE0",
    muted="#AEB9C0",
    faint="#6E7B84",
    accent="#62C9B2",
    accent_ink="#0C201C",
    accent_soft="#234640",
    selection="#2C524B",
    information="#8CC0EE",
    information_soft="#22374A",
    caution="#F2C568",
    caution_soft="#43381B",
    problem="#FF9A8D",
    problem_soft="#4A2826",
    good="#8CD3A0",
    good_soft="#223F2C",
    plot_ground="#1E2830",
    grid="#46535D",
    plan="#7DB8F0",
    actual="#FF9857",
    deviation="#CFA3EA",
    piece="#7FD0C6",
    other_line="#B9B29F",
    zone="#6A5722",
    zone_ink="#F0D38A",
    marker="#EFEAE0",
    late="#FF9A8D",
)


def palette_for(theme: Theme) -> QPalette:
    """The Qt palette of a theme, with its disabled colours and tool tips."""
    palette = QPalette()
    colours = {
        QPalette.ColorRole.Window: theme.surface,
        QPalette.ColorRole.WindowText: theme.ink,
        QPalette.ColorRole.Base: theme.raised,
        QPalette.ColorRole.AlternateBase: theme.surface,
        QPalette.ColorRole.Text: theme.ink,
        QPalette.ColorRole.Button: theme.raised,
        QPalette.ColorRole.ButtonText: theme.ink,
        QPalette.ColorRole.BrightText: theme.accent_ink,
        QPalette.ColorRole.Highlight: theme.accent,
        QPalette.ColorRole.HighlightedText: theme.accent_ink,
        QPalette.ColorRole.Link: theme.accent,
        QPalette.ColorRole.LinkVisited: theme.accent,
        QPalette.ColorRole.ToolTipBase: theme.raised,
        QPalette.ColorRole.ToolTipText: theme.ink,
        QPalette.ColorRole.PlaceholderText: theme.muted,
        QPalette.ColorRole.Light: theme.raised,
        QPalette.ColorRole.Midlight: theme.edge,
        QPalette.ColorRole.Mid: theme.edge,
        QPalette.ColorRole.Dark: theme.edge_strong,
        QPalette.ColorRole.Shadow: theme.edge_strong,
        QPalette.ColorRole.Accent: theme.accent,
    }
    for role, colour in colours.items():
        palette.setColor(role, QColor(colour))
    for role in (
        QPalette.ColorRole.WindowText,
        QPalette.ColorRole.Text,
        QPalette.ColorRole.ButtonText,
        QPalette.ColorRole.HighlightedText,
    ):
        palette.setColor(QPalette.ColorGroup.Disabled, role, QColor(theme.faint))
    palette.setColor(QPalette.ColorGroup.Disabled, QPalette.ColorRole.Highlight, QColor(theme.edge))
    return palette


def theme_of(source: QWidget | QPalette | None = None) -> Theme:
    """The theme that goes with a palette, or the one a widget is shown in.

    A widget's own palette does not tell: a transparent ground in the style sheet makes it black.
    """
    palette = source if isinstance(source, QPalette) else QGuiApplication.palette()
    ground = palette.color(QPalette.ColorRole.Window).lightness()
    ink = palette.color(QPalette.ColorRole.WindowText).lightness()
    return DARK if ground < ink else LIGHT


def set_role(widget: QWidget, role: str) -> None:
    """Give a widget its part in the style sheet, e.g. ``"title"``, ``"muted"``, ``"primary"``."""
    if widget.property("role") == role:
        return
    widget.setProperty("role", role)
    style = widget.style()
    style.unpolish(widget)
    style.polish(widget)
    widget.update()


def base_font() -> QFont:
    """The system's own face, never smaller than :data:`BASE_POINTS`."""
    font = QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont)
    font.setPointSizeF(max(BASE_POINTS, font.pointSizeF()))
    return font


@lru_cache(maxsize=64)
def _drawing(name: str) -> str:
    return (ICONS / f"{name}.svg").read_text(encoding="utf-8")


def icon_pixmap(name: str, colour: str, size: int, ratio: float = 1.0) -> QPixmap:
    """One of our drawings from ``app/icons`` in a colour, ``size`` logical pixels square."""
    key = f"lehrkeeper {name} {colour} {size} {ratio}"
    known = QPixmap()
    if QPixmapCache.find(key, known):
        return known
    svg = _drawing(name).replace("currentColor", colour)
    renderer = QSvgRenderer(QByteArray(svg.encode("utf-8")))
    pixmap = QPixmap(QSize(round(size * ratio), round(size * ratio)))
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    renderer.render(painter, QRectF(0, 0, pixmap.width(), pixmap.height()))
    painter.end()
    pixmap.setDevicePixelRatio(ratio)
    QPixmapCache.insert(key, pixmap)
    return pixmap


def themed_icon(name: str, theme: Theme | None = None, colour: str | None = None) -> QIcon:
    """One of our drawings as an icon, sharp up to 200 %, grey when disabled."""
    theme = theme or theme_of()
    icon = QIcon()
    for ratio in (1.0, 2.0):
        for size in (18, 24, 32):
            normal = icon_pixmap(name, colour or theme.ink, size, ratio)
            icon.addPixmap(normal, QIcon.Mode.Normal)
            grey = icon_pixmap(name, theme.faint, size, ratio)
            icon.addPixmap(grey, QIcon.Mode.Disabled)
    return icon


class Appearance(QObject):
    """Applies a theme to the whole application and follows the system when asked to.

    Signals
    -------
    theme_changed(Theme)
        After the palette and style sheet have been replaced.
    """

    theme_changed = Signal(object)

    def __init__(self, application: QApplication, choice: ThemeChoice) -> None:
        super().__init__(application)
        self._application = application
        self._choice = choice
        # Some platforms never report a scheme; then the palette found at the start decides.
        self._at_start = theme_of(application.palette())
        self._theme: Theme | None = None
        application.setStyle("Fusion")
        application.setFont(base_font())
        application.styleHints().colorSchemeChanged.connect(self._scheme_changed)
        self.choose(choice)

    @property
    def theme(self) -> Theme:
        """The theme in use."""
        return self._theme or LIGHT

    @property
    def choice(self) -> ThemeChoice:
        """What was asked for."""
        return self._choice

    def choose(self, choice: ThemeChoice) -> None:
        """Use light, dark, or whatever the system uses."""
        self._choice = choice
        hints = self._application.styleHints()
        if hasattr(hints, "setColorScheme"):  # Qt 6.8: the title bar follows as well
            hints.setColorScheme(
                {
                    ThemeChoice.SYSTEM: Qt.ColorScheme.Unknown,
                    ThemeChoice.LIGHT: Qt.ColorScheme.Light,
                    ThemeChoice.DARK: Qt.ColorScheme.Dark,
                }[choice]
            )
        self._apply()

    def _scheme_changed(self) -> None:
        if self._choice is ThemeChoice.SYSTEM:
            self._apply()

    def _wanted(self) -> Theme:
        if self._choice is ThemeChoice.LIGHT:
            return LIGHT
        if self._choice is ThemeChoice.DARK:
            return DARK
        scheme = self._application.styleHints().colorScheme()
        if scheme is Qt.ColorScheme.Dark:
            return DARK
        if scheme is Qt.ColorScheme.Light:
            return LIGHT
        return self._at_start

    def _apply(self) -> None:
        theme = self._wanted()
        if theme is self._theme:
            return
        self._theme = theme
        self._application.setPalette(palette_for(theme))
        self._application.setStyleSheet(style_sheet(theme, ICONS))
        self.theme_changed.emit(theme)
