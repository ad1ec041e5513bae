"""A furnace's log with the power that went in: from a file, or readings with the power as told."""

from __future__ import annotations

import csv
import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from pathlib import Path

import numpy as np

from core.errors import LogFileError, Place, RunError
from core.furnace.ledger import FurnaceReading
from core.melt.limits import require
from core.melt.thermal_log import ThermalLog
from core.units import ZERO_CELSIUS

COLUMNS = "time, temperature_C and power_kW or power_percent"
_LARGEST = 50_000_000
"""[bytes]."""


@dataclass(frozen=True)
class PowerStretch:
    """What the furnace drew from one time to another (aware) [W], as somebody knows or metered."""

    start: datetime
    end: datetime
    power: float

    def __post_init__(self) -> None:
        if self.start.tzinfo is None or self.end.tzinfo is None:
            raise RunError("A time of the stretch has no time zone.", field="start")
        if self.end <= self.start:
            raise RunError(
                "The stretch ends before it begins.", field="end", remedy="Check its times."
            )
        require(self.power / 1000.0, 0.0, 10_000.0, "power", "A power", "kW")


@dataclass(frozen=True, eq=False)
class PowerLog:
    """A log to fit to, and the moment of its first reading (aware)."""

    log: ThermalLog
    start: datetime

    @property
    def end(self) -> datetime:
        """The moment of its last reading."""
        return self.start + timedelta(seconds=self.log.duration)


def told_log(
    readings: Sequence[FurnaceReading],
    stretches: Sequence[PowerStretch],
    full_power: float,
    *,
    metered: bool = True,
) -> PowerLog:
    """Readings of the book with the power as somebody tells it.

    Parameters
    ----------
    readings : sequence of FurnaceReading
        Of one furnace, in order of time.
    stretches : sequence of PowerStretch
        One after the other without a gap; readings outside are left out.
    full_power : float
        On the plate [W].
    metered : bool
        Whether the powers are known by their size.

    Raises
    ------
    RunError
        If stretches leave a gap or overlap, or too few readings lie in them.
    """
    ordered = sorted(stretches, key=lambda stretch: stretch.start)
    if not ordered:
        raise RunError(
            "Nothing is told of the power.",
            field="stretches",
            remedy="Tell from when to when it was off, or how much it drew.",
        )
    for before, after in itertools.pairwise(ordered):
        if abs((after.start - before.end).total_seconds()) > 60.0:
            raise RunError(
                "Between two stretches of power nobody knows what it did, or they overlap.",
                field="stretches",
                remedy="Let each begin when the one before ends.",
            )
    first, last = ordered[0].start, ordered[-1].end
    inside = [reading for reading in readings if first <= reading.time <= last]
    if not inside:
        raise RunError(
            "No reading lies in the stretches of power told.",
            field="stretches",
            remedy="Check their times against the readings.",
        )
    began = inside[0].time
    until = inside[-1].time
    changes = [stretch.start for stretch in ordered if began < stretch.start < until]
    knots = sorted({*(reading.time for reading in inside), *changes})
    time = np.array([(moment - began).total_seconds() for moment in knots])
    seconds = np.array([(r.time - began).total_seconds() for r in inside])
    kelvin = np.interp(time, seconds, np.array([r.temperature for r in inside]))
    starts = np.array([(s.start - began).total_seconds() for s in ordered])
    which = np.clip(np.searchsorted(starts, time, side="right") - 1, 0, len(ordered) - 1)
    power = np.array([ordered[i].power / full_power for i in which])
    return PowerLog(ThermalLog(time, kelvin, power, metered), began)


def read_power_log(path: Path, full_power: float, zone: tzinfo | None = None) -> PowerLog:
    """Read a file with a line of headings: ``time``, ``temperature_C`` and a power.

    The power is ``power_kW`` or ``power_percent`` of the plate's. Commas, semicolons or tabs part
    the columns; beside the latter two a decimal comma is read. Times are ISO 8601; without an
    offset they are the studio's clock.

    Parameters
    ----------
    full_power : float
        On the plate [W].

    Raises
    ------
    LogFileError
        With the line at fault.
    RunError
        If what was read cannot be fitted to.
    """
    lines = _text(path).splitlines()
    if not lines:
        raise LogFileError("The file is empty.", place=Place(str(path)))
    mark = max(";\t,", key=lines[0].count)
    rows = list(csv.reader(lines, delimiter=mark))
    heads = [head.strip().lower() for head in rows[0]]
    unit = "power_kw" if "power_kw" in heads else "power_percent"
    for wanted in ("time", "temperature_c", unit):
        if wanted not in heads:
            raise LogFileError(
                "The file has no columns of time, temperature and power.",
                place=Place(str(path), 1),
                remedy=f"Give it a line of headings with {COLUMNS}.",
            )
    at, temperature, power = (heads.index(name) for name in ("time", "temperature_c", unit))
    scale = 1000.0 / full_power if unit == "power_kw" else 0.01
    moments: list[datetime] = []
    values: list[tuple[float, float]] = []
    for number, row in enumerate(rows[1:], start=2):
        if not any(cell.strip() for cell in row):
            continue
        place = Place(str(path), number)
        try:
            moment = datetime.fromisoformat(row[at].strip())
            numbers = [float(_point(row[i], mark)) for i in (temperature, power)]
        except (ValueError, IndexError) as error:
            raise LogFileError(
                "This line is not a time, a temperature and a power.",
                place=place,
                remedy="Write such as 2026-11-25T18:05, 1215.5, 9.8.",
            ) from error
        if moment.tzinfo is None:
            moment = moment.replace(tzinfo=zone) if zone else moment.astimezone()
        if moments and moment <= moments[-1]:
            raise LogFileError("The lines are not in order of time.", place=place)
        moments.append(moment)
        values.append((numbers[0] + ZERO_CELSIUS, numbers[1] * scale))
    if not moments:
        raise LogFileError("The file has headings but no readings.", place=Place(str(path)))
    table = np.array(values)
    seconds = np.array([(m - moments[0]) / timedelta(seconds=1) for m in moments])
    return PowerLog(ThermalLog(seconds, table[:, 0], table[:, 1], metered=True), moments[0])


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > _LARGEST:
            raise LogFileError("The file is too large for a log.", place=Place(str(path)))
        return path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise LogFileError(
            f"“{path.name}” cannot be read as text.",
            place=Place(str(path)),
            remedy="Save it as CSV in UTF-8.",
        ) from error


def _point(cell: str, mark: str) -> str:
    text = cell.strip()
    return text if mark == "," else text.replace(",", ".")
