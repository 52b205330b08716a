//! The rules of the house. Each takes the whole house and gives one complaint for each breach.

use std::collections::{BTreeMap, BTreeSet};

use crate::source::{Named, Source};

/// Everything the rules read.
#[derive(Default)]
pub struct House {
    /// Files of `src/`.
    pub sources: Vec<Source>,
    /// Files of `templates/` and `static/` that a browser is given as text: path below the top folder, text.
    pub pages: Vec<(String, String)>,
    /// Names at the top level that version control keeps.
    pub top_level: Vec<String>,
}

/// The rooms of a concept and, with the same numbers, the concepts that have none: a file uses only
/// files whose number is not above its own. Two rooms with one number stand side by side and do not
/// use one another.
const ROOMS: [(&str, u8); 6] =
    [("model", 1), ("store", 4), ("acts", 5), ("form", 7), ("report", 7), ("pages", 8)];
const WITHOUT_ROOMS: [(&str, u8); 10] = [
    ("rf", 0),
    ("clock", 0),
    ("problem", 0),
    ("words", 0),
    ("figure", 2),
    ("paper", 2),
    ("db", 3),
    ("journal", 3),
    ("web", 6),
    ("app", 9),
];
const MODEL: u8 = 1;
const ACTS: u8 = 5;
/// Plain types of a higher place that a model may speak of: who did something is part of what a model says.
const PLAIN_TYPES: [[&str; 4]; 1] = [["crate", "journal", "act", "Actor"]];
/// A concept's own `mod.rs`: it names the rooms, and uses nothing itself.
const CONCEPT_HEAD: u8 = 9;

const DRAWINGS: &str = "templates/shared/furniture.html";
const LONGEST_FILE: usize = 400;
const EMPTY_NAMES: [&str; 10] = [
    "utils", "util", "helpers", "helper", "common", "misc", "manager", "process", "data", "shared",
];
const TOP_LEVEL: [&str; 13] = [
    "Cargo.toml",
    "Cargo.lock",
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "src",
    "migrations",
    "templates",
    "static",
    "tests",
    "deploy",
    "sqlx.toml",
    "clippy.toml",
];

impl House {
    /// Concepts, lowest first: the order of the `pub mod` lines in `lib.rs`.
    pub fn concepts(&self) -> Vec<String> {
        let Some(lib) = self.source("lib.rs") else {
            return Vec::new();
        };
        lib.code
            .lines()
            .filter_map(|line| line.trim().strip_prefix("pub mod ")?.strip_suffix(';'))
            .map(str::to_owned)
            .collect()
    }

    fn source(&self, path: &str) -> Option<&Source> {
        self.sources.iter().find(|source| source.path == path)
    }

    /// Files that are part of the program: not those that only tests have.
    fn program(&self) -> impl Iterator<Item = &Source> {
        let test_files: BTreeSet<Vec<String>> = self
            .sources
            .iter()
            .flat_map(|source| {
                source.test_modules.iter().map(|name| {
                    let mut module = source.module();
                    module.push(name.clone());
                    module
                })
            })
            .collect();
        self.sources.iter().filter(move |source| {
            !test_files.iter().any(|tests| source.module().starts_with(tests))
        })
    }

    /// What `pub use` makes reachable under a second name.
    fn second_names(&self) -> BTreeMap<Vec<String>, Vec<String>> {
        let mut names = BTreeMap::new();
        for source in self.program() {
            for named in source.named() {
                let Some(bound_to) = named.bound_to.filter(|_| named.exported) else {
                    continue;
                };
                let mut second = vec!["crate".to_owned()];
                second.extend(source.module());
                second.push(bound_to);
                names.insert(second, named.path);
            }
        }
        names
    }
}

/// Where a `pub use` chain ends.
fn first_name(path: &[String], second_names: &BTreeMap<Vec<String>, Vec<String>>) -> Vec<String> {
    let mut path = path.to_vec();
    // A chain longer than this would be a circle.
    for _ in 0..8 {
        let Some((length, origin)) = (1..=path.len())
            .rev()
            .find_map(|length| second_names.get(&path[..length]).map(|origin| (length, origin)))
        else {
            break;
        };
        let rest = path.split_off(length);
        path = origin.clone();
        path.extend(rest);
    }
    path
}

