"""A verdict on each piece of a run: what it says, without the words for it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from core.plan.stress_check import Limit
from core.run.gaps import Gap
from core.stress.result import PieceStress


class Standing(StrEnum):
    """How a piece stands after its night."""

    ANNEALED = "annealed"
    """Within its limits, whichever way everything uncertain lies."""
    NOT_PROVEN = "not proven"
    """Within its limits or not, depending on what is uncertain."""
    RE_ANNEAL = "re-anneal"
    """Over a limit for what may stay in it, as believed and in the kindest course of every gap."""


@dataclass(frozen=True)
class StressRange:
    """One stress of a piece beside what is allowed [Pa].

    Attributes
    ----------
    limit : Limit
    believed : float
        Everything as believed, straight lines across gaps.
    low, high : float
        The least and most of all that was followed: glass, thermocouple and lehr at either end of
        what is uncertain, gaps in their extreme courses. No course that a lehr can go leaves more
        than ``high`` (checked in the tests); an odd one, cold and heated again and again, may leave
        less than ``low``.
    kindest : float
        As believed, in the kindest course of every gap.
    allowed : float
        What the planner too holds it to: the limit, and for stress on the way the limit over the
        safety factor.
    strength : float
        The limit itself.
    """

    limit: Limit
    believed: float
    low: float
    high: float
    kindest: float
    allowed: float
    strength: float

    @property
    def margin(self) -> float:
        """How many times the believed stress would fit into what is allowed."""
        return self.allowed / self.believed if self.believed > 0 else float("inf")

    @property
    def certain(self) -> bool:
        """Within what is allowed whichever way everything uncertain lies."""
        return self.high <= self.allowed

    @property
    def over(self) -> bool:
        """Over what is allowed as believed, in the kindest course of every gap."""
        return self.kindest > self.allowed


class CauseKind(StrEnum):
    """Why a stress is what it is."""

    FAST = "cooled too fast"
    """Cooled faster than planned while glass froze, or on the way down."""
    COLD_SOAK = "soak too cold or too short"
    GAP = "gap in the readings"
    ENDS_HOT = "log ends while the glass is hot"
    STARTS_COLD = "log begins when the glass is frozen"
    PLAN = "the plan itself"
    """The curve was followed; its own rate leaves this stress."""


@dataclass(frozen=True)
class Cause:
    """What did it, and when.

    Attributes
    ----------
    kind : CauseKind
    start, end : float
        UTC epoch seconds.
    rate : float or None
        Mean cooling rate of it [K/s], positive down.
    planned_rate : float or None
        Of the plan through the same temperatures [K/s].
    temperature : float
        Controller reading in its middle [K].
    without : float or None
        What the stress would have been had it gone at the planned rate [Pa].
    """

    kind: CauseKind
    start: float
    end: float
    rate: float | None
    planned_rate: float | None
    temperature: float
    without: float | None = None


class DoubtKind(StrEnum):
    """What is not known well enough."""

    ANNEALING_POINT = "annealing point"
    THERMOCOUPLE = "thermocouple"
    UNEVENNESS = "place in the lehr"
    TOGETHER = "all of them together"
    GAP = "gap in the readings"


@dataclass(frozen=True)
class Doubt:
    """Something uncertain that could change the verdict by itself.

    Attributes
    ----------
    kind : DoubtKind
    size : float
        Half width [K]; of a gap its length [s].
    turns : float
        How far off it need be to change the verdict [K], with its sign: positive for glass that
        is stiffer, or a lehr that is cooler, than believed. 0 for a gap.
    standing : Standing
        What the verdict would then be.
    """

    kind: DoubtKind
    size: float
    turns: float
    standing: Standing


@dataclass(frozen=True, eq=False)
class PieceVerdict:
    """The verdict on the pieces of one name and kind.

    Attributes
    ----------
    index : int
        In the load.
    piece : str
    count : int
    standing : Standing
    stresses : tuple of StressRange
        Core left for good, wall and base left for good, tension on the way, wall and base on the
        way; those of a single section without the joint.
    governing : StressRange
        The one that decides.
    grade : str
        The grade the piece is held to, ``""`` for a limit in pascal.
    cause : Cause or None
        ``None`` where nothing is amiss.
    doubts : tuple of Doubt
    may_be_cracked : bool
        Tension on the way went over the strength limit as believed.
    look_over : bool
        Tension on the way used up some of its safety factor.
    peak_time : float
        When tension on the way was greatest [UTC epoch s].
    retardation, retardation_limit : float
        What a polariscope should show, and what it would show at the limit [m].
    per_length, per_length_limit : float
        The same over the light's path [-]; 1 nm/cm is 1e-7.
    stress : PieceStress
        As believed, for plots.
    """

    index: int
    piece: str
    count: int
    standing: Standing
    stresses: tuple[StressRange, ...]
    governing: StressRange
    grade: str
    cause: Cause | None
    doubts: tuple[Doubt, ...]
    may_be_cracked: bool
    look_over: bool
    peak_time: float
    retardation: float
    retardation_limit: float
    per_length: float
    per_length_limit: float
    stress: PieceStress

    def range_of(self, limit: Limit) -> StressRange | None:
        """The stress of a limit, ``None`` where a piece has none."""
        return next((s for s in self.stresses if s.limit is limit), None)


@dataclass(frozen=True, eq=False)
class RunVerdict:
    """The verdict on a run.

    Attributes
    ----------
    pieces : tuple of PieceVerdict
        In the order of the load.
    finished : bool
        False while the run goes on: the verdict is then on what has been so far.
    gaps : tuple of Gap
        Gaps in the readings that matter, those in the transformation range among them.
    left_out : int
        Readings that no lehr can have had, left out.
    ends_hot : bool
        The log ends before the glass is frozen.
    starts_cold : bool
        The log never shows all of the glass hot for long enough to let stress go: of what was
        before it nothing is known.
    """

    pieces: tuple[PieceVerdict, ...]
    finished: bool
    gaps: tuple[Gap, ...]
    left_out: int
    ends_hot: bool
    starts_cold: bool

    @property
    def standing(self) -> Standing:
        """The worst of the pieces'."""
        order = list(Standing)
        return max((p.standing for p in self.pieces), key=order.index)
