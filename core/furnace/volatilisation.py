"""What a melt loses into the air above it, oxide by oxide.

The loss per area is taken as proportional to the oxide's share of the glass and as an Arrhenius
law of temperature. The rates are orders of magnitude from emission figures of furnaces, from
memory, unverified, good to a factor of three: a few grams of soda per square metre and hour from
soda-lime glass at 1300 °C, some ten grams of lead oxide from lead crystal. They are there to show
when a drift matters, not to correct an analysis. Draught, water vapour and reducing flames raise
them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

GAS_CONSTANT = 8.314462618
"""[J/(mol K)], CODATA 2018, exact."""
REFERENCE = 1573.15
"""[K]: 1300 °C."""

_RATES = MappingProxyType(
    {"Na2O": 2.6e-6, "K2O": 5.6e-6, "Li2O": 1.5e-6, "PbO": 9.0e-6, "B2O3": 6.4e-6}
)


@dataclass(frozen=True)
class Volatilisation:
    """Loss of a glass surface.

    Attributes
    ----------
    rates : Mapping of str to float
        By oxide, at 1300 °C: loss [kg/(m2 s)] for a mass fraction of 1.
    activation_energy : float
        [J/mol].
    factor : float
        Their uncertainty: the true rate lies within this factor two times in three.
    """

    rates: Mapping[str, float] = field(default_factory=lambda: _RATES)
    activation_energy: float = 200_000.0
    factor: float = 3.0

    def relative_rate(self, temperature: float) -> float:
        """Rate at a temperature [K] over that at 1300 °C."""
        exponent = self.activation_energy / GAS_CONSTANT * (1.0 / REFERENCE - 1.0 / temperature)
        return math.exp(exponent)


NO_LOSS = Volatilisation(rates=MappingProxyType({}))
"""A glass that loses nothing."""
