"""What the fitted model is measured against: published models, and other laboratories."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from core.composition.composition import Composition
from core.errors import LehrkeeperError
from core.glass.density import density_of
from core.glass.expansion import expansion_of
from core.glass.fluegel_2007 import FLUEGEL_2007
from core.glass.lakatos_1976 import LAKATOS_1976
from core.glass.open_data.reading import OXIDES, OpenData
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

LEVELS: dict[str, float] = {
    "anneal_C": 12.0,
    "T_log12_C": 12.0,
    "strain_C": 13.5,
    "littleton_C": 6.6,
    "Tg_C": 12.0,
    "T_log3_C": 3.0,
    "T_log2_C": 2.0,
    "T_log1_C": 1.0,
}
"""Column -> log10(viscosity / Pa s) that published models answer with."""

SAME_GLASS = 0.5
"""[wt%] Two glasses are nominally one when no component differs by more."""
ALIKE = 2.0
"""[wt%] And alike enough to tell what they differ by, which laboratories then do not."""


def published(data: OpenData, wanted: BoolArray) -> dict[str, dict[str, FloatArray]]:
    """Published model -> column -> what it says of the wanted rows, (n,), NaN where nothing."""
    empty = np.full(len(data.year), np.nan)
    models = (FLUEGEL_2007, LAKATOS_1976)
    result = {model.name: {column: empty.copy() for column in LEVELS} for model in models}
    result["Appen factors"] = {
        "CTE_20_300_1e7": empty.copy(),
        "density_20C_gcm3": empty.copy(),
    }
    for row in np.flatnonzero(wanted):
        composition = _composition(data.weight_percent[row])
        appen = result["Appen factors"]
        appen["CTE_20_300_1e7"][row] = expansion_of(composition)[0].value * 1e7
        appen["density_20C_gcm3"][row] = density_of(composition)[0].value / 1e3
        for model in models:
            try:
                curve = model.evaluate(composition).curve
            except LehrkeeperError:
                continue
            for column, level in LEVELS.items():
                try:
                    kelvin = curve.temperature(level)
                except LehrkeeperError:
                    continue
                result[model.name][column][row] = kelvin - ZERO_CELSIUS
    return result


def _composition(weight_percent: FloatArray) -> Composition:
    total = weight_percent.sum()
    return Composition.from_percent(
        {
            oxide: 100.0 * float(weight / total)
            for oxide, weight in zip(OXIDES, weight_percent, strict=True)
            if weight > 0.0
        }
    )


@dataclass(frozen=True)
class LaboratoryNoise:
    """How far author groups differ on one nominal glass.

    Attributes
    ----------
    pairs, groups : int
        Pairs of values compared, and author groups in them.
    median, tail : float
        Median and 90th percentile of the difference over the square root of 2: what even a
        perfect model would miss a single value by.
    """

    pairs: int
    groups: int
    median: float
    tail: float


def laboratory_noise(
    data: OpenData, column: str, among: BoolArray, error: FloatArray | None = None
) -> LaboratoryNoise:
    """Differences between author groups on glasses that agree within :data:`SAME_GLASS`.

    Each pair of groups counts once, by its middle difference, and values that agree to the last
    digit are left out: they are quotations. With the errors (n,) of estimates, the glasses need
    only agree within :data:`ALIKE`, and what the estimates say they differ by is taken off.
    """
    found = np.flatnonzero(np.isfinite(data.values[column]) & ~data.suspect[column] & among)
    tree = cKDTree(data.weight_percent[found])
    near = SAME_GLASS if error is None else ALIKE
    first, second = tree.query_pairs(near, p=np.inf, output_type="ndarray").T
    one, other = found[first], found[second]
    raw = np.abs(data.values[column][one] - data.values[column][other])
    apart = raw if error is None else np.abs(error[one] - error[other])
    counted = (data.group[one] != data.group[other]) & (raw > 0.0)
    names = np.stack([data.group[one][counted], data.group[other][counted]], axis=1)
    names.sort(axis=1)
    pairs, index = np.unique(names, axis=0, return_inverse=True)
    middle = np.array([np.median(apart[counted][index == at]) for at in range(len(pairs))])
    if not len(middle):
        return LaboratoryNoise(0, 0, np.nan, np.nan)
    middle /= np.sqrt(2.0)
    return LaboratoryNoise(
        len(middle),
        len(np.unique(pairs)),
        float(np.median(middle)),
        float(np.quantile(middle, 0.9)),
    )


def drawn_groups(group: NDArray[np.str_], *, draws: int = 2000) -> Iterator[NDArray[np.int64]]:
    """Rows of bootstrap draws: as many author groups as there are, each whole, with replacement."""
    names, index = np.unique(group, return_inverse=True)
    members = [np.flatnonzero(index == at) for at in range(len(names))]
    generator = np.random.default_rng(4)
    for _ in range(draws):
        chosen = generator.integers(len(names), size=len(names))
        yield np.concatenate([members[at] for at in chosen])


def chance_ahead(
    ours: FloatArray, theirs: FloatArray, group: NDArray[np.str_], part: float
) -> float:
    """Share of draws of author groups in which their absolute errors (n,) are the smaller.

    ``part`` says which quantile of the errors is compared.
    """
    ahead = [
        bool(np.quantile(theirs[rows], part) < np.quantile(ours[rows], part))
        for rows in drawn_groups(group)
    ]
    return float(np.mean(ahead))


def quantile_interval(
    error: FloatArray, group: NDArray[np.str_], part: float
) -> tuple[float, float]:
    """90 % interval of a quantile of absolute errors (n,) by draws of author groups."""
    found = [float(np.quantile(error[rows], part)) for rows in drawn_groups(group)]
    return float(np.quantile(found, 0.05)), float(np.quantile(found, 0.95))
