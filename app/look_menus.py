"""The menus of what a person likes to see: colours and units."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QActionGroup
from PySide6.QtWidgets import QMenu

from app.settings import ThemeChoice
from app.studio import Studio
from app.theme import Appearance
from core.units import LengthUnit, MassUnit, TemperatureUnit, UnitChoice


class LookMenus(QObject):
    """Adds the choices to a menu and keeps them true to the settings."""

    def __init__(self, menu: QMenu, studio: Studio, appearance: Appearance) -> None:
        super().__init__(menu)
        self._studio = studio
        self._appearance = appearance
        themes = (
            ("Colours as the &system has them", ThemeChoice.SYSTEM),
            ("&Light", ThemeChoice.LIGHT),
            ("&Dark", ThemeChoice.DARK),
        )
        self._theme_actions = self._choices(menu, themes, self._choose_theme)
        menu.addSeparator()
        units = menu.addMenu("&Units")
        self._unit_actions: dict[object, QAction] = {}
        for pairs in (
            (("°&C", TemperatureUnit.CELSIUS), ("°&F", TemperatureUnit.FAHRENHEIT)),
            (("&mm", LengthUnit.MILLIMETRE), ("&in", LengthUnit.INCH)),
            (("&kg", MassUnit.KILOGRAM), ("l&b", MassUnit.POUND)),
        ):
            self._unit_actions |= self._choices(units, pairs, self._choose_unit)
            units.addSeparator()
        self._theme_actions[appearance.choice].setChecked(True)
        self._show_units()
        studio.units_changed.connect(lambda _: self._show_units())

    def reset(self) -> None:
        """Units and colours as on the first day."""
        self._studio.set_units(UnitChoice())
        self._choose_theme(ThemeChoice.SYSTEM)
        self._theme_actions[ThemeChoice.SYSTEM].setChecked(True)

    def _choices(
        self, menu: QMenu, pairs: tuple[tuple[str, object], ...], act: Callable[[object], None]
    ) -> dict[object, QAction]:
        group = QActionGroup(self)
        actions: dict[object, QAction] = {}
        for words, value in pairs:
            action = group.addAction(QAction(words, self))
            action.setCheckable(True)
            action.triggered.connect(lambda _=False, value=value: act(value))
            menu.addAction(action)
            actions[value] = action
        return actions

    def _choose_theme(self, choice: object) -> None:
        chosen = ThemeChoice(choice)
        self._studio.settings.theme = chosen
        self._appearance.choose(chosen)

    def _choose_unit(self, unit: object) -> None:
        units = self._studio.units
        if isinstance(unit, TemperatureUnit):
            units = replace(units, temperature=unit)
        elif isinstance(unit, LengthUnit):
            units = replace(units, length=unit)
        elif isinstance(unit, MassUnit):
            units = replace(units, mass=unit)
        self._studio.set_units(units)

    def _show_units(self) -> None:
        units = self._studio.units
        for unit in (units.temperature, units.length, units.mass):
            self._unit_actions[unit].setChecked(True)
