"""``lehrkeeper melt``: a night at the furnace from a melt file."""

from __future__ import annotations

import argparse
from datetime import tzinfo
from pathlib import Path
from typing import Any

import numpy as np

from core.command_line.plan import iso
from core.command_line.table import as_json, columns
from core.command_line.terminal import faults_placed_in
from core.glass.properties import properties_of
from core.load.local_time import zone_named
from core.melt.charge_plan import ChargePlan, plan_night
from core.melt.melt_file import read_melt
from core.melt.melt_words import (
    CAUTIONS,
    charge_rows,
    clock,
    energy_sentence,
    heating_rows,
    plan_sentence,
    verdict_of,
    weekend_sentences,
    where_it_went,
)
from core.melt.melting_furnace import JOULE_PER_KILOWATT_HOUR
from core.melt.night_outcome import MeltNight
from core.melt.weekend import Weekend, WeekendCourse, compare_weekend
from core.units import SECONDS_PER_HOUR, kelvin_to
from core.version import VERSION

_SAMPLE = 900.0
"""[s] Between the points of the curve that JSON holds."""


def add_arguments(commands: Any) -> None:
    """Add the command to the parser's commands."""
    parser: argparse.ArgumentParser = commands.add_parser(
        "melt",
        help="a night at the furnace: charges, melting, fining, energy",
        description="When to charge how much, when the glass is melted, clear and workable, and "
        "what the night takes.",
    )
    parser.add_argument("pot", type=Path, help="melt file (TOML), see demo_data")
    parser.add_argument(
        "--break-hours",
        type=float,
        metavar="H",
        help="also: idling for so many hours against shutting down",
    )
    parser.add_argument("--json", action="store_true", help="print JSON for machines")
    parser.set_defaults(execute=execute)


def execute(arguments: argparse.Namespace) -> str:
    """Simulate and format."""
    task = read_melt(arguments.pot)
    zone = zone_named(task.timezone)
    weekend: Weekend | None = None
    with faults_placed_in(arguments.pot):
        night, plan = plan_night(task)
        if arguments.break_hours is not None:
            weekend = compare_weekend(
                task, arguments.break_hours * SECONDS_PER_HOUR, night.glass_mass
            )
    if arguments.json:
        return as_json(to_json(night, plan, weekend, zone))
    return _as_text(night, plan, weekend, zone)


def _celsius(kelvin: float) -> float:
    return round(kelvin_to(kelvin), 1)


def to_json(
    night: MeltNight, plan: ChargePlan | None, weekend: Weekend | None, zone: tzinfo | None
) -> dict[str, Any]:
    """The night as plain values: °C, kg, mm, kWh."""

    def moment(seconds: float | None) -> str | None:
        return None if seconds is None else iso(night.clock(seconds), zone)

    task = night.task
    wanted = task.workable_by
    properties = properties_of(task.glass)
    return {
        "melt": task.name,
        "furnace": task.furnace.name,
        "pot": task.pot.name,
        "glass": task.glass.name,
        "verdict": verdict_of(night, zone),
        "workable": moment(night.workable),
        "workable_by": None if wanted is None else iso(wanted, zone),
        "in_time": night.in_time,
        "melted": moment(night.melted),
        "fined": moment(night.fined),
        "conditioned": moment(night.conditioned),
        "charges": [
            {
                "at": moment(charge.time),
                "material": charge.material,
                "kg": round(charge.mass, 2),
                "melted": moment(charge.melted),
                "coldest_glass_C": _celsius(charge.lowest_glass),
                "level_mm": round(charge.level * 1000.0, 1),
            }
            for charge in night.charges
        ],
        "short_kg": None if plan is None else round(plan.short, 2),
        "glass_kg": round(night.glass_mass, 2),
        "glass_depth_mm": round(night.depth * 1000.0, 1),
        "capacity_kg": round(task.pot.capacity(night.melt.density), 2),
        "annealing_point_C": _celsius(properties.annealing_point.value),
        "expansion_per_K": properties.expansion.value,
        "heating": [
            {
                "to_C": _celsius(step.target),
                "rate_C_per_h": round(step.rate * SECONDS_PER_HOUR, 1),
                "hold_min": round(step.hold / 60.0),
                "reason": step.reason,
            }
            for step in night.heating
        ],
        "energy": {
            **_bought(night.energy, night.cost, night.carbon_dioxide),
            "currency": task.furnace.energy.currency,
            "imbalance": float(f"{night.course.worst_imbalance:.3g}"),
        },
        "curve": _curve(night, zone),
        "break": None if weekend is None else _weekend(weekend),
        "warnings": list(night.warnings),
        "cautions": list(CAUTIONS),
        "program_version": VERSION,
    }


