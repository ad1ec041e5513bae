"""The small interface behind which published viscosity models stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from core.composition.composition import Composition
from core.errors import GlassError
from core.glass.fixed_points import FIXED_POINTS, FixedPoint
from core.glass.viscosity_curve import VftCurve, ViscosityCurve
from core.units import ZERO_CELSIUS

TRACE_MOLE_PERCENT = 0.3
"""Up to this much of any oxide passes as a trace that no model need know [mol%] (our choice:
0.3 mol% of the strongest oxides moves the annealing point by less than the models' errors)."""

COLDEST_STRAIN_POINT = 100.0 + ZERO_CELSIUS
HOTTEST_MELTING_POINT = 2600.0 + ZERO_CELSIUS
"""[K] A curve beyond these is nonsense, whatever formula gave it (our choice: below the strain
point of any oxide glass a studio could handle, above the melting temperature of pure silica)."""
SHORTEST_CURVE = 300.0
"""[K] From strain point to melting temperature; less is nonsense too (our choice: under half of the
least in the open data, 660 K among 174 glasses)."""


@dataclass(frozen=True)
class ModelEvaluation:
    """What a model says of one composition.

    Attributes
    ----------
    curve : VftCurve
        Valid inside the model's ``fitted_log_viscosity``; beyond that it extrapolates.
    outside : tuple of str
        A plain sentence for each oxide outside the model's published range; empty when in range.
    ignored : tuple of str
        Oxides in the glass that the model has no term for.
    """

    curve: VftCurve
    outside: tuple[str, ...]
    ignored: tuple[str, ...]


class ViscosityModel(Protocol):
    """A published viscosity-from-composition model."""

    @property
    def name(self) -> str:
        """Author and year."""

    @property
    def source(self) -> str:
        """Full citation."""

    @property
    def stated_error(self) -> float:
        """The model's own standard error [K]."""

    @property
    def fitted_log_viscosity(self) -> tuple[float, float]:
        """Lowest and highest log10(viscosity / Pa s) the model was fitted to."""

    def evaluate(self, composition: Composition) -> ModelEvaluation:
        """Viscosity curve of a composition and how far the model may be trusted with it.

        Raises
        ------
        GlassError
            If the model gives no physical curve for this composition.
        """


def extrapolated_points(model: ViscosityModel) -> tuple[FixedPoint, ...]:
    """List the fixed points that lie beyond the viscosities the model was fitted to."""
    low, high = model.fitted_log_viscosity
    return tuple(p for p in FIXED_POINTS if not low <= p.log_viscosity <= high)


def recast(
    mole_percent: Mapping[str, float], rules: Mapping[str, tuple[str, float]]
) -> dict[str, float]:
    """Rewrite oxides as the ones a model counts, and bring the total back to 100 mol%.

    Parameters
    ----------
    mole_percent : Mapping of str to float
        [mol%].
    rules : Mapping of str to (str, float)
        Oxide -> (counted as, moles of that per mole), e.g. ``{"FeO": ("Fe2O3", 0.5)}``.
    """
    counted: dict[str, float] = {}
    for oxide, mole in mole_percent.items():
        target, per_mole = rules.get(oxide, (oxide, 1.0))
        counted[target] = counted.get(target, 0.0) + mole * per_mole
    total = sum(counted.values())
    return {oxide: 100.0 * mole / total for oxide, mole in counted.items()}


def require_physical(curve: ViscosityCurve, model: str) -> None:
    """Refuse a curve no glass has.

    Raises
    ------
    GlassError
        If the strain point lies below 100 °C, the melting temperature above 2600 °C or within
        300 °C of it, or the curve does not reach one of the fixed points.
    """
    try:
        cold = curve.temperature(FIXED_POINTS[0].log_viscosity)
        hot = curve.temperature(FIXED_POINTS[-1].log_viscosity)
    except GlassError as error:
        raise cannot_evaluate(model) from error
    if not is_physical(cold, hot):
        raise cannot_evaluate(model)


def is_physical(strain_point: float, melting_point: float) -> bool:
    """Tell whether a glass may have these strain and melting temperatures [K]."""
    return (
        strain_point >= COLDEST_STRAIN_POINT
        and melting_point <= HOTTEST_MELTING_POINT
        and melting_point - strain_point >= SHORTEST_CURVE
    )


def cannot_evaluate(model: str) -> GlassError:
    """Make the error of a model that gives no physical curve for a composition."""
    return GlassError(
        f"{model} gives no physical viscosity curve for this analysis; it lies too far from the "
        "glasses the model was made for.",
        field="composition",
    )


def outside_sentence(oxide: str, amount: float, unit: str, limit: float) -> str:
    """Sentence on an oxide beyond a limit, e.g. ``K2O 17.2 wt% is above the 8.7 wt% ...``."""
    side = "above" if amount > limit else "below"
    shown = f"{amount:.3g}"
    if shown == f"{limit:.3g}":  # two equal figures would read as nonsense
        shown = f"{amount:.3f}"
    return f"{oxide} {shown} {unit} is {side} the {limit:g} {unit} this model was fitted to."


def unknown_sentence(oxide: str, amount: float, unit: str) -> str:
    """Sentence on an oxide the model knows nothing of but the glass has much of."""
    return f"{oxide} {amount:.3g} {unit} is not among the oxides this model was fitted to."
