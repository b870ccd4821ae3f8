//! Boxes and their numbers (ISO/IEC 14496-12, 4.2): every read is checked, nothing is allocated by a stated count.

/// Bytes read from the front; `None` at their end.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bytes<'a>(pub(super) &'a [u8]);

impl<'a> Bytes<'a> {
    pub(super) fn take(&mut self, count: usize) -> Option<&'a [u8]> {
        let (taken, rest) = self.0.split_at_checked(count)?;
        self.0 = rest;
        Some(taken)
    }

    fn number(&mut self, bytes: usize) -> Option<u64> {
        Some(self.take(bytes)?.iter().fold(0, |value, byte| value << 8 | u64::from(*byte)))
    }

    pub(super) fn u8(&mut self) -> Option<u8> {
        self.take(1)?.first().copied()
    }

    pub(super) fn u16(&mut self) -> Option<u16> {
        self.number(2).and_then(|value| u16::try_from(value).ok())
    }

    pub(super) fn u32(&mut self) -> Option<u32> {
        self.number(4).and_then(|value| u32::try_from(value).ok())
    }

    pub(super) fn u64(&mut self) -> Option<u64> {
        self.number(8)
    }

    pub(super) fn i32(&mut self) -> Option<i32> {
        self.u32().map(u32::cast_signed)
    }

    /// A number of 32 bits in version 0 of a box and of 64 in version 1.
    pub(super) fn sized(&mut self, version: u8) -> Option<u64> {
        if version == 0 { self.u32().map(u64::from) } else { self.u64() }
    }

    /// The version and flags that a full box begins with.
    pub(super) fn full(&mut self) -> Option<(u8, u32)> {
        let word = self.u32()?;
        Some((u8::try_from(word >> 24).ok()?, word & 0x00ff_ffff))
    }
}

/// The boxes that lie one after the other in some bytes, by kind; ends at the first that does not fit.
pub(super) fn boxes(bytes: &[u8]) -> impl Iterator<Item = ([u8; 4], &[u8])> {
    let mut rest = Bytes(bytes);
    std::iter::from_fn(move || {
        let mut header = rest;
        let short = header.u32()?;
        let kind: [u8; 4] = header.take(4)?.try_into().ok()?;
        let (size, header_size) = match short {
            0 => (rest.0.len(), 8),
            1 => (usize::try_from(header.u64()?).ok()?, 16),
            size => (usize::try_from(size).ok()?, 8),
        };
        let whole = rest.take(size)?;
        Some((kind, whole.get(header_size..)?))
    })
}

/// The first box of a kind.
pub(super) fn first<'a>(bytes: &'a [u8], kind: &[u8; 4]) -> Option<&'a [u8]> {
    boxes(bytes).find(|(found, _)| found == kind).map(|(_, payload)| payload)
}

/// The box at the end of a path of kinds.
pub(super) fn nested<'a>(bytes: &'a [u8], path: &[&[u8; 4]]) -> Option<&'a [u8]> {
    path.iter().try_fold(bytes, |bytes, kind| first(bytes, kind))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boxes_end_at_the_first_that_does_not_fit() {
        let good = [0, 0, 0, 9, b'f', b'r', b'e', b'e', 7];
        let kinds = |bytes: &[u8]| boxes(bytes).map(|(_, payload)| payload.to_vec()).collect::<Vec<_>>();
        assert_eq!(kinds(&good), [[7]]);
        assert_eq!(kinds(&[&good[..], &good[..8]].concat()), [[7]]);
        assert_eq!(kinds(&[0, 0, 0, 0, b'm', b'd', b'a', b't', 1, 2]), [[1, 2]], "size 0: to the end");
        for lie in [[0, 0, 0, 4], [0, 0, 0, 1], [0xff; 4], [0, 0, 0, 7]] {
            assert!(kinds(&[&lie[..], b"free"].concat()).is_empty(), "{lie:?}");
        }
    }
}
