"""A load written as the TOML text of a load file, which :mod:`core.load.load_file` reads back."""

from __future__ import annotations

import os
import secrets
import stat
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from core.equipment.lehr import Lehr
from core.errors import LehrkeeperError, LoadError, Place
from core.glass.glass import Glass
from core.load.gathering import Gathering
from core.load.load import Load, Strength, StressLimits
from core.load.local_time import zone_named
from core.load.measured_table import measured_lines
from core.load.placing import Placing
from core.load.reheating import Reheating
from core.load.toml_text import toml_number, toml_text
from core.piece.piece import CooledFrom, Piece, Shape
from core.units import SECONDS_PER_HOUR, SECONDS_PER_MINUTE, kelvin_to, metre_to, rate_to

_LIMITS = ("permanent_tension", "permanent_wall_base", "temporary_tension", "temporary_wall_base")


def load_to_toml(load: Load) -> str:
    """Write a load as the text of a load file.

    Parameters
    ----------
    load : Load

    Returns
    -------
    str
        TOML; :func:`core.load.load_file.parse_load` makes the same load of it, analyses to six
        figures and all other numbers to twelve. Clock times carry their offset from UTC, so that
        an hour the clocks repeat stays the one meant.

    Raises
    ------
    LoadError
        If the load's time zone has no known name.
    """
    zone = zone_named(load.timezone)

    def clock(moment: datetime) -> str:
        local = moment.astimezone(zone)
        # TOML knows offsets of whole minutes only; some zones had others long ago.
        odd = (local.utcoffset() or timedelta(0)) % timedelta(minutes=1)
        return (local.astimezone(UTC) if odd else local).isoformat()

    lines = [f"name = {toml_text(load.name)}", f"button_pressed = {clock(load.button_time)}"]
    if load.out_by is not None:
        lines.append(f"out_by = {clock(load.out_by)}")
    if load.timezone:
        lines.append(f"timezone = {toml_text(load.timezone)}")
    if load.start_temperature is not None:
        lines.append(f"lehr_at_C = {toml_number(kelvin_to(load.start_temperature))}")
    lines.append(f"hand_warm_C = {toml_number(kelvin_to(load.hand_warm))}")
    lines.append(f"soak_above_annealing_C = {toml_number(load.soak_above_annealing)}")
    for part in (
        _lehr(load.lehr),
        _limits(load.limits),
        *(glass_lines(name, glass) for name, glass in load.glasses.items()),
        *([_reheating(load.reheating)] if load.reheating is not None else []),
        *(
            (
                *_piece(piece, load.piece_limits.get(piece.name)),
                *_strength(load.strengths.get(piece.name)),
                *_placing(load.placing_of(piece), clock),
                *_gathering(load.gathered.get(piece.name), clock),
            )
            for piece in load.pieces
        ),
    ):
        lines.extend(["", *part])
    return "\n".join(lines) + "\n"


def write_load(path: Path, load: Load) -> None:
    """Write a load file; what stood there is replaced only by a whole file.

    Parameters
    ----------
    path : Path
    load : Load

    Raises
    ------
    LoadError
        If it cannot be written, or the load's time zone has no known name.
    """
    write_toml(path, load_to_toml(load), "load file", LoadError)


def write_toml(path: Path, text: str, what: str, fault: type[LehrkeeperError]) -> None:
    """Write a text file of ours; what stood there is replaced only by a whole one.

    Parameters
    ----------
    path : Path
    text : str
    what : str
        What the file is called in the message.
    fault : type
        Class of the error to raise.

    Raises
    ------
    LehrkeeperError
        Of the class given, if it cannot be written.
    """
    try:
        write_whole(path, text)
    except OSError as error:
        raise fault(
            f"The {what} cannot be written ({error.strerror}).",
            place=Place(str(path)),
            remedy="Choose another folder or name.",
        ) from error


def write_whole(path: Path, text: str) -> None:
    """Write a UTF-8 file so that what stood there is replaced only by a whole one.

    A new file gets the usual permissions, one replaced keeps its own.

    Raises
    ------
    OSError
        If it cannot be written; what stood there still does.
    """
    half = path.parent / f".{path.name}.{secrets.token_hex(4)}"
    try:
        with half.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            half.chmod(stat.S_IMODE(path.stat().st_mode))
        half.replace(path)
    except BaseException:
        half.unlink(missing_ok=True)
        raise


