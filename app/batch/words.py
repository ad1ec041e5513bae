"""A batch in words and in rows for tables."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from app.glass.words import interval_words
from app.widgets.quantity import (
    NOTHING,
    Quantity,
    format_quantity,
    local_sentence,
    number_text,
    signed_text,
)
from app.widgets.tables import Column
from core.batch.answer import BatchAnswer
from core.batch.batch import Batch, Part, Shortfall, Weighing
from core.batch.compared import Compared, ComparedProperty
from core.batch.request import Counted
from core.batch.sheet import SheetLine, as_read, decimals_of
from core.glass.glass import Estimate
from core.units import MassUnit, UnitChoice, kilogram_to

_PROPERTY = {
    Compared.ANNEALING_POINT: ("Annealing point", Quantity.TEMPERATURE, 0),
    Compared.SOFTENING_POINT: ("Softening point", Quantity.TEMPERATURE, 0),
    Compared.WORKING_POINT: ("Working point", Quantity.TEMPERATURE, 0),
    Compared.WORKING_RANGE: ("Working range", Quantity.INTERVAL, 0),
    Compared.EXPANSION: ("Expansion", Quantity.EXPANSION, 1),
}
_TIPS = {
    Compared.EXPANSION: "Mean linear, 20–300 °C",
    Compared.WORKING_RANGE: "Working point less softening point",
}
_PARTS = {Part.BASE: "", Part.CULLET: "cullet", Part.ADDITION: "added"}


@dataclass(frozen=True)
class WeighRow:
    """A line of the sheet and the weighing behind it."""

    line: SheetLine
    weighing: Weighing


@dataclass(frozen=True)
class OxideRow:
    """An oxide of target, base glass and finished glass [wt%]; ``None`` where it is of no matter.

    ``short`` says that it cannot be had as asked.
    """

    oxide: str
    target: float | None
    reached: float | None
    finished: float
    short: bool


def mass_words(mass: float, division: float, units: UnitChoice) -> str:
    """A mass as the scale shows it; in pounds, with as many decimals as the division has."""
    if units.mass is MassUnit.KILOGRAM:
        return local_sentence(as_read(mass, division))
    decimals = min(decimals_of(float(f"{kilogram_to(division, units.mass):.1g}")), 5)
    return format_quantity(Quantity.MASS, mass, units, decimals=decimals)


def weigh_rows(answer: BatchAnswer) -> list[WeighRow]:
    """The weigh-out in order of weighing."""
    lines, weighings = answer.sheet.lines, answer.batch.weighings
    return [WeighRow(line, weighing) for line, weighing in zip(lines, weighings, strict=True)]


def weigh_columns(units: UnitChoice, currency: str) -> list[Column]:
    """Columns of the weigh-out."""
    cost = f"Cost {currency}".strip()
    return [
        Column("Material", lambda r: r.line.material, stretch=True),
        Column(
            "Weigh",
            lambda r: mass_words(r.line.mass, r.line.division, units),
            value=lambda r: r.line.mass,
            numeric=True,
            tip=lambda r: f"{mass_words(r.weighing.exact, 1e-6, units)} before rounding",
        ),
        Column(
            "In the tub",
            lambda r: mass_words(r.line.running_total, _total_division(r), units),
            value=lambda r: r.line.running_total,
            numeric=True,
            gives_way=3,
        ),
        Column("For", lambda r: for_words(r.weighing), gives_way=2),
        Column(
            cost,
            lambda r: NOTHING if r.weighing.cost is None else number_text(r.weighing.cost, 2),
            numeric=True,
            gives_way=1,
        ),
    ]


def _total_division(row: WeighRow) -> float:
    """The tub stands on the coarse scale, however fine the pinch that goes in."""
    return max(row.line.division, 0.001)


def for_words(weighing: Weighing) -> str:
    """What a weighing is for: nothing for the base, else cullet or an addition."""
    counted = {Counted.ON_TOP: ", on top", Counted.IN_TARGET: ", in the target", None: ""}
    return f"{_PARTS[weighing.part]}{counted[weighing.counted]}"


def oxide_rows(batch: Batch) -> list[OxideRow]:
    """Every oxide of target and glass."""
    asked = {one.oxide: one for one in batch.oxides}
    short = {one.oxide for one in batch.shortfalls}
    rows = []
    for oxide in dict.fromkeys([*asked, *batch.glass.weight_percent]):
        one = asked.get(oxide)
        rows.append(
            OxideRow(
                oxide,
                None if one is None else one.target,
                None if one is None else one.reached,
                batch.glass.weight(oxide),
                oxide in short,
            )
        )
    return rows


def _percent(value: float | None) -> str:
    if value is None:
        return NOTHING
    return number_text(value, 4 if 0 < abs(value) < 0.1 else 2)


def oxide_columns(*, with_additions: bool) -> list[Column]:
    """Columns of target against reached."""

    def difference(row: OxideRow) -> str:
        if row.target is None or row.reached is None:
            return NOTHING
        return signed_text(number_text(row.reached - row.target, 2))

    columns = [
        Column("wt%", lambda r: f"{r.oxide} !" if r.short else r.oxide, stretch=True),
        Column("Target", lambda r: _percent(r.target), numeric=True),
        Column("Reached", lambda r: _percent(r.reached), numeric=True),
        Column(
            "Difference",
            difference,
            numeric=True,
            tip=lambda r: "Cannot be had as asked: see above" if r.short else "",
            gives_way=1,
        ),
    ]
    if with_additions:
        columns.append(
            Column("With additions", lambda r: _percent(r.finished), numeric=True, gives_way=2)
        )
    return columns


def property_columns(units: UnitChoice, *, with_additions: bool) -> list[Column]:
    """Columns of the glasses side by side: value and, in brackets, its interval."""

    def cell(of: Callable[[ComparedProperty], Estimate | None]) -> Callable[[object], str]:
        return lambda row: _estimate_words(row, of(row), units)  # type: ignore[arg-type]

    columns = [
        Column(
            "Computed",
            lambda r: _property_name(r, units),
            stretch=True,
            tip=lambda r: _TIPS.get(r.what, ""),
        ),
        Column("Target", cell(lambda r: r.target), numeric=True),
        Column("Reached", cell(lambda r: r.reached), numeric=True, gives_way=1),
    ]
    if with_additions:
        # What is in the pot matters more than what it would be without them.
        columns.append(
            Column("With additions", cell(lambda r: r.with_additions), numeric=True, gives_way=2)
        )
    return columns


def _property_name(row: ComparedProperty, units: UnitChoice) -> str:
    name, quantity, _ = _PROPERTY[row.what]
    symbol = "×10⁻⁷/K" if quantity is Quantity.EXPANSION else units.temperature.symbol
    return f"{name} {symbol}"


def _estimate_words(row: ComparedProperty, estimate: Estimate | None, units: UnitChoice) -> str:
    if estimate is None:
        return NOTHING
    _, quantity, decimals = _PROPERTY[row.what]

    def number(value: float) -> str:
        return format_quantity(quantity, value, units, decimals=decimals, with_unit=False)

    within = interval_words(estimate, number)
    return number(estimate.value) if within == NOTHING else f"{number(estimate.value)} ({within})"


def headline(batch: Batch, units: UnitChoice) -> str:
    """How much glass from how much weighed."""
    glass = format_quantity(Quantity.MASS, batch.balance.glass, units)
    weighed = format_quantity(Quantity.MASS, batch.balance.weighed, units)
    return f"{glass} of glass from {weighed} weighed out"


def shortfall_words(shortfalls: Sequence[Shortfall]) -> list[str]:
    """What cannot be reached, why, and what would help."""
    return [
        local_sentence(
            f"{one.oxide} comes to {one.reached:.3g} wt% instead of {one.target:.3g}. {one.cause}"
            + (f" What would help: {', '.join(one.helps)}." if one.helps else "")
        )
        for one in shortfalls
    ]


def balance_words(batch: Batch, units: UnitChoice) -> str:
    """Yield, cost, gas, moisture and what volatilises, a line each."""
    lines = [
        f"Yield: {number_text(100 * batch.glass_yield, 1)} % of what is weighed out is glass.",
        cost_words(batch),
    ]
    gases = [
        f"{gas.gas} {format_quantity(Quantity.MASS, gas.mass, units)}"
        + ("" if gas.volume is None else f" ({1000 * gas.volume:.0f} litres)")
        for gas in batch.gases
    ]
    if gases:
        lines.append(f"Gas given off, volume at 20 °C: {', '.join(gases)}.")
    if batch.balance.moisture > 0:
        dried = format_quantity(Quantity.MASS, batch.balance.moisture, units)
        lines.append(f"Moisture dried off: {dried}.")
    if batch.volatilised:
        lost = ", ".join(f"{o} {1000 * mass:.0f} g" for o, mass in batch.volatilised.items())
        lines.append(f"Volatilised: {lost}.")
    return "\n".join(lines)


def cost_words(batch: Batch) -> str:
    """Cost in all and per kg of glass, and what it does not hold."""
    if len(batch.unpriced) >= len(batch.weighings):
        return "Cost: no prices are known."
    currency = batch.request.materials.currency
    cost = f"{number_text(batch.cost, 2)} {currency}".rstrip()
    each = f"{number_text(batch.cost_per_kg, 2)} {currency}".rstrip()
    without = f"; without {', '.join(batch.unpriced)}" if batch.unpriced else ""
    return f"Cost: {cost}, {each} per kg of glass{without}."
