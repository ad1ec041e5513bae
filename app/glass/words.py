"""A glass's estimates, models and warnings in words and in rows for tables."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from app.widgets.quantity import NOTHING, Quantity, format_quantity, number_text
from app.widgets.tables import Column
from core.glass.fixed_points import FIXED_POINTS, FixedPoint
from core.glass.glass import Estimate, GlassProperties, ModelPrediction
from core.units import UnitChoice


@dataclass(frozen=True)
class PointRow:
    """One of the five temperatures and what is known of it."""

    point: FixedPoint
    estimate: Estimate | None


@dataclass(frozen=True)
class PropertyRow:
    """Another property: its words, how its number is shown, and what is known of it."""

    name: str
    quantity: Quantity
    factor: float
    unit: str
    decimals: int
    estimate: Estimate
    tip: str


@dataclass(frozen=True)
class ModelRow:
    """One line of the models side by side: its words and a cell for each model."""

    name: str
    cells: tuple[str, ...]
    tips: tuple[str, ...]


def point_rows(properties: GlassProperties) -> list[PointRow]:
    """The five temperatures from cold to hot."""
    return [PointRow(point, getattr(properties, point.key)) for point in FIXED_POINTS]


def short_name(point: FixedPoint) -> str:
    """Name of a point where its heading says that it is one: ``"Annealing"``."""
    return point.name.split()[0].capitalize()


def viscosity_words(point: FixedPoint) -> str:
    """The viscosity that defines a point as ``10^13.5 Pa s``."""
    return f"10^{number_text(point.log_viscosity, 1, trim=True)} Pa s"


def meaning(point: FixedPoint) -> str:
    """What a point is: viscosity, standard, what the glass does there."""
    return (
        f"{point.name.capitalize()}, {viscosity_words(point)} ({point.standard}). {point.meaning}"
    )


def origin(row: PropertyRow) -> str:
    """What a property is and where its number is from."""
    told = f"{row.name}: {row.tip}" if row.tip else row.name
    return f"{told}. From: {source_words(row.estimate)}."


def source_words(estimate: Estimate | None) -> str:
    """Where a number is from, beginning with the word that matters."""
    if estimate is None:
        return "not known"
    if estimate.measured:
        return "measured" if estimate.source == "measured" else f"measured: {estimate.source}"
    return estimate.source


def point_columns(units: UnitChoice) -> list[Column]:
    """Columns of the table of five temperatures."""
    symbol = units.temperature.symbol

    def degrees(kelvin: float) -> str:
        return format_quantity(Quantity.TEMPERATURE, kelvin, units, with_unit=False)

    def shown(row: PointRow) -> str:
        return NOTHING if row.estimate is None else degrees(row.estimate.value)

    def within(row: PointRow) -> str:
        return interval_words(row.estimate, degrees)

    return [
        Column("Point", lambda r: short_name(r.point), tip=lambda r: meaning(r.point)),
        Column(symbol, shown, numeric=True, tip=_spread_tip),
        Column("9 in 10 within", within, numeric=True, tip=_spread_tip),
        Column("From", lambda r: source_words(r.estimate), stretch=True, gives_way=1),
    ]


def interval_words(estimate: Estimate | None, number: Callable[[float], str]) -> str:
    """The ends of an estimate's interval as ``"548–572"``, each written by ``number``."""
    if estimate is None or estimate.low is None or estimate.high is None:
        return NOTHING
    return f"{number(estimate.low)}–{number(estimate.high)}"


def _spread_tip(row: PointRow) -> str:
    if row.estimate is None:
        return "Too little is known of this glass"
    if row.estimate.plus_minus is not None:
        if row.estimate.measured:
            return "Nine in ten measurements of this kind lie that close to the truth"
        return "Nine in ten glasses of this analysis, melted and measured elsewhere, lie within"
    return "No error is stated" if row.estimate.measured else "No accuracy can be claimed here"


