//! Whole numbers of a small unit as decimals of a larger one.

/// An integer counted in units of `10^-places`, with at least `shortest` decimals and no
/// needless zeros after them: `decimal(12_350, 3, 2)` is `12.35`.
pub fn decimal(value: i64, places: usize, shortest: usize) -> String {
    let digits = format!("{:0>width$}", value.unsigned_abs(), width = places + 1);
    let (whole, fraction) = digits.split_at(digits.len() - places);
    let needed = fraction
        .trim_end_matches('0')
        .len()
        .max(shortest.min(places));
    let sign = if value < 0 { "-" } else { "" };
    let point = if needed == 0 { "" } else { "." };
    format!("{sign}{whole}{point}{}", &fraction[..needed])
}
