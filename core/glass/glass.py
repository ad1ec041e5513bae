"""The glass as entered, and its properties as computed: the two types the rest is built on."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from core.composition.composition import Composition
from core.errors import GlassError
from core.glass.property_fit.domain import DomainStatement


@dataclass(frozen=True)
class Estimate:
    """A number with its honest uncertainty and where it comes from.

    Attributes
    ----------
    value : float
        SI value (kelvin for temperatures).
    source : str
        Model, standard or supplier's sheet behind the number.
    low, high : float or None
        The true value lies between them nine times in ten; ``None`` where nothing can be said.
    measured : bool
        True when a measured value was given for this very glass.
    """

    value: float
    source: str
    low: float | None = None
    high: float | None = None
    measured: bool = False

    @classmethod
    def around(cls, value: float, half_width: float, source: str) -> Estimate:
        """Make an estimate whose interval reaches as far up as down."""
        return cls(value, source, value - half_width, value + half_width)

    @property
    def plus_minus(self) -> float | None:
        """Half width of the interval, in the unit of the value; ``None`` where there is none."""
        if self.low is None or self.high is None:
            return None
        return 0.5 * (self.high - self.low)


@dataclass(frozen=True)
class MeasuredViscosity:
    """A viscosity measured at a temperature: a trial of the studio's own, or a line of a sheet.

    Attributes
    ----------
    log_viscosity : float
        log10(viscosity / Pa s).
    temperature : float
        [K].
    temperature_error : float
        Standard error of the temperature [K].
    log_error : float
        Standard error of ``log_viscosity``.
    source : str
        What was done, as in ``"fibre test"``.
    """

    log_viscosity: float
    temperature: float
    temperature_error: float = 5.0
    log_error: float = 0.0
    source: str = "measured viscosity"

    def standard_error(self, kelvin_per_decade: float) -> float:
        """Error of both together, as a temperature [K], for a glass of this steepness."""
        return math.hypot(self.temperature_error, kelvin_per_decade * self.log_error)


@dataclass(frozen=True)
class MeasuredPoints:
    """Values from a supplier's sheet or the studio's own trial; they win over computed ones.

    Attributes
    ----------
    strain_point, annealing_point, softening_point, working_point, melting_point : float or None
        [K], at log10(viscosity / Pa s) = 13.5, 12.0, 6.6, 3.0 and 1.0.
    expansion : float or None
        Mean linear expansion 20-300 °C [1/K].
    density : float or None
        At 20 °C [kg/m3].
    youngs_modulus : float or None
        [Pa].
    source : str
        The sheet, or how it was measured.
    viscosities : tuple of MeasuredViscosity
        Other viscosities, such as trials give.
    strain_point_error, ..., youngs_modulus_error : float or None
        Standard error of the value of that name, in its unit; ``None`` takes
        :data:`core.glass.measured_points.STANDARD_ERROR`.
    """

    strain_point: float | None = None
    annealing_point: float | None = None
    softening_point: float | None = None
    working_point: float | None = None
    melting_point: float | None = None
    expansion: float | None = None
    density: float | None = None
    youngs_modulus: float | None = None
    source: str = ""
    viscosities: tuple[MeasuredViscosity, ...] = ()
    strain_point_error: float | None = None
    annealing_point_error: float | None = None
    softening_point_error: float | None = None
    working_point_error: float | None = None
    melting_point_error: float | None = None
    expansion_error: float | None = None
    density_error: float | None = None
    youngs_modulus_error: float | None = None

    @property
    def is_empty(self) -> bool:
        """True when nothing was measured."""
        return not self.viscosities and all(
            getattr(self, f.name) is None
            for f in fields(self)
            if f.name not in {"source", "viscosities"} and not f.name.endswith("_error")
        )


@dataclass(frozen=True)
class Glass:
    """A glass as somebody entered it: an analysis, measured points, or both.

    Raises
    ------
    GlassError
        If there is neither an analysis nor a measured annealing and strain point.
    """

    name: str
    composition: Composition | None = None
    measured: MeasuredPoints = MeasuredPoints()
    note: str = ""
    source: str = ""

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise GlassError("The glass has no name.", field="name", remedy="Give it one.")
        if self.composition is None and (
            self.measured.annealing_point is None or self.measured.strain_point is None
        ):
            raise GlassError(
                f"“{self.name}” has neither an analysis nor measured annealing and strain points.",
                field="composition",
                remedy="Enter its oxides, or both points from the supplier's sheet.",
            )


@dataclass(frozen=True)
class ModelPrediction:
    """What one published viscosity model says of a composition, for showing beside the others.

    Attributes
    ----------
    model : str
        Author and year.
    strain_point, annealing_point, softening_point, working_point, melting_point : float
        [K] from the model's VFT curve.
    in_range : bool
        True when every oxide lies inside the model's published range.
    outside : tuple of str
        One plain sentence for each oxide outside, saying by how much.
    extrapolated : tuple of str
        Names of the points that lie beyond the viscosities the model was fitted to.
    stated_error : float
        The model's own standard error [K].
    disagrees : tuple of str
        Names of the points, among those it was fitted to, that lie outside our interval.
    verdict : str
        Agreement or disagreement in a sentence; empty when there was nothing to compare.
    ignored : tuple of str
        Oxides of the glass that the model has no term for.
    """

    model: str
    strain_point: float
    annealing_point: float
    softening_point: float
    working_point: float
    melting_point: float
    in_range: bool
    outside: tuple[str, ...]
    extrapolated: tuple[str, ...]
    stated_error: float
    disagrees: tuple[str, ...] = ()
    verdict: str = ""
    ignored: tuple[str, ...] = ()


@dataclass(frozen=True)
class PropertyOpinion:
    """What published factors say of a property other than viscosity.

    Attributes
    ----------
    key : str
        Attribute of :class:`GlassProperties`, e.g. ``"expansion"``.
    estimate : Estimate
        With the error of the factors.
    agrees : bool
        True when the two differ by no more than both their errors together allow.
    """

    key: str
    estimate: Estimate
    agrees: bool


@dataclass(frozen=True)
class GlassProperties:
    """Everything the later steps need to know of a glass; SI units.

    What cannot be known without an analysis is ``None``: nothing is invented.

    Attributes
    ----------
    strain_point, annealing_point, softening_point, working_point, melting_point : Estimate
        [K].
    expansion : Estimate
        Mean linear expansion 20-300 °C [1/K].
    density : Estimate
        [kg/m3] at 20 °C.
    youngs_modulus : Estimate
        [Pa].
    poissons_ratio : Estimate
        [-].
    stress_optical_coefficient : Estimate
        [1/Pa].
    heat_capacity_terms : tuple of float
        ``(a, c0)`` of the mean heat capacity from 0 °C, see :mod:`core.glass.heat`.
    conductivity_terms : tuple of float
        ``(k0, slope)``: conductivity [W/(m K)] = k0 + slope * (T - 273.15).
    models : tuple of ModelPrediction
        The published viscosity models as a second opinion.
    warnings : tuple of str
        Plain sentences a user must see before annealing this glass.
    glass_transition : Estimate or None
        Dilatometric glass transition [K] (ISO 7884-8).
    temperature_log2 : Estimate or None
        [K] at 10^2 Pa s.
    refractive_index : Estimate or None
        At the sodium D line, 20 °C [-].
    liquidus : Estimate or None
        [K]; below it crystals can grow.
    domain : DomainStatement or None
        Whether glasses like this one are behind the model; ``None`` without an analysis.
    notes : tuple of str
        What somebody who works or melts this glass should know besides.
    opinions : tuple of PropertyOpinion
        Published factors for the other properties as a second opinion.
    model_versions : tuple of (str, str)
        Name and version of each model behind the numbers.
    """

    name: str
    strain_point: Estimate
    annealing_point: Estimate
    softening_point: Estimate | None
    working_point: Estimate | None
    melting_point: Estimate | None
    expansion: Estimate
    density: Estimate
    youngs_modulus: Estimate
    poissons_ratio: Estimate
    stress_optical_coefficient: Estimate
    heat_capacity_terms: tuple[float, float]
    conductivity_terms: tuple[float, float]
    models: tuple[ModelPrediction, ...] = ()
    warnings: tuple[str, ...] = ()
    glass_transition: Estimate | None = None
    temperature_log2: Estimate | None = None
    refractive_index: Estimate | None = None
    liquidus: Estimate | None = None
    domain: DomainStatement | None = None
    notes: tuple[str, ...] = ()
    opinions: tuple[PropertyOpinion, ...] = ()
    model_versions: tuple[tuple[str, str], ...] = ()
