//! Templates: faults with their places, folders that override, and text that
//! prints as it was typed.

#![allow(clippy::unwrap_used)]

use std::fs;

use proptest::prelude::*;
use stillroom::document::context::*;
use stillroom::document::{Block, Document, TemplateFault, Templates, escape, plain, read};

mod samples;

fn fault(template: &str) -> Box<TemplateFault> {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("sheet.md"), template).unwrap();
    let templates = Templates::new(Some(folder.path()));
    templates.fill("sheet.md", &samples::sheet(true, 2)).unwrap_err()
}

#[test]
fn a_name_that_nothing_provides_is_named_with_its_line() {
    for (template, line, name) in [
        ("one\n\n{{ titel }}\n", 3, "titel"),
        ("{{ titel | quoted }}", 1, "titel"),
        ("a\n{{ titel | markdown }}", 2, "titel"),
        ("a\n{% for q in questions %}\n{{ q.steam }}\n{% endfor %}", 3, "q.steam"),
        ("{% if titel %}x{% endif %}", 1, "titel"),
        ("{% for x in titel %}x{% endfor %}", 1, "titel"),
    ] {
        let fault = fault(template);
        assert_eq!(
            (fault.template.as_str(), fault.line, fault.name.as_deref()),
            ("sheet.md", line, Some(name)),
            "{template}: {fault:?}"
        );
        assert!(fault.message.contains(&format!("`{name}`")), "{}", fault.message);
    }
}

#[test]
fn other_faults_say_what_and_where() {
    for (template, line, word) in [
        ("a\n{% for %}", 2, "cannot be read here"),
        ("{{ title | shout }}", 1, "does not exist"),
        (
            "{% for i in range(100000) %}{% for j in range(100000) %}{% endfor %}{% endfor %}",
            1,
            "without end",
        ),
        ("{% include \"absent.md\" %}", 1, "absent.md"),
        ("{% include \"../part.md\" %}", 1, "part.md"),
        ("{{ questions | quoted }}", 1, "`quoted` takes"),
    ] {
        let fault = fault(template);
        assert!(fault.message.contains(word), "{template}: {fault:?}");
        assert_eq!(fault.line, line, "{template}");
    }
}

#[test]
fn a_fault_in_an_included_template_names_that_template() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("part.md"), "\n\n{{ part.txet }}").unwrap();
    let templates = Templates::new(Some(folder.path()));
    let fault = templates.fill("sheet.md", &samples::sheet(true, 2)).unwrap_err();
    assert_eq!((fault.template.as_str(), fault.line), ("part.md", 3), "{fault:?}");
    assert_eq!(fault.name.as_deref(), Some("part.txet"));
}

#[test]
fn a_folder_overrides_one_template_and_leaves_the_others() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("part.md"), "OURS {{ part.text | markdown }}\n").unwrap();
    let templates = Templates::new(Some(folder.path()));
    let markdown = templates.fill("sheet.md", &samples::sheet(false, 1)).unwrap();
    assert_eq!(markdown.matches("OURS").count(), 3);
    assert!(markdown.contains("```opening"));
}

#[test]
fn no_template_is_read_from_outside_the_folder() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("secret.md"), "secret").unwrap();
    fs::create_dir(folder.path().join("templates")).unwrap();
    let templates = Templates::new(Some(&folder.path().join("templates")));
    let absolute = folder.path().join("secret.md");
    for name in
        ["../secret.md", "x/../../secret.md", absolute.to_str().unwrap(), "..\\secret.md", "", "/"]
    {
        assert!(templates.fill(name, &()).is_err(), "{name}");
    }
}

/// All the words of a document, block by block.
fn words(document: &Document) -> Vec<String> {
    fn of(blocks: &[Block], out: &mut Vec<String>) {
        for block in blocks {
            match block {
                Block::Paragraph(runs) | Block::Heading { text: runs, .. } => out.push(plain(runs)),
                Block::Opening(opening) => {
                    out.extend([plain(&opening.title), plain(&opening.line)]);
                }
                Block::Part { label, .. } => out.push(label.clone()),
                Block::Answer(answer) => {
                    for line in &answer.lines {
                        out.extend([plain(&line.name), plain(&line.unit), plain(&line.value)]);
                    }
                    out.extend(answer.mistakes.iter().map(|mistake| plain(&mistake.says)));
                }
                Block::Facts(facts) => {
                    out.extend(
                        facts.iter().flat_map(|fact| [plain(&fact.term), plain(&fact.says)]),
                    );
                }
                Block::Glossary(terms) => {
                    out.extend(terms.iter().flat_map(|term| {
                        [&term.term, &term.meaning, &term.example, &term.not]
                            .map(|runs| plain(runs))
                    }));
                }
                Block::Table(table) => {
                    out.extend(
                        table.rows.iter().chain([&table.head]).flatten().map(|cell| plain(cell)),
                    );
                }
                Block::Caption { text, .. } => out.push(plain(text)),
                Block::List { items, .. } => items.iter().for_each(|item| of(&item.blocks, out)),
                Block::Caution(inner) | Block::Note(inner) | Block::Quote(inner) => of(inner, out),
                _ => {}
            }
        }
    }
    let mut out = vec![
        document.sheet.title.clone(),
        document.sheet.left.clone(),
        document.sheet.right.clone(),
    ];
    of(&document.blocks, &mut out);
    out
}

