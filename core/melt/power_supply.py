"""The power that goes in: what the controller asks for, what the elements or the burner give."""

from __future__ import annotations

import math
from typing import NamedTuple

from core.melt.combustion import flue_loss_terms
from core.melt.heat_source import ElectricElements, HeatSource
from core.melt.setting import Setting
from core.units import ZERO_CELSIUS

_ELEMENT_MARGIN = 20.0
"""[K] Below the elements' limit at which their power begins to fall back."""
_ROUNDED = 0.03
"""Share of full power over which the controller's limits are rounded: a corner cannot be stepped
over smoothly."""
_UNWIND = 0.1
"""Share of full power over which the controller's integral stops at its limits."""


class Regime(NamedTuple):
    """Where controller and elements are: between these the power answers temperatures otherwise.

    ``control`` and ``limit`` are -1, 0 or 1: below, within or above their band; ``control`` is 2
    where it bends.
    """

    control: int
    limit: int


class PowerSupply:
    """Controller and source of one furnace.

    Parameters
    ----------
    source : ElectricElements or GasBurner

    Attributes
    ----------
    power : float
        Most there is [W].
    regime : Regime
        Of the last question.
    """

    def __init__(self, source: HeatSource) -> None:
        self.power = source.power
        self.regime = Regime(0, 0)
        self._band, self._integral_time = source.control.band, source.control.integral_time
        self._burns = not isinstance(source, ElectricElements)
        self._flue = (0.0, 0.0, 0.0)
        self._hottest = math.inf
        if isinstance(source, ElectricElements):
            self._hottest = source.max_temperature
        else:
            self._flue = flue_loss_terms(source.fuel, source.air_ratio, source.air_temperature)

    def asked(
        self, time: float, setting: Setting, chamber: float, integral: float
    ) -> tuple[float, float]:
        """Share of full power asked for, and the integral's rate of change [1/s].

        Parameters
        ----------
        time : float
            [s].
        setting : Setting
        chamber : float
            What the thermocouple reads [K].
        integral : float
            The controller's, as a share of full power.
        """
        if setting.power is not None:
            return setting.power, 0.0
        wanted = setting.set_point(time)
        if wanted is None:
            return 0.0, 0.0
        error = (wanted - chamber) / self._band
        asked = error + integral
        edge = min(abs(asked), abs(asked - 1.0)) < _ROUNDED
        inside = -_ROUNDED < asked < 1.0 + _ROUNDED
        self.regime = Regime(2 if edge else 0 if inside else 1 if asked > 0.5 else -1, 0)
        room = (1.0 - asked) if error > 0.0 else asked
        gate = min(1.0, max(0.0, room / _UNWIND))
        return _rounded(asked) - _rounded(asked - 1.0), error / self._integral_time * gate

    def bought(self, share: float, source: float) -> tuple[float, float]:
        """Power bought at a share of full power, and what the flue takes of it [W].

        ``source`` is the temperature of elements or burner gas [K].
        """
        spare = (self._hottest - source) / _ELEMENT_MARGIN
        if spare < 1.0:
            share *= max(0.0, spare)
        self.regime = Regime(self.regime.control, int(spare <= 0.0) - int(spare >= 1.0))
        bought = share * self.power
        if not self._burns or bought == 0.0:
            return bought, 0.0
        f0, f1, f2 = self._flue
        t = source - ZERO_CELSIUS
        return bought, bought * (f0 + f1 * t + f2 * t * t)


def _rounded(asked: float) -> float:
    """``asked`` above 0, else 0, with the corner rounded off."""
    if asked <= -_ROUNDED:
        return 0.0
    return asked if asked >= _ROUNDED else (asked + _ROUNDED) ** 2 / (4.0 * _ROUNDED)
