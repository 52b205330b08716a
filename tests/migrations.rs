//! Applies each migration in its turn to tables that already hold rows, and holds the schema to its
//! promises: strict tables, named constraints, facts that nothing changes or removes.

use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};

use sqlx::migrate::Migrator;
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{AssertSqlSafe, Connection, SqliteConnection};

type Outcome<T = ()> = Result<T, Box<dyn Error>>;

/// Tables whose rows may change. Every other table is insert-only, so that a new one is protected
/// until somebody decides otherwise here.
const CHANGEABLE: [&str; 7] =
    ["firm", "person", "session", "site", "site_grant", "firm_grant", "instrument"];

fn folder(below_top: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(below_top)
}

/// A fresh database file for one test.
async fn fresh(name: &str) -> Outcome<SqliteConnection> {
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("migrations-{name}.db"));
    for end in ["", "-wal", "-shm"] {
        let mut old = file.clone().into_os_string();
        old.push(end);
        if Path::new(&old).exists() {
            fs::remove_file(&old)?;
        }
    }
    let options =
        SqliteConnectOptions::new().filename(file).create_if_missing(true).foreign_keys(true);
    Ok(SqliteConnection::connect_with(&options).await?)
}

async fn migrations() -> Outcome<Migrator> {
    Ok(Migrator::new(folder("migrations")).await?)
}

async fn run_sql(conn: &mut SqliteConnection, sql: String) -> Result<(), sqlx::Error> {
    sqlx::raw_sql(AssertSqlSafe(sql)).execute(conn).await.map(|_| ())
}

async fn texts(conn: &mut SqliteConnection, sql: String) -> Outcome<Vec<String>> {
    Ok(sqlx::query_scalar(AssertSqlSafe(sql)).fetch_all(conn).await?)
}

async fn tables(conn: &mut SqliteConnection) -> Outcome<Vec<String>> {
    let sql = "SELECT name FROM pragma_table_list WHERE schema = 'main' AND type = 'table'
               AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' AND name <> '_sqlx_migrations' ORDER BY name";
    texts(conn, sql.to_owned()).await
}

async fn rows(conn: &mut SqliteConnection, table: &str) -> Outcome<i64> {
    let sql = format!("SELECT count(*) FROM \"{table}\"");
    Ok(sqlx::query_scalar(AssertSqlSafe(sql)).fetch_one(conn).await?)
}

/// The rows that a record holds when this migration is the newest, if it brought tables or columns
/// that want some.
fn sample_rows(version: i64) -> Outcome<Option<String>> {
    let file = folder("tests/migrations").join(format!("{version:04}.sql"));
    Ok(if file.exists() { Some(fs::read_to_string(file)?) } else { None })
}

/// All migrations, each on what the samples before it left.
async fn filled(name: &str) -> Outcome<SqliteConnection> {
    let mut conn = fresh(name).await?;
    let migrator = migrations().await?;
    for migration in migrator.iter() {
        migrator.run_to(migration.version, &mut conn).await?;
        if let Some(sql) = sample_rows(migration.version)? {
            run_sql(&mut conn, format!("BEGIN; {sql} COMMIT;")).await?;
        }
    }
    Ok(conn)
}

#[tokio::test]
async fn each_migration_applies_on_tables_that_hold_rows() -> Outcome {
    let mut conn = fresh("steps").await?;
    let migrator = migrations().await?;
    for migration in migrator.iter() {
        let version = migration.version;
        let before = tables(&mut conn).await?;
        let mut counted = Vec::new();
        for table in &before {
            counted.push(rows(&mut conn, table).await?);
        }
        migrator.run_to(version, &mut conn).await?;
        let after = tables(&mut conn).await?;
        for (table, count) in before.iter().zip(counted) {
            assert!(after.contains(table), "migration {version} drops {table}");
            // More may have come: a migration adds the kinds of fact that it brings.
            assert!(
                rows(&mut conn, table).await? >= count,
                "migration {version} loses rows of {table}"
            );
        }
        if let Some(sql) = sample_rows(version)? {
            run_sql(&mut conn, format!("BEGIN; {sql} COMMIT;")).await?;
        }
        let orphans =
            texts(&mut conn, "SELECT \"table\" FROM pragma_foreign_key_check".to_owned()).await?;
        assert!(
            orphans.is_empty(),
            "migration {version} leaves rows without their parent: {orphans:?}"
        );
        let damage = texts(&mut conn, "SELECT * FROM pragma_integrity_check".to_owned()).await?;
        assert_eq!(damage, ["ok"], "after migration {version}");
        for table in after {
            let count = rows(&mut conn, &table).await?;
            assert!(
                count > 0,
                "no sample row in {table}: add one to tests/migrations/{version:04}.sql"
            );
        }
    }
    Ok(())
}

