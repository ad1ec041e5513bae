"""Glasses with an analysis to choose from: the studio's own, then the library."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from core.glass.glass import Glass
from core.glass.library import shipped_glasses


@dataclass(frozen=True)
class GlassChoices:
    """Glasses that have an analysis, by the words they are chosen by."""

    by_words: Mapping[str, Glass]

    @classmethod
    def of(cls, own: Sequence[Glass]) -> GlassChoices:
        """The studio's glasses, then the shipped library's."""
        pairs = {glass.name: glass for glass in own if glass.composition is not None}
        for name, glass in shipped_glasses().items():
            if glass.composition is not None:
                pairs[f"Library: {name}"] = glass
        return cls(pairs)

    def pairs(self, nothing: str) -> list[tuple[str, object]]:
        """Choices for a box: ``nothing`` (its value is ``None``), then every glass by its words."""
        return [(nothing, None), *((words, words) for words in self.by_words)]

    def glass(self, words: object) -> Glass | None:
        """The glass of those words."""
        return self.by_words.get(str(words)) if words is not None else None
