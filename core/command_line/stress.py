"""``lehrkeeper stress``: what the plan, or a logged run, leaves in each piece."""

from __future__ import annotations

import argparse
import math
from collections.abc import Sequence
from datetime import UTC, datetime, tzinfo
from pathlib import Path
from typing import Any

from core.command_line.compare import UNITS, checked_run
from core.command_line.plan import iso, planned
from core.command_line.table import as_json, columns
from core.command_line.terminal import faults_placed_in
from core.load.load import Load, StressLimits
from core.load.load_stress import (
    drawn_history,
    judge_by,
    limits_of_pieces,
    logged_history,
    stresses_of_load,
)
from core.load.local_time import zone_named
from core.plan.plan import Plan
from core.plan.words import CAUTIONS
from core.run.readings import Readings
from core.stress.log_reduction import bridged_gaps
from core.stress.result import PieceStress
from core.stress.words import NOT_SETTLED, ONE_DIMENSIONAL
from core.units import TemperatureUnit, kelvin_to


def add_arguments(commands: Any) -> None:
    """Add the command to the parser's commands."""
    parser: argparse.ArgumentParser = commands.add_parser(
        "stress",
        help="stress left in each piece by the plan or a logged run",
        description="Follow temperature, structure and stress through the thickness of each piece "
        "of a load: along its plan, or along a logger's file where one is given.",
    )
    parser.add_argument("load", type=Path, help="load file (TOML), see schedules")
    parser.add_argument("log", type=Path, nargs="?", help="logger's file (CSV or text)")
    parser.add_argument("--unit", choices=list(UNITS), help="degrees of the log")
    parser.add_argument(
        "--skip-bad-rows", action="store_true", help="use the good rows of a faulty file"
    )
    parser.add_argument("--json", action="store_true", help="print JSON for machines")
    parser.set_defaults(execute=execute)


def execute(arguments: argparse.Namespace) -> str:
    """Replay and format."""
    load, plan, units = planned(arguments.load)
    zone = zone_named(load.timezone)
    notes: tuple[str, ...] = ()
    if arguments.log is None:
        source = "plan"
        with faults_placed_in(arguments.load):
            history = drawn_history(*plan.curve(), load.lehr)
    else:
        source = arguments.log.name
        log = checked_run(arguments, load, plan)
        notes = (
            *log.notes,
            *(str(problem) for problem in log.problems),
            *_gap_notes(log.readings, zone),
        )
        with faults_placed_in(arguments.log):
            history = logged_history(log.readings.time, log.readings.temperature, load.lehr)
    with faults_placed_in(arguments.load):
        found = stresses_of_load(load, history)
    if arguments.json:
        return as_json(to_json(load, plan, found, source, zone, notes))
    return _as_text(load, found, source, zone, units.temperature, notes)


def _gap_notes(readings: Readings, zone: tzinfo | None) -> list[str]:
    """One sentence for each stretch of a log across which a straight line is taken."""
    return [
        f"No readings from {_instant(start).astimezone(zone):%a %H:%M} to "
        f"{_instant(end).astimezone(zone):%H:%M}: a straight line is taken across."
        for start, end in bridged_gaps(readings.time)
    ]


def _instant(seconds: float) -> datetime:
    return datetime.fromtimestamp(seconds, tz=UTC)


def to_json(
    load: Load,
    plan: Plan,
    found: Sequence[PieceStress],
    source: str,
    zone: tzinfo | None,
    notes: Sequence[str] = (),
) -> dict[str, Any]:
    """The stresses as plain values: MPa (tension positive), °C of the glass, nm."""
    every_limit = limits_of_pieces(load)
    return {
        "load": load.name,
        "replayed": source,
        "within_limits": all(
            judge_by(limits, stress).within_limits
            for limits, stress in zip(every_limit, found, strict=True)
        ),
        "pieces": [
            _piece(limits, stress, zone) for limits, stress in zip(every_limit, found, strict=True)
        ],
        "notes": list(notes),
        "cautions": [ONE_DIMENSIONAL, *CAUTIONS],
        "program_version": plan.program_version,
    }


