"""Runs in words: when, what state, and what was planned."""

from __future__ import annotations

from datetime import datetime, tzinfo

from app.local_time import clock_text, day_and_clock
from app.plots.curves import FloatArray
from core.plan.plan import Plan
from core.plan.words import verdict_sentence
from core.store.book import RunRecord
from core.units import format_duration


def state_words(run: RunRecord) -> str:
    """Tell whether it still runs."""
    return "finished" if run.finished else "running"


def planned_words(plan: Plan, zone: tzinfo | None) -> str:
    """When the plan had the pieces ready, early or late for the hour they were wanted."""
    ready = clock_text(plan.ready_at, zone)
    if plan.out_by is None:
        return ready
    spare = format_duration(abs(plan.lateness.total_seconds()))
    return f"{ready}, {spare} {'early' if plan.feasible else 'late'}"


def count_words(count: int, one: str, many: str) -> str:
    """Put a number before its noun: ``"1 reading"``, ``"302 readings"``."""
    return f"{count} {one if count == 1 else many}"


def run_name(run: RunRecord, zone: tzinfo | None, now: datetime) -> str:
    """Name a run for headings and questions."""
    return f"{run.load_name}, {day_and_clock(run.started_at, zone=zone, now=now)}"


def run_facts(run: RunRecord, zone: tzinfo | None, now: datetime) -> str:
    """Lehr, begin, end and number of readings in one line."""
    parts = [run.lehr_name, f"begun {day_and_clock(run.started_at, zone=zone, now=now)}"]
    if run.finished_at is None:
        parts.append("running")
    else:
        parts.append(f"finished {day_and_clock(run.finished_at, zone=zone, now=now)}")
    parts.append(
        count_words(run.reading_count, "reading", "readings")
        if run.reading_count
        else "no readings yet"
    )
    return " · ".join(parts)


def apart_words(plan: Plan, times: FloatArray, zone: tzinfo | None, now: datetime) -> str:
    """Why readings cannot be laid beside a plan: neither covers any of the other's hours."""

    def clock(moment: datetime | float) -> str:
        return day_and_clock(moment, zone=zone, now=now)

    return (
        f"No reading falls within the plan: the plan runs from {clock(plan.start)} to "
        f"{clock(plan.ready_at)}, the readings from {clock(float(times[0]))} to "
        f"{clock(float(times[-1]))}. Check the run, the date order and the time zone."
    )


def plan_facts(plan: Plan, zone: tzinfo | None) -> str:
    """What the plan promised, and which piece set it."""
    verdict = verdict_sentence(plan, zone)
    cooling = plan.first_cooling
    piece = "" if cooling is None else cooling.governing_piece
    setter = f"“{piece}”" if piece else "The lehr itself"
    return f"Plan: {verdict[0].lower()}{verdict[1:]} {setter} sets the cooling."
