"""Robust mixed-effects fit of a few smooth functions of composition to many measured values.

A property, or a family of properties that share their physics, is described by q numbers p(x) of
a glass (for viscosity: where the curve lies, how steep it is, how bent), and a known formula
turns p into each kind of measured value. Each number is a linear combination of M features of
composition with normal priors, p_k(x) = phi(x) . beta_k, so that the whole is a Gaussian process
with a polynomial and a local part. Between p(x) and what was measured stand

- a shift of p shared by everything one author group measured (covariance ``between_groups``;
  Student-t too: a laboratory whose whole series lies 100 K off must not bend the curve),
- a shift of p of the single glass (covariance ``between_glasses``): wrong analysis, melt history,
- the scatter of single values, one standard deviation for each kind of value.

The shift of a glass and its scatter are Student-t together (weights by iteration), so that odd
glasses lose influence. All variances, those of the priors included, are estimated from the data
by expectation-maximisation. With these, ten thousand values from one laboratory weigh little more
than its one bias allows, which is what matters for glasses of other laboratories.

Every row's values act on beta through a q x q matrix and a q vector only; that makes it fast.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_solve, cholesky
from scipy.linalg.blas import dsyrk
from scipy.linalg.lapack import dtrtri

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
Forward = Callable[[IntArray, FloatArray], tuple[FloatArray, FloatArray]]
"""(kind (n,), p (n, q)) -> value (n,), its derivatives to p (n, q)."""

GROUP_FREEDOM = 2.0
"""Degrees of freedom of the Student-t shift of an author group."""


@dataclass(frozen=True, eq=False)
class Measurements:
    """Values to fit to: n values on m glasses.

    Attributes
    ----------
    value, kind, row : ndarray, shape (n,)
        Value, index of its kind, index of its glass.
    weight : ndarray, shape (n,)
        Trust in the value, 1 for full (0.1 counts as ten times the variance).
    group : ndarray, shape (m,)
        Author group of each glass, from 0.
    features : ndarray, shape (m, M)
    """

    value: FloatArray
    kind: IntArray
    row: IntArray
    weight: FloatArray
    group: IntArray
    features: FloatArray


@dataclass(frozen=True, eq=False)
class Variances:
    """Everything the fit knows of scatter, squared units of the values or of p."""

    between_groups: FloatArray  # (q, q)
    between_glasses: FloatArray  # (q, q)
    scatter: FloatArray  # (kinds,)
    prior: FloatArray  # (q, blocks)


@dataclass(frozen=True)
class Robustness:
    """How far the fit trusts odd values and little-known oxides.

    Attributes
    ----------
    freedom : float
        Degrees of freedom of the Student-t shift and scatter of a glass.
    least_scatter : float
        No kind of value is taken to scatter less, in its own unit.
    most_shift : ndarray, shape (q,), optional
        Largest standard deviation of what groups and glasses may be excused by.
    tied : tuple of (int, int, float)
        The priors' standard deviation of block ``tied[0]`` stays below that of ``tied[1]`` times
        ``tied[2]``.
    """

    freedom: float
    tied: tuple[int, int, float]
    least_scatter: float = 0.0
    most_shift: FloatArray | None = None


@dataclass(frozen=True, eq=False)
class Fit:
    """What was fitted: beta (q, M), covariance of beta flattened (q M, q M), variances."""

    beta: FloatArray
    covariance_root: FloatArray  # upper L^-T with covariance = root root^T
    variances: Variances


def fit(  # noqa: PLR0915 - one step is one derivation, read from top to bottom
    data: Measurements,
    forward: Forward,
    start: FloatArray,
    variances: Variances,
    block: IntArray,
    robust: Robustness,
    *,
    iterations: int = 15,
    recentre: Callable[[Measurements, FloatArray], None] | None = None,
) -> Fit:
    """Fit by Gauss-Newton steps, each followed by an update of weights and variances.

    Parameters
    ----------
    start : ndarray, shape (q, M)
        Also the mean of the priors.
    variances : Variances
        To begin with.
    block : ndarray of int, shape (M,)
        Which prior each feature belongs to (constant, linear, quadratic, local).
    robust : Robustness
    """
    beta, q, m_features = start.copy(), start.shape[0], data.features.shape[1]
    groups = int(data.group.max()) + 1
    rows = data.features.shape[0]
    count = np.bincount(data.row, minlength=rows).astype(np.float64)
    group_shift, group_trust = np.zeros((groups, q)), np.ones(groups)
    root = np.eye(1)
    for _ in range(iterations):
        p = data.features @ beta.T
        fitted, slope = forward(data.kind, p[data.row])
        residual = data.value - fitted
        noise = variances.scatter[data.kind] / data.weight
        # What each glass says of p, were its values all there is: K^-1 and its product.
        if recentre is not None:
            recentre(data, residual)
            fitted, slope = forward(data.kind, p[data.row])
            residual = data.value - fitted
        k = _row_sum(slope[:, :, None] * slope[:, None, :] / noise[:, None, None], data.row, rows)
        s = _row_sum(slope * (residual / noise)[:, None], data.row, rows)
        plain = _row_sum((residual**2 / noise)[:, None], data.row, rows)[:, 0]
        glass_precision = np.linalg.inv(variances.between_glasses)
        inner = np.linalg.inv(k + glass_precision)
        # Residual with the group's shift taken off (to first order), and its size.
        shift = group_shift[data.group]
        s_own = s - np.einsum("rab,rb->ra", k, shift)
        plain_own = (
            plain - 2 * np.einsum("ra,ra->r", s, shift) + np.einsum("ra,rab,rb->r", shift, k, shift)
        )
        size = np.maximum(plain_own - np.einsum("ra,rab,rb->r", s_own, inner, s_own), 0.0)
        trust = (robust.freedom + count) / (robust.freedom + size)
        # u = J' V^-1 J and t = J' V^-1 r with V = scatter + glass, both divided by trust.
        u = trust[:, None, None] * (k - k @ inner @ k)
        t = trust[:, None] * (s - np.einsum("rab,rbc,rc->ra", k, inner, s))
        # Right side for beta itself: r + J p.
        t_full = t + np.einsum("rab,rb->ra", u, p)
        u_group = _row_sum(u, data.group, groups)
        group_precision = np.linalg.inv(variances.between_groups)
        pull = np.multiply.outer(group_trust, group_precision)
        group_inner = np.linalg.inv(u_group + pull)
        gram = _gram(data.features, u)
        right = t_full.T @ data.features
        across = np.empty((q, groups, q, m_features))  # sum over a group of u[a, b] phi
        for a in range(q):
            for b in range(a, q):
                weighted = data.features * u[:, a, b][:, None]
                across[a, :, b] = across[b, :, a] = _row_sum(weighted, data.group, groups)
        t_group = _row_sum(t_full, data.group, groups)
        half = np.linalg.cholesky(group_inner)  # (groups, q, q)
        flat = across.transpose(1, 0, 2, 3).reshape(groups, q, q * m_features)
        reduced = np.einsum("gab,gaf->gbf", half, flat).reshape(groups * q, q * m_features)
        reduced_t = np.einsum("gab,ga->gb", half, t_group).reshape(groups * q)
        precision = gram.reshape(q * m_features, -1) - _square(reduced)
        belief = 1.0 / variances.prior[:, block]
        precision[np.diag_indices_from(precision)] += belief.reshape(-1)
        factor = cholesky(precision, lower=True)
        rhs = (right + belief * start).reshape(-1) - reduced.T @ reduced_t
        new = cho_solve((factor, True), rhs).reshape(q, m_features)
        root = dtrtri(factor, lower=1)[0].T
        # Shifts of groups and glasses given the new beta, with their spread.
        change = data.features @ (new - beta).T
        t_new = t - np.einsum("rab,rb->ra", u, change)
        group_shift = np.einsum("gab,gb->ga", group_inner, _row_sum(t_new, data.group, groups))
        far = np.einsum("ga,ab,gb->g", group_shift, group_precision, group_shift)
        group_trust = (GROUP_FREEDOM + q) / (GROUP_FREEDOM + far)
        s_new = s - np.einsum("rab,rb->ra", k, change + group_shift[data.group])
        glass_shift = np.einsum("rab,rb->ra", inner, s_new)
        variances = _updated(
            data,
            variances,
            slope,
            residual,
            change + group_shift[data.group],
            group_shift,
            group_inner,
            group_trust,
            glass_shift,
            inner,
            trust,
            new - start,
            root,
            block,
        )
        _limit(variances, robust)
        beta = new
    return Fit(beta, root, variances)


def _limit(variances: Variances, robust: Robustness) -> None:
    """Keep variances within the limits, in place."""
    np.maximum(variances.scatter, robust.least_scatter**2, out=variances.scatter)
    own, other, part = robust.tied
    prior = variances.prior
    prior[:, own] = np.minimum(prior[:, own], part**2 * prior[:, other])
    if robust.most_shift is not None:
        for shared in (variances.between_groups, variances.between_glasses):
            f = np.minimum(1.0, robust.most_shift / np.sqrt(np.diag(shared)))
            np.multiply(shared, f[:, None] * f, out=shared)


def _square(matrix: FloatArray) -> FloatArray:
    """Product of the transpose of a matrix with itself, for half of the work."""
    upper = dsyrk(1.0, np.ascontiguousarray(matrix).T)
    result: FloatArray = upper + np.triu(upper, 1).T
    return result


def _gram(features: FloatArray, u: FloatArray) -> FloatArray:
    """Sum over rows of u[a, b] phi phi^T, shape (q, M, q, M); u (n, q, q) positive definite.

    Off the diagonal from the weights t^2 u[a, a] + u[b, b]/t^2 + 2 u[a, b], which are positive.
    """
    q, m_features = u.shape[1], features.shape[1]
    gram = np.empty((q, m_features, q, m_features))
    for a in range(q):
        gram[a, :, a] = _square(features * np.sqrt(np.maximum(u[:, a, a], 0.0))[:, None])
    for a in range(q):
        for b in range(a + 1, q):
            balance = float(np.sqrt(u[:, b, b].sum() / u[:, a, a].sum()))
            weight = balance * u[:, a, a] + u[:, b, b] / balance + 2.0 * u[:, a, b]
            both = _square(features * np.sqrt(np.maximum(weight, 0.0))[:, None])
            both -= balance * gram[a, :, a] + gram[b, :, b] / balance
            gram[a, :, b] = gram[b, :, a] = 0.5 * both
    return gram


def _row_sum(values: FloatArray, row: IntArray, rows: int) -> FloatArray:
    order = np.argsort(row, kind="stable")
    bounds = np.searchsorted(row[order], np.arange(rows))
    padded = np.concatenate([values[order], np.zeros_like(values[:1])])
    total = np.add.reduceat(padded, bounds, axis=0)
    total[np.bincount(row, minlength=rows) == 0] = 0.0
    return total


def _updated(
    data: Measurements,
    variances: Variances,
    slope: FloatArray,
    residual: FloatArray,
    moved: FloatArray,
    group_shift: FloatArray,
    group_inner: FloatArray,
    group_trust: FloatArray,
    glass_shift: FloatArray,
    inner: FloatArray,
    trust: FloatArray,
    departure: FloatArray,
    root: FloatArray,
    block: IntArray,
) -> Variances:
    q = departure.shape[0]
    spread_of_groups = np.einsum("g,gab->ab", group_trust, group_inner)
    between_groups = (group_shift.T * group_trust) @ group_shift + spread_of_groups
    between_groups /= len(group_shift)
    weighted = glass_shift * np.sqrt(trust)[:, None]
    between_glasses = (weighted.T @ weighted + inner.sum(axis=0)) / len(glass_shift)
    left = residual - np.einsum("na,na->n", slope, moved[data.row] + glass_shift[data.row])
    spread = np.einsum("na,nab,nb->n", slope, inner[data.row], slope)
    square = data.weight * (trust[data.row] * left**2 + spread)
    kinds = len(variances.scatter)
    number = np.bincount(data.kind, minlength=kinds)
    total = np.bincount(data.kind, weights=square, minlength=kinds)
    # A weak belief in the value before keeps rare kinds sane.
    scatter = (total + 5.0 * variances.scatter) / (number + 5.0)
    variance = (root**2).sum(axis=1).reshape(q, -1)
    prior = np.empty_like(variances.prior)
    for b in range(prior.shape[1]):
        chosen = block == b
        prior[:, b] = (departure[:, chosen] ** 2 + variance[:, chosen]).mean(axis=1)
    prior[:, 0] = variances.prior[:, 0]
    return Variances(between_groups, between_glasses, scatter, prior)
