//! `combgate calc`: published values in, published values out.

// Helpers of tests unwrap; expectations are written by a tool, which puts hashes everywhere.
#![allow(clippy::unwrap_used, clippy::needless_raw_string_hashes)]

mod common;

use common::{check, json, printout};
use expect_test::expect;
use std::path::Path;

/// Rows of a published table that is kept in tests/reference, without its heading.
fn reference(name: &str) -> Vec<Vec<String>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../tests/reference")
        .join(name);
    csv::Reader::from_path(path)
        .unwrap()
        .records()
        .map(|row| row.unwrap().iter().map(str::to_owned).collect())
        .collect()
}

/// Source: Chataway's table as printed in AOAC 969.38B, kept in
/// tests/reference/honey_refractive_index_moisture.csv. Tolerance: half a step of the table's
/// fourth decimal is 0.02 % of water; the formula was fitted to within 0.03 %.
#[test]
fn the_published_table_comes_out() {
    let rows = reference("honey_refractive_index_moisture.csv");
    assert!(rows.len() > 50, "{} rows", rows.len());
    // Every sixth row: each is a process of its own, and core's own check takes all of them.
    for row in rows.iter().step_by(6) {
        let index = &row[1];
        let answer = json(&format!(
            "calc moisture --refractive-index {index} --temperature 20 --offset 0"
        ));
        let found = answer["moisture_percent"].as_f64().unwrap();
        let published: f64 = row[0].parse().unwrap();
        assert!((found - published).abs() <= 0.03 + 1e-9, "{row:?}: {found}");
    }
}

