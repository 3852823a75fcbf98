//! A desk in a folder of its own, driven by its commands.

use super::{combgate, fixtures, printout_of};
use combgate_desk::store::SqliteStore;
use expect_test::Expect;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A folder with a desk in `desk`, the fixtures in `fixtures`, and room for files.
pub struct TestDesk {
    folder: TempDir,
}

impl TestDesk {
    /// A folder without a desk.
    pub fn bare() -> Self {
        let folder = tempfile::tempdir().unwrap();
        copy_folder(&fixtures(), &folder.path().join("fixtures"));
        Self { folder }
    }

    /// The desk of the invented cooperative, with handset K7 enrolled.
    pub fn of_the_cooperative() -> Self {
        let desk = Self::bare();
        desk.done("init desk --from fixtures/cooperative");
        desk.done("enrol fixtures/handset-k7/enrolment-card.jws --code K7");
        desk
    }

    /// A desk of the invented cooperative whose prices have no end, so that it can give out briefs
    /// whatever the day.
    pub fn with_open_prices() -> Self {
        let desk = Self::bare();
        let prices = desk.path("fixtures/cooperative/prices.json");
        let text = std::fs::read_to_string(&prices).unwrap();
        let open = text.replace(" \"until\": \"2027-03-31\",\n", "");
        assert_ne!(open, text, "the fixture's prices have no end to take away");
        std::fs::write(&prices, open).unwrap();
        desk.done("init desk --from fixtures/cooperative");
        desk
    }

    /// A path in the folder.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// A command run in the folder.
    pub fn command(&self, words: &str) -> assert_cmd::Command {
        let mut command = combgate();
        command
            .current_dir(self.folder.path())
            .env("COMBGATE_DESK", "desk")
            .args(words.split_whitespace());
        command
    }

    /// What a command did. The desk's own key differs each time, so it is masked.
    pub fn printout(&self, command: &str) -> String {
        let said = printout_of(&mut self.command(command));
        said.lines()
            .map(|line| match line.strip_prefix("key          ") {
                Some(rest) => format!("key          XXXX XXXX{}\n", rest.get(9..).unwrap()),
                None => format!("{line}\n"),
            })
            .collect()
    }

    /// Runs a command and compares all it said.
    pub fn check(&self, command: &str, expected: &Expect) {
        expected.assert_eq(&self.printout(command));
    }

    /// Runs a command that must end well.
    pub fn done(&self, command: &str) -> String {
        let said = self.printout(command);
        assert!(said.starts_with("exit 0\n"), "{command}: {said}");
        said
    }

    /// Runs a command that must end with this code; returns its answer in JSON.
    pub fn json(&self, command: &str, exit: i32) -> serde_json::Value {
        let output = self.command(command).arg("--json").output().unwrap();
        let complaint = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(exit), "{command}: {complaint}");
        serde_json::from_slice(&output.stdout).unwrap()
    }

    /// The ledger.
    pub fn store(&self) -> SqliteStore {
        SqliteStore::open(&self.path("desk/ledger.sqlite")).unwrap()
    }

    /// Writes a file into the folder.
    pub fn write(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).unwrap();
    }

    /// Reads a file of the folder.
    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }
}

/// Takes away what the last two steps added to a ledger.
pub fn back_two_steps(ledger: &rusqlite::Connection) {
    ledger
        .execute_batch(
            "DROP TABLE officer_day; DROP INDEX payment_get_back; \
             ALTER TABLE payment DROP COLUMN get_back; DROP INDEX finding_day; \
             ALTER TABLE finding DROP COLUMN day; PRAGMA user_version = 10;",
        )
        .unwrap();
}

/// Makes a ledger what the first program that kept one made of it: later tables and columns are
/// taken away.
pub fn back_to_step_one(ledger: &rusqlite::Connection) {
    back_two_steps(ledger);
    ledger
        .execute_batch(
            "PRAGMA foreign_keys = OFF; DROP TABLE day_total; DROP TABLE day_grade; \
             DROP TABLE day_stands; DROP TABLE day_tally; DROP INDEX entry_members; \
             DROP INDEX pail_on_the_way; DROP INDEX paper_number; DROP INDEX paper_delivery; \
             CREATE INDEX paper_number ON paper (handset, number); \
             CREATE INDEX paper_delivery ON paper (delivery); \
             DROP INDEX entry_day; DROP INDEX paper_day; DROP INDEX entry_ends_day; \
             DROP INDEX entry_ends_late; DROP INDEX bundle_handset; DROP INDEX brief_handset; \
             CREATE INDEX entry_day ON entry (day) WHERE booked = 1 AND day IS NOT NULL; \
             CREATE INDEX paper_day ON paper (day); DROP TABLE reversal; DROP TABLE member_change; \
             ALTER TABLE terms DROP COLUMN taken_in_by; DROP TABLE session; DROP TABLE account; \
             DROP TABLE finding_step; DROP TABLE revocation; DROP TABLE sealed; DROP TABLE forgotten; \
             DROP TABLE cash; DROP TABLE closed_day; \
             ALTER TABLE desk DROP COLUMN address; ALTER TABLE bundle DROP COLUMN sent; \
             ALTER TABLE entry DROP COLUMN late_from; ALTER TABLE paper DROP COLUMN late_from; \
             DROP TABLE payment; DROP TABLE payment_list; \
             DROP TABLE field_payment; DROP INDEX paper_member; DROP INDEX paper_owing; \
             DROP INDEX finding_serious; DROP TABLE receiving; DROP TABLE pail; \
             DROP INDEX entry_ends; PRAGMA user_version = 1;",
        )
        .unwrap();
}

fn copy_folder(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy_folder(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).unwrap();
        }
    }
}
