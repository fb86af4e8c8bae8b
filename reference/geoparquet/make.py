"""The invented points and outlines of reference/gdal-vector as GeoParquet, by geopandas and pyarrow.

Run in this folder: python3 make.py FOLDER, where FOLDER holds points.csv and soil.geojson.
"""

import sys

import geopandas
import pandas

folder = sys.argv[1]
table = pandas.read_csv(f"{folder}/points.csv")
points = geopandas.GeoDataFrame(
    table.drop(columns=["long", "lat"]),
    geometry=geopandas.points_from_xy(table.long, table.lat),
    crs="OGC:CRS84",
)
points.to_parquet("points-wkb.parquet", index=False, schema_version="1.1.0")
points.to_parquet(
    "points-native.parquet", index=False, schema_version="1.1.0", geometry_encoding="geoarrow"
)
points.to_crs(32615).to_parquet(
    "points-utm.parquet", index=False, schema_version="1.1.0", compression="gzip", row_group_size=25
)
points.to_parquet(
    "points-zstd.parquet",
    index=False,
    compression="zstd",
    use_dictionary=False,
    data_page_version="2.0",
    write_covering_bbox=True,
    schema_version="1.1.0",
)
points.to_crs(3435).to_parquet("points-feet.parquet", index=False, schema_version="1.1.0")
soil = geopandas.read_file(f"{folder}/soil.geojson")
soil.to_parquet("soil.parquet", index=False, compression=None)
