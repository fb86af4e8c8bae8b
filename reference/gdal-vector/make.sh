#!/bin/sh
# Writes one invented set of combine points, and one of soil outlines, in the formats that GDAL's ogr2ogr
# knows. Needs ogr2ogr, ogrinfo and gdalsrsinfo (Debian: gdal-bin) and python3. Run in this folder.
set -eu
export CPL_LOG=/dev/null OGR_CURRENT_DATE=2026-12-01T00:00:00.000Z
rm -f points.* points-* soil.shp soil.shx soil.dbf soil.prj soil.cpg soil.gpkg soil.fgb wkt-*.txt wkt-*.json holes.*
python3 invent.py > points.csv

points() { # OUTPUT FURTHER OPTIONS
    out=$1
    shift
    ogr2ogr -q "$out" points.csv -oo X_POSSIBLE_NAMES=long -oo Y_POSSIBLE_NAMES=lat \
        -oo KEEP_GEOM_COLUMNS=NO -oo AUTODETECT_TYPE=YES -a_srs EPSG:4326 "$@"
}
points points.shp -lco ENCODING=UTF-8
points points-utm.shp -t_srs EPSG:32615 -lco ENCODING=ISO-8859-1 -nln points-utm
points points-feet.shp -t_srs EPSG:3435 -lco ENCODING=CP850 -nln points-feet
points points-z.shp -lco SHPT=POINTZ -dim XYZ -nln points-z
points points-m.shp -lco SHPT=POINTM -dim XYM -nln points-m
points points.geojson -lco COORDINATE_PRECISION=9 -nln points
points points-old.geojson -t_srs EPSG:26915 -lco RFC7946=NO -lco COORDINATE_PRECISION=9 -nln points
points points.gpkg -nln points
points points-utm.gpkg -t_srs EPSG:26915 -nln points -lco SPATIAL_INDEX=NO
points points.fgb -nln points
points points-order.fgb -nln points -lco SPATIAL_INDEX=NO
points points-utm.fgb -t_srs EPSG:32615 -nln points

# a Shapefile as it is sent: one archive
python3 -m zipfile -c points.zip points-utm.shp points-utm.shx points-utm.dbf points-utm.prj points-utm.cpg

# a record without a shape, and rows marked as deleted
ogr2ogr -q holes.shp points.csv -oo X_POSSIBLE_NAMES=long -oo Y_POSSIBLE_NAMES=lat -oo KEEP_GEOM_COLUMNS=NO \
    -oo AUTODETECT_TYPE=YES -a_srs EPSG:4326 -nln holes -dialect SQLite \
    -sql "SELECT CASE WHEN time = 36003 THEN NULL ELSE geometry END AS geometry, * FROM points"
ogrinfo -q holes.shp -oo AUTO_REPACK=NO -dialect SQLite -sql "DELETE FROM holes WHERE time IN (36005, 36006)" > /dev/null

ogr2ogr -q soil.shp soil.geojson -t_srs EPSG:32615 -lco ENCODING=UTF-8
ogr2ogr -q soil.gpkg soil.geojson -t_srs EPSG:26915
ogr2ogr -q soil.fgb soil.geojson

for code in 4326 4269 32615 26915 25832 3435 32733; do
    for dialect in wkt1 wkt_esri wkt2; do
        gdalsrsinfo -o $dialect EPSG:$code > wkt-$code-$dialect.txt
    done
done
for code in 26715 3857 27700 2154 26992 4267; do
    gdalsrsinfo -o wkt2 EPSG:$code > wkt-not-$code.txt
done
for code in 4326 32615 26915 3435; do
    gdalsrsinfo -o projjson EPSG:$code > wkt-$code.json
done
for code in 26715 3857; do
    gdalsrsinfo -o projjson EPSG:$code > wkt-not-$code.json
done
