//! Figures as people read and type them.
//!
//! The same in every language: western digits, a decimal point, dates year first. Only integers
//! go in and come out, so nothing is ever rounded on its way to a screen. Commas between
//! thousands stand in sums of money alone, where six and more digits are common; nobody need
//! type them.

pub use combgate_core::units::decimal;

/// The sign of what is below nothing, as wide as a plus: a hyphen is easily missed before a sum.
pub const MINUS: &str = "\u{2212}";

/// A figure with the sign that people read.
fn shown(value: i64, places: usize, at_least: usize) -> String {
    decimal(value, places, at_least).replace('-', MINUS)
}

/// Mass in grams as kilograms: two decimals, a third where the grams ask for it (`12350` is
/// `12.35`, `12345` is `12.345`), because cutting it off would take weight from a member.
pub fn kilograms(grams: i64) -> String {
    shown(grams, 3, 2)
}

/// Money in minor units. `exponent` is the currency's number of decimals in ISO 4217 (0 for
/// UGX, 2 for KES): `money(1_234_500, 2)` is `12,345.00`.
pub fn money(minor: i64, exponent: u8) -> String {
    let plain = shown(minor, usize::from(exponent), usize::from(exponent));
    let (whole, fraction) = plain.split_once('.').unwrap_or((plain.as_str(), ""));
    let (sign, digits) = whole
        .strip_prefix(MINUS)
        .map_or(("", whole), |digits| (MINUS, digits));
    let mut out = String::from(sign);
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    if !fraction.is_empty() {
        out.push('.');
        out.push_str(fraction);
    }
    out
}

/// Hundredths of a percent as percent, one decimal or two (`1850` is `18.5`); the sign `%` is
/// left to the sentence around it.
pub fn percent(hundredths: i64) -> String {
    shown(hundredths, 2, 1)
}

/// Tenths of a degree Celsius (`285` is `28.5`).
pub fn celsius(tenths: i64) -> String {
    shown(tenths, 1, 1)
}

/// The day of a moment in RFC 3339 (`2026-11-25T14:05:33+03:00` gives `2026-11-25`), as the
/// clock on the wall there and then showed it.
pub fn date(at: &str) -> Option<&str> {
    let (date, _) = at.split_once('T')?;
    (date.len() == 10).then_some(date)
}

/// Hour and minute of a moment in RFC 3339 (`2026-11-25T14:05:33+03:00` gives `14:05`).
pub fn time(at: &str) -> Option<&str> {
    let (_, time) = at.split_once('T')?;
    time.get(..5)
}

/// Why a typed figure could not be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unreadable {
    /// Nothing was typed.
    Empty,
    /// Something other than digits and one decimal point; commas too, since `1,250` is a
    /// thousand to one reader and one and a quarter to another.
    NotAFigure,
    /// More decimals than the unit has; they would have to be rounded.
    TooManyDecimals,
    /// More digits than any scale or price has.
    TooLarge,
}

/// Reads what somebody typed, in units of `10^-places`: `parse("12.35", 3)` is `12350` grams.
///
/// # Errors
/// See [`Unreadable`]; nothing is rounded or guessed.
pub fn parse(typed: &str, places: usize) -> Result<i64, Unreadable> {
    let typed = typed.trim();
    if typed.is_empty() {
        return Err(Unreadable::Empty);
    }
    let (negative, digits) = typed
        .strip_prefix('-')
        .or_else(|| typed.strip_prefix(MINUS))
        .map_or((false, typed), |rest| (true, rest));
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    let all_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if (whole.is_empty() && fraction.is_empty()) || !all_digits(whole) || !all_digits(fraction) {
        return Err(Unreadable::NotAFigure);
    }
    let fraction = fraction.trim_end_matches('0');
    if fraction.len() > places {
        return Err(Unreadable::TooManyDecimals);
    }
    // The zero in front lets ".5" be read, the zeros behind bring the figure to its unit.
    let value: i64 = format!("0{whole}{fraction:0<places$}")
        .parse()
        .map_err(|_| Unreadable::TooLarge)?;
    Ok(if negative { -value } else { value })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_keep_every_gram() {
        assert_eq!(kilograms(12_350), "12.35");
        assert_eq!(kilograms(12_345), "12.345");
        assert_eq!(kilograms(12_000), "12.00");
        assert_eq!(kilograms(5), "0.005");
        assert_eq!(kilograms(0), "0.00");
        assert_eq!(kilograms(-250), "−0.25");
    }

    #[test]
    fn money_follows_its_currency() {
        assert_eq!(money(1_234_500, 2), "12,345.00");
        assert_eq!(money(123_450, 2), "1,234.50");
        assert_eq!(money(99_905, 2), "999.05");
        assert_eq!(money(1_250_000, 0), "1,250,000");
        assert_eq!(money(-100_000, 2), "−1,000.00");
        assert_eq!(money(5, 3), "0.005");
        assert_eq!(money(i64::MIN, 2), "−92,233,720,368,547,758.08");
    }

    #[test]
    fn shares_and_temperatures() {
        assert_eq!(percent(1_850), "18.5");
        assert_eq!(percent(1_855), "18.55");
        assert_eq!(percent(2_000), "20.0");
        assert_eq!(celsius(285), "28.5");
        assert_eq!(celsius(-5), "−0.5");
    }

    #[test]
    fn moments_are_cut_not_computed() {
        let at = "2026-11-25T14:05:33+03:00";
        assert_eq!((date(at), time(at)), (Some("2026-11-25"), Some("14:05")));
        assert_eq!((date("today"), time("T1")), (None, None));
    }

    #[test]
    fn typed_figures_are_read_exactly_or_not_at_all() {
        assert_eq!(parse("12.35", 3), Ok(12_350));
        assert_eq!(parse(" 12 ", 3), Ok(12_000));
        assert_eq!(parse(".5", 1), Ok(5));
        assert_eq!(parse("5.", 1), Ok(50));
        assert_eq!(parse("12.3500", 2), Ok(1_235));
        assert_eq!(parse("-0.4", 2), Ok(-40));
        assert_eq!(parse("−0.4", 2), Ok(-40));
        assert_eq!(parse("", 2), Err(Unreadable::Empty));
        assert_eq!(parse("12,35", 2), Err(Unreadable::NotAFigure));
        assert_eq!(parse("1e3", 2), Err(Unreadable::NotAFigure));
        assert_eq!(parse(".", 2), Err(Unreadable::NotAFigure));
        assert_eq!(parse("--1", 2), Err(Unreadable::NotAFigure));
        assert_eq!(parse("1.2.3", 2), Err(Unreadable::NotAFigure));
        assert_eq!(parse("٣", 2), Err(Unreadable::NotAFigure));
        assert_eq!(parse("12.355", 2), Err(Unreadable::TooManyDecimals));
        assert_eq!(parse("99999999999999999999", 2), Err(Unreadable::TooLarge));
    }

    #[test]
    fn what_is_shown_can_be_typed_again() {
        for grams in [0, 1, 10, 999, 1_000, 12_345, 250_000, -5] {
            assert_eq!(parse(&kilograms(grams), 3), Ok(grams));
        }
    }
}