def _lehr(lehr: Lehr) -> Iterator[str]:
    yield "[lehr]"
    yield f"name = {toml_text(lehr.name)}"
    yield f"cooling_time_constant_h = {toml_number(lehr.cooling_time_constant / SECONDS_PER_HOUR)}"
    yield f"room_C = {toml_number(kelvin_to(lehr.ambient))}"
    yield f"max_heating_rate_C_per_h = {toml_number(rate_to(lehr.max_heating_rate))}"
    yield f"max_temperature_C = {toml_number(kelvin_to(lehr.max_temperature))}"
    yield f"thermocouple_offset_C = {toml_number(lehr.thermocouple_offset)}"
    yield f"thermocouple_error_C = {toml_number(lehr.thermocouple_error)}"
    yield f"unevenness_C = {toml_number(lehr.unevenness)}"
    yield ""
    yield "[lehr.controller]"
    yield f"entry = {toml_text(lehr.controller.entry.value)}"
    yield f"degrees = {toml_text(lehr.controller.unit.value)}"
    yield f"max_segments = {lehr.controller.max_segments}"
    yield f"rate_step = {toml_number(lehr.controller.rate_step)}"
    for name in ("smallest_rate", "greatest_rate"):
        rate = getattr(lehr.controller, name)
        if rate is not None:
            yield f"{name} = {toml_number(rate)}"
    if lehr.controller.longest_segment is not None:
        hours = lehr.controller.longest_segment / SECONDS_PER_HOUR
        yield f"longest_segment_h = {toml_number(hours)}"


def _limits(limits: StressLimits) -> Iterator[str]:
    yield "[limits]"
    for name in _LIMITS:
        yield f"{name}_MPa = {toml_number(getattr(limits, name) / 1e6)}"
    yield f"safety_factor = {toml_number(limits.safety_factor)}"


def glass_lines(name: str, glass: Glass) -> Iterator[str]:
    """The lines of a ``[glasses."name"]`` table."""
    yield f"[glasses.{toml_text(name)}]"
    if glass.composition is not None:
        yield f"composition = {toml_text(glass.composition.to_text())}"
    if glass.note:
        yield f"note = {toml_text(glass.note)}"
    if glass.source:
        yield f"source = {toml_text(glass.source)}"
    if not glass.measured.is_empty or glass.measured.source:
        yield ""
        yield from measured_lines(name, glass.measured)


def _piece(piece: Piece, own: float | str | None) -> Iterator[str]:
    yield "[[pieces]]"
    yield f"name = {toml_text(piece.name)}"
    yield f"count = {piece.count}"
    yield f"shape = {toml_text(piece.shape.value)}"
    yield f"glass = {toml_text(piece.glass)}"
    for key, length in (
        ("wall_mm", piece.wall_thickness),
        ("base_mm", piece.base_thickness),
        ("diameter_mm", piece.diameter),
        ("height_mm", piece.height),
    ):
        if length is not None:
            yield f"{key} = {toml_number(metre_to(length))}"
    yield f"cooled_from = {toml_text(piece.cooled_from.value)}"
    if piece.shape is Shape.VESSEL or piece.base_cooled_from is not CooledFrom.ONE:
        yield f"base_cooled_from = {toml_text(piece.base_cooled_from.value)}"
    if isinstance(own, str):
        yield f"grade = {toml_text(own)}"
    elif own is not None:
        yield f"permanent_MPa = {toml_number(own / 1e6)}"


def _strength(strength: Strength | None) -> Iterator[str]:
    if strength is not None and strength.temporary_tension is not None:
        yield f"temporary_MPa = {toml_number(strength.temporary_tension / 1e6)}"
    if strength is not None and strength.safety_factor is not None:
        yield f"safety_factor = {toml_number(strength.safety_factor)}"


def _placing(placing: Placing, clock: Callable[[datetime], str]) -> Iterator[str]:
    if placing.hotter != 0.0:
        yield f"place_hotter_C = {toml_number(placing.hotter)}"
    if placing.within is not None:
        yield f"place_within_C = {toml_number(placing.within)}"
    if placing.put_in is not None:
        yield f"put_in = {clock(placing.put_in)}"
    for key, kelvin in (("core_in_C", placing.core), ("skin_in_C", placing.skin)):
        if kelvin is not None:
            yield f"{key} = {toml_number(kelvin_to(kelvin))}"
    if placing.shelf is not None:
        yield f"shelf_mm = {toml_number(metre_to(placing.shelf))}"


def _gathering(gathering: Gathering | None, clock: Callable[[datetime], str]) -> Iterator[str]:
    if gathering is not None:
        yield f"pot = {toml_text(gathering.pot)}"
        yield f"gathered_at = {clock(gathering.time)}"


def _reheating(reheating: Reheating) -> Iterator[str]:
    yield "[reheating]"
    yield f"kind = {toml_text(reheating.kind.value)}"
    yield f"strain_MPa = {toml_number(reheating.strain / 1e6)}"
    yield f"lump_mm = {toml_number(metre_to(reheating.lump))}"
    for stage in ("squeeze", "process"):
        kelvin = getattr(reheating, f"{stage}_temperature")
        if kelvin is not None:
            yield f"{stage}_C = {toml_number(kelvin_to(kelvin))}"
        seconds = getattr(reheating, f"{stage}_time")
        if seconds is not None:
            yield f"{stage}_min = {toml_number(seconds / SECONDS_PER_MINUTE)}"
