//! Well-known binary of geometries (OGC 06-103r4, from memory), with heights and measures passed over.

use super::Geometry;
use crate::geojson::{Corner, Polygon};

const POINT: u32 = 1;
const POLYGON: u32 = 3;
const MULTI_POINT: u32 = 4;
const MULTI_POLYGON: u32 = 6;
/// Flags of an older way to say heights, measures and the coordinate system.
const OLD_Z: u32 = 0x8000_0000;
const OLD_M: u32 = 0x4000_0000;
const OLD_SRID: u32 = 0x2000_0000;

/// What well-known binary holds; `None` if it breaks off.
pub(crate) fn geometry(bytes: &[u8]) -> Option<Geometry> {
    let mut input = Input {
        rest: bytes,
        little: true,
        numbers: 2,
    };
    Some(match input.kind()? {
        POINT => Geometry::Point(input.corner()?),
        MULTI_POINT => match input.u32()? {
            1 => {
                input.kind().filter(|kind| *kind == POINT)?;
                Geometry::Point(input.corner()?)
            }
            count => Geometry::Other(format!("a group of {count} points")),
        },
        POLYGON => Geometry::Polygons(vec![input.polygon()?]),
        MULTI_POLYGON => {
            let mut polygons = Vec::new();
            for _ in 0..input.u32()? {
                input.kind().filter(|kind| *kind == POLYGON)?;
                polygons.push(input.polygon()?);
            }
            Geometry::Polygons(polygons)
        }
        2 | 5 => Geometry::Other("lines".into()),
        other => Geometry::Other(format!("geometry type {other}")),
    })
}

/// Bytes not yet read; nothing is set up before its bytes are there.
struct Input<'a> {
    rest: &'a [u8],
    little: bool,
    /// Numbers of one position: 2, or more with height or measure.
    numbers: usize,
}

impl Input<'_> {
    fn array<const N: usize>(&mut self) -> Option<[u8; N]> {
        let (taken, rest) = self.rest.split_first_chunk::<N>()?;
        self.rest = rest;
        Some(*taken)
    }

    fn u32(&mut self) -> Option<u32> {
        let bytes = self.array()?;
        Some(if self.little {
            u32::from_le_bytes(bytes)
        } else {
            u32::from_be_bytes(bytes)
        })
    }

    fn f64(&mut self) -> Option<f64> {
        let bytes = self.array()?;
        Some(if self.little {
            f64::from_le_bytes(bytes)
        } else {
            f64::from_be_bytes(bytes)
        })
    }

    /// Byte order, kind and size of positions of a piece.
    fn kind(&mut self) -> Option<u32> {
        let [order] = self.array()?;
        self.little = order == 1;
        let code = self.u32()?;
        if code & OLD_SRID != 0 {
            self.u32()?;
        }
        let plain = code & !(OLD_Z | OLD_M | OLD_SRID);
        let more = match plain / 1_000 {
            0 => usize::from(code & OLD_Z != 0) + usize::from(code & OLD_M != 0),
            1 | 2 => 1,
            3 => 2,
            _ => return Some(plain),
        };
        self.numbers = 2 + more;
        Some(plain % 1_000)
    }

    fn corner(&mut self) -> Option<Corner> {
        let corner = [self.f64()?, self.f64()?];
        for _ in 2..self.numbers {
            self.f64()?;
        }
        Some(corner)
    }

    fn polygon(&mut self) -> Option<Polygon> {
        let mut rings = Vec::new();
        for _ in 0..self.u32()? {
            let mut ring: Vec<Corner> = Vec::new();
            for _ in 0..self.u32()? {
                ring.push(self.corner()?);
            }
            rings.push(ring);
        }
        Some(rings)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn point(order: u8, kind: u32, numbers: &[f64]) -> Vec<u8> {
        let mut out = vec![order];
        if order == 1 {
            out.extend(kind.to_le_bytes());
            out.extend(numbers.iter().flat_map(|n| n.to_le_bytes()));
        } else {
            out.extend(kind.to_be_bytes());
            out.extend(numbers.iter().flat_map(|n| n.to_be_bytes()));
        }
        out
    }

    #[test]
    fn points_in_either_order_with_what_else_they_carry() {
        let wanted = Some(Geometry::Point([-93.9, 43.9]));
        for order in [0, 1] {
            assert_eq!(geometry(&point(order, 1, &[-93.9, 43.9])), wanted);
            for kind in [1_001, 2_001, OLD_Z | 1] {
                assert_eq!(geometry(&point(order, kind, &[-93.9, 43.9, 7.0])), wanted);
            }
            assert_eq!(
                geometry(&point(order, 3_001, &[-93.9, 43.9, 7.0, 8.0])),
                wanted
            );
        }
        let mut group = vec![1, 4, 0, 0, 0, 1, 0, 0, 0];
        group.extend(point(1, 1, &[-93.9, 43.9]));
        assert_eq!(geometry(&group), wanted);
        assert_eq!(geometry(&point(1, 1, &[-93.9])), None);
        assert_eq!(
            geometry(&point(1, 2, &[])),
            Some(Geometry::Other("lines".into()))
        );
    }

    proptest! {
        #[test]
        fn any_bytes_are_a_geometry_or_not(
            start in prop::sample::select(vec![&b""[..], b"\x01\x03\0\0\0", b"\x01\x06\0\0\0\x02\0\0\0", b"\0\0\0\0\x04"]),
            rest in prop::collection::vec(any::<u8>(), 0..80),
        ) {
            let _ = geometry(&[start, &rest].concat());
        }
    }
}
