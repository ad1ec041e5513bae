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
from core.plan.best import best_plan
from core.plan.day_hold import day_hold
from core.plan.plan import Plan, Segment, SegmentKind
from core.plan.program import program_in_words
from core.plan.stress_check import Replay
from core.plan.trade_off_words import trade_off_sentences
from core.plan.trade_offs import TradeOffs, trade_offs
from core.plan.words import CAUTIONS, replay_sentence, verdict_sentence
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
        "decides each. Every curve is replayed through the stress engine before it is called safe.",
    )
    parser.add_argument(
        "--safest",
        action="store_true",
        help="use all the time until the pieces must be out for the largest margin",
    )
    parser.add_argument(
        "--brief",
        action="store_true",
        help="leave out what an hour more, or a piece or an uncertainty less, would change",
    )
    parser.add_argument("load", type=Path, help="load file (TOML), see schedules")
    again = parser.add_argument_group(
        "a night that went wrong", "how it goes on after a power cut, an opened door, a cold lehr"
    )
    again.add_argument(
        "--from-log", type=Path, metavar="LOG", help="logger's file of the night so far"
    )
    again.add_argument(
        "--now", metavar="TIME", help="when the new program begins (the last reading's time)"
    )
    again.add_argument(
        "--reading", type=float, metavar="DEGREES", help="what the controller reads then"
    )
    again.add_argument("--unit", choices=("C", "F", "K"), help="degrees of the log")
    again.add_argument(
        "--skip-bad-rows", action="store_true", help="use the good rows of a faulty log"
    )
    parser.add_argument("--json", action="store_true", help="print JSON for machines")
    parser.set_defaults(execute=execute)


def execute(arguments: argparse.Namespace) -> str:
    """Plan and format."""
    load, plan, units = planned(arguments.load, safest=arguments.safest)
    if arguments.from_log is not None:
        from core.command_line.plan_again import execute_again  # noqa: PLC0415 -- seldom wanted

        return execute_again(arguments, load, plan, units)
    zone = zone_named(load.timezone)
    gains = None
    with faults_placed_in(arguments.load):
        hold = None if load.reheating is not None else day_hold(load, units)
        if not arguments.brief:
            gains = trade_offs(load, units)
    if arguments.json:
        content = to_json(plan, zone)
        content["day_hold"] = hold and {
            "temperature_C": round(kelvin_to(hold.temperature), 1),
            "wait_min": round(hold.wait / SECONDS_PER_MINUTE),
            "wait_without_soak_min": round(hold.wait_without_soak / SECONDS_PER_MINUTE),
            "piece": hold.piece,
        }
        content["trade_offs"] = None if gains is None else trade_offs_json(gains)
        return as_json(content)
    told: tuple[str, ...] = () if hold is None else hold.said
    if gains is not None:
        told = (*trade_off_sentences(gains, units), *told)
    return "\n".join(plan_lines(plan, load, zone, units, told))


def planned(path: Path, *, safest: bool = False) -> tuple[Load, Plan, UnitChoice]:
    """The load of a file, its best plan, and the units the plan speaks in: the controller's."""
    load = read_load(path)
    units = UnitChoice(temperature=load.lehr.controller.unit)
    with faults_placed_in(path):
        return load, best_plan(load, units, safest=safest), units


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
        "made_with": dict(plan.made_with),
        "assumptions": list(plan.assumptions),
        "safe": plan.safe,
        "replay": None if plan.replay is None else _replay(plan.replay),
    }


def _replay(replay: Replay) -> dict[str, Any]:
    """The replay as plain values; margins are limit over stress."""
    return {
        "margin": round(replay.margin, 3),
        "corners": [corner.value for corner in replay.corners],
        "stresses": [
            {
                "piece": check.piece,
                "limit": check.limit.value,
                "stress_MPa": round(check.stress / 1e6, 4),
                "allowed_MPa": round(check.allowed / 1e6, 4),
                "segment": check.segment,
                "corner": check.corner.value,
            }
            for check in replay.checks
        ],
    }


def trade_offs_json(found: TradeOffs) -> dict[str, Any]:
    """What the night would gain, as plain values."""
    without, hour = found.without, found.hour_more
    return {
        "without_piece": without
        and {
            "piece": without.piece,
            "saved_min": round(without.saved / SECONDS_PER_MINUTE),
            "next_piece": without.next_piece,
        },
        "hour_more": hour
        and {
            "margin": round(hour.margin, 3),
            "margin_with_hour": round(hour.with_hour, 3),
            "piece": hour.piece,
            "limit": hour.limit,
        },
        "conflict": found.conflict
        and {
            "late_min": round(found.conflict.late / SECONDS_PER_MINUTE),
            "piece": found.conflict.piece,
            "limit": found.conflict.limit,
            "allowed_MPa": round(found.conflict.allowed / 1e6, 4),
            "needed_MPa": found.conflict.needed and round(found.conflict.needed / 1e6, 4),
        },
        "uncertainties": [
            {
                "name": cost.name,
                "plus_minus_K": round(cost.kelvin, 1),
                "costs_min": round(cost.seconds / SECONDS_PER_MINUTE),
            }
            for cost in found.margins
        ],
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
        "limit": segment.limit,
        "reason": segment.reason,
    }


def segment_rows(
    plan: Plan, unit: TemperatureUnit, zone: tzinfo | None
) -> list[tuple[str, str, str, str, str, str]]:
    """Segments as text: kind, rate, target, hold, from and to clock times."""
    rows = []
    for segment in plan.segments:
        if segment.kind is SegmentKind.COAST:
            rate = "power off"
        elif segment.ramp_time:
            rate = f"{abs(rate_to(segment.rate, unit)):.4g} {unit.symbol}/h"
        else:
            rate = ""
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


def plan_lines(
    plan: Plan, load: Load, zone: tzinfo | None, units: UnitChoice, told: tuple[str, ...]
) -> list[str]:
    """A plan as lines of text; ``told`` are sentences besides."""
    lehr: Lehr = load.lehr
    lines = [f"{plan.load_name} in {plan.lehr_name}", verdict_sentence(plan, zone)]
    if plan.replay is not None:
        lines.append(replay_sentence(plan.replay))
    lines.append("")
    head = ("segment", "rate", "target", "hold", "from", "to")
    lines.append(columns([head, *segment_rows(plan, units.temperature, zone)], right=(1, 2, 3)))
    lines += ["", "Why:"]
    lines += [f"  {segment.kind.value}: {segment.reason}" for segment in plan.segments]
    if told:
        lines += ["", "Besides:"]
        lines += [f"  {sentence}" for sentence in told]
    lines += ["", "Taken for granted:"]
    lines += [f"  {sentence}" for sentence in plan.assumptions]
    lines += ["", "To key in:"]
    lines += [f"  {line}" for line in program_in_words(plan, lehr.controller)]
    lines.append("")
    lines += [f"! {warning}" for warning in plan.warnings]
    lines += [f"* {caution}" for caution in CAUTIONS]
    return lines
