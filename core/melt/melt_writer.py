"""A melt written as the TOML text of a melt file, which :mod:`core.melt.melt_file` reads back."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, tzinfo
from pathlib import Path

from core.errors import FurnaceError
from core.glass.glass import Glass
from core.load.load_writer import glass_lines, write_toml
from core.load.local_time import zone_named
from core.melt.charge_material import ChargeMaterial
from core.melt.heat_source import ElectricElements, GasBurner
from core.melt.melt_task import MeltTask
from core.melt.melting_furnace import MeltingFurnace, Opening, WallSection
from core.melt.pot_vessel import PotVessel
from core.melt.refractory import SHIPPED, Refractory
from core.melt.wall_text import layer_text
from core.units import SECONDS_PER_MINUTE, kelvin_to


def melt_to_toml(task: MeltTask) -> str:
    """Write a melt as the text of a melt file.

    Returns
    -------
    str
        TOML; :func:`core.melt.melt_file.parse_melt` makes the same melt of it, analyses to six
        figures and all other numbers to twelve.

    Raises
    ------
    LoadError
        If its time zone has no known name.
    """
    zone = zone_named(task.timezone)
    lines = [f"name = {_text(task.name)}", f"start = {_clock(task.start, zone)}"]
    if task.workable_by is not None:
        lines.append(f"workable_by = {_clock(task.workable_by, zone)}")
    if task.timezone:
        lines.append(f"timezone = {_text(task.timezone)}")
    if task.furnace_temperature is not None:
        lines.append(f"furnace_at_C = {_number(kelvin_to(task.furnace_temperature))}")
    lines += [f"glass = {_text(task.glass.name)}", f"tint = {_text(task.tint.value)}"]
    for part in (
        _programme(task),
        _fining(task),
        _fill(task, zone),
        _furnace(task.furnace),
        _pot("[pot]", task.pot, task.glass_mass),
        *(_pot("[[other_pots]]", pot.vessel, pot.glass_mass) for pot in task.other_pots),
        _energy(task.furnace),
        *(_refractory(brick) for brick in _own(task)),
        *(_material(material) for material in task.materials.values()),
        _glass(task.glass),
        *(_charge(charge, zone) for charge in _charges(task)),
    ):
        found = list(part)
        if found:
            lines += ["", *found]
    return "\n".join(lines) + "\n"


def write_melt(path: Path, task: MeltTask) -> None:
    """Write a melt file; what stood there is replaced only by a whole file.

    Raises
    ------
    FurnaceError
        If it cannot be written.
    """
    write_toml(path, melt_to_toml(task), "melt file", FurnaceError)


def _clock(moment: datetime, zone: tzinfo | None) -> str:
    local = moment.astimezone(zone)
    odd = (local.utcoffset() or timedelta(0)) % timedelta(minutes=1)
    return (local.astimezone(UTC) if odd else local).isoformat()


def _programme(task: MeltTask) -> Iterator[str]:
    programme = task.programme
    yield "[programme]"
    yield f"melt_C = {_number(kelvin_to(programme.melting))}"
    yield f"work_C = {_number(kelvin_to(programme.working))}"
    yield f"within_C = {_number(programme.within)}"
    if programme.idle is not None:
        yield f"idle_C = {_number(kelvin_to(programme.idle))}"
    yield f"pot_is = {_text(task.pot_care.value)}"


def _fining(task: MeltTask) -> Iterator[str]:
    yield "[fining]"
    yield f"bubble_mm = {_number(task.fining.bubble * 1000.0)}"
    yield f"surface = {_text(task.fining.surface.value)}"


def _fill(task: MeltTask, zone: tzinfo | None) -> Iterator[str]:
    fill = task.fill
    if fill is None:
        return
    yield "[fill]"
    yield f"material = {_text(fill.material)}"
    if fill.to is not None:
        yield f"to_kg = {_number(fill.to)}"
    if fill.largest is not None:
        yield f"largest_kg = {_number(fill.largest)}"
    if fill.attended_until is not None:
        yield f"attended_until = {_clock(fill.attended_until, zone)}"
    if fill.closed:
        hours = ", ".join(f"[{h.start.isoformat()}, {h.end.isoformat()}]" for h in fill.closed)
        yield f"closed = [{hours}]"


def _furnace(furnace: MeltingFurnace) -> Iterator[str]:
    yield "[furnace]"
    yield f"name = {_text(furnace.name)}"
    yield f"room_C = {_number(kelvin_to(furnace.ambient))}"
    yield ""
    source = furnace.source
    yield "[furnace.elements]" if isinstance(source, ElectricElements) else "[furnace.burner]"
    yield f"power_kW = {_number(source.power / 1000.0)}"
    if isinstance(source, ElectricElements):
        yield f"area_m2 = {_number(source.area)}"
        yield f"emissivity = {_number(source.emissivity)}"
        yield f"max_C = {_number(kelvin_to(source.max_temperature))}"
    if isinstance(source, GasBurner):
        yield f"fuel = {_text(source.fuel.value)}"
        yield f"air_ratio = {_number(source.air_ratio)}"
        yield f"air_C = {_number(kelvin_to(source.air_temperature))}"
        yield f"gas_emissivity = {_number(source.gas_emissivity)}"
        yield f"film_W_m2K = {_number(source.film)}"
    yield f"heat_capacity_kJ_K = {_number(source.heat_capacity / 1000.0)}"
    yield f"band_C = {_number(source.control.band)}"
    yield f"integral_min = {_number(source.control.integral_time / SECONDS_PER_MINUTE)}"
    yield from _opening(furnace.opening)
    for section in furnace.sections:
        yield ""
        yield from _section(section)


def _opening(opening: Opening) -> Iterator[str]:
    yield ""
    yield "[furnace.opening]"
    yield f"width_mm = {_number(1000.0 * opening.area / opening.height)}"
    yield f"height_mm = {_number(1000.0 * opening.height)}"
    yield f"wall_mm = {_number(1000.0 * opening.wall_thickness)}"
    yield f"open_at_night = {_number(opening.open_at_night)}"
    yield f"open_at_work = {_number(opening.open_at_work)}"
    yield f"charging_min = {_number(opening.charging_time / SECONDS_PER_MINUTE)}"


def _section(section: WallSection) -> Iterator[str]:
    yield "[[furnace.sections]]"
    yield f"name = {_text(section.name)}"
    yield f"area_m2 = {_number(section.area)}"
    if section.outer_area is not None:
        yield f"outer_area_m2 = {_number(section.outer_area)}"
    yield f"emissivity = {_number(section.emissivity)}"
    if section.outer_film is not None:
        yield f"outer_film_W_m2K = {_number(section.outer_film)}"
    layers = (_text(layer_text(layer)) for layer in section.layers)
    yield f"layers = [{', '.join(layers)}]"


def _pot(heading: str, pot: PotVessel, glass_mass: float) -> Iterator[str]:
    yield heading
    yield f"name = {_text(pot.name)}"
    yield f"diameter_mm = {_number(pot.top_diameter * 1000.0)}"
    yield f"bottom_diameter_mm = {_number(pot.bottom_diameter * 1000.0)}"
    yield f"depth_mm = {_number(pot.depth * 1000.0)}"
    yield f"wall_mm = {_number(pot.wall_thickness * 1000.0)}"
    yield f"base_mm = {_number(pot.base_thickness * 1000.0)}"
    yield f"freeboard_mm = {_number(pot.freeboard * 1000.0)}"
    yield f"exposed_share = {_number(pot.exposed_share)}"
    yield f"material = {_text(pot.material.name)}"
    yield f"glass_kg = {_number(glass_mass)}"


def _energy(furnace: MeltingFurnace) -> Iterator[str]:
    terms = furnace.energy
    yield "[energy]"
    if terms.price is not None:
        yield f"price_per_kWh = {_number(terms.price)}"
    yield f"currency = {_text(terms.currency)}"
    if terms.carbon_dioxide is not None:
        yield f"CO2_kg_per_kWh = {_number(terms.carbon_dioxide)}"


def _own(task: MeltTask) -> list[Refractory]:
    used = [layer.material for section in task.furnace.sections for layer in section.layers]
    used += [task.pot.material, *(pot.vessel.material for pot in task.other_pots)]
    own = {brick.name: brick for brick in used if SHIPPED.get(brick.name) != brick}
    return list(own.values())


def _refractory(brick: Refractory) -> Iterator[str]:
    yield f"[refractories.{_text(brick.name)}]"
    points = ", ".join(f"[{_number(t)}, {_number(k)}]" for t, k in brick.conductivity)
    yield f"conductivity_C_W_mK = [{points}]"
    yield f"density_kg_m3 = {_number(brick.density)}"
    yield f"heat_capacity_J_kgK = {_number(brick.heat_capacity[0])}"
    yield f"heat_capacity_rise_J_kgK2 = {_number(brick.heat_capacity[1])}"
    yield f"service_C = {_number(brick.service_temperature)}"
    yield f"source = {_text(brick.source)}"


def _material(material: ChargeMaterial) -> Iterator[str]:
    yield f"[materials.{_text(material.name)}]"
    yield f"kind = {_text(material.kind.value)}"
    yield f"heap_density_kg_m3 = {_number(material.heap_density)}"
    yield f"glass_yield = {_number(material.glass_yield)}"
    reaction = material.reaction_heat / material.glass_yield / 1000.0
    yield f"reaction_kJ_per_kg_glass = {_number(reaction)}"
    yield f"moisture_percent = {_number(material.moisture * 100.0)}"
    yield f"piece_mm = {_number(material.piece_size * 1000.0)}"
    if material.flows_at is not None:
        yield f"flows_at_C = {_number(kelvin_to(material.flows_at))}"


def _glass(glass: Glass) -> Iterator[str]:
    return iter(glass_lines(glass.name, glass))


def _charges(task: MeltTask) -> list[tuple[datetime, str, float]]:
    return [(charge.time, charge.material, charge.mass) for charge in task.charges]


def _charge(charge: tuple[datetime, str, float], zone: tzinfo | None) -> Iterator[str]:
    time, material, mass = charge
    yield "[[charges]]"
    yield f"at = {_clock(time, zone)}"
    yield f"material = {_text(material)}"
    yield f"kg = {_number(mass)}"


def _number(value: float) -> str:
    text = f"{value:.12g}"
    return "0" if text == "-0" else text


def _text(value: str) -> str:
    """A TOML basic string; its escapes are those of JSON, and DEL must be escaped as well."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
