"""``lehrkeeper compare``: a logged run beside its plan."""

from __future__ import annotations

import argparse
from dataclasses import replace
from datetime import UTC, datetime, tzinfo
from pathlib import Path
from typing import Any

from core.command_line.plan import iso, planned
from core.command_line.table import as_json, columns
from core.command_line.terminal import faults_placed_in
from core.command_line.verdict_text import verdict_json, verdict_lines
from core.errors import LogFileError, Place, RunError, StressError
from core.load.load import Load
from core.load.local_time import zone_named
from core.plan.plan import Plan
from core.plan.words import verdict_sentence
from core.run.alignment import Align
from core.run.compare import Comparison, compare
from core.run.comparison_words import comparison_rows, gap_sentences, segment_rows
from core.run.log_file import LogImport, read_log
from core.run.log_format import LogUnit
from core.run.segment_table import SegmentRow
from core.run.unit_check import fahrenheit_suspected
from core.units import SECONDS_PER_MINUTE, TemperatureUnit, kelvin_to, rate_to
from core.verdict.judge_run import verdict_of
from core.verdict.verdict import RunVerdict

ALIGNMENTS = {
    "clock": Align.CLOCK,
    "soak-start": Align.SOAK_START,
    "soak-end": Align.SOAK_END,
    "best-fit": Align.BEST_FIT,
}
UNITS = {"C": LogUnit.CELSIUS, "F": LogUnit.FAHRENHEIT, "K": LogUnit.KELVIN}


def add_arguments(commands: Any) -> None:
    """Add the command to the parser's commands."""
    parser: argparse.ArgumentParser = commands.add_parser(
        "compare",
        help="a logger's file beside the plan",
        description="Lay a logged run over the plan of its load: deviations, the program segment "
        "by segment, and the verdict on every piece, with its cause and what to do.",
    )
    parser.add_argument("load", type=Path, help="load file (TOML)")
    parser.add_argument("log", type=Path, help="logger's file (CSV or text)")
    parser.add_argument("--unit", choices=list(UNITS), help="degrees of the log")
    parser.add_argument(
        "--skip-bad-rows", action="store_true", help="compare the good rows of a faulty file"
    )
    parser.add_argument(
        "--align",
        choices=list(ALIGNMENTS),
        default="clock",
        help="lay the log on the plan by the clock (default), at the soak, or where it fits best",
    )
    parser.add_argument("--json", action="store_true", help="print JSON for machines")
    parser.set_defaults(execute=execute)


def execute(arguments: argparse.Namespace) -> str:
    """Read, compare and format."""
    load, plan, units = planned(arguments.load)
    zone = zone_named(load.timezone)
    log = checked_run(arguments, load, plan)
    with faults_placed_in(arguments.log):
        comparison = compare(plan, log.readings, align=ALIGNMENTS[arguments.align])
    verdict, why_not = _verdict(load, plan, log)
    if arguments.json:
        found = to_json(comparison, plan, log, zone)
        return as_json({**found, **verdict_json(verdict, why_not, units, zone)})
    return "\n".join(
        (
            _as_text(comparison, plan, log, zone, units.temperature),
            *verdict_lines(verdict, why_not, units, zone),
        )
    )


def _verdict(load: Load, plan: Plan, log: LogImport) -> tuple[RunVerdict | None, str]:
    """The verdict, or why there is none: the comparison stands by itself."""
    try:
        return verdict_of(load, plan, log.readings), ""
    except (RunError, StressError) as error:
        return None, str(error)


def checked_run(arguments: argparse.Namespace, load: Load, plan: Plan) -> LogImport:
    """Read the log named by ``log``, ``unit`` and ``skip_bad_rows`` of the arguments.

    Raises
    ------
    LogFileError
        If a row is bad and may not be skipped, or its unit is in doubt.
    """
    unit = UNITS[arguments.unit] if arguments.unit else None
    log = read_run(arguments.log, load, plan, unit)
    if log.problems and not arguments.skip_bad_rows:
        raise _bad_rows(arguments.log, log)
    if unit is None and log.format.unit is not LogUnit.KELVIN:
        question = fahrenheit_suspected(log.readings, plan, log.format.unit.value)
        if question:
            raise LogFileError(
                question,
                field="unit",
                place=Place(str(arguments.log)),
                remedy="Say which with --unit C or --unit F.",
            )
    return log


def read_run(path: Path, load: Load, plan: Plan, unit: LogUnit | None = None) -> LogImport:
    """Read a log that belongs to a plan: its start and zone settle what the file leaves open.

    What stays open is taken as likeliest, and said so in the notes.
    """
    log = read_log(path, timezone=load.timezone, near=plan.start, start=plan.start)
    open_questions = tuple(
        f"{doubt.question} Here: {doubt.options[0].label}."
        for doubt in log.questions
        if doubt.options and not (doubt.field == "unit" and unit is not None)
    )
    if unit is not None and log.format.unit is not unit:
        log = read_log(path, replace(log.format, unit=unit), start=plan.start)
    return replace(log, notes=(*log.notes, *open_questions))


