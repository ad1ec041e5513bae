"""The report of the fit: errors and coverage on left-out author groups, and what limits them."""

from __future__ import annotations

import hashlib

import numpy as np
from numpy.typing import NDArray

from core.glass.open_data.reading import FILE as DATA_FILE
from core.glass.open_data.reading import OpenData
from core.glass.property_fit.comparison import laboratory_noise, published
from core.glass.property_fit.cross_validation import FOLDS, Tested

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

STUDIO = ("soda_lime", "potash_lime", "mixed_alkali", "lead")
OTHERS = ("barium", "borosilicate", "other")
SCORED = {
    "annealing point [K]": ("anneal_C", "11 / 32"),
    "T at 10^12 Pa s [K]": ("T_log12_C", "8.5 / 30"),
    "strain point [K]": ("strain_C", "7 / 23"),
    "softening point [K]": ("littleton_C", "8.5 / 28"),
    "glass transition [K]": ("Tg_C", "13 / 38"),
    "T at 10^3 Pa s [K]": ("T_log3_C", "12 / 44"),
    "T at 10^2 Pa s [K]": ("T_log2_C", "15 / 58"),
    "T at 10 Pa s [K]": ("T_log1_C", "22 / 80"),
    "expansion 20-300 °C [1e-7/K]": ("CTE_20_300_1e7", "2.0 / 6"),
    "density [g/cm3]": ("density_20C_gcm3", "0.010 / 0.036"),
    "expansion 20-400 °C [1e-7/K]": ("CTE_20_400_1e7", ""),
    "Young's modulus [GPa]": ("young_GPa", ""),
    "Poisson's ratio": ("poisson", ""),
    "refractive index": ("nD", ""),
    "liquidus [K]": ("liquidus_C", ""),
}
"""Name: column of the open data, wanted median / 90th percentile of the absolute error."""

UNREAD = 2008
"""Papers from this year on cannot have been among the data of Fluegel 2007."""


def data_stamp() -> str:
    """Short hash of the open data."""
    return hashlib.sha256(DATA_FILE.read_bytes()).hexdigest()[:12]


def report(data: OpenData, tested: dict[str, Tested], version: str) -> str:
    """Everything measured, as a page of Markdown."""
    studio = np.isin(data.family, STUDIO)
    families = {"all four": studio, **{_plain(name): data.family == name for name in STUDIO}}
    more = {_plain(name): data.family == name for name in OTHERS}
    theirs = published(data, studio)
    parts = [
        f"# The fitted property model, tested\n\nModel {version}, data {data_stamp()}.\n",
        "Written by `python -m core.glass.property_fit.fit`; data and licence: see",
        f"../open_data/NOTICE.md. Everything below is on whole author groups ({FOLDS} folds) that",
        "the fit had not read. Values marked suspect in the data weigh little in the fit and are",
        "not scored. Features, limits of shifts and the weighting of widths were chosen by looking",
        "at such errors, on these same groups: authors never looked at may do a little worse.\n",
        "## Errors\n",
        "Median / 90th percentile of the absolute error, (values).\n",
        *_table(
            ("", "wanted", *families),
            [
                [name, wanted, *(_errors(tested[column], own) for own in families.values())]
                for name, (column, wanted) in SCORED.items()
            ],
        ),
        "\n## Coverage of the 90 % interval\n",
        "Percent of left-out values inside, (half width in the middle). The width each fold is",
        "judged with was set on other folds, by fits that had not read this one either.\n",
        *_table(
            ("", *families, *more),
            [
                [name, *(_coverage(tested[column], own) for own in (families | more).values())]
                for name, (column, _) in SCORED.items()
            ],
        ),
        "\n## Against the published models\n",
        "Ours / Fluegel 2007 / Lakatos 1976 (Appen's factors for expansion and density): median",
        "absolute error, 90th percentile in brackets. The published models were made from papers",
        "that are largely in this data, so on most of these values they are judged on what they",
        f"were fitted to, ours is not. Papers from {UNREAD} on, which none of them can have read,",
        "stand in the second table.\n",
        *_table(("", *families), _versus(data, tested, theirs, families, 0)),
        f"\nPapers from {UNREAD} on:\n",
        *_table(("", *families), _versus(data, tested, theirs, families, UNREAD)),
        "\n## What laboratories differ by\n",
        "Author groups on one nominal glass (every component within 0.5 wt%), the four families",
        "together, each pair of groups once, equal values left out as quotations. Difference over",
        "the square root of 2: a model that knew the truth would miss a single value by this.\n",
        *_table(
            ("", "median / 90th percentile", "pairs of groups", "groups"),
            [_noise(data, name, column, studio) for name, (column, _) in SCORED.items()],
        ),
    ]
    return "\n".join(parts) + "\n"


def _plain(family: str) -> str:
    return family.replace("_", " ")


def _table(head: tuple[str, ...], rows: list[list[str]]) -> list[str]:
    lines = ["| " + " | ".join(head) + " |", "| --- " * len(head) + "|"]
    return lines + ["| " + " | ".join(row) + " |" for row in rows]


def _digits(value: float) -> str:
    if value >= 10.0:
        return f"{value:.0f}"
    return f"{value:.1f}" if value >= 0.5 else f"{value:.2g}"


def _errors(tested: Tested, among: BoolArray) -> str:
    error = np.abs(tested.error[tested.fair & among])
    if not len(error):
        return "-"
    return f"{_digits(np.median(error))} / {_digits(np.quantile(error, 0.9))} ({len(error)})"


def _coverage(tested: Tested, among: BoolArray) -> str:
    own = tested.fair & among
    if not own.any():
        return "-"
    half = _digits(float(np.median(tested.half_width[own])))
    return f"{100.0 * tested.covered[own].mean():.0f} (±{half})"


def _versus(
    data: OpenData,
    tested: dict[str, Tested],
    theirs: dict[str, dict[str, FloatArray]],
    families: dict[str, BoolArray],
    since: int,
) -> list[list[str]]:
    rows = []
    for name, (column, _) in SCORED.items():
        models = [said[column] for said in theirs.values() if column in said]
        if not models:
            continue
        cells = [name]
        for family in families.values():
            own = tested[column].fair & family & (data.year >= since)
            if own.sum() < 5:
                cells.append("-")
                continue
            errors = [tested[column].error, *(said - data.values[column] for said in models)]
            cells.append(" / ".join(_short(np.abs(error[own])) for error in errors))
        rows.append(cells)
    return rows


def _short(error: FloatArray) -> str:
    # A model that gives no curve at all is counted as further out than any.
    worst = np.where(np.isfinite(error), error, np.inf)
    order = np.sort(worst)
    middle, tail = order[len(order) // 2], order[int(0.9 * (len(order) - 1))]
    return f"{_digits(middle)} ({_digits(tail)})"


def _noise(data: OpenData, name: str, column: str, among: BoolArray) -> list[str]:
    noise = laboratory_noise(data, column, among)
    if noise.pairs < 5:
        return [name, "-", str(noise.pairs), str(noise.groups)]
    spread = f"{_digits(noise.median)} / {_digits(noise.tail)}"
    return [name, spread, str(noise.pairs), str(noise.groups)]
