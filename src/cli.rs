//! The command line: raw flags to a validated job, and what came of it to the
//! screen. The only file that knows flags.

use std::io::{IsTerminal, Write};
use std::path::PathBuf;

use clap::{CommandFactory, Parser, Subcommand, ValueEnum};
use indicatif::{ProgressBar, ProgressStyle};

use crate::diag::{Diagnostic, Severity, json_line, render, sarif};
use crate::run::{self, ClassSet, Collate, Extras, MarkJob, PrintJob, SetJob};

/// How a run ended, as the shell sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    Fine = 0,
    /// Something in the files.
    Mistakes = 1,
    /// Could not run.
    Failed = 2,
}

/// How many versions of a unit are printed, and from which seed, if nothing else is said.
const VERSIONS: u32 = 4;
const SEED: u64 = 1;
const PAPER_SAYS: &str = "a paper says its own `versions` and `seed`, in its front matter";

/// What the program is called by.
const NAME: &str = "stillroom";

/// Makes worksheets, answer keys and handouts on separation science from one
/// written unit, with every number solved.
#[derive(Parser)]
#[command(name = NAME, version, propagate_version = false, max_term_width = 96)]
#[command(after_help = "Example: stillroom print units/quarnholm-salt.md --versions 12 --seed 7")]
struct Flags {
    #[command(subcommand)]
    verb: Verb,
}