#[tokio::test]
async fn the_program_embeds_these_migrations() -> Outcome {
    let on_disk: Vec<_> =
        migrations().await?.iter().map(|m| (m.version, m.checksum.to_vec())).collect();
    let embedded: Vec<_> =
        standmast::db::MIGRATOR.iter().map(|m| (m.version, m.checksum.to_vec())).collect();
    assert_eq!(on_disk, embedded);
    for (at, (version, _)) in on_disk.iter().enumerate() {
        assert_eq!(*version, i64::try_from(at + 1)?, "migrations are numbered without gaps");
    }
    Ok(())
}

#[tokio::test]
async fn samples_belong_to_a_migration() -> Outcome {
    let migrator = migrations().await?;
    for entry in fs::read_dir(folder("tests/migrations"))? {
        let name = entry?.file_name().to_string_lossy().into_owned();
        let version: i64 = name.trim_end_matches(".sql").parse()?;
        assert!(migrator.version_exists(version), "{name} belongs to no migration");
    }
    Ok(())
}

/// Tables that are not STRICT: in them a column takes a value of any type.
async fn loose_tables(conn: &mut SqliteConnection) -> Outcome<Vec<String>> {
    let known = tables(conn).await?;
    let strict =
        texts(conn, "SELECT name FROM pragma_table_list WHERE strict = 1".to_owned()).await?;
    Ok(known.into_iter().filter(|table| !strict.contains(table)).collect())
}

/// Insert-only tables in which an UPDATE or a DELETE of a row is not refused.
async fn unprotected_tables(
    conn: &mut SqliteConnection,
    changeable: &[&str],
) -> Outcome<Vec<String>> {
    let mut found = Vec::new();
    for table in tables(conn).await? {
        if changeable.contains(&table.as_str()) {
            continue;
        }
        let sql = format!("SELECT name FROM pragma_table_info('{table}')");
        let columns = texts(conn, sql).await?;
        let mut attempts: Vec<String> = columns
            .iter()
            .map(|column| format!("UPDATE \"{table}\" SET \"{column}\" = \"{column}\""))
            .collect();
        attempts.push(format!("DELETE FROM \"{table}\""));
        for attempt in attempts {
            // Rolled back, so that a missing trigger does not empty the tables of the attempts that follow.
            run_sql(conn, "BEGIN; PRAGMA defer_foreign_keys = ON;".to_owned()).await?;
            let outcome = run_sql(conn, attempt.clone()).await;
            run_sql(conn, "ROLLBACK".to_owned()).await?;
            let refused = outcome
                .is_err_and(|error| error.to_string().contains(&format!("{table} is insert-only")));
            if !refused {
                found.push(attempt);
            }
        }
    }
    Ok(found)
}

