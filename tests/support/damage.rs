//! Damages that are done to files: cards pulled out, bytes turned over, numbers in indexes made impossible.

use proptest::prelude::any;
use proptest::strategy::Strategy;

/// What is done to a file.
#[derive(Debug, Clone)]
pub enum Damage {
    /// It ends here, as a share of 65536.
    Cut(u16),
    /// A byte at a share of the file gets another value.
    Byte(u16, u8),
    /// Four bytes at a share of the file, where lengths and counts lie, get a number.
    Number(u16, u32),
    /// A piece is written again somewhere else.
    Moved(u16, u16, u8),
    /// A byte within the index of an MP4 file gets another value.
    InIndex(u16, u8),
    /// Four bytes within the index get a number.
    NumberInIndex(u16, u32),
    /// A byte near the beginning of a packet, a cluster or a coded picture gets another value.
    AtHead(u16, u8, u8),
}

/// One to three of them.
pub fn damage() -> impl Strategy<Value = Vec<Damage>> {
    use proptest::prop_oneof;
    let number = || {
        prop_oneof![
            any::<u32>(),
            0_u32..64,
            proptest::strategy::Just(u32::MAX),
            (0_u32..32).prop_map(|bit| 1 << bit)
        ]
    };
    let one = prop_oneof![
        1 => any::<u16>().prop_map(Damage::Cut),
        3 => any::<(u16, u8)>().prop_map(|(at, value)| Damage::Byte(at, value)),
        2 => (any::<u16>(), number()).prop_map(|(at, value)| Damage::Number(at, value)),
        1 => any::<(u16, u16, u8)>().prop_map(|(from, to, length)| Damage::Moved(from, to, length)),
        4 => any::<(u16, u8)>().prop_map(|(at, value)| Damage::InIndex(at, value)),
        6 => (any::<u16>(), number()).prop_map(|(at, value)| Damage::NumberInIndex(at, value)),
        5 => any::<(u16, u8, u8)>().prop_map(|(which, at, value)| Damage::AtHead(which, at % 24, value)),
    ];
    proptest::collection::vec(one, 1..4)
}

/// The byte at a share of a length.
fn place(share: u16, length: usize) -> usize {
    usize::from(share) * length / 65_536
}

/// The file with these damages.
pub fn damaged(whole: &[u8], damages: &[Damage]) -> Vec<u8> {
    let mut bytes = whole.to_vec();
    for damage in damages {
        let index = bytes.windows(4).position(|kind| kind == b"moov").unwrap_or(0);
        let length = bytes.len();
        let mut write = |at: usize, new: &[u8]| {
            for (byte, value) in bytes.iter_mut().skip(at).zip(new) {
                *byte = *value;
            }
        };
        match damage {
            Damage::Cut(share) => bytes.truncate(place(*share, length)),
            Damage::Byte(share, value) => write(place(*share, length), &[*value]),
            Damage::Number(share, value) => write(place(*share, length), &value.to_be_bytes()),
            Damage::Moved(from, to, count) => {
                let from = place(*from, length);
                let piece: Vec<u8> = whole.iter().skip(from).take(usize::from(*count)).copied().collect();
                write(place(*to, length), &piece);
            }
            Damage::AtHead(which, at, value) => {
                let heads = heads(whole);
                if let Some(head) = heads.get(place(*which, heads.len())) {
                    write(head + usize::from(*at), &[*value]);
                }
            }
            Damage::InIndex(share, value) => write(index + place(*share, length - index), &[*value]),
            Damage::NumberInIndex(share, value) => {
                write(index + place(*share, length - index), &value.to_be_bytes());
            }
        }
    }
    bytes
}

/// Where something begins that a decoder or a reader takes apart: packets of a transport stream, clusters of Matroska,
/// coded pictures after a start code or after their length, the file itself.
fn heads(whole: &[u8]) -> Vec<usize> {
    let mut found = vec![0];
    if whole.first() == Some(&0x47) {
        found.extend((0..whole.len()).step_by(188));
    }
    let marks = whole.windows(4).enumerate();
    found.extend(
        marks
            .filter(|(_, four)| {
                matches!(
                    four,
                    [0, 0, 1, _]
                        | [0x1f, 0x43, 0xb6, 0x75]
                        | [b'm', b'd', b'a', b't']
                        | [b'a', b'v', b'c', b'C']
                        | [b'h', b'v', b'c', b'C']
                )
            })
            .map(|(at, _)| at + 3),
    );
    // In an MP4 file each coded unit is preceded by its length.
    let mut at = whole.windows(4).position(|kind| kind == b"mdat").map_or(whole.len(), |at| at + 4);
    while let Some([a, b, c, d]) = whole.get(at..at + 4) {
        found.push(at + 4);
        at += 4 + u32::from_be_bytes([*a, *b, *c, *d]).min(1 << 24) as usize;
    }
    found
}
