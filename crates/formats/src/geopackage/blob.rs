//! GeoPackage geometry: a small header, then well-known binary (OGC 06-103r4).

use super::WGS_84;
use crate::FormatError;
use crate::geojson::Shape;
use crate::layers::{Geometry, wkb};

/// Header flags: little-endian, envelope of four numbers.
const FLAGS: u8 = 0b0000_0011;
/// Codes of well-known binary.
const POLYGON: u32 = 3;
const MULTI_POLYGON: u32 = 6;

/// An outline as the bytes of a geometry column.
pub(super) fn encode(shape: &Shape) -> Vec<u8> {
    let mut out = vec![b'G', b'P', 0, FLAGS];
    out.extend(WGS_84.to_le_bytes());
    for bound in shape.bounds() {
        out.extend(bound.to_le_bytes());
    }
    let count = |out: &mut Vec<u8>, n: usize| {
        out.extend(
            u32::try_from(n)
                .expect("a shape has at most a million corners")
                .to_le_bytes(),
        );
    };
    out.push(1);
    out.extend(MULTI_POLYGON.to_le_bytes());
    count(&mut out, shape.polygons().len());
    for polygon in shape.polygons() {
        out.push(1);
        out.extend(POLYGON.to_le_bytes());
        count(&mut out, polygon.len());
        for ring in polygon {
            count(&mut out, ring.len());
            for number in ring.iter().flatten() {
                out.extend(number.to_le_bytes());
            }
        }
    }
    out
}

/// The coordinate system of a geometry column's bytes and its well-known binary; the error is what was found.
pub(crate) fn parts(bytes: &[u8]) -> Result<(i32, &[u8]), String> {
    let short = || BROKEN.to_owned();
    let (&[b'G', b'P', _, flags], rest) = bytes.split_first_chunk::<4>().ok_or_else(short)? else {
        return Err("bytes that do not begin with GP".into());
    };
    if flags & 0b0011_0000 != 0 {
        return Err("an empty or extended geometry".into());
    }
    let envelope = match (flags >> 1) & 0b111 {
        0 => 0,
        1 => 32,
        2 | 3 => 48,
        4 => 64,
        kind => return Err(format!("the envelope kind {kind}")),
    };
    let (srs, rest) = rest.split_first_chunk::<4>().ok_or_else(short)?;
    let srs = if flags & 1 == 1 {
        i32::from_le_bytes(*srs)
    } else {
        i32::from_be_bytes(*srs)
    };
    Ok((srs, rest.get(envelope..).ok_or_else(short)?))
}

const BROKEN: &str = "a geometry that breaks off";

/// The outline in the bytes of a geometry column.
pub(super) fn decode(bytes: &[u8]) -> Result<Shape, FormatError> {
    let (srs, binary) = parts(bytes).map_err(malformed)?;
    if srs != WGS_84 {
        return Err(malformed(format!("the coordinate system {srs}")));
    }
    match wkb::geometry(binary) {
        Some(Geometry::Polygons(polygons)) => Shape::new(polygons),
        Some(Geometry::Other(kind)) => Err(malformed(kind)),
        Some(Geometry::Point(_)) => Err(malformed("a point".into())),
        Some(Geometry::None) | None => Err(malformed(BROKEN.into())),
    }
}

fn malformed(found: String) -> FormatError {
    FormatError::Malformed {
        found,
        expected: "a Polygon or MultiPolygon in longitude and latitude (EPSG:4326)".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_bytes_are_an_outline_or_refused(
            start in prop::sample::select(vec![&b""[..], b"GP\0\x01\xe6\x10\0\0\x01\x06\0\0\0", b"GP\0\x00\0\0\x10\xe6\0\0\0\0\x03"]),
            rest in prop::collection::vec(any::<u8>(), 0..80),
        ) {
            let _ = decode(&[start, &rest].concat());
        }

        #[test]
        fn outlines_come_back_exactly(x in -170.0..170.0_f64, y in -80.0..80.0_f64, side in 1e-6..5.0_f64) {
            let ring = vec![[x, y], [x + side, y], [x, y + side], [x, y]];
            let shape = Shape::new(vec![vec![ring.clone(), ring.clone()], vec![ring]]).unwrap();
            prop_assert_eq!(decode(&encode(&shape)).unwrap(), shape);
        }
    }
}
