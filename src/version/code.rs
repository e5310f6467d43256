//! The code on every page that tells version and origin.
//!
//! Takes a version's number, the seed and a hash of what was printed; gives
//! letters and a check, `C-7KM`. No character can be read as another: there is no
//! 0, 1, I, L or O. Never secret, never read back into numbers but the version's.

use sha2::{Digest, Sha256};

/// Letters for versions: A to Z without I, L and O.
const LETTERS: &[u8; 23] = b"ABCDEFGHJKMNPQRSTUVWXYZ";
/// Characters of the check.
const CHECK: &[u8; 31] = b"23456789ABCDEFGHJKMNPQRSTUVWXYZ";
/// Characters that the check has.
const CHECK_LENGTH: usize = 3;

/// The letters of a version counted from 0: A to Z (23 of them), then AA to ZZ,
/// then three letters. Different for every version.
pub fn letters(version: u64) -> String {
    let base = LETTERS.len() as u64;
    let mut rest = version;
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(LETTERS[(rest % base) as usize]));
        rest /= base;
        if rest == 0 {
            return letters.into_iter().rev().collect();
        }
        // Two letters start with AA, not with BA: A counts as a first letter.
        rest -= 1;
    }
}

/// The version that letters stand for; small letters count as capitals. None if
/// they are no version's letters.
pub fn version_of(letters: &str) -> Option<u64> {
    let base = LETTERS.len() as u64;
    let mut version: u64 = 0;
    for (i, letter) in letters.bytes().enumerate() {
        let digit = LETTERS.iter().position(|l| *l == letter.to_ascii_uppercase())? as u64;
        let carried = if i == 0 { 0 } else { version.checked_add(1)? };
        version = carried.checked_mul(base)?.checked_add(digit)?;
    }
    (!letters.is_empty()).then_some(version)
}

/// The code of a version: its letters, a hyphen and three characters that depend
/// on content, seed and version.
pub fn code(content_hash: &[u8], seed: u64, version: u64) -> String {
    let mut hash = Sha256::new();
    hash.update(b"stillroom version code 1");
    hash.update((content_hash.len() as u64).to_le_bytes());
    hash.update(content_hash);
    hash.update(seed.to_le_bytes());
    hash.update(version.to_le_bytes());
    format!("{}-{}", letters(version), characters(hash))
}

/// Three characters that depend on a content alone, for what has no version.
pub fn check(content: &[u8]) -> String {
    characters(Sha256::new_with_prefix(content))
}

fn characters(hash: Sha256) -> String {
    let digest = hash.finalize();
    // Eight bytes over 31 cubed: the favour to low characters is below 1e-14.
    let mut number = digest.iter().take(8).fold(0u64, |n, byte| (n << 8) | u64::from(*byte));
    let mut text = String::new();
    for _ in 0..CHECK_LENGTH {
        text.push(char::from(CHECK[(number % CHECK.len() as u64) as usize]));
        number /= CHECK.len() as u64;
    }
    text
}

/// The version a code names, as a learner may have written it (small letters,
/// blanks around). None if it is no code; whether its check is right, `code` says.
pub fn version_of_code(code: &str) -> Option<u64> {
    let (letters, check) = code.trim().split_once('-')?;
    let known = |c: u8| CHECK.contains(&c.to_ascii_uppercase());
    if check.len() != CHECK_LENGTH || !check.bytes().all(known) {
        return None;
    }
    version_of(letters)
}
