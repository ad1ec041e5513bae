"""Oxide yields of raw materials by stoichiometry.

Yields and molar masses worked out apart from this program from the IUPAC standard atomic weights
(Prohaska T. et al. 2022, Pure Appl. Chem. 94, 573-600), four figures. Molar masses there were added
up from the unabridged weights (Ba 137.327), ours from the abridged ones of five figures (137.33):
they may differ by half a unit of the fifth figure of each element.
"""

import pytest

from core.batch.formula import decompose
from core.batch.material_file import shipped_materials

TABLE = [
    ("silica sand", 60.083, {"SiO2": 1.0}, 0.0),
    ("soda ash", 105.988, {"Na2O": 0.5848}, 0.4152),
    ("potash", 138.204, {"K2O": 0.6816}, 0.3184),
    ("potash hydrate", 165.227, {"K2O": 0.5701}, 0.4299),
    ("whiting", 100.086, {"CaO": 0.5603}, 0.4397),
    ("dolomite", 184.399, {"CaO": 0.3041, "MgO": 0.2186}, 0.4773),
    ("slaked lime", 74.092, {"CaO": 0.7569}, 0.2431),
    ("red lead", 685.596, {"PbO": 0.9767}, 0.0233),
    ("litharge", 223.199, {"PbO": 1.0}, 0.0),
    ("borax decahydrate", 381.363, {"Na2O": 0.1625, "B2O3": 0.3651}, 0.4724),
    ("borax pentahydrate", 291.288, {"Na2O": 0.2128, "B2O3": 0.4780}, 0.3092),
    ("anhydrous borax", 201.213, {"Na2O": 0.3080, "B2O3": 0.6920}, 0.0),
    ("boric acid", 61.831, {"B2O3": 0.5630}, 0.4370),
    ("calcined alumina", 101.961, {"Al2O3": 1.0}, 0.0),
    ("alumina hydrate", 78.003, {"Al2O3": 0.6536}, 0.3464),
    ("soda feldspar", 262.219, {"Na2O": 0.1182, "Al2O3": 0.1944, "SiO2": 0.6874}, 0.0),
    ("potash feldspar", 278.327, {"K2O": 0.1692, "Al2O3": 0.1832, "SiO2": 0.6476}, 0.0),
    ("barium carbonate", 197.335, {"BaO": 0.7770}, 0.2230),
    ("zinc oxide", 81.379, {"ZnO": 1.0}, 0.0),
    ("lithium carbonate", 73.888, {"Li2O": 0.4044}, 0.5956),
    ("soda nitre", 84.994, {"Na2O": 0.3646}, 0.6354),
    ("saltpetre", 101.102, {"K2O": 0.4658}, 0.5342),
    ("salt cake", 142.036, {"Na2O": 0.4364}, 0.5636),
    ("antimony trioxide", 291.517, {"Sb2O3": 1.0}, 0.0),
    ("tin oxide", 150.708, {"SnO2": 1.0}, 0.0),
    ("manganese dioxide", 86.936, {"MnO": 0.8160}, 0.1840),
    ("iron oxide", 159.687, {"Fe2O3": 1.0}, 0.0),
    ("copper oxide", 79.545, {"CuO": 1.0}, 0.0),
    ("cobalt oxide", 240.795, {"CoO": 0.9336}, 0.0664),
    ("bone ash", 502.307, {"CaO": 0.5582, "P2O5": 0.4239}, 0.0179),
]


@pytest.mark.parametrize(("name", "mass", "yields", "loss"), TABLE, ids=[row[0] for row in TABLE])
def test_a_material_leaves_and_loses_what_stoichiometry_says(name, mass, yields, loss):
    material = shipped_materials().find(name)
    assert decompose(material.formula).molar_mass == pytest.approx(mass, rel=2e-5)
    assert dict(material.oxides) == pytest.approx(yields, abs=6e-5)
    assert material.loss == pytest.approx(loss, abs=6e-5)
