"""Cross-validation by author group, and the report of it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.glass.open_data.reading import OpenData
from core.glass.property_fit.features import features, tens_of_mole_percent
from core.glass.property_fit.fitting import fit_viscosity, space_of
from core.glass.property_fit.viscosity_form import KINDS

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

FOLDS = 8
STUDIO = ("soda_lime", "potash_lime", "mixed_alkali", "lead")
SCORED = {
    "annealing point": ("anneal_C", 11, 32),
    "T at 10^12 Pa s": ("T_log12_C", 8.5, 30),
    "strain point": ("strain_C", 7, 23),
    "softening point": ("littleton_C", 8.5, 28),
    "glass transition": ("Tg_C", 13, 38),
    "T at 10^3 Pa s": ("T_log3_C", 12, 44),
    "T at 10^2 Pa s": ("T_log2_C", 15, 58),
    "T at 10 Pa s": ("T_log1_C", 22, 80),
}
"""Name: column, wanted median and 90th percentile of the absolute error [K]."""


def _folds(group: NDArray[np.str_]) -> IntArray:
    """Fold of each row: whole author groups, the largest spread first."""
    _, index, number = np.unique(group, return_inverse=True, return_counts=True)
    generator = np.random.default_rng(1)
    fold = np.zeros(len(number), dtype=np.int64)
    load = np.zeros(FOLDS)
    for one in np.argsort(-(number + 3.0 * generator.random(len(number)))):
        fold[one] = np.argmin(load + 5.0 * generator.random(FOLDS))
        load[fold[one]] += number[one]
    result: IntArray = fold[index]
    return result


def cross_validated(data: OpenData) -> dict[str, FloatArray]:
    """Temperatures [°C] by column, each from a fit without the glass's author group."""
    fold = _folds(data.group)
    tens = tens_of_mole_percent(data.weight_percent)
    predicted = {column: np.full(len(fold), np.nan) for column, _, _ in SCORED.values()}
    for one in range(FOLDS):
        used = fold != one
        space = space_of(data, used)
        phi = features(tens, space)
        form, result = fit_viscosity(data, used, space, phi)
        out = fold == one
        p = phi[out] @ result.beta.T
        for column, temperature in predicted.items():
            kind = np.full(len(p), KINDS.index(column), dtype=np.int64)
            temperature[out] = form(kind, p)[0]
    return predicted


def report(data: OpenData, predicted: dict[str, FloatArray]) -> str:
    """Errors on left-out author groups as a table, suspect values not scored."""
    studio = np.isin(data.family, STUDIO)
    kinds = {"all four": studio, **{name: data.family == name for name in STUDIO}}
    lines = [
        "# Viscosity model: errors on author groups left out of the fit",
        "",
        f"Median / 90th percentile of the absolute error [K] and (number); {FOLDS} folds of whole",
        "author groups, suspect values left out of the scoring. Data: see ../open_data/NOTICE.md.",
        "",
        "| | wanted | " + " | ".join(name.replace("_", " ") for name in kinds) + " |",
        "| --- " * (len(kinds) + 2) + "|",
    ]
    for name, (column, median, tail) in SCORED.items():
        error = np.abs(predicted[column] - data.values[column])
        fair = np.isfinite(error) & ~data.suspect[column]
        cells = []
        for member in kinds.values():
            own = error[fair & member]
            cells.append(f"{np.median(own):.1f} / {np.quantile(own, 0.9):.0f} ({len(own)})")
        lines.append(f"| {name} | {median:g} / {tail:g} | " + " | ".join(cells) + " |")
    return "\n".join(lines) + "\n"
