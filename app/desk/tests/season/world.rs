//! A desk that knows four handsets and two price lists; each season works on a copy of it.

use crate::common::desk::TestDesk;
use crate::common::handset::{TestHandset, code};
use combgate_core::record::Brief;
use combgate_desk::store::{Account, Clerks, Role, SqliteStore};
use std::path::Path;
use std::sync::LazyLock;
use tempfile::TempDir;

/// The fourth takes the place of one that is lost.
pub const HANDSETS: [&str; 4] = ["K1", "K2", "K3", "K4"];
/// Who takes handsets out of use.
pub const APPROVER: &str = "asha";

/// The desk, its handsets, and the brief by which each works later.
pub struct World {
    desk: TestDesk,
    pub handsets: Vec<(TestHandset, Brief)>,
}

/// Made once; nothing is imported into it.
pub static WORLD: LazyLock<World> = LazyLock::new(|| {
    let desk = TestDesk::with_open_prices();
    let handsets: Vec<TestHandset> = HANDSETS
        .iter()
        .map(|name| TestHandset::enrol(&desk, name))
        .collect();
    // The newer list begins in the middle of every season.
    let newer = desk.read("fixtures/new-prices/prices.json");
    let open = newer.replace(" \"until\": \"2027-03-31\",\n", "");
    assert_ne!(open, newer, "the fixture's prices have no end to take away");
    std::fs::create_dir(desk.path("newer")).unwrap();
    desk.write(
        "newer/prices.json",
        &open.replace("2026-10-19", "2026-10-22"),
    );
    desk.done("init desk --from newer");
    let handsets = handsets
        .into_iter()
        .map(|handset| {
            let newer = handset.newer_brief(&desk);
            (handset, newer)
        })
        .collect();
    let account = Account {
        name: code(APPROVER),
        role: Role::Approver,
        password: "no hash, so nobody signs in".to_owned(),
        made_at: "2026-10-19T08:00:00+03:00".parse().unwrap(),
        removed_at: None,
    };
    assert!(desk.store().keep_account(&account).unwrap());
    World { desk, handsets }
});

impl World {
    /// A ledger of this world in a folder of its own, in memory where the system has such a place:
    /// a season proves sums, not what a power cut does.
    pub fn ledger(&self) -> (TempDir, SqliteStore) {
        let memory = Path::new("/dev/shm");
        let folder = if memory.is_dir() {
            tempfile::tempdir_in(memory)
        } else {
            tempfile::tempdir()
        }
        .unwrap();
        let ledger = folder.path().join("ledger.sqlite");
        std::fs::copy(self.desk.path("desk/ledger.sqlite"), &ledger).unwrap();
        let store = SqliteStore::open(&ledger).unwrap();
        (folder, store)
    }
}
