"""Quantities as they are written, with the kind and the number in SI that each stands for: rows for tests/test_units.py.

Conversion factors are exact by definition (1 psi = 6894.757293168 Pa, 1 lb = 0.45359237 kg, 1 ft = 0.3048 m,
1 lb = 7000 grains, 1 US gallon = 231 in³, 1 Btu = 1055.056 J to 1 in a million, 1 ton = 12 000 Btu/h); SI Brochure and NIST Special Publication 811, from memory.
"""

ATMOSPHERE = 101325.0
PSI = 6894.757293168
BTU = 1055.056
POUND = 0.45359237
FOOT = 0.3048

READINGS = [
    ("45C", "temperature", 318.15), ("45 °C", "temperature", 318.15), ("45 degC", "temperature", 318.15),
    ("113F", "temperature", 318.15), ("113 °F", "temperature", 318.15), ("318.15K", "temperature", 318.15),
    ("572.67R", "temperature", 318.15), ("-40C", "temperature", 233.15), ("-40F", "temperature", 233.15),
    ("\N{MINUS SIGN}40 C", "temperature", 233.15), ("+5C", "temperature", 278.15), (" 5 C ", "temperature", 278.15),
    (".5C", "temperature", 273.65), ("5.C", "temperature", 278.15), ("5 celsius", "temperature", 278.15),
    ("5K", "temperature difference", 5.0), ("5C", "temperature difference", 5.0), ("9F", "temperature difference", 5.0),
    ("9R", "temperature difference", 5.0), ("9 °F", "temperature difference", 5.0), ("-3K", "temperature difference", -3.0),
    ("0F", "temperature difference", 0.0),
    ("8.5bar", "pressure", 8.5e5), ("8.5 bar abs", "pressure", 8.5e5), ("8.5bara", "pressure", 8.5e5),
    ("800kPa", "pressure", 8e5), ("0.8MPa", "pressure", 8e5), ("8000hPa", "pressure", 8e5), ("800000 Pa", "pressure", 8e5),
    ("5e5Pa", "pressure", 5e5), ("24 psia", "pressure", 24 * PSI), ("118psig", "pressure", 118 * PSI + ATMOSPHERE),
    ("118 psi g", "pressure", 118 * PSI + ATMOSPHERE), ("7.5barg", "pressure", 7.5e5 + ATMOSPHERE),
    ("7.5 bar(g)", "pressure", 7.5e5 + ATMOSPHERE), ("750 kPa gauge", "pressure", 7.5e5 + ATMOSPHERE),
    ("0psig", "pressure", ATMOSPHERE), ("-0.5barg", "pressure", ATMOSPHERE - 0.5e5),
    ("118psig", "gauge pressure", 118 * PSI), ("7.5barg", "gauge pressure", 7.5e5), ("-5psig", "gauge pressure", -5 * PSI),
    ("1.5bar", "pressure difference", 1.5e5), ("1.5 bar g", "pressure difference", 1.5e5), ("22 psi", "pressure difference", 22 * PSI),
    ("22psid", "pressure difference", 22 * PSI), ("150 kPa", "pressure difference", 1.5e5),
    ("40kJ/kg", "specific energy", 40e3), ("40 kJ / kg", "specific energy", 40e3), ("17Btu/lb", "specific energy", 17 * BTU / POUND),
    ("1.75kJ/kgK", "specific entropy", 1750.0), ("1.75 kJ/(kg·K)", "specific entropy", 1750.0),
    ("1.75 kJ/(kg K)", "specific entropy", 1750.0), ("1750 J/kg/K", "specific entropy", 1750.0),
    ("0.42Btu/lbR", "specific entropy", 0.42 * BTU / POUND * 1.8), ("0.42 Btu/(lb·°R)", "specific entropy", 0.42 * BTU / POUND * 1.8),
    ("30kg/m3", "density", 30.0), ("30 kg/m³", "density", 30.0), ("1.9lb/ft3", "density", 1.9 * POUND / FOOT**3),
    ("30dm3/kg", "specific volume", 0.03), ("30 l/kg", "specific volume", 0.03), ("0.5ft3/lb", "specific volume", 0.5 * FOOT**3 / POUND),
    ("10 kilowatts", "power", 10e3), ("34000 Btu/hour", "power", 34000 * BTU / 3600), ("17 Btu/pound", "specific energy", 17 * BTU / POUND),
    ("10kW", "power", 10e3), ("34000Btu/h", "power", 34000 * BTU / 3600), ("3ton", "power", 36000 * BTU / 3600),
    ("36 MBH", "power", 36000 * BTU / 3600), ("3 TR", "power", 36000 * BTU / 3600), ("12000 BTU/hr", "power", 12000 * BTU / 3600),
    ("2.5kW", "electric power", 2.5e3), ("160 W", "electric power", 160.0), ("3412.142Btu/h", "electric power", 1000.0),
    ("0.05kg/s", "mass flow", 0.05), ("50 g/s", "mass flow", 0.05), ("180kg/h", "mass flow", 0.05),
    ("400lb/h", "mass flow", 400 * POUND / 3600), ("3 kg/min", "mass flow", 0.05),
    ("18m3/h", "volume flow", 0.005), ("5 l/s", "volume flow", 0.005), ("10 cfm", "volume flow", 10 * FOOT**3 / 60),
    ("10 ft³/min", "volume flow", 10 * FOOT**3 / 60), ("0.005 m³/s", "volume flow", 0.005),
    ("4000kJ/m3", "volumetric capacity", 4e6), ("107Btu/ft3", "volumetric capacity", 107 * BTU / FOOT**3),
    ("1600m", "length", 1600.0), ("5250ft", "length", 5250 * FOOT),
    ("2000m3/h", "air flow", 2000 / 3600), ("1200 cfm", "air flow", 1200 * FOOT**3 / 60),
    ("1.5kg/h", "water flow", 1.5 / 3600), ("3.3 lb/h", "water flow", 3.3 * POUND / 3600),
    ("8g/kg", "humidity ratio", 0.008), ("0.008 kg/kg", "humidity ratio", 0.008), ("56 gr/lb", "humidity ratio", 0.008),
    ("50%", "relative humidity", 0.5), ("50 % RH", "relative humidity", 0.5),
    ("0.3mm", "thickness", 0.0003), ("0.012 in", "thickness", 0.012 * FOOT / 12), ("2kg", "mass", 2.0), ("500 g", "mass", 0.5), ("4.4lb", "mass", 4.4 * POUND),
    ("32 oz", "mass", 2 * POUND), ("2 t", "mass", 2000.0),
    ("4.2 t CO2e", "carbon dioxide equivalent", 4200.0), ("4.2t", "carbon dioxide equivalent", 4200.0), ("4200 kg CO2e", "carbon dioxide equivalent", 4200.0),
    ("30m3", "volume", 30.0), ("1060 ft³", "volume", 1060 * FOOT**3), ("30000 L", "volume", 30.0),
    ("12L", "cylinder volume", 0.012), ("0.42 ft3", "cylinder volume", 0.42 * FOOT**3), ("12 litres", "cylinder volume", 0.012),
    ("1 gal", "cylinder volume", 231 * (FOOT / 12) ** 3), ("12 dm³", "cylinder volume", 0.012),
    ("0.67mbar", "vacuum", 67.0), ("67 Pa", "vacuum", 67.0), ("500 micron", "vacuum", 0.5 * 133.3224),
    ("60min", "duration", 3600.0), ("1h", "duration", 3600.0), ("90 s", "duration", 90.0),
    ("1400kJ", "heat", 1.4e6), ("1.4 MJ", "heat", 1.4e6), ("0.4kWh", "heat", 1.44e6), ("1300Btu", "heat", 1300 * BTU),
    ("500kWh", "energy", 1.8e9), ("1800 MJ", "energy", 1.8e9), ("1.8GJ", "energy", 1.8e9), ("0.5 MWh", "energy", 1.8e9), ("1000 Btu", "energy", 1000 * BTU),
    ("0.7", "ratio", 0.7), ("70%", "ratio", 0.7), ("70 percent", "ratio", 0.7), ("70 per cent", "ratio", 0.7),
    ("12%", "share", 0.12), ("0.5 percent", "share", 0.005),
]  # fmt: skip

