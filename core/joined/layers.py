"""Flat layers: one on another, or one on both faces of a sheet.

Away from the edges each layer's strain is e0 + k z, the same for both, and its stress

    s_i(z) = M_i (e0 + k z - e_i),   M = E/(1 - nu)  (a sheet strains all ways alike),

e_i being the layer's free strain. No force and, if it may bend, no moment is left:

    integral of s dz = 0,    integral of s z dz = 0.

Held flat (a closed vessel's wall cannot bend; or a sheet cased on both faces alike, which does not
want to) k = 0 and the stresses are even:

    s1 = M1 M2 h2 d/(M1 h1 + M2 h2),    s2 = -s1 h1/h2,

d being the strain by which layer 1 would shrink more than layer 2. Free to bend it is the bimetal
of Timoshenko S. 1925, J. Opt. Soc. Am. 11, 233 (there with E for a narrow strip), and for a thin
layer the curvature of Stoney G.G. 1909, Proc. R. Soc. A 82, 172: k = 6 s h2/(M1 h1^2). Valid for
bending that stays small beside the thickness. Tension positive. Near edges the stress is higher.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.errors import PieceError
from core.joined.elastic_pair import Direction, Elastic, PairStress, Stress


@dataclass(frozen=True)
class Layers:
    """A base with a layer on it.

    Attributes
    ----------
    base, layer : float
        Thickness of the base and of each layer [m].
    both_faces : bool
        True when the layer is on both faces of the base.
    free_to_bend : bool
        False for the wall of a closed vessel; a sheet cased on both faces stays flat anyway.

    Raises
    ------
    PieceError
        If a thickness is not positive; ``field`` names it.
    """

    base: float
    layer: float
    both_faces: bool = False
    free_to_bend: bool = True

    def __post_init__(self) -> None:
        for field in ("base", "layer"):
            thickness = getattr(self, field)
            if not (math.isfinite(thickness) and thickness > 0):
                raise PieceError(
                    f"The {field}'s thickness of {thickness * 1000:g} mm must be more than 0.",
                    field=field,
                )

    @property
    def bends(self) -> bool:
        """True when the joint takes up a curvature."""
        return self.free_to_bend and not self.both_faces


@dataclass(frozen=True)
class LayerState:
    """How two layers lie: stress at their faces [Pa] and curvature [1/m].

    ``base`` and ``layer`` are (outer face, join).
    """

    base: tuple[float, float]
    layer: tuple[float, float]
    curvature: float


def layer_state(
    base_modulus: float, layer_modulus: float, shape: Layers, misfit: float
) -> LayerState:
    """Stress at the faces and curvature of two layers.

    Parameters
    ----------
    base_modulus, layer_modulus : float
        Plane modulus [Pa]: E/(1 - nu) for a sheet, E for a narrow strip.
    shape : Layers
    misfit : float
        Strain by which the layer would shrink more than the base [-]; small.
    """
    h1, h2 = shape.base, shape.layer * (2.0 if shape.both_faces else 1.0)
    stiff1, stiff2 = base_modulus * h1, layer_modulus * h2
    # Strains are counted from the base's free length; the layer's free strain is then -misfit.
    if not shape.bends:
        strain = -stiff2 * misfit / (stiff1 + stiff2)
        base, layer = base_modulus * strain, layer_modulus * (strain + misfit)
        return LayerState((base, base), (layer, layer), 0.0)
    # z from the join, the layer above: base -h1..0, layer 0..h2. First and second moments:
    first = 0.5 * (stiff2 * h2 - stiff1 * h1)
    second = (stiff1 * h1**2 + stiff2 * h2**2) / 3.0
    total = stiff1 + stiff2
    force, moment = -stiff2 * misfit, -0.5 * stiff2 * h2 * misfit
    determinant = total * second - first**2
    strain = (force * second - moment * first) / determinant
    bend = (total * moment - first * force) / determinant
    return LayerState(
        (base_modulus * (strain - bend * h1), base_modulus * strain),
        (layer_modulus * (strain + bend * h2 + misfit), layer_modulus * (strain + misfit)),
        -bend,
    )


def layer_stress(base: Elastic, layer: Elastic, shape: Layers, misfit: float) -> PairStress:
    """Stress of base (core) and layer (casing) where it is largest; see the module docstring."""
    state = layer_state(base.biaxial_modulus, layer.biaxial_modulus, shape, misfit)
    if not shape.bends:
        return PairStress(
            core=(Stress(state.base[1], Direction.IN_PLANE, "throughout"),),
            casing=(Stress(state.layer[1], Direction.IN_PLANE, "throughout"),),
        )
    plane = Direction.IN_PLANE
    return PairStress(
        core=(
            Stress(state.base[1], plane, "at the join"),
            Stress(state.base[0], plane, "on the free face"),
        ),
        casing=(
            Stress(state.layer[1], plane, "at the join"),
            Stress(state.layer[0], plane, "on the free face"),
        ),
        curvature=state.curvature,
    )
