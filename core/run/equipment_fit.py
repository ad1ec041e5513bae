"""What a fit found of a lehr or furnace at a time, kept to see its trend."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from core.errors import RunError
from core.melt.fitted import Fitted
from core.run.live_source import EquipmentKind


@dataclass(frozen=True)
class EquipmentFit:
    """Fitted parameters with their intervals.

    Attributes
    ----------
    equipment : str
        Name of the lehr or furnace.
    equipment_kind : EquipmentKind
    fitted_at : datetime
        Aware; the time the log belongs to, such as the end of its run.
    parameters : tuple of Fitted
    scatter : float or None
        Root mean square of log less fit [K].
    run_id : int or None
        Number of the run whose log was fitted.
    remarks : tuple of str
        What the log could not tell.

    Raises
    ------
    RunError
        Without equipment or parameters, or with a time without a zone.
    """

    equipment: str
    equipment_kind: EquipmentKind
    fitted_at: datetime
    parameters: tuple[Fitted, ...]
    scatter: float | None = None
    run_id: int | None = None
    remarks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.equipment.strip():
            raise RunError("The fit belongs to no lehr or furnace.", field="equipment")
        if self.fitted_at.tzinfo is None:
            raise RunError("The fit's time has no time zone.", field="fitted_at")
        if not self.parameters:
            raise RunError("Nothing was fitted.", field="parameters")