# Other ways of writing the same.  Mercury: the conventional inch and millimetre of mercury at 0 °C and the torr
# (NIST Special Publication 811, appendix B, from memory); a micron is a thousandth of a millimetre.
SPELT = [
    *((f"800{unit}", "pressure", 8e5) for unit in ("KPa", "kpa", "KPA", "kPA", "Kpa", "kPa abs")),
    *((f"8.5{unit}", "pressure", 8.5e5) for unit in ("Bar", "BAR", "BarA", "bar absolute", "bar(a)")),
    *((f"8500{unit}", "pressure", 8.5e5) for unit in ("mbar", "MBAR", "mBar", "Mbar")),
    *((f"24{unit}", "pressure", 24 * PSI) for unit in ("Psia", "PSIA", "PsiA", " psi abs", " PSI absolute")),
    *((f"118{unit}", "gauge pressure", 118 * PSI) for unit in ("Psig", "PSIG", "PsiG", " psi (g)")),
    *((f"7.5{unit}", "gauge pressure", 7.5e5) for unit in ("BarG", "BARG", "Bar(g)")),
    ("0.8MPA", "pressure", 8e5), ("0.8 MPa abs", "pressure", 8e5), ("0.75MPAG", "pressure", 7.5e5 + ATMOSPHERE), ("8000HPA", "pressure", 8e5),
    ("2atm", "pressure", 2 * ATMOSPHERE), ("1 ATM", "pressure", ATMOSPHERE), ("29.92inHg", "pressure", 29.92 * 3386.389), ("5.2 inHg vac", "pressure", ATMOSPHERE - 5.2 * 3386.389),
    ("29.92 in. Hg", "pressure", 29.92 * 3386.389), ("760mmHg", "pressure", 760 * 133.3224), ("760 torr", "pressure", ATMOSPHERE),
    ("500 micron", "pressure", 0.5 * 133.3224), ("500 microns", "pressure", 0.5 * 133.3224),
    ("45℃", "temperature", 318.15), ("113℉", "temperature", 318.15), ("45 Degrees C", "temperature", 318.15), ("113 deg F", "temperature", 318.15),
    ("5 Δ°C", "temperature difference", 5.0), ("9Δ°F", "temperature difference", 5.0), ("5∆K", "temperature difference", 5.0),
    ("5 delta C", "temperature difference", 5.0), ("5K diff", "temperature difference", 5.0), ("5℃", "temperature difference", 5.0),
    ("10KW", "power", 10e3), ("10kw", "power", 10e3), ("36 mbh", "power", 36000 * BTU / 3600), ("40KJ/KG", "specific energy", 40e3),
    ("7,5C", "temperature", 280.65), ("-7,5 C", "temperature", 265.65), ("0,5bar", "pressure", 5e4), ("1,0132 bar", "pressure", 101320.0),
    ("8,5e5Pa", "pressure", 8.5e5), ("1234,5kPa", "pressure", 1234500.0),
]  # fmt: skip
