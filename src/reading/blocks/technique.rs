//! A technique: what it rests on, what it needs and how it is done.

use crate::reading::desk::Desk;
use crate::reading::markdown::Fence;
use crate::reading::parsed::Technique;
use crate::reading::yaml::Node;

pub(super) fn technique(desk: &mut Desk, fence: &Fence, tree: &Node) -> Option<Technique> {
    let fields = desk.fields(tree, fence.words, fence.head)?;
    let id = desk.id(&fields);
    let title = desk.optional_prose(&fields, "title");
    let property = desk.optional_prose(&fields, "property");
    let separates = desk.optional_prose(&fields, "separates");
    let sketch = super::figure::sketch(desk, &fields, true);
    let outlets = desk.prose_pairs(&fields, "outlets");
    let apparatus = desk.prose_list(&fields, "apparatus");
    let steps = desk.prose_list(&fields, "steps");
    let cautions = desk.prose_list(&fields, "cautions");
    let allow = desk.prose_pairs(&fields, "allow");
    let industry = desk.prose_list(&fields, "industry");
    Some(Technique {
        span: fence.head.to(fields.span),
        id: id?,
        title,
        property: property?,
        separates,
        sketch,
        outlets,
        apparatus,
        steps,
        cautions,
        industry,
        allow,
    })
}
