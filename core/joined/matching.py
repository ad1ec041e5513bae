"""Match by property: the smallest change of a glass that makes it shrink like another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from core.composition.composition import Composition
from core.composition.oxides import canonical_oxide
from core.errors import GlassError, LehrkeeperError
from core.glass.glass import Estimate, Glass, GlassProperties
from core.glass.least_change import Wanted, changed, least_change, values_after
from core.glass.properties import properties_of
from core.joined.advice import unmeasured
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]

TOLERANCE = 0.5e-7
"""[1/K] A careful maker's own tolerance between colour and clear (a maker's published figure)."""
_MOST = 15.0
"""[wt%] Furthest any oxide is moved; beyond that it is another glass (our choice)."""
_NO_CHANGE = 5e-4
"""[wt%] Less than any balance weighs into a pot."""
_SLACK = 0.02
"""Of the tolerance, for the rounding of the search."""


@dataclass(frozen=True)
class Match:
    """A glass changed as little as possible.

    Attributes
    ----------
    glass : Glass
        The changed glass, by its analysis.
    change : Mapping of str to float
        Oxide -> change [wt%]; they add up to 0.
    expansion : Estimate
        Of the changed glass [1/K]; the value carries over what was measured on the first one.
    annealing_point : Estimate
        Likewise [K].
    target_expansion, target_annealing_point : float
        The partner's [1/K], [K].
    """

    glass: Glass
    change: Mapping[str, float]
    expansion: Estimate
    annealing_point: Estimate
    target_expansion: float
    target_annealing_point: float


@dataclass(frozen=True)
class _Problem:
    """The glass to change, and what was measured on it less what is reckoned."""

    glass: Glass
    composition: Composition
    oxides: tuple[str, ...]
    expansion_shift: float
    annealing_shift: float

    def changed(self, change: FloatArray) -> Composition:
        return changed(self.composition, self.oxides, change)

    def wanted(self, targets: FloatArray, scales: FloatArray, *, annealing: bool) -> list[Wanted]:
        """Both properties within tolerance of their targets, measurements carried along."""
        keys = ("expansion", "annealing_point")
        shifts = (self.expansion_shift, self.annealing_shift)
        both = [
            Wanted(key, float(target - scale), float(target + scale), float(scale), shift)
            for key, target, scale, shift in zip(keys, targets, scales, shifts, strict=True)
        ]
        return both if annealing else both[:1]


def match(
    glass: Glass,
    partner: Glass,
    adjustable: Sequence[str],
    *,
    tolerance: float = TOLERANCE,
    annealing_tolerance: float | None = None,
    lower_by: float = 0.0,
) -> Match:
    """Find the smallest change of a glass that gives it the partner's expansion.

    The sum of squares of the changes [wt%] is made as small as it can be, while expansion and, if
    asked for, annealing point come within tolerance of the partner's. Only the adjustable oxides
    change, against each other.

    Parameters
    ----------
    glass : Glass
        With an analysis.
    partner : Glass
        The glass to match.
    adjustable : sequence of str
        Two oxides or more, present or not.
    tolerance : float
        Of the expansion 20-300 °C [1/K].
    annealing_tolerance : float, optional
        Of the annealing point [K]; left free when not given.
    lower_by : float
        Wanted below the partner's expansion [1/K], for a casing that is to end in slight
        compression.

    Raises
    ------
    GlassError
        If the glass has no analysis; if fewer than two oxides may change; if they do not reach the
        target, or only by leaving the glasses the property model knows.
    CompositionError
        If an oxide is unknown.
    """
    oxides = tuple(dict.fromkeys(canonical_oxide(oxide) for oxide in adjustable))
    known = properties_of(glass)
    problem = _problem(glass, known, oxides)
    theirs = properties_of(partner)
    targets = np.array([theirs.expansion.value - lower_by, theirs.annealing_point.value])
    _check_tolerances(tolerance, annealing_tolerance)
    scales = np.array([tolerance, annealing_tolerance or 1.0])
    wanted = problem.wanted(targets, scales, annealing=annealing_tolerance is not None)
    try:
        x = least_change(problem.composition, oxides, wanted, _MOST)
        x[np.abs(x) < _NO_CHANGE] = 0.0
        values = values_after(problem.composition, oxides, x[None, :], wanted)[0]
        after = properties_of(replace(problem.glass, composition=problem.changed(x)))
    except LehrkeeperError as error:
        raise GlassError(
            f"“{glass.name}” cannot be matched to “{partner.name}”: {error.message}",
            field="adjustable",
            remedy="Let other oxides change.",
        ) from error
    missed = (values - targets[: len(wanted)]) / scales[: len(wanted)]
    _check_reached(problem, missed, after, partner)
    changed = problem.changed(x)
    return Match(
        glass=Glass(f"{glass.name}, matched to {partner.name}", changed, source="computed match"),
        change=MappingProxyType(
            {o: by for o, by in zip(oxides, x.tolist(), strict=True) if by != 0.0}
        ),
        expansion=_moved(
            after.expansion, problem.expansion_shift, measured=known.expansion.measured
        ),
        annealing_point=_moved(
            after.annealing_point, problem.annealing_shift, measured=known.annealing_point.measured
        ),
        target_expansion=float(targets[0]),
        target_annealing_point=float(targets[1]),
    )


def _problem(glass: Glass, known: GlassProperties, oxides: tuple[str, ...]) -> _Problem:
    if glass.composition is None:
        raise GlassError(
            f"“{glass.name}” has no analysis, so there is nothing to change.",
            field="composition",
            remedy="Enter its oxides.",
        )
    if len(oxides) < 2:
        raise GlassError(
            "A match needs at least two oxides that may change, one against the other.",
            field="adjustable",
            remedy="Name them, such as Na2O and SiO2.",
        )
    bare = unmeasured(glass)
    computed = properties_of(bare)
    return _Problem(
        bare,
        glass.composition,
        oxides,
        known.expansion.value - computed.expansion.value,
        known.annealing_point.value - computed.annealing_point.value,
    )


def _check_tolerances(tolerance: float, annealing_tolerance: float | None) -> None:
    for field, value in (("tolerance", tolerance), ("annealing_tolerance", annealing_tolerance)):
        if value is not None and not 0.0 < value < np.inf:
            raise GlassError("A tolerance must be more than 0.", field=field)


def _check_reached(
    problem: _Problem, misses: FloatArray, after: GlassProperties, partner: Glass
) -> None:
    if float(np.abs(misses).max()) > 1.0 + _SLACK:
        expansion = (after.expansion.value + problem.expansion_shift) * 1e7
        annealing = after.annealing_point.value + problem.annealing_shift - ZERO_CELSIUS
        raise GlassError(
            f"Changing only {', '.join(problem.oxides)} does not match “{partner.name}”: nearest "
            f"is {expansion:.1f}e-7 per K with an annealing point of {annealing:.0f} °C.",
            field="adjustable",
            remedy="Let more oxides change, or widen the tolerance.",
        )
    before = properties_of(problem.glass).domain
    leaves = after.domain is not None and not after.domain.in_range
    if after.domain is not None and leaves and (before is None or before.in_range):
        raise GlassError(
            f"To match “{partner.name}” the glass would have to leave those the model knows. "
            + " ".join(after.domain.sentences),
            field="adjustable",
            remedy="Let other oxides change, or change the partner.",
        )


def _moved(estimate: Estimate, shift: float, *, measured: bool) -> Estimate:
    source = f"{estimate.source}, moved as the first glass was by measuring"
    if not measured:
        return estimate
    low = None if estimate.low is None else estimate.low + shift
    high = None if estimate.high is None else estimate.high + shift
    return Estimate(value=estimate.value + shift, source=source, low=low, high=high)
