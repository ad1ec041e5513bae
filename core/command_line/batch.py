"""``lehrkeeper batch``: what to weigh out for a glass."""

from __future__ import annotations

import argparse
import dataclasses
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from core.batch.material_file import read_materials, shipped_materials
from core.batch.property_target import PropertyWish, nearest_with, oxides_in
from core.batch.reckon import make_batch
from core.batch.request import (
    Addition,
    BatchRequest,
    Bound,
    Counted,
    Cullet,
    MeltSize,
    Prefer,
)
from core.batch.request_file import DEFAULT_SIZE, BatchFile, library_composition, read_batch
from core.batch.sheet import sheet_of
from core.batch.volatilisation import usual_losses
from core.command_line.batch_text import batch_json, batch_text
from core.command_line.table import as_json
from core.command_line.terminal import faults_placed_in
from core.composition.composition import Basis, Composition
from core.composition.oxides import canonical_oxide
from core.composition.parse import parse_composition
from core.errors import BatchError, GlassError, Place
from core.load.load_file import page_of_text, read_glass
from core.units import parse_number

_TEXT_ENDINGS = {".csv", ".tsv", ".txt"}
_PAIR = "NAME=NUMBER"


def add_arguments(commands: Any) -> None:
    """Add the command to the parser's commands."""
    parser: argparse.ArgumentParser = commands.add_parser(
        "batch",
        help="what to weigh out for a glass",
        description="The weigh-out of a glass from raw materials and cullet: what is reached, what "
        "it costs and gives off, and what to mind.",
    )
    parser.add_argument(
        "target",
        nargs="+",
        help="a batch file (TOML), the name of a glass in the library, or an analysis such as "
        "'SiO2 70, Na2O 16, CaO 14'",
    )
    add = parser.add_argument
    add("--basis", choices=[b.value for b in Basis], help="unit of the analysis")
    add("--kg", metavar="KG", help="glass in the pot (default 10)")
    add("--batch-kg", metavar="KG", help="weight of everything weighed out, instead of --kg")
    add("--materials", type=Path, metavar="FILE", help="the studio's list of materials (TOML)")
    add("--cullet", metavar="GLASS", help="cullet: name of a glass, its analysis or its file")
    add("--cullet-share", metavar="PERCENT", help="share of the finished glass that is cullet")
    add("--division", metavar="GRAMS", help="what the scale reads to (default 10 g)")
    add("--fine-division", metavar="GRAMS", help="the same for small weights (default 0.1 g)")
    add("--prefer", choices=[p.value for p in Prefer], help="among batches equally near")
    pairs = (
        ("--add", "'NAME=0.3%%' or 'NAME=200ppm' of the glass; NAME a material or an oxide"),
        ("--at-most", f"{_PAIR}: no more of a material than so many kg"),
        ("--at-least", f"{_PAIR}: no less of a material than so many kg"),
        ("--exactly", f"{_PAIR}: so many kg of a material"),
        ("--weight", f"{_PAIR}: how much more an oxide matters than usual (1)"),
        ("--volatilises", f"{_PAIR}: per cent of an oxide from raw materials the melt loses"),
    )
    for option, text in pairs:
        add(option, action="append", default=[], metavar=_PAIR, help=f"{text}; may be repeated")
    add(
        "--usual-losses",
        action="store_true",
        help="allow for usual volatilisation where --volatilises says nothing",
    )
    add(
        "--counted",
        choices=[c.value for c in Counted],
        help="whether what --add brings is on top of the target or in it",
    )
    add("--expansion", metavar="NUMBER", help="aim at this expansion [1e-7 per K]")
    add("--raise-annealing", metavar="C", help="aim at an annealing point so many °C higher")
    add("--change", metavar="OXIDES", help="oxides that may change to reach it")
    add("--sizes", metavar="KG", help="also show the weights for melts of these sizes, '20 40 80'")
    add("--json", action="store_true", help="print JSON for machines")
    parser.set_defaults(execute=execute)


def execute(arguments: argparse.Namespace) -> str:
    """Reckon and format."""
    text = " ".join(arguments.target)
    path = Path(text)
    if _is_file(path, {".toml"}):
        asked = read_batch(path)
        with faults_placed_in(path):
            return _answer(asked, arguments)
    start = _analysis(text, arguments.basis)
    name = text if len(text) <= 40 and "=" not in text and "," not in text else "as entered"
    request = BatchRequest(name, start, shipped_materials(), DEFAULT_SIZE)
    return _answer(BatchFile(request, start), arguments)


def _answer(asked: BatchFile, arguments: argparse.Namespace) -> str:
    wish = _wish(asked, arguments)
    request = _with_options(asked.request, arguments)
    if wish != asked.wish and wish is not None:
        target = nearest_with(asked.start, wish)
        request = dataclasses.replace(request, target=target, wished_from=asked.start)
    batch = make_batch(request)
    sheet = sheet_of(batch, _sizes(arguments.sizes))
    if arguments.json:
        return as_json(batch_json(batch, sheet))
    return batch_text(batch, sheet)