const UNKIND: &[&str] = &[
    "5 * 3 and *more*",
    "a_b_c and __d__",
    "see [1] and [2](x)",
    "x | y",
    "`salt`",
    "{{ title }} {% if x %}",
    "# not a heading",
    "- not a list",
    "3. not a list",
    "12) nor this",
    "> not a quote",
    "```",
    "~~~ part",
    "<b>bold</b> & &amp; <!--",
    "$5 and $6",
    "\\",
    "ends in a backslash \\",
    "---",
    "===",
    "| a | b |",
    "key: value # comment",
    "\"quoted\" 'so'",
    "![picture](x.png)",
    "true",
    "12",
    "~",
    "* a",
    "+ a",
    "null",
    "é, ß, 水, 🜄",
    "    four spaces",
];

/// A lesson that says `text` wherever plain text can stand.
fn lesson(text: &str) -> LessonContext {
    let text = || text.to_owned();
    let mut lesson = samples::lesson();
    lesson.title = text();
    lesson.head_left = text();
    lesson.head_right = text();
    lesson.class_line = text();
    lesson.minutes = None;
    lesson.closing = Some(text());
    lesson.objectives = vec![ObjectiveContext { id: text(), words: text() }];
    lesson.items = vec![
        LessonItem::Technique(Box::new(TechniqueContext {
            title: text(),
            property: text(),
            separates: text(),
            apparatus: vec![text()],
            steps: vec![text()],
            cautions: vec![text()],
            industry: vec![text()],
            ..TechniqueContext::default()
        })),
        LessonItem::Process(ProcessContext {
            title: text(),
            operations: vec![OperationContext {
                step: text(),
                operation: text(),
                inlets: vec![text()],
                outlets: Vec::new(),
            }],
            by_products: vec![ByProductContext { stream: text(), purpose: text() }],
        }),
        LessonItem::Data(DataContext {
            title: text(),
            columns: vec![ColumnContext { head: text(), numbers: true }],
            rows: vec![vec![text()]],
            source: String::new(),
        }),
        LessonItem::Glossary {
            terms: vec![TermContext {
                term: text(),
                meaning: text(),
                example: text(),
                not: text(),
            }],
        },
    ];
    lesson
}

/// How often `lesson` says its text.
const SAID: usize = 27;

fn times_said(text: &str) -> usize {
    let markdown = Templates::new(None).fill("lesson.md", &lesson(text)).unwrap();
    let document = read(&markdown).unwrap_or_else(|fault| panic!("{text}: {fault:?}\n{markdown}"));
    words(&document).iter().filter(|word| word.as_str() == text.trim()).count()
}

#[test]
fn a_teachers_text_prints_as_typed_wherever_it_stands() {
    for text in UNKIND {
        assert_eq!(times_said(text), SAID, "{text}");
    }
}

#[test]
fn names_units_and_mistakes_print_as_typed() {
    for text in UNKIND {
        let mut context = samples::sheet(true, 1);
        context.title = (*text).to_owned();
        let part = &mut context.questions[0].parts[1];
        part.label = Some((*text).to_owned());
        part.answers[0].unit = (*text).to_owned();
        part.answers[0].value = (*text).to_owned();
        part.mistakes[0].says = (*text).to_owned();
        let markdown = Templates::new(None).fill("sheet.md", &context).unwrap();
        let said = words(&read(&markdown).unwrap());
        // Title twice; label twice, with the worked answers; and the answer's three. Its
        // name is Markdown, for formulas.
        assert_eq!(said.iter().filter(|word| word.as_str() == text.trim()).count(), 7, "{text}");
    }
}

#[test]
fn an_authors_markdown_cannot_reach_beyond_its_place() {
    for stem in
        ["```", "~~~~\nopen", "```question\nnumber: 99\n```", "<!-- open", "<script>", "<pre>\nx"]
    {
        let mut context = samples::sheet(true, 3);
        context.questions[0].stem = (*stem).to_owned();
        let markdown = Templates::new(None).fill("sheet.md", &context).unwrap();
        let document = read(&markdown).unwrap();
        let numbers: Vec<&str> = document
            .blocks
            .iter()
            .filter_map(|block| match block {
                Block::Question { number } => Some(number.as_str()),
                _ => None,
            })
            .collect();
        assert_eq!(numbers, ["1", "2", "3", "1", "2", "3"], "{stem}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_line_survives_escaping(text in "[ -~]{0,40}") {
        let document = read(&escape(&text)).unwrap();
        let said: Vec<String> = words(&document).into_iter().filter(|word| !word.is_empty()).collect();
        let expected: Vec<String> = Some(text.trim().to_owned()).into_iter().filter(|t| !t.is_empty()).collect();
        prop_assert_eq!(said, expected);
    }

    #[test]
    fn any_markdown_is_read(text in "[ -~\n`*_>#|]{0,200}") {
        let _ = read(&text);
    }
}
