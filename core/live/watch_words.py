"""An alarm in plain words: what is wrong, what to do, what to mind."""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.live.watch_types import Alarm, AlarmKind
from core.plan.words import rate_in_words, temperature_in_words
from core.units import UnitChoice, format_duration, interval_to

_HOT_GLASS = (
    "Do not open a hot lehr to look: a draught can crack the pieces. Gloves and eye protection "
    "before you go near."
)
_RUNAWAY = (
    "Fire: if the temperature keeps rising with the power called off, switch the lehr off at its "
    "isolator and keep clear. Contactors, wiring, gas and over-temperature protection are for "
    "licensed trades under your local codes; this program switches nothing."
)
_BLIND = (
    "Fire: a controller that sees a dead thermocouple may heat without end. Stay with the lehr or "
    "switch it off at its isolator until another thermometer tells its temperature."
)

_SHORT = 120.0
"""Told in seconds below this [s]."""


@dataclass(frozen=True)
class AlarmWords:
    """What an alarm says.

    Attributes
    ----------
    sentence : str
        What is wrong, with figures.
    advice : str
        What to do.
    caution : str
        What to mind; never empty, for all of it is about hot things.
    """

    sentence: str
    advice: str
    caution: str

    def __str__(self) -> str:
        return f"{self.sentence} {self.advice} {self.caution}"


def alarm_words(alarm: Alarm, units: UnitChoice) -> AlarmWords:
    """Put an alarm in words, its figures where it was worst."""
    match alarm.kind:
        case AlarmKind.TOO_HOT:
            return AlarmWords(
                _off_plan(alarm, units, "hotter"),
                "Read the controller: is it in tonight's program and in the right segment? If it "
                "calls for no power and the temperature still rises, the contactor may be stuck.",
                _RUNAWAY,
            )
        case AlarmKind.TOO_COLD:
            return AlarmWords(
                _off_plan(alarm, units, "colder"),
                "Look whether the door is shut, the power on and the program running. If the "
                "glass has cooled through its range too early, begin a new plan from the "
                "temperature it has now.",
                _HOT_GLASS,
            )
        case AlarmKind.TOO_FAST:
            return AlarmWords(
                f"It cools at {rate_in_words(alarm.worst, units)} near "
                f"{temperature_in_words(alarm.temperature, units)}; planned are "
                f"{rate_in_words(alarm.planned, units)}.",
                "Shut the door, vents and peep holes, and see that the elements are on. If it goes "
                "on, hold at the soak again and cool as planned.",
                _HOT_GLASS,
            )
        case AlarmKind.FLAT:
            return AlarmWords(
                f"The reading has stood at {temperature_in_words(alarm.temperature, units)} for "
                f"{_lasted(alarm.worst)} without moving.",
                "Look at the controller's own display: if it moves, the logger or its line hangs; "
                "if it stands too, the thermocouple or the controller does.",
                _BLIND,
            )
        case AlarmKind.BROKEN:
            return AlarmWords(
                _broken(alarm, units),
                "Look at the thermocouple, its plug and its wires, and read another thermometer.",
                _BLIND,
            )
        case AlarmKind.STALE:
            return AlarmWords(
                f"No reading has come for {_lasted(alarm.worst)}.",
                "Read the controller's display and type the temperature; then look at the logger, "
                "its cable and its power.",
                "What the lehr does meanwhile is not known. " + _HOT_GLASS,
            )


def _lasted(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < _SHORT else f"{format_duration(seconds)} (h:mm)"


def _off_plan(alarm: Alarm, units: UnitChoice, word: str) -> str:
    off = abs(interval_to(alarm.worst, units.temperature))
    return (
        f"{temperature_in_words(alarm.temperature, units)}: {off:.0f} {units.temperature.symbol} "
        f"{word} than planned ({temperature_in_words(alarm.planned, units)})."
    )


def _broken(alarm: Alarm, units: UnitChoice) -> str:
    if alarm.note:
        return alarm.note
    shown = (
        "The reading"
        if math.isnan(alarm.temperature)
        else f"A reading of {temperature_in_words(alarm.temperature, units)}"
    )
    if alarm.worst == 0.0:
        return f"{shown} is none of a lehr: the thermocouple is broken or not connected."
    jump = abs(interval_to(alarm.worst, units.temperature))
    return (
        f"The reading jumped by {jump:.0f} {units.temperature.symbol} at once, further than any "
        "lehr does."
    )
