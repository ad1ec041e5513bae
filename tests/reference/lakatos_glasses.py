"""Check glasses of Lakatos T., Johansson L.-G., Simmingskold B. (1976), Updated factors for
calculation of viscosity, Glasteknisk Tidskrift.
"""

# wt% and the paper's calculated temperatures [°C] at 10^1, 10^3 and 10^5 Pa s. Glass D6 is
# printed with CaO 4.48, a sum of 99.64 and a misfit of 6 °C: digits swapped, 4.84 is meant.
GLASSES = {
    "S1": (
        {"SiO2": 77.02, "Al2O3": 0.19, "Na2O": 12.03, "K2O": 0.13, "CaO": 10.12},
        (1503.7, 1054.3, 843.3),
    ),
    "S7": (
        {"SiO2": 71.41, "Al2O3": 2.21, "Na2O": 12.44, "K2O": 2.6, "CaO": 10.1, "MgO": 0.77},
        (1465.9, 1034.0, 829.9),
    ),
    "S16": (
        {"SiO2": 69.7, "Al2O3": 2.23, "Na2O": 14.06, "K2O": 0.04, "CaO": 11.05, "MgO": 2.23},
        (1422.7, 1017.8, 824.6),
    ),
    "S28": (
        {"SiO2": 72.37, "Al2O3": 2.02, "Na2O": 12.87, "K2O": 0.08, "CaO": 11.12, "MgO": 0.65},
        (1467.3, 1039.1, 837.6),
    ),
    "D6": (
        {"SiO2": 64.82, "Al2O3": 1.1, "Na2O": 12.7, "CaO": 4.84, "BaO": 16.54},
        (1385.7, 971.2, 777.9),
    ),
    "D17": (
        {"SiO2": 62.01, "Al2O3": 1.05, "Na2O": 12.15, "CaO": 10.42, "B2O3": 14.37},
        (1200.0, 905.3, 772.4),
    ),
    "F2-10": (
        {"SiO2": 73.3, "Al2O3": 1.65, "Na2O": 11.2, "K2O": 0.48, "Li2O": 3.0, "CaO": 10.3},
        (1365.4, 939.2, 743.0),
    ),
    "FAL5": (
        {"SiO2": 68.0, "Al2O3": 6.0, "Na2O": 11.0, "K2O": 2.0, "CaO": 11.0, "MgO": 2.0},
        (1499.7, 1069.9, 864.3),
    ),
}
