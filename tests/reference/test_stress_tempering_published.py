"""Tempered soda-lime plate: heat-transfer coefficient and start against published stress.

Sources
-------
Gardon R. 1965, 1980, Thermal tempering of glass (Glass: Science and Technology, vol. 5): 6 mm plate
fully tempered has 45-55 MPa in the middle and 90-110 MPa of compression at the surface, with
200-300 W/(m2 K) from 620-650 °C; mid-plane tension rises with the starting temperature and then no
more (from memory, unverified).
ASTM C1048: fully tempered, surface compression of 69 MPa at least; heat strengthened 24-52 MPa.
Narayanaswamy O.S. 1978, Stress and structural relaxation in tempering glass, J. Am. Ceram. Soc. 61,
146, abstract: structural relaxation typically accounts for some 24 % of temper stress.
Blasts of published calculations with the same table of relaxation: 280 W/(m2 K) at 923 K, 450 W/(m2
K) for 3.1 mm from 665 °C.

The glass is that of Carre & Daudeville's table, no number is fitted. Surfaces take the blast alone.
"""

from dataclasses import replace

import numpy as np
import pytest
from stress_glasses import carre_and_daudeville

from core.piece.piece import Geometry
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.relaxation import SODA_LIME
from core.stress.section import FirstState, StressPiece, StressSection, Surroundings
from core.units import ZERO_CELSIUS

PLATE = carre_and_daudeville()
AIR = ZERO_CELSIUS + 20.0
MEGA = 1e6


def tempered(mm, coefficient, start, *, structure=True):
    """Mid-plane tension and surface compression [MPa]."""
    relaxation = SODA_LIME if structure else replace(SODA_LIME, liquid_expansion_ratio=1.0)
    hot = start + ZERO_CELSIUS
    piece = StressPiece(
        "plate", PLATE, (StressSection("body", Geometry.SLAB, mm / 1000),),
        first_state=FirstState(hot, hot), relaxation=relaxation,
        surroundings=Surroundings(emissivity=0.0, convection=0.0, fixed=coefficient),
    )  # fmt: skip
    history = ChamberHistory(np.array([0.0, 1500.0]), np.array([AIR, AIR]))
    answer = stresses((piece,), history)[0]
    return answer.permanent_core / MEGA, -answer.permanent_surface / MEGA


def test_six_millimetres_fully_tempered():
    """In the middle of the published range of blasts, from its hotter end."""
    middle, surface = tempered(6.0, 250.0, 650.0)
    assert 45.0 <= middle <= 55.0
    assert 90.0 <= surface <= 110.0
    assert surface / middle == pytest.approx(2.0, rel=0.10)


@pytest.mark.parametrize("coefficient", [200.0, 225.0, 275.0, 300.0])
def test_the_whole_range_of_blasts_lies_about_the_published_range(coefficient):
    """Within 15 % of its ends: the range is not given blast by blast."""
    middle, surface = tempered(6.0, coefficient, 645.0)
    assert 45.0 * 0.85 <= middle <= 55.0 * 1.15
    assert 90.0 * 0.85 <= surface <= 110.0 * 1.15


@pytest.mark.parametrize(("mm", "coefficient", "start"), [(6.0, 280.0, 649.85), (3.1, 450.0, 665)])
def test_blasts_published_for_full_tempering_give_it(mm, coefficient, start):
    middle, surface = tempered(mm, coefficient, start)
    assert surface >= 69.0
    assert surface / middle == pytest.approx(2.0, rel=0.10)


def test_a_weak_blast_only_strengthens():
    """Some 70 W/(m2 K) on 6 mm, a quarter of full tempering: within heat strengthened."""
    _, surface = tempered(6.0, 70.0, 645.0)
    assert 24.0 <= surface <= 52.0


def test_tension_rises_with_the_blast_less_than_in_proportion():
    middle = np.array([tempered(6.1, h, 650.0)[0] for h in (50.0, 100.0, 200.0, 400.0)])
    gain = middle[1:] / middle[:-1]
    assert (gain > 1.4).all()
    assert (gain < 2.0).all()
    assert (np.diff(gain) < 0).all()


def test_tension_rises_with_the_start_and_then_no_more():
    start = (540.0, 580.0, 620.0, 660.0, 700.0, 740.0)
    middle = np.array([tempered(6.1, 222.0, t)[0] for t in start])
    assert (np.diff(middle) > 0).all()
    assert middle[0] < 0.2 * middle[-1]
    assert middle[3] > 0.95 * middle[-1]


def test_structure_matters_less_than_in_annealing_and_less_the_harder_the_blast():
    """24 % by Narayanaswamy's model, against 40 % of a linear anneal (Gardon & Narayanaswamy 1970).

    Carre & Daudeville's spectra with an elastic bulk give 33-36 % for full tempering: on the right
    side of annealing, but above his figure by half. The last bound says how far; it is no
    agreement.
    """
    shares = []
    for coefficient in (100.0, 222.0, 400.0):
        total, _ = tempered(6.1, coefficient, 650.0)
        without, _ = tempered(6.1, coefficient, 650.0, structure=False)
        shares.append(1.0 - without / total)
    assert 0.40 > shares[0] > shares[1] > shares[2]
    assert 0.24 < shares[1] <= 0.24 * 1.5
