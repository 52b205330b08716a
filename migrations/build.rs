//! Makes the schema database that `sqlx::query!` checks the SQL against, so that a bare clone
//! needs no database, no environment variable and no prepared files.

#![expect(
    clippy::expect_used,
    clippy::disallowed_methods,
    reason = "a build script takes its settings from cargo, and can only stop the build"
)]

fn main() {
    println!("cargo:rerun-if-changed=migrations");
    println!("cargo:rerun-if-changed=sqlx.toml");
    let out = std::env::var("OUT_DIR").expect("cargo sets OUT_DIR");
    let schema = std::path::Path::new(&out).join("schema.db");
    // A stale file from an earlier build must not survive; a missing one is no error.
    let _ = std::fs::remove_file(&schema);
    tokio::runtime::Builder::new_current_thread()
        .build()
        .expect("a runtime for the build script")
        .block_on(make_schema(&schema));
    println!("cargo:rustc-env=DATABASE_URL=sqlite:{}", schema.display());
}

async fn make_schema(schema: &std::path::Path) {
    use sqlx::Connection;
    let options =
        sqlx::sqlite::SqliteConnectOptions::new().filename(schema).create_if_missing(true);
    let mut connection =
        sqlx::SqliteConnection::connect_with(&options).await.expect("the schema database opens");
    sqlx::migrate::Migrator::new(std::path::Path::new("migrations"))
        .await
        .expect("the migrations are readable")
        .run(&mut connection)
        .await
        .expect("the migrations apply");
    connection.close().await.expect("the schema database closes");
}
