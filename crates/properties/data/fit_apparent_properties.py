#!/usr/bin/env python3
"""Fit additive apparent volumes and heat capacities of ions to Laliberte (2009).

Reads the coefficient table of Laliberte, J. Chem. Eng. Data 54 (2009) 1725, as the Python package
`chemicals` 1.5.2 ships it (Electrolytes/Laliberte2009.tsv), fits one apparent volume and one apparent
heat capacity per ion with Ni2+ = 0, prints them, and writes the two CSV files used by the tests.
Run with numpy and chemicals 1.5.2 installed: python3 fit_apparent_properties.py
"""
import csv
import math
import os

import chemicals
import numpy as np

HERE = os.path.dirname(os.path.abspath(__file__))
TABLE = os.path.join(os.path.dirname(chemicals.__file__), "Electrolytes", "Laliberte2009.tsv")
with open(TABLE) as handle:
    ROWS = {row[2]: row for row in list(csv.reader(handle, delimiter="\t"))[1:]}
MASS = dict(Na=22.98977, K=39.0983, Ca=40.078, Mg=24.305, Ni=58.6934, Zn=65.38, Cu=63.546, Fe=55.845,
            Cr3=51.9961, NH4=18.0385, H=1.008, Cl=35.453, SO4=96.0626, OH=17.0073)
CHARGE = dict(Na=1, K=1, Ca=2, Mg=2, Ni=2, Zn=2, Cu=2, Fe=2, Cr3=3, NH4=1, H=1, Cl=1, SO4=2, OH=1)
SALTS = {"NaCl": ("Na", "Cl"), "KCl": ("K", "Cl"), "CaCl2": ("Ca", "Cl"), "MgCl2": ("Mg", "Cl"),
         "MgSO4": ("Mg", "SO4"), "Na2SO4": ("Na", "SO4"), "K2SO4": ("K", "SO4"), "NiCl2": ("Ni", "Cl"),
         "NiSO4": ("Ni", "SO4"), "CuSO4": ("Cu", "SO4"), "CuCl2": ("Cu", "Cl"), "ZnCl2": ("Zn", "Cl"),
         "ZnSO4": ("Zn", "SO4"), "FeSO4": ("Fe", "SO4"), "FeCl2": ("Fe", "Cl"), "NH4Cl": ("NH4", "Cl"),
         "(NH4)2SO4": ("NH4", "SO4"), "H2SO4": ("H", "SO4"), "HCl": ("H", "Cl"), "NaOH": ("Na", "OH"),
         "KOH": ("K", "OH"), "CrCl3": ("Cr3", "Cl")}
# Highest mass fraction used, where it is below 25 %, and highest temperature, where below 60 C.
W_MAX = {"K2SO4": .1, "CuSO4": .2, "MgSO4": .2, "Na2SO4": .2, "CrCl3": .12, "FeSO4": .2, "FeCl2": .2, "HCl": .2}
T_MAX = {"FeSO4": 30, "CrCl3": 20, "FeCl2": 50}
WEIGHT = {"NiSO4": 8, "NiCl2": 6, "CuSO4": 3, "ZnCl2": 3, "KCl": 3, "NaCl": 2, "H2SO4": 2}
# Temperatures at which the heat capacities are measured.
CP_T = {"NaCl": (25, 40, 60), "KCl": (25, 40, 60), "CaCl2": (25, 40, 60), "MgCl2": (25, 40, 60),
        "MgSO4": (25, 40, 60), "Na2SO4": (25, 40, 60), "K2SO4": (25, 40, 60), "NiCl2": (25,), "NiSO4": (41,),
        "CuSO4": (18,), "CuCl2": (35,), "FeSO4": (35,), "NH4Cl": (25, 40), "H2SO4": (25, 40, 55),
        "NaOH": (25, 40, 60), "KOH": (25, 40, 60)}
