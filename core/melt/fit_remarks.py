"""What a log of a furnace cannot tell, and what would, in plain sentences."""

from __future__ import annotations

from collections.abc import Sequence

from core.melt.fitted import Fitted


def fit_remarks(
    parameters: Sequence[Fitted],
    pairs: Sequence[tuple[str, str]],
    bounds: tuple[float, float],
    *,
    metered: bool,
) -> tuple[str, ...]:
    """Sentences on what a log leaves open.

    Parameters
    ----------
    pairs : sequence of (str, str)
        Names of parameters that it cannot tell apart.
    bounds : tuple of float
        Of every factor.
    metered : bool
        Whether the power was.
    """
    remarks = []
    for first, second in pairs:
        remarks.append(
            f"The log cannot tell {first} from {second}: temperatures alone fix only their ratio. "
            "Read the energy meter at the start and the end and give the power from it."
        )
    told = {name for pair in pairs for name in pair}
    for parameter in parameters:
        if parameter.determined or parameter.name in told:
            continue
        if not bounds[0] * 1.01 < parameter.value < bounds[1] * 0.99:
            remarks.append(
                f"The {parameter.name} would have to be {parameter.value:.1f} times what the "
                "description says: check the description, the power and the opening first."
            )
            continue
        wanted = (
            "a day and more at one temperature"
            if parameter.name == "loss"
            else "a heating at full power and a cooling with the power off"
        )
        remarks.append(
            f"The log leaves the {parameter.name} open ({parameter.low:.2g} to "
            f"{parameter.high:.2g} times the description): log {wanted}."
        )
    if not metered:
        remarks.append("The power on the plate is taken as true where it was not settled.")
    return tuple(remarks)
