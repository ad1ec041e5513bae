"""``lehrkeeper together``: two glasses in one piece, safe or not, and what to change."""

from __future__ import annotations

import argparse
import re
from typing import Any

from core.command_line.named_glass import glass_named
from core.command_line.table import as_json
from core.command_line.together_text import joint_json, joint_text
from core.composition.composition import Basis
from core.errors import GlassError
from core.glass.glass import Glass
from core.joined.advice import advise, smaller_partner
from core.joined.cylinders import Cylinders
from core.joined.joint import Form, Joint, join
from core.joined.layers import Layers
from core.joined.matching import TOLERANCE, Match, match
from core.units import metre_from, parse_number

_DEFAULT_CORE = {"cased": "10", "layer": "4", "thread": "1"}
_DEFAULT_CASING = "1"


def add_arguments(commands: Any) -> None:
    """Add the command to the parser's commands."""
    parser: argparse.ArgumentParser = commands.add_parser(
        "together",
        help="two glasses in one piece: stress between them, safe or not",
        description="Cased colour, cane, layer or thread: how much more one glass shrinks than the "
        "other, the tension left in each, a verdict, and what to change. Put names and analyses in "
        "quotes.",
    )
    add = parser.add_argument
    glass = "name, analysis or file, as for lehrkeeper glass"
    add("core", help=f"the inner glass, the base or the thread: {glass}")
    add("casing", help=f"the outer glass, the layer or the body: {glass}")
    add(
        "--form",
        choices=list(_DEFAULT_CORE),
        default="cased",
        help="cased: a round core with a casing; layer: flat, one on the other; thread: a thread "
        "in a large body",
    )
    add("--core-mm", metavar="MM", help="diameter of the core (10), thickness of the base (4)")
    add("--casing-mm", metavar="MM", help="thickness of the casing or layer (1)")
    add("--both-faces", action="store_true", help="layer: on both faces of the base")
    add("--vessel", action="store_true", help="layer: in the wall of a vessel, which cannot bend")
    add(
        "--same-house",
        action="store_true",
        help="both are melted here from the same raw materials, so that their difference is surer",
    )
    add("--match", metavar="OXIDES", help="oxides that may change to match, 'Na2O SiO2 CaO'")
    add("--within", metavar="NUMBER", help="match the expansion this closely (0.5) [1e-7 per K]")
    add(
        "--lower-by",
        metavar="NUMBER",
        help="match to so much below the other's expansion (0) [1e-7 per K]; a casing a little "
        "lower ends in compression",
    )
    add("--annealing-within", metavar="C", help="match the annealing point this closely too")
    add("--basis", choices=[b.value for b in Basis], help="unit of the analyses")
    add("--json", action="store_true", help="print JSON for machines")
    parser.set_defaults(execute=execute)


def execute(arguments: argparse.Namespace) -> str:
    """Join, judge and format."""
    basis = Basis(arguments.basis) if arguments.basis else None
    core = glass_named(arguments.core, basis, field="core")
    casing = glass_named(arguments.casing, basis, field="casing")
    joint = join(core, casing, _form(arguments), same_house=arguments.same_house)
    found = _match(joint, arguments)
    advice = advise(joint)
    if arguments.json:
        return as_json(joint_json(joint, advice, found))
    return joint_text(joint, advice, found)


def _form(arguments: argparse.Namespace) -> Form:
    if arguments.form != "layer" and (arguments.both_faces or arguments.vessel):
        raise GlassError(
            "--both-faces and --vessel are for layers only.",
            field="form",
            remedy="Add --form layer, or leave them out.",
        )
    core = metre_from(_positive(arguments.core_mm or _DEFAULT_CORE[arguments.form], "core_mm"))
    casing = metre_from(_positive(arguments.casing_mm or _DEFAULT_CASING, "casing_mm"))
    if arguments.form == "layer":
        return Layers(core, casing, arguments.both_faces, not arguments.vessel)
    if arguments.form == "thread":
        return Cylinders(0.5 * core, float("inf"))
    return Cylinders(0.5 * core, 0.5 * core + casing)


def _positive(text: str, field: str) -> float:
    """A number of millimetres that a piece of glass can have."""
    value = parse_number(text, field=field)
    if not 1e-3 <= value <= 1e4:
        raise GlassError(
            f"{value:g} mm is no size of a piece.", field=field, remedy="Give 0.001 to 10000 mm."
        )
    return value


def _match(joint: Joint, arguments: argparse.Namespace) -> Match | None:
    if arguments.match is None:
        given = (arguments.within, arguments.annealing_within, arguments.lower_by)
        if any(value is not None for value in given):
            raise GlassError(
                "No oxides that may change were named.",
                field="match",
                remedy="Add --match 'Na2O SiO2 CaO'.",
            )
        return None
    oxides = [word for word in re.split(r"[\s,;]+", arguments.match) if word]
    changed = smaller_partner(joint)
    kept = joint.core if changed is joint.casing else joint.casing
    glasses: tuple[Glass, Glass] = (changed.glass, kept.glass)
    within, annealing = arguments.within, arguments.annealing_within
    lower_by = parse_number(arguments.lower_by or "0", field="lower_by") * 1e-7
    return match(
        *glasses,
        oxides,
        tolerance=TOLERANCE if within is None else parse_number(within, field="within") * 1e-7,
        annealing_tolerance=(
            None if annealing is None else parse_number(annealing, field="annealing_within")
        ),
        lower_by=lower_by,
    )
