"""Tonight's load: pieces, glasses, lehr, hours and limits, checked together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from core.equipment.lehr import Lehr
from core.errors import LoadError
from core.glass.glass import Glass
from core.load.gathering import Gathering
from core.load.grades import grade_limit, grade_named
from core.load.placing import Placing
from core.load.reheating import Reheating
from core.piece.piece import Piece
from core.units import ZERO_CELSIUS

LONGEST_DAY = timedelta(days=3)
"""Pieces go in no longer than this before the button is pressed; common practice, no source."""
_USUAL_PLACING = Placing()


@dataclass(frozen=True)
class StressLimits:
    """Stresses a piece may keep or meet [Pa].

    A plan is made by replaying it through the stress engine. What stays in a piece is held to its
    limit as it is: the engine reckons structural relaxation, transients and the film, and what is
    uncertain (glass, thermocouple, lehr) is allowed for by replaying the worst corners. Stresses
    on the way are held to their limit over the safety factor: those limits are strengths, and how
    scratched a skin is, nobody knows. The closed forms that give the first guess divide every
    limit by the factor, as handbook tables imply.

    Attributes
    ----------
    permanent_tension : float
        Core tension left for good. Default 0.4 MPa: about 10 nm/cm, the "fine anneal" of
        ISO 10110-2, at 2.62e-12 1/Pa.
    permanent_wall_base : float
        Stress between wall and base left for good, as the bound for full restraint. Default
        2.1 MPa: one temper number of ASTM C148 (22.8 nm at 4.06 mm, from memory).
    temporary_tension : float
        Tension on the way. Default 7 MPa; halved it is the 3-4 MPa that the handbook table for
        ordinary ware implies (from memory).
    temporary_wall_base : float
        Stress between wall and base on the way, bound for full restraint. Default 19 MPa: design
        stress of annealed float glass (Pilkington ATS-129).
    safety_factor : float
        Divides the limits on the way; in the closed forms of the first guess also the permanent
        ones, for what they leave out. At least 1.
    """

    permanent_tension: float = 0.4e6
    permanent_wall_base: float = 2.1e6
    temporary_tension: float = 7.0e6
    temporary_wall_base: float = 19.0e6
    safety_factor: float = 2.0

    def __post_init__(self) -> None:
        for name in (
            "permanent_tension",
            "permanent_wall_base",
            "temporary_tension",
            "temporary_wall_base",
        ):
            value = getattr(self, name)
            if not 0.01e6 <= value <= 100e6:
                words = name.replace("_", " ")
                raise LoadError(
                    f"A {words} limit of {value / 1e6:g} MPa is not possible.",
                    field=name,
                    remedy="Use 0.01 to 100 MPa.",
                )
        if not 1.0 <= self.safety_factor <= 20.0:
            raise LoadError(
                f"A safety factor of {self.safety_factor:g} is not possible.",
                field="safety_factor",
                remedy="Use 1 to 20.",
            )

    @property
    def allowed_temporary_tension(self) -> float:
        """What tension on the way is held to, in plans and verdicts alike [Pa]."""
        return self.temporary_tension / self.safety_factor

    @property
    def allowed_temporary_wall_base(self) -> float:
        """The same between wall and base [Pa]."""
        return self.temporary_wall_base / self.safety_factor


@dataclass(frozen=True)
class Strength:
    """What pieces of a name stand on the way, where that is not what the rest of the load does.

    Attributes
    ----------
    temporary_tension : float or None
        [Pa], before the safety factor: less for ground or scratched skins. ``None``: the load's.
    safety_factor : float or None
        ``None``: the load's.
    """

    temporary_tension: float | None = None
    safety_factor: float | None = None

    def of(self, limits: StressLimits) -> StressLimits:
        """The load's limits with these in their place; LoadError where one is not possible."""
        own = {
            name: value
            for name in ("temporary_tension", "safety_factor")
            if (value := getattr(self, name)) is not None
        }
        return replace(limits, **own)


_USUAL_STRENGTH = Strength()


