//! The frame of a page: what a reading machine is told of it, its style, and what a
//! sheet of paper carries at its head and foot.

use super::CopyFor;
use super::runs::text;
use crate::document::Sheet;

/// For screen and paper. No colour carries meaning; lines stay short enough to read.
const STYLE: &str = "\
:root { color-scheme: light dark; }
body { font: 1.05rem/1.5 \"Source Sans 3\", \"Source Sans Pro\", system-ui, sans-serif; \
max-width: 44rem; margin: 0 auto; padding: 1rem; }
h1 { border-top: 0.25rem solid; padding-top: 0.3rem; }
h2 { border-top: 0.1rem solid; padding-top: 0.3rem; }
table { border-collapse: collapse; margin: 1rem 0; border-top: 0.1rem solid; \
border-bottom: 0.1rem solid; }
th, td { text-align: left; vertical-align: top; padding: 0.2rem 0.6rem; \
border-bottom: 0.03rem solid; }
td.number { text-align: right; font-variant-numeric: tabular-nums; }
td.middle { text-align: center; }
tr.total td { font-weight: bold; }
ol.steps { list-style: none; padding-left: 0; }
ol.steps li { margin-bottom: 0.6rem; }
.answer { margin-left: 2rem; }
.blank { display: inline-block; min-width: 9rem; border-bottom: 0.06rem solid; }
.key { border-bottom: 0.06rem solid; padding: 0 1.5rem; }
.working { margin: 0.2rem 0 0.2rem 2rem; border-left: 0.15rem solid; padding-left: 0.6rem; }
.note { border-left: 0.15rem solid; padding-left: 1rem; }
.caution { border: 0.12rem solid; border-top-width: 0.5rem; padding: 0 1rem; }
caption { text-align: left; }
figure { margin: 1rem 0; }
figure svg, figure img { max-width: 100%; height: auto; }
.badge img { width: auto; height: auto; max-width: 48mm; max-height: 24mm; }
caption, .caption, .lead { font-weight: 600; }
@media print {
body { max-width: none; padding: 0; font-size: 12pt; }
section, table, .note, .caution { break-inside: avoid; }
h1, h2, h3, h4 { break-after: avoid; }
}
";

pub(super) fn framed(sheet: &Sheet, copy: CopyFor, body: &str) -> String {
    let mut title = text(&sheet.title);
    if !sheet.version.is_empty() {
        title.push_str(&format!(", version {}", text(&sheet.version)));
    }
    if copy == CopyFor::Teacher {
        title.push_str(", teacher copy");
    }
    let language = if sheet.language.is_empty() { "en" } else { &sheet.language };
    let mut out = String::with_capacity(body.len() + STYLE.len() + 1024);
    out.push_str(&format!(
        "<!DOCTYPE html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n",
        text(language)
    ));
    let tab = if copy == CopyFor::Teacher { sheet.tab.as_str() } else { "" };
    let head: Vec<String> = [sheet.left.as_str(), tab, &sheet.right]
        .into_iter()
        .filter(|words| !words.is_empty())
        .map(text)
        .collect();
    if !head.is_empty() {
        out.push_str(&format!("<header>\n<p>{}</p>\n</header>\n", head.join(" | ")));
    }
    out.push_str(&format!("<main>\n{body}</main>\n"));
    if !sheet.code.is_empty() {
        out.push_str(&format!("<footer>\n<p>Code {}</p>\n</footer>\n", text(&sheet.code)));
    }
    out.push_str("</body>\n</html>\n");
    out
}
