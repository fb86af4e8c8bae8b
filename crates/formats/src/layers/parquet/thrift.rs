//! The compact protocol of Thrift, in which Parquet writes what it says of itself: to a tree of values,
//! within bounds.

use super::super::Bytes;

/// Deepest nesting; Parquet's own has about 8.
const MOST_DEPTH: usize = 16;

/// A value.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Value<'a> {
    Whole(i64),
    Real,
    Bytes(&'a [u8]),
    List(Vec<Value<'a>>),
    Fields(Vec<(i16, Value<'a>)>),
}

impl<'a> Value<'a> {
    /// A field of a structure.
    pub(super) fn field(&self, id: i16) -> Option<&Self> {
        match self {
            Self::Fields(fields) => fields.iter().find(|(own, _)| *own == id).map(|(_, v)| v),
            _ => None,
        }
    }

    pub(super) fn whole(&self, id: i16) -> Option<i64> {
        match self.field(id)? {
            Self::Whole(value) => Some(*value),
            _ => None,
        }
    }

    pub(super) fn bytes(&self, id: i16) -> Option<&'a [u8]> {
        match self.field(id)? {
            Self::Bytes(bytes) => Some(bytes),
            _ => None,
        }
    }

    pub(super) fn text(&self, id: i16) -> String {
        String::from_utf8_lossy(self.bytes(id).unwrap_or(&[])).into_owned()
    }

    pub(super) fn list(&self, id: i16) -> &[Self] {
        match self.field(id) {
            Some(Self::List(list)) => list,
            _ => &[],
        }
    }
}

/// The structure that the bytes begin with; what follows it stays in them.
pub(super) fn fields<'a>(input: &mut Bytes<'a>) -> Option<Value<'a>> {
    structure(input, 0)
}

pub(super) fn varint(input: &mut Bytes<'_>) -> Option<u64> {
    let mut value = 0_u64;
    for shift in (0..64).step_by(7) {
        let [byte] = input.array()?;
        value |= u64::from(byte & 0x7f) << shift;
        if byte & 0x80 == 0 {
            return Some(value);
        }
    }
    None
}

fn zigzag(input: &mut Bytes<'_>) -> Option<i64> {
    let value = varint(input)?;
    Some((value >> 1).cast_signed() ^ -((value & 1).cast_signed()))
}

fn structure<'a>(input: &mut Bytes<'a>, depth: usize) -> Option<Value<'a>> {
    if depth > MOST_DEPTH {
        return None;
    }
    let (mut fields, mut last) = (Vec::new(), 0_i16);
    loop {
        let [head] = input.array()?;
        if head == 0 {
            return Some(Value::Fields(fields));
        }
        let id = match head >> 4 {
            0 => i16::try_from(zigzag(input)?).ok()?,
            step => last.checked_add(i16::from(step))?,
        };
        last = id;
        let value = match head & 0x0f {
            // a truth stands in the kind itself
            1 => Value::Whole(1),
            2 => Value::Whole(0),
            kind => value(input, kind, depth)?,
        };
        fields.push((id, value));
    }
}

fn value<'a>(input: &mut Bytes<'a>, kind: u8, depth: usize) -> Option<Value<'a>> {
    Some(match kind {
        1..=3 => Value::Whole(i64::from(i8::from_le_bytes(input.array()?))),
        4..=6 => Value::Whole(zigzag(input)?),
        7 => {
            input.take(8)?;
            Value::Real
        }
        8 => {
            let size = usize::try_from(varint(input)?).ok()?;
            Value::Bytes(input.take(size)?)
        }
        9 | 10 => {
            let [head] = input.array()?;
            let count = match head >> 4 {
                15 => varint(input)?,
                few => u64::from(few),
            };
            let mut list = Vec::new();
            for _ in 0..count {
                list.push(match head & 0x0f {
                    12 => structure(input, depth + 1)?,
                    kind => value(input, kind, depth + 1).filter(|_| depth < MOST_DEPTH)?,
                });
            }
            Value::List(list)
        }
        12 => structure(input, depth + 1)?,
        _ => return None,
    })
}