@dataclass(frozen=True)
class Load:
    """Everything the planner needs for one night.

    Attributes
    ----------
    name : str
    pieces : tuple of Piece
        At least one.
    glasses : mapping of str to Glass
        By name; every piece's glass must be among them.
    lehr : Lehr
    button_time : datetime
        When the button is pressed; aware (UTC or with an offset).
    out_by : datetime or None
        When the pieces must be out; aware, after ``button_time``.
    start_temperature : float or None
        True chamber temperature when the button is pressed [K]; ``None``: already at soak.
    hand_warm : float
        Temperature of the glass at which it may be handled [K].
    limits : StressLimits
    soak_above_annealing : float
        Soak this far above the highest annealing point [K]; 5 K is handbook practice.
    timezone : str
        IANA name or ``""`` for the machine's own; only for showing clock times.
    piece_limits : mapping of str to float or str
        Core tension left for good that pieces of a name are held to instead of the load's: in
        [Pa], or as a grade of :mod:`core.load.grades` such as ``"0/5"``. Names that no piece has
        are passed over.
    gathered : mapping of str to Gathering
        By the name of the pieces: the pot they were gathered from, and when. Pieces without have
        the glass they name, from wherever.
    placings : mapping of str to Placing
        By the name of the pieces: where they stand, and when and how they went in. Pieces without
        stand where the thermocouple is and are even when the button is pressed.
    reheating : Reheating or None
        How a load that begins cold is brought up; ``None``: a night after a day's work.
    strengths : mapping of str to Strength
        By the name of the pieces: what they stand on the way instead of the load's.
    """

    name: str
    pieces: tuple[Piece, ...]
    glasses: Mapping[str, Glass]
    lehr: Lehr
    button_time: datetime
    out_by: datetime | None = None
    start_temperature: float | None = None
    hand_warm: float = ZERO_CELSIUS + 45.0
    limits: StressLimits = field(default_factory=StressLimits)
    soak_above_annealing: float = 5.0
    timezone: str = ""
    piece_limits: Mapping[str, float | str] = field(default_factory=dict)
    gathered: Mapping[str, Gathering] = field(default_factory=dict)
    placings: Mapping[str, Placing] = field(default_factory=dict)
    reheating: Reheating | None = None
    strengths: Mapping[str, Strength] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.pieces:
            raise LoadError(
                "There are no pieces in the load.", field="pieces", remedy="Add at least one."
            )
        for piece in self.pieces:
            if piece.glass not in self.glasses:
                raise LoadError(
                    f"“{piece.name}” is made of “{piece.glass}”, which is not a known glass.",
                    field="glass",
                    remedy="Choose one of: " + ", ".join(sorted(self.glasses)) + ".",
                )
        self._check_times()
        self._check_piece_limits()
        self._check_placings()
        if not ZERO_CELSIUS + 15 <= self.hand_warm <= ZERO_CELSIUS + 80:
            raise LoadError(
                f"Hand-warm at {self.hand_warm - ZERO_CELSIUS:g} °C is not possible.",
                field="hand_warm",
                remedy="Use 15 to 80 °C.",
            )
        if self.hand_warm <= self.lehr.ambient + 1.0:
            raise LoadError(
                f"Hand-warm ({self.hand_warm - ZERO_CELSIUS:g} °C) must lie above the room "
                f"({self.lehr.ambient - ZERO_CELSIUS:g} °C).",
                field="hand_warm",
                remedy="Raise it, or correct the room temperature of the lehr.",
            )
        if not 0.0 <= self.soak_above_annealing <= 40.0:
            raise LoadError(
                f"A soak {self.soak_above_annealing:g} °C above the annealing point will not do.",
                field="soak_above_annealing",
                remedy="Use 0 to 40 °C.",
            )
        if self.start_temperature is not None and not (
            ZERO_CELSIUS <= self.start_temperature <= self.lehr.max_temperature
        ):
            raise LoadError(
                f"The lehr cannot be at {self.start_temperature - ZERO_CELSIUS:g} °C at the start.",
                field="start_temperature",
                remedy="Use 0 °C up to the lehr's highest temperature.",
            )

    def limits_of(self, piece: Piece, stress_optical_coefficient: float) -> StressLimits:
        """Limits of one piece, whose glass has this coefficient [1/Pa]."""
        limits = self.strengths.get(piece.name, _USUAL_STRENGTH).of(self.limits)
        own = self.piece_limits.get(piece.name)
        if own is None:
            return limits
        if isinstance(own, str):
            own = grade_limit(grade_named(own), stress_optical_coefficient)
        return replace(limits, permanent_tension=own)

    @property
    def first_temperature(self) -> float | None:
        """True chamber temperature when the button is pressed [K]; ``None``: already at soak.

        What is to be heated from cold begins in a lehr as cold as the room unless said otherwise.
        """
        if self.start_temperature is None and self.reheating is not None:
            return self.lehr.ambient
        return self.start_temperature

    def placing_of(self, piece: Piece) -> Placing:
        """Where a piece stands, and how it came there."""
        return self.placings.get(piece.name, _USUAL_PLACING)

    def _check_placings(self) -> None:
        for name, placing in self.placings.items():
            put_in = placing.put_in
            if put_in is None:
                continue
            if put_in > self.button_time:
                raise LoadError(
                    f"“{name}” goes in after the button is pressed.",
                    field="put_in",
                    remedy="Press the button once the last piece is in.",
                )
            if self.button_time - put_in > LONGEST_DAY:
                raise LoadError(
                    f"“{name}” went in more than {LONGEST_DAY.days} days before the button.",
                    field="put_in",
                    remedy="Check the date.",
                )

    def _check_piece_limits(self) -> None:
        for own in self.piece_limits.values():
            if isinstance(own, str):
                grade_named(own)
            else:
                replace(self.limits, permanent_tension=own)
        for strength in self.strengths.values():
            strength.of(self.limits)

    def _check_times(self) -> None:
        for name in ("button_time", "out_by"):
            value = getattr(self, name)
            if value is not None and value.tzinfo is None:
                raise LoadError(
                    f"The {name.replace('_', ' ')} has no time zone.",
                    field=name,
                    remedy="Give it one, such as UTC.",
                )
        if self.out_by is None:
            return
        if self.out_by <= self.button_time:
            raise LoadError(
                "The hour the pieces must be out is not after the button is pressed.",
                field="out_by",
                remedy="Give a later hour.",
            )
        if self.out_by - self.button_time > timedelta(days=60):
            raise LoadError(
                "The hour the pieces must be out is more than 60 days away.",
                field="out_by",
                remedy="Check the date.",
            )
