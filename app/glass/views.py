"""The views beside the form: this glass, beside others, with another, its versions."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtWidgets import QTabWidget, QWidget

from app.glass.compare_view import CompareView
from app.glass.results import GlassResults
from app.glass.together_view import TogetherView
from app.glass.versions_view import VersionsView
from app.studio import Studio
from core.glass.glass import Glass
from core.units import UnitChoice


class GlassViews(QTabWidget):
    """What follows from the glass in the form, a tab for each question.

    Parameters
    ----------
    studio : Studio
    parent : QWidget, optional
    """

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.results = GlassResults(studio.units)
        self.compare = CompareView(studio.units)
        self.together = TogetherView(studio)
        self.versions = VersionsView(studio.units)
        self.addTab(self.results, "This glass")
        self.addTab(self.compare, "Beside others")
        self.addTab(self.together, "With another")
        self.addTab(self.versions, "Versions")
        self.setMinimumWidth(280)

    def show_choices(self, glasses: Mapping[str, Glass]) -> None:
        """Offer glasses to compare and join with."""
        self.compare.show_choices(dict(glasses))
        self.together.show_choices(dict(glasses))

    def show_others(self, glass: Glass | None) -> None:
        """Reckon the views that hold the glass against others."""
        self.compare.show_glass(glass)
        self.together.show_glass(glass)

    def show_versions(self, name: str) -> None:
        """List the versions of a glass of the book; of none for an empty name."""
        versions = self._studio.book.glass_versions(name) if name else ()
        self.versions.show_versions(versions, self._studio.now())

    def set_units(self, units: UnitChoice) -> None:
        """Show everything in other units."""
        self.results.set_units(units)
        self.compare.set_units(units)
        self.together.set_units(units)
        self.versions.set_units(units)
