"""The published models we have, as a second opinion beside our own."""

from __future__ import annotations

from dataclasses import dataclass

from core.composition.composition import Composition
from core.errors import GlassError
from core.glass.fluegel_2007 import FLUEGEL_2007
from core.glass.lakatos_1976 import LAKATOS_1976
from core.glass.viscosity_model import ModelEvaluation, ViscosityModel

MODELS: tuple[ViscosityModel, ...] = (FLUEGEL_2007, LAKATOS_1976)
"""In the order they are shown: the first reaches the annealing range, the second does not."""


@dataclass(frozen=True)
class ModelAnswer:
    """A model and what it says of a composition.

    Attributes
    ----------
    model : ViscosityModel
    evaluation : ModelEvaluation or None
        ``None`` when it gives no physical curve; ``problem`` then says so.
    problem : str
        Empty when there is an evaluation.
    """

    model: ViscosityModel
    evaluation: ModelEvaluation | None
    problem: str = ""

    @property
    def in_range(self) -> bool:
        """True when there is a curve and every oxide is inside the published range."""
        return self.evaluation is not None and not self.evaluation.outside


def answers(composition: Composition) -> tuple[ModelAnswer, ...]:
    """Every model's answer for a composition, in the order of :data:`MODELS`."""
    result = []
    for model in MODELS:
        try:
            result.append(ModelAnswer(model, model.evaluate(composition)))
        except GlassError as error:
            result.append(ModelAnswer(model, None, error.message))
    return tuple(result)
