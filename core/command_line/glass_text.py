"""A glass's properties as JSON for machines and as text for the terminal."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from core.command_line.table import columns, estimate_json
from core.glass.fixed_points import FIXED_POINTS
from core.glass.glass import Estimate, Glass, GlassProperties, PropertyOpinion
from core.units import ZERO_CELSIUS, kelvin_to

_TEMPERATURES = (
    # attribute, key, name, log10(viscosity / Pa s)
    ("strain_point", "strain_point_C", "strain point", "13.5"),
    ("annealing_point", "annealing_point_C", "annealing point", "12"),
    ("glass_transition", "glass_transition_C", "glass transition", ""),
    ("softening_point", "softening_point_C", "softening point", "6.6"),
    ("working_point", "working_point_C", "working point", "3"),
    ("temperature_log2", "T_log2_C", "at 10^2 Pa s", "2"),
    ("melting_point", "melting_point_C", "melting temperature", "1"),
    ("liquidus", "liquidus_C", "liquidus", ""),
)
_OTHERS = (
    # attribute, key, digits kept in JSON, name, factor, unit, decimals
    ("expansion", "expansion_per_K", None, "expansion 20-300 °C", 1e7, "1e-7/K", 1),
    ("density", "density_kg_m3", 1, "density", 1e-3, "g/cm3", 3),
    ("youngs_modulus", "youngs_modulus_Pa", None, "Young's modulus", 1e-9, "GPa", 1),
    ("poissons_ratio", "poissons_ratio", 4, "Poisson's ratio", 1.0, "", 3),
    ("refractive_index", "refractive_index", 4, "refractive index", 1.0, "", 3),
    (
        "stress_optical_coefficient",
        "stress_optical_coefficient_per_Pa",
        None,
        "stress-optical",
        1e12,
        "1e-12/Pa",
        2,
    ),
)


def to_json(glass: Glass, properties: GlassProperties) -> dict[str, Any]:
    """The glass as plain values; temperatures in °C, the rest SI.

    Every value has its 90 % interval beside it, ``..._low`` and ``..._high``; null where nothing
    can be said.
    """
    values: dict[str, Any] = {}
    for attribute, key, *_ in _TEMPERATURES:
        values |= estimate_json(key, getattr(properties, attribute), shift=-ZERO_CELSIUS, digits=1)
    for attribute, key, digits, *_ in _OTHERS:
        values |= estimate_json(key, getattr(properties, attribute), digits=digits)
    composition, domain = glass.composition, properties.domain
    return {
        "name": glass.name,
        **values,
        "composition_weight_percent": dict(composition.weight_percent) if composition else None,
        "composition_standard_error": dict(composition.uncertainty) if composition else None,
        "composition_notes": list(composition.notes) if composition else [],
        "original_total": composition.original_total if composition else None,
        "in_range": None if domain is None else domain.in_range,
        "domain": None
        if domain is None
        else {
            "in_range": domain.in_range,
            "sentences": list(domain.sentences),
            "oxides": list(domain.oxides),
        },
        "models": [
            {
                "model": model.model,
                **{f"{p.key}_C": round(kelvin_to(getattr(model, p.key)), 1) for p in FIXED_POINTS},
                "in_range": model.in_range,
                "outside": list(model.outside),
                "extrapolated": list(model.extrapolated),
                "stated_error_C": model.stated_error,
                "agrees": not model.disagrees,
                "disagrees": list(model.disagrees),
                "verdict": model.verdict,
                "ignored": list(model.ignored),
            }
            for model in properties.models
        ],
        "published_factors": [_factors(opinion) for opinion in properties.opinions],
        "model_versions": dict(properties.model_versions),
        "warnings": list(properties.warnings),
        "notes": list(properties.notes),
    }


def _factors(opinion: PropertyOpinion) -> dict[str, Any]:
    estimate = opinion.estimate
    return {
        "property": opinion.key,
        "value": estimate.value,
        "low": estimate.low,
        "high": estimate.high,
        "source": estimate.source,
        "agrees": opinion.agrees,
    }


def as_text(glass: Glass, properties: GlassProperties, working: str = "") -> str:
    """The glass for reading: values with intervals, how it works, second opinions, what to mind.

    ``working`` are lines that say how it works.
    """
    lines = [glass.name, *_analysis(glass), ""]
    rows = [("", "°C", "90 % between", "log10 Pa s", "from")]
    for attribute, _, name, log in _TEMPERATURES:
        estimate: Estimate | None = getattr(properties, attribute)
        if estimate is not None:
            celsius = f"{kelvin_to(estimate.value):.0f}"
            rows.append((name, celsius, _between(estimate, 0), log, estimate.source))
        elif attribute in {point.key for point in FIXED_POINTS}:
            rows.append((name, "not known", "", log, ""))
    lines += [columns(rows, right=(1, 2, 3)), ""]
    rows = []
    for attribute, _, _, name, factor, unit, decimals in _OTHERS:
        estimate = getattr(properties, attribute)
        if estimate is None:
            continue
        shown = f"{estimate.value * factor:.{decimals}f}"
        rows.append((name, shown, _between(estimate, decimals, factor), unit, estimate.source))
    lines.append(columns(rows, right=(1, 2)))
    lines += ["", "Working", working] if working else []
    lines += _second_opinions(properties)
    if properties.domain is not None and properties.domain.in_range:
        lines += ["", "Glasses like this one are behind the model."]
    marked = [f"! {warning}" for warning in properties.warnings]
    marked += [f"* {note}" for note in (*properties.notes, *_how_read(glass))]
    return "\n".join([*lines, *([""] if marked else []), *marked])


def _analysis(glass: Glass) -> Iterator[str]:
    if glass.composition is not None:
        total = f"{glass.composition.original_total:.2f} {glass.composition.basis.value}"
        yield f"{glass.composition.to_text()}  (as given: total {total})"


def _how_read(glass: Glass) -> tuple[str, ...]:
    return () if glass.composition is None else glass.composition.notes


def _between(estimate: Estimate, decimals: int, factor: float | None = None) -> str:
    """The interval, of a temperature [K] in °C where no factor is given."""
    if estimate.low is None or estimate.high is None:
        return ""
    ends = (estimate.low, estimate.high)
    low, high = (kelvin_to(e) if factor is None else e * factor for e in ends)
    return f"{low:.{decimals}f} to {high:.{decimals}f}"


def _second_opinions(properties: GlassProperties) -> Iterator[str]:
    if not properties.models:
        return
    rows = [("Second opinions", *(point.name for point in FIXED_POINTS))]
    for model in properties.models:
        cells = []
        for point in FIXED_POINTS:
            celsius = f"{kelvin_to(getattr(model, point.key)):.0f}"
            cells.append(f"({celsius})" if point.name in model.extrapolated else celsius)
        rows.append((model.model, *cells))
    yield ""
    yield columns(rows, right=tuple(range(1, len(rows[0]))))
    if any(model.extrapolated for model in properties.models):
        yield "(in brackets: beyond the viscosities that model was fitted to)"
    for model in properties.models:
        yield f"  {model.verdict}" if model.verdict else f"  {model.model}: nothing to compare."
    apart = [opinion for opinion in properties.opinions if not opinion.agrees]
    names = {
        attribute: (name, factor, unit, d) for attribute, _, _, name, factor, unit, d in _OTHERS
    }
    for opinion in apart:
        name, factor, unit, decimals = names[opinion.key]
        shown = f"{opinion.estimate.value * factor:.{decimals}f} {unit}".strip()
        source = opinion.estimate.source
        yield f"  {name}: {shown} by {source}, further from ours than both errors allow."
