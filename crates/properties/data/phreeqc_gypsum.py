#!/usr/bin/env python3
"""Calcium and sulfate in solutions saturated with gypsum, by PHREEQC 3.8.6 with its pitzer.dat.

Uses the PHREEQC engine that the Python package pyEQL 1.7.0 carries. Writes phreeqc_gypsum.csv beside
this file. Run with pyEQL 1.7.0 installed.
"""
import os
from importlib import resources

from pyEQL._phreeqc import PY_VAR_TYPE, PyIPhreeqc, PyVar

HERE = os.path.dirname(os.path.abspath(__file__))
NAMES = {"SO4": "S(6)"}
# Background salt, mol per kg of water; charges balance.
BACKGROUNDS = [
    {}, dict(Na=0.05, Cl=0.05), dict(Na=0.5, Cl=0.5), dict(Na=2.0, Cl=2.0), dict(K=3.0, Cl=3.0),
    dict(Mg=0.01, SO4=0.01), dict(Mg=0.05, SO4=0.05), dict(Mg=0.2, SO4=0.2), dict(Mg=0.6, SO4=0.6),
    dict(Mg=1.2, SO4=1.2), dict(Mg=1.5, Cl=0.6, SO4=1.2), dict(Mg=2.0, SO4=2.0),
]


def saturated(engine, background, temp_c):
    lines = ["SOLUTION 1", "units mol/kgw", "temp %g" % temp_c, "pH 7"]
    lines += ["%s %g" % (NAMES.get(k, k), v) for k, v in background.items()]
    lines += ["EQUILIBRIUM_PHASES", "Gypsum 0 10", "SELECTED_OUTPUT", "-reset false", "USER_PUNCH",
              "-headings ca so4 mu", '10 PUNCH TOT("Ca"),TOT("S(6)"),MU', "END", ""]
    engine.run_string("\n".join(lines))
    out = []
    for column in range(3):
        var = PyVar()
        var.var.type = PY_VAR_TYPE.TT_EMPTY
        engine.get_value(engine.get_selected_output_row_count() - 1, column, var.var)
        out.append(var.var.dVal)
    return out


def main():
    engine = PyIPhreeqc()
    engine.load_database(str(resources.files("pyEQL.phreeqc.database") / "pitzer.dat"))
    with open(os.path.join(HERE, "phreeqc_gypsum.csv"), "w", newline="\n") as handle:
        handle.write("background,temp_c,ca_mol_per_kg,so4_mol_per_kg,ionic_strength_mol_per_kg\n")
        for temp_c in (25, 50):
            for background in BACKGROUNDS:
                name = " ".join("%s=%g" % item for item in background.items()) or "water"
                row = ["%.5f" % x for x in saturated(engine, background, temp_c)]
                handle.write("%s,%d,%s\n" % (name, temp_c, ",".join(row)))


if __name__ == "__main__":
    main()