def _bad_rows(path: Path, log: LogImport) -> LogFileError:
    first = log.problems[0]
    others = len(log.problems) - 1
    more = f" {others} more row{'s' if others > 1 else ''} cannot be read either." if others else ""
    return LogFileError(
        f"{first.message}{more}",
        field="rows",
        place=Place(str(path), first.line, first.column),
        remedy="Mend the file, or use the good rows with --skip-bad-rows.",
    )


def _instant(seconds: float) -> datetime:
    return datetime.fromtimestamp(seconds, tz=UTC)


def to_json(
    comparison: Comparison, plan: Plan, log: LogImport, zone: tzinfo | None
) -> dict[str, Any]:
    """The comparison as plain values: °C, °C/h and minutes."""

    def rate(value: float | None) -> float | None:
        return None if value is None else round(rate_to(value), 2)

    fastest = comparison.fastest
    return {
        "load": plan.load_name,
        "readings": len(log.readings),
        "max_deviation_C": round(comparison.max_deviation, 2),
        "max_deviation_at": iso(_instant(comparison.max_deviation_time), zone),
        "mean_deviation_C": round(comparison.mean_deviation, 2),
        "soak_time_min": round(comparison.soak_time / SECONDS_PER_MINUTE, 1),
        "planned_soak_time_min": round(comparison.planned_soak_time / SECONDS_PER_MINUTE, 1),
        "soak_band_C": comparison.soak_band,
        "rate_C_per_h": rate(comparison.transformation_rate),
        "planned_rate_C_per_h": rate(comparison.planned_transformation_rate),
        "fastest_rate_C_per_h": rate(comparison.fastest_rate),
        "fastest_rate_low_C_per_h": rate(fastest.low if fastest else None),
        "fastest_rate_high_C_per_h": rate(fastest.high if fastest else None),
        "planned_fastest_rate_C_per_h": rate(comparison.planned_fastest_rate),
        "align": comparison.align.value,
        "shift_min": round(comparison.shift / SECONDS_PER_MINUTE, 1),
        "late_below_the_range_min": _minutes(comparison.lateness_at_bottom),
        "heat_work": [
            {
                "glass": work.glass,
                "actual_min": _minutes(work.actual),
                "planned_min": _minutes(work.planned),
                "complete": work.complete,
            }
            for work in comparison.heat_work
        ],
        "segments": [_segment_json(row, zone) for row in comparison.segments],
        "gaps": [
            {
                "start": iso(_instant(gap.start), zone),
                "end": iso(_instant(gap.end), zone),
                "minutes": round(gap.duration / SECONDS_PER_MINUTE, 1),
            }
            for gap in comparison.gaps
        ],
        "bad_rows": [
            {"line": p.line, "column": p.column, "value": p.value, "message": p.message}
            for p in log.problems
        ],
        "notes": list(log.notes),
        "warnings": list(comparison.warnings),
        "program_version": plan.program_version,
    }


def _segment_json(row: SegmentRow, zone: tzinfo | None) -> dict[str, Any]:
    def clock(time: float | None) -> str | None:
        return None if time is None else iso(_instant(time), zone)

    def rate(value: float | None) -> float | None:
        return None if value is None else round(rate_to(value), 2) + 0.0

    return {
        "number": row.number,
        "kind": str(row.kind),
        "target_C": round(kelvin_to(row.target), 1),
        "planned_start": clock(row.planned_start),
        "actual_start": clock(row.actual_start),
        "planned_end": clock(row.planned_end),
        "actual_end": clock(row.actual_end),
        "planned_rate_C_per_h": rate(row.planned_rate),
        "actual_rate_C_per_h": rate(row.actual_rate),
        "planned_hold_min": _minutes(row.planned_hold),
        "actual_hold_min": _minutes(row.actual_hold),
        "overshoot_C": None if row.overshoot is None else round(row.overshoot, 1),
        "readings_missing": row.gap,
    }


def _minutes(seconds: float | None) -> float | None:
    return None if seconds is None else round(seconds / SECONDS_PER_MINUTE, 1) + 0.0


def _as_text(
    comparison: Comparison, plan: Plan, log: LogImport, zone: tzinfo | None, unit: TemperatureUnit
) -> str:
    lines = [f"{plan.load_name} in {plan.lehr_name}", f"Plan: {verdict_sentence(plan, zone)}"]
    lines += [f"Log: {log.file_name}, {len(log.readings)} readings", ""]
    rows = [("", "actual", "planned"), *comparison_rows(comparison, unit, zone)]
    lines += [columns(rows), ""]
    lines += [columns(segment_rows(comparison, unit, zone), right=range(1, 9)), ""]
    lines += [f"! {sentence}" for sentence in gap_sentences(comparison, zone)]
    lines += [f"! {warning}" for warning in comparison.warnings]
    lines += [f"! {problem}" for problem in log.problems]
    lines += [f"- {note}" for note in log.notes]
    return "\n".join(lines)
