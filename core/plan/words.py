"""The plan's sentences: reasons, warnings and the verdict, in the trade's plain words."""

from __future__ import annotations

from datetime import datetime, tzinfo

import numpy as np

from core.equipment.lehr import Controller, Lehr
from core.piece.response import PieceResponse, describe_section
from core.plan.allowed_rates import Bound
from core.plan.corners import Corner
from core.plan.plan import Plan
from core.plan.rounding import greatest_rate, smallest_rate
from core.plan.soak import STRESS_RELEASE, SoakTime
from core.plan.stress_check import Limit, Replay, StressCheck
from core.units import (
    SECONDS_PER_HOUR,
    UnitChoice,
    format_duration,
    kelvin_to,
    rate_to,
)

CAUTIONS = (
    (
        "Advice only: rates and stresses are estimates. A polariscope decides whether a piece is "
        "annealed; handle doubtful pieces with gloves and eye protection."
    ),
    (
        "A lehr and its pieces stay hot inside long after they look cold. Check with a thermometer "
        "before a bare hand."
    ),
    (
        "Lehrkeeper never controls a furnace. Over-temperature protection, gas and wiring are for "
        "licensed trades under your local codes."
    ),
)
"""Shown on every curve, card and print."""


def rate_in_words(rate: float, units: UnitChoice) -> str:
    """A rate [K/s] as ``"15 °C/h"``, with a decimal below 100."""
    value = rate_to(abs(rate), units.temperature)
    number = f"{value:.0f}" if value >= 100 else f"{value:.1f}"
    return f"{number} {units.temperature.symbol}/h"


def temperature_in_words(temperature: float, units: UnitChoice) -> str:
    """A temperature [K] as ``"515 °C"``."""
    return f"{kelvin_to(temperature, units.temperature):.0f} {units.temperature.symbol}"


def bound_reason(bound: Bound, units: UnitChoice) -> str:
    """Why a ramp may go no faster."""
    if bound.stress <= 0:
        return f"“{bound.piece}”: {bound.words}."
    return (
        f"“{bound.piece}”: {bound.words}; {bound.stress / 1e6:.2g} MPa is allowed and is reached "
        f"at {rate_in_words(bound.rate, units)}."
    )


def limit_reason(
    check: StressCheck, response: PieceResponse, rate: float, units: UnitChoice
) -> str:
    """Which stress sets a ramp, and how near it comes to what is allowed at its rate [K/s]."""
    section = describe_section(response.thickest(), units.length)
    joint = response.joint(np.asarray(response.properties.annealing_point.value))
    between = joint.words if joint is not None else "stress between wall and base"
    where = {
        Limit.PERMANENT: f"core tension left in its {section}",
        Limit.PERMANENT_JOINT: f"{between}, left for good",
        Limit.TEMPORARY: f"tension in its {section}, on the way",
        Limit.TEMPORARY_JOINT: f"{between}, on the way",
    }[check.limit]
    corner = "" if check.corner is Corner.BELIEVED else f" were everything {check.corner}"
    return (
        f"“{check.piece}”: {where}; {check.allowed / 1e6:.2g} MPa is allowed, and with "
        f"{rate_in_words(rate, units)} here the replay finds {check.stress / 1e6:.2g} MPa{corner}."
    )


def replay_sentence(replay: Replay) -> str:
    """What the replay found, in one sentence."""
    worst = replay.worst
    at = (
        "with everything as believed"
        if replay.corners == (Corner.BELIEVED,)
        else "at both ends of what is uncertain"
    )
    if not replay.safe:
        return unsafe_warning(replay)
    return (
        f"Replayed through the stress engine {at}: every piece stays within its limits. Nearest: "
        f"“{worst.piece}”, {worst.stress / 1e6:.2g} of {worst.allowed / 1e6:.2g} MPa "
        f"{worst.limit}."
    )


