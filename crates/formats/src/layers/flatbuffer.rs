//! Just enough of FlatBuffers (its internals page, from memory) to read tables within bounds: every offset is
//! checked. Several may lead to one place, so a reader must count what it takes.

/// Most tables of a list.
const MOST_TABLES: usize = 100_000;

/// A buffer with a table in it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Table<'a> {
    bytes: &'a [u8],
    at: usize,
    /// Where its list of fields is, and how long that is.
    fields: usize,
    size: usize,
}

fn array<const N: usize>(bytes: &[u8], at: usize) -> Option<[u8; N]> {
    bytes.get(at..at.checked_add(N)?)?.try_into().ok()
}

fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    array(bytes, at).map(u32::from_le_bytes)
}

impl<'a> Table<'a> {
    /// The root table.
    pub(super) fn root(bytes: &'a [u8]) -> Option<Self> {
        Self::at(bytes, u32_at(bytes, 0)? as usize)
    }

    fn at(bytes: &'a [u8], at: usize) -> Option<Self> {
        let back = i32::from_le_bytes(array(bytes, at)?);
        let fields = i64::try_from(at).ok()? - i64::from(back);
        let fields = usize::try_from(fields).ok()?;
        let size = usize::from(u16::from_le_bytes(array(bytes, fields)?));
        Some(Self {
            bytes,
            at,
            fields,
            size,
        })
    }

    /// Where a field's value is; `None` when it is left out.
    fn field(&self, number: usize) -> Option<usize> {
        let entry = 4 + 2 * number;
        if entry + 2 > self.size {
            return None;
        }
        match u16::from_le_bytes(array(self.bytes, self.fields + entry)?) {
            0 => None,
            offset => self.at.checked_add(usize::from(offset)),
        }
    }

    /// Bytes of the whole buffer.
    pub(super) fn size(&self) -> usize {
        self.bytes.len()
    }

    pub(super) fn u8(&self, number: usize) -> Option<u8> {
        self.field(number)
            .and_then(|at| self.bytes.get(at).copied())
    }

    pub(super) fn u16(&self, number: usize) -> Option<u16> {
        array(self.bytes, self.field(number)?).map(u16::from_le_bytes)
    }

    pub(super) fn i32(&self, number: usize) -> Option<i32> {
        array(self.bytes, self.field(number)?).map(i32::from_le_bytes)
    }

    pub(super) fn u64(&self, number: usize) -> Option<u64> {
        array(self.bytes, self.field(number)?).map(u64::from_le_bytes)
    }

    fn follow(&self, at: usize) -> Option<usize> {
        at.checked_add(u32_at(self.bytes, at)? as usize)
    }

    /// A list: the bytes of its elements, each `width` wide.
    fn list(&self, number: usize, width: usize) -> Option<(usize, usize)> {
        let at = self.follow(self.field(number)?)?;
        let count = u32_at(self.bytes, at)? as usize;
        let start = at + 4;
        self.bytes
            .get(start..start.checked_add(count.checked_mul(width)?)?)?;
        Some((start, count))
    }

    /// The raw elements of a list of numbers.
    pub(super) fn numbers(&self, number: usize, width: usize) -> Option<&'a [u8]> {
        let (start, count) = self.list(number, width)?;
        self.bytes.get(start..start + count * width)
    }

    pub(super) fn text(&self, number: usize) -> Option<String> {
        let bytes = self.numbers(number, 1)?;
        Some(String::from_utf8_lossy(bytes).into_owned())
    }

    pub(super) fn table(&self, number: usize) -> Option<Self> {
        Self::at(self.bytes, self.follow(self.field(number)?)?)
    }

    /// A list of tables; nothing if one is out of bounds, or there are too many.
    pub(super) fn tables(&self, number: usize) -> Option<Vec<Self>> {
        let (start, count) = self.list(number, 4)?;
        if count > MOST_TABLES {
            return None;
        }
        (0..count)
            .map(|i| Self::at(self.bytes, self.follow(start + 4 * i)?))
            .collect()
    }
}
