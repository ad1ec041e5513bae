"""What two entries of one glass differ by, for its list of versions."""

from __future__ import annotations

from dataclasses import dataclass, fields

from core.glass.glass import Glass, MeasuredPoints

_LEAST = 0.005
"""[wt%] Smaller changes of an oxide are what normalising to 100 leaves."""


@dataclass(frozen=True)
class GlassChange:
    """One thing that changed.

    Attributes
    ----------
    key : str
        An oxide, a number of :class:`core.glass.glass.MeasuredPoints` by its name there, or one
        of ``"composition"``, ``"composition_error"``, ``"trials"``, ``"measured_source"``,
        ``"name"``, ``"note"``, ``"source"``.
    before, after : float, str or None
        wt% of an oxide, SI of a measured number, how many trials, or the text; ``None`` where
        there was, or is, none.
    """

    key: str
    before: float | str | None
    after: float | str | None


def changes_between(before: Glass, after: Glass) -> tuple[GlassChange, ...]:
    """Everything that differs, the analysis first.

    Oxides are compared by weight, as normalised to 100. An analysis that came or went is one
    change, ``"composition"``, and so is a change of its errors alone.
    """
    changes = [*_of_analysis(before, after), *_of_measured(before.measured, after.measured)]
    for key in ("name", "source", "note"):
        changes += _if_changed(key, getattr(before, key) or None, getattr(after, key) or None)
    return tuple(changes)


def _of_analysis(before: Glass, after: Glass) -> list[GlassChange]:
    if before.composition == after.composition:
        return []
    old, new = before.composition, after.composition
    if old is None or new is None:
        ends = ("analysis" if end is not None else None for end in (old, new))
        return [GlassChange("composition", *ends)]
    found = []
    for oxide in {**old.weight_percent, **new.weight_percent}:
        was, now = old.weight(oxide), new.weight(oxide)
        if abs(now - was) >= _LEAST:
            found.append(GlassChange(oxide, was or None, now or None))
    return found or [GlassChange("composition_error", None, None)]


def _of_measured(before: MeasuredPoints, after: MeasuredPoints) -> list[GlassChange]:
    found: list[GlassChange] = []
    for name in (field.name for field in fields(MeasuredPoints)):
        if name in {"source", "viscosities"}:
            continue
        found += _if_changed(name, getattr(before, name), getattr(after, name))
    if before.viscosities != after.viscosities:
        numbers = (float(len(points.viscosities)) for points in (before, after))
        found.append(GlassChange("trials", *numbers))
    return found + _if_changed("measured_source", before.source or None, after.source or None)


def _if_changed(
    key: str, before: float | str | None, after: float | str | None
) -> list[GlassChange]:
    return [] if before == after else [GlassChange(key, before, after)]
