"""A plan as a JSON object, and back; see :mod:`core.store.records`."""

from __future__ import annotations

from core.plan.corners import Corner
from core.plan.plan import Plan, Segment, SegmentKind, Zone
from core.plan.stress_check import Limit, Replay, StressCheck
from core.store.fields import Fields, Json, put_maybe_time, put_time


def put_plan(plan: Plan) -> Json:
    """Write a plan as a JSON object."""
    return {
        "load_name": plan.load_name,
        "lehr_name": plan.lehr_name,
        "segments": [_put_segment(segment) for segment in plan.segments],
        "soak_temperature": plan.soak_temperature,
        "soak_time": plan.soak_time,
        "transformation_top": plan.transformation_top,
        "transformation_bottom": plan.transformation_bottom,
        "slow_rate": plan.slow_rate,
        "governing_piece": plan.governing_piece,
        "governing_reason": plan.governing_reason,
        "start": put_time(plan.start),
        "ready_at": put_time(plan.ready_at),
        "out_by": put_maybe_time(plan.out_by),
        "warnings": list(plan.warnings),
        "zones": [
            {
                "glass": zone.glass,
                "annealing_point": zone.annealing_point,
                "strain_point": zone.strain_point,
            }
            for zone in plan.zones
        ],
        "program_version": plan.program_version,
        "replay": None if plan.replay is None else _put_replay(plan.replay),
        "made_with": [{"name": name, "version": version} for name, version in plan.made_with],
        "assumptions": list(plan.assumptions),
    }


def take_plan(fields: Fields) -> Plan:
    """Read a plan from a JSON object."""
    return Plan(
        load_name=fields.text("load_name"),
        lehr_name=fields.text("lehr_name"),
        segments=tuple(_take_segment(segment) for segment in fields.inners("segments")),
        soak_temperature=fields.number("soak_temperature"),
        soak_time=fields.number("soak_time"),
        transformation_top=fields.number("transformation_top"),
        transformation_bottom=fields.number("transformation_bottom"),
        slow_rate=fields.number("slow_rate"),
        governing_piece=fields.text("governing_piece"),
        governing_reason=fields.text("governing_reason"),
        start=fields.time("start"),
        ready_at=fields.time("ready_at"),
        out_by=fields.maybe_time("out_by"),
        warnings=fields.texts("warnings"),
        zones=tuple(
            Zone(
                glass=zone.text("glass"),
                annealing_point=zone.number("annealing_point"),
                strain_point=zone.number("strain_point"),
            )
            for zone in fields.inners("zones")
        ),
        program_version=fields.text("program_version"),
        # Plans of format 1 were not replayed.
        replay=fields.maybe("replay", _take_replay),
        made_with=tuple(
            (model.text("name"), model.text("version"))
            for model in fields.maybe_inners("made_with")
        ),
        assumptions=fields.maybe_texts("assumptions"),
    )


def _put_replay(replay: Replay) -> Json:
    # Limits and corners by name: their values are sentences on screen, which may be reworded.
    return {
        "checks": [
            {
                "piece": check.piece,
                "limit": check.limit.name,
                "segment": check.segment,
                "stress": check.stress,
                "allowed": check.allowed,
                "corner": check.corner.name,
            }
            for check in replay.checks
        ],
        "corners": [corner.name for corner in replay.corners],
    }


def _take_replay(fields: Fields) -> Replay:
    return Replay(
        checks=tuple(
            StressCheck(
                piece=check.text("piece"),
                limit=check.named("limit", Limit),
                segment=check.maybe_whole("segment"),
                stress=check.number("stress"),
                allowed=check.number("allowed"),
                corner=check.named("corner", Corner),
            )
            for check in fields.inners("checks")
        ),
        corners=fields.all_named("corners", Corner),
    )


def _put_segment(segment: Segment) -> Json:
    return {
        "kind": segment.kind.value,
        "start_temperature": segment.start_temperature,
        "target": segment.target,
        "rate": segment.rate,
        "ramp_time": segment.ramp_time,
        "hold_time": segment.hold_time,
        "start": put_time(segment.start),
        "end": put_time(segment.end),
        "governing_piece": segment.governing_piece,
        "reason": segment.reason,
        "curve_time": list(segment.curve_time),
        "curve_temperature": list(segment.curve_temperature),
        "limit": segment.limit,
    }


def _take_segment(fields: Fields) -> Segment:
    return Segment(
        kind=fields.choice("kind", SegmentKind),
        start_temperature=fields.number("start_temperature"),
        target=fields.number("target"),
        rate=fields.number("rate"),
        ramp_time=fields.number("ramp_time"),
        hold_time=fields.number("hold_time"),
        start=fields.time("start"),
        end=fields.time("end"),
        governing_piece=fields.text("governing_piece"),
        reason=fields.text("reason"),
        curve_time=fields.numbers("curve_time"),
        curve_temperature=fields.numbers("curve_temperature"),
        limit=fields.maybe_text("limit"),
    )
