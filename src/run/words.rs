//! `words`: every operation, block, key and unit, from the definitions that parse.

use std::fmt::Write;

use crate::balance::operations::{CATALOGUE, Port, Role, Takes, Wants};
use crate::balance::properties::solubility::{self, INTERPOLATION, Table};
use crate::quantity::Unit;
use crate::question::mistakes::catalogue;
use crate::reading::words::blocks;
use crate::rules::table::{ELSEWHERE, TABLE};

/// What the Markdown between the blocks means beyond the handout.
const PROSE: &[(&str, &str)] = &[
    ("## A heading", "opens a section; with `print --slides` a slide as well"),
    (
        "a sentence with **bold** in it",
        "stands on the slide; all prose stands in the speaker's notes",
    ),
    ("lists and tables", "stand on the slide whole"),
];

/// What may be said of a stream, each with a few words.
const FACTS: &[(&str, &str)] = &[
    ("total: 400 kg", "the whole stream; or a value's name in place of the number"),
    ("salt: 5.0 %", "a component's share of this stream"),
    ("salt: 20 kg", "its mass; `none` if it is not there"),
    ("rest: water", "water makes up the rest, all else is absent"),
    ("others: none", "components that are not named are absent"),
    ("is: pure water", "nothing but water"),
    ("salt: 55 % of brine", "a recovery: of the salt in the stream `brine`"),
    ("total: 10 % of mother", "a share of another stream"),
    ("salt: 0.36 kg per kg water", "a ratio to another component, a group, solids or liquor"),
    ("salt: 36 g per 100 g water", "the same, as solubilities are given"),
    (
        "salt: saturated at 20 degC",
        "read from the unit's `data` block with a row `salt`, else built in",
    ),
    ("liquor: same as curd", "the same amount as in another stream"),
    ("solids: 95 %", "the undissolved part of a wet solid; `liquor` is the rest"),
    ("volume: 2000 L, density: 0.87 kg/L", "in place of a total"),
    ("salt: 35 g/L", "a concentration, where volumes are told"),
    ("salt: 6.0 mol%", "a share of the moles; components need a `formula`"),
    ("salt: 2 mol", "moles beside masses, the same"),
];

const STAGES: &[(&str, &str)] = &[
    (
        "wash: {total: 20 kg each stage}",
        "as much for every stage; without `each stage` it is shared",
    ),
    ("washed.stage1: {salt: 2 kg}", "the stream between two stages, counted from the feed's end"),
    ("washed: {liquor: same as curd}", "what a solid keeps holds for every stage"),
];

const BASES: &[(&str, &str)] = &[
    ("basis: mass", "the usual: totals are masses, % is a share of the mass"),
    ("basis: moles", "totals are amounts of substance (mol, kmol), % is a share of the moles"),
    ("basis: volume", "volumes add; solutes and solids count by mass or concentration"),
];

const FORMULAS: &[(&str, &str)] = &[
    ("brine.total, or brine", "the whole stream"),
    ("brine.salt", "a component's mass in it"),
    ("brine.salt.fraction, .percent", "its share"),
    ("top.ethanol.moles, .mole_fraction", "moles beside masses"),
    ("top.moles, .ethanol.mass_fraction", "or masses, where moles are counted: top.mass"),
    ("brine.salt.concentration", "mass over the volume of its stream"),
    ("brine.volume, brine.density", "of the whole stream"),
    ("washed.stage1.salt", "in the stream between two stages"),
    ("mother.saturation_temperature", "at which its solute would begin to come out"),
    ("sieve.effectiveness", "what an operation is judged by"),
    ("cake.solids, cake.liquor.salt", "parts of a stream that holds undissolved solid"),
    ("+ - * / ^ ( ) sqrt ln exp", "school algebra; numbers may carry units, 100 kg"),
    ("sf(slurry.total) <= 3", "figures needed to write a number, for `require`"),
];

const VALUES: &[(&str, &str)] = &[
    ("200 to 800 kg, step 50", "each version draws one"),
    ("one of 4.0, 5.0, 8.0 %", "the same from a list; words do too: one of alum, potash"),
    ("3 g", "the same in every version"),
    ("= brine * (1 - weak)", "worked out from others"),
];

/// The list as plain text.
pub fn words() -> String {
    let mut text = String::new();
    // Writing to a string cannot fail.
    let _ = write_all(&mut text);
    text
}