def _piece(limits: StressLimits, stress: PieceStress, zone: tzinfo | None) -> dict[str, Any]:
    judgement = judge_by(limits, stress)
    peak, shown = stress.peak, stress.retardation
    return {
        "piece": stress.name,
        "permanent_midplane_MPa": _mega(stress.permanent_core),
        "permanent_surface_MPa": _mega(stress.permanent_surface),
        "permanent_wall_base_MPa": _mega(stress.permanent_joint),
        "peak_temporary_MPa": _mega(peak.stress),
        "peak_time": iso(_instant(peak.time), zone),
        "peak_depth_mm": round(peak.depth * 1e3, 2),
        "peak_temperature_C": round(kelvin_to(peak.temperature), 1),
        "peak_wall_base_MPa": _mega(stress.peak_joint),
        "fictive_temperature_C": round(kelvin_to(stress.fictive_temperature), 1),
        "retardation_nm": round(shown.value * 1e9, 2),
        "retardation_nm_per_cm": round(shown.per_length * 1e7, 2),
        "viewed": shown.direction,
        "settled": stress.settled,
        "margin": round(judgement.margin, 3) if math.isfinite(judgement.margin) else None,
        "within_limits": judgement.within_limits,
        "sections": [
            {
                "part": section.section.part,
                "thickness_mm": round(section.section.thickness * 1e3, 3),
                "permanent_midplane_MPa": _mega(section.permanent_core),
                "permanent_surface_MPa": _mega(section.permanent_surface),
                "permanent_wall_base_MPa": _mega(section.permanent_joint),
                "peak_temporary_MPa": _mega(section.peak.stress),
            }
            for section in stress.sections
        ],
    }


def _mega(pascal: float) -> float:
    """MPa to four decimals, without a negative nought."""
    return round(pascal / 1e6, 4) + 0.0


def _as_text(
    load: Load,
    found: Sequence[PieceStress],
    source: str,
    zone: tzinfo | None,
    unit: TemperatureUnit,
    notes: Sequence[str],
) -> str:
    head = ("piece", "left in core", "left in skin", "peak", "at", "glass", "retardation", "")
    rows = [head]
    every_limit = limits_of_pieces(load)
    for limits, stress in zip(every_limit, found, strict=True):
        judgement, peak = judge_by(limits, stress), stress.peak
        rows.append(
            (
                stress.name,
                _megapascal(stress.permanent_core),
                _megapascal(stress.permanent_surface),
                _megapascal(peak.stress),
                f"{_instant(peak.time).astimezone(zone):%a %H:%M}",
                f"{kelvin_to(peak.temperature, unit):.0f} {unit.symbol}",
                f"{stress.retardation.per_length * 1e7:.1f} nm/cm",
                "within limits" if judgement.within_limits else "over the limits",
            )
        )
    title = "the plan" if source == "plan" else source
    lines = [f"{load.name}: stress that {title} leaves", "", columns(rows, right=(1, 2, 3, 5, 6))]
    joined = [stress for stress in found if len(stress.sections) > 1]
    lines += [
        f"{stress.name}: between wall and base {_megapascal(stress.permanent_joint)} left, "
        f"up to {_megapascal(stress.peak_joint)} on the way, if neither can give way at all."
        for stress in joined
    ]
    lines.append("")
    lines += [
        f"! {stress.name}: {over}"
        for limits, stress in zip(every_limit, found, strict=True)
        for over in _over(limits, stress)
    ]
    lines += [f"! {stress.name}: {NOT_SETTLED}" for stress in found if not stress.settled]
    lines += [f"- {note}" for note in notes]
    lines += [f"* {caution}" for caution in (ONE_DIMENSIONAL, *CAUTIONS)]
    return "\n".join(lines)


def _over(limits: StressLimits, stress: PieceStress) -> list[str]:
    """One sentence for each limit a piece is over."""
    judgement = judge_by(limits, stress)
    over = f" over a safety factor of {limits.safety_factor:g}"
    compared = (
        (
            "left in its core",
            judgement.permanent,
            stress.permanent_core,
            _megapascal(limits.permanent_tension),
        ),
        (
            "on the way",
            judgement.temporary,
            stress.peak.stress,
            _megapascal(limits.temporary_tension) + over,
        ),
        (
            "left between wall and base",
            judgement.permanent_joint,
            stress.permanent_joint,
            _megapascal(limits.permanent_wall_base),
        ),
        (
            "between wall and base on the way",
            judgement.temporary_joint,
            stress.peak_joint,
            _megapascal(limits.temporary_wall_base) + over,
        ),
    )
    return [
        f"{_megapascal(value)} {where}, the limit is {limit}."
        for where, times, value, limit in compared
        if times < 1.0
    ]


def _megapascal(pascal: float) -> str:
    """Stress with two decimals, as ``"0.35 MPa"``; tension is positive, nought has no sign."""
    return f"{round(pascal / 1e6, 2) + 0.0:.2f} MPa"
