//! `words`: every operation, block, key and unit, from the definitions that parse.

use std::fmt::Write;

use crate::balance::operations::{CATALOGUE, Port, Role, Takes};
use crate::quantity::Unit;
use crate::reading::words::blocks;

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
        let mut physics: Vec<&str> = kind.physics.iter().map(|rule| rule.name()).collect();
        physics.dedup();
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
    writeln!(text, "\nUNITS\n")?;
    for (label, symbols) in Unit::catalogue() {
        writeln!(text, "  {label:<24} {}", symbols.join("  "))?;
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
