"""Two glasses in one piece, in words and in rows for a table."""

from __future__ import annotations

from dataclasses import dataclass

from app.widgets.banner import Weight
from app.widgets.quantity import Quantity, format_quantity, number_text, scale_of
from core.glass.glass import Estimate
from core.joined.advice import Advice
from core.joined.cylinders import Cylinders
from core.joined.joint import Form, Joint
from core.joined.matching import Match
from core.joined.strength import ALLOWED_TENSION, Verdict
from core.units import UnitChoice

VERDICT_WEIGHT = {
    Verdict.SAFE: Weight.GOOD,
    Verdict.DOUBTFUL: Weight.CAUTION,
    Verdict.WILL_CRACK: Weight.PROBLEM,
}


@dataclass(frozen=True)
class Told:
    """A joint and what follows from it."""

    joint: Joint
    advice: Advice | None


@dataclass(frozen=True)
class PairRow:
    """One line: words, and a cell for each partner."""

    name: str
    inner: str
    outer: str


def places(form: Form) -> tuple[str, str]:
    """What the two partners are called."""
    if isinstance(form, Cylinders):
        return ("core", "casing") if form.area_ratio > 0.0 else ("thread", "body")
    return "base", "layer"


def pair_rows(joint: Joint, units: UnitChoice) -> list[PairRow]:
    """What decides, side by side."""
    first, second = joint.core.properties, joint.casing.properties
    pairs = (
        ("Expansion", Quantity.EXPANSION, first.expansion, second.expansion),
        ("Strain point", Quantity.TEMPERATURE, first.strain_point, second.strain_point),
        ("Annealing point", Quantity.TEMPERATURE, first.annealing_point, second.annealing_point),
        ("Largest tension", Quantity.STRESS, joint.core_tension, joint.casing_tension),
    )
    rows = [PairRow("Glass", joint.core.name, joint.casing.name)]
    for name, quantity, one, other in pairs:
        title = f"{name}, {scale_of(quantity, units).symbol}"
        rows.append(PairRow(title, _within(one, quantity, units), _within(other, quantity, units)))
    return rows


def verdict_words(joint: Joint) -> str:
    """The verdict as a heading."""
    return f"{joint.verdict.value[:1].upper()}{joint.verdict.value[1:]}"


def reason_words(joint: Joint, units: UnitChoice) -> str:
    """Why, in a few sentences."""
    inner, outer = places(joint.form)
    difference = joint.contraction.difference
    more = outer if difference.value >= 0 else inner
    less = inner if more == outer else outer
    ends = ""
    if difference.low is not None and difference.high is not None:
        low, high = sorted((difference.low, difference.high))
        sign = 1.0 if difference.value >= 0 else -1.0
        low, high = sorted((sign * low, sign * high))
        ends = f" ({_millionths(low)} to {_millionths(high)})"
    at = format_quantity(Quantity.TEMPERATURE, joint.contraction.set_temperature.value, units)
    by = f"{_millionths(abs(difference.value))}{ends} parts in a million"
    parts = [
        f"They set together at {at}.",
        f"From there the {more} shrinks more than the {less}, by {by}.",
    ]
    if joint.in_tension is not None:
        allowed = format_quantity(Quantity.STRESS, ALLOWED_TENSION, units)
        parts.append(f"“{joint.in_tension}” is in tension; {allowed} is allowed for good.")
    if joint.stress.curvature != 0.0:
        hollow = outer if joint.stress.curvature > 0 else inner
        radius = number_text(abs(1.0 / joint.stress.curvature), 2)
        parts.append(f"It bends to a radius of {radius} m, hollow on the side of the {hollow}.")
    return " ".join(parts)


def match_words(match: Match) -> str:
    """The smallest change in words."""
    if not match.change:
        return "It matches already: nothing needs to change."
    changes = ", ".join(
        f"{oxide} {'+' if by > 0 else '−'}{number_text(abs(by), 2)}"
        for oxide, by in match.change.items()
    )
    return f"Smallest change that matches: {changes} wt%."


def _within(estimate: Estimate, quantity: Quantity, units: UnitChoice) -> str:
    decimals = 0 if quantity is Quantity.TEMPERATURE else 1

    def shown(value: float) -> str:
        return format_quantity(quantity, value, units, decimals=decimals, with_unit=False)

    if estimate.low is None or estimate.high is None:
        return f"{shown(estimate.value)} (error not known)"
    return f"{shown(estimate.value)} ({shown(estimate.low)} to {shown(estimate.high)})"


def _millionths(strain: float) -> str:
    return number_text(strain * 1e6, 0)
