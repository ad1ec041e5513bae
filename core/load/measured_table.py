"""The ``[glasses."name".measured]`` table: points of a sheet, their errors, the studio's trials."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import StrEnum
from typing import Any

from core.glass.glass import MeasuredPoints, MeasuredViscosity
from core.glass.trial import FibreTest, ObservedAnnealing, SagTest, Section, Trial
from core.load.table_reader import TableReader, joined
from core.load.toml_text import toml_number, toml_text
from core.units import ZERO_CELSIUS

_POINTS = ("strain_point", "annealing_point", "softening_point", "working_point", "melting_point")
_OTHERS = {
    # field: (key without its unit, unit in the key, SI in one of it)
    "expansion": ("expansion", "per_K", 1.0),
    "density": ("density", "kg_m3", 1.0),
    "youngs_modulus": ("youngs_modulus", "GPa", 1e9),
}
MEASURED_KEYS: dict[str, str] = {
    **{name: f"{name}_C" for name in _POINTS},
    **{name: f"{stem}_{unit}" for name, (stem, unit, _) in _OTHERS.items()},
    **{f"{name}_error": f"{name}_error_C" for name in _POINTS},
    **{f"{name}_error": f"{stem}_error_{unit}" for name, (stem, unit, _) in _OTHERS.items()},
    "viscosities": "trials",
}
"""Field of :class:`core.glass.glass.MeasuredPoints` -> key in a file."""


class TrialKind(StrEnum):
    """What a ``[[... trials]]`` table tells of."""

    FIBRE = "fibre"
    SAG = "sag"
    ANNEALING = "annealing"
    VISCOSITY = "viscosity"


_TRIAL_FIELDS: dict[str, dict[str, tuple[str, float]]] = {
    # field: (unit in the key, SI in one of it); temperatures apart
    "fibre": {
        "diameter": ("mm", 1e-3),
        "length": ("mm", 1e-3),
        "load": ("g", 1e-3),
        "elongation": ("mm", 1e-3),
        "duration": ("min", 60.0),
    },
    "sag": {
        "span": ("mm", 1e-3),
        "thickness": ("mm", 1e-3),
        "sag": ("mm", 1e-3),
        "duration": ("min", 60.0),
        "density": ("kg_m3", 1.0),
    },
    "annealing": {},
}
_OPTIONAL = {"density"}


def read_measured(read: TableReader, table: Mapping[str, Any], path: str) -> MeasuredPoints:
    """Read the table.

    Raises
    ------
    LoadError
        With the file, line and key at fault.
    """
    read.only(table, path, " ".join((*MEASURED_KEYS.values(), "source")))
    values: dict[str, Any] = {"source": read.text(table, "source", path, default="")}
    for field, key in MEASURED_KEYS.items():
        if field == "viscosities":
            continue
        number = read.number(table, key, path)
        if number is None:
            continue
        unit = _OTHERS[field.removesuffix("_error")][2] if not key.endswith("_C") else 1.0
        zero = ZERO_CELSIUS if field in _POINTS else 0.0
        values[field] = number * unit + zero
    trials = read.tables(table, "trials")
    values["viscosities"] = tuple(
        _read_trial(read, trial, f"{joined(path, 'trials')}[{index}]")
        for index, trial in enumerate(trials)
    )
    return MeasuredPoints(**values)


def _read_trial(read: TableReader, table: Mapping[str, Any], path: str) -> MeasuredViscosity:
    kind = read.choice(table, "kind", path, TrialKind, None)
    if kind is None:
        options = ", ".join(f'"{option.value}"' for option in TrialKind)
        raise read.fault("The trial has no kind.", joined(path, "kind"), f"Use one of {options}.")
    temperature = _needed(read, table, "temperature_C", path) + ZERO_CELSIUS
    given: dict[str, float] = {}
    error = read.number(table, "temperature_error_C", path)
    if error is not None:
        given["temperature_error"] = error
    if kind is TrialKind.VISCOSITY:
        read.only(
            table,
            path,
            "kind temperature_C temperature_error_C log10_Pa_s log10_error source",
        )
        return MeasuredViscosity(
            _needed(read, table, "log10_Pa_s", path),
            temperature,
            **given,
            log_error=read.number(table, "log10_error", path, 0.0),
            source=read.text(table, "source", path, default="measured viscosity"),
        )
    fields = _TRIAL_FIELDS[kind.value]
    keys = {
        **{f: (f"{f}_{unit}", si) for f, (unit, si) in fields.items()},
        **{f"{f}_error": (f"{f}_error_{unit}", si) for f, (unit, si) in fields.items()},
    }
    more = ("section",) if kind is TrialKind.SAG else ()
    listed = (key for key, _ in keys.values())
    read.only(
        table, path, " ".join(("kind", "temperature_C", "temperature_error_C", *more, *listed))
    )
    for field, (key, si) in keys.items():
        if field in fields and field not in _OPTIONAL:
            given[field] = _needed(read, table, key, path) * si
        elif key in table:
            given[field] = read.number(table, key, path, 0.0) * si
    trial = _trial(read, table, path, kind, temperature, given)
    names = {field: key for field, (key, _) in keys.items()}
    return read.guarded(path, trial.viscosity, names)


def _trial(
    read: TableReader,
    table: Mapping[str, Any],
    path: str,
    kind: TrialKind,
    temperature: float,
    given: dict[str, float],
) -> Trial:
    if kind is TrialKind.FIBRE:
        return FibreTest(temperature=temperature, **given)
    if kind is TrialKind.ANNEALING:
        return ObservedAnnealing(temperature, **given)
    section = read.choice(table, "section", path, Section, Section.STRIP)
    return SagTest(temperature=temperature, section=section, **given)


def _needed(read: TableReader, table: Mapping[str, Any], key: str, path: str) -> float:
    number = read.number(table, key, path)
    if number is None:
        raise read.fault(f"The {key} of the trial is missing.", joined(path, key), "Add it.")
    return number


def measured_lines(name: str, points: MeasuredPoints) -> Iterator[str]:
    """The lines of a ``[glasses."name".measured]`` table; trials as the viscosities they gave."""
    head = f"glasses.{toml_text(name)}.measured"
    yield f"[{head}]"
    for field, key in MEASURED_KEYS.items():
        value = getattr(points, field)
        if field == "viscosities" or value is None:
            continue
        unit = _OTHERS[field.removesuffix("_error")][2] if not key.endswith("_C") else 1.0
        zero = ZERO_CELSIUS if field in _POINTS else 0.0
        yield f"{key} = {toml_number((value - zero) / unit)}"
    if points.source:
        yield f"source = {toml_text(points.source)}"
    for viscosity in points.viscosities:
        yield ""
        yield f"[[{head}.trials]]"
        yield f"kind = {toml_text(TrialKind.VISCOSITY.value)}"
        yield f"log10_Pa_s = {toml_number(viscosity.log_viscosity)}"
        yield f"temperature_C = {toml_number(viscosity.temperature - ZERO_CELSIUS)}"
        yield f"temperature_error_C = {toml_number(viscosity.temperature_error)}"
        yield f"log10_error = {toml_number(viscosity.log_error)}"
        yield f"source = {toml_text(viscosity.source)}"
