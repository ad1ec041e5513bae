"""What a person has chosen, kept between starts: one typed class over QSettings.

QSettings gives back text where it was handed a truth value or a list, so nothing else in the
program reads it directly. A value that cannot be read counts as never set and is logged.
"""

from __future__ import annotations

import logging
from enum import StrEnum
from typing import TypeVar

from PySide6.QtCore import QByteArray, QSettings

from core.units import LengthUnit, MassUnit, TemperatureUnit, UnitChoice

log = logging.getLogger(__name__)

ORGANISATION = "Lehrkeeper"
APPLICATION = "Lehrkeeper"

_Choice = TypeVar("_Choice", bound=StrEnum)


class ThemeChoice(StrEnum):
    """Which colours to use."""

    SYSTEM = "system"
    LIGHT = "light"
    DARK = "dark"


class Settings:
    """Typed preferences.

    Parameters
    ----------
    store : QSettings, optional
        Where they are kept; the platform's usual place when left out. Tests hand in an ini file.
    """

    def __init__(self, store: QSettings | None = None) -> None:
        self._store = store if store is not None else QSettings(ORGANISATION, APPLICATION)
        if self._store.status() is QSettings.Status.FormatError:
            log.warning("The preferences in %s cannot be read.", self._store.fileName())
            self._store.clear()

    # -- what is kept -----------------------------------------------------------------------

    @property
    def units(self) -> UnitChoice:
        """Units in which numbers are shown and typed."""
        return UnitChoice(
            temperature=self._choice("units/temperature", TemperatureUnit.CELSIUS),
            length=self._choice("units/length", LengthUnit.MILLIMETRE),
            mass=self._choice("units/mass", MassUnit.KILOGRAM),
        )

    @units.setter
    def units(self, units: UnitChoice) -> None:
        self._store.setValue("units/temperature", units.temperature.value)
        self._store.setValue("units/length", units.length.value)
        self._store.setValue("units/mass", units.mass.value)

    @property
    def theme(self) -> ThemeChoice:
        """Light, dark, or as the system has it."""
        return self._choice("window/theme", ThemeChoice.SYSTEM)

    @theme.setter
    def theme(self, choice: ThemeChoice) -> None:
        self._store.setValue("window/theme", choice.value)

    @property
    def last_page(self) -> str:
        """Key of the page that was open."""
        return self.text("window/last_page")

    @last_page.setter
    def last_page(self, key: str) -> None:
        self.set_text("window/last_page", key)

    @property
    def last_lehr(self) -> str:
        """Name of the lehr chosen last."""
        return self.text("tonight/last_lehr")

    @last_lehr.setter
    def last_lehr(self, name: str) -> None:
        self.set_text("tonight/last_lehr", name)

    @property
    def last_book(self) -> str:
        """Path of the book opened last; empty for the usual one."""
        return self.text("book/last")

    @last_book.setter
    def last_book(self, path: str) -> None:
        self.set_text("book/last", path)

    @property
    def geometry(self) -> QByteArray:
        """Place and size of the window as Qt saved them; empty when never saved."""
        return self._bytes("window/geometry")

    @geometry.setter
    def geometry(self, saved: QByteArray) -> None:
        self._store.setValue("window/geometry", saved)

    @property
    def window_state(self) -> QByteArray:
        """Bars of the window as Qt saved them; empty when never saved."""
        return self._bytes("window/state")

    @window_state.setter
    def window_state(self, saved: QByteArray) -> None:
        self._store.setValue("window/state", saved)

    # -- small things pages keep ------------------------------------------------------------

    def text(self, key: str, default: str = "") -> str:
        """A short text under a page's own key such as ``"tonight/columns"``."""
        raw = self._raw(key)
        if raw is None:
            return default
        if not isinstance(raw, str):
            log.warning("The preference %s is not a text; using “%s”.", key, default)
            return default
        return raw

    def set_text(self, key: str, value: str) -> None:
        """Keep a short text."""
        self._store.setValue(key, value)

    def flag(self, key: str, *, default: bool) -> bool:
        """A yes or no."""
        raw = self.text(key, "yes" if default else "no")
        if raw not in {"yes", "no"}:
            log.warning("The preference %s is neither yes nor no; using %s.", key, default)
            return default
        return raw == "yes"

    def set_flag(self, key: str, *, value: bool) -> None:
        """Keep a yes or no, as a word: ini files lose the type of a truth value."""
        self.set_text(key, "yes" if value else "no")

    def number(self, key: str, default: float) -> float:
        """A finite number."""
        raw = self.text(key, repr(default))
        try:
            value = float(raw)
        except ValueError:
            value = float("nan")
        if value - value != 0.0:
            log.warning("The preference %s is not a number; using %s.", key, default)
            return default
        return value

    def set_number(self, key: str, value: float) -> None:
        """Keep a number."""
        self.set_text(key, repr(float(value)))

    def reset(self) -> None:
        """Forget everything: units, colours, window, last page."""
        self._store.clear()
        self._store.sync()

    def sync(self) -> None:
        """Write to disk now."""
        self._store.sync()

    # -- reading ----------------------------------------------------------------------------

    def _raw(self, key: str) -> object:
        if not self._store.contains(key):
            return None
        value = self._store.value(key, None)
        if value is None:  # a hand-edited or cut-off @Variant
            log.warning("The preference %s cannot be read; forgetting it.", key)
        return value

    def _choice(self, key: str, default: _Choice) -> _Choice:
        raw = self.text(key, default.value)
        try:
            return type(default)(raw)
        except ValueError:
            log.warning("The preference %s is “%s”; using “%s”.", key, raw, default.value)
            return default

    def _bytes(self, key: str) -> QByteArray:
        raw = self._raw(key)
        if raw is None:
            return QByteArray()
        if not isinstance(raw, QByteArray):
            log.warning("The preference %s is damaged; forgetting it.", key)
            return QByteArray()
        return raw
