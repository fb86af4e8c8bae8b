#!/usr/bin/env python3
"""Adds up the real corn field with the standard library only, written apart from the program.

usage: summary.py FILE > expected.json
Exact where it can be: every field is read as a decimal fraction and summed as rationals.
"""
import csv
import json
import sys
from fractions import Fraction

LB = Fraction(45359237, 100000000)  # kg, international pound
FT = Fraction(3048, 10000)  # m
ACRE_FT2 = 43560
SWATH_IN, BASE, LB_PER_BU = 360, Fraction("15.5"), 56

rows = list(csv.DictReader(open(sys.argv[1], newline=""), delimiter="\t"))
wet = dry = area_in2 = Fraction(0)
backwards, before = [], None
for number, row in enumerate(rows, start=2):
    lb = Fraction(row["mass"]) * Fraction(row["seconds"])
    wet += lb
    dry += lb * (100 - Fraction(row["moist"])) / 100
    area_in2 += SWATH_IN * Fraction(row["dist"])
    time = Fraction(row["time"])
    if before is not None and time < before:
        backwards.append(number)
    before = time
acres = area_in2 / 144 / ACRE_FT2
bushels = dry * 100 / (100 - BASE) / LB_PER_BU
json.dump(
    {
        "n": len(rows),
        "swath_in": SWATH_IN,
        "area_ac": float(acres),
        "wet_lb": float(wet),
        "dry_matter_lb": float(dry),
        "dry_bu": float(bushels),
        "base_moisture_pct": float(BASE),
        "lb_per_bu": LB_PER_BU,
        "yield_bu_per_ac": float(bushels / acres),
        "moisture_pct_mass_weighted": float((wet - dry) / wet * 100),
        "clock_backwards_rows": backwards,
    },
    sys.stdout,
    indent=1,
)
print()
