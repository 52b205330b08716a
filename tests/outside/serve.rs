//! The binary itself: how it starts, what it says when it cannot, how it stops, and its accounts at the
//! command line.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::support::{fresh_path, open_database};

/// A folder that goes when the test ends.
struct Folder(PathBuf);

impl Folder {
    fn new() -> Self {
        Self(fresh_path("serve"))
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn standmast(arguments: &[&str], folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_standmast"));
    for (name, _) in std::env::vars().filter(|(name, _)| name.starts_with("STANDMAST_")) {
        command.env_remove(name);
    }
    command.args(arguments).env("STANDMAST_DATA", folder);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

/// A server on a port of its own; killed when the test ends, if it has not stopped before.
struct Server {
    child: Child,
    address: String,
    /// The lines it printed up to the one that says it is listening.
    said: Vec<String>,
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Server {
    fn start(folder: &Path) -> Self {
        let child = standmast(&["serve", "--listen", "127.0.0.1:0"], folder).spawn().unwrap();
        // Owned from here on, so that it ends with the test whatever it prints.
        let mut server = Self { child, address: String::new(), said: Vec::new() };
        let lines = BufReader::new(server.child.stdout.take().unwrap()).lines();
        for line in lines {
            let line = line.unwrap();
            server.said.push(line.clone());
            if line.contains(" serves ") {
                line.rsplit("http://").next().unwrap().clone_into(&mut server.address);
                return server;
            }
        }
        panic!("the server ended without listening: {:?}", server.said);
    }

    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(&self.address).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        stream
    }

    fn get(&self, path: &str) -> String {
        let mut stream = self.connect();
        write!(
            stream,
            "GET {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n",
            self.address
        )
        .unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer
    }

    fn signal(&self, name: &str) {
        let id = self.child.id().to_string();
        assert!(Command::new("kill").args([format!("-{name}"), id]).status().unwrap().success());
    }

    fn ends_well(&mut self) {
        let begun = Instant::now();
        while begun.elapsed() < Duration::from_secs(20) {
            if let Some(status) = self.child.try_wait().unwrap() {
                assert!(status.success(), "{status}");
                return;
            }
            sleep(Duration::from_millis(20));
        }
        panic!("the server did not end");
    }
}

/// Runs a command to its end, with these words on its standard input.
fn run(arguments: &[&str], folder: &Path, input: &str) -> Output {
    let mut child = standmast(arguments, folder).spawn().unwrap();
    // A command that ends without reading has closed its end already.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    child.wait_with_output().unwrap()
}

#[track_caller]
fn refused(output: &Output) -> String {
    let told = String::from_utf8(output.stderr.clone()).unwrap();
    assert!(!output.status.success(), "it went well: {told}");
    assert_eq!(told.trim_end().lines().count(), 1, "not one line: {told}");
    assert!(output.stdout.is_empty(), "{:?}", output.stdout);
    told
}

#[track_caller]
fn done(output: &Output) -> String {
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{told}");
    String::from_utf8(output.stdout.clone()).unwrap()
}

#[test]
fn the_first_start_prints_a_set_up_address_and_a_later_one_does_not() {
    let folder = Folder::new();
    let server = Server::start(&folder.0);
    assert_eq!(server.said.len(), 2, "{:?}", server.said);
    let address = server.said[0].rsplit("http://").next().unwrap().to_owned();
    let path = address.strip_prefix(&server.address).unwrap().to_owned();
    assert!(path.len() > "/set-up/".len() + 32, "{path}");
    assert!(server.get(&path).starts_with("HTTP/1.1 200"), "{path}");
    assert!(server.get("/health").ends_with("\r\n\r\nok"));
    drop(server);
    let add = [
        "people",
        "add",
        "--login",
        "ida",
        "--name",
        "Ida Marsh",
        "--firm",
        "Ternfold Radio",
        "--role",
        "manager",
    ];
    done(&run(&add, &folder.0, "first of the ridge\n"));
    let server = Server::start(&folder.0);
    assert_eq!(server.said.len(), 1, "{:?}", server.said);
    assert!(server.get(&path).starts_with("HTTP/1.1 404"));
}

#[test]
fn a_taken_port_is_told_in_one_line() {
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = taken.local_addr().unwrap().to_string();
    let folder = Folder::new();
    let told = refused(&run(&["serve", "--listen", &address], &folder.0, ""));
    assert!(told.contains(&address) && told.contains("--listen"), "{told}");
}

#[test]
fn an_address_that_is_none_is_told_in_one_line() {
    let folder = Folder::new();
    let told = refused(&run(&["serve", "--listen", "8460"], &folder.0, ""));
    assert!(told.contains("--listen"), "{told}");
}

#[test]
fn a_second_server_on_the_folder_refuses_to_start_and_leaves_the_first_alone() {
    let folder = Folder::new();
    let first = Server::start(&folder.0);
    let told = refused(&run(&["serve", "--listen", "127.0.0.1:0"], &folder.0, ""));
    assert!(told.contains("already using") && told.contains("--data"), "{told}");
    assert!(first.get("/health").ends_with("ok"));
}

#[test]
fn a_folder_that_cannot_be_written_is_told_in_one_line() {
    let folder = Folder::new();
    std::fs::create_dir_all(&folder.0).unwrap();
    // Below a file there can be no folder, whoever asks; rights would not stop the superuser.
    let file = folder.0.join("a-file");
    std::fs::write(&file, "").unwrap();
    let told = refused(&run(&["serve", "--listen", "127.0.0.1:0"], &file.join("data"), ""));
    assert!(told.contains("cannot write") && told.contains("--data"), "{told}");
}

#[tokio::test]
async fn a_database_of_a_newer_program_is_told_in_one_line_and_left_alone() {
    let folder = Folder::new();
    drop(Server::start(&folder.0));
    sqlx::query("INSERT INTO _sqlx_migrations (version, description, success, checksum, execution_time) VALUES (9999, 'later', 1, x'00', 0)")
        .execute(&mut open_database(&folder.0).await)
        .await
        .unwrap();
    let told = refused(&run(&["serve", "--listen", "127.0.0.1:0"], &folder.0, ""));
    assert!(told.contains("newer standmast"), "{told}");
    let told = refused(&run(&["people", "list"], &folder.0, ""));
    assert!(told.contains("newer standmast"), "{told}");
}

#[test]
fn settings_that_cannot_be_used_are_told_in_one_line() {
    let folder = Folder::new();
    for (option, wrong) in [("--public-url", "records.example.org"), ("--log", "standmast=loud")] {
        let arguments = ["serve", "--listen", "127.0.0.1:0", option, wrong];
        let told = refused(&run(&arguments, &folder.0, ""));
        assert!(told.contains(option) && told.contains(wrong), "{told}");
    }
    assert!(!folder.0.exists(), "nothing is made before the settings are known to be good");
}

#[test]
fn a_request_in_flight_is_finished_before_the_server_ends() {
    for signal in ["TERM", "INT"] {
        let folder = Folder::new();
        let mut server = Server::start(&folder.0);
        let mut idle = server.connect();
        let mut stream = server.connect();
        let body = "act=0198f6a0-0000-7000-8000-000000000001&login=nobody&password=nothing";
        let (first, rest) = body.split_at(20);
        write!(
            stream,
            "POST /sign-in HTTP/1.1\r\nHost: {}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{first}",
            server.address,
            body.len()
        )
        .unwrap();
        sleep(Duration::from_millis(300));
        server.signal(signal);
        let begun = Instant::now();
        while TcpStream::connect(&server.address).is_ok() {
            assert!(begun.elapsed() < Duration::from_secs(5), "it still takes connections");
            sleep(Duration::from_millis(20));
        }
        stream.write_all(rest.as_bytes()).unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        assert!(answer.starts_with("HTTP/1.1 422"), "{answer}");
        assert!(answer.ends_with("</html>") || answer.contains("do not fit together"), "{answer}");
        server.ends_well();
        let mut nothing = Vec::new();
        idle.read_to_end(&mut nothing).unwrap();
        assert!(nothing.is_empty());
        assert!(!folder.0.join("standmast.db-wal").exists(), "the log was not folded in");
    }
}

#[test]
fn a_second_signal_does_not_wait_for_a_request_that_hangs() {
    let folder = Folder::new();
    let mut server = Server::start(&folder.0);
    let mut stream = server.connect();
    write!(stream, "POST /sign-in HTTP/1.1\r\nHost: x\r\nContent-Length: 100\r\n\r\nact=").unwrap();
    sleep(Duration::from_millis(300));
    server.signal("TERM");
    sleep(Duration::from_millis(300));
    assert!(server.child.try_wait().unwrap().is_none(), "it did not wait for the request");
    let begun = Instant::now();
    server.signal("TERM");
    server.ends_well();
    assert!(begun.elapsed() < Duration::from_secs(8), "{:?}", begun.elapsed());
}

#[test]
fn accounts_are_kept_at_the_command_line_beside_a_running_server() {
    let folder = Folder::new();
    let _server = Server::start(&folder.0);
    let add = [
        "people",
        "add",
        "--login",
        "mara",
        "--name",
        "Mara Quill",
        "--firm",
        "Ternfold Aerials",
        "--role",
        "contractor",
    ];
    assert!(done(&run(&add, &folder.0, "over the ridge\n")).contains("mara added"));
    let told = refused(&run(&add, &folder.0, "over the ridge\n"));
    assert!(told.contains("already signs in"), "{told}");
    let listed = done(&run(&["people", "list"], &folder.0, ""));
    let line = listed.lines().nth(1).unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(line, "mara Mara Quill Ternfold Aerials contractor open");
    let told = refused(&run(&["people", "reset", "mara"], &folder.0, "short\n"));
    assert!(told.contains("at least 10"), "{told}");
    assert!(
        done(&run(&["people", "reset", "mara"], &folder.0, "under the ridge\n"))
            .contains("new password")
    );
    assert!(
        done(&run(&["people", "disable", "Mara"], &folder.0, "")).contains("can no longer sign in")
    );
    assert!(done(&run(&["people", "list"], &folder.0, "")).contains("closed"));
    let told = refused(&run(&["people", "disable", "otto"], &folder.0, ""));
    assert!(told.contains("otto"), "{told}");
}

#[test]
fn bad_input_at_the_command_line_is_told_in_one_line() {
    let folder = Folder::new();
    let add = |login: &'static str, name: &'static str| {
        [
            "people",
            "add",
            "--login",
            login,
            "--name",
            name,
            "--firm",
            "Ternfold Aerials",
            "--role",
            "contractor",
        ]
    };
    let told = refused(&run(&add("mara quill", "Mara Quill"), &folder.0, "over the ridge\n"));
    assert!(told.contains("--login") && told.contains("spaces"), "{told}");
    let told = refused(&run(&add("mara", " "), &folder.0, "over the ridge\n"));
    assert!(told.contains("--name"), "{told}");
    let told = refused(&run(&add("mara", "Mara Quill"), &folder.0, ""));
    assert!(told.contains("password"), "{told}");
    assert!(!folder.0.exists());
}

#[test]
fn a_command_on_a_folder_without_a_record_makes_none() {
    let folder = Folder::new();
    for command in
        [&["people", "list"][..], &["people", "disable", "mara"], &["people", "reset", "mara"]]
    {
        let told = refused(&run(command, &folder.0, "over the ridge\n"));
        assert!(told.contains("no record") && told.contains("--data"), "{told}");
    }
    assert!(!folder.0.exists());
}
