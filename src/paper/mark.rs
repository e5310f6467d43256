//! A short mark of texts, by which it is known later whether they are still the same.

use sha2::{Digest, Sha256};

/// Twelve digits in base sixteen. Where one text ends and the next begins counts too.
pub fn mark_of<'a>(texts: impl IntoIterator<Item = &'a str>) -> String {
    let mut hash = Sha256::new();
    for text in texts {
        hash.update((text.len() as u64).to_le_bytes());
        hash.update(text.as_bytes());
    }
    hash.finalize()[..6].iter().map(|byte| format!("{byte:02x}")).collect()
}
