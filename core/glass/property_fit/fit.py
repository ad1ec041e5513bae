"""Fit the property models to the open data: ``python -m core.glass.property_fit.fit``.

Writes ``coefficients.npz`` and ``REPORT.md`` (errors on author groups that were left out) beside
this file. Deterministic.
"""

from __future__ import annotations

import hashlib
import multiprocessing
import os
from concurrent.futures import ProcessPoolExecutor

import numpy as np
from numpy.typing import NDArray

from core.glass.open_data.reading import OpenData, read_open_data
from core.glass.property_fit.coefficients import FILE, packed
from core.glass.property_fit.cross_validation import Tested, cross_validated
from core.glass.property_fit.features import (
    FeatureSpace,
    alkali_of,
    distances,
    features,
    tens_of_mole_percent,
)
from core.glass.property_fit.fitting import fit_value, fit_viscosity, space_of
from core.glass.property_fit.mixed_fit import Fit
from core.glass.property_fit.report import report
from core.glass.property_fit.value_forms import VALUE_FORMS
from core.glass.property_fit.viscosity_form import KINDS

FloatArray = NDArray[np.float64]

SAMPLES = 48
_MOST_OF_A_GROUP = 40
_NORMAL = 1.645
"""Half width of 90 % of a normal distribution."""


def main() -> None:
    """Fit, cross-validate and write both files; every core takes one fit at a time."""
    # One thread a fit: sums come out the same on any number of cores.
    os.environ |= {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}
    data = read_open_data()
    with ProcessPoolExecutor(mp_context=multiprocessing.get_context("spawn")) as pool:
        tested = cross_validated(data, pool)
        stored = pool.submit(coefficients, data, tested).result()
    np.savez_compressed(FILE, **stored)  # type: ignore[arg-type]
    version = hashlib.sha256(FILE.read_bytes()).hexdigest()[:8]
    FILE.with_name("REPORT.md").write_text(report(data, tested, version), encoding="utf-8")


def coefficients(data: OpenData, tested: dict[str, Tested]) -> dict[str, NDArray[np.generic]]:
    """What is stored: fits to all rows, interval widths from left-out groups."""
    everything = np.ones(len(data.year), dtype=np.bool_)
    space = space_of(data, everything)
    phi = features(tens_of_mole_percent(data.weight_percent), space)
    form, result = fit_viscosity(data, everything, space, phi)
    level = np.append(form.level, form.kappa)
    width = np.array([tested[column].width for column in KINDS])
    stored: dict[str, NDArray[np.generic]] = {
        "mean": space.mean,
        "centres": space.centres.astype(np.float32),
        "reach": np.array(space.reach),
        **_domain(data, space),
        **_usual(data, phi @ result.beta.T, result),
        **_packed("viscosity", result, level, width, tested[KINDS[0]].strange),
    }
    for value in VALUE_FORMS:
        strange = tested[value.columns[0]].strange
        _, result = fit_value(data, everything, space, phi, value)
        width = np.array([tested[column].width for column in value.columns])
        stored |= _packed(value.name, result, np.zeros(0), width, strange)
    return stored


def _domain(data: OpenData, space: FeatureSpace) -> dict[str, NDArray[np.generic]]:
    share = 100.0 * data.weight_percent / data.weight_percent.sum(axis=1, keepdims=True)
    near = distances(tens_of_mole_percent(data.weight_percent), space).min(axis=1)
    alkali = alkali_of(share)
    return {
        "alkali": np.array([alkali.min(), alkali.max()]),
        "most": share.max(axis=0),
        "least": share[:, 0].min(),
        "furthest": np.quantile(near, 0.995),
    }


def _usual(data: OpenData, p: FloatArray, result: Fit) -> dict[str, NDArray[np.generic]]:
    """Mean and covariance of the viscosity numbers p (n, q) over glasses that viscosity tells of.

    An author group weighs as at most 40 glasses.
    """
    told = np.any([np.isfinite(data.values[column]) for column in KINDS], axis=0)
    _, index, number = np.unique(data.group, return_inverse=True, return_counts=True)
    weight = np.where(told, np.minimum(1.0, _MOST_OF_A_GROUP / number)[index], 0.0)
    weight /= weight.sum()
    mean = weight @ p
    spread = ((p - mean) * weight[:, None]).T @ (p - mean)
    variances = result.variances
    spread += variances.between_groups + variances.between_glasses
    return {"usual.mean": mean, "usual.covariance": spread}


def _packed(
    name: str, result: Fit, level: FloatArray, width: FloatArray, strange: float
) -> dict[str, NDArray[np.generic]]:
    """As stored; the covariance is scaled so that widths are those of a normal distribution.

    What the left-out groups say of the spread then holds too where measurements are taken in.
    """
    variances = result.variances
    scale = float(np.median(width[np.isfinite(width)])) / _NORMAL
    return {
        **packed(name, result.beta, scale * result.covariance_root, SAMPLES),
        f"{name}.between": scale**2 * (variances.between_groups + variances.between_glasses),
        f"{name}.strange": np.array(strange),
        f"{name}.scatter": scale**2 * variances.scatter,
        f"{name}.width": width / scale,
        f"{name}.level": level,
    }


if __name__ == "__main__":
    main()