CP_W_MAX = {"K2SO4": .08, "NiSO4": .15, "CuSO4": .15, "NH4Cl": .141, "Na2SO4": .2}
CP_WEIGHT = {"NiSO4": 8, "NiCl2": 8, "KCl": 3, "NaCl": 3}
CP_WATER = 4186.0
SHIPPED = ("NiSO4", "NiCl2", "CuSO4", "ZnSO4", "ZnCl2", "NaCl", "KCl", "NH4Cl", "Na2SO4", "H2SO4", "HCl",
           "MgSO4", "CaCl2", "NaOH")


def water_density(t):
    """Water density of the same paper, kg/m3."""
    return (((((-2.8054253e-10 * t + 1.0556302e-7) * t - 4.6170461e-5) * t - 0.0079870401) * t + 16.945176) * t
            + 999.83952) / (1 + 0.01687985 * t)


def apparent_density(salt, w, t):
    c = [float(x) for x in ROWS[salt][4:9]]
    return (c[0] * w + c[1]) * math.exp(1e-6 * (t + c[4]) ** 2) / (w + c[2] + c[3] * t)


def apparent_cp(salt, w, t):
    a = [float(x) for x in ROWS[salt][23:29]]
    return 1000 * (a[0] * math.exp(a[1] * t + a[2] * math.exp(0.01 * t) + a[3] * w) + a[4] * w ** a[5])


def cation_fraction(salt):
    c, a = SALTS[salt]
    x, y = MASS[c] / CHARGE[c], MASS[a] / CHARGE[a]
    return x / (x + y)


def solve(points, ions):
    rows, rhs = [], []
    for salt, scale, value in points:
        row, fraction = np.zeros(len(ions)), cation_fraction(salt)
        cation, anion = SALTS[salt]
        if cation != "Ni":
            row[ions.index(cation)] = fraction
        row[ions.index(anion)] = 1 - fraction
        rows.append(row * scale)
        rhs.append(value * scale)
    return np.linalg.lstsq(np.array(rows), np.array(rhs), rcond=None)[0]


def main():
    volume_points, density_rows = [], []
    for salt in SALTS:
        for w in (.03, .06, .1, .15, .2, .25):
            if w > W_MAX.get(salt, .25):
                continue
            for t in (20, 30, 40, 50, 60):
                if t > T_MAX.get(salt, 60):
                    continue
                phi = 1 / apparent_density(salt, w, t)
                volume = (1 - w) / water_density(t) + w * phi
                volume_points.append((salt, w / volume * WEIGHT.get(salt, 1), phi))
                if salt in SHIPPED:
                    density_rows.append((salt, w, t, "%.2f" % (1 / volume)))
    ions = [ion for ion in MASS if ion != "Ni"]
    for ion, phi in zip(ions, solve(volume_points, ions)):
        print("%-4s apparent volume %8.4f L/kg" % (ion, 1e3 * phi))
    cp_points, cp_rows = [], []
    for salt, temperatures in CP_T.items():
        for w in (.05, .08, .1, .15, .2, .25):
            if w > CP_W_MAX.get(salt, .25):
                continue
            for t in temperatures:
                cp = apparent_cp(salt, w, t)
                cp_points.append((salt, w * CP_WEIGHT.get(salt, 1), cp))
                if salt in SHIPPED:
                    cp_rows.append((salt, w, t, "%.1f" % ((1 - w) * CP_WATER + w * cp)))
    ions = [ion for ion in MASS if ion not in ("Ni", "Zn", "Cr3")]
    for ion, cp in zip(ions, solve(cp_points, ions)):
        print("%-4s apparent heat capacity %9.1f J/(kg K)" % (ion, cp))
    for name, head, rows in (("laliberte2009_densities.csv", "salt,mass_fraction,temp_c,density_kg_per_m3", density_rows),
                             ("laliberte2009_heat_capacities.csv", "salt,mass_fraction,temp_c,cp_j_per_kg_k", cp_rows)):
        with open(os.path.join(HERE, name), "w", newline="\n") as handle:
            handle.write(head + "\n")
            handle.writelines(",".join(str(x) for x in row) + "\n" for row in rows)


if __name__ == "__main__":
    main()