#[derive(Subcommand)]
enum Verb {
    /// Write a small commented unit that prints at once
    #[command(after_help = "Example: stillroom start \"Drying and distilling\"")]
    Start {
        /// The unit's title; its file is named after it
        title: String,
        /// Where to put the file
        #[arg(long, value_name = "FOLDER", default_value = ".")]
        folder: PathBuf,
    },
    /// Read units and report every mistake
    #[command(after_help = "Example: stillroom check units\n\n\
        Ends with 0 if all is well, 1 if a file has a mistake, 2 if it could not run.")]
    Check {
        /// Unit files, or folders to look through
        #[arg(value_name = "FILES or FOLDERS", default_value = ".")]
        paths: Vec<PathBuf>,
        /// How to report: for people, one JSON object a line, or a SARIF 2.1.0 log
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
        /// Write the corrections that are sure into the files, and show them
        #[arg(long)]
        mend: bool,
        /// Say what each question asks of a learner, how it reads and how long it takes
        #[arg(long)]
        profile: bool,
        /// Of one paper: say what has changed since it was checked, by its moderation file
        #[arg(long, value_name = "FILE", conflicts_with_all = ["mend", "profile"])]
        since: Option<PathBuf>,
    },
    /// Choose the questions of a paper, so that its table of specifications is filled
    #[command(after_help = "Example: stillroom set units/term-one.paper.md\n\n\
        The choice is written beside the paper and kept until --again.")]
    Set {
        /// The paper file
        paper: PathBuf,
        /// Choose anew where a choice was made before
        #[arg(long)]
        again: bool,
    },
    /// Print worksheets and keys in several versions, and the lesson
    #[command(
        after_help = "Example: stillroom print units/quarnholm-salt.md --versions 4 --seed 11\n\n\
        With slides for the class: stillroom print units/quarnholm-salt.md --slides --handout 3\n\n\
        The same unit, seed and version always give the same bytes."
    )]
    Print {
        /// The unit file, or a paper that was set
        unit: PathBuf,
        /// How many versions (4 if not said; a paper says it itself)
        #[arg(long, short = 'n', value_name = "N",
              value_parser = clap::value_parser!(u32).range(1..=100_000))]
        versions: Option<u32>,
        /// Print only this version, by its letters
        #[arg(long, value_name = "LETTERS")]
        version: Option<String>,
        /// Another seed draws other numbers (1 if not said; a paper says it itself)
        #[arg(long, value_name = "S")]
        seed: Option<u64>,
        /// The folder in which a folder named after the unit is made
        #[arg(long, value_name = "DIR", default_value = "out")]
        out: PathBuf,
        /// Learners, for the rows of the response form; of a paper each gets a copy of their own
        #[arg(long, value_name = "FILE")]
        roster: Option<PathBuf>,
        /// Put the learners' copies of a paper together by this (rooms if there are any)
        #[arg(long, value_enum, requires = "roster", conflicts_with = "version")]
        collate: Option<By>,
        /// Copies of a paper without a name for each room (2 if not said)
        #[arg(long, value_name = "N", requires = "roster", conflicts_with = "version",
              value_parser = clap::value_parser!(u32).range(0..=100))]
        spare: Option<u32>,
        /// All worksheets in one file for the copier, all keys in another
        #[arg(long)]
        one_file: bool,
        /// Pages for reading machines and screens beside the PDFs
        #[arg(long)]
        html: bool,
        /// US Letter in place of A4
        #[arg(long)]
        letter: bool,
        /// Flow the text anew at 18 pt
        #[arg(long)]
        large_print: bool,
        /// Heavier letters and lines, nothing grey
        #[arg(long)]
        high_contrast: bool,
        /// Inks of the key, or all black for a copier
        #[arg(long, value_enum, default_value_t = Inks::Colour)]
        ink: Inks,
        /// For both sides of the paper: margins change sides
        #[arg(long)]
        duplex: bool,
        /// Lesson and worksheets as A5 booklets, two pages to a side of A4
        #[arg(long, conflicts_with_all = ["letter", "large_print"])]
        booklet: bool,
        /// Slides of the lesson with a quiz, and speaker's notes
        #[arg(long)]
        slides: bool,
        /// The slides without answers, so many to a sheet (3 leaves lines for notes)
        #[arg(long, value_name = "1|2|3|4|6", value_delimiter = ',', value_parser = slides_up)]
        handout: Vec<u32>,
        /// Technique cards, two to a sheet to be cut
        #[arg(long)]
        cards: bool,
        /// A sheet of practical work for each technique
        #[arg(long)]
        practical: bool,
        /// Of a paper: a copy to be timed and a check sheet for a second person
        #[arg(long)]
        moderation: bool,
    },
    /// Mark learners' responses by the numbers of their own versions
    #[command(
        after_help = "Example: stillroom mark units/quarnholm-salt.md responses.csv --versions 12 --seed 7\n\n\
        Versions and seed are those that the pages were printed with. Begin with the blank\n\
        responses.xlsx or responses.csv that `print` leaves beside the pages."
    )]
    Mark {
        /// The unit or the paper that the pages were printed from
        unit: PathBuf,
        /// What the learners answered: .csv or .xlsx
        responses: PathBuf,
        /// How many versions were printed (4 if not said; a paper says it itself)
        #[arg(long, short = 'n', value_name = "N",
              value_parser = clap::value_parser!(u32).range(1..=100_000))]
        versions: Option<u32>,
        /// The seed that the pages were printed with (1 if not said; a paper says it itself)
        #[arg(long, value_name = "S")]
        seed: Option<u64>,
        /// The folder in which a folder named after the unit is made
        #[arg(long, value_name = "DIR", default_value = "out")]
        out: PathBuf,
        /// Which mark is decimal, where the file leaves doubt
        #[arg(long, value_name = "point|comma", value_parser = ["point", "comma"])]
        decimal: Option<String>,
        /// Numbers in place of the learners' names
        #[arg(long)]
        nameless: bool,
        /// Marks and reports only, no sheets for learners
        #[arg(long)]
        no_sheets: bool,
        /// US Letter in place of A4
        #[arg(long)]
        letter: bool,
        /// Sheets at 18 pt
        #[arg(long)]
        large_print: bool,
    },
    /// List every operation, block, key and unit
    #[command(after_help = "Example: stillroom words | more")]
    Words,
    /// Write a JSON Schema of the blocks, for editors
    #[command(after_help = "Example: stillroom schema question > question.schema.json")]
    Schema {
        /// The block; all of them if left out
        block: Option<String>,
    },
    /// Write what a shell needs to complete the words of a command
    #[command(
        after_help = "Example: stillroom completions bash > ~/.local/share/bash-completion/completions/stillroom"
    )]
    Completions {
        /// The shell that you type in
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
    /// Write the manual pages, one for each command
    #[command(after_help = "Example: stillroom manual --folder ~/.local/share/man/man1")]
    Manual {
        /// Where to put the pages
        #[arg(long, value_name = "FOLDER", default_value = ".")]
        folder: PathBuf,
    },
}

#[derive(Clone, Copy, ValueEnum)]
enum Inks {
    Colour,
    Black,
}

#[derive(Clone, Copy, ValueEnum)]
enum By {
    Room,
    Class,
    Version,
}

#[derive(Clone, Copy, ValueEnum)]
enum Format {
    Text,
    Json,
    Sarif,
}