/// Concept, room and rank of a place in the house: of a file by its module, of a path without its `crate`.
struct Place<'a> {
    concept: &'a str,
    room: &'a str,
    rank: u8,
}

fn place(module: &[String], is_file: bool) -> Option<Place<'_>> {
    let concept = module.first()?.as_str();
    let second = module.get(1).map_or("", String::as_str);
    if let Some(&(_, rank)) = WITHOUT_ROOMS.iter().find(|(name, _)| *name == concept) {
        return Some(Place { concept, room: "", rank });
    }
    let (room, rank) = match ROOMS.iter().find(|(name, _)| *name == second) {
        Some(&(_, rank)) => (second, rank),
        None if second.is_empty() && is_file => (second, CONCEPT_HEAD),
        // A file with a name of its own may use what an act may; who uses it, uses plain types of it.
        None if is_file => (second, ACTS),
        None => ("model", MODEL),
    };
    Some(Place { concept, room, rank })
}

/// Arrows point down: to concepts listed before in `lib.rs`, and to rooms below.
pub fn arrows(house: &House) -> Vec<String> {
    let concepts = house.concepts();
    let second_names = house.second_names();
    let mut complaints = BTreeSet::new();
    for source in house.program() {
        let module = source.module();
        let Some(here) = place(&module, true) else {
            continue;
        };
        for named in source.named() {
            let path = first_name(&named.path, &second_names);
            let plain = PLAIN_TYPES.iter().any(|plain| path.starts_with(&plain.map(str::to_owned)));
            if path[0] != "crate" || path.len() < 2 || plain {
                continue;
            }
            if let Some(there) = place(&path[1..], false)
                && let Some(why) = upward(&here, &there, &concepts)
            {
                let room =
                    if there.room.is_empty() { String::new() } else { format!("::{}", there.room) };
                complaints.insert(format!(
                    "src/{}:{}: uses crate::{}{room}: {why}",
                    source.path, named.line, there.concept
                ));
            }
        }
    }
    complaints.into_iter().collect()
}

fn upward(here: &Place<'_>, there: &Place<'_>, concepts: &[String]) -> Option<String> {
    let order = |concept: &str| concepts.iter().position(|name| name == concept);
    let Some(their_order) = order(there.concept) else {
        return Some("no `pub mod` line of src/lib.rs names it".to_owned());
    };
    if there.rank > here.rank {
        return Some(format!("it stands above ({} may not)", named_room(here)));
    }
    if there.rank == here.rank && there.room != here.room {
        return Some(format!("it stands beside ({} may not)", named_room(here)));
    }
    // What all pages share is listed with the program's top, and used from every page below it.
    if there.concept != "web" && order(here.concept).is_some_and(|ours| their_order > ours) {
        return Some(format!("src/lib.rs lists it after {}", here.concept));
    }
    None
}

fn named_room(place: &Place<'_>) -> String {
    match place.room {
        "" => place.concept.to_owned(),
        room => format!("{}::{room}", place.concept),
    }
}

/// `lib.rs` is a list of modules, and `main.rs` hands over to `app`.
pub fn doors(house: &House) -> Vec<String> {
    let mut complaints = Vec::new();
    if let Some(lib) = house.source("lib.rs") {
        for (number, line) in lib.code.lines().enumerate() {
            let line = line.trim();
            let fits = line.is_empty() || line.starts_with("pub mod ") || line.starts_with("#![");
            if !fits {
                complaints.push(format!(
                    "src/lib.rs:{}: holds more than `pub mod` lines: {line}",
                    number + 1
                ));
            }
        }
    }
    if let Some(main) = house.source("main.rs") {
        for named in main.named() {
            if named.path[0] == "standmast"
                && named.path.get(1).is_some_and(|concept| concept != "app")
            {
                complaints.push(format!(
                    "src/main.rs:{}: uses {}: only standmast::app is its business",
                    named.line,
                    named.path.join("::")
                ));
            }
        }
    }
    complaints
}