/// Source: the worked check of the temperature correction, 0.00023 a degree, in
/// tests/reference/honey_refractive_index_temperature_correction.csv: 1.4900 at 25 °C is 1.49115
/// at 20 °C.
#[test]
fn a_reading_at_25_degrees_is_corrected() {
    check(
        "calc moisture --refractive-index 1.4900 --temperature 25",
        &expect![[r#"
            exit 0
            -- out
            moisture              18.14 %
            standard uncertainty  0.62 points
            rests on              the published table of index against water, 13 to 25 %
            The instrument counts as not checked: give --offset, what its last check read less the reference (0 if it was right), and the uncertainty gets smaller.
        "#]],
    );
    let warm = json("calc moisture --refractive-index 1.4900 --temperature 25");
    let cool = json("calc moisture --refractive-index 1.49115 --temperature 20");
    assert_eq!(warm["moisture_percent"], cool["moisture_percent"]);
}

#[test]
fn several_readings_with_one_temperature_or_one_each() {
    check(
        "calc moisture --water 18.2 --water 18.6 --temperature 27.5 --compensated --offset -0.2",
        &expect![[r#"
            exit 0
            -- out
            moisture              18.6 %
            standard uncertainty  0.27 points
            readings, corrected   18.4, 18.8 %
            rests on              the published table of index against water, 13 to 25 %
        "#]],
    );
    check(
        "calc moisture --water 18.2 --water 18.6 --water 18.4 --temperature 27.5 --temperature 28",
        &expect![[r#"
            exit 2
            -- err
            error: 3 readings and 2 temperatures do not go together
            hint: give --temperature once for all readings, or once for each of them
        "#]],
    );
}

/// Source: tests/reference/honey_moisture_vs_sucrose_brix_derived.csv: where a moisture of
/// Chataway's table lies on the sucrose scale, by the CRC table. Tolerance: 0.1 point, for reading
/// between rows of two tables.
#[test]
fn a_sucrose_scale_goes_through_the_index() {
    let mut compared = 0;
    for row in reference("honey_moisture_vs_sucrose_brix_derived.csv") {
        let (published, brix) = (&row[0], &row[4]);
        // At the table's last row the tables' rounding decides on which side of the edge it falls.
        if brix.is_empty() || published == "25.0" {
            continue;
        }
        let answer = json(&format!("calc moisture --brix {brix} --temperature 20"));
        let found = answer["moisture_percent"].as_f64().unwrap();
        let published: f64 = published.parse().unwrap();
        assert!(
            (found - published).abs() <= 0.1,
            "{brix} Brix: {found}, not {published}"
        );
        compared += 1;
    }
    assert!(compared >= 3, "{compared} rows");
}

#[test]
fn what_cannot_be_read_says_what_to_do() {
    check(
        "calc moisture --refractive-index 1.491501 --temperature 20",
        &expect![[r#"
            exit 2
            -- err
            error: --refractive-index 1.491501 has more decimals than are taken: 5 at most
            hint: write at most 5 decimals; nothing is rounded for you
        "#]],
    );
    check(
        "calc moisture --water 18,6 --temperature 20",
        &expect![[r#"
            exit 2
            -- err
            error: --water '18,6' is not a figure
            hint: write digits with a decimal point and no commas or units, such as 18.6
        "#]],
    );
    check(
        "calc moisture --water 99 --temperature 20",
        &expect![[r#"
            exit 2
            -- err
            error: --water: moisture of 9900 hundredths of a percent is outside 500 to 6000: check the figure and enter it again
            hint: look at the figure and its unit again
        "#]],
    );
    check(
        "calc moisture --refractive-index 1.40 --temperature 20",
        &expect![[r#"
            exit 2
            -- err
            error: the reading lies outside the honey table (13.0 to 25.0 % water, index 1.5044 to 1.4740): check that the prism is clean and the sample melted, or use a water scale made for this honey
            hint: --refractive-index, --brix and --water each name the scale of the instrument; see `combgate calc moisture --help`
        "#]],
    );
    check(
        "calc moisture --water 18 --brix 80 --temperature 20",
        &expect![[r#"
            exit 2
            -- err
            error: the argument '--water <N>' cannot be used with '--brix <N>'
            Usage: combgate calc moisture --temperature <C> <--refractive-index <N>|--brix <N>|--water <N>>
            hint: see `combgate calc moisture --help`
        "#]],
    );
    check(
        "calc moisture --temperature 20",
        &expect![[r#"
            exit 2
            -- err
            error: the following required arguments were not provided:
              <--refractive-index <N>|--brix <N>|--water <N>>
            Usage: combgate calc moisture --temperature <C> <--refractive-index <N>|--brix <N>|--water <N>>
            hint: see `combgate calc moisture --help`
        "#]],
    );
}

/// Source: Wilson's interval for 88 of 100 is 80.2 to 93.0 % (any statistics library; for example
/// `proportion_confint(88, 100, method='wilson')` of Python's statsmodels).
#[test]
fn a_point_count_has_its_interval() {
    check(
        "calc capped --capped 88 --open 12 --other 3",
        &expect![[r#"
            exit 0
            -- out
            capped share   88.0 %
            95 % interval  80.19 to 93.0 %
            points         100 on honey, 3 on neither
            One comb says nothing of how combs differ: count several with --comb, and the interval widens to what it is worth.
        "#]],
    );
    check(
        "calc capped --comb 50:0 --comb 30:20:4 --json",
        &expect![[r#"
            exit 0
            -- out
            {
              "share_percent": 80,
              "low_percent": 33.68,
              "high_percent": 96.92,
              "design_effect": 25.000000000000004,
              "estimate": false,
              "honey_points": 100,
              "other_points": 4,
              "combs": 2
            }
        "#]],
    );
    check(
        "calc capped --capped 4 --open 1",
        &expect![[r#"
            exit 0
            -- out
            capped share   80.0 %
            95 % interval  37.55 to 96.38 %
            points         5 on honey, 0 on neither
            One comb says nothing of how combs differ: count several with --comb, and the interval widens to what it is worth.
            An estimate: fewer than 50 points fell on honey.
        "#]],
    );
}

#[test]
fn a_count_that_is_none_says_what_to_do() {
    check(
        "calc capped --comb 88",
        &expect![[r#"
        exit 2
        -- err
        error: --comb '88' is not two or three counts
        hint: write points on capped honey, on open honey and on neither, such as --comb 40:10:3
    "#]],
    );
    check(
        "calc capped --capped 0 --open 0",
        &expect![[r#"
            exit 2
            -- err
            error: no point fell on honey: count points on combs that hold honey
            hint: lay a grid over the comb and score each point as capped, open or other; see `combgate calc capped --help`
        "#]],
    );
    check(
        "calc capped --capped 8.5 --open 1",
        &expect![[r#"
            exit 2
            -- err
            error: --capped 8.5 has more decimals than are taken: 0 at most
            hint: write a whole number; nothing is rounded for you
        "#]],
    );
    check(
        "calc capped --capped 8",
        &expect![[r#"
        exit 2
        -- err
        error: the following required arguments were not provided:
          --open <N>
        Usage: combgate calc capped --capped <N> --open <N>
        hint: see `combgate calc capped --help`
    "#]],
    );
    check(
        "calc capped --capped 8 --open 1 --comb 1:1",
        &expect![[r#"
            exit 2
            -- err
            error: the argument '--capped <N>' cannot be used with '--comb <CAPPED:OPEN[:OTHER]>'
            Usage: combgate calc capped --capped <N> --open <N>
            hint: see `combgate calc capped --help`
        "#]],
    );
}

/// Source: OIML R 76-1:2006, Table 6, class III, as kept in tests/reference/scales_oiml.csv: 0.5 e
/// up to 500 e, 1 e up to 2,000 e, 1.5 e up to 10,000 e; least load 20 e.
#[test]
fn the_bands_of_class_three_change_at_their_edges() {
    for (load, error) in [
        ("5", 5.0),
        ("5.001", 10.0),
        ("20", 10.0),
        ("20.001", 15.0),
        ("100", 15.0),
    ] {
        let answer = json(&format!("calc scale --load {load} --interval 10"));
        assert_eq!(answer["maximum_permissible_error_g"], error, "{load} kg");
    }
    for (load, below) in [("0.199", true), ("0.2", false)] {
        let answer = json(&format!("calc scale --load {load} --interval 10"));
        assert_eq!(answer["below_minimum_load"], below, "{load} kg");
    }
    check(
        "calc scale --load 25 --interval 5 --json",
        &expect![[r#"
            exit 0
            -- out
            {
              "load_g": 25000,
              "interval_g": 5,
              "maximum_permissible_error_g": 7.5,
              "in_service_error_g": 15,
              "minimum_load_g": 100,
              "below_minimum_load": false
            }
        "#]],
    );
    check(
        "calc scale --load 0.05 --interval 5",
        &expect![[r#"
            exit 0
            -- out
            load                       0.05 kg on a class III scale of e = 5 g
            maximum permissible error  2.5 g either way on verification, 5 g in service
            minimum load               0.10 kg
            The load is below the minimum: the scale's error weighs too much. Weigh more at once, or on a finer scale.
        "#]],
    );
    check(
        "calc scale --load 100.001 --interval 10",
        &expect![[r#"
            exit 2
            -- err
            error: a load of 100001 g is more than 10,000 intervals of 10 g: weigh on a larger scale
            hint: --load is in kilograms and --interval in grams, as marked e on the scale's plate
        "#]],
    );
    check(
        "calc scale --load 25 --interval 0.5",
        &expect![[r#"
            exit 2
            -- err
            error: --interval 0.5 has more decimals than are taken: 0 at most
            hint: write a whole number; nothing is rounded for you
        "#]],
    );
}

#[test]
fn a_wrong_command_line_ends_with_a_hint() {
    check(
        "calc moisure",
        &expect![[r#"
            exit 2
            -- err
            error: unrecognized subcommand 'moisure'
              tip: a similar subcommand exists: 'moisture'
            Usage: combgate calc [OPTIONS] <COMMAND>
            hint: see `combgate calc --help`
        "#]],
    );
    check(
        "calc scale --load 1",
        &expect![[r#"
        exit 2
        -- err
        error: the following required arguments were not provided:
          --interval <G>
        Usage: combgate calc scale --load <KG> --interval <G>
        hint: see `combgate calc scale --help`
    "#]],
    );
    let nothing = printout("");
    assert!(nothing.starts_with("exit 2\n-- err\n"), "{nothing}");
    assert!(
        nothing.ends_with("hint: see `combgate --help`\n"),
        "{nothing}"
    );
    assert!(printout("--version").starts_with("exit 0\n-- out\ncombgate 0"));
}
