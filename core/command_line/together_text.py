"""A joint of two glasses as text and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from core.command_line.table import columns, estimate_json
from core.glass.glass import Estimate
from core.joined.advice import Advice
from core.joined.contraction import Partner
from core.joined.cylinders import Cylinders
from core.joined.elastic_pair import Stress
from core.joined.joint import Form, Joint
from core.joined.matching import Match
from core.joined.strength import (
    ALLOWED_TENSION,
    FRACTURE_TENSION,
    LONG_TERM_STRENGTH,
    SAFETY_FACTOR,
)
from core.units import ZERO_CELSIUS, metre_to

_MEGA, _PARTS_PER_MILLION, _EXPANSION = 1e-6, 1e6, 1e7

_ALLOWED = (
    f"Tension allowed for good: {ALLOWED_TENSION * _MEGA:.1f} MPa, a long-term strength of "
    f"{LONG_TERM_STRENGTH * _MEGA:.0f} MPa over a safety factor of {SAFETY_FACTOR:g}."
)


def joint_json(joint: Joint, advice: Advice | None, found: Match | None) -> dict[str, Any]:
    """The joint as plain values: °C, MPa, mm, parts per million, expansions in 1/K."""
    contraction = joint.contraction
    return {
        "core": _partner_json(joint.core),
        "casing": _partner_json(joint.casing),
        "form": _form_json(joint.form),
        **estimate_json(
            "set_temperature_C", contraction.set_temperature, shift=-ZERO_CELSIUS, digits=1
        ),
        "sets_first": contraction.sets_first,
        **estimate_json(
            "contraction_core_ppm", contraction.core, factor=_PARTS_PER_MILLION, digits=1
        ),
        **estimate_json(
            "contraction_casing_ppm", contraction.casing, factor=_PARTS_PER_MILLION, digits=1
        ),
        **estimate_json(
            "difference_ppm", contraction.difference, factor=_PARTS_PER_MILLION, digits=1
        ),
        "stress_core": _stress_json(joint.stress.core),
        "stress_casing": _stress_json(joint.stress.casing),
        "curvature_per_m": joint.stress.curvature,
        **estimate_json("core_tension_MPa", joint.core_tension, factor=_MEGA, digits=3),
        **estimate_json("casing_tension_MPa", joint.casing_tension, factor=_MEGA, digits=3),
        "in_tension": joint.in_tension,
        "allowed_tension_MPa": round(ALLOWED_TENSION * _MEGA, 2),
        "long_term_strength_MPa": LONG_TERM_STRENGTH * _MEGA,
        "safety_factor": SAFETY_FACTOR,
        "fracture_tension_MPa": FRACTURE_TENSION * _MEGA,
        "verdict": joint.verdict.value,
        "advice": None if advice is None else _advice_json(advice),
        "match": None if found is None else _match_json(found),
        "warnings": list(joint.warnings),
    }


def joint_text(joint: Joint, advice: Advice | None, found: Match | None) -> str:
    """The joint as lines of text."""
    contraction = joint.contraction
    cases = _cases(joint.form)
    rows: list[tuple[str, ...]] = [
        ("", f"{cases[0]}: {joint.core.name}", f"{cases[1]}: {joint.casing.name}")
    ]
    pairs = (
        ("expansion 20-300 °C, 1e-7/K", "expansion", _EXPANSION, 0.0, 1),
        ("strain point, °C", "strain_point", 1.0, -ZERO_CELSIUS, 0),
        ("annealing point, °C", "annealing_point", 1.0, -ZERO_CELSIUS, 0),
    )
    for label, key, factor, shift, digits in pairs:
        both = (getattr(partner.properties, key) for partner in (joint.core, joint.casing))
        rows.append((label, *(_shown(one, factor, shift, digits) for one in both)))
    rows += [
        (
            "shrinks from setting, ppm",
            _shown(contraction.core, _PARTS_PER_MILLION, 0.0, 0),
            _shown(contraction.casing, _PARTS_PER_MILLION, 0.0, 0),
        ),
        (
            "largest tension, MPa",
            _shown(joint.core_tension, _MEGA, 0.0, 1),
            _shown(joint.casing_tension, _MEGA, 0.0, 1),
        ),
    ]
    set_at = contraction.set_temperature
    lines = [
        columns(rows),
        "",
        f"They set together at {_shown(set_at, 1.0, -ZERO_CELSIUS, 0)} °C ({set_at.source}).",
        _difference_sentence(contraction.difference, cases),
        *_stress_lines(joint, cases),
        _ALLOWED,
        "",
        f"Verdict: {joint.verdict.value}.",
    ]
    if advice is not None:
        lines.append(advice.sentence)
    if found is not None:
        lines += ["", *_match_lines(found)]
    return "\n".join([*lines, "", *(f"! {warning}" for warning in joint.warnings)])


def _cases(form: Form) -> tuple[str, str]:
    """What the two partners are called."""
    if isinstance(form, Cylinders):
        return ("core", "casing") if form.area_ratio > 0.0 else ("thread", "body")
    return "base", "layer"


def _difference_sentence(difference: Estimate, cases: tuple[str, str]) -> str:
    less, more = cases
    if difference.value < 0.0:
        less, more = more, less
        low, high = (None if end is None else -end for end in (difference.high, difference.low))
        difference = Estimate(value=-difference.value, source="", low=low, high=high)
    shown = _shown(difference, _PARTS_PER_MILLION, 0.0, 0)
    return f"From there the {more} shrinks more than the {less} by {shown} ppm."


def _signed(value: float) -> str:
    """With its sign to a tenth; nothing has none."""
    shown = f"{value:+.1f}"
    return "0.0" if float(shown) == 0.0 else shown


def _stress_lines(joint: Joint, cases: tuple[str, str]) -> list[str]:
    """The stresses, one line a partner."""
    lines = []
    for case, stresses in zip(cases, (joint.stress.core, joint.stress.casing), strict=True):
        parts = [
            f"{stress.direction.value} {_signed(stress.value * _MEGA)} MPa {stress.place}"
            for stress in stresses
        ]
        lines.append(f"Stress of the {case}: {'; '.join(parts)}.")
    if joint.stress.curvature != 0.0:
        hollow = cases[1] if joint.stress.curvature > 0 else cases[0]
        radius = abs(1.0 / joint.stress.curvature)
        lines.append(f"It bends to a radius of {radius:.3g} m, hollow on the {hollow}'s side.")
    return lines


def _match_lines(found: Match) -> list[str]:
    changes = ", ".join(f"{oxide} {by:+.2f}" for oxide, by in found.change.items())
    amounts = found.glass.composition.to_text() if found.glass.composition else ""
    rows = [
        ("", "matched", "wanted"),
        (
            "expansion 20-300 °C, 1e-7/K",
            _shown(found.expansion, _EXPANSION, 0.0, 1),
            f"{found.target_expansion * _EXPANSION:.1f}",
        ),
        (
            "annealing point, °C",
            _shown(found.annealing_point, 1.0, -ZERO_CELSIUS, 0),
            f"{found.target_annealing_point - ZERO_CELSIUS:.0f}",
        ),
    ]
    return [
        f"Smallest change that matches: {changes or 'none'} wt%.",
        f"{found.glass.name}: {amounts}",
        columns(rows),
    ]


def _partner_json(partner: Partner) -> dict[str, Any]:
    known = partner.properties
    return {
        "name": partner.name,
        **estimate_json("expansion_per_K", known.expansion, digits=10),
        **estimate_json("strain_point_C", known.strain_point, shift=-ZERO_CELSIUS, digits=1),
        **estimate_json("annealing_point_C", known.annealing_point, shift=-ZERO_CELSIUS, digits=1),
        "youngs_modulus_GPa": round(known.youngs_modulus.value * 1e-9, 2),
        "poissons_ratio": round(known.poissons_ratio.value, 4),
    }


def _form_json(form: Form) -> dict[str, Any]:
    if not isinstance(form, Cylinders):
        return {
            "form": "layer",
            "base_mm": _millimetres(form.base),
            "layer_mm": _millimetres(form.layer),
            "both_faces": form.both_faces,
            "bends": form.bends,
        }
    if form.area_ratio == 0.0:
        return {"form": "thread", "thread_diameter_mm": _millimetres(2.0 * form.core_radius)}
    return {
        "form": "cased",
        "core_diameter_mm": _millimetres(2.0 * form.core_radius),
        "casing_mm": _millimetres(form.outer_radius - form.core_radius),
    }


def _millimetres(length: float) -> float:
    return round(metre_to(length), 6)


def _stress_json(stresses: Sequence[Stress]) -> list[dict[str, Any]]:
    return [
        {
            "direction": stress.direction.value,
            "place": stress.place,
            "MPa": round(stress.value * _MEGA, 4),
        }
        for stress in stresses
    ]


def _advice_json(advice: Advice) -> dict[str, Any]:
    return {
        "change": advice.partner,
        "expansion_change_per_K": advice.expansion_change,
        "swaps": [
            {
                "less": swap.less,
                "more": swap.more,
                "weight_percent": round(swap.weight_percent, 3),
                "annealing_change_C": round(swap.annealing_change, 1),
            }
            for swap in advice.swaps
        ],
        "sentence": advice.sentence,
    }


def _match_json(found: Match) -> dict[str, Any]:
    composition = found.glass.composition
    return {
        "name": found.glass.name,
        "change_weight_percent": {oxide: round(by, 4) for oxide, by in found.change.items()},
        "composition_weight_percent": dict(composition.weight_percent) if composition else None,
        **estimate_json("expansion_per_K", found.expansion, digits=10),
        **estimate_json("annealing_point_C", found.annealing_point, shift=-ZERO_CELSIUS, digits=1),
        "target_expansion_per_K": found.target_expansion,
        "target_annealing_point_C": round(found.target_annealing_point - ZERO_CELSIUS, 1),
    }


def _shown(estimate: Estimate, factor: float, shift: float, digits: int) -> str:
    """Value with its interval in brackets."""
    value = f"{estimate.value * factor + shift:.{digits}f}"
    if estimate.low is None or estimate.high is None:
        return f"{value} (error not known)"
    low, high = (end * factor + shift for end in (estimate.low, estimate.high))
    return f"{value} ({low:.{digits}f} to {high:.{digits}f})"
