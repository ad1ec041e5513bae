"""What a kind of piece has of its own beside its shape: limits, strength, place, pot; no Qt."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from core.load.gathering import Gathering
from core.load.load import Load, Strength
from core.load.placing import Placing
from core.piece.piece import Piece


@dataclass(frozen=True)
class Own:
    """What a load says of pieces of one name.

    Attributes
    ----------
    limit : float, str or None
        Tension left for good [Pa], a grade, or the load's.
    strength : Strength
    placing : Placing
    gathered : Gathering or None
        The pot it is gathered from, and when; ``None``: of the glass chosen.
    """

    limit: float | str | None = None
    strength: Strength = field(default_factory=Strength)
    placing: Placing = field(default_factory=Placing)
    gathered: Gathering | None = None

    @property
    def words(self) -> str:
        """In a word or two, what is out of the usual; empty when nothing is."""
        told = []
        if self.limit is not None:
            told.append("limit")
        if self.strength != Strength():
            told.append("strength")
        if not self.placing.usual:
            told.append("place")
        return ", ".join(told)


def own_of(load: Load, piece: Piece) -> Own:
    """What a load says of one of its pieces."""
    return Own(
        load.piece_limits.get(piece.name),
        load.strengths.get(piece.name, Strength()),
        load.placing_of(piece),
        load.gathered.get(piece.name),
    )


def load_settings(pieces: Iterable[tuple[Piece, Own]]) -> dict[str, Any]:
    """The same as a load takes it: its mappings by the name of the pieces."""
    pairs = [(piece.name, own) for piece, own in pieces]
    return {
        "piece_limits": {name: own.limit for name, own in pairs if own.limit is not None},
        "strengths": {name: own.strength for name, own in pairs if own.strength != Strength()},
        "placings": {name: own.placing for name, own in pairs if not own.placing.usual},
        "gathered": {name: own.gathered for name, own in pairs if own.gathered is not None},
    }
