"""A lehr and its controller in a load file: the ``[lehr]`` table."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from core.equipment.lehr import Controller, Entry, Lehr
from core.load.table_reader import TableReader
from core.units import SECONDS_PER_HOUR, TemperatureUnit, kelvin_from, rate_from


def lehr_from_table(reader: TableReader, table: Mapping[str, Any]) -> Lehr:
    """Read the ``[lehr]`` table.

    Raises
    ------
    LoadError
        With the line and key at fault.
    """
    path = "lehr"
    if not table:
        raise reader.fault("The load has no lehr.", path, "Add a [lehr] table.")
    reader.only(
        table,
        path,
        "name cooling_time_constant_h room_C max_heating_rate_C_per_h max_temperature_C "
        "thermocouple_offset_C thermocouple_error_C unevenness_C controller",
    )
    hours = reader.number(table, "cooling_time_constant_h", path)
    if hours is None:
        raise reader.fault(
            "The lehr's cooling time constant is missing.",
            f"{path}.cooling_time_constant_h",
            "Measure it: hours in which, power off, its excess over the room falls to 37 %.",
        )
    room = reader.number(table, "room_C", path, default=20.0)
    heating = reader.number(table, "max_heating_rate_C_per_h", path, default=200.0)
    highest = reader.number(table, "max_temperature_C", path, default=650.0)
    offset = reader.number(table, "thermocouple_offset_C", path, default=0.0)
    unsure = {
        name: value
        for name in ("thermocouple_error", "unevenness")
        if (value := reader.number(table, f"{name}_C", path)) is not None
    }
    fields = {
        "cooling_time_constant": "cooling_time_constant_h",
        "ambient": "room_C",
        "max_heating_rate": "max_heating_rate_C_per_h",
        "max_temperature": "max_temperature_C",
        "thermocouple_offset": "thermocouple_offset_C",
        "thermocouple_error": "thermocouple_error_C",
        "unevenness": "unevenness_C",
    }
    return reader.guarded(
        path,
        lambda: Lehr(
            name=reader.text(table, "name", path, default="Lehr"),
            cooling_time_constant=hours * SECONDS_PER_HOUR,
            ambient=kelvin_from(room),
            max_heating_rate=rate_from(heating),
            max_temperature=kelvin_from(highest),
            thermocouple_offset=offset,
            controller=_controller(reader, reader.table(table, "controller", path)),
            **unsure,
        ),
        fields,
    )


def _controller(reader: TableReader, table: Mapping[str, Any]) -> Controller:
    path = "lehr.controller"
    reader.only(
        table,
        path,
        "entry degrees max_segments rate_step smallest_rate greatest_rate longest_segment_h",
    )
    segments = reader.whole(table, "max_segments", path, default=8)
    step = reader.number(table, "rate_step", path, default=1.0)
    longest = reader.number(table, "longest_segment_h", path)
    return reader.guarded(
        path,
        lambda: Controller(
            entry=reader.choice(table, "entry", path, Entry, Entry.RATE),
            unit=reader.choice(table, "degrees", path, TemperatureUnit, TemperatureUnit.CELSIUS),
            max_segments=segments,
            rate_step=step,
            smallest_rate=reader.number(table, "smallest_rate", path),
            greatest_rate=reader.number(table, "greatest_rate", path),
            longest_segment=None if longest is None else longest * SECONDS_PER_HOUR,
        ),
        {"longest_segment": "longest_segment_h"},
    )
