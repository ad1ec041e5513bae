"""How much tension a glass may be left with for good, and what breaks it.

*Long-term strength* 13 MPa: characteristic bending strength of annealed glass 45 MPa times 0.29 for
a load that never ends (EN 572-1, EN 16612, factor 0.663 h^(-1/16) at 50 years; from memory,
unverified). Divided by the *safety factor* 1.8 (material factor of annealed glass there) it allows
7.2 MPa. Other figures: 1 kg/mm2 = 9.8 MPa as the usual limit of seals, which "can safely be" more
(Redston G.D., Stanworth J.E. 1945, J. Soc. Glass Technol. 29, 48, abstract); design stress of
annealed float 19 MPa for a minute at 0.8 % breakage (Pilkington ATS-129, 2013).

*Fracture*: ASTM F14 and F144 give about 300e-6 as the mismatch above which the glass of a seal is
likely to break (scope, read); at 70 GPa and Poisson's ratio 0.22 that is 21 MPa along one way and
27 MPa all ways: 25 MPa.

The limits hold for surfaces as a workshop leaves them. Cutting, engraving and scratches weaken
them; the inside of a join that no air reaches is stronger.
"""

from __future__ import annotations

from enum import StrEnum

from core.glass.glass import Estimate

LONG_TERM_STRENGTH = 13.0e6
"""[Pa]"""
SAFETY_FACTOR = 1.8
ALLOWED_TENSION = LONG_TERM_STRENGTH / SAFETY_FACTOR
"""[Pa] A partner may be left with this much for good."""
FRACTURE_TENSION = 25.0e6
"""[Pa] Above it a join is likely to break."""
FRACTURE_MISMATCH = 300e-6
"""[-] The same as a difference of contraction (ASTM F14, F144)."""


class Verdict(StrEnum):
    """What to expect of two glasses in one piece."""

    SAFE = "safe together"
    DOUBTFUL = "doubtful, make a trial"
    WILL_CRACK = "will crack"


def judge(tension: Estimate) -> Verdict:
    """Verdict on a peak tension [Pa].

    Safe when the whole interval is within what is allowed. Will crack when the estimate is beyond
    fracture and even the low end is more than is allowed. Anything else is doubtful; so is a
    tension without an interval.
    """
    if tension.low is None or tension.high is None:
        return Verdict.DOUBTFUL
    if tension.high <= ALLOWED_TENSION:
        return Verdict.SAFE
    if tension.value >= FRACTURE_TENSION and tension.low > ALLOWED_TENSION:
        return Verdict.WILL_CRACK
    return Verdict.DOUBTFUL
