"""What would make a night shorter or safer, in sentences."""

from __future__ import annotations

from core.plan.trade_offs import Conflict, TradeOffs
from core.units import UnitChoice, format_duration, interval_to

_WHAT_IS_UNSURE = {
    "glass": "the annealing point is uncertain by {size}",
    "thermocouple": "the thermocouple may be off by {size}",
    "unevenness": "the lehr is uneven by {size}",
}


def trade_off_sentences(found: TradeOffs, units: UnitChoice) -> tuple[str, ...]:
    """What would make the night shorter or safer, one sentence each, the largest gain first."""
    gains: list[tuple[float, str]] = []
    if found.without is not None:
        saved = found.without.saved
        if saved < 60.0:
            text = f"Without “{found.without.piece}” the night is as long."
        else:
            text = (
                f"Without “{found.without.piece}”: ready {format_duration(saved)} earlier; "
                f"“{found.without.next_piece}” decides then."
            )
        gains.append((saved, text))
    for cost in found.margins:
        size = f"{interval_to(cost.kelvin, units.temperature):.0f} {units.temperature.symbol}"
        why = _WHAT_IS_UNSURE[cost.name].format(size=size)
        gains.append((cost.seconds, f"That {why} costs {format_duration(cost.seconds)}."))
    sentences = _conflict_sentences(found.conflict)
    sentences += [text for _, text in sorted(gains, key=lambda gain: -gain[0])]
    if found.hour_more is not None:
        more = found.hour_more
        sentences.append(
            f"One more hour would leave the nearest limit {more.with_hour:.2f} times the stress "
            f"instead of {more.margin:.2f} times (“{more.piece}”: {more.limit})."
        )
    return tuple(sentences)


def _conflict_sentences(conflict: Conflict | None) -> list[str]:
    if conflict is None:
        return []
    late = format_duration(conflict.late)
    limit = f"{conflict.allowed / 1e6:.2g} MPa of {conflict.limit} in “{conflict.piece}”"
    both = (
        f"The hour and the limit of {limit} cannot both be kept: pressing the button {late} "
        "sooner, or taking the pieces out as much later, would do."
    )
    sentences = [both]
    if conflict.needed is not None:
        raised = conflict.needed / conflict.allowed
        sentences.append(
            f"So would limits raised {raised:.2f} times ({conflict.needed / 1e6:.2g} MPa instead "
            f"of {conflict.allowed / 1e6:.2g})."
        )
    else:
        sentences.append("No limit would do: the lehr itself does not cool down in that time.")
    return sentences
