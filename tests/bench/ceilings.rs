//! What this machine can do at best, measured in the same run as the program: the figures of the program
//! mean something only beside these. Compiled by itself with `rustc -O`; needs only the standard library.
//!
//!     ceilings figures FOLDER   one `name value unit` a line: one core, memory, the disk under FOLDER
//!     ceilings answer BYTES     prints a port, and answers every request there with so many bytes,
//!                               doing nothing else, until its input closes

use std::fs::File;
use std::hint::black_box;
use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::Path;
use std::time::Instant;

fn main() -> io::Result<()> {
    let arguments: Vec<String> = std::env::args().collect();
    match arguments.get(1..).unwrap_or_default() {
        [what, folder] if what == "figures" => figures(Path::new(folder)),
        [what, bytes] if what == "answer" => answer(bytes.parse().map_err(io::Error::other)?),
        _ => Err(io::Error::other("usage: ceilings figures FOLDER | ceilings answer BYTES")),
    }
}

fn figures(folder: &Path) -> io::Result<()> {
    println!("integer_loop {:.0} million/s", integer_loop());
    println!("memory_copy {:.1} GB/s", memory_copy());
    println!("disk_sync {:.0} writes/s", disk_sync(&folder.join("sync-probe"))?);
    Ok(())
}

/// Dependent 64-bit steps of a xorshift generator on one core, millions a second.
fn integer_loop() -> f64 {
    const STEPS: u32 = 300_000_000;
    let begun = Instant::now();
    let mut x = black_box(0x9e37_79b9_7f4a_7c15_u64);
    for _ in 0..STEPS {
        x ^= x << 13;
        x ^= x >> 7;
        x ^= x << 17;
    }
    black_box(x);
    f64::from(STEPS) / begun.elapsed().as_secs_f64() / 1e6
}

/// Bytes copied from one large block to another, gigabytes a second.
fn memory_copy() -> f64 {
    const SIZE: usize = 128 << 20;
    const ROUNDS: u32 = 8;
    let from = vec![1_u8; SIZE];
    let mut to = vec![2_u8; SIZE];
    to.copy_from_slice(&from);
    let begun = Instant::now();
    for _ in 0..ROUNDS {
        black_box(&mut to).copy_from_slice(black_box(&from));
    }
    f64::from(ROUNDS) * SIZE as f64 / begun.elapsed().as_secs_f64() / 1e9
}

/// Pages of 4 KiB appended to a file, each on the disk before the next: what a commit costs at the least.
fn disk_sync(file: &Path) -> io::Result<f64> {
    const WRITES: u32 = 300;
    let mut probe = File::create(file)?;
    let page = [7_u8; 4096];
    let begun = Instant::now();
    for _ in 0..WRITES {
        probe.write_all(&page)?;
        probe.sync_data()?;
    }
    let rate = f64::from(WRITES) / begun.elapsed().as_secs_f64();
    std::fs::remove_file(file)?;
    Ok(rate)
}

fn answer(bytes: usize) -> io::Result<()> {
    let listener = TcpListener::bind("127.0.0.1:0")?;
    println!("{}", listener.local_addr()?.port());
    io::stdout().flush()?;
    let head =
        format!("HTTP/1.1 200 OK\r\nContent-Type: text/html\r\nContent-Length: {bytes}\r\n\r\n");
    let whole = [head.into_bytes(), vec![b'x'; bytes]].concat();
    std::thread::spawn(move || {
        for stream in listener.incoming() {
            let whole = whole.clone();
            std::thread::spawn(move || stream.and_then(|stream| converse(stream, &whole)));
        }
    });
    // Whoever started this closes the input when it is done.
    io::stdin().read_to_end(&mut Vec::new()).map(|_| ())
}

fn converse(mut stream: TcpStream, whole: &[u8]) -> io::Result<()> {
    stream.set_nodelay(true)?;
    let mut lines = BufReader::new(stream.try_clone()?);
    let mut line = String::new();
    loop {
        line.clear();
        if lines.read_line(&mut line)? == 0 {
            return Ok(());
        }
        if line == "\r\n" {
            stream.write_all(whole)?;
        }
    }
}
