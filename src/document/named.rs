//! A learner's own copy: the sheet of their version with their name, seat and time.
//!
//! Takes a sheet's context and what is known of the learner; changes nothing that is asked.

use super::context::SheetContext;

/// Whose copy it is. Empty texts are left out.
#[derive(Debug, Clone, Copy, Default)]
pub struct NamedFor<'a> {
    pub learner: &'a str,
    pub class: &'a str,
    /// "Laboratory 2, row 3, seat 4"
    pub seat: &'a str,
    /// The time that they have, in minutes, and why it is not that of all: "25 % extra".
    pub time: Option<(u32, &'a str)>,
}

/// Makes a sheet the copy of a learner; without a name, a spare one.
pub fn named(sheet: &mut SheetContext, copy: NamedFor<'_>) {
    sheet.named = true;
    copy.seat.clone_into(&mut sheet.seat);
    if !copy.learner.is_empty() {
        sheet.head_left = match copy.class {
            "" => copy.learner.to_owned(),
            class => format!("{}, {class}", copy.learner),
        };
    }
    let Some(front) = &mut sheet.front else { return };
    copy.learner.clone_into(&mut front.learner);
    copy.class.clone_into(&mut front.class);
    if let Some((minutes, why)) = copy.time {
        front.time = format!("{minutes} minutes ({why})");
    }
}
