"""Holding the lehr through the working day: how hot, and how long the last piece needs."""

from __future__ import annotations

from dataclasses import dataclass

from core.load.load import Load
from core.plan import words
from core.plan.corners import ALL, Corner, Margins, glasses_at
from core.plan.planner import setting_for
from core.plan.rounding import whole_reading_down
from core.plan.slumping import slump, softest_hold
from core.plan.soak import release_time, soak_time
from core.units import UnitChoice, format_duration

WORKING_DAY = 9 * 3600.0
"""[s] a day's pieces wait at most; common practice, no source."""


@dataclass(frozen=True)
class DayHold:
    """How to hold the lehr while pieces go in one by one.

    Attributes
    ----------
    temperature : float
        Controller reading [K].
    wait : float
        Time [s] from when the last piece goes in until it is even with the lehr: the button may be
        pressed then, and the soak of the program does the rest.
    wait_without_soak : float
        The same where the program begins with the cooling: stress has to go first as well.
    piece : str
        The slowest.
    gives : str
        The piece that gives most under its own weight by the evening.
    distance : float
        How far [m].
    said : tuple of str
        All this in sentences.
    """

    temperature: float
    wait: float
    wait_without_soak: float
    piece: str
    gives: str
    distance: float
    said: tuple[str, ...]


def day_hold(
    load: Load,
    units: UnitChoice | None = None,
    duration: float = WORKING_DAY,
    margins: Margins = ALL,
) -> DayHold:
    """How hot to hold the lehr through the working day for a load.

    As hot as tonight's soak, so that nothing is lost in the evening, unless some piece would give
    visibly under its own weight by then, were its glass as soft as it may be; never below the
    highest strain point, where pieces straight from the pipe would crack.

    Parameters
    ----------
    load : Load
    units : UnitChoice, optional
        Of the sentences.
    duration : float
        How long the first piece waits [s].
    margins : Margins

    Raises
    ------
    PlanError
        If the lehr does not reach the soak.
    """
    units = units or UnitChoice()
    setting = setting_for(load, units, margins)
    responses = setting.night.responses
    properties = {r.piece.glass: r.properties for r in responses}
    softest = glasses_at(load, properties, margins, Corner.SOFT)
    highest = setting.night.soak
    wanted = softest_hold(load.pieces, softest, duration, highest)
    stiffest = max(r.properties.strain_point.value for r in responses)
    held = whole_reading_down(max(wanted, stiffest), load.lehr)
    soak = soak_time(responses, held)
    piece = responses[soak.index].piece.name
    gives = max(
        (slump(p, g, held, duration) for p, g in zip(load.pieces, softest, strict=True)),
        key=lambda s: s.distance,
    )
    release = release_time(setting.stiff, held)
    reading = setting.night.reading(held)
    last = (
        f"After the last piece wait {format_duration(soak.heat_through)}: “{piece}” takes that "
        "long to come to the lehr's temperature."
    )
    said = [f"Hold {words.temperature_in_words(reading, units)} through the day.", last]
    if held < highest - 1.0:
        said.append(
            f"That is below tonight's soak of "
            f"{words.temperature_in_words(setting.night.reading(highest), units)}: at the soak "
            f"“{gives.piece}” would give visibly under its own weight by the evening."
        )
    if gives.visible:
        said.append(
            f"Even so “{gives.piece}” may give {gives.distance * 1000:.1f} mm over "
            f"{gives.length * 1000:.0f} mm by the evening: anneal it on a day of its own."
        )
    return DayHold(
        reading,
        soak.heat_through,
        soak.heat_through + release,
        piece,
        gives.piece,
        gives.distance,
        tuple(said),
    )
