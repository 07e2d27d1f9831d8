#!/usr/bin/env python3
"""Water activity of mixed salt solutions by PHREEQC 3.8.6 with its pitzer.dat (25 C).

Uses the PHREEQC engine that the Python package pyEQL 1.7.0 carries. Writes
phreeqc_mixed_water_activity.csv beside this file. Run with pyEQL 1.7.0 installed.
"""
import os
from importlib import resources

from pyEQL._phreeqc import PY_VAR_TYPE, PyIPhreeqc, PyVar

HERE = os.path.dirname(os.path.abspath(__file__))
NAMES = {"SO4": "S(6)"}
# mol per kg of water; charges balance.
MIXTURES = [
    dict(Mg=1.5, SO4=1.2, Cl=0.6), dict(Mg=2.4, SO4=1.9, Cl=1.0), dict(Mg=1.3, SO4=0.3, Cl=2.0),
    dict(Na=1.0, Mg=1.0, SO4=1.0, Cl=1.0), dict(K=3.0, Mg=0.5, Cl=4.0), dict(K=2.0, Ca=0.5, Cl=3.0),
    dict(Na=0.3, Mg=1.5, SO4=1.2, Cl=0.9), dict(Na=3.0, Mg=0.3, SO4=0.3, Cl=3.0),
    dict(Na=0.5, K=0.5, Mg=0.2, SO4=0.4, Cl=0.6), dict(Mg=0.3, SO4=0.25, Cl=0.1),
]


def activity(engine, mixture):
    lines = ["SOLUTION 1", "units mol/kgw", "temp 25", "pH 7"]
    lines += ["%s %g" % (NAMES.get(k, k), v) for k, v in mixture.items()]
    lines += ["SELECTED_OUTPUT", "-reset false", "USER_PUNCH", "-headings aw", '10 PUNCH ACT("H2O")', "END", ""]
    engine.run_string("\n".join(lines))
    var = PyVar()
    var.var.type = PY_VAR_TYPE.TT_EMPTY
    engine.get_value(engine.get_selected_output_row_count() - 1, 0, var.var)
    return var.var.dVal


def main():
    engine = PyIPhreeqc()
    engine.load_database(str(resources.files("pyEQL.phreeqc.database") / "pitzer.dat"))
    ions = ("Na", "K", "Mg", "Ca", "SO4", "Cl")
    with open(os.path.join(HERE, "phreeqc_mixed_water_activity.csv"), "w", newline="\n") as handle:
        handle.write(",".join("%s_mol_per_kg" % i for i in ions) + ",water_activity\n")
        for mixture in MIXTURES:
            row = ["%g" % mixture.get(i, 0.0) for i in ions] + ["%.5f" % activity(engine, mixture)]
            handle.write(",".join(row) + "\n")


if __name__ == "__main__":
    main()
