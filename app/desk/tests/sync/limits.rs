//! What one sender may cost: bytes, time, requests, connections.

use super::common::handset::TestHandset;
use super::wire::{Answer, Running, Sent};
use super::{a_day, books};
use combgate_core::record::{BRIEF_PATH, ProblemKind};
use combgate_desk::sync::{Limits, Pace};
use std::io::Write;
use std::time::{Duration, Instant};

const SHORT: Duration = Duration::from_millis(400);

#[test]
fn a_bundle_that_is_too_large_is_refused_before_it_is_read() {
    let (desk, handset) = a_day();
    let file = handset.bundle(1..=u64::MAX);
    let limits = Limits {
        bytes: file.len() - 1,
        ..Limits::default()
    };
    let running = Running::of(&desk, limits);
    let before = books(&desk);
    let whole = running.bundle(&handset, &file);
    // In parts whose sum nobody announces, as HTTP/1.1 allows.
    let mut in_parts = whole
        .clone()
        .without("Content-Length")
        .with("Transfer-Encoding", "chunked");
    let mut content = format!("{:x}\r\n", file.len()).into_bytes();
    content.extend_from_slice(file.as_bytes());
    content.extend_from_slice(b"\r\n0\r\n\r\n");
    in_parts.content = content;
    for sent in [whole, in_parts] {
        let answer = running.send(&sent);
        assert_eq!((answer.status, answer.kind()), (413, ProblemKind::TooLarge));
        assert_eq!(books(&desk), before);
    }
}

#[test]
fn who_sends_too_slowly_is_not_waited_for() {
    let (desk, handset) = a_day();
    let limits = Limits {
        part: SHORT,
        ..Limits::default()
    };
    let running = Running::of(&desk, limits);
    let sent = running.bundle(&handset, &handset.bundle(1..=u64::MAX));
    let mut stream = running.connect();
    stream.write_all(sent.head(running.at).as_bytes()).unwrap();
    stream.write_all(&sent.content[..10]).unwrap();
    let answer = Answer::read(stream);
    assert_eq!((answer.status, answer.kind()), (408, ProblemKind::TooSlow));
    assert_eq!(running.send(&sent).status, 200);
}

/// A byte now and then keeps no place for ever.
#[test]
fn a_trickle_ends_too() {
    let (desk, handset) = a_day();
    let limits = Limits {
        content: SHORT,
        ..Limits::default()
    };
    let running = Running::of(&desk, limits);
    let sent = running.bundle(&handset, &handset.bundle(1..=u64::MAX));
    let mut stream = running.connect();
    stream.write_all(sent.head(running.at).as_bytes()).unwrap();
    let mut reading = stream.try_clone().unwrap();
    std::thread::spawn(move || {
        for byte in sent.content {
            if stream.write_all(&[byte]).is_err() {
                break;
            }
            std::thread::sleep(Duration::from_millis(30));
        }
    });
    let started = Instant::now();
    let answer = Answer::read(reading.try_clone().unwrap());
    let _ = reading.flush();
    assert_eq!((answer.status, answer.kind()), (408, ProblemKind::TooSlow));
    assert!(started.elapsed() < Duration::from_secs(5));
}

#[test]
fn a_head_that_does_not_end_is_not_waited_for() {
    let (desk, _) = a_day();
    let limits = Limits {
        head: SHORT,
        ..Limits::default()
    };
    let running = Running::of(&desk, limits);
    for begun in ["", "GET /v1/brief HTTP/1.1\r\nHost: "] {
        let mut stream = running.connect();
        stream.write_all(begun.as_bytes()).unwrap();
        let started = Instant::now();
        let answer = Answer::read(stream);
        assert!([0, 408].contains(&answer.status), "{answer:?}");
        assert!(started.elapsed() < Duration::from_secs(5), "{begun}");
    }
    // A head that is larger than any handset's is not read to its end either (hyper's own limit).
    let large = Sent::plain("GET", BRIEF_PATH).with("X", &"x".repeat(1 << 20));
    assert_ne!(running.send(&large).status, 200);
}

#[test]
fn one_handset_that_asks_too_often_waits_and_another_does_not() {
    let (desk, handset) = a_day();
    let other = TestHandset::enrol(&desk, "K2");
    let limits = Limits {
        handset: Pace::new(3, Duration::from_hours(1)),
        ..Limits::default()
    };
    let running = Running::of(&desk, limits);
    let ask = |handset: &TestHandset| running.send(&running.get(handset, BRIEF_PATH));
    // What somebody else sends in its name does not count against it.
    for _ in 0..5 {
        let forged = running
            .get(&handset, BRIEF_PATH)
            .changed("Signature", |_| format!("handset=:{}AA==:", "A".repeat(84)));
        assert_eq!(running.send(&forged).kind(), ProblemKind::BadSignature);
    }
    for _ in 0..3 {
        assert_eq!(ask(&handset).status, 200);
    }
    let answer = ask(&handset);
    assert_eq!((answer.status, answer.kind()), (429, ProblemKind::TooMany));
    assert_eq!(answer.field("retry-after"), Some("30"));
    assert_eq!(ask(&other).status, 200);
}

#[test]
fn one_address_that_asks_too_often_waits() {
    let (desk, handset) = a_day();
    let limits = Limits {
        address: Pace::new(3, Duration::from_hours(1)),
        ..Limits::default()
    };
    let running = Running::of(&desk, limits);
    for _ in 0..3 {
        let answer = running.send(&Sent::plain("GET", "/anything"));
        assert_eq!(answer.kind(), ProblemKind::NothingThere);
    }
    let answer = running.send(&running.get(&handset, BRIEF_PATH));
    assert_eq!((answer.status, answer.kind()), (429, ProblemKind::TooMany));
}

#[test]
fn there_is_room_for_so_many_at_a_time_and_then_again() {
    let (desk, handset) = a_day();
    let limits = Limits {
        at_once: 1,
        connections: 2,
        ..Limits::default()
    };
    let running = Running::of(&desk, limits);
    let sent = running.bundle(&handset, &handset.bundle(1..=u64::MAX));
    let mut slow = running.connect();
    slow.write_all(sent.head(running.at).as_bytes()).unwrap();
    let openapi = || running.send(&Sent::plain("GET", "/openapi.json")).status;
    assert!(comes_true(|| openapi() == 429), "the one place is taken");
    // A third connection is closed without a word. The one that just asked may still be closing.
    assert!(comes_true(|| {
        let _held = running.connect();
        std::thread::sleep(Duration::from_millis(50));
        openapi() == 0
    }));
    slow.write_all(&sent.content).unwrap();
    assert_eq!(Answer::read(slow).status, 200);
    assert!(comes_true(|| openapi() == 200), "the place is free again");
}

/// Whether it does so before long: the desk takes notice of a connection in its own time.
fn comes_true(mut it: impl FnMut() -> bool) -> bool {
    (0..200).any(|_| {
        std::thread::sleep(Duration::from_millis(20));
        it()
    })
}
