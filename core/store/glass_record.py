"""A glass as a JSON object and back: analysis, measured points, trials."""

from __future__ import annotations

from core.composition.composition import Basis, Composition
from core.glass.glass import Glass, MeasuredPoints, MeasuredViscosity
from core.store.fields import Fields, Json

_POINTS = ("strain_point", "annealing_point", "softening_point", "working_point", "melting_point")
_VALUES = (*_POINTS, "expansion", "density", "youngs_modulus")


def put_glass(glass: Glass) -> Json:
    """Write a glass."""
    return {
        "name": glass.name,
        "composition": None if glass.composition is None else _put_composition(glass.composition),
        "measured": _put_measured(glass.measured),
        "note": glass.note,
        "source": glass.source,
    }


def take_glass(fields: Fields) -> Glass:
    """Read a glass."""
    return Glass(
        name=fields.text("name"),
        composition=fields.maybe("composition", _take_composition),
        measured=_take_measured(fields.inner("measured")),
        note=fields.text("note"),
        source=fields.text("source"),
    )


def _put_composition(composition: Composition) -> Json:
    return {
        "weight_percent": dict(composition.weight_percent),
        "original_total": composition.original_total,
        "basis": composition.basis.value,
        "warnings": list(composition.warnings),
        "uncertainty": dict(composition.uncertainty),
        "notes": list(composition.notes),
    }


def _take_composition(fields: Fields) -> Composition:
    # Format 1 knew neither errors nor notes.
    return Composition(
        weight_percent=_take_amounts(fields.inner("weight_percent")),
        original_total=fields.number("original_total"),
        basis=fields.choice("basis", Basis),
        warnings=fields.texts("warnings"),
        uncertainty=fields.maybe("uncertainty", _take_amounts) or {},
        notes=fields.maybe_texts("notes"),
    )


def _take_amounts(fields: Fields) -> dict[str, float]:
    return {oxide: fields.number(oxide) for oxide in fields.names()}


def _put_measured(measured: MeasuredPoints) -> Json:
    values: Json = {}
    for name in _VALUES:
        values[name] = getattr(measured, name)
        values[f"{name}_error"] = getattr(measured, f"{name}_error")
    values["source"] = measured.source
    values["viscosities"] = [
        {
            "log_viscosity": viscosity.log_viscosity,
            "temperature": viscosity.temperature,
            "temperature_error": viscosity.temperature_error,
            "log_error": viscosity.log_error,
            "source": viscosity.source,
        }
        for viscosity in measured.viscosities
    ]
    return values


def _take_measured(fields: Fields) -> MeasuredPoints:
    # Format 1 knew neither errors nor trials.
    values = {
        name: fields.maybe_number(name) for value in _VALUES for name in (value, f"{value}_error")
    }
    return MeasuredPoints(
        **values,
        source=fields.text("source"),
        viscosities=tuple(
            MeasuredViscosity(
                log_viscosity=trial.number("log_viscosity"),
                temperature=trial.number("temperature"),
                temperature_error=trial.number("temperature_error"),
                log_error=trial.number("log_error"),
                source=trial.text("source"),
            )
            for trial in fields.maybe_inners("viscosities")
        ),
    )
