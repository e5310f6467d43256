//! Two lists to be matched: what stands at the left, and its partner.

use crate::reading::desk::Desk;
use crate::reading::kinds::{Kind, Match};
use crate::reading::parsed::Text;
use crate::reading::yaml::Entry;

/// The word that no left side can be.
const SPARE: &str = "spare";

pub(super) fn matching(desk: &mut Desk, entry: &Entry) -> Option<Kind> {
    let entries = desk.entries(&entry.value, "list of pairs", entry.key.span)?;
    let (mut pairs, mut spare) = (Vec::new(), Vec::new());
    for entry in entries {
        if entry.key.text == SPARE {
            spare = desk.prose_items(entry);
            continue;
        }
        let left = Text::new(entry.key.text.clone(), entry.key.span);
        pairs.extend(desk.prose_text(entry).map(|right| (left, right)));
    }
    Some(Kind::Match(Match { pairs, spare }))
}
