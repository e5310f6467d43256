//! A quick review: what it is about, or its own questions.

use crate::reading::desk::Desk;
use crate::reading::markdown::Fence;
use crate::reading::parsed::Review;
use crate::reading::words::RECALL;
use crate::reading::yaml::Node;

use super::parts::lines;

pub(super) fn review(desk: &mut Desk, fence: &Fence, tree: &Node) -> Option<Review> {
    let fields = desk.fields(tree, fence.words, fence.head)?;
    let title = desk.optional_prose(&fields, "title");
    let about = lines(desk, &fields, "about");
    let most = desk.whole(&fields, "most");
    let mut questions = Vec::new();
    if let Some(entry) = fields.get("questions") {
        for item in desk.items(entry) {
            let Some(fields) = desk.fields(item, &RECALL, entry.key.span) else { continue };
            let ask = desk.optional_prose(&fields, "ask");
            let answer = desk.optional_prose(&fields, "answer");
            questions.extend(ask.zip(answer));
        }
    }
    Some(Review { span: fence.head.to(fields.span), title, about, questions, most })
}