fn write_all(text: &mut String) -> std::fmt::Result {
    writeln!(text, "OPERATIONS   is: NAME, then each inlet and outlet with the name of a stream")?;
    for kind in CATALOGUE {
        writeln!(text, "\n  {}", kind.name)?;
        writeln!(text, "      {}", kind.says)?;
        if !kind.also.is_empty() {
            writeln!(text, "      also called  {}", kind.also.join(", "))?;
        }
        writeln!(text, "      inlets       {}", ports(kind.inlets))?;
        writeln!(text, "      outlets      {}", ports(kind.outlets))?;
        if !kind.outlet_sets.is_empty() {
            let sets: Vec<String> = kind.outlet_sets.iter().map(|set| set.join(" + ")).collect();
            writeln!(text, "      one of       {}", sets.join("  or  "))?;
        }
        if !kind.roles.is_empty() {
            let roles: Vec<&str> = kind.roles.iter().map(|role| role.word()).collect();
            writeln!(
                text,
                "      needs        a component that is {}",
                roles.join(", and one that is ")
            )?;
        }
        let settings = kind.settings.iter().filter(|setting| setting.takes != Wants::Rule);
        for (number, setting) in settings.enumerate() {
            let head = if number == 0 { "takes" } else { "" };
            writeln!(text, "      {head:<12} {}: {}", setting.key, setting.says)?;
        }
        for measure in kind.measures {
            writeln!(text, "      {:<12} NAME.{}: {}", "judged by", measure.name, measure.says)?;
        }
        let mut physics: Vec<&str> = Vec::new();
        for rule in kind.physics {
            if !physics.contains(&rule.name()) {
                physics.push(rule.name());
            }
        }
        if !physics.is_empty() {
            writeln!(text, "      brings       {}   (except: NAME lifts one)", physics.join(", "))?;
        }
    }
    let roles: Vec<&str> = Role::NAMED.iter().map(|(name, _)| *name).collect();
    writeln!(text, "\nROLES of components\n\n  {}", roles.join(", "))?;
    writeln!(text, "\nBLOCKS   a fence whose first word is one of these")?;
    for block in blocks() {
        writeln!(text, "\n  {}\n      {}", block.name, block.says)?;
        for key in block.keys {
            let needed = if key.required { "  (needed)" } else { "" };
            writeln!(text, "      {:<14} {}{needed}", key.name, key.takes)?;
        }
    }
    writeln!(text, "\nPROSE   outside the blocks\n")?;
    for (form, says) in PROSE {
        writeln!(text, "  {form:<34} {says}")?;
    }
    writeln!(text, "\nFACTS   under `given:`, STREAM: {{KEY: FACT, ...}}\n")?;
    for (form, says) in FACTS {
        writeln!(text, "  {form:<34} {says}")?;
    }
    writeln!(text, "\nSTAGES   where an operation has several\n")?;
    for (form, says) in STAGES {
        writeln!(text, "  {form:<34} {says}")?;
    }
    writeln!(text, "\nBASIS   on a question or its process\n")?;
    for (form, says) in BASES {
        writeln!(text, "  {form:<34} {says}")?;
    }
    writeln!(text, "\nFORMULAS   after `find`, `require`, `relations`, `mistakes`, `= `\n")?;
    for (form, says) in FORMULAS {
        writeln!(text, "  {form:<34} {says}")?;
    }
    writeln!(text, "\nVALUES   under `values:`, NAME: VALUE\n")?;
    for (form, says) in VALUES {
        writeln!(text, "  {form:<34} {says}")?;
    }
    mistakes(text)?;
    writeln!(text, "\nUNITS\n")?;
    for (label, symbols) in Unit::catalogue() {
        writeln!(text, "  {label:<24} {}", symbols.join("  "))?;
    }
    solubilities(text)?;
    rules(text)
}

/// The rules that `check` holds a unit to, under the source of each.
fn rules(text: &mut String) -> std::fmt::Result {
    writeln!(
        text,
        "\nRULES   of `check`; `allow: {{CODE: reason}}` on a block or in the front matter"
    )?;
    writeln!(text, "        waives those without a `!`. Works are quoted from memory.")?;
    let mut sources: Vec<&str> = Vec::new();
    for rule in TABLE {
        if !sources.contains(&rule.source) {
            sources.push(rule.source);
        }
    }
    for source in sources {
        writeln!(text, "\n  {source}:")?;
        for rule in TABLE.iter().filter(|rule| rule.source == source) {
            let (code, severity) = (rule.code.text(), rule.code.severity().word());
            let firm = if rule.waivable { "" } else { "!" };
            writeln!(text, "      {code:<22} {severity:<8}{firm:<2}{}", rule.checks)?;
        }
    }
    writeln!(text, "\n  seen to elsewhere:")?;
    for (what, by) in ELSEWHERE {
        writeln!(text, "      {what}: {by}")?;
    }
    Ok(())
}

/// The built-in mistakes, each with what it shows and what to tell the learner.
fn mistakes(text: &mut String) -> std::fmt::Result {
    writeln!(text, "\nMISTAKES   built in; `without: [ID]` on a part leaves some out")?;
    let mut last = "";
    for (kind, mistake) in catalogue() {
        if kind != last {
            writeln!(text, "\n  {kind}")?;
            last = kind;
        }
        writeln!(text, "      {:<32} {}: {}", mistake.id, mistake.name, mistake.formula)?;
        writeln!(text, "      {:<32} shows: {}", "", mistake.shows)?;
        writeln!(text, "      {:<32} {} ({})", "", mistake.remedy, mistake.source)?;
    }
    Ok(())
}

/// The solubility tables that come with the program, under the source of each.
fn solubilities(text: &mut String) -> std::fmt::Result {
    writeln!(
        text,
        "\nSOLUBILITY   built-in tables, g of anhydrous solute per 100 g of all the water"
    )?;
    writeln!(text, "             read {INTERPOLATION}; never beyond its ends")?;
    let mut sources: Vec<&str> = Vec::new();
    for table in solubility::all() {
        if !sources.contains(&table.source) {
            sources.push(table.source);
        }
    }
    for source in sources {
        writeln!(text, "\n  {source}:")?;
        for table in solubility::all().filter(|table| table.source == source) {
            let Table { name, formula, solid, .. } = table;
            let (lowest, highest) = table.range();
            let range = format!("{lowest} to {highest} degC");
            let line = format!("{name:<28} {formula:<12} {range:<14}");
            if solid == formula {
                writeln!(text, "      {}", line.trim_end())?;
            } else {
                writeln!(text, "      {line}  as {solid}")?;
            }
        }
    }
    Ok(())
}

fn ports(ports: &[Port]) -> String {
    let one = |port: &Port| {
        let mut text = port.key.to_owned();
        if port.takes == Takes::Many {
            text.push_str(" (one or a list)");
        }
        if !port.also.is_empty() {
            text = format!("{text} (or {})", port.also.join(", "));
        }
        text
    };
    ports.iter().map(one).collect::<Vec<_>>().join(", ")
}
