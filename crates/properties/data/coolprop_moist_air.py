"""Writes coolprop_moist_air.csv, the table of real moist air that tests/air.rs compares with.

Made with CoolProp 8.0.0 (pip install CoolProp==8.0.0), function HAPropsSI (ASHRAE RP-1485 moist air).
Run: python coolprop_moist_air.py > coolprop_moist_air.csv
"""

import CoolProp
from CoolProp.HumidAirProp import HAPropsSI

print(f"# CoolProp {CoolProp.__version__}, HAPropsSI, by coolprop_moist_air.py")
print(
    "temp_c,relative_humidity,pressure_pa,humidity_ratio_kg_per_kg,enthalpy_j_per_kg_da,"
    "volume_m3_per_kg_da,wet_bulb_c,dew_point_c"
)
for pressure in (101325.0, 84000.0):
    for temp in (-10.0, 0.5, 5.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 70.0):
        for humidity in (0.1, 0.5, 0.95, 1.0):
            state = ("T", temp + 273.15, "R", humidity, "P", pressure)
            print(
                f"{temp:g},{humidity:g},{pressure:g},"
                f"{HAPropsSI('W', *state):.7g},{HAPropsSI('H', *state):.7g},"
                f"{HAPropsSI('V', *state):.7g},{HAPropsSI('Twb', *state) - 273.15:.4f},"
                f"{HAPropsSI('Tdp', *state) - 273.15:.4f}"
            )