def _bought(energy: float, cost: float | None, carbon_dioxide: float | None) -> dict[str, Any]:
    return {
        "kWh": round(energy / JOULE_PER_KILOWATT_HOUR, 2),
        "cost": None if cost is None else round(cost, 2),
        "CO2_kg": None if carbon_dioxide is None else round(carbon_dioxide, 2),
    }


def _curve(night: MeltNight, zone: tzinfo | None) -> list[dict[str, Any]]:
    course = night.course
    times = np.append(np.arange(0.0, night.end, _SAMPLE), night.end)
    columns_of = {
        "furnace_C": course.chamber,
        "glass_C": course.glass,
        "glass_kg": course.glass_mass,
        "unmelted_kg": course.heap_mass,
        "power_kW": course.power / 1000.0,
    }
    sampled = {key: np.interp(times, course.time, values) for key, values in columns_of.items()}
    rows = []
    for i, time in enumerate(times):
        row: dict[str, Any] = {"at": iso(night.clock(float(time)), zone)}
        for key, values in sampled.items():
            value = float(values[i])
            row[key] = round(kelvin_to(value) if key.endswith("_C") else value, 2)
        rows.append(row)
    return rows


def _weekend(weekend: Weekend) -> dict[str, Any]:
    def way(course: WeekendCourse | None) -> dict[str, Any] | None:
        if course is None:
            return None
        return _bought(course.energy, course.cost, course.carbon_dioxide)

    starts = weekend.heating_starts
    return {
        "hours": round(weekend.duration / SECONDS_PER_HOUR, 2),
        "idling": way(weekend.idling),
        "shut_down": way(weekend.shut),
        "coldest_C": None if weekend.coldest is None else _celsius(weekend.coldest),
        "heating_starts_after_h": None if starts is None else round(starts / SECONDS_PER_HOUR, 2),
    }


def _as_text(
    night: MeltNight, plan: ChargePlan | None, weekend: Weekend | None, zone: tzinfo | None
) -> str:
    task = night.task
    properties = properties_of(task.glass)
    lines = [f"{task.name}: {task.pot.name} in {task.furnace.name}", verdict_of(night, zone), ""]
    if night.heating:
        rows = [("rate", "to", "hold", "why"), *heating_rows(night)]
        lines += ["Heating:", columns(rows, right=(0, 1)), ""]
    if night.charges:
        head = ("charge at", "material", "mass", "melted", "coldest glass", "level")
        lines.append(columns([head, *charge_rows(night, zone)], right=(2, 4, 5)))
    if plan is not None:
        lines.append(plan_sentence(plan))
    capacity = task.pot.capacity(night.melt.density)
    lines += [
        "",
        columns(
            [
                ("melted", clock(night, night.melted, zone)),
                ("fined, turn down", clock(night, night.fined, zone)),
                ("workable", clock(night, night.workable, zone)),
                ("glass", f"{night.glass_mass:.1f} kg of {capacity:.1f} kg"),
                ("depth", f"{night.depth * 1000:.0f} mm of {task.pot.depth * 1000:.0f} mm"),
                ("anneals at", f"{kelvin_to(properties.annealing_point.value):.0f} °C"),
            ]
        ),
        "",
        f"Until {clock(night, night.end, zone)}: {energy_sentence(night)}",
        columns([("  " + name, amount) for name, amount in where_it_went(night)], right=(1,)),
    ]
    if weekend is not None:
        lines += ["", *weekend_sentences(weekend, task.furnace.energy.currency)]
    lines.append("")
    lines += [f"! {warning}" for warning in night.warnings]
    lines += [f"* {caution}" for caution in CAUTIONS]
    return "\n".join(lines)