def unsafe_warning(replay: Replay) -> str:
    """By how much a plan fails, and where."""
    worst = replay.worst
    over = (worst.stress / worst.allowed - 1.0) * 100.0
    return (
        f"Not safe: replayed through the stress engine, “{worst.piece}” meets "
        f"{worst.stress / 1e6:.2g} MPa of {worst.limit} ({worst.corner}); "
        f"{worst.allowed / 1e6:.2g} MPa is allowed, so it is {over:.0f} % too much."
    )


def lehr_reason(lehr: Lehr, bottom: float, units: UnitChoice) -> str:
    """Why a ramp is slower than the glass needs."""
    if greatest_rate(lehr.controller) < lehr.natural_cooling_rate(bottom):
        most = rate_in_words(greatest_rate(lehr.controller), units)
        return f"The controller: it takes no rate above {most}."
    natural = rate_in_words(lehr.natural_cooling_rate(bottom), units)
    at = temperature_in_words(bottom + lehr.thermocouple_offset, units)
    return f"The lehr: shut and with the power off it loses no more than {natural} at {at}."


def soak_reason(soak: SoakTime, responses: tuple[PieceResponse, ...], units: UnitChoice) -> str:
    """Which piece needs the longest soak, and what for."""
    response = responses[soak.index]
    section = describe_section(response.thickest(), units.length)
    through = format_duration(soak.heat_through)
    even_if = " even if the glass is stiffer than believed" if soak.release > STRESS_RELEASE else ""
    return (
        f"“{response.piece.name}”: {section}, takes {through} to heat through, then "
        f"{format_duration(soak.release)} for stress to go{even_if}."
    )


def heating_reason(bound: Bound, units: UnitChoice) -> str:
    """Why cold pieces may be heated no faster."""
    return f"Heating: {bound_reason(bound, units)}"


def coast_reason(
    lehr: Lehr, piece: str, hand_warm: float, surface: float, units: UnitChoice
) -> str:
    """What happens with the power off; ``surface`` is how hot it is when the core is hand-warm."""
    hours = lehr.cooling_time_constant / SECONDS_PER_HOUR
    return (
        f"Power off, door shut: the lehr's own losses (time constant {hours:.1f} h) are slow "
        f"enough for every piece. The core of “{piece}” is the last at "
        f"{temperature_in_words(hand_warm, units)}; its surface is at "
        f"{temperature_in_words(surface, units)} then."
    )


def too_hot_for_lehr(reading: float, lehr: Lehr, what: str = "The soak") -> str:
    """Some stage is beyond the lehr."""
    units = UnitChoice(temperature=lehr.controller.unit)
    return (
        f"{what} needs {temperature_in_words(reading, units)}, but “{lehr.name}” goes no higher "
        f"than {temperature_in_words(lehr.max_temperature, units)}."
    )


def too_coarse(rate: float, controller: Controller) -> str:
    """The controller's smallest rate is faster than the glass stands."""
    wanted = rate_to(rate, controller.unit)
    symbol = controller.unit.symbol
    return (
        f"The load stands no more than {wanted:.2g} {symbol}/h, but the controller's smallest rate "
        f"is {smallest_rate(controller):g} {symbol}/h."
    )


def clock(time: datetime, zone: tzinfo | None, reference: datetime | None = None) -> str:
    """A clock time as ``"08:00"``, with the weekday when it is another day than ``reference``."""
    local = time.astimezone(zone)
    if reference is not None and local.date() != reference.astimezone(zone).date():
        return f"{local:%A %H:%M}"
    return f"{local:%H:%M}"


def verdict_sentence(plan: Plan, zone: tzinfo | None = None) -> str:
    """Whether the pieces are ready in time, in one plain sentence.

    Parameters
    ----------
    plan : Plan
    zone : tzinfo, optional
        Zone of the clock times; the machine's own when left out.
    """
    if plan.out_by is None:
        return f"Ready {clock(plan.ready_at, zone, plan.start)}."
    ready = clock(plan.ready_at, zone, plan.out_by)
    by = clock(plan.out_by, zone, plan.ready_at)
    spare = format_duration(abs(plan.lateness.total_seconds()))
    if plan.feasible:
        return f"Ready {ready}, {spare} before {by}."
    return f"Will not be ready by {by}: ready {ready}, {spare} late."
