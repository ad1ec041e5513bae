"""Named grades of annealing: how much birefringence a piece may keep, and the stress that is.

ISO 10110-2 gives the drawing code 0/X, X the largest optical path difference in nm per cm of glass
path; below 10 is called a fine anneal, above 20 a coarse one. The typical uses are those of
ISO 10110-2:1996 Table 1 / ISO 10110-18:2018 (from memory, unverified). Stress follows from the
stress-optical coefficient of the piece's own glass: sigma = R/(C t).
"""

from __future__ import annotations

from dataclasses import dataclass

from core.errors import LoadError

NM_PER_CM = 1e-7
"""Path difference per path [-] of 1 nm/cm."""
LARGEST_LIMIT = 4e6
"""[Pa] No grade allows more tension than this: in glass whose coefficient is next to nothing (much
lead) light hardly tells of stress. Common practice, no source."""


@dataclass(frozen=True)
class Grade:
    """A grade of annealing.

    Attributes
    ----------
    code : str
        As on a drawing, ``"0/10"``.
    retardation : float
        Path difference per path [-].
    use : str
        What it is typically asked for.
    """

    code: str
    retardation: float
    use: str


GRADES = (
    Grade("0/2", 2 * NM_PER_CM, "polarisation and interference instruments"),
    Grade("0/5", 5 * NM_PER_CM, "precision optics, astronomical"),
    Grade("0/10", 10 * NM_PER_CM, "photographic and microscope optics; a fine anneal"),
    Grade("0/20", 20 * NM_PER_CM, "magnifiers, viewfinders"),
)


def grade_named(code: str) -> Grade:
    """The grade of a drawing code.

    Raises
    ------
    LoadError
        If there is no such grade.
    """
    for grade in GRADES:
        if grade.code == code.strip():
            return grade
    raise LoadError(
        f"“{code}” is no grade of annealing known here.",
        field="grade",
        remedy="Use one of: " + ", ".join(grade.code for grade in GRADES) + ".",
    )


def grade_limit(grade: Grade, stress_optical_coefficient: float) -> float:
    """Core tension [Pa] that a grade allows in a glass of this coefficient [1/Pa]."""
    coefficient = abs(stress_optical_coefficient)
    if coefficient * LARGEST_LIMIT <= grade.retardation:
        return LARGEST_LIMIT
    return grade.retardation / coefficient
