"""What is said of a recording: how it stands, and how old its last reading is."""

from __future__ import annotations

from datetime import datetime, tzinfo

from app.local_time import clock_text, day_and_clock
from app.watch.watched_run import WatchedRun
from app.widgets.quantity import Quantity, format_quantity
from core.live.events import SignalKind
from core.live.watch_types import Alarm
from core.units import UnitChoice, format_duration
from core.verdict.warm_hand import HandWarm

_FRESH, _CLOCKS_APART = 120.0, 300.0
"""[s] A reading came so recently that its time should be about now; common practice, no source."""

NOT_RECORDED = (
    "Type readings, or let them come by themselves from the controller or a logger. Lehrkeeper "
    "only reads: it never writes to a device and never controls the lehr."
)


def last_reading(run: WatchedRun, units: UnitChoice) -> str:
    """The newest temperature, or a dash."""
    last = None if run.state is None else run.state.last
    return format_quantity(Quantity.TEMPERATURE, None if last is None else last.temperature, units)


def standing(run: WatchedRun, now: datetime, zone: tzinfo | None) -> str:
    """How a recording stands, in a sentence or two."""
    if run.problem is not None:
        return f"Not recorded: {run.problem}"
    state = run.state
    if state is None:
        return f"Waiting for “{run.source.name}”…"
    said = []
    last = state.last
    if last is not None:
        age = max(0, round((now - last.time).total_seconds()))
        aged = f"{age} s ago" if age < 120 else f"{format_duration(age)} (h:mm) ago"
        said.append(f"Last reading {clock_text(last.time, zone)}, {aged}.")
        said += _clocks(run, last.time, now)
    if state.signal.kind in {SignalKind.BROKEN, SignalKind.SILENT}:
        since = (
            f" since {clock_text(state.signal.since, zone)}"
            if state.signal.since is not None
            else ""
        )
        said.append(f"{state.signal.kind.value.capitalize()}{since}: {state.signal.sentence}")
    elif last is None:
        said.append(f"Waiting for “{run.source.name}”…")
    if state.waiting:
        said.append(
            f"{state.waiting} readings wait in memory to be stored ({state.trouble}); leave the "
            "program open."
        )
    if run.ending:
        said.insert(0, "Recording is being ended…")
    elif not run.recording:
        said.insert(0, "Recording has ended.")
    return " ".join(said)


def _clocks(run: WatchedRun, read: datetime, now: datetime) -> list[str]:
    """Say when a logger's clock is not the computer's: the plan is followed by the clock."""
    if run.arrived is None or (now - run.arrived).total_seconds() > _FRESH:
        return []
    behind = (run.arrived - read).total_seconds()
    if abs(behind) < _CLOCKS_APART:
        return []
    word = "behind" if behind > 0.0 else "ahead of"
    sentence = (
        f"Its clock is {format_duration(abs(behind))} (h:mm) {word} the computer's: set the wrong "
        "one right, or the alarms go by the wrong hours of the plan."
    )
    return [sentence]


def alarm_state(alarm: Alarm, now: datetime, zone: tzinfo | None, *, watched: bool = True) -> str:
    """Whether an alarm lasts, and whether somebody has heard it."""
    if alarm.cleared is not None:
        return f"over {day_and_clock(alarm.cleared, now=now, zone=zone)}"
    if not watched:
        return "lasted when recording ended"
    return "lasts" if alarm.heard is None else "lasts, heard"


def warm_words(warm: HandWarm, now: datetime, zone: tzinfo | None) -> str:
    """When the pieces will be hand-warm, with its bounds."""
    when = day_and_clock(warm.when, now=now, zone=zone)
    first = day_and_clock(warm.earliest, now=now, zone=zone)
    last = "no end known" if warm.latest is None else day_and_clock(warm.latest, now=now, zone=zone)
    return f"Hand-warm about {when} (between {first} and {last}). {warm.why}"
