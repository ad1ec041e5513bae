"""Walls and pot cut into nodes: heat content, temperature and conduction of all at once.

Nodes lie at both faces of every layer and between, so that the steady flow through a layered wall
is exact whatever the number of nodes: between two nodes there is one material, whose conductivity
enters with its mean over the range (:func:`core.melt.refractory.mean_conductivity`), and the
logarithmic mean of the areas, exact where the area grows linearly as in a cylinder.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.melt.melting_furnace import Layer, WallSection
from core.melt.pot_vessel import PotVessel

FloatArray = NDArray[np.float64]

_GRADING = 1.7
"""Each segment of a layer is so much thicker than the one on its hot side."""


@dataclass(frozen=True)
class _Stack:
    """Layers with the area at each depth: nodes and the segments between them."""

    lengths: list[float]
    areas: list[float]
    terms: list[tuple[float, float, float]]
    heat: list[tuple[float, float]]


def _log_mean(a: float, b: float) -> float:
    return a if math.isclose(a, b, rel_tol=1e-9) else (b - a) / math.log(b / a)


def _graded(thickness: float, count: int) -> list[float]:
    parts = [_GRADING**i for i in range(count)]
    return [thickness * part / sum(parts) for part in parts]


def _stack(
    layers: Sequence[Layer], counts: Sequence[int], area_in: float, area_out: float
) -> _Stack:
    total = math.fsum(layer.thickness for layer in layers)
    stack = _Stack([], [], [], [(0.0, 0.0)])
    depth = 0.0
    for layer, count in zip(layers, counts, strict=True):
        c0, c1 = layer.material.heat_capacity
        for length in _graded(layer.thickness, count):
            area = [
                area_in + (area_out - area_in) * d / total
                for d in (depth, depth + length / 2.0, depth + length)
            ]
            stack.lengths.append(length)
            stack.areas.append(_log_mean(area[0], area[2]))
            stack.terms.append(layer.material.conductivity_terms)
            for half, side in ((0, (area[0] + area[1]) / 2.0), (1, (area[1] + area[2]) / 2.0)):
                mass = layer.material.density * side * length / 2.0
                if half:
                    stack.heat.append((mass * c0, mass * c1))
                else:
                    before = stack.heat[-1]
                    stack.heat[-1] = (before[0] + mass * c0, before[1] + mass * c1)
            depth += length
    return stack


class WallNodes:
    """All nodes of the walls and the pot, one after the other.

    Parameters
    ----------
    sections : sequence of WallSection
    pot : PotVessel
    fineness : int
        Segments of the hottest layer; the others have two less.

    Attributes
    ----------
    heat0, heat1 : ndarray, shape (n,)
        Heat of a node above 0 °C [J] = heat0 t + heat1 t^2 / 2, t in °C.
    hot, cold : list of int
        Index of each section's inner and outer node.
    pot_outer, pot_inner : int
    """

    def __init__(self, sections: Sequence[WallSection], pot: PotVessel, fineness: int = 5) -> None:
        stacks = []
        for section in sections:
            counts = [fineness, *[max(1, fineness - 2)] * (len(section.layers) - 1)]
            stacks.append(_stack(section.layers, counts, section.area, section.outside))
        side = math.pi * (pot.depth + pot.base_thickness) * pot.top_diameter
        wall = [Layer(pot.material, pot.wall_thickness)]
        stacks.append(_stack(wall, [max(2, fineness - 2)], max(pot.outer_side, 0.05 * side), side))
        rest = (
            pot.mass
            - pot.material.density
            * pot.wall_thickness
            * (max(pot.outer_side, 0.05 * side) + side)
            / 2.0
        )
        self.hot: list[int] = []
        self.cold: list[int] = []
        heat: list[tuple[float, float]] = []
        over: list[float] = []
        terms: list[tuple[float, float, float]] = []
        for stack in stacks:
            self.hot.append(len(heat))
            heat += stack.heat
            self.cold.append(len(heat) - 1)
            over += [a / length for a, length in zip(stack.areas, stack.lengths, strict=True)]
            over.append(0.0)
            terms += [*stack.terms, (0.0, 0.0, 0.0)]
        self.pot_outer, self.pot_inner = self.hot.pop(), self.cold.pop()
        # What the side wall does not hold (floor, the built-in side) goes with the inner face.
        c0, c1 = pot.material.heat_capacity
        extra = max(0.0, rest)
        inner = heat[self.pot_inner]
        heat[self.pot_inner] = (inner[0] + extra * c0, inner[1] + extra * c1)
        self.heat0 = np.array([h[0] for h in heat])
        self.heat1 = np.array([h[1] for h in heat])
        self._over = np.array(over[:-1])
        k = np.array(terms[:-1])
        self._k0, self._k1, self._k2 = k[:, 0], k[:, 1], k[:, 2]

    def __len__(self) -> int:
        return len(self.heat0)

    def heat(self, celsius: FloatArray) -> FloatArray:
        """Heat content [J] above 0 °C, shape (n,)."""
        return celsius * (self.heat0 + 0.5 * self.heat1 * celsius)

    def celsius(self, heat: FloatArray) -> FloatArray:
        """Temperature [°C] at a heat content [J], shape (n,).

        Where a trial step takes out more heat than there can be, the coldest the formula has.
        """
        root = np.sqrt(np.maximum(self.heat0 * self.heat0 + 2.0 * self.heat1 * heat, 0.0))
        return np.asarray(2.0 * heat / (self.heat0 + root))

    def heat_capacity(self, celsius: FloatArray) -> FloatArray:
        """[J/K], shape (n,)."""
        return np.asarray(self.heat0 + self.heat1 * celsius)

    def gain(self, celsius: FloatArray) -> FloatArray:
        """Heat flow into each node from its neighbours [W], shape (n,)."""
        a, b = celsius[:-1], celsius[1:]
        mean = self._k0 + self._k1 * (0.5 * (a + b)) + self._k2 * ((a * a + a * b + b * b) / 3.0)
        flow = self._over * mean * (a - b)
        result = np.zeros_like(celsius)
        result[:-1] -= flow
        result[1:] += flow
        return result

    def gain_slopes(self, celsius: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Derivatives of each segment's flow by its hot and its cold node's temperature."""
        a, b = celsius[:-1], celsius[1:]
        mean = self._k0 + self._k1 * (0.5 * (a + b)) + self._k2 * ((a * a + a * b + b * b) / 3.0)
        by_a = 0.5 * self._k1 + self._k2 * (2.0 * a + b) / 3.0
        by_b = 0.5 * self._k1 + self._k2 * (a + 2.0 * b) / 3.0
        hot = self._over * (mean + by_a * (a - b))
        cold = self._over * (-mean + by_b * (a - b))
        return hot, cold