/// Runs the program with the words of the command line.
pub fn main(words: impl IntoIterator<Item = std::ffi::OsString>) -> Exit {
    let flags = match Flags::try_parse_from(words) {
        Ok(flags) => flags,
        Err(error) => {
            let failed = error.use_stderr();
            // If even this cannot be shown there is no one to tell.
            let _ = error.print();
            return if failed { Exit::Failed } else { Exit::Fine };
        }
    };
    match flags.verb {
        Verb::Start { title, folder } => start(&title, &folder),
        Verb::Check { paths, format, since: Some(file), .. } => since(&paths, &file, format),
        Verb::Check { paths, format, mend, profile, since: None } => {
            check(&paths, format, mend, profile)
        }
        Verb::Mark {
            unit,
            responses,
            versions,
            seed,
            out,
            decimal,
            nameless,
            no_sheets,
            letter,
            large_print,
        } => {
            if run::is_paper(&unit) && (versions.is_some() || seed.is_some()) {
                return complain(PAPER_SAYS);
            }
            let versions = versions.unwrap_or(VERSIONS);
            let seed = seed.unwrap_or(SEED);
            let profile =
                run::profile(&run::Wishes { letter, large_print, ..run::Wishes::default() });
            let decimal = decimal.as_deref().and_then(run::decimal);
            let sheets = !no_sheets;
            mark(&MarkJob {
                unit,
                responses,
                versions,
                seed,
                out,
                decimal,
                nameless,
                sheets,
                profile,
            })
        }
        Verb::Set { paper, again } => set(&SetJob { paper, again }),
        Verb::Words => say(&run::words()),
        Verb::Schema { block } => match run::schema(block.as_deref()) {
            Ok(text) => say(&text),
            Err(known) => complain(&format!("there is no such block; say {}", known.join(", "))),
        },
        Verb::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(shell, &mut Flags::command(), NAME, &mut script);
            say(&String::from_utf8_lossy(&script))
        }
        Verb::Manual { folder } => manual(&folder),
        Verb::Print {
            unit,
            versions,
            version,
            seed,
            out,
            roster,
            collate,
            spare,
            one_file,
            html,
            letter,
            large_print,
            high_contrast,
            ink,
            duplex,
            booklet,
            slides,
            handout,
            cards,
            practical,
            moderation,
        } => {
            let only = match version.as_deref().map(run::version_number) {
                None => None,
                Some(Some(number)) => Some(number),
                Some(None) => {
                    return complain("a version is named by its letters, such as C or AB");
                }
            };
            let extras =
                Extras { slides, handouts: distinct(handout), cards, practical, moderation };
            if run::is_paper(&unit) {
                if versions.is_some() || seed.is_some() {
                    return complain(
                        "a paper says its own `versions` and `seed`, in its front matter",
                    );
                }
                if extras != (Extras { moderation, ..Extras::default() }) {
                    return complain(
                        "slides, handouts, cards and practical sheets are made from units",
                    );
                }
            } else if moderation {
                return complain("a moderation pack is made of a paper");
            } else if collate.is_some() || spare.is_some() {
                return complain(
                    "only a paper is printed for learners by name: leave --collate and --spare out",
                );
            }
            let roster = roster.map(|roster| ClassSet {
                roster,
                collate: collate.map(|by| match by {
                    By::Room => Collate::Room,
                    By::Class => Collate::Class,
                    By::Version => Collate::Version,
                }),
                spare: spare.unwrap_or(ClassSet::SPARE),
            });
            let versions = versions.unwrap_or(VERSIONS);
            let seed = seed.unwrap_or(SEED);
            let black = matches!(ink, Inks::Black);
            let profile = run::profile(&run::Wishes {
                letter,
                large_print,
                high_contrast,
                black,
                duplex,
                booklet,
                one_file,
            });
            print(&PrintJob {
                unit,
                versions,
                only,
                seed,
                out,
                one_file,
                html,
                profile,
                extras,
                roster,
            })
        }
    }
}

/// How many slides a sheet of a handout may have.
fn slides_up(word: &str) -> Result<u32, String> {
    let known = run::handouts();
    word.parse().ok().filter(|up| known.contains(up)).ok_or_else(|| {
        let known: Vec<String> = known.iter().map(ToString::to_string).collect();
        format!("a sheet holds {} slides", known.join(", "))
    })
}

/// Each number once.
fn distinct(mut numbers: Vec<u32>) -> Vec<u32> {
    numbers.sort_unstable();
    numbers.dedup();
    numbers
}