def _with_options(request: BatchRequest, given: argparse.Namespace) -> BatchRequest:
    """The request with what the options change."""
    changes: dict[str, Any] = {}
    if given.kg is not None and given.batch_kg is not None:
        raise BatchError(
            "There is both a size of glass and of batch.",
            field="kg",
            remedy="Give --kg or --batch-kg.",
        )
    if given.kg is not None:
        changes |= {"size": parse_number(given.kg, field="kg"), "size_of": MeltSize.GLASS}
    if given.batch_kg is not None:
        size = parse_number(given.batch_kg, field="batch_kg")
        changes |= {"size": size, "size_of": MeltSize.BATCH}
    if given.materials is not None:
        changes["materials"] = read_materials(given.materials)
    if given.division is not None:
        changes["division"] = parse_number(given.division, field="division") / 1000.0
    if given.fine_division is not None:
        changes["fine_division"] = parse_number(given.fine_division, field="division") / 1000.0
    if given.prefer is not None:
        changes["prefer"] = Prefer(given.prefer)
    if given.add:
        counted = Counted(given.counted) if given.counted else None
        new = tuple(_addition(text, counted) for text in given.add)
        changes["additions"] = (*request.additions, *new)
    changes["bounds"] = dict(request.bounds) | _bounds(given)
    changes["weights"] = dict(request.weights) | _by_oxide(given.weight, 1.0)
    usual = usual_losses(request.target.weight_percent) if given.usual_losses else {}
    asked = dict(request.volatilises) | _by_oxide(given.volatilises, 0.01)
    changes["volatilises"] = usual | asked
    cullet = _cullet(request.cullet, given)
    return dataclasses.replace(request, cullet=cullet, **changes)


def _cullet(known: Cullet | None, given: argparse.Namespace) -> Cullet | None:
    if given.cullet is None and given.cullet_share is None:
        return known
    share = known.share if known else None
    if given.cullet_share is not None:
        share = parse_number(given.cullet_share, field="cullet_share") / 100.0
    if share is None:
        raise BatchError(
            "The cullet's share of the glass is missing.",
            field="cullet_share",
            remedy="Give --cullet-share, in per cent of the finished glass.",
        )
    if given.cullet is not None:
        return Cullet(given.cullet.strip(), _analysis(given.cullet, None), share)
    if known is None:
        raise BatchError(
            "There is a share of cullet but no cullet.",
            field="cullet",
            remedy="Give --cullet with the name of a glass or its analysis.",
        )
    return dataclasses.replace(known, share=share)


def _bounds(given: argparse.Namespace) -> dict[str, Bound]:
    bounds: dict[str, Bound] = {}
    for text in given.at_least:
        name, number = _pair(text)
        bounds[name] = Bound(number)
    for text in given.at_most:
        name, number = _pair(text)
        bounds[name] = Bound(bounds[name].at_least if name in bounds else 0.0, number)
    for text in given.exactly:
        name, number = _pair(text)
        if name in bounds:
            raise BatchError(
                f"“{name}” is fixed and bounded at once.", field=name, remedy="Leave one of them."
            )
        bounds[name] = Bound.fixed(number)
    return bounds


def _by_oxide(texts: Sequence[str], factor: float) -> dict[str, float]:
    pairs = [_pair(text) for text in texts]
    return {canonical_oxide(name): factor * number for name, number in pairs}


def _addition(text: str, counted: Counted | None) -> Addition:
    name, amount = _split(text)
    units: tuple[tuple[str, float], ...] = (("ppm", 1e-6), ("wt%", 0.01), ("%", 0.01))
    for unit, factor in units:
        if amount.lower().endswith(unit):
            number = parse_number(amount[: -len(unit)], field=name)
            return Addition(name, number * factor, counted)
    raise BatchError(
        f"The amount “{amount}” of {name} has no unit.",
        field=name,
        remedy="Write 0.3% or 200ppm, of the glass.",
    )


def _pair(text: str) -> tuple[str, float]:
    name, amount = _split(text)
    return name, parse_number(amount, field=name)


def _split(text: str) -> tuple[str, str]:
    name, mark, amount = (part.strip() for part in text.rpartition("="))
    if not mark or not name or not amount:
        raise BatchError(
            f"“{text}” is not a name and a number.", field="option", remedy="Write 'soda ash=3'."
        )
    return name, amount


def _wish(asked: BatchFile, given: argparse.Namespace) -> PropertyWish | None:
    if given.expansion is None and given.raise_annealing is None:
        if given.change and asked.wish is None:
            raise BatchError(
                "Oxides may change, but no property is asked for.",
                field="change",
                remedy="Give --expansion or --raise-annealing as well.",
            )
        if given.change and asked.wish is not None:
            return dataclasses.replace(asked.wish, change=oxides_in(given.change))
        return asked.wish
    expansion = rise = None
    if given.expansion is not None:
        expansion = parse_number(given.expansion, field="expansion") * 1e-7
    if given.raise_annealing is not None:
        rise = parse_number(given.raise_annealing, field="raise_annealing")
    return PropertyWish(expansion, rise, oxides_in(given.change or ""))


def _sizes(text: str | None) -> tuple[float, ...]:
    return tuple(parse_number(one, field="sizes") for one in (text or "").split())


def _analysis(text: str, basis: str | None) -> Composition:
    """An analysis from a file, the library or the words themselves."""
    chosen = Basis(basis) if basis else None
    path = Path(text)
    if _is_file(path, {".toml"}):
        glass = read_glass(path)
        if glass.composition is None:
            raise BatchError(
                "This glass has measured points only, no analysis.",
                place=Place(str(path)),
                remedy="Give its oxides.",
            )
        return glass.composition
    if _is_file(path, _TEXT_ENDINGS):
        return parse_composition(page_of_text(path), chosen, file=str(path))
    if not text.strip():
        raise BatchError(
            "No glass was named.",
            field="target",
            remedy="Give a batch file, the name of a glass, or an analysis.",
        )
    try:
        return library_composition(text)
    except GlassError:
        if not any(character.isdigit() for character in text):
            raise
    return parse_composition(text, chosen)


def _is_file(path: Path, endings: set[str]) -> bool:
    """Tell a path, there or not, from an analysis or a glass's name."""
    try:
        return bool(path.name) and path.suffix.lower() in endings and len(str(path)) < 1000
    except (OSError, ValueError):
        return False
