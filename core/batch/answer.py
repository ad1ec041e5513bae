"""Everything a person wants to see of one request at once."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass

from core.batch.batch import Batch
from core.batch.compared import ComparedProperty, compared_properties
from core.batch.material import MaterialList
from core.batch.property_target import PropertyWish, nearest_with
from core.batch.reckon import make_batch
from core.batch.request import BatchRequest
from core.batch.sheet import WeighOutSheet, sheet_of


@dataclass(frozen=True)
class BatchAnswer:
    """A batch, its glasses side by side, and the sheet to weigh it out by."""

    batch: Batch
    properties: tuple[ComparedProperty, ...]
    sheet: WeighOutSheet


def answer_to(
    request: BatchRequest,
    wish: PropertyWish | None = None,
    sizes: Sequence[float] = (),
    catalogue: MaterialList | None = None,
) -> BatchAnswer:
    """Reckon a request, its target moved first if a property is wished.

    Parameters
    ----------
    request : BatchRequest
    wish : PropertyWish, optional
    sizes : sequence of float
        Other melts for the sheet's table [kg of glass].
    catalogue : MaterialList, optional
        Where a material that would help is looked for; the shipped list when left out.

    Raises
    ------
    BatchError
        As :func:`core.batch.reckon.make_batch` and
        :func:`core.batch.property_target.nearest_with`.
    """
    batch = make_batch(wished(request, wish), catalogue)
    return BatchAnswer(batch, compared_properties(batch), sheet_of(batch, sizes))


def wished(request: BatchRequest, wish: PropertyWish | None) -> BatchRequest:
    """The request with its target moved to have the wished property."""
    if wish is None:
        return request
    target = nearest_with(request.target, wish)
    return dataclasses.replace(request, target=target, wished_from=request.target)
