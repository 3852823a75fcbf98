//! What a disk may hold after the power went, by what a program asked of it.
//!
//! What was written before the disk was asked to keep a file, and answered, is there. Of what came
//! after, anything may be: each write or none of it, in any order, and of a write any sectors.

use std::collections::{BTreeMap, HashMap, VecDeque};
use std::path::{Path, PathBuf};

/// Bytes that a disk writes whole or not at all. Source: SQLite's documentation, "Atomic Commit In
/// SQLite", section 2: the smallest unit of writing, of old 512 bytes.
const SECTOR: usize = 512;

/// What was asked of the disk, or told to the clerk.
pub(crate) enum Act {
    Write { at: usize, bytes: Vec<u8> },
    Cut { length: usize },
    Ask { thread: usize },
    Kept { thread: usize },
    Remove,
    Print(Vec<u8>),
}

/// Reads the records that `record.c` describes.
pub(crate) fn acts(mut record: &[u8]) -> Vec<(PathBuf, Act)> {
    let mut acts = Vec::new();
    while let Some(end) = record.iter().position(|byte| *byte == b'\n') {
        let line = std::str::from_utf8(&record[..end]).unwrap();
        let words: Vec<&str> = line.splitn(4, ' ').collect();
        let &[kind, place, length, path] = words.as_slice() else {
            unreachable!("a record of four words: {line}")
        };
        let (place, length): (usize, usize) = (place.parse().unwrap(), length.parse().unwrap());
        let (bytes, rest) = record[end + 1..].split_at(length);
        let bytes = bytes.to_vec();
        record = rest;
        let act = match kind {
            "W" => Act::Write { at: place, bytes },
            "T" => Act::Cut { length: place },
            "B" => Act::Ask { thread: place },
            "S" => Act::Kept { thread: place },
            "U" => Act::Remove,
            "M" => Act::Print(bytes),
            other => unreachable!("no record is called {other}"),
        };
        acts.push((PathBuf::from(path), act));
    }
    acts
}

#[derive(Default, Clone)]
struct File {
    kept: Vec<u8>,
    /// What the disk was not heard of yet.
    open: VecDeque<Change>,
    /// How many changes were kept.
    count: usize,
    /// Whether its name is kept in the folder.
    named: bool,
}

#[derive(Clone)]
enum Change {
    Write { at: usize, bytes: Vec<u8> },
    Cut { length: usize },
}

/// The files of one folder.
#[derive(Clone)]
pub(crate) struct Disk {
    folder: PathBuf,
    files: BTreeMap<PathBuf, File>,
    /// Removed, and perhaps still there after the power went.
    removed: BTreeMap<PathBuf, File>,
    asked: HashMap<(PathBuf, usize), usize>,
}

impl Disk {
    /// A folder whose files are kept.
    pub(crate) fn of(folder: &Path) -> Self {
        let files = std::fs::read_dir(folder).unwrap().map(|each| {
            let path = each.unwrap().path();
            let file = File {
                kept: std::fs::read(&path).unwrap(),
                named: true,
                ..File::default()
            };
            (path, file)
        });
        Self {
            folder: folder.to_owned(),
            files: files.collect(),
            removed: BTreeMap::new(),
            asked: HashMap::new(),
        }
    }

    /// Lets something happen.
    pub(crate) fn take(&mut self, path: &Path, act: &Act) {
        match act {
            Act::Write { at, bytes } => self.change(
                path,
                Change::Write {
                    at: *at,
                    bytes: bytes.clone(),
                },
            ),
            Act::Cut { length } => self.change(path, Change::Cut { length: *length }),
            Act::Ask { thread } => {
                let file = self.files.get(path);
                let upto = file.map_or(0, |file| file.count + file.open.len());
                self.asked.insert((path.to_owned(), *thread), upto);
            }
            Act::Kept { thread } if path == self.folder => {
                self.asked.remove(&(path.to_owned(), *thread));
                self.removed.clear();
                self.files.values_mut().for_each(|file| file.named = true);
            }
            Act::Kept { thread } => {
                let upto = self.asked.remove(&(path.to_owned(), *thread));
                let file = self.files.entry(path.to_owned()).or_default();
                while file.count < upto.unwrap_or(0)
                    && let Some(change) = file.open.pop_front()
                {
                    apply(&mut file.kept, &change);
                    file.count += 1;
                }
            }
            Act::Remove => {
                if let Some(file) = self.files.remove(path) {
                    self.removed.insert(path.to_owned(), file);
                }
            }
            Act::Print(_) => {}
        }
    }

    fn change(&mut self, path: &Path, change: Change) {
        // The shared memory beside a log is nothing that outlives the programs that share it.
        if path.parent() == Some(&*self.folder) && !path.to_string_lossy().ends_with("-shm") {
            let file = self.files.entry(path.to_owned()).or_default();
            file.open.push_back(change);
        }
    }

    /// Writes into an empty folder what may be there if the power goes now.
    pub(crate) fn cut(&self, random: &mut fastrand::Rng, into: &Path) {
        let reaches = [0.0, 0.5, 0.9, 1.0][random.usize(0..4)];
        let mut paths: Vec<&PathBuf> = self.files.keys().chain(self.removed.keys()).collect();
        paths.sort();
        paths.dedup();
        for path in paths {
            let old = self.removed.get(path).filter(|_| random.bool());
            let new = self.files.get(path);
            let new = new.filter(|file| file.named || random.bool());
            if let Some(file) = old.or(new) {
                let bytes = file.after_a_cut(random, reaches);
                std::fs::write(into.join(path.file_name().unwrap()), bytes).unwrap();
            }
        }
    }
}

impl File {
    fn after_a_cut(&self, random: &mut fastrand::Rng, reaches: f64) -> Vec<u8> {
        let mut found = self.kept.clone();
        for change in &self.open {
            match change {
                // Reached in part.
                Change::Write { at, bytes } if random.u8(0..4) == 0 => {
                    for (sector, part) in bytes.chunks(SECTOR).enumerate() {
                        if random.f64() < reaches {
                            write(&mut found, at + sector * SECTOR, part);
                        }
                    }
                }
                change if random.f64() < reaches => apply(&mut found, change),
                _ => {}
            }
        }
        found
    }
}

fn apply(file: &mut Vec<u8>, change: &Change) {
    match change {
        Change::Write { at, bytes } => write(file, *at, bytes),
        Change::Cut { length } => file.resize(*length, 0),
    }
}

fn write(file: &mut Vec<u8>, at: usize, bytes: &[u8]) {
    let end = at + bytes.len();
    if file.len() < end {
        file.resize(end, 0);
    }
    file[at..end].copy_from_slice(bytes);
}
