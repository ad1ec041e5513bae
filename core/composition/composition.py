"""An analysis in wt% or mol%, checked and normalised to 100."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

from core.composition.amounts import Amount, read_amount
from core.composition.counting import Basis, check_total, counted
from core.composition.how_read import Entry, notes_on
from core.composition.names import component
from core.composition.oxides import GLASS_FORMERS, MOLAR_MASS, listing_order
from core.errors import CompositionError

__all__ = ["Basis", "Composition"]


def _percent(amounts: Mapping[str, float]) -> dict[str, float]:
    total = math.fsum(amounts.values())
    return {oxide: 100.0 * amount / total for oxide, amount in amounts.items()}


def _listed(amounts: Mapping[str, float]) -> Mapping[str, float]:
    return MappingProxyType(dict(sorted(amounts.items(), key=lambda pair: listing_order(pair[0]))))


@dataclass(frozen=True)
class Composition:
    """What a glass is made of. Make one with :meth:`from_percent` or the text parser.

    Attributes
    ----------
    weight_percent : Mapping of str to float
        Read-only; by canonical oxide in listing order, adding up to 100, zeros left out.
    original_total : float
        What the percentages added up to as entered, in ``basis``.
    basis : Basis
        How it was entered.
    warnings : tuple of str
        Plain sentences, such as one on a total far from 100.
    uncertainty : Mapping of str to float
        Read-only; standard error [wt%] by canonical oxide in listing order, only where one is
        known. Those of the amounts as entered, on the scale of ``weight_percent`` and independent
        of one another: whoever varies them normalises to 100 afterwards. An oxide that
        ``weight_percent`` leaves out may have one (0 ± 0.1).
    notes : tuple of str
        How each entry that is not a plain percentage of an oxide was read, in plain sentences.
        Two readings that come to the same composition are equal, whatever their notes.

    Raises
    ------
    CompositionError
        If the percentages are not known oxides with positive amounts that add up to 100, or a
        standard error is not a positive number of a known oxide.
    """

    weight_percent: Mapping[str, float]
    original_total: float = 100.0
    basis: Basis = Basis.WEIGHT
    warnings: tuple[str, ...] = ()
    uncertainty: Mapping[str, float] = field(default_factory=dict)
    notes: tuple[str, ...] = field(default=(), compare=False)

    def __post_init__(self) -> None:
        given = dict(self.weight_percent)
        for oxide, amount in given.items():
            if oxide not in MOLAR_MASS or not (math.isfinite(amount) and amount > 0):
                raise CompositionError(f"{oxide} cannot be {amount:g} wt%.", field=oxide)
        errors = dict(self.uncertainty)
        for oxide, error in errors.items():
            if oxide not in MOLAR_MASS or not (math.isfinite(error) and error > 0):
                raise CompositionError(
                    f"The error of {oxide} cannot be {error:g} wt%.", field=oxide
                )
        if not math.isclose(math.fsum(given.values()), 100.0, abs_tol=1e-6):
            raise CompositionError(
                "The weight percentages do not add up to 100.", remedy="Use from_percent."
            )
        object.__setattr__(self, "weight_percent", _listed(given))
        object.__setattr__(self, "uncertainty", _listed(errors))

    def __hash__(self) -> int:
        errors = tuple(self.uncertainty.items())
        return hash((tuple(self.weight_percent.items()), self.original_total, self.basis, errors))

    def __reduce__(self) -> tuple[type[Composition], tuple[object, ...]]:
        # A mapping proxy can be neither pickled nor deep-copied by itself.
        plain, errors = dict(self.weight_percent), dict(self.uncertainty)
        rest = (self.original_total, self.basis, self.warnings, errors, self.notes)
        return (type(self), (plain, *rest))

    @classmethod
    def from_percent(
        cls, amounts: Mapping[str, float | str], basis: Basis = Basis.WEIGHT
    ) -> Composition:
        """Check an analysis and normalise it to 100.

        Parameters
        ----------
        amounts : Mapping of str to float or str
            Percent of each oxide in ``basis``; any spelling, name and order, zeros allowed. Text
            is read as analyses report amounts (``"<0.1"``, ``"tr."``, ``"450 ppm"``, ``"20-30"``).
        basis : Basis
            Whether the amounts are weight or mole percent.

        Raises
        ------
        CompositionError
            Empty; an unknown oxide or one given twice; a negative amount or not a number;
            no glass former; a total outside 90-110. ``field`` names the oxide.
        """
        entries: list[Entry] = []
        for name, amount in amounts.items():
            named = component(name)
            read = (
                read_amount(amount, named.written)
                if isinstance(amount, str)
                else Amount(float(amount))
            )
            entries.append((named, read))
        return cls.from_entries(entries, basis)

    @classmethod
    def from_entries(
        cls,
        entries: Sequence[Entry],
        basis: Basis = Basis.WEIGHT,
        *,
        stated_total: float | None = None,
        blanks_noted: bool = True,
    ) -> Composition:
        """Check the entries of an analysis, count them as oxides and normalise them to 100.

        Parameters
        ----------
        entries : sequence of (Component, Amount)
            What is named and how much of it, in percent of ``basis``.
        basis : Basis
        stated_total : float, optional
            Total as printed under the analysis; a wrong one gives a warning.
        blanks_noted : bool
            Whether the notes mention cells left blank.

        Raises
        ------
        CompositionError
            As :meth:`from_percent`; ``field`` is the name as written.
        """
        percent, errors = counted(entries, basis)
        if not any(percent.values()):
            raise CompositionError(
                "The analysis is empty.", remedy="Enter oxides, such as SiO2 72, Na2O 14, CaO 10."
            )
        entered = {o: percent[o] for o in sorted(percent, key=listing_order) if percent[o] > 0}
        total = math.fsum(entered.values())
        warnings, on_total = check_total(
            entered, total, basis, stated_total, math.fsum(a.value for _, a in entries)
        )
        if not any(former in entered for former in GLASS_FORMERS):
            raise CompositionError(
                "There is no glass former (SiO2, B2O3, P2O5 or GeO2) in the analysis.",
                field="SiO2",
                remedy="Add the silica.",
            )
        by_mole = basis is Basis.MOLE
        weights = {o: a * MOLAR_MASS[o] if by_mole else a for o, a in entered.items()}
        to_percent = 100.0 / math.fsum(weights.values())
        # An amount too small to be left after scaling is none.
        scaled = {o: value for o, value in _percent(weights).items() if value > 0}
        uncertainty = {
            o: error * (MOLAR_MASS[o] if by_mole else 1.0) * to_percent
            for o, error in errors.items()
        }
        uncertainty = {oxide: error for oxide, error in uncertainty.items() if error > 0}
        notes = (*notes_on(entries, blanks=blanks_noted), *on_total)
        return cls(scaled, total, basis, warnings, uncertainty, notes)

    @property
    def mole_percent(self) -> dict[str, float]:
        """Mole percent of each oxide, adding up to 100, in listing order."""
        return _percent({o: w / MOLAR_MASS[o] for o, w in self.weight_percent.items()})

    @property
    def as_entered(self) -> dict[str, float]:
        """Amounts as they were entered, in ``basis``, adding up to ``original_total``."""
        percent = self.weight_percent if self.basis is Basis.WEIGHT else self.mole_percent
        return {oxide: value * self.original_total / 100.0 for oxide, value in percent.items()}

    @property
    def errors_as_entered(self) -> dict[str, float]:
        """Standard errors of :attr:`as_entered`, in ``basis``."""
        scale = self.original_total / 100.0
        if self.basis is Basis.MOLE:
            moles = math.fsum(w / MOLAR_MASS[o] for o, w in self.weight_percent.items())
            return {o: e / MOLAR_MASS[o] / moles * 100 * scale for o, e in self.uncertainty.items()}
        return {oxide: error * scale for oxide, error in self.uncertainty.items()}

    def weight(self, oxide: str) -> float:
        """Weight percent of an oxide; 0 when the glass has none of it."""
        return self.weight_percent.get(oxide, 0.0)

    def to_text(self) -> str:
        """Amounts as they were entered, e.g. ``"SiO2 70.1, Na2O 16.2 ± 0.3, CaO 13.7 wt%"``.

        The parser reads it back to the same composition (to six figures; errors to four).
        """
        amounts, errors = self.as_entered, self.errors_as_entered
        pairs = ", ".join(
            f"{oxide} {amounts.get(oxide, 0.0):.6g}"
            + (f" ± {errors[oxide]:.4g}" if oxide in errors else "")
            for oxide in sorted({*amounts, *errors}, key=listing_order)
        )
        return f"{pairs} {self.basis.value}"
