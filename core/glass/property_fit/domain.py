"""How far a glass lies from the glasses behind the fitted model, in plain words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.composition.composition import Composition
from core.glass.open_data.reading import OXIDES
from core.glass.property_fit.coefficients import model
from core.glass.property_fit.extrapolation import ROUNDING
from core.glass.property_fit.features import alkali_of, distances, tens_of_mole_percent
from core.glass.property_fit.fitted_points import COUNTED_AS, weight_rows

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

_UNKNOWN = 0.5
"""[wt%] More than this of oxides the model knows nothing of puts a glass outside (our choice)."""

_PLAIN: dict[str, str] = {
    "SiO2": "silica",
    "Al2O3": "alumina",
    "B2O3": "boric oxide",
    "Na2O": "soda",
    "K2O": "potash",
    "Li2O": "lithia",
    "CaO": "lime",
    "MgO": "magnesia",
    "SrO": "strontia",
    "BaO": "baryta",
    "ZnO": "zinc oxide",
    "PbO": "lead oxide",
    "Fe2O3": "iron oxide (Fe2O3)",
    "FeO": "iron oxide (FeO)",
    "MnO": "manganese oxide",
    "CuO": "copper oxide",
    "CoO": "cobalt oxide",
    "NiO": "nickel oxide",
    "Cr2O3": "chromium oxide",
    "TiO2": "titania",
    "ZrO2": "zirconia",
    "P2O5": "phosphate",
    "Sb2O3": "antimony oxide",
    "As2O3": "arsenic oxide",
    "SnO2": "tin oxide",
    "CeO2": "ceria",
    "SO3": "sulphate",
    "F": "fluorine",
    "Cl": "chlorine",
}


@dataclass(frozen=True)
class DomainStatement:
    """Whether the model has seen glasses like this one.

    Attributes
    ----------
    in_range : bool
    sentences : tuple of str
        Why not, and what is ignored; empty when there is nothing to say.
    oxides : tuple of str
        The components to blame, worst first.
    """

    in_range: bool
    sentences: tuple[str, ...]
    oxides: tuple[str, ...]


def in_range(weight_percent: FloatArray) -> BoolArray:
    """Tell for amounts by weight (n, 29) whether glasses like these are behind the model."""
    share = _share(weight_percent)
    own = model().domain
    alkali = alkali_of(share)
    beyond = (share > own.most * ROUNDING).any(axis=1) | (share[:, 0] * ROUNDING < own.least)
    beyond |= (alkali * ROUNDING < own.alkali[0]) | (alkali > own.alkali[1] * ROUNDING)
    near = distances(tens_of_mole_percent(weight_percent), model().space).min(axis=1)
    result: BoolArray = ~beyond & (near <= own.reach)
    return result


def domain_statement(composition: Composition) -> DomainStatement:
    """Say plainly how a glass relates to those behind the model."""
    row = weight_rows([composition])
    sentences: list[str] = []
    oxides: list[str] = []
    inside = False
    if row.sum() > 0.0:
        inside = bool(in_range(row)[0])
        sentences, oxides = _beyond(row)
        if not inside and not sentences:
            sentences, oxides = _unlike(row)
    known = {*OXIDES, *COUNTED_AS}
    ignored = {o: w for o, w in composition.weight_percent.items() if o not in known}
    if ignored:
        listed = ", ".join(f"{oxide} {weight:.3g} wt%" for oxide, weight in ignored.items())
        sentences.append(f"The model knows nothing of {listed}; it reckons as if without.")
        if sum(ignored.values()) > _UNKNOWN:
            inside = False
            oxides += sorted(ignored, key=lambda oxide: -ignored[oxide])
    return DomainStatement(inside, tuple(sentences), tuple(oxides))


def _share(weight_percent: FloatArray) -> FloatArray:
    result: FloatArray = 100.0 * weight_percent / weight_percent.sum(axis=1, keepdims=True)
    return result


def _beyond(row: FloatArray) -> tuple[list[str], list[str]]:
    """Sentences on components beyond all glasses in the data, the furthest first."""
    share = _share(row)[0]
    own = model().domain
    found: list[tuple[float, str, str]] = []
    for oxide, amount, most in zip(OXIDES, share, own.most, strict=True):
        if amount > most * ROUNDING:
            than = f"More {_PLAIN[oxide]} than any glass behind this model"
            text = f"{than}: {amount:.3g} wt%, the most there is {most:.3g}."
            found.append((amount / most, oxide, text))
    if share[0] * ROUNDING < own.least:
        than = "Less silica than any glass behind this model"
        text = f"{than}: {share[0]:.3g} wt%, the least there is {own.least:.3g}."
        found.append((own.least / max(share[0], 1e-3), "SiO2", text))
    alkali = float(alkali_of(share[None])[0])
    low, high = own.alkali
    largest = max(("Na2O", "K2O", "Li2O"), key=lambda oxide: share[OXIDES.index(oxide)])
    if alkali * ROUNDING < low:
        than = "Less alkali than any glass behind this model"
        text = f"{than}: {alkali:.3g} wt% together, the least there is {low:.3g}."
        found.append((low / max(alkali, 1e-3), largest, text))
    elif alkali > high * ROUNDING:
        than = "More alkali than any glass behind this model"
        text = f"{than}: {alkali:.3g} wt% together, the most there is {high:.3g}."
        found.append((alkali / high, largest, text))
    found.sort(key=lambda item: -item[0])
    blamed = dict.fromkeys(oxide for _, oxide, _ in found)
    return [text for _, _, text in found], list(blamed)


def _unlike(row: FloatArray) -> tuple[list[str], list[str]]:
    """Say which components set a glass apart from the nearest ones in the data."""
    tens = tens_of_mole_percent(row)
    space = model().space
    nearest = int(distances(tens, space)[0].argmin())
    # What the glass has more of than its nearest neighbours; silica, the rest, only by itself.
    more = tens[0] - space.centres[nearest]
    more[0] = 0.0 if more[1:].max() > 0.1 else max(more[0], 0.1)
    share = _share(row)[0]
    order = [index for index in np.argsort(-more) if share[index] > 0.0][:3]
    order = [index for at, index in enumerate(order) if at < 2 or more[index] >= 0.4 * more.max()]
    parts = [f"{_PLAIN[OXIDES[index]]} {share[index]:.3g} wt%" for index in order]
    listed = " with ".join(parts) if len(parts) < 3 else f"{parts[0]}, {parts[1]} and {parts[2]}"
    return (
        [f"No glass like this combination is behind the model: {listed}."],
        [OXIDES[index] for index in order],
    )
