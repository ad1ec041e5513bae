"""A batch as text to read at the scale, and as JSON."""

from __future__ import annotations

from typing import Any

from core.batch.batch import Batch
from core.batch.compared import Compared, compared_properties
from core.batch.sheet import WeighOutSheet
from core.command_line.table import columns, estimate_json
from core.glass.glass import Estimate, GlassProperties
from core.units import ZERO_CELSIUS, kelvin_to

_POINTS = ("annealing_point", "softening_point", "working_point")


def batch_json(batch: Batch, sheet: WeighOutSheet) -> dict[str, Any]:
    """A batch as plain values: kg, wt%, °C, litres."""
    request = batch.request
    compared = {row.what: row for row in compared_properties(batch)}
    wide = compared[Compared.WORKING_RANGE]
    return {
        "name": request.name,
        "target_weight_percent": dict(request.target.weight_percent),
        "analysis_before_wish_weight_percent": (
            dict(request.wished_from.weight_percent) if request.wished_from else None
        ),
        "glass_kg": round(batch.balance.glass, 6),
        "batch_kg": round(batch.balance.weighed, 6),
        "glass_yield": round(batch.glass_yield, 5),
        "weighings": [
            {
                "material": line.material,
                "part": line.part.value,
                "kg": line.mass,
                "before_rounding_kg": round(line.exact, 6),
                "division_kg": line.division,
                "cost": None if line.cost is None else round(line.cost, 4),
                "counted": line.counted.value if line.counted else None,
            }
            for line in batch.weighings
        ],
        "oxides": [
            {
                "oxide": one.oxide,
                "target_weight_percent": round(one.target, 4),
                "reached_weight_percent": round(one.reached, 4),
                "difference_weight_percent": round(one.difference, 4),
            }
            for one in batch.oxides
        ],
        "glass_weight_percent": {o: round(w, 4) for o, w in batch.glass.weight_percent.items()},
        "properties": {
            "target": _properties_json(batch.target_properties, wide.target),
            "reached": _properties_json(batch.base_properties, wide.reached),
            "with_additions": _properties_json(batch.glass_properties, wide.with_additions),
        },
        "cannot_be_reached": [
            {
                "oxide": one.oxide,
                "target_weight_percent": round(one.target, 4),
                "reached_weight_percent": round(one.reached, 4),
                "cause": one.cause,
                "helps": list(one.helps),
            }
            for one in batch.shortfalls
        ],
        "cost": round(batch.cost, 2),
        "currency": request.materials.currency or None,
        "without_price": list(batch.unpriced),
        "gases": [
            {
                "gas": gas.gas,
                "kg": round(gas.mass, 6),
                "litres": None if gas.volume is None else round(1000.0 * gas.volume, 1),
            }
            for gas in batch.gases
        ],
        "mass_balance_kg": {
            "weighed": round(batch.balance.weighed, 6),
            "glass": round(batch.balance.glass, 6),
            "gas": round(batch.balance.gas, 6),
            "moisture": round(batch.balance.moisture, 6),
            "volatilised": round(batch.balance.volatilised, 6),
        },
        "volatilised_kg": {oxide: round(mass, 6) for oxide, mass in batch.volatilised.items()},
        "sizes": [
            {
                "glass_kg": row.glass,
                "kg": {
                    line.material: mass for line, mass in zip(sheet.lines, row.masses, strict=True)
                },
            }
            for row in sheet.sizes
        ],
        "safety": list(batch.safety),
        "warnings": list(batch.warnings),
        "notes": list(batch.notes),
    }


def _properties_json(
    properties: GlassProperties | None, wide: Estimate | None
) -> dict[str, Any] | None:
    if properties is None:
        return None
    values: dict[str, Any] = {}
    for point in _POINTS:
        estimate: Estimate | None = getattr(properties, point)
        values[f"{point}_C"] = None if estimate is None else round(kelvin_to(estimate.value), 1)
    annealing, expansion = properties.annealing_point, properties.expansion
    return {
        **values,
        "annealing_point_low_C": _celsius(annealing.low),
        "annealing_point_high_C": _celsius(annealing.high),
        **estimate_json("working_range_C", wide, digits=1),
        "expansion_per_K": expansion.value,
        "expansion_low_per_K": expansion.low,
        "expansion_high_per_K": expansion.high,
        "warnings": list(properties.warnings),
    }


def _celsius(kelvin: float | None) -> float | None:
    return None if kelvin is None else round(kelvin_to(kelvin), 1)


def batch_text(batch: Batch, sheet: WeighOutSheet) -> str:
    """A batch as a sheet of text, the weights first."""
    parts = [
        _head(batch),
        _weights(batch, sheet),
        _warnings(batch),
        _oxides(batch),
        _shortfalls(batch),
        _properties(batch),
        _money_and_gas(batch),
        _safety(batch),
    ]
    return "\n\n".join(part for part in parts if part)


def _head(batch: Batch) -> str:
    balance = batch.balance
    return (
        f"{batch.request.name}\n{balance.glass:.2f} kg of glass from {balance.weighed:.2f} kg "
        f"weighed out ({100 * batch.glass_yield:.1f} %)"
    )


