//! A long day of one handset, to be imported while something goes wrong.

use super::desk::TestDesk;
use super::handset::{TestHandset, delivery};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Deliveries of the day: enough that an import takes long enough to be stopped in the middle.
pub const DELIVERIES: usize = 120;

/// Handset K1, which bought so often that day and has not closed it.
pub fn long_day(desk: &TestDesk, deliveries: usize) -> TestHandset {
    let mut handset = TestHandset::enrol(desk, "K1");
    let bought = delivery("bought");
    handset.open();
    for number in 0..deliveries {
        handset.deliver(&bought, if number % 2 == 0 { "M001" } else { "M003" }, None);
    }
    handset
}

/// A folder with a copy of a desk's ledger.
pub fn copy_of(desk: &TestDesk) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let from = desk.path("desk/ledger.sqlite");
    std::fs::copy(from, folder.path().join("ledger.sqlite")).unwrap();
    folder
}

/// A desk with one handset, and what it hands over.
pub struct Scene {
    pub desk: TestDesk,
    pub bundles: Vec<PathBuf>,
}

impl Scene {
    /// Its long day as one bundle.
    pub fn new() -> Self {
        Self::in_parts(1)
    }

    /// Its long day as several bundles that follow each other.
    pub fn in_parts(parts: usize) -> Self {
        let desk = TestDesk::with_open_prices();
        let handset = long_day(&desk, DELIVERIES);
        let last = handset.entries.last().unwrap().seq();
        let each = last.div_ceil(u64::try_from(parts).unwrap());
        let bundles = (0..last)
            .step_by(usize::try_from(each).unwrap())
            .map(|before| {
                let name = format!("bundle-{before}.json");
                desk.write(&name, &handset.bundle(before + 1..=before + each));
                desk.path(&name)
            });
        let bundles = bundles.collect();
        Self { desk, bundles }
    }

    /// A copy of the desk's folder, as it was before the import.
    pub fn copy(&self) -> tempfile::TempDir {
        copy_of(&self.desk)
    }

    pub fn import(&self, folder: &Path) -> Command {
        self.import_first(folder, self.bundles.len())
    }

    pub fn import_first(&self, folder: &Path, bundles: usize) -> Command {
        Self::import_of(folder, &self.bundles[..bundles])
    }

    /// The command that imports bundles into a desk's folder.
    pub fn import_of(folder: &Path, bundles: &[PathBuf]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_combgate"));
        command
            .arg("--desk")
            .arg(folder)
            .arg("import")
            .args(bundles)
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        command
    }
}
