"""How finely the engine reckons, and what that promises."""

from __future__ import annotations

from dataclasses import dataclass

from core.errors import StressError


@dataclass(frozen=True)
class Accuracy:
    """Nodes through a section and the error control of the steps in time.

    Steps are chosen for every piece by itself, so its answer does not depend on what else is
    reckoned with it. With the values given here, halving the steps and doubling the nodes changes
    no stress of the answer by more than 0.5 % of the piece's greatest (checked in the tests).

    Attributes
    ----------
    nodes : int
        Through each section; odd, 5 to 201.
    temperature_share, temperature_floor : float
        What the curvature of any node's temperature in time may amount to in a step: this share
        of how far the section trails the chamber, plus this floor [K].
    largest_shift : float
        Change of ln(relaxation time) of any node in a step, counted in so far as the node relaxes
        in that step without being at rest already.
    """

    nodes: int = 9
    temperature_share: float = 0.02
    temperature_floor: float = 0.002
    largest_shift: float = 0.4

    def __post_init__(self) -> None:
        if not 5 <= self.nodes <= 201 or self.nodes % 2 == 0:
            raise StressError(
                f"{self.nodes} nodes through a section will not do.",
                field="nodes",
                remedy="Use 5, 7, 9 ... 201.",
            )
        for name, low, high in (
            ("temperature_share", 0.0, 0.2),
            ("temperature_floor", 1e-9, 20.0),
            ("largest_shift", 1e-4, 2.0),
        ):
            value = getattr(self, name)
            if not low <= value <= high:
                words = name.replace("_", " ")
                raise StressError(
                    f"A {words} of {value:g} will not do.",
                    field=name,
                    remedy=f"Use {low:g} to {high:g}.",
                )

    def refined(self) -> Accuracy:
        """Twice the nodes, half the steps."""
        return Accuracy(
            2 * self.nodes - 1,
            self.temperature_share / 4.0,
            self.temperature_floor / 4.0,
            self.largest_shift / 2.0,
        )


FOR_A_CHILLED_SKIN = Accuracy(nodes=41, largest_shift=0.25)
"""For pieces straight from the pipe, whose relaxation times differ by decades through the depth.

The greatest tension then is brief and within a millimetre of the skin: with half the nodes it is
up to a third off. Where the skin is still soft it comes in the first tenth of a second, known to
2 % of the piece's greatest stress."""
