//! What `stillroom words` shows is what the reader takes.

use std::fs;

use stillroom::balance::properties::solubility;
use stillroom::run;

/// Every form of fact that `words` shows is one that the reader takes.
#[test]
fn the_facts_that_words_shows_are_understood() {
    let here = tempfile::tempdir().expect("a folder");
    let said = run::words();
    let facts: Vec<&str> = said
        .lines()
        .skip_while(|line| !line.starts_with("FACTS"))
        .skip(2)
        .take_while(|line| !line.is_empty())
        .map(|line| {
            line.trim().split("  ").next().unwrap_or("").split(" in place of").next().unwrap_or("")
        })
        .collect();
    assert!(facts.len() > 10, "{facts:?}");
    for fact in facts {
        let unit = format!(
            "---\nid: u\ntitle: U\nobjectives: {{m: Masses}}\n---\n\n```data\nid: t\ncolumns: temperature in degC\nunit: g/100 g water\nrows: {{salt: {{0: 35.7, 40: 36.4}}}}\nsource: invented for this test\n```\n\n```question\nid: q\nobjective: m\nprocess:\n  components: {{mud: {{is: insoluble, molar mass: 60 g/mol}}, salt: {{is: solute, formula: NaCl}}, water: {{is: solvent, formula: H2O}}}}\n  operations:\n    a: {{is: mixing, feed: [brine, mother, curd], product: wet}}\n    b: {{is: filtration, feed: wet, cake: cake, filtrate: filtrate}}\ngiven:\n  cake: {{{fact}}}\nfind: cake.total\n---\nFind it.\n```\n"
        );
        let path = here.path().join("u.md");
        fs::write(&path, unit).expect("written");
        // The lone fact does not settle the question; that it is understood is all
        // that is asked.
        for finding in run::check(&[path]).findings {
            let code = finding.code.text();
            assert!(
                ["too-few-facts", "too-many-facts", "impossible", "not-needed"].contains(&code),
                "{fact}: {code} {}",
                finding.message
            );
        }
    }
}

/// Each solubility table that comes with the program stands under its source, so
/// that nobody uses a number without knowing where it is from.
#[test]
fn every_solubility_table_is_shown_under_its_source() {
    let said = run::words();
    let section: Vec<&str> =
        said.lines().skip_while(|line| !line.starts_with("SOLUBILITY")).collect();
    for table in solubility::all() {
        let at = section
            .iter()
            .position(|line| line.trim_start().starts_with(&format!("{}  ", table.name)))
            .unwrap_or_else(|| panic!("{} is not shown", table.name));
        let (lowest, highest) = table.range();
        for part in [table.formula, &format!("{lowest} to {highest} degC")] {
            assert!(section[at].contains(part), "{part} is not in: {}", section[at]);
        }
        let heading =
            section[..at].iter().rev().find(|line| line.ends_with(':')).expect("a heading");
        assert_eq!(heading.trim(), format!("{}:", table.source), "{}", table.name);
    }
    assert!(said.lines().all(|line| line == line.trim_end()), "blanks at the end of a line");
}
