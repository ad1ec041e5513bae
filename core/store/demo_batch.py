"""The invented studio's shelf of raw materials and two of its batches. Nothing here is real.

No number in this file is a value to work by.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from core.batch.material import Hazard, Material
from core.batch.material_file import shipped_materials
from core.batch.reckon import make_batch
from core.batch.request import Addition, BatchRequest, Cullet
from core.batch.volatilisation import usual_losses
from core.composition.composition import Composition
from core.store.book import Book

_INVENTED = "invented"
_BAGS = (
    Material.from_analysis(
        "dune sand",
        {"SiO2": 99.55, "Al2O3": 0.22, "Fe2O3": 0.021, "TiO2": 0.03},
        0.15,
        {"H2O": 100.0},
        moisture=0.001,
        price=0.62,
        stock=240.0,
        hazards=(Hazard.SILICA,),
        hazard="Fines are respirable.",
        source=_INVENTED,
    ),
    Material.from_analysis(
        "harbour whiting",
        {"CaO": 55.3, "MgO": 0.35, "SiO2": 0.4, "Al2O3": 0.08, "Fe2O3": 0.03},
        43.7,
        {"CO2": 100.0},
        price=0.75,
        stock=60.0,
        hazards=(Hazard.DUST,),
        source=_INVENTED,
    ),
    Material.from_analysis(
        "feldspar",
        {"SiO2": 67.3, "Al2O3": 18.4, "K2O": 9.8, "Na2O": 3.5, "CaO": 0.5, "Fe2O3": 0.09},
        0.35,
        {"H2O": 100.0},
        price=0.95,
        stock=25.0,
        hazards=(Hazard.DUST, Hazard.SILICA),
        source=_INVENTED,
    ),
)
_BOUGHT = {
    "soda ash": (1.35, 75.0, 0.004),
    "potash": (3.10, 50.0, 0.015),
    "red lead": (6.80, 12.0, 0.0),
    "borax pentahydrate": (2.40, 6.0, 0.0),
    "barium carbonate": (3.90, 4.0, 0.0),
    "zinc oxide": (5.20, 3.0, 0.0),
    "antimony trioxide": (14.0, 1.5, 0.0),
    "saltpetre": (2.70, 5.0, 0.0),
    "cobalt oxide": (62.0, 0.4, 0.0),
    "manganese dioxide": (9.5, 0.8, 0.0),
    "charcoal": (1.10, None, 0.05),
}
"""Price per kg, stock [kg] and moisture of what is bought pure."""


def fill_demo_batches(book: Book, now: datetime) -> None:
    """Write the shelf and two batches of this week into the invented studio's book.

    Parameters
    ----------
    book : Book
        With the studio's glasses in it.
    now : datetime
        Aware, in the studio's zone; no sheet is made after it.
    """
    pure = {material.name: material for material in shipped_materials()}
    bought = tuple(
        replace(pure[name], price=price, stock=stock, moisture=moisture)
        for name, (price, stock, moisture) in _BOUGHT.items()
    )
    book.fill_materials((*_BAGS, *bought))
    book.set_currency("EUR")
    clear = _analysis(book, "harbour clear")
    losses = usual_losses(clear.weight_percent)
    melt = BatchRequest(
        "harbour clear, Monday's pot",
        clear,
        book.material_list(),
        40.0,
        cullet=Cullet("own trimmings", clear, 0.33),
        additions=(Addition("saltpetre", 0.008),),
        volatilises=losses,
    )
    book.save_batch(make_batch(melt), made_at=_morning(now, 2))
    blue = replace(
        melt,
        name="deck prism blue",
        size=18.0,
        cullet=None,
        additions=(Addition("saltpetre", 0.008), Addition("CoO", 220e-6)),
    )
    book.save_batch(make_batch(blue), made_at=_morning(now, 1))


def _analysis(book: Book, name: str) -> Composition:
    found = next(glass.composition for glass in book.glasses() if glass.name == name)
    if found is None:
        raise AssertionError(f"“{name}” of the invented studio has an analysis")
    return found


def _morning(now: datetime, days: int) -> datetime:
    moment = now - timedelta(days=days)
    return moment.replace(hour=9, minute=40, second=0, microsecond=0)
