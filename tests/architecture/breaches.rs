//! Made-up houses, each with one breach beside what is allowed: proof that every rule can fail, and
//! that it does not fail on what is right.

use crate::rules::{self, House};
use crate::source::Source;

const LIB: &str = "//! Map.\npub mod rf;\npub mod figure;\npub mod clock;\npub mod db;\npub mod journal;\n\
                   pub mod people;\npub mod sites;\npub mod jobs;\npub mod web;\npub mod app;\n";

fn house(files: &[(&str, &str)]) -> House {
    let mut house = House::default();
    house.sources.push(Source::new("lib.rs", LIB));
    for (path, text) in files {
        house.sources.push(Source::new(path, text));
    }
    house
}

fn page(path: &str, text: &str) -> House {
    House { pages: vec![(path.to_owned(), text.to_owned())], ..House::default() }
}

/// The rule complains once, and the complaint says each of `says`.
fn caught(rule: fn(&House) -> Vec<String>, house: &House, says: &[&str]) {
    let complaints = rule(house);
    assert_eq!(complaints.len(), 1, "{complaints:?}");
    for part in says {
        assert!(complaints[0].contains(part), "{complaints:?} does not say {part}");
    }
}

fn allowed(rule: fn(&House) -> Vec<String>, house: &House) {
    let complaints = rule(house);
    assert!(complaints.is_empty(), "{complaints:?}");
}

#[test]
fn a_lower_concept_may_not_use_a_higher_one() {
    let up = house(&[(
        "sites/pages.rs",
        "//! x\nuse crate::web::Layout;\nuse crate::jobs::pages::JobPath;\n",
    )]);
    caught(rules::arrows, &up, &["src/sites/pages.rs:3", "crate::jobs::pages", "after sites"]);
    let down = house(&[(
        "jobs/pages.rs",
        "//! x\nuse crate::sites::pages::SitePath;\nuse crate::web::Layout;\n",
    )]);
    allowed(rules::arrows, &down);
}

#[test]
fn a_lower_room_may_not_use_a_higher_one() {
    for (path, text, says) in [
        ("sites/model.rs", "use crate::sites::store::find;", "crate::sites::store"),
        ("sites/model.rs", "use super::store::find;", "crate::sites::store"),
        ("sites/model.rs", "use super::{store::find};", "crate::sites::store"),
        ("sites/model.rs", "use crate::journal::Act;", "crate::journal"),
        ("sites/naming.rs", "use crate::web::AppState;", "crate::web"),
        ("sites/store.rs", "fn f() { crate::people::acts::add() }", "crate::people::acts"),
        ("sites/acts.rs", "use crate::web::AppState;", "crate::web"),
        ("sites/naming.rs", "use crate::sites::acts::rename;", "beside"),
        ("sites/form.rs", "use crate::sites::report::Sheet;", "beside"),
        ("sites/pages.rs", "use crate::app::Config;", "crate::app"),
        ("web/layout.rs", "use crate::people::pages::SignInPath;", "crate::people::pages"),
        ("figure/svg.rs", "use crate::db::Reads;", "crate::db"),
    ] {
        caught(rules::arrows, &house(&[(path, text)]), &[says]);
    }
    for (path, text) in [
        (
            "sites/store.rs",
            "use crate::journal::Act; use crate::sites::model::{Site, SiteCode}; use crate::db::StoreError;",
        ),
        (
            "people/permit.rs",
            "use crate::people::store::grants; use crate::people::password::Hash;",
        ),
        ("sites/store.rs", "use crate::people::permit::Permit;"),
        ("sites/acts.rs", "use crate::sites::store; fn f() { store::insert() }"),
        (
            "sites/report.rs",
            "use crate::figure::Picture; use crate::web::Text; use crate::people::model::Person;",
        ),
        (
            "sites/pages/list.rs",
            "use crate::sites::form::SiteForm; use super::Row; use crate::sites::report::Sheet;",
        ),
        ("app/router.rs", "use crate::jobs::pages; use crate::web::AppState;"),
    ] {
        allowed(rules::arrows, &house(&[(path, text)]));
    }
}

#[test]
fn a_second_name_hides_nothing() {
    let by_alias =
        house(&[("sites/acts.rs", "use crate::people; fn f() { people::pages::show() }")]);
    caught(rules::arrows, &by_alias, &["crate::people::pages"]);
    let by_export = house(&[
        ("people/mod.rs", "mod pages; pub use pages::PersonPath;"),
        ("sites/acts.rs", "use crate::people::PersonPath;"),
    ]);
    caught(rules::arrows, &by_export, &["src/sites/acts.rs", "crate::people::pages"]);
    let unlisted = house(&[("sites/acts.rs", "use crate::towers::Tower;")]);
    caught(rules::arrows, &unlisted, &["src/lib.rs"]);
}

