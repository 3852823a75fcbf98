//! A ledger that somebody else is writing to, and a disk that is full: said plainly by command and
//! page, with nothing half done, and gone once its cause is.

use super::browser::Browser;
use super::common::books::Books;
use super::common::desk::TestDesk;
use super::{add_accounts, bundle};
use rusqlite::Connection;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

const LOCKED: &str = "another program is writing to the ledger; nothing was changed";
const FULL: &str = "the disk is full; nothing was changed";

/// What is in the books, to compare.
fn books(desk: &TestDesk) -> Books {
    Books::of(&desk.store())
}

fn set_up(desk: &TestDesk) {
    desk.done("init desk --from fixtures/cooperative");
    desk.done("enrol fixtures/handset-k7/enrolment-card.jws --code K7");
    add_accounts(desk, &[("neema", "bookkeeper")]);
    desk.write("day.json", &bundle("good/day.json"));
}

/// Sends a bundle as a page would that was loaded before the trouble began.
async fn take(browser: &mut Browser, token: &str) -> super::browser::Page {
    let file = bundle("good/day.json");
    let fields = [("token", token)];
    browser
        .upload("/import", &fields, &[("bundles", "day.json", &file)])
        .await
}

#[tokio::test]
async fn who_waits_too_long_for_another_writer_is_told() {
    let desk = TestDesk::bare();
    set_up(&desk);
    let mut neema = Browser::at(desk.path("desk"), None);
    neema.sign_in("neema").await;
    let token = neema.get("/import").await.token();
    let before = books(&desk);
    let other = Connection::open(desk.path("desk/ledger.sqlite")).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    // At once, because each waits for as long as it is ready to.
    let command = std::thread::scope(|scope| {
        let all = ["import day.json", "close 2026-10-01 --by neema"]
            .map(|words| scope.spawn(|| desk.printout(words)));
        all.map(|each| each.join().unwrap())
    });
    for said in command {
        assert!(said.starts_with("exit 2"), "{said}");
        assert!(
            said.contains(LOCKED) && said.contains("hint: wait"),
            "{said}"
        );
    }
    let page = take(&mut neema, &token).await;
    assert!(
        page.says(LOCKED) && page.says("Wait until"),
        "{}",
        page.text
    );
    assert!(page.says("Nothing was taken in."), "{}", page.text);
    // Who only looks is not held up.
    assert!(neema.get("/findings").await.says("Nothing to look at."));
    drop(other);
    assert_eq!(books(&desk), before);
    let page = take(&mut neema, &token).await;
    assert!(page.says("Whole and booked."), "{}", page.text);
}

/// A disk of a few megabytes, of which all but a little is taken.
struct SmallDisk(PathBuf);

impl SmallDisk {
    /// Lays one over a folder; `None` where this account may mount nothing.
    fn over(folder: &Path) -> Option<Self> {
        std::fs::create_dir_all(folder).unwrap();
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", "size=8m,mode=0700", "tmpfs"])
            .arg(folder)
            .status()
            .is_ok_and(|status| status.success());
        mounted.then(|| Self(folder.to_owned()))
    }

    /// Takes all room but this.
    fn fill_but(&self, bytes: u64) {
        let ballast = self.0.join("ballast");
        let mut file = std::fs::File::create(&ballast).unwrap();
        let block = [0xA5; 4096];
        while file.write_all(&block).is_ok() {}
        let length = file.metadata().unwrap().len();
        file.set_len(length.saturating_sub(bytes)).unwrap();
    }

    fn make_room(&self) {
        std::fs::remove_file(self.0.join("ballast")).unwrap();
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(&self.0).status();
    }
}

#[tokio::test]
async fn a_full_disk_is_told_and_leaves_the_books_as_they_were() {
    let desk = TestDesk::bare();
    let Some(small) = SmallDisk::over(&desk.path("desk")) else {
        eprintln!("NOT CHECKED: this account may not mount a small disk; run it as root");
        return;
    };
    set_up(&desk);
    let mut neema = Browser::at(desk.path("desk"), None);
    neema.sign_in("neema").await;
    let token = neema.get("/import").await.token();
    let before = books(&desk);
    // From no room at all, where the ledger cannot even be opened for writing, to room for the
    // beginning of the work.
    for room in [0, 16 << 10, 48 << 10, 96 << 10] {
        small.fill_but(room);
        for words in ["import day.json", "backup desk/backup.sqlite"] {
            let said = desk.printout(words);
            assert!(said.starts_with("exit 2"), "{room} {words}: {said}");
            assert!(said.contains("hint: "), "{room} {words}: {said}");
            let told = said.contains(FULL) || said.contains("No space left on device");
            assert!(told, "{room} {words}: {said}");
        }
        let page = take(&mut neema, &token).await;
        assert!(page.says(FULL), "{room}: {}", page.text);
        assert!(page.says("Make room on the disk"), "{room}: {}", page.text);
        small.make_room();
        assert_eq!(books(&desk), before, "{room}");
        assert!(!desk.path("desk/backup.sqlite").exists(), "{room}");
    }
    let page = take(&mut neema, &token).await;
    assert!(page.says("Whole and booked."), "{}", page.text);
    desk.done("backup desk/backup.sqlite");
}
