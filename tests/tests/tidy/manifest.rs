//! What the crates of the workspace depend on, as cargo understands it.

use serde::Deserialize;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Which crates of the workspace each may depend on; the checks may look at all of them.
const ARROWS: [(&str, &[&str]); 8] = [
    ("combgate-core", &[]),
    ("combgate-view-syntax", &[]),
    ("combgate-view", &["combgate-view-syntax"]),
    ("combgate-ui", &["combgate-core", "combgate-view"]),
    (
        "combgate-field",
        &["combgate-ui", "combgate-core", "combgate-view"],
    ),
    ("combgate-desk", &["combgate-ui", "combgate-core"]),
    (
        "combgate-tests",
        &["combgate-core", "combgate-ui", "combgate-desk"],
    ),
    // The page that the phone's is measured against is Leptos and nothing of ours.
    ("combgate-bench-floor", &[]),
];

/// What core depends on, and why each may be there.
const CORE: [(&str, &str); 10] = [
    ("aes-gcm", "documents sealed for the desk, RFC 7518, 5.3"),
    ("base64", "RFC 7515 spells signatures in base64url"),
    ("chrono", "dates and offsets, without its clock"),
    ("iso_currency", "ISO 4217"),
    ("libm", "logarithms that agree to the bit on every machine"),
    ("p256", "ES256 in portable Rust, for the phone"),
    ("serde", "documents and policies"),
    ("sha2", "the chain of the journal"),
    ("thiserror", "errors that say what to do"),
    ("uuid", "identifiers, which others draw"),
];

/// Features that would bring a clock or randomness along.
const IMPURE_FEATURES: [(&str, &[&str]); 4] = [
    ("chrono", &["clock", "now", "default"]),
    ("uuid", &["v1", "v4", "v6", "v7", "fast-rng", "rng"]),
    ("p256", &["getrandom", "default"]),
    ("aes-gcm", &["getrandom", "default"]),
];

#[derive(Deserialize)]
struct Metadata {
    packages: Vec<Package>,
}

/// A crate of the workspace.
#[derive(Deserialize)]
pub(crate) struct Package {
    name: String,
    dependencies: Vec<Dependency>,
}

#[derive(Deserialize)]
struct Dependency {
    name: String,
    kind: Option<String>,
    path: Option<PathBuf>,
    features: Vec<String>,
    uses_default_features: bool,
}

impl Dependency {
    /// Whether it is for tests alone.
    fn is_for_tests(&self) -> bool {
        self.kind.as_deref() == Some("dev")
    }
}

/// The crates of the workspace below a folder.
pub(crate) fn packages(root: &Path) -> Vec<Package> {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--no-deps", "--offline", "--format-version=1"])
        .current_dir(root)
        .output()
        .unwrap();
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "cargo metadata: {errors}");
    read(&output.stdout)
}

fn read(json: &[u8]) -> Vec<Package> {
    serde_json::from_slice::<Metadata>(json).unwrap().packages
}

/// Every crate that knows one it must not know.
pub(crate) fn wrong_arrows(packages: &[Package]) -> Vec<String> {
    let mut wrong = Vec::new();
    for package in packages {
        let Some((_, allowed)) = ARROWS.iter().find(|(name, _)| *name == package.name) else {
            wrong.push(format!("{} has no place among the arrows", package.name));
            continue;
        };
        for dependency in &package.dependencies {
            // A crate may ask itself for more features in its own tests.
            let itself = dependency.name == package.name;
            let ours = dependency.path.is_some();
            if ours && !itself && !allowed.contains(&dependency.name.as_str()) {
                wrong.push(format!("{} -> {}", package.name, dependency.name));
            }
        }
    }
    for (name, _) in ARROWS {
        if !packages.iter().any(|package| package.name == name) {
            wrong.push(format!("{name} is gone from the workspace"));
        }
    }
    wrong
}

/// Every difference between what core depends on and what was agreed.
pub(crate) fn core_surprises(packages: &[Package]) -> Vec<String> {
    let core: Vec<&Dependency> = packages
        .iter()
        .filter(|package| package.name == "combgate-core")
        .flat_map(|package| &package.dependencies)
        .filter(|dependency| !dependency.is_for_tests())
        .collect();
    let mut surprises = Vec::new();
    for dependency in &core {
        let name = dependency.name.as_str();
        if !CORE.iter().any(|(agreed, _)| *agreed == name) {
            surprises.push(format!("{name} is new"));
        }
        for (_, impure) in IMPURE_FEATURES.iter().filter(|(with, _)| *with == name) {
            if dependency.uses_default_features && impure.contains(&"default") {
                surprises.push(format!("{name} must have default-features = false"));
            }
            for feature in &dependency.features {
                if impure.contains(&feature.as_str()) {
                    surprises.push(format!("{name} must not have the feature {feature}"));
                }
            }
        }
    }
    for (agreed, _) in CORE {
        if !core.iter().any(|dependency| dependency.name == agreed) {
            surprises.push(format!("{agreed} is gone: take it out of this check"));
        }
    }
    surprises
}

#[cfg(test)]
fn package(name: &str, dependencies: &[(&str, bool)]) -> String {
    let dependencies: Vec<String> = dependencies
        .iter()
        .map(|(name, ours)| {
            let path = if *ours { "\"/x\"" } else { "null" };
            format!(
                r#"{{"name":"{name}","kind":null,"path":{path},"features":["clock"],"uses_default_features":true}}"#
            )
        })
        .collect();
    format!(
        r#"{{"name":"{name}","dependencies":[{}]}}"#,
        dependencies.join(",")
    )
}

#[cfg(test)]
fn workspace(packages: &[String]) -> Vec<Package> {
    read(format!(r#"{{"packages":[{}]}}"#, packages.join(",")).as_bytes())
}

#[test]
fn an_arrow_that_points_back_is_found() {
    let found = wrong_arrows(&workspace(&[
        package("combgate-core", &[("combgate-ui", true), ("serde", false)]),
        package("combgate-view-syntax", &[]),
        package("combgate-view", &[("combgate-view-syntax", true)]),
        package("combgate-ui", &[("combgate-core", true)]),
        package("combgate-field", &[("combgate-desk", true)]),
        package("combgate-tests", &[("combgate-tests", true)]),
        package("combgate-extra", &[]),
    ]));
    assert_eq!(
        found,
        [
            "combgate-core -> combgate-ui",
            "combgate-field -> combgate-desk",
            "combgate-extra has no place among the arrows",
            "combgate-desk is gone from the workspace",
            "combgate-bench-floor is gone from the workspace",
        ]
    );
}

#[test]
fn what_core_did_not_agree_on_is_found() {
    let mut dependencies: Vec<(&str, bool)> = CORE.iter().map(|(name, _)| (*name, false)).collect();
    dependencies.retain(|(name, _)| *name != "libm");
    dependencies.push(("tokio", false));
    let found = core_surprises(&workspace(&[package("combgate-core", &dependencies)]));
    assert_eq!(
        found,
        [
            "aes-gcm must have default-features = false",
            "chrono must have default-features = false",
            "chrono must not have the feature clock",
            "p256 must have default-features = false",
            "tokio is new",
            "libm is gone: take it out of this check",
        ]
    );
}
