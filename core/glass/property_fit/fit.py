"""Fit the viscosity model to the open data: ``python -m core.glass.property_fit.fit``.

Writes ``viscosity.npz`` (coefficients) and ``REPORT.md`` (errors on author
groups that were left out) beside this file. Deterministic; about a minute on one core.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.glass.open_data.reading import OpenData, read_open_data
from core.glass.property_fit.features import (
    FeatureSpace,
    blocks,
    centres_of,
    features,
    plain_coefficients,
    tens_of_mole_percent,
)
from core.glass.property_fit.mixed_fit import Fit, Measurements, Variances, fit
from core.glass.property_fit.viscosity_form import KINDS, ViscosityForm

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

FOLDER = Path(__file__).parent
CENTRES, REACH, FOLDS = 200, 1.3, 8
LEAST_SCATTER = 6.0
"""[K] Points read off one smoothed curve scatter less than the curve is wrong."""
MOST_SHIFT = np.array([100.0, 100.0, 0.15])
START = np.array([540.0, 500.0, 3.3])
EARLY = 1945
"""Annealing and strain points before this year may follow another definition."""
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


def _weights(data: OpenData, kind: str, rows: IntArray) -> FloatArray:
    weight = np.where(data.suspect[kind][rows], 0.05, 1.0)
    if kind in {"anneal_C", "strain_C"}:
        weight = np.where(data.year[rows] < EARLY, 0.3 * weight, weight)
    return weight


def _measurements(data: OpenData, used: NDArray[np.bool_], phi: FloatArray) -> Measurements:
    value, kind, row, weight = [], [], [], []
    for index, name in enumerate(KINDS):
        found = np.flatnonzero(np.isfinite(data.values[name]) & used)
        value.append(data.values[name][found])
        kind.append(np.full(len(found), index))
        row.append(found)
        weight.append(_weights(data, name, found))
    rows, at = np.unique(np.concatenate(row), return_inverse=True)
    _, group = np.unique(data.group[rows], return_inverse=True)
    return Measurements(
        value=np.concatenate(value),
        kind=np.concatenate(kind),
        row=at,
        weight=np.concatenate(weight),
        group=group,
        features=phi[rows],
    )


def _fit(data: OpenData, used: NDArray[np.bool_]) -> tuple[FeatureSpace, ViscosityForm, Fit]:
    """Fit to the rows used and no others; the feature space too comes from these alone."""
    tens = tens_of_mole_percent(data.weight_percent)
    measured = used & np.any([np.isfinite(data.values[name]) for name in KINDS], axis=0)
    known = tens[measured]
    space = FeatureSpace(known.mean(axis=0), centres_of(known, CENTRES), REACH)
    space.mean[0] = 0.0
    form = ViscosityForm()
    block = blocks(space)
    start = np.zeros((3, len(block)))
    start[:, 0] = START
    prior = np.array([1e4, 70.0, 30.0, 20.0])
    begin = Variances(
        between_groups=np.diag([100.0, 100.0, 0.01]),
        between_glasses=np.diag([100.0, 100.0, 0.01]),
        scatter=np.full(len(KINDS), 100.0),
        prior=np.stack([prior, prior, np.array([2.0, 0.5, 0.2, 0.1])]) ** 2,
    )
    result = fit(
        _measurements(data, measured, features(tens, space)),
        form,
        start,
        begin,
        block,
        iterations=10,
        least_scatter=LEAST_SCATTER,
        most_shift=MOST_SHIFT,
        recentre=form.recentre,
    )
    return space, form, result


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
        space, form, result = _fit(data, fold != one)
        out = fold == one
        p = features(tens[out], space) @ result.beta.T
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


def main() -> None:
    """Fit, cross-validate and write both files."""
    data = read_open_data()
    space, form, result = _fit(data, np.ones(len(data.year), dtype=np.bool_))
    np.savez_compressed(
        FOLDER / "viscosity.npz",
        mean=space.mean,
        centres=space.centres,
        reach=space.reach,
        coefficients=plain_coefficients(result.beta, space),
        level=form.level,
        kappa=form.kappa,
        between_groups=result.variances.between_groups,
        between_glasses=result.variances.between_glasses,
        scatter=result.variances.scatter,
    )
    (FOLDER / "REPORT.md").write_text(report(data, cross_validated(data)), encoding="utf-8")


if __name__ == "__main__":
    main()