/// The pages of the manual, made from the flags that parse.
fn manual(folder: &std::path::Path) -> Exit {
    let mut whole = Flags::command().disable_help_subcommand(true);
    whole.build();
    let mut commands = vec![whole.clone()];
    commands.extend(whole.get_subcommands().cloned());
    for command in commands {
        let page = clap_mangen::Man::new(command);
        let mut text = Vec::new();
        let path = folder.join(page.get_filename());
        if let Err(error) = page.render(&mut text) {
            return complain(&error.to_string());
        }
        if let Err(error) = run::write_whole(&path, &text) {
            return complain(&error.to_string());
        }
    }
    say(&format!("Wrote the manual to {}. Read it with: man -l FILE\n", folder.display()))
}

fn start(title: &str, folder: &std::path::Path) -> Exit {
    match run::start(title, folder) {
        Ok(path) => {
            let path = path.display();
            say(&format!("Wrote {path}. Print it with: stillroom print {path}\n"))
        }
        Err(error) => complain(&error.to_string()),
    }
}

fn check(paths: &[PathBuf], format: Format, mend: bool, profile: bool) -> Exit {
    if mend {
        match run::mend(paths) {
            Ok(changes) => show_changes(&changes),
            Err(error) => return complain(&error.to_string()),
        }
    }
    let checked = run::check(paths);
    match format {
        Format::Json | Format::Sarif => for_programs(&checked.findings, format),
        Format::Text => {
            report(&checked.findings);
            show_waivers(&checked.waivers);
            if profile {
                say(&run::question_profiles(paths));
            }
            let count = |n: usize, one: &str| format!("{n} {one}{}", if n == 1 { "" } else { "s" });
            let errors = checked.findings.iter().filter(|f| f.severity == Severity::Error).count();
            let verdict =
                if errors == 0 { "no mistakes".to_owned() } else { count(errors, "mistake") };
            let papers = match checked.papers {
                0 => String::new(),
                papers => format!(", {}", count(papers, "paper")),
            };
            say(&format!(
                "{}, {}{papers} ready to print: {verdict}.\n",
                count(checked.units, "unit"),
                count(checked.questions, "question"),
            ));
        }
    }
    if checked.failed { Exit::Mistakes } else { Exit::Fine }
}

/// Findings for an editor or a script.
fn for_programs(findings: &[Diagnostic], format: Format) {
    if matches!(format, Format::Sarif) {
        say(&sarif(findings, env!("CARGO_PKG_VERSION")));
        return;
    }
    let lines: Vec<String> = findings.iter().map(|f| format!("{}\n", json_line(f))).collect();
    say(&lines.concat());
}

/// What of a paper is open again since it was checked.
fn since(paths: &[PathBuf], file: &std::path::Path, format: Format) -> Exit {
    let [paper] = paths else { return complain("`--since` takes one paper") };
    if !paper.is_file() || !run::is_paper(paper) {
        return complain(&format!("`--since` takes a paper, and {} is none", paper.display()));
    }
    let found = match run::since(paper, file) {
        Ok(found) => found,
        Err(trouble) => return complain(&trouble.to_string()),
    };
    match format {
        Format::Json | Format::Sarif => for_programs(&found.findings, format),
        Format::Text => {
            report(&found.findings);
            say(&found.says);
        }
    }
    if found.is_open { Exit::Mistakes } else { Exit::Fine }
}

/// Every waiver in force, so that none is forgotten.
fn show_waivers(waivers: &[run::Waiver]) {
    let mut text = String::new();
    for waiver in waivers {
        let (line, _) = waiver.place.line_column();
        let file = waiver.place.file.name();
        text.push_str(&format!("waived {file}:{line} {}: {}\n", waiver.rule, waiver.reason));
    }
    say(&text);
}

fn set(job: &SetJob) -> Exit {
    let done = match run::set(job) {
        Ok(done) => done,
        Err(trouble) => return complain(&trouble.to_string()),
    };
    report(&done.findings);
    let Some(outcome) = done.outcome else { return Exit::Mistakes };
    let list = outcome.list.display();
    let mut text = format!(
        "{} questions, {} marks, {} minutes, chosen from {}.\n",
        outcome.questions, outcome.marks, outcome.minutes, outcome.from
    );
    for difference in &outcome.differences {
        text.push_str(&format!("  {difference}\n"));
    }
    let same = outcome.differences.is_empty();
    text.push_str(&match (outcome.stood, outcome.wrote, same) {
        (false, ..) => format!("Wrote {list}.\n"),
        (true, true, _) => format!("Wrote {list} anew, with these changes.\n"),
        (true, false, true) => format!("{list} stays as it is.\n"),
        (true, false, false) => {
            format!("{list} stays as it is; `--again` would make these changes.\n")
        }
    });
    say(&text)
}

