//! Everything that is checked against a source outside the project: published tables, worked
//! examples of standards, libraries of other makers.
//!
//! Each check is a function that compares row by row and says what it came to. The table of them
//! in `tests/reference/README.md` is made here, and this fails when it is another:
//! `UPDATE_EXPECT=1 cargo test -p combgate-tests --test outside` writes it anew.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]
#![allow(
    clippy::unnecessary_wraps,
    reason = "the list below asks all checks in one way"
)]

mod bundles;
mod conformance;
mod moisture;
mod names;
mod prices;
mod requests;
mod scales;
mod share;
mod signatures;
mod sucrose;
mod thumbprints;

use combgate_tests::reference::path_of;
use expect_test::expect_file;

/// Each check is a test, is made once however many ask for it, and is a row of the table.
macro_rules! checks {
    ($($module:ident: $($check:ident)*;)*) => {
        mod made {
            $(pub(super) mod $module {
                $(pub(crate) mod $check {
                    use combgate_tests::outside::Outside;
                    use std::sync::LazyLock;

                    pub(crate) static MADE: LazyLock<Outside> =
                        LazyLock::new(|| crate::$module::$check().unwrap());

                    #[test]
                    fn holds() {
                        assert!(MADE.rows() > 0, "nothing was compared");
                    }
                })*
            })*
        }

        fn table() -> String {
            let place = |module: &str| format!("tests/tests/outside/{module}.rs");
            let rows = [$($(made::$module::$check::MADE.row(&place(stringify!($module))),)*)*];
            rows.concat()
        }
    };
}

checks! {
    moisture: every_row_at_20_degrees every_row_read_warm_and_cold the_worked_check
        a_water_scale_read_warm a_brix_scale_that_corrects_for_sucrose;
    sucrose: crc_rows oiv_rows icumsa_rows the_curve_is_scipys the_inverse
        honey_on_a_sucrose_scale;
    share: one_comb several_combs combs_without_variance;
    conformance: the_table_of_distances the_worked_example a_grid_of_moistures;
    scales: every_band_at_its_edges beyond_the_last_band the_least_load
        the_check_weight_in_service gate_and_store;
    prices: every_line_and_total;
    names: letters_without_their_marks;
    signatures: published_example the_phones_checker the_desks_checker the_desks_tables;
    thumbprints: published_keys generated_keys canonical_form;
    bundles: ours_read_by_others what_others_refuse theirs_read_here from_a_browser;
    requests: ours_read_by_another theirs_read_here;
}

const BEGIN: &str = "<!-- made by the tests: begin -->\n";
const END: &str = "<!-- made by the tests: end -->\n";
const KINDS: &str = "\nThe vectors of the Wycheproof project by kind, each with what it is about and why \
    its verdicts are what they are. Both checkers give every one its verdict; a high `S` is good, as in \
    the RFC's own example.\n\n\
    | Kind | Valid | Invalid | What it is about, and why |\n| --- | --- | --- | --- |\n";
const HEAD: &str = "| What | Source | Rows | May differ by | Worst | Where |\n\
    | --- | --- | --- | --- | --- | --- |\n";

#[test]
fn the_table_in_the_tree_is_what_the_checks_make() {
    let readme = expect_file!["../../reference/README.md"];
    let text = readme.data();
    let (before, rest) = text.split_once(BEGIN).unwrap();
    let (_, after) = rest.split_once(END).unwrap();
    let kinds = signatures::kinds().unwrap();
    readme.assert_eq(&[before, BEGIN, HEAD, &table(), KINDS, &kinds, END, after].concat());
}

#[test]
fn every_file_that_the_table_of_files_names_is_there() {
    let readme = expect_file!["../../reference/README.md"].data();
    let named = readme.lines().filter_map(|line| {
        let name = line.strip_prefix("| ")?.split(" |").next()?;
        let (_, end) = name.rsplit_once('.')?;
        ["csv", "md"].contains(&end).then_some(name)
    });
    let named: Vec<&str> = named.collect();
    assert!(named.len() > 10, "{named:?}");
    for name in named {
        assert!(path_of(name).exists(), "{name} is not in tests/reference");
    }
}
