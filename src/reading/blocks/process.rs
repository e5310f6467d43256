//! A process: components, operations in the order of flow, what is always given.

use crate::balance::operations::Role;
use crate::balance::problem::Basis;
use crate::diag::{Code, Span, Surety, nearest};
use crate::reading::desk::{Desk, Fields};
use crate::reading::facts::given;
use crate::reading::markdown::Fence;
use crate::reading::parsed::{Component, Equation, Placed, Process, Text};
use crate::reading::values::values;
use crate::reading::words;
use crate::reading::yaml::{Entry, Node, NodeKind};

use super::operations::operations;

pub(super) fn process(desk: &mut Desk, fence: &Fence, tree: &Node) -> Option<Process> {
    let fields = desk.fields(tree, fence.words, fence.head)?;
    let id = desk.id(&fields);
    let mut process = body(desk, &fields, id, fence.head.to(fields.span));
    process.allow = desk.prose_pairs(&fields, "allow");
    process.id.is_some().then_some(process)
}

/// A process written inside a question, which needs no id.
pub(super) fn inline(desk: &mut Desk, entry: &Entry) -> Option<Process> {
    let fields = desk.fields(&entry.value, &words::INLINE_PROCESS, entry.key.span)?;
    let id = desk.optional_text(&fields, "id");
    Some(body(desk, &fields, id, entry.key.span.to(entry.value.span)))
}

fn body(desk: &mut Desk, fields: &Fields, id: Option<Text>, span: Span) -> Process {
    let title = desk.optional_prose(fields, "title");
    let basis = basis(desk, fields);
    let components = fields.get("components").map(|e| components(desk, e)).unwrap_or_default();
    let groups = fields.get("groups").map(|e| groups(desk, e)).unwrap_or_default();
    let values = fields.get("values").map(|e| values(desk, e)).unwrap_or_default();
    let operations = fields.get("operations").map(|e| operations(desk, e)).unwrap_or_default();
    let given = given(desk, fields);
    let relations = relations(desk, fields);
    let by_products = desk.prose_pairs(fields, "by_products");
    for (stream, _) in &by_products {
        desk.check_name(stream, "a stream");
    }
    Process {
        span,
        id,
        title,
        basis,
        components,
        groups,
        values,
        operations,
        given,
        relations,
        by_products,
        allow: Vec::new(),
    }
}

/// `basis: moles`.
pub(super) fn basis(desk: &mut Desk, fields: &Fields) -> Option<Placed<Basis>> {
    let word = desk.optional_text(fields, "basis")?;
    if let Some(basis) = Basis::named(&word.value) {
        return Some(Placed::new(basis, word.span));
    }
    let known = || Basis::NAMED.iter().map(|(name, _)| *name);
    let mut finding = desk
        .finding(Code::BadSetting, word.span, "Totals can count mass, moles or volume.")
        .found(format!("`{}`", word.value))
        .expected(known().collect::<Vec<_>>().join(", "));
    finding = finding.misspelt(
        word.span,
        nearest(&word.value, known()),
        Surety::Sure,
        "choose one of these, or leave the key out to count mass",
    );
    desk.say(finding);
    None
}

pub(super) fn relations(desk: &mut Desk, fields: &Fields) -> Vec<Placed<Equation>> {
    let Some(entry) = fields.get("relations") else { return Vec::new() };
    desk.items(entry).iter().filter_map(|item| desk.equation_at(item, entry.key.span)).collect()
}

/// `[fat, water]`, `{salt: solute}` or `{salt: {is: solute, formula: NaCl}}`.
fn components(desk: &mut Desk, entry: &Entry) -> Vec<Component> {
    if let NodeKind::List(items) = &entry.value.kind {
        let mut seen: Vec<Text> = Vec::new();
        for item in items {
            let Some(scalar) = desk.scalar(item, entry.key.span) else { continue };
            let name = Text::new(scalar.text.text().to_owned(), item.span);
            desk.check_name(&name, "a component");
            if let Some(first) = seen.iter().find(|n| n.value == name.value) {
                let finding = desk
                    .finding(
                        Code::DuplicateKey,
                        name.span,
                        format!("The component `{}` stands here a second time.", name.value),
                    )
                    .found(format!("`{}` twice", name.value))
                    .expected("each component once")
                    .next("take one of the two out")
                    .related(crate::diag::Place::new(desk.file, first.span), "the first stands");
                desk.say(finding);
                continue;
            }
            seen.push(name);
        }
        let plain = |name| Component {
            name,
            role: None,
            formula: None,
            molar_mass: None,
            solubility: None,
        };
        return seen.into_iter().map(plain).collect();
    }
    let Some(entries) = desk.entries(&entry.value, "list of components", entry.key.span) else {
        return Vec::new();
    };
    entries.iter().filter_map(|entry| component(desk, entry)).collect()
}

fn component(desk: &mut Desk, entry: &Entry) -> Option<Component> {
    let name = Text::new(entry.key.text.clone(), entry.key.span);
    desk.check_name(&name, "a component");
    if !matches!(entry.value.kind, NodeKind::Map(_)) {
        let role = desk.text(entry)?;
        check_role(desk, &role);
        return Some(Component {
            name,
            role: Some(role),
            formula: None,
            molar_mass: None,
            solubility: None,
        });
    }
    let fields = desk.fields(&entry.value, &words::COMPONENT, entry.key.span)?;
    let role = desk.optional_text(&fields, "is");
    if let Some(role) = &role {
        check_role(desk, role);
    }
    let formula = desk.optional_text(&fields, "formula");
    let molar_mass = fields.get("molar mass").and_then(|e| desk.typed_at(e));
    let solubility = desk.optional_text(&fields, "solubility");
    Some(Component { name, role, formula, molar_mass, solubility })
}

fn check_role(desk: &mut Desk, role: &Text) {
    if Role::named(&role.value).is_some() {
        return;
    }
    let known = || Role::NAMED.iter().map(|(name, _)| *name);
    let mut finding = desk
        .finding(
            Code::UnknownRole,
            role.span,
            format!("`{}` is not a role that a component can have.", role.value),
        )
        .found(format!("`{}`", role.value))
        .expected(known().collect::<Vec<_>>().join(", "));
    finding = finding.misspelt(
        role.span,
        nearest(&role.value, known()),
        Surety::Sure,
        "choose one of these",
    );
    desk.say(finding);
}

fn groups(desk: &mut Desk, entry: &Entry) -> Vec<(Text, Vec<Text>)> {
    let Some(entries) = desk.entries(&entry.value, "list of groups", entry.key.span) else {
        return Vec::new();
    };
    let mut groups = Vec::new();
    for group in entries {
        let name = Text::new(group.key.text.clone(), group.key.span);
        desk.check_name(&name, "a group");
        let mut members = Vec::new();
        for item in desk.items(group) {
            let Some(scalar) = desk.scalar(item, group.key.span) else { continue };
            let member = Text::new(scalar.text.text().to_owned(), item.span);
            desk.check_name(&member, "a component");
            members.push(member);
        }
        groups.push((name, members));
    }
    groups
}
