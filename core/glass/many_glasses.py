"""Properties of many glasses at once, for tables: the same numbers as one at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.composition.composition import Composition
from core.glass.analysis_error import error_rows, values_with_error, viscosity_with_error
from core.glass.material import is_possible
from core.glass.open_data.reading import OXIDES
from core.glass.property_fit.domain import domain_statement, in_range
from core.glass.property_fit.fitted_points import COUNTED_AS, weight_rows
from core.glass.property_fit.fitted_values import Values
from core.glass.property_fit.fitted_viscosity import POINTS, point_values
from core.glass.viscosity_model import (
    COLDEST_STRAIN_POINT,
    HOTTEST_MELTING_POINT,
    SHORTEST_CURVE,
)

FloatArray = NDArray[np.float64]

_AT_ONCE = 2000
"""Glasses reckoned together; more need more memory and gain no time."""
_VALUES = ("expansion", "density")


@dataclass(frozen=True, eq=False)
class ManyGlasses:
    """Properties of n glasses, SI.

    Attributes
    ----------
    values : dict of str to Values
        By the keys of :data:`core.glass.property_fit.fitted_viscosity.POINTS` [K],
        ``expansion`` (20-300 °C) [1/K] and ``density`` [kg/m3].
    in_range : ndarray of bool, shape (n,)
        Whether glasses like these are behind the model.
    physical : ndarray of bool, shape (n,)
        False where the model gives no glass's numbers: take none of them.
    """

    values: dict[str, Values]
    in_range: NDArray[np.bool_]
    physical: NDArray[np.bool_]


def properties_of_many(compositions: Sequence[Composition]) -> ManyGlasses:
    """Viscosity points, expansion and density with 90 % intervals, reckoned from analyses.

    Parameters
    ----------
    compositions : sequence of Composition
        Errors of an analysis widen its intervals.
    """
    if not compositions:
        empty = Values(*(np.zeros(0) for _ in range(3)))
        none = np.zeros(0, dtype=np.bool_)
        return ManyGlasses(dict.fromkeys((*POINTS, *_VALUES), empty), none, none)
    parts = [
        _some(compositions[start : start + _AT_ONCE])
        for start in range(0, len(compositions), _AT_ONCE)
    ]
    return ManyGlasses(
        values={
            key: Values(
                *(
                    np.concatenate([getattr(part.values[key], end) for part in parts])
                    for end in ("value", "low", "high")
                )
            )
            for key in (*POINTS, *_VALUES)
        },
        in_range=np.concatenate([part.in_range for part in parts]),
        physical=np.concatenate([part.physical for part in parts]),
    )


def _some(compositions: Sequence[Composition]) -> ManyGlasses:
    rows, errors = weight_rows(compositions), error_rows(compositions)
    known = rows.any(axis=1)
    rows[~known, 0] = 100.0  # a stand-in that keeps the arrays whole; marked as not physical
    fitted = viscosity_with_error(rows, errors)
    values = point_values(fitted)
    others = values_with_error(rows, errors)
    values |= {key: others[key] for key in _VALUES}
    cold, hot = values["strain_point"].value, values["melting_point"].value
    physical = known & (cold >= COLDEST_STRAIN_POINT) & (hot <= HOTTEST_MELTING_POINT)
    physical &= hot - cold >= SHORTEST_CURVE
    for key in _VALUES:
        physical &= is_possible(key, values[key])
    inside = in_range(rows)
    named = {*OXIDES, *COUNTED_AS}
    for index, composition in enumerate(compositions):
        if not named.issuperset(composition.weight_percent):
            inside[index] = domain_statement(composition).in_range
    return ManyGlasses(values, inside & known, physical)
