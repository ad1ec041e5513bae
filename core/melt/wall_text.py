"""Walls as they are built, in words: ``114 mm insulating firebrick 28; 50 mm ...``."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from core.errors import FurnaceError
from core.melt.melting_furnace import Layer
from core.melt.refractory import Refractory, find_refractory

EXAMPLE = "114 mm insulating firebrick 28"
_LAYER = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*mm\s+(.+?)\s*")


def layer_from_text(text: str, own: Mapping[str, Refractory] | None = None) -> Layer:
    """One layer, such as ``114 mm insulating firebrick 28``.

    Raises
    ------
    FurnaceError
        If it is not a thickness in mm and a known material.
    """
    match = _LAYER.fullmatch(text)
    if match is None:
        raise FurnaceError(
            f"“{text.strip()}” is not a layer.", field="layers", remedy=f"Write such as {EXAMPLE}."
        )
    thickness = float(match[1].replace(",", ".")) / 1000.0
    try:
        return Layer(find_refractory(match[2], own), thickness)
    except FurnaceError as error:
        error.field = "layers"
        raise


def layers_from_text(text: str, own: Mapping[str, Refractory] | None = None) -> tuple[Layer, ...]:
    """Layers from the hot face outward, one a line or parted by semicolons; see above."""
    parts = [part for part in re.split(r"[;\n]", text) if part.strip()]
    return tuple(layer_from_text(part, own) for part in parts)


def layers_text(layers: Sequence[Layer]) -> str:
    """Layers as :func:`layers_from_text` reads them."""
    return "; ".join(layer_text(layer) for layer in layers)


def layer_text(layer: Layer) -> str:
    """One layer in words, its thickness without an exponent."""
    millimetres = f"{layer.thickness * 1000.0:.9f}".rstrip("0").rstrip(".")
    return f"{millimetres} mm {layer.material.name}"
