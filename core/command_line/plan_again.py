"""``lehrkeeper plan LOAD --from-log LOG``: how a night goes on from what its log tells."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime, time, tzinfo
from typing import Any

from core.command_line.compare import checked_run
from core.command_line.plan import iso, plan_lines, to_json
from core.command_line.table import as_json
from core.command_line.terminal import faults_placed_in
from core.errors import LoadError
from core.load.load import Load
from core.load.local_time import instant, next_time, zone_named
from core.plan.plan import Plan
from core.units import UnitChoice, kelvin_from, kelvin_to
from core.verdict.repair import Repair, repair


def execute_again(arguments: argparse.Namespace, load: Load, plan: Plan, units: UnitChoice) -> str:
    """Read the log so far, draw up how the night goes on, and format."""
    zone = zone_named(load.timezone)
    arguments.log = arguments.from_log
    log = checked_run(arguments, load, plan)
    now = _moment(arguments.now, load, zone, float(log.readings.time[-1]))
    present = arguments.reading
    with faults_placed_in(arguments.from_log):
        found = repair(
            load,
            plan,
            log.readings,
            now,
            present=None if present is None else kelvin_from(present, units.temperature),
            units=units,
        )
    if arguments.json:
        return as_json(_as_json(found, zone))
    return _as_text(found, load, zone, units)


def _moment(text: str | None, load: Load, zone: tzinfo | None, last: float) -> datetime:
    """When the new program begins: as said, or at the last reading."""
    if text is None:
        return datetime.fromtimestamp(last, UTC)
    try:
        if len(text) <= len("23:59:59"):
            return next_time(time.fromisoformat(text), load.button_time, zone, "now")
        return instant(datetime.fromisoformat(text), zone, "now")
    except ValueError as error:
        raise LoadError(
            f"“{text}” is not a time.",
            field="now",
            remedy="Write --now 03:40, or --now 2026-11-25T03:40.",
        ) from error


def _as_json(found: Repair, zone: tzinfo | None) -> dict[str, Any]:
    return {
        "kind": found.kind.value,
        "why": found.why,
        "sound": found.sound,
        "coldest": None
        if found.coldest is None
        else {
            "likely_C": round(kelvin_to(found.coldest.likely), 1),
            "low_C": round(kelvin_to(found.coldest.low), 1),
            "high_C": round(kelvin_to(found.coldest.high), 1),
        },
        "plan": None if found.plan is None else to_json(found.plan, zone),
    }


def _as_text(found: Repair, load: Load, zone: tzinfo | None, units: UnitChoice) -> str:
    lines = [f"{found.kind.value.capitalize()}. {found.why}"]
    if found.coldest is not None:
        low, likely, high = (
            f"{kelvin_to(kelvin, units.temperature):.0f}"
            for kelvin in (found.coldest.low, found.coldest.likely, found.coldest.high)
        )
        lines.append(
            f"While nobody read it the lehr was about {likely} {units.temperature.symbol} at its "
            f"coldest, and between {low} and {high}."
        )
    if found.plan is None:
        return "\n".join(lines)
    lines.append(f"The new program begins {iso(found.plan.start, zone)}.")
    return "\n".join([*lines, "", *plan_lines(found.plan, load, zone, units, ())])
