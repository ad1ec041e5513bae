"""Properties other than viscosity: which columns they are fitted to and how those depend on p.

Each is linear in its numbers p: value = design . p, one row of the design for each kind
of measurement. What is fitted may be a transform of the measured value: density as the volume of
a mole, which adds up over the oxides far better than density does.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@dataclass(frozen=True)
class ValueForm:
    """One property.

    Attributes
    ----------
    name : str
    columns : tuple of str
        Of the open data, one for each kind of measurement.
    design : tuple of tuple of float
        Row of each kind, q numbers.
    start, scatter : float
        Typical value and typical scatter of what is fitted.
    prior : tuple of float
        Typical change by constant, linear, quadratic and local features.
    unit : float
        SI per unit of the column.
    most_shift : tuple of float
        Largest standard deviation, for each number, of what groups and glasses may be excused by
        (see ``MOST_SHIFT`` in :mod:`core.glass.property_fit.fitting`); empty for no limit.
    molar_volume : bool
        Fit molar mass over value.
    """

    name: str
    columns: tuple[str, ...]
    design: tuple[tuple[float, ...], ...]
    start: float
    scatter: float
    unit: float
    prior: tuple[float, float, float, float]
    most_shift: tuple[float, ...] = ()
    molar_volume: bool = False


VALUE_FORMS: tuple[ValueForm, ...] = (
    ValueForm(
        "expansion",
        # Means to 200 °C are left out: whole papers lie 20 to 35e-7 1/K from all others.
        ("CTE_20_100_1e7", "CTE_20_300_1e7", "CTE_20_400_1e7"),
        ((1.0, -2.0), (1.0, 0.0), (1.0, 1.0)),
        start=85.0,
        scatter=3.0,
        unit=1e-7,
        prior=(1e4, 20.0, 4.0, 3.0),
        most_shift=(1.0, 0.3),
    ),
    ValueForm(
        "density",
        ("density_20C_gcm3",),
        ((1.0,),),
        start=24.0,
        scatter=0.1,
        unit=1e3,
        prior=(1e4, 2.0, 0.3, 0.2),
        most_shift=(0.05,),
        molar_volume=True,
    ),
    ValueForm("youngs_modulus", ("young_GPa",), ((1.0,),), 72.0, 2.0, 1e9, (1e4, 8.0, 1.0, 2.0)),
    ValueForm(
        "poissons_ratio", ("poisson",), ((1.0,),), 0.22, 0.01, 1.0, (10.0, 0.02, 0.005, 0.01)
    ),
    ValueForm("refractive_index", ("nD",), ((1.0,),), 1.52, 0.003, 1.0, (10.0, 0.03, 0.003, 0.003)),
    ValueForm(
        *("liquidus", ("liquidus_C",), ((1.0,),), 1000.0, 25.0, 1.0, (1e5, 80.0, 20.0, 50.0)),
        most_shift=(8.0,),
    ),
)
VALUE_FORM: dict[str, ValueForm] = {form.name: form for form in VALUE_FORMS}


@dataclass(frozen=True, eq=False)
class LinearForm:
    """A :class:`ValueForm` as the fit calls it.

    Attributes
    ----------
    design : ndarray, shape (kinds, q)
    """

    design: FloatArray

    def __call__(self, kind: IntArray, p: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Values (n,) and their derivatives to p (n, q)."""
        slope = self.design[kind]
        return (slope * p).sum(axis=1), slope