/// What was mended, as lines taken out and lines put in.
fn show_changes(changes: &[run::Change]) {
    let mut screen = std::io::stderr().lock();
    for run::Change { file, line, code, before, after } in changes {
        let code = code.text();
        // A closed screen is no reason to stop.
        let _ = writeln!(screen, "mended {file}:{line} ({code})\n  - {before}\n  + {after}\n");
    }
}

fn print(job: &PrintJob) -> Exit {
    let total = if job.only.is_some() { 1 } else { job.versions };
    let bar = if std::io::stderr().is_terminal() {
        let style = ProgressStyle::with_template("{bar:30} {pos}/{len} versions")
            .unwrap_or_else(|_| ProgressStyle::default_bar());
        ProgressBar::new(u64::from(total)).with_style(style)
    } else {
        ProgressBar::hidden()
    };
    let printed = run::print(job, &mut |done| bar.set_position(u64::from(done)));
    bar.finish_and_clear();
    match printed {
        Ok(printed) => {
            report(&printed.findings);
            match printed.folder {
                Some(folder) => {
                    let versions = printed.versions;
                    let plural = if versions == 1 { "" } else { "s" };
                    let (what, lesson) = match run::is_paper(&job.unit) {
                        true => ("paper", ""),
                        false => ("worksheet", ", lesson"),
                    };
                    let copies = match printed.copies {
                        0 => String::new(),
                        1 => ", 1 copy for a learner, packing list".to_owned(),
                        count => format!(", {count} copies for learners, packing list"),
                    };
                    if versions == 0 {
                        return say(&format!(
                            "{}: lesson; the unit asks nothing, so there are no worksheets\n",
                            folder.display()
                        ));
                    }
                    say(&format!(
                        "{}: {versions} {what}{plural} with {} key{plural}{lesson}, mark scheme, answers{copies} (seed {})\n",
                        folder.display(),
                        if versions == 1 { "its" } else { "their" },
                        printed.seed
                    ))
                }
                None => Exit::Mistakes,
            }
        }
        Err(trouble) => complain(&trouble.to_string()),
    }
}

fn mark(job: &MarkJob) -> Exit {
    let bar = if std::io::stderr().is_terminal() {
        let style = ProgressStyle::with_template("{pos} learners marked")
            .unwrap_or_else(|_| ProgressStyle::default_spinner());
        ProgressBar::no_length().with_style(style)
    } else {
        ProgressBar::hidden()
    };
    let marked = run::mark(job, &mut |done| bar.set_position(done));
    bar.finish_and_clear();
    let marked = match marked {
        Ok(marked) => marked,
        Err(trouble) => return complain(&trouble.to_string()),
    };
    report(&marked.findings);
    let Some(folder) = marked.folder else { return Exit::Mistakes };
    let count = |n: u64, one: &str| format!("{n} {one}{}", if n == 1 { "" } else { "s" });
    let held_back = match marked.held_back {
        0 => String::new(),
        n => format!("; {} not marked, see above", count(n, "row")),
    };
    say(&format!(
        "{}: {} marked (seed {}){held_back}\n",
        folder.display(),
        count(marked.learners, "learner"),
        marked.seed
    ));
    if marked.held_back > 0 { Exit::Mistakes } else { Exit::Fine }
}

/// Findings go where messages go, so that what is printed can be piped.
fn report(findings: &[Diagnostic]) {
    let mut screen = std::io::stderr().lock();
    let colour = std::io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none();
    for finding in findings {
        // A closed screen is no reason to stop.
        let _ = writeln!(screen, "{}\n", render(finding, colour));
    }
}

fn say(text: &str) -> Exit {
    // A closed pipe, as of `| head`, is no failure.
    let _ = std::io::stdout().lock().write_all(text.as_bytes());
    Exit::Fine
}

/// Reports a fault of the program itself.
pub fn fault(words: &str) {
    complain(&format!("a fault in Stillroom itself: {words}"));
}

fn complain(words: &str) -> Exit {
    let _ = writeln!(std::io::stderr().lock(), "stillroom: {words}");
    Exit::Failed
}
