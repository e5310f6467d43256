//! A figure: what it is drawn of, what is given of the streams, its caption.

use crate::reading::desk::Desk;
use crate::reading::facts::given;
use crate::reading::markdown::Fence;
use crate::reading::parsed::Figure;
use crate::reading::yaml::Node;

pub(super) fn figure(desk: &mut Desk, fence: &Fence, tree: &Node) -> Option<Figure> {
    let fields = desk.fields(tree, fence.words, fence.head)?;
    let id = desk.id(&fields);
    let of = desk.optional_text(&fields, "of");
    let given = given(desk, &fields);
    let caption = desk.optional_prose(&fields, "caption");
    Some(Figure { span: fence.head.to(fields.span), id: id?, of: of?, given, caption })
}
