"""Positions of transverse Mercator grids by PROJ's cs2cs and proj, both ways, to look at and to compare with.

Prints one JSON list: grid (a name), what it is made of, and [longitude, latitude, easting, northing].
Easting and northing are in the grid's own unit; they were made from the degrees, and the degrees
come back from them by the same programs to 1e-11 (checked here).
"""

import json
import subprocess

US_FOOT = 1200.0 / 3937.0
GRIDS = [
    # name, ellipsoid, central meridian, latitude of origin, scale, false easting m, false northing m, meters a unit
    ("EPSG:32615", "WGS84", -93.0, 0.0, 0.9996, 500000.0, 0.0, 1.0),
    ("EPSG:32733", "WGS84", 15.0, 0.0, 0.9996, 500000.0, 10000000.0, 1.0),
    ("EPSG:32601", "WGS84", -177.0, 0.0, 0.9996, 500000.0, 0.0, 1.0),
    ("EPSG:26915", "GRS80", -93.0, 0.0, 0.9996, 500000.0, 0.0, 1.0),
    ("EPSG:25832", "GRS80", 9.0, 0.0, 0.9996, 500000.0, 0.0, 1.0),
    # a state plane grid in US survey feet, and one in international feet, made up after their kind
    ("feet-us", "GRS80", -88.0 - 20.0 / 60.0, 36.0 + 40.0 / 60.0, 0.999975, 300000.0, 0.0, US_FOOT),
    ("feet", "GRS80", -111.0 - 55.0 / 60.0, 31.0, 0.9999, 213360.0, 1000.0, 0.3048),
]
# grids of the registry, each with the degrees of its own datum
DEGREES_OF = {
    "EPSG:32615": "EPSG:4326",
    "EPSG:32733": "EPSG:4326",
    "EPSG:32601": "EPSG:4326",
    "EPSG:26915": "EPSG:4269",
    "EPSG:25832": "EPSG:4258",
}
OFFSETS = [-9.0, -3.0, -1.37, 0.0, 0.0001, 2.2, 3.0, 9.0]
LATITUDES = [-80.0, -33.2, -1e-5, 0.0, 12.3, 43.9258, 66.0, 84.0]


def run(command, rows):
    text = "".join(f"{a:.15g} {b:.15g}\n" for a, b in rows)
    out = subprocess.run(command, input=text, capture_output=True, text=True, check=True).stdout
    return [tuple(float(word) for word in line.split()[:2]) for line in out.splitlines()]


def project(name, pipeline, rows, inverse):
    back = ["-I"] if inverse else []
    if name not in DEGREES_OF:
        return run(["proj", "-f", "%.12f"] + back + pipeline, rows)
    # by its number alone; these systems of degrees have latitude first
    command = ["cs2cs", "-f", "%.12f"] + back + [DEGREES_OF[name], name]
    if inverse:
        return [(x, y) for y, x in run(command, rows)]
    return run(command, [(y, x) for x, y in rows])


answer = []
for name, ellipsoid, central, origin, scale, east, north, unit in GRIDS:
    pipeline = [
        "+proj=etmerc",
        f"+ellps={ellipsoid}",
        f"+lon_0={central!r}",
        f"+lat_0={origin!r}",
        f"+k_0={scale!r}",
        f"+x_0={east!r}",
        f"+y_0={north!r}",
        f"+to_meter={unit!r}",
    ]
    degrees = [
        ((central + dx + 180.0) % 360.0 - 180.0, latitude)
        for dx in OFFSETS
        for latitude in LATITUDES
    ]
    plane = project(name, pipeline, degrees, False)
    back = project(name, pipeline, plane, True)
    for (x, y), (u, v) in zip(degrees, back):
        assert abs((x - u + 180) % 360 - 180) < 1e-11 and abs(y - v) < 1e-11, (name, x, y, u, v)
    answer.append(
        {
            "grid": name,
            "ellipsoid": ellipsoid,
            "central_deg": central,
            "origin_deg": origin,
            "scale": scale,
            "false_easting_m": east,
            "false_northing_m": north,
            "meters_per_unit": unit,
            "positions": [[x, y, e, n] for (x, y), (e, n) in zip(degrees, plane)],
        }
    )
print("[")
for i, grid in enumerate(answer):
    positions = grid.pop("positions")
    head = json.dumps(grid)[:-1]
    rows = ",\n".join("  " + json.dumps(row) for row in positions)
    print(f'{head}, "positions": [\n{rows}\n]}}' + ("," if i + 1 < len(answer) else ""))
print("]")
