"""A night at the furnace in plain sentences and rows, for screen and terminal."""

from __future__ import annotations

from datetime import tzinfo

from core.melt.charge_plan import ChargePlan
from core.melt.melting_furnace import JOULE_PER_KILOWATT_HOUR
from core.melt.night_outcome import MeltNight
from core.melt.weekend import POT_LIFE_OF_A_RESTART, Weekend
from core.units import (
    SECONDS_PER_HOUR,
    TemperatureUnit,
    UnitChoice,
    format_duration,
    kelvin_to,
    kilogram_to,
    rate_to,
)

CAUTIONS = (
    "Advice only: nothing here controls a furnace, and the furnace is never left to it.",
    (
        "Gas and electrical work is for licensed trades, by local codes; gas needs flame "
        "supervision, air to burn and a way out for carbon monoxide."
    ),
    (
        "Molten glass and hot faces burn at a distance: eye protection against infra-red, dry "
        "tools, dry cullet, nobody alone at the pot."
    ),
    "Batch dust harms: follow the suppliers' safety sheets and local rules.",
)
"""Said with every night."""
OTHER_POTS = (
    "The other pots stand in the chamber with what their ledgers say; charges of theirs on the "
    "same night are not followed."
)
"""Said of a night beside other pots."""


def clock(night: MeltNight, seconds: float | None, zone: tzinfo | None) -> str:
    """A moment of the night as weekday and clock time; a dash for never."""
    return "–" if seconds is None else f"{night.clock(seconds).astimezone(zone):%a %H:%M}"


def verdict_of(night: MeltNight, zone: tzinfo | None) -> str:
    """Whether and when the glass is workable, in a sentence."""
    task = night.task
    wanted = task.workable_by
    at = clock(night, night.workable, zone)
    if night.melted is None:
        return "The charge does not melt down: the furnace does not get hot enough for it."
    if night.fined is None:
        return "The glass does not clear: its bubbles do not come up at this temperature."
    if night.workable is None:
        return "The glass is clear but never comes to the working temperature."
    if wanted is None:
        return f"Workable on {at}."
    spare = (wanted - night.clock(night.workable)).total_seconds()
    asked = f"{wanted.astimezone(zone):%a %H:%M}"
    if spare >= 0:
        return f"Workable on {at}, {format_duration(spare)} h before {asked}."
    return f"Not workable by {asked}: only on {at}, {format_duration(-spare)} h late."


def plan_sentence(plan: ChargePlan, units: UnitChoice | None = None) -> str:
    """What the charge plan reaches, in a sentence."""
    unit = (units or UnitChoice()).mass
    count = len(plan.charges)
    charges = "one charge" if count == 1 else f"{count} charges"

    def mass(kilograms: float) -> str:
        return f"{kilogram_to(kilograms, unit):.1f} {unit.value}"

    if plan.filled:
        return f"{charges.capitalize()} bring the pot to {mass(plan.reached)}."
    return (
        f"{charges.capitalize()} bring the pot to {mass(plan.reached)}, {mass(plan.short)} short "
        f"of {mass(plan.wanted)}: there is no more time or room to charge."
    )


def charge_rows(
    night: MeltNight, zone: tzinfo | None, unit: TemperatureUnit = TemperatureUnit.CELSIUS
) -> list[tuple[str, str, str, str, str, str]]:
    """Charges as text: when, what, kg, melted, coldest glass, level."""
    return [
        (
            clock(night, charge.time, zone),
            charge.material,
            f"{charge.mass:.1f} kg",
            clock(night, charge.melted, zone),
            f"{kelvin_to(charge.lowest_glass, unit):.0f} {unit.symbol}",
            f"{charge.level * 1000:.0f} mm",
        )
        for charge in night.charges
    ]


def heating_rows(
    night: MeltNight, unit: TemperatureUnit = TemperatureUnit.CELSIUS
) -> list[tuple[str, str, str, str]]:
    """The heating curve as text: rate, target, hold, reason."""
    return [
        (
            f"{rate_to(step.rate, unit):.0f} {unit.symbol}/h",
            f"{kelvin_to(step.target, unit):.0f} {unit.symbol}",
            format_duration(step.hold) if step.hold else "",
            step.reason,
        )
        for step in night.heating
    ]


def heating_sentences(night: MeltNight, units: UnitChoice) -> list[str]:
    """The heating curve of a cold furnace in one sentence; nothing of a hot one."""
    if not night.heating:
        return []
    steps = [
        f"{rate} to {target}" + (f", held {hold} h" if hold else "")
        for rate, target, hold, _ in heating_rows(night, units.temperature)
    ]
    return [f"Heating for the pot's sake: {'; '.join(steps)}."]


def energy_sentence(night: MeltNight) -> str:
    """Energy, cost and CO2 of the night, in a sentence."""
    text = f"{night.energy / JOULE_PER_KILOWATT_HOUR:.1f} kWh"
    text += " of gas, net" if night.task.furnace.is_gas else " of electricity"
    parts = [text]
    if night.cost is not None:
        parts.append(f"{night.task.furnace.energy.currency} {night.cost:.2f}")
    if night.carbon_dioxide is not None:
        parts.append(f"{night.carbon_dioxide:.1f} kg CO2")
    return ", ".join(parts) + "."


def where_it_went(night: MeltNight) -> list[tuple[str, str]]:
    """Where the energy of the night went, as text: name and kWh; below 0: out of store."""
    flue, walls, opening, gas, reaction = (
        float(loss) / JOULE_PER_KILOWATT_HOUR for loss in night.course.losses[:, -1]
    )
    bought = night.energy / JOULE_PER_KILOWATT_HOUR
    rows = [
        ("through the walls", walls),
        ("out of the opening", opening),
        ("up the flue", flue),
        ("gas and steam of the batch", gas),
        ("chemical heat of the batch", reaction),
        ("into glass, pot and walls", bought - flue - walls - opening - gas - reaction),
    ]
    return [(name, f"{value:.1f} kWh") for name, value in rows if abs(value) >= 0.05]


def weekend_sentences(
    weekend: Weekend, currency: str, units: UnitChoice | None = None
) -> list[str]:
    """Idling against shutting down, in sentences."""
    unit = (units or UnitChoice()).temperature
    hours = weekend.duration / SECONDS_PER_HOUR
    idle = weekend.idling.energy / JOULE_PER_KILOWATT_HOUR
    first = f"Idling for {hours:.0f} h takes {idle:.0f} kWh"
    if weekend.idling.cost is not None:
        first += f", {currency} {weekend.idling.cost:.2f}"
    if weekend.shut is None or weekend.coldest is None or weekend.heating_starts is None:
        return [
            f"{first}.",
            (
                "Shutting down is not possible: the pot cannot be heated again in that time. It "
                f"would take a break of some {weekend.needed / SECONDS_PER_HOUR:.0f} h."
            ),
        ]
    shut = weekend.shut.energy / JOULE_PER_KILOWATT_HOUR
    second = f"Shutting down and heating again takes {shut:.0f} kWh"
    if weekend.shut.cost is not None:
        second += f", {currency} {weekend.shut.cost:.2f}"
    return [
        f"{first}.",
        (
            f"{second}; heating begins after {weekend.heating_starts / SECONDS_PER_HOUR:.0f} h, "
            f"from {kelvin_to(weekend.coldest, unit):.0f} {unit.symbol}."
        ),
        (
            f"Going cold and hot again is said to cost {POT_LIFE_OF_A_RESTART:.0%} of a pot's life "
            "(a dealer's rule of thumb), and glass that freezes in the pot may crack it."
        ),
    ]
