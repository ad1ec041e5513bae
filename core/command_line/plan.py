"""``lehrkeeper plan``: tonight's curve for a load file."""

from __future__ import annotations

import argparse
from datetime import datetime, tzinfo
from pathlib import Path
from typing import Any

from core.command_line.table import as_json, columns
from core.command_line.terminal import faults_placed_in
from core.equipment.lehr import Lehr
from core.load.load import Load
from core.load.load_file import read_load
from core.load.local_time import zone_named
from core.plan.plan import Plan, Segment, SegmentKind
from core.plan.planner import make_plan
from core.plan.program import program_in_words
from core.plan.words import CAUTIONS, verdict_sentence
from core.units import (
    SECONDS_PER_MINUTE,
    TemperatureUnit,
    UnitChoice,
    format_duration,
    kelvin_to,
    rate_to,
)


def add_arguments(commands: Any) -> None:
    """Add the command to the parser's commands."""
    parser: argparse.ArgumentParser = commands.add_parser(
        "plan",
        help="tonight's curve for a load file",
        description="Draw up the anneal curve for a load: segments, clock times, and which piece "
        "decides each.",
    )
    parser.add_argument("load", type=Path, help="load file (TOML), see schedules")
    parser.add_argument("--json", action="store_true", help="print JSON for machines")
    parser.set_defaults(execute=execute)


def execute(arguments: argparse.Namespace) -> str:
    """Plan and format."""
    load, plan, units = planned(arguments.load)
    zone = zone_named(load.timezone)
    if arguments.json:
        return as_json(to_json(plan, zone))
    return _as_text(plan, load, zone, units)


def planned(path: Path) -> tuple[Load, Plan, UnitChoice]:
    """The load of a file, its plan, and the units the plan speaks in: the controller's."""
    load = read_load(path)
    units = UnitChoice(temperature=load.lehr.controller.unit)
    with faults_placed_in(path):
        return load, make_plan(load, units), units


def iso(time: datetime, zone: tzinfo | None) -> str:
    """A clock time with its offset, to the second."""
    return time.astimezone(zone).isoformat(timespec="seconds")


def to_json(plan: Plan, zone: tzinfo | None) -> dict[str, Any]:
    """The plan as plain values: °C (as the controller reads), °C/h and minutes."""
    return {
        "load": plan.load_name,
        "lehr": plan.lehr_name,
        "feasible": plan.feasible,
        "verdict": verdict_sentence(plan, zone),
        "ready_at": iso(plan.ready_at, zone),
        "out_by": iso(plan.out_by, zone) if plan.out_by else None,
        "start": iso(plan.start, zone),
        "governing_piece": plan.governing_piece,
        "governing_reason": plan.governing_reason,
        "soak_temperature_C": round(kelvin_to(plan.soak_temperature), 1),
        "soak_min": round(plan.soak_time / SECONDS_PER_MINUTE),
        "slow_rate_C_per_h": round(rate_to(plan.slow_rate), 2),
        "segments": [_segment(segment, zone) for segment in plan.segments],
        "zones": [
            {
                "glass": z.glass,
                "annealing_point_C": round(kelvin_to(z.annealing_point), 1),
                "strain_point_C": round(kelvin_to(z.strain_point), 1),
            }
            for z in plan.zones
        ],
        "warnings": list(plan.warnings),
        "cautions": list(CAUTIONS),
        "program_version": plan.program_version,
    }


def _segment(segment: Segment, zone: tzinfo | None) -> dict[str, Any]:
    return {
        "kind": segment.kind.value,
        "start_C": round(kelvin_to(segment.start_temperature), 1),
        "target_C": round(kelvin_to(segment.target), 1),
        "rate_C_per_h": round(rate_to(segment.rate), 2),
        "ramp_min": round(segment.ramp_time / SECONDS_PER_MINUTE, 1),
        "hold_min": round(segment.hold_time / SECONDS_PER_MINUTE, 1),
        "start": iso(segment.start, zone),
        "end": iso(segment.end, zone),
        "governing_piece": segment.governing_piece,
        "reason": segment.reason,
    }


def segment_rows(
    plan: Plan, unit: TemperatureUnit, zone: tzinfo | None
) -> list[tuple[str, str, str, str, str, str]]:
    """Segments as text: kind, rate, target, hold, from and to clock times."""
    rows = []
    for segment in plan.segments:
        coasting = segment.kind is SegmentKind.COAST
        rate = (
            "power off" if coasting else f"{abs(rate_to(segment.rate, unit)):.4g} {unit.symbol}/h"
        )
        hold = format_duration(segment.hold_time) if segment.hold_time else ""
        start, end = (t.astimezone(zone) for t in (segment.start, segment.end))
        rows.append(
            (
                segment.kind.value,
                rate,
                f"{kelvin_to(segment.target, unit):.0f} {unit.symbol}",
                hold,
                f"{start:%a %H:%M}",
                f"{end:%a %H:%M}",
            )
        )
    return rows


def _as_text(plan: Plan, load: Load, zone: tzinfo | None, units: UnitChoice) -> str:
    lehr: Lehr = load.lehr
    lines = [f"{plan.load_name} in {plan.lehr_name}", verdict_sentence(plan, zone), ""]
    head = ("segment", "rate", "target", "hold", "from", "to")
    lines.append(columns([head, *segment_rows(plan, units.temperature, zone)], right=(1, 2, 3)))
    lines += ["", "Why:"]
    lines += [f"  {segment.kind.value}: {segment.reason}" for segment in plan.segments]
    lines += ["", "To key in:"]
    lines += [f"  {line}" for line in program_in_words(plan, lehr.controller)]
    lines.append("")
    lines += [f"! {warning}" for warning in plan.warnings]
    lines += [f"* {caution}" for caution in CAUTIONS]
    return "\n".join(lines)
