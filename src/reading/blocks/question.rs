//! A question or an example: what is given, what is asked, and its text.

use crate::diag::{Code, Surety, nearest};
use crate::reading::desk::{Desk, Fields};
use crate::reading::excerpt::Excerpt;
use crate::reading::facts::given;
use crate::reading::markdown::Fence;
use crate::reading::parsed::{ProcessRef, Question, Text};
use crate::reading::values::values;
use crate::reading::words::LEVELS;
use crate::reading::yaml::{Node, NodeKind};

use super::parts::{Labelled, lines, parts, place_texts};
use super::process::{inline, relations};

pub(super) fn question(
    desk: &mut Desk,
    fence: &Fence,
    tree: &Node,
    text: Option<Excerpt>,
) -> Option<Question> {
    let fields = desk.fields(tree, fence.words, fence.head)?;
    let id = desk.id(&fields);
    let title = desk.optional_prose(&fields, "title");
    let objective = desk.optional_text(&fields, "objective");
    let level = desk.optional_text(&fields, "level");
    if let Some(level) = &level {
        check_level(desk, level);
    }
    let minutes = desk.whole(&fields, "minutes");
    let allow = desk.prose_pairs(&fields, "allow");
    let process = process_ref(desk, &fields);
    let basis = super::process::basis(desk, &fields);
    let values = fields.get("values").map(|e| values(desk, e)).unwrap_or_default();
    let mut require = Vec::new();
    if let Some(entry) = fields.get("require") {
        for item in desk.items(entry) {
            require.extend(desk.comparison_at(item, entry.key.span));
        }
    }
    let given = given(desk, &fields);
    let relations = relations(desk, &fields);
    let (route, avoid) = (lines(desk, &fields, "route"), lines(desk, &fields, "avoid"));
    let figure = desk.optional_text(&fields, "figure");
    let blank = lines(desk, &fields, "blank");
    let data = lines(desk, &fields, "data");
    let Labelled { mut parts, asked } = parts(desk, &fields);
    if parts.is_empty() && !asked && !desk.damaged {
        let finding = desk
            .finding(Code::NothingAsked, fence.head, "This question asks for nothing.")
            .found("neither `find` nor `parts`")
            .expected("`find: slurry.total`, or `parts` with a `find` each")
            .next("say what is to be worked out");
        desk.say(finding);
    }
    let stem = match text.filter(|t| !t.text().trim().is_empty()) {
        Some(text) => place_texts(desk, &text, &fields, &mut parts),
        None => {
            let finding = desk
                .finding(Code::TextMissing, fence.head, "This question has no text.")
                .found("nothing below a line `---`")
                .expected("the question's words below a line `---`, inside the block")
                .next("write the text at the end of the block, below a line `---`")
                .written("---");
            desk.say(finding);
            Default::default()
        }
    };
    Some(Question {
        span: fence.head.to(fields.span),
        id: id?,
        title,
        objective,
        level,
        minutes,
        allow,
        process,
        basis,
        values,
        require,
        given,
        relations,
        route,
        avoid,
        parts,
        stem,
        figure,
        blank,
        data,
    })
}

fn check_level(desk: &mut Desk, level: &Text) {
    if LEVELS.contains(&level.value.as_str()) {
        return;
    }
    let mut finding = desk
        .finding(
            Code::UnknownLevel,
            level.span,
            format!("There is no level called `{}`.", level.value),
        )
        .found(format!("`{}`", level.value))
        .expected(LEVELS.join(", "));
    finding = finding.misspelt(
        level.span,
        nearest(&level.value, LEVELS.iter().copied()),
        Surety::Sure,
        "choose one of these",
    );
    desk.say(finding);
}

fn process_ref(desk: &mut Desk, fields: &Fields) -> ProcessRef {
    let Some(entry) = fields.get("process") else { return ProcessRef::None };
    match &entry.value.kind {
        NodeKind::Map(_) => inline(desk, entry)
            .map_or(ProcessRef::None, |process| ProcessRef::Inline(Box::new(process))),
        _ => desk.text(entry).map_or(ProcessRef::None, ProcessRef::Named),
    }
}