#[test]
fn a_model_may_say_who_acted() {
    let head = ("journal/mod.rs", "mod act; pub use act::{Act, Actor};");
    let who = house(&[head, ("people/model.rs", "use crate::journal::Actor;")]);
    allowed(rules::arrows, &who);
    let writes = house(&[head, ("people/model.rs", "use crate::journal::{Act, Actor};")]);
    caught(rules::arrows, &writes, &["crate::journal"]);
}

#[test]
fn comments_texts_and_test_modules_are_not_arrows() {
    let quiet = "//! See [`crate::jobs::pages`].\n/* use crate::jobs::acts; /* nested */ crate::app */\n\
        const A: &str = \"crate::jobs::model\"; const B: &str = r#\"crate::app \"quoted\" \"#; const C: char = '\"';\n\
        fn f<'a>(x: &'a str) -> char { '\\'' }\n\
        #[cfg(test)]\n#[expect(dead_code, reason = \"made up\")]\nmod tests { use crate::jobs::model::Job; fn f() { if true { } } }\n";
    allowed(rules::arrows, &house(&[("sites/model.rs", quiet)]));
    let after = format!("{quiet}use crate::jobs::model::Job;\n");
    caught(
        rules::arrows,
        &house(&[("sites/model.rs", &after)]),
        &["src/sites/model.rs:8", "crate::jobs"],
    );
    let only_an_item = "#[cfg(test)]\nfn sample() {}\nuse crate::jobs::model::Job;\n";
    caught(rules::arrows, &house(&[("sites/model.rs", only_an_item)]), &["src/sites/model.rs:3"]);
    let elsewhere = house(&[
        ("sites/model/mod.rs", "#[cfg(test)]\nmod samples;\n"),
        ("sites/model/samples.rs", "use crate::jobs::model::Job;\n"),
    ]);
    allowed(rules::arrows, &elsewhere);
}

#[test]
fn lib_and_main_stay_thin() {
    let mut thick = House::default();
    thick
        .sources
        .push(Source::new("lib.rs", "//! Map.\n#![warn(x)]\npub mod rf;\npub use rf::Swr;\n"));
    caught(rules::doors, &thick, &["src/lib.rs:4"]);
    let busy = house(&[(
        "main.rs",
        "//! x\nuse standmast::app::run;\nfn main() { standmast::db::open() }\n",
    )]);
    caught(rules::doors, &busy, &["src/main.rs:3", "standmast::db"]);
    allowed(rules::doors, &house(&[("main.rs", "//! x\nfn main() { standmast::app::run() }\n")]));
}

#[test]
fn a_use_of_everything_is_caught() {
    let braces = house(&[("app/mod.rs", "//! x\nuse crate::{db, web};\n")]);
    caught(rules::no_use_of_everything, &braces, &["src/app/mod.rs:2"]);
    allowed(
        rules::no_use_of_everything,
        &house(&[("app/mod.rs", "use crate::web::{Layout, AppState};\n")]),
    );
}

#[test]
fn sql_outside_a_store_is_caught() {
    for text in [
        "fn f() { sqlx::query!(\"SELECT 1\") }",
        "use sqlx::query_as;",
        "use sqlx::{Row, query};",
        "use sqlx::*;",
        "fn f() { sqlx::QueryBuilder::new(\"\") }",
    ] {
        caught(
            rules::sql_in_stores,
            &house(&[("sites/acts.rs", text)]),
            &["src/sites/acts.rs:1", "store.rs"],
        );
        for home in ["sites/store.rs", "sites/store/list.rs", "db/writer.rs", "journal/act.rs"] {
            allowed(rules::sql_in_stores, &house(&[(home, text)]));
        }
    }
    allowed(
        rules::sql_in_stores,
        &house(&[("sites/model.rs", "use sqlx::Type; // sqlx::query\n")]),
    );
}

#[test]
fn a_replacing_insert_is_caught() {
    let text = "fn f() { sqlx::query!(\"INSERT or replace INTO fact VALUES (1)\") }";
    caught(rules::nothing_is_replaced, &house(&[("sites/store.rs", text)]), &["sites/store.rs:1"]);
    let kept = "fn f() { text.replace(\"into\", \"or\") }";
    allowed(rules::nothing_is_replaced, &house(&[("sites/store.rs", kept)]));
}

#[test]
fn a_glance_at_the_machine_clock_is_caught() {
    for text in [
        "fn f() { time::OffsetDateTime::now_utc() }",
        "use std::time::SystemTime; fn f() { SystemTime::now() }",
        "fn f() { jiff::Timestamp::now() }",
        "fn f() { uuid::Uuid::now_v7() }",
    ] {
        caught(
            rules::time_from_the_clock,
            &house(&[("jobs/acts.rs", text)]),
            &["src/jobs/acts.rs:1"],
        );
        allowed(rules::time_from_the_clock, &house(&[("clock/mod.rs", text)]));
    }
    allowed(
        rules::time_from_the_clock,
        &house(&[("jobs/acts.rs", "fn f(c: Clock) { c.now(); Instant::now() }")]),
    );
}

