//! A listener that is killed while it books a bundle leaves the books as they were or as they should
//! be, and the handset that heard nothing sends the same again.

use super::books_in;
use super::common::desk::TestDesk;
use super::common::scene::{copy_of, long_day};
use super::wire::{Answer, Sent, now};
use combgate_core::record::{Digest, Request};
use std::io::{BufRead, BufReader, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Instant;

/// Deliveries of the day: enough that booking takes long enough to be killed in the middle.
const DELIVERIES: usize = 60;
/// Seeded moments at which it is killed.
const KILLS: u32 = 25;
/// After one in so many kills the bundle is sent again, to the end.
const AGAIN_EVERY: u32 = 5;
/// Draws the moments.
const SEED: u64 = 20_261_128;

/// The program, once it listens.
fn serving(folder: &Path, at: SocketAddr) -> Child {
    let mut program = Command::new(env!("CARGO_BIN_EXE_combgate"))
        .arg("--desk")
        .arg(folder)
        .args(["serve", "--clerk", "127.0.0.1:0", "--sync"])
        .arg(at.to_string())
        .stdout(Stdio::piped())
        .stderr(Stdio::inherit())
        .spawn()
        .unwrap();
    let lines = BufReader::new(program.stdout.take().unwrap()).lines();
    let said: Vec<String> = lines
        .map_while(Result::ok)
        .take_while(|line| !line.starts_with("End it"))
        .collect();
    assert!(
        said.iter().any(|line| line.contains("Listening for them")),
        "{said:?}"
    );
    program
}

fn send(sent: &Sent, at: SocketAddr) -> u16 {
    let Ok(mut stream) = TcpStream::connect(at) else {
        return 0;
    };
    let _ = stream.write_all(sent.head(at).as_bytes());
    let _ = stream.write_all(&sent.content);
    Answer::read(stream).status
}

#[test]
fn a_killed_listener_leaves_nothing_half_done() {
    let desk = TestDesk::with_open_prices();
    let handset = long_day(&desk, DELIVERIES);
    let free = TcpListener::bind("127.0.0.1:0").unwrap();
    let at = free.local_addr().unwrap();
    drop(free);
    desk.done(&format!("address http://{at}"));
    let bundle = handset.bundle(1..=u64::MAX);
    let copy = || copy_of(&desk);
    let signed = || {
        let request = Request::bundle(&at.to_string(), Digest::of(&bundle)).unwrap();
        Sent::of("PUT", request, &bundle, |request| {
            handset.signed(request, now())
        })
    };
    let stop = |mut program: Child| {
        // SIGKILL: the program cannot put anything in order.
        program.kill().unwrap();
        program.wait().unwrap();
    };
    let clean = copy();
    let before = books_in(clean.path());
    let program = serving(clean.path(), at);
    let started = Instant::now();
    assert_eq!(send(&signed(), at), 200);
    let takes = started.elapsed();
    stop(program);
    let after = books_in(clean.path());
    assert_eq!(after.papers.len(), DELIVERIES);
    let mut random = fastrand::Rng::with_seed(SEED);
    let mut nothing = 0;
    for kill in 0..KILLS {
        let folder = copy();
        let program = serving(folder.path(), at);
        let sent = signed();
        let sending = std::thread::spawn(move || send(&sent, at));
        std::thread::sleep(takes.mul_f64(random.f64() * 1.1));
        stop(program);
        let answered = sending.join().unwrap();
        let found = books_in(folder.path());
        if found == before {
            assert_ne!(answered, 200, "what is acknowledged is booked");
            nothing += 1;
        } else {
            assert_eq!(found, after);
        }
        if kill % AGAIN_EVERY == 0 {
            let program = serving(folder.path(), at);
            assert_eq!(send(&signed(), at), 200);
            stop(program);
            assert_eq!(books_in(folder.path()), after);
        }
    }
    assert!(nothing > 0, "no kill came in time");
}
