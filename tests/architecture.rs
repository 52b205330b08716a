//! Holds the layout of the house: which file may use which, where SQL and time may be read, how long a
//! file may be, what a template may contain. Every rule is also tried on a made-up breach, so that a rule
//! that has stopped looking is found out.

#[path = "architecture/breaches.rs"]
mod breaches;
#[path = "architecture/rules.rs"]
mod rules;
#[path = "architecture/source.rs"]
mod source;

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use rules::House;
use source::Source;

fn files_below(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            found.extend(files_below(&path)?);
        } else {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}

fn below(path: &Path, folder: &Path) -> String {
    path.strip_prefix(folder).unwrap_or(path).to_string_lossy().into_owned()
}

/// The house as it stands on disk.
fn this_house() -> io::Result<House> {
    let top = Path::new(env!("CARGO_MANIFEST_DIR"));
    let src = top.join("src");
    let mut house = House::default();
    for path in files_below(&src)? {
        if path.extension().is_some_and(|end| end == "rs") {
            let text = fs::read_to_string(&path)?;
            house.sources.push(Source::new(&below(&path, &src), &text));
        }
    }
    for folder in ["templates", "static"] {
        for path in files_below(&top.join(folder))? {
            if path.extension().is_some_and(|end| end != "ttf" && end != "txt") {
                house.pages.push((below(&path, top), fs::read_to_string(&path)?));
            }
        }
    }
    let ignored = fs::read_to_string(top.join(".gitignore"))?;
    for entry in fs::read_dir(top)? {
        let name = entry?.file_name().to_string_lossy().into_owned();
        if !ignored.lines().any(|line| line.trim_matches('/') == name) {
            house.top_level.push(name);
        }
    }
    Ok(house)
}

#[expect(clippy::unwrap_used, reason = "a source that cannot be read ends the test")]
fn hold(rule: fn(&House) -> Vec<String>) {
    let complaints = rule(&this_house().unwrap());
    assert!(complaints.is_empty(), "\n{}\n", complaints.join("\n"));
}

#[test]
fn arrows_point_down() {
    hold(rules::arrows);
}

#[test]
fn lib_lists_modules_and_main_hands_over_to_app() {
    hold(rules::doors);
}

#[test]
fn a_use_line_names_one_module() {
    hold(rules::no_use_of_everything);
}

#[test]
fn sql_is_written_in_stores() {
    hold(rules::sql_in_stores);
}

#[test]
fn nothing_is_replaced() {
    hold(rules::nothing_is_replaced);
}

#[test]
fn time_comes_from_the_clock() {
    hold(rules::time_from_the_clock);
}

#[test]
fn arithmetic_and_models_are_pure() {
    hold(rules::pure_below);
}

#[test]
fn files_are_short() {
    hold(rules::short_files);
}

#[test]
fn files_open_with_their_purpose() {
    hold(rules::files_open_with_their_purpose);
}

#[test]
fn names_tell_something() {
    hold(rules::telling_names);
}

#[test]
fn pages_are_our_own() {
    hold(rules::pages_are_our_own);
}

#[test]
fn the_top_level_is_tidy() {
    hold(rules::tidy_top_level);
}
