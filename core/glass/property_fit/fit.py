"""Fit the property models to the open data: ``python -m core.glass.property_fit.fit``.

Writes ``coefficients.npz`` and ``REPORT.md`` (errors on author groups that were left out) beside
this file. Deterministic.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.glass.open_data.reading import OpenData, read_open_data
from core.glass.property_fit.coefficients import packed
from core.glass.property_fit.features import (
    FeatureSpace,
    distances,
    features,
    tens_of_mole_percent,
)
from core.glass.property_fit.fitting import fit_value, fit_viscosity, space_of
from core.glass.property_fit.mixed_fit import Fit
from core.glass.property_fit.report import cross_validated, report
from core.glass.property_fit.value_forms import VALUE_FORMS

FloatArray = NDArray[np.float64]

FOLDER = Path(__file__).parent
SAMPLES = 48


def main() -> None:
    """Fit, cross-validate and write both files."""
    data = read_open_data()
    everything = np.ones(len(data.year), dtype=np.bool_)
    space = space_of(data, everything)
    phi = features(tens_of_mole_percent(data.weight_percent), space)
    form, result = fit_viscosity(data, everything, space, phi)
    stored: dict[str, NDArray[np.generic]] = {
        "mean": space.mean,
        "centres": space.centres.astype(np.float32),
        "reach": np.array(space.reach),
        **_packed("viscosity", result, np.append(form.level, [form.bends.kappa, form.bends.hot])),
    }
    stored |= _domain(data, space)
    for value in VALUE_FORMS:
        linear, result = fit_value(data, everything, space, phi, value)
        stored |= _packed(value.name, result, linear.offset)
    np.savez_compressed(FOLDER / "coefficients.npz", **stored)  # type: ignore[arg-type]
    (FOLDER / "REPORT.md").write_text(report(data, cross_validated(data)), encoding="utf-8")


def _domain(data: OpenData, space: FeatureSpace) -> dict[str, NDArray[np.generic]]:
    share = 100.0 * data.weight_percent / data.weight_percent.sum(axis=1, keepdims=True)
    near = distances(tens_of_mole_percent(data.weight_percent), space).min(axis=1)
    return {
        "most": share.max(axis=0),
        "least": share[:, 0].min(),
        "furthest": np.quantile(near, 0.995),
    }


def _packed(name: str, result: Fit, level: FloatArray) -> dict[str, NDArray[np.generic]]:
    variances = result.variances
    return {
        **packed(name, result.beta, result.covariance_root, SAMPLES),
        f"{name}.between": variances.between_groups + variances.between_glasses,
        f"{name}.scatter": variances.scatter,
        f"{name}.width": np.full(len(variances.scatter), 1.645),
        f"{name}.level": level,
    }


if __name__ == "__main__":
    main()