/// CHECK, UNIQUE and REFERENCES of a table without a name: the error that SQLite gives for such a one
/// does not say which rule was broken.
fn unnamed_constraints(table_sql: &str) -> Vec<String> {
    let without_comments: String = table_sql
        .lines()
        .map(|line| line.split("--").next().unwrap_or_default())
        .collect::<Vec<_>>()
        .join(" ");
    let spaced = without_comments.replace(['(', ')', ','], " ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let is =
        |at: usize, word: &str| words.get(at).is_some_and(|found| found.eq_ignore_ascii_case(word));
    let mut found = Vec::new();
    for at in 0..words.len() {
        // `FOREIGN KEY (a) REFERENCES b`: the name stands before FOREIGN.
        let begins =
            is(at, "CHECK") || is(at, "UNIQUE") || is(at, "FOREIGN") || is(at, "REFERENCES");
        let inside = is(at, "REFERENCES") && (0..at).rev().take(8).any(|back| is(back, "FOREIGN"));
        let named = at >= 2 && is(at - 2, "CONSTRAINT");
        if begins && !inside && !named {
            found.push(words[at.saturating_sub(3)..(at + 2).min(words.len())].join(" "));
        }
    }
    found
}

async fn unnamed(conn: &mut SqliteConnection) -> Outcome<Vec<String>> {
    let mut found = Vec::new();
    for table in tables(conn).await? {
        let sql =
            format!("SELECT sql FROM sqlite_schema WHERE type = 'table' AND name = '{table}'");
        for text in texts(conn, sql).await? {
            found.extend(
                unnamed_constraints(&text).into_iter().map(|which| format!("{table}: {which}")),
            );
        }
    }
    Ok(found)
}

#[tokio::test]
async fn every_table_is_strict() -> Outcome {
    let mut conn = filled("strict").await?;
    assert_eq!(loose_tables(&mut conn).await?, Vec::<String>::new());
    Ok(())
}

#[tokio::test]
async fn facts_are_never_changed_or_removed() -> Outcome {
    let mut conn = filled("facts").await?;
    assert_eq!(unprotected_tables(&mut conn, &CHANGEABLE).await?, Vec::<String>::new());
    let known = tables(&mut conn).await?;
    for table in CHANGEABLE {
        assert!(known.iter().any(|name| name == table), "{table} is no table any more");
    }
    Ok(())
}

#[tokio::test]
async fn every_constraint_has_a_name() -> Outcome {
    let mut conn = filled("names").await?;
    assert_eq!(unnamed(&mut conn).await?, Vec::<String>::new());
    Ok(())
}

#[tokio::test]
async fn a_schema_that_breaks_its_promises_is_caught() -> Outcome {
    let mut conn = fresh("breaches").await?;
    let schema = "
        CREATE TABLE loose (id INTEGER PRIMARY KEY);
        CREATE TABLE parent (id INTEGER PRIMARY KEY) STRICT;
        CREATE TABLE half (id INTEGER PRIMARY KEY, a INTEGER CHECK (a > 0), b TEXT CONSTRAINT b_once UNIQUE,
            c INTEGER REFERENCES parent (id), d INTEGER, UNIQUE (a, d), -- CHECK in a comment
            FOREIGN KEY (d) REFERENCES parent (id),
            CONSTRAINT d_known FOREIGN KEY (d) REFERENCES parent (id)) STRICT;
        CREATE TRIGGER half_is_not_removed BEFORE DELETE ON half BEGIN SELECT RAISE(ABORT, 'half is insert-only'); END;
        CREATE TRIGGER half_b_is_not_changed BEFORE UPDATE OF b ON half BEGIN SELECT RAISE(ABORT, 'half is insert-only'); END;
        INSERT INTO loose VALUES (1);
        INSERT INTO parent VALUES (1);
        INSERT INTO half VALUES (1, 1, 'b', 1, 1);";
    run_sql(&mut conn, schema.to_owned()).await?;
    assert_eq!(loose_tables(&mut conn).await?, ["loose"]);
    let unprotected = unprotected_tables(&mut conn, &["parent"]).await?;
    let tried = |sql: &str| unprotected.iter().any(|found| found == sql);
    assert!(tried("DELETE FROM \"loose\"") && tried("UPDATE \"loose\" SET \"id\" = \"id\""));
    assert!(tried("UPDATE \"half\" SET \"a\" = \"a\""));
    assert!(!tried("DELETE FROM \"half\"") && !tried("UPDATE \"half\" SET \"b\" = \"b\""));
    assert_eq!(unnamed(&mut conn).await?.len(), 4, "{:?}", unnamed(&mut conn).await?);
    Ok(())
}