#[test]
fn impure_arithmetic_is_caught() {
    for (path, text) in [
        ("rf/line.rs", "use std::fs::read;"),
        ("rf/line.rs", "use crate::clock::Utc;"),
        ("rf/line.rs", "#[derive(sqlx::Type)] struct A;"),
        ("jobs/model.rs", "use axum::response::Html;"),
        ("jobs/model/gate.rs", "fn f() { std::env::args() }"),
        ("jobs/model.rs", "use crate::clock::Clock;"),
    ] {
        caught(rules::pure_below, &house(&[(path, text)]), &[&format!("src/{path}:1")]);
    }
    for (path, text) in [
        ("rf/line.rs", "use crate::rf::quantity::Swr; use std::fmt;"),
        ("jobs/model.rs", "use crate::clock::Utc; #[derive(sqlx::Type)] struct A;"),
        ("jobs/pages.rs", "use axum::response::Html; use crate::clock::Clock;"),
        ("jobs/proof.rs", "use tokio::sync::Semaphore;"),
    ] {
        allowed(rules::pure_below, &house(&[(path, text)]));
    }
}

#[test]
fn a_long_file_is_caught() {
    let line = "const A: u8 = 1;\n";
    let tests = "#[cfg(test)]\nmod tests {\n".to_owned() + &line.repeat(500) + "}\n";
    let full = "//! x\n".to_owned() + &line.repeat(399) + &tests;
    allowed(rules::short_files, &house(&[("rf/line.rs", &full)]));
    let over = "//! x\n".to_owned() + &line.repeat(400) + &tests;
    caught(rules::short_files, &house(&[("rf/line.rs", &over)]), &["src/rf/line.rs", "401"]);
}

#[test]
fn a_file_without_its_purpose_is_caught() {
    let silent = house(&[("rf/line.rs", "use std::fmt;\n//! late\n")]);
    caught(rules::files_open_with_their_purpose, &silent, &["src/rf/line.rs"]);
    allowed(rules::files_open_with_their_purpose, &house(&[("rf/line.rs", "//! The line.\n")]));
}

#[test]
fn an_empty_name_is_caught() {
    caught(rules::telling_names, &house(&[("sites/utils.rs", "")]), &["utils"]);
    caught(rules::telling_names, &house(&[("common/mod.rs", "")]), &["common"]);
    let getter = house(&[("sites/store.rs", "pub async fn get_site() {}")]);
    caught(rules::telling_names, &getter, &["get_"]);
    allowed(
        rules::telling_names,
        &house(&[("sites/store.rs", "pub async fn find() { let get_x = 1; }")]),
    );
}

#[test]
fn a_page_that_leans_on_others_is_caught() {
    for (text, says) in [
        ("<p style=\"color: red\">", "inline style"),
        ("<p class=\"a\" style = 'x'>", "inline style"),
        ("<style>p { }</style>", "inline style sheet"),
        ("<script>alert(1)</script>", "inline script"),
        ("<a href=\"javascript:go()\">", "inline script"),
        ("<p>{{ site.name | safe }}</p>", "unescaped"),
        ("<button onclick=\"go()\">", "event handler"),
        ("<img src=\"https://example.org/a.png\">", "somebody else"),
        ("<script src=\"//example.org/a.js\"></script>", "somebody else"),
    ] {
        caught(
            rules::pages_are_our_own,
            &page("templates/sites/list.html", text),
            &[says, "list.html:1"],
        );
    }
    let fonts = page("static/app.css", "@font-face { src: url(https://example.org/a.woff2) }");
    caught(rules::pages_are_our_own, &fonts, &["static/app.css:1"]);
    caught(
        rules::pages_are_our_own,
        &page("static/app.css", "@import 'b.css';"),
        &["loads another"],
    );
    allowed(rules::pages_are_our_own, &page("templates/shared/furniture.html", "{{ svg|safe }}"));
    for text in [
        "<svg xmlns=\"http://www.w3.org/2000/svg\">",
        "<script src=\"{{ asset }}\" defer></script>",
        "<p class=\"style\" data-one=\"1\">{% if content == \"x\" %}{% let version = \"1\" %}",
    ] {
        allowed(rules::pages_are_our_own, &page("templates/sites/list.html", text));
    }
}

#[test]
fn a_stray_file_at_the_top_is_caught() {
    let untidy = House {
        top_level: ["src", ".gitignore", "rustfmt.toml", "notes.txt"].map(str::to_owned).to_vec(),
        ..House::default()
    };
    caught(rules::tidy_top_level, &untidy, &["notes.txt"]);
}

#[test]
fn this_house_is_not_empty() {
    // A rule over no files would hold for ever.
    let house = crate::this_house().unwrap();
    assert!(house.concepts().contains(&"rf".to_owned()));
    assert!(house.sources.len() > 5);
    assert!(house.top_level.contains(&"Cargo.toml".to_owned()));
}
