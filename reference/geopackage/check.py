#!/usr/bin/env python3
"""Reads a GeoPackage with the standard library only and says what is in it.

usage: check.py FILE > expected.json
Fails loudly where the file is not as OGC 12-128 wants it.
"""
import json
import sqlite3
import struct
import sys

raw = open(sys.argv[1], "rb").read()
assert raw[:16] == b"SQLite format 3\0"
assert raw[68:72] == b"GPKG", "application id"
assert struct.unpack(">I", raw[60:64])[0] == 10200, "user version"
db = sqlite3.connect(f"file:{sys.argv[1]}?mode=ro", uri=True)
assert db.execute("pragma integrity_check").fetchone() == ("ok",)
assert db.execute("pragma foreign_key_check").fetchall() == []
srs = {row[0] for row in db.execute("select srs_id from gpkg_spatial_ref_sys")}
assert {-1, 0, 4326} <= srs


def decode(blob):
    assert blob[:4] == b"GP\0\x03"
    srs_id, *envelope = struct.unpack_from("<i4d", blob, 4)
    assert srs_id == 4326
    at = 40

    def take(form):
        nonlocal at
        values = struct.unpack_from("<" + form, blob, at)
        at += struct.calcsize("<" + form)
        return values

    assert take("BI") == (1, 6)
    polygons = []
    for _ in range(take("I")[0]):
        assert take("BI") == (1, 3)
        rings = []
        for _ in range(take("I")[0]):
            numbers = take(f"{2 * take('I')[0]}d")
            rings.append([list(pair) for pair in zip(numbers[::2], numbers[1::2])])
        polygons.append(rings)
    assert at == len(blob)
    corners = [c for p in polygons for r in p for c in r]
    xs, ys = zip(*corners)
    assert envelope == [min(xs), max(xs), min(ys), max(ys)]
    return polygons


layers = []
for table, column, kind, z, m in db.execute(
    "select table_name, column_name, geometry_type_name, z, m from gpkg_geometry_columns"
):
    assert (kind, z, m) == ("MULTIPOLYGON", 0, 0)
    what = db.execute("select data_type, srs_id from gpkg_contents where table_name = ?", [table]).fetchone()
    assert what == ("features", 4326)
    cursor = db.execute(f'select * from "{table}" order by fid')
    names = [d[0] for d in cursor.description]
    features = []
    for row in cursor:
        values = dict(zip(names, row))
        values[column] = decode(values[column])
        features.append(values)
    layers.append({"layer": table, "features": features})
json.dump(layers, sys.stdout, indent=1)
print()
