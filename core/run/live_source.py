"""Where temperatures are read from while a run goes on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from core.errors import RunError

Setting = str | int | float | bool | None


class SourceKind(StrEnum):
    """How a source is read."""

    FILE = "file"
    """A logger's file that grows."""
    MODBUS_TCP = "modbus tcp"
    MODBUS_SERIAL = "modbus serial"


class EquipmentKind(StrEnum):
    """What a source or a fit belongs to."""

    LEHR = "lehr"
    FURNACE = "furnace"


def _no_settings() -> Mapping[str, Setting]:
    return MappingProxyType({})


@dataclass(frozen=True)
class LiveSource:
    """A source by the studio's name for it.

    Attributes
    ----------
    name : str
    equipment : str
        Name of the lehr or furnace it measures.
    kind : SourceKind
    settings : Mapping of str to str, int, float, bool or None
        What the reader of this kind needs: a path, an address, a register.
    equipment_kind : EquipmentKind

    Raises
    ------
    RunError
        Without a name or equipment.
    """

    name: str
    equipment: str
    kind: SourceKind
    settings: Mapping[str, Setting] = field(default_factory=_no_settings)
    equipment_kind: EquipmentKind = EquipmentKind.LEHR

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise RunError("The source has no name.", field="name", remedy="Give it one.")
        if not self.equipment.strip():
            raise RunError(
                "The source belongs to no lehr or furnace.",
                field="equipment",
                remedy="Choose what it measures.",
            )
        object.__setattr__(self, "settings", MappingProxyType(dict(self.settings)))