def _weights(batch: Batch, sheet: WeighOutSheet) -> str:
    sizes = [f"for {row.glass:g} kg" for row in sheet.sizes]
    rows = [("", "", "", "in the tub", "", *sizes)]
    for i, (line, weighing) in enumerate(zip(sheet.lines, batch.weighings, strict=True)):
        about = line.part.value if line.part.value != "base" else ""
        if weighing.counted is not None:
            about = f"{about}, {weighing.counted.value}"
        others = [line.shown(row.masses[i]) for row in sheet.sizes]
        total = f"{line.running_total:.2f} kg"
        rows.append(("[ ]", line.material, line.shown(), total, about, *others))
    rows.append(("", "together", f"{sheet.total:.2f} kg", "", "", *[""] * len(sizes)))
    return columns(rows, right=(2, 3, *range(5, 5 + len(sizes))))


def _oxides(batch: Batch) -> str:
    moved_from = batch.request.wished_from
    head = ["wt%", "target", "reached", "difference"]
    if moved_from is not None:
        head.insert(1, "analysis")
    more = batch.glass.weight_percent != batch.base.weight_percent
    if more:
        head.append("with additions")
    rows = [tuple(head)]
    for oxide in dict.fromkeys(
        [one.oxide for one in batch.oxides] + list(batch.glass.weight_percent)
    ):
        found = next((one for one in batch.oxides if one.oxide == oxide), None)
        row = [oxide]
        if moved_from is not None:
            row.append(f"{moved_from.weight(oxide):.2f}")
        if found is None:
            row += ["", "", ""]
        else:
            row += [f"{found.target:.2f}", f"{found.reached:.2f}", f"{found.difference:+.2f}"]
        if more:
            row.append(f"{batch.glass.weight(oxide):.{_places(batch.glass.weight(oxide))}f}")
        rows.append(tuple(row))
    return columns(rows, right=tuple(range(1, len(head))))


def _places(value: float) -> int:
    return 4 if 0 < value < 0.1 else 2


def _shortfalls(batch: Batch) -> str:
    lines = []
    for one in batch.shortfalls:
        helps = f" What would help: {', '.join(one.helps)}." if one.helps else ""
        lines.append(
            f"! {one.oxide} comes to {one.reached:.3g} wt% instead of {one.target:.3g}. "
            f"{one.cause}{helps}"
        )
    return "\n".join(["Cannot be reached:", *lines]) if lines else ""


def _properties(batch: Batch) -> str:
    more = batch.glass_properties is not batch.base_properties
    names = ["target", "reached", *(["with additions"] if more else [])]
    rows: list[tuple[str, ...]] = [("computed", *names, "")]
    for row in compared_properties(batch):
        shown = [row.target, row.reached, *([row.with_additions] if more else [])]
        if row.what is Compared.EXPANSION:
            cells = [_spread(one, 1e7, 1) for one in shown]
            rows.append(("expansion 20-300 °C", *cells, "1e-7/K"))
        else:
            shift = 0.0 if row.what is Compared.WORKING_RANGE else -ZERO_CELSIUS
            rows.append((row.what.value, *(_spread(one, 1.0, 0, shift) for one in shown), "°C"))
    final = batch.glass_properties
    warnings = () if final is None else final.warnings
    table = columns(rows, right=tuple(range(1, 1 + len(names))))
    return "\n".join([table, *(f"~ {warning}" for warning in warnings)])


def _spread(estimate: Estimate | None, factor: float, digits: int, shift: float = 0.0) -> str:
    if estimate is None:
        return ""
    value = f"{estimate.value * factor + shift:.{digits}f}"
    if estimate.plus_minus is None:
        return value
    return f"{value} ± {estimate.plus_minus * factor:.{digits}f}"


def _money_and_gas(batch: Batch) -> str:
    lines = []
    currency = batch.request.materials.currency
    if len(batch.unpriced) < len(batch.weighings):
        cost = f"Cost {batch.cost:.2f} {currency}".rstrip()
        each = f"{batch.cost_per_kg:.2f} {currency}".rstrip()
        without = f"; without {', '.join(batch.unpriced)}" if batch.unpriced else ""
        lines.append(f"{cost}, {each} per kg of glass{without}.")
    else:
        lines.append("No prices are known.")
    gases = [
        f"{gas.gas} {gas.mass:.2f} kg"
        + ("" if gas.volume is None else f" ({1000 * gas.volume:.0f} litres)")
        for gas in batch.gases
    ]
    if gases:
        lines.append(f"Given off, volume at 20 °C: {', '.join(gases)}.")
    if batch.balance.moisture > 0:
        lines.append(f"Moisture dried off: {batch.balance.moisture:.2f} kg.")
    if batch.volatilised:
        lost = ", ".join(f"{o} {1000 * mass:.0f} g" for o, mass in batch.volatilised.items())
        lines.append(f"Volatilised: {lost}.")
    return "\n".join(lines)


def _warnings(batch: Batch) -> str:
    return "\n".join(f"! {warning}" for warning in batch.warnings)


def _safety(batch: Batch) -> str:
    lines = [f"* {line}" for line in batch.safety]
    return "\n".join(["Mind:", *lines, "", *(f"- {note}" for note in batch.notes)])
