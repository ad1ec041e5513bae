"""Sentences for the segments before the soak of a casting."""

from __future__ import annotations

from core.piece.response import describe_length
from core.plan.casting import OPEN_NECK
from core.units import UnitChoice

MELTING_IN = "The glass is soft: as fast as the lehr heats."
PROCESS = "Until the cullet is one mass, as hot in the middle as outside."


def lump_reason(lump: float, by_mould: bool, units: UnitChoice) -> str:  # noqa: FBT001 -- one fact
    """What sets how fast cullet is heated."""
    if by_mould:
        return "The mould sets the pace: refractory moulds stand little more."
    return f"Lumps of {describe_length(lump, units.length)} stand no more while they are stiff."


def squeeze_reason(neck: float) -> str:
    """What the squeeze is for, and how far the lumps are closed by its end."""
    told = (
        "Lumps settle and the air between them gets out; by the end they have grown together over "
        f"{neck:.0%} of their radius."
    )
    if neck > OPEN_NECK:
        told += " That closes the gaps: a cooler or shorter squeeze traps less air."
    return told


def crash_reason(rate: str, *, by_lehr: bool) -> str:
    """What sets how fast a casting comes down to the soak."""
    if by_lehr:
        return f"Down to the soak as fast as the lehr still goes there by itself, {rate}."
    return f"Down to the soak at {rate}: faster would strain what is glass by then."