/// One `use` line names one module, so that the arrows can be read off a file's head.
pub fn no_use_of_everything(house: &House) -> Vec<String> {
    each_line(house.sources.iter(), |line| {
        let packed: String = line.split_whitespace().collect::<Vec<_>>().join(" ");
        (packed.contains("use crate::{") || packed.contains("use crate::*"))
            .then(|| "write `use crate::a::b::C;`".to_owned())
    })
}

/// SQL is written in `store` rooms, and in the concepts that are the database.
pub fn sql_in_stores(house: &House) -> Vec<String> {
    each_name(house, |source, named| {
        let module = source.module();
        let at_home = module.iter().any(|part| part == "store")
            || matches!(module.first().map(String::as_str), Some("db" | "journal"));
        let sql = named.path[0] == "sqlx"
            && named.path.get(1).is_some_and(|name| {
                name.starts_with("query")
                    || matches!(
                        name.as_str(),
                        "*" | "raw_sql" | "QueryBuilder" | "AssertSqlSafe" | "Executor"
                    )
            });
        (sql && !at_home).then(|| "SQL belongs in a store.rs".to_owned())
    })
}

/// SQLite's REPLACE removes a row without asking the trigger that protects it.
pub fn nothing_is_replaced(house: &House) -> Vec<String> {
    house
        .program()
        .flat_map(|source| {
            source.text.lines().enumerate().filter_map(|(number, line)| {
                let sql = line.to_uppercase();
                (sql.contains("OR REPLACE") || sql.contains("REPLACE INTO")).then(|| {
                    format!("src/{}:{}: write ON CONFLICT .. DO UPDATE", source.path, number + 1)
                })
            })
        })
        .collect()
}

/// The present comes from the Clock, or a test cannot hold it still.
pub fn time_from_the_clock(house: &House) -> Vec<String> {
    each_name(house, |source, named| {
        if source.module().first().is_some_and(|concept| concept == "clock") {
            return None;
        }
        let last = named.path.last().map_or("", String::as_str);
        let owner = named.path.iter().rev().nth(1).map_or("", String::as_str);
        let reads_now = matches!(last, "now_utc" | "now_local" | "now_v7" | "now_v1")
            || (last == "now"
                && matches!(owner, "SystemTime" | "Timestamp" | "Zoned" | "Utc" | "Local"));
        reads_now.then(|| "the time comes from the Clock".to_owned())
    })
}

/// Arithmetic and models are pure: no files, no network, no framework; `rf` knows no other module.
pub fn pure_below(house: &House) -> Vec<String> {
    each_name(house, |source, named| {
        let module = source.module();
        let place = place(&module, true)?;
        let path: Vec<&str> = named.path.iter().map(String::as_str).collect();
        let rf = place.concept == "rf";
        if !(rf || place.room == "model" || matches!(place.concept, "figure" | "problem")) {
            return None;
        }
        let outside = matches!(
            path[..],
            [
                "axum"
                    | "axum_extra"
                    | "tokio"
                    | "tower"
                    | "tower_http"
                    | "askama"
                    | "tracing"
                    | "rust_embed",
                ..
            ] | ["std", "fs" | "net" | "env" | "process" | "thread", ..]
                | ["crate", "clock", "Clock", ..]
        );
        if outside {
            return Some(
                "it must stay pure: no input or output, no clock, no framework".to_owned(),
            );
        }
        let foreign = rf
            && (path[0] == "sqlx"
                || (path[0] == "crate" && path.get(1).is_some_and(|&to| to != "rf")));
        foreign.then(|| "rf knows nothing but numbers".to_owned())
    })
}

/// A file is read in one sitting.
pub fn short_files(house: &House) -> Vec<String> {
    house
        .program()
        .filter_map(|source| {
            let lines = source.lines_without_tests();
            (lines > LONGEST_FILE).then(|| {
                format!(
                    "src/{}: {lines} lines without its tests, {LONGEST_FILE} at most",
                    source.path
                )
            })
        })
        .collect()
}

/// Every file says first what it is for.
pub fn files_open_with_their_purpose(house: &House) -> Vec<String> {
    house
        .sources
        .iter()
        .filter(|source| !source.text.starts_with("//! "))
        .map(|source| format!("src/{}:1: does not open with `//! `", source.path))
        .collect()
}

