"""A request with everything in the oxides a batch counts."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping

from core.batch.request import BatchRequest
from core.batch.valency import COUNTED_AS, recast_composition


def recast_request(request: BatchRequest) -> BatchRequest:
    """The request with target, cullet, weights and losses in the oxides that are counted."""
    cullet = request.cullet
    if cullet is not None:
        cullet = dataclasses.replace(cullet, composition=recast_composition(cullet.composition))
    return dataclasses.replace(
        request,
        target=recast_composition(request.target),
        cullet=cullet,
        weights=_renamed(request.weights),
        volatilises=_renamed(request.volatilises),
    )


def _renamed(amounts: Mapping[str, float]) -> dict[str, float]:
    renamed = {COUNTED_AS.get(oxide, oxide): value for oxide, value in amounts.items()}
    # What is given for the oxide itself wins.
    return renamed | {oxide: value for oxide, value in amounts.items() if oxide not in COUNTED_AS}