def property_rows(properties: GlassProperties) -> list[PropertyRow]:
    """Expansion, density, stiffness, optics and the temperatures that are not viscosities."""
    rows = [
        PropertyRow(
            "Expansion",
            Quantity.EXPANSION,
            1.0,
            "",
            1,
            properties.expansion,
            "mean linear, 20–300 °C; decides what may be joined",
        ),
        PropertyRow("Density", Quantity.DENSITY, 1.0, "", 3, properties.density, "at 20 °C"),
        PropertyRow(
            "Young's modulus", Quantity.MODULUS, 1.0, "", 1, properties.youngs_modulus, "stiffness"
        ),
        PropertyRow("Poisson's ratio", Quantity.PLAIN, 1.0, "", 3, properties.poissons_ratio, ""),
        PropertyRow(
            "Stress-optical",
            Quantity.PLAIN,
            1e12,
            "×10⁻¹²/Pa",
            2,
            properties.stress_optical_coefficient,
            "coefficient; how much a polariscope shows of a stress",
        ),
    ]
    others = (
        ("Glass transition", Quantity.TEMPERATURE, 0, properties.glass_transition, "dilatometer"),
        (
            "Liquidus",
            Quantity.TEMPERATURE,
            0,
            properties.liquidus,
            "below it crystals can grow in glass held long",
        ),
        ("At 10² Pa s", Quantity.TEMPERATURE, 0, properties.temperature_log2, "gathering, fining"),
        ("Refractive index", Quantity.PLAIN, 3, properties.refractive_index, "sodium light, 20 °C"),
    )
    rows += [
        PropertyRow(name, quantity, 1.0, "", decimals, estimate, tip)
        for name, quantity, decimals, estimate, tip in others
        if estimate is not None
    ]
    return rows


def property_columns(units: UnitChoice) -> list[Column]:
    """Columns of the table of other properties."""

    def number(row: PropertyRow, value: float, *, unit: bool) -> str:
        return format_quantity(
            row.quantity, value * row.factor, units, decimals=row.decimals, with_unit=unit
        )

    def shown(row: PropertyRow) -> str:
        return f"{number(row, row.estimate.value, unit=True)} {row.unit}".strip()

    def within(row: PropertyRow) -> str:
        return interval_words(row.estimate, lambda value: number(row, value, unit=False))

    return [
        Column("Property", lambda r: r.name, tip=lambda r: r.tip),
        Column("Value", shown, numeric=True, tip=lambda r: r.tip),
        Column("9 in 10 within", within, numeric=True, tip=lambda r: r.tip),
        Column("From", lambda r: source_words(r.estimate), stretch=True, gives_way=1),
    ]


def model_rows(models: Sequence[ModelPrediction], units: UnitChoice) -> list[ModelRow]:
    """The published models side by side."""
    rows = []
    for point in FIXED_POINTS:
        cells, tips = [], []
        for model in models:
            text = format_quantity(Quantity.TEMPERATURE, getattr(model, point.key), units)
            beyond = point.name in model.extrapolated
            cells.append(f"({text})" if beyond else text)
            tips.append(
                "Beyond the viscosities the model was fitted to: no accuracy can be claimed"
                if beyond
                else meaning(point)
            )
        rows.append(ModelRow(short_name(point), tuple(cells), tuple(tips)))
    errors = [
        f"± {format_quantity(Quantity.INTERVAL, model.stated_error, units)}" for model in models
    ]
    rows.append(
        ModelRow("Error it states", tuple(errors), ("For glasses in its range",) * len(models))
    )
    ranges = ["in range" if model.in_range else "out of range" for model in models]
    tips = [" ".join(model.outside) or "Every oxide is in its range" for model in models]
    rows.append(ModelRow("This glass", tuple(ranges), tuple(tips)))
    return rows


def model_columns(models: Sequence[ModelPrediction]) -> list[Column]:
    """A column for each model."""

    def column(number: int, model: ModelPrediction) -> Column:
        return Column(
            model.model,
            lambda r: r.cells[number],
            numeric=True,
            stretch=True,
            tip=lambda r: r.tips[number],
            spoken=lambda r: r.cells[number].replace("(", "extrapolated ").replace(")", ""),
        )

    return [
        Column("Model", lambda r: r.name),
        *(column(number, model) for number, model in enumerate(models)),
    ]


def verdict_words(models: Sequence[ModelPrediction]) -> str:
    """Whether the published models agree with ours, a line each; empty when nothing is said."""
    return "\n".join(model.verdict for model in models if model.verdict)


def outside_words(models: Sequence[ModelPrediction]) -> str:
    """By how much the glass lies outside each model's range; empty when in all."""
    parts = [f"{model.model}: {' '.join(model.outside)}" for model in models if model.outside]
    return "\n".join(parts)


def brackets_words(models: Sequence[ModelPrediction]) -> str:
    """What brackets in the table of models mean; empty when there are none."""
    if not any(model.extrapolated for model in models):
        return ""
    return "In brackets: extrapolated beyond the viscosities the model was fitted to."


def lead_and_other(warnings: Sequence[str]) -> tuple[str, list[str]]:
    """The caution about lead (empty without lead), and the other warnings."""
    lead = [text for text in warnings if text.startswith("This glass contains lead")]
    return (lead[0] if lead else ""), [text for text in warnings if text not in lead]