/// A name that fits everything says nothing.
pub fn telling_names(house: &House) -> Vec<String> {
    let mut complaints: Vec<String> = house
        .sources
        .iter()
        .filter_map(|source| {
            let module = source.module();
            let empty = module.iter().find(|part| EMPTY_NAMES.contains(&part.as_str()))?;
            Some(format!("src/{}: `{empty}` says nothing", source.path))
        })
        .collect();
    complaints.extend(each_line(house.program(), |line| {
        line.contains("fn get_")
            .then(|| "name the function by what it does, without `get_`".to_owned())
    }));
    complaints
}

/// Pages work under a strict Content-Security-Policy and ask nobody else for anything.
pub fn pages_are_our_own(house: &House) -> Vec<String> {
    let mut complaints = Vec::new();
    for (path, text) in &house.pages {
        for (number, line) in text.lines().enumerate() {
            for why in page_breaches(path, line) {
                complaints.push(format!("{path}:{}: {why}: {}", number + 1, line.trim()));
            }
        }
    }
    complaints
}

fn page_breaches(path: &str, line: &str) -> Vec<&'static str> {
    let lower = line.to_lowercase();
    // The name of the SVG language is no address that anybody is asked at.
    let without_names = lower.replace("http://www.w3.org/", "");
    let mut found = Vec::new();
    if ["http://", "https://", "src=\"//", "href=\"//", "url(//"]
        .iter()
        .any(|sign| without_names.contains(sign))
    {
        found.push("an address of somebody else");
    }
    if lower.contains("@import") {
        found.push("a style sheet that loads another");
    }
    if path.starts_with("templates/") {
        // Only the drawings of `figure` come as markup, through one macro.
        if lower.replace(' ', "").contains("|safe") && path != DRAWINGS {
            found.push("unescaped text");
        }
        if has_attribute(&lower, |name| name == "style") {
            found.push("an inline style");
        }
        if has_attribute(&lower, |name| name.starts_with("on")) {
            found.push("an inline event handler");
        }
        if lower.contains("<style") {
            found.push("an inline style sheet");
        }
        let inline_script = lower.match_indices("<script").any(|(at, _)| {
            let tag = &lower[at..];
            !tag[..tag.find('>').unwrap_or(tag.len())].contains(" src=")
        });
        if inline_script || lower.contains("javascript:") {
            found.push("an inline script");
        }
    }
    found
}

/// Whether ` name="` stands in the line for a name that fits.
fn has_attribute(line: &str, fits: impl Fn(&str) -> bool) -> bool {
    line.match_indices('=').any(|(at, _)| {
        let before = line[..at].trim_end();
        let quoted = line[at + 1..].trim_start().starts_with(['"', '\'']);
        let begin = before
            .rfind(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_'))
            .map_or(0, |i| i + 1);
        let after_space = before[..begin].ends_with([' ', '\t', '"', '\'']) || begin == 0;
        quoted && after_space && fits(&before[begin..])
    })
}

/// The top level holds what the README explains, and dot files.
pub fn tidy_top_level(house: &House) -> Vec<String> {
    house
        .top_level
        .iter()
        .filter(|name| {
            !name.starts_with('.')
                && name.as_str() != "rustfmt.toml"
                && !TOP_LEVEL.contains(&name.as_str())
        })
        .map(|name| format!("{name}: has no place at the top level"))
        .collect()
}

fn each_line<'a>(
    sources: impl Iterator<Item = &'a Source>,
    breach: impl Fn(&str) -> Option<String>,
) -> Vec<String> {
    sources
        .flat_map(|source| {
            source.code.lines().enumerate().filter_map(|(number, line)| {
                let why = breach(line)?;
                Some(format!("src/{}:{}: {why}", source.path, number + 1))
            })
        })
        .collect()
}

fn each_name(house: &House, breach: impl Fn(&Source, &Named) -> Option<String>) -> Vec<String> {
    house
        .program()
        .flat_map(|source| {
            source
                .named()
                .into_iter()
                .filter_map(|named| {
                    let why = breach(source, &named)?;
                    Some(format!(
                        "src/{}:{}: {}: {why}",
                        source.path,
                        named.line,
                        named.path.join("::")
                    ))
                })
                .collect::<Vec<_>>()
        })
        .collect()
}
