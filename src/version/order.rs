//! A secret order of the numbers 0 to n - 1, in which any place can be looked up
//! on its own.
//!
//! Takes a stream and n, gives a permutation. Small n: a shuffled table. Large n:
//! a Feistel network on as many bits as n needs, walked on until it lands below n
//! (Black and Rogaway 2002, "Ciphers with arbitrary finite domains"), which needs
//! no memory however large n is. Its arithmetic is fixed: changing it changes
//! printed numbers.

use super::stream::Stream;

/// Up to this many a table is kept (256 kB).
const TABLE: u128 = 1 << 16;
const ROUNDS: usize = 10;

#[derive(Debug, Clone)]
pub(super) enum Order {
    Table(Vec<u32>),
    Network { count: u128, half_bits: u32, keys: [u64; ROUNDS] },
}

impl Order {
    /// An order of `count` numbers.
    pub(super) fn new(count: u128, mut stream: Stream) -> Order {
        if count <= TABLE {
            let mut table: Vec<u32> = (0..u32::try_from(count).unwrap_or(0)).collect();
            stream.shuffle(&mut table);
            return Order::Table(table);
        }
        let bits = u128::BITS - (count - 1).leading_zeros();
        Order::Network {
            count,
            half_bits: bits.div_ceil(2),
            keys: std::array::from_fn(|_| stream.word()),
        }
    }

    /// How many numbers are ordered.
    pub(super) fn count(&self) -> u128 {
        match self {
            Order::Table(table) => table.len() as u128,
            Order::Network { count, .. } => *count,
        }
    }

    /// The number that stands at `place`, which must be below the count.
    pub(super) fn at(&self, place: u128) -> Option<u128> {
        if place >= self.count() {
            return None;
        }
        match self {
            Order::Table(table) => {
                usize::try_from(place).ok().and_then(|i| table.get(i)).map(|n| u128::from(*n))
            }
            Order::Network { count, half_bits, keys } => {
                // At most four times as many numbers as n has: lands soon.
                let mut number = place;
                loop {
                    number = network(number, *half_bits, keys);
                    if number < *count {
                        return Some(number);
                    }
                }
            }
        }
    }
}

/// One pass of the network: a bijection on 2 × `half_bits` bits.
fn network(number: u128, half_bits: u32, keys: &[u64; ROUNDS]) -> u128 {
    let mask = if half_bits == 64 { u64::MAX } else { (1u64 << half_bits) - 1 };
    let mut left = ((number >> half_bits) as u64) & mask;
    let mut right = (number as u64) & mask;
    for key in keys {
        (left, right) = (right, left ^ (mixed(right, *key) & mask));
    }
    (u128::from(left) << half_bits) | u128::from(right)
}

/// Every bit of the result depends on every bit of both (the finishing steps of
/// splitmix64, Steele, Lea and Flood 2014).
fn mixed(half: u64, key: u64) -> u64 {
    let mut z = half.wrapping_add(key).wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ key.rotate_left(32);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}
