"""The small file of fitted coefficients, and estimates with their covariance from it.

For each property the file holds the coefficients of its q numbers, samples of what these
coefficients could as well be (their posterior, in bytes with a scale), and the variances that
come on top for a glass and a laboratory the fit has not seen.
"""

from __future__ import annotations

import functools
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.errors import GlassError
from core.glass.property_fit.extrapolation import (
    Domain,
    distance_beyond,
    edge_terms,
    edge_variances,
    lost_share,
)
from core.glass.property_fit.features import (
    FeatureSpace,
    locally_known,
    plain_coefficients,
    plain_features,
    rarity_of,
    tens_of_mole_percent,
    whitener_of,
)

FloatArray = NDArray[np.float64]

FILE = Path(__file__).with_name("coefficients.npz")
MODEL_NAME = "fitted to open data"
_BRAKED = 0.8
"""Part of the way down to what is possible from which on lower ends are held back (our choice)."""


@dataclass(frozen=True, eq=False)
class Values:
    """A property of n glasses, SI units: estimate and 90 % interval, each of shape (n,)."""

    value: FloatArray
    low: FloatArray
    high: FloatArray


def lower_end(value: FloatArray, half: FloatArray, least: FloatArray | float) -> FloatArray:
    """Lower end of intervals of these half widths that never falls below ``least``.

    It is ``value - half`` for four fifths of the way down and then levels off, smoothly. A value
    that is itself below ``least`` is its own lower end.
    """
    room = np.maximum(value - least, 0.0)
    result: FloatArray = value - half
    far = half > _BRAKED * room
    if far.any():
        part = half / np.maximum(room, 1e-12 * half)  # no division by nought
        part = _BRAKED + (1.0 - _BRAKED) * np.tanh((part - _BRAKED) / (1.0 - _BRAKED))
        braked = np.maximum(value - room * part, np.minimum(value, least))
        result = np.where(far, braked, result)
    return result


@dataclass(frozen=True, eq=False)
class Known:
    """What the model takes from the composition of n glasses.

    Attributes
    ----------
    features : ndarray, shape (n, M)
        Plain features.
    rarity : ndarray, shape (n,)
    edge : ndarray, shape (n, 3)
        Multiples of the variances beyond the edge of the data; 0 inside.
    """

    features: FloatArray
    rarity: FloatArray
    edge: FloatArray


@dataclass(frozen=True, eq=False)
class Property:
    """What the file says of one property; q numbers, k kinds of measurement.

    Attributes
    ----------
    beta : ndarray, shape (q, M)
        Coefficients of the plain features.
    samples : ndarray of float32, shape (M, S * q)
        Deviations of S equally likely coefficients from ``beta``; S runs slowest.
    between : ndarray, shape (q, q)
        Covariance of the numbers of one glass by one laboratory about the mean.
    strange : float
        By how many times ``between`` grows with the rarity of a glass.
    scatter : ndarray, shape (k,)
        Variance of single values.
    width : ndarray, shape (k,)
        Half width of the 90 % interval in standard deviations.
    level : ndarray
        Whatever else the form of the property needs.
    edge : ndarray, shape (3, q)
        Variances beyond the edge of the data, by
        :func:`core.glass.property_fit.extrapolation.edge_variances`.
    """

    beta: FloatArray
    samples: NDArray[np.float32]
    between: FloatArray
    strange: float
    scatter: FloatArray
    width: FloatArray
    level: FloatArray
    edge: FloatArray

    def estimate(self, known: Known) -> tuple[FloatArray, FloatArray]:
        """Numbers (n, q) and their covariance (n, q, q)."""
        phi = known.features
        numbers, length = len(self.beta), self.samples.shape[1]
        deviation = (phi.astype(np.float32) @ self.samples).reshape(len(phi), -1, numbers)
        covariance = (deviation.transpose(0, 2, 1) @ deviation).astype(np.float64)
        covariance *= numbers / length
        covariance += (1.0 + self.strange * known.rarity)[:, None, None] * self.between
        diagonal = np.arange(numbers)
        covariance[:, diagonal, diagonal] += known.edge @ self.edge
        return phi @ self.beta.T, covariance


@dataclass(frozen=True, eq=False)
class Model:
    """Everything in the file.

    Attributes
    ----------
    usual : tuple of ndarray, shapes (q,) and (q, q)
        Mean and covariance of the viscosity numbers over the glasses behind the model: all that
        is known of one whose analysis is not.
    """

    usual: tuple[FloatArray, FloatArray]
    space: FeatureSpace
    whitener: FloatArray
    domain: Domain
    properties: Mapping[str, Property]
    version: str

    def known(self, weight_percent: FloatArray) -> Known:
        """Of glasses from amounts by weight (n, 29).

        Raises
        ------
        GlassError
            If a row has nothing in it that the model knows.
        """
        if not (weight_percent.sum(axis=1) > 0.0).all():
            raise GlassError(
                "The model knows none of the oxides of this glass.", field="composition"
            )
        tens = tens_of_mole_percent(weight_percent)
        phi = plain_features(tens, self.space)
        lost = lost_share(locally_known(phi, self.whitener))
        distance = distance_beyond(weight_percent, tens, self.domain)
        return Known(phi, rarity_of(tens), edge_terms(distance, lost, self.space.reach))


@functools.cache
def model() -> Model:
    """Read the file, once."""
    version = hashlib.sha256(FILE.read_bytes()).hexdigest()[:8]
    with np.load(FILE) as stored:
        space = FeatureSpace(
            stored["mean"].astype(np.float64),
            stored["centres"].astype(np.float64),
            float(stored["reach"]),
        )
        names = [key.removesuffix(".beta") for key in stored.files if key.endswith(".beta")]
        properties = {}
        for name in names:
            samples = stored[f"{name}.samples"] * stored[f"{name}.scale"].astype(np.float64)
            beta = stored[f"{name}.beta"].astype(np.float64)
            plain = plain_coefficients(samples, space)
            properties[name] = Property(
                beta=plain_coefficients(beta, space),
                samples=plain.reshape(-1, plain.shape[-1]).T.astype(np.float32),
                between=stored[f"{name}.between"],
                strange=float(stored[f"{name}.strange"]),
                scatter=stored[f"{name}.scatter"],
                width=stored[f"{name}.width"],
                level=stored[f"{name}.level"],
                edge=edge_variances(beta, samples, space),
            )
        domain = Domain(
            most=stored["most"],
            least=float(stored["least"]),
            alkali=(float(stored["alkali"][0]), float(stored["alkali"][1])),
            reach=float(stored["furthest"]),
        )
        usual = (stored["usual.mean"], stored["usual.covariance"])
    return Model(usual, space, whitener_of(space), domain, properties, version)


def packed(
    name: str, beta: FloatArray, root: FloatArray, number: int
) -> dict[str, NDArray[np.generic]]:
    """Coefficients (q, M) and samples drawn by the root of their covariance, as stored."""
    generator = np.random.default_rng(20)
    drawn = (root @ generator.standard_normal((len(root), number))).T
    samples = drawn.reshape(number, *beta.shape)
    scale = np.maximum(np.abs(samples).max(axis=0), 1e-12) / 127.0
    return {
        f"{name}.beta": beta.astype(np.float32),
        f"{name}.samples": np.round(samples / scale).astype(np.int8),
        f"{name}.scale": scale.astype(np.float32),
    }
