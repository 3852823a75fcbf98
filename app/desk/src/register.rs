//! The register as a table that any spreadsheet writes: `members.csv`.
//!
//! Columns: `number,name,village,phone,language,premiums,advance_payee,advance_outstanding_minor`,
//! of which only the first two must be filled. Premiums are codes with blanks between them; an
//! advance needs both its columns, the second in whole minor units.

use crate::outcome::Advice;
use crate::table::{self, TableError, as_meant};
use combgate_core::record::{AdvanceV1, DocumentError, MemberV1, from_text, plain};
use combgate_core::units::{Code, Label, Money, TextError};
use serde::Deserialize;
use std::borrow::Cow;
use std::collections::BTreeSet;

/// Most bytes of a register.
pub(crate) const BYTES_AT_MOST: usize = 16 * 1024 * 1024;

/// A register that cannot be taken in.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RegisterError {
    /// Not a table of these columns.
    #[error("members.csv: {0}")]
    Table(String),
    /// A cell that cannot be.
    #[error("members.csv, line {line}, {column}: {reason}")]
    Cell {
        /// Line of the file, the heading being 1.
        line: u64,
        /// Which column.
        column: &'static str,
        /// What is wrong.
        reason: String,
    },
    /// Not a list of members as JSON.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// A field that cannot be.
    #[error("member {number}, {field}: {reason}")]
    Field {
        /// Of which member, as given.
        number: String,
        /// Which field.
        field: &'static str,
        /// What is wrong.
        reason: String,
    },
    /// A member that stands twice.
    #[error("member {0} stands twice")]
    Again(Code),
    /// A number that stands twice.
    #[error("members.csv, line {line}: member {number} stands twice")]
    Twice {
        /// Line of the second.
        line: u64,
        /// Which number.
        number: Code,
    },
}

impl Advice for RegisterError {
    fn hint(&self) -> String {
        match self {
            Self::Table(_) => {
                "save it as CSV with commas, UTF-8, and these columns: number, name, village, \
                 phone, language, premiums, advance_payee, advance_outstanding_minor"
                    .to_owned()
            }
            Self::Cell { .. } => "correct that cell; nothing was taken in".to_owned(),
            Self::Document(_) => {
                "take the register as JSON out of a desk, change it, and take it in again"
                    .to_owned()
            }
            Self::Field { .. } => "correct that field; nothing was taken in".to_owned(),
            Self::Again(_) => "leave one of the two out; nothing was taken in".to_owned(),
            Self::Twice { .. } => "remove one of the two lines; nothing was taken in".to_owned(),
        }
    }
}

/// A member as it is typed.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Row {
    pub(crate) number: String,
    pub(crate) name: String,
    #[serde(default)]
    pub(crate) village: String,
    #[serde(default)]
    pub(crate) phone: String,
    #[serde(default)]
    pub(crate) language: String,
    #[serde(default)]
    pub(crate) premiums: String,
    #[serde(default)]
    pub(crate) advance_payee: String,
    #[serde(default)]
    pub(crate) advance_outstanding_minor: String,
}

/// Headings of a register.
const HEADINGS: [&str; 8] = [
    "number",
    "name",
    "village",
    "phone",
    "language",
    "premiums",
    "advance_payee",
    "advance_outstanding_minor",
];

/// A member as a row of a register.
fn row(member: &MemberV1) -> Vec<Cow<'static, str>> {
    let text = |text: Option<&str>| Cow::<str>::Owned(text.unwrap_or_default().to_owned());
    let label = |label: &Option<Label>| text(label.as_ref().map(Label::as_str));
    let premiums: Vec<&str> = member.premiums.iter().map(Code::as_str).collect();
    let advance = member.advance.as_ref();
    vec![
        text(Some(member.number.as_str())),
        text(Some(member.name.as_str())),
        label(&member.village),
        label(&member.phone),
        text(member.language.as_ref().map(Code::as_str)),
        Cow::Owned(premiums.join(" ")),
        text(advance.map(|advance| advance.payee.as_str())),
        Cow::Owned(
            advance.map_or_else(String::new, |advance| advance.outstanding_minor.to_string()),
        ),
    ]
}

/// Writes a register, for a spreadsheet and for [`read`].
pub fn write(members: &[MemberV1]) -> Result<String, TableError> {
    table::csv(&HEADINGS, members.iter().map(row))
}

/// Reads a register, a table or a list as JSON; all of it is good, or none is taken.
pub fn read(text: &str) -> Result<Vec<MemberV1>, RegisterError> {
    // No table begins so: its heading does with a letter.
    if text.trim_start().starts_with('[') {
        return read_json(text);
    }
    let refused = |error: csv::Error| RegisterError::Table(plain(&error.to_string()));
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let headers = reader.headers().map_err(refused)?.clone();
    let mut known = BTreeSet::new();
    let mut members = Vec::new();
    for record in reader.records() {
        let record = record.map_err(refused)?;
        let line = record.position().map_or(0, csv::Position::line);
        // What this program wrote itself begins with an apostrophe where it could be a formula.
        let record: csv::StringRecord = record.iter().map(as_meant).collect();
        let row: Row = record.deserialize(Some(&headers)).map_err(refused)?;
        let member = member(&row).map_err(|(column, reason)| RegisterError::Cell {
            line,
            column,
            reason,
        })?;
        if !known.insert(member.number.clone()) {
            let number = member.number;
            return Err(RegisterError::Twice { line, number });
        }
        members.push(member);
    }
    Ok(members)
}

/// The same rules as for a table: a list is made by a program, and programs err too.
fn read_json(text: &str) -> Result<Vec<MemberV1>, RegisterError> {
    let members: Vec<MemberV1> = from_text("register", text.trim(), BYTES_AT_MOST)?;
    let mut known = BTreeSet::new();
    for member in &members {
        if !known.insert(&member.number) {
            return Err(RegisterError::Again(member.number.clone()));
        }
        let cells = row(member);
        let cell = |place: usize| {
            cells
                .get(place)
                .map_or_else(String::new, ToString::to_string)
        };
        check(&Row {
            number: cell(0),
            name: cell(1),
            village: cell(2),
            phone: cell(3),
            language: cell(4),
            premiums: cell(5),
            advance_payee: cell(6),
            advance_outstanding_minor: cell(7),
        })?;
    }
    Ok(members)
}

/// A member as it was typed, field by field.
pub(crate) fn check(row: &Row) -> Result<MemberV1, RegisterError> {
    member(row).map_err(|(field, reason)| RegisterError::Field {
        number: row.number.chars().take(Code::MAX).collect(),
        field,
        reason,
    })
}

/// What is wrong with a cell, and in which column.
type BadCell = (&'static str, String);

fn member(row: &Row) -> Result<MemberV1, BadCell> {
    let name = |column, reason: TextError| (column, reason.to_string());
    Ok(MemberV1 {
        number: Code::new(&row.number).map_err(|error| name("number", error))?,
        name: Label::new(&row.name).map_err(|error| name("name", error))?,
        village: if_any(&row.village, Label::new).map_err(|error| name("village", error))?,
        phone: if_any(&row.phone, Label::new).map_err(|error| name("phone", error))?,
        language: if_any(&row.language, Code::new).map_err(|error| name("language", error))?,
        premiums: premiums(&row.premiums)?,
        advance: advance(row)?,
    })
}

/// A premium is paid once, so a register that gives one twice is a slip of the pen.
fn premiums(cell: &str) -> Result<Vec<Code>, BadCell> {
    const PREMIUMS: &str = "premiums";
    let mut codes = Vec::new();
    for word in cell.split_whitespace() {
        let code = Code::new(word).map_err(|error| (PREMIUMS, error.to_string()))?;
        if codes.contains(&code) {
            return Err((PREMIUMS, format!("{code} stands twice")));
        }
        codes.push(code);
    }
    Ok(codes)
}

fn if_any<T>(
    text: &str,
    new: impl Fn(&str) -> Result<T, TextError>,
) -> Result<Option<T>, TextError> {
    (!text.is_empty()).then(|| new(text)).transpose()
}

fn advance(row: &Row) -> Result<Option<AdvanceV1>, BadCell> {
    const PAYEE: &str = "advance_payee";
    const OUTSTANDING: &str = "advance_outstanding_minor";
    let outstanding = match row.advance_outstanding_minor.as_str() {
        "" => None,
        text => Some(
            text.parse::<i64>()
                .ok()
                .filter(|minor| (0..=Money::MAX_MINOR).contains(minor))
                .ok_or_else(|| {
                    let reason = "not a whole number of minor units, such as 1500000 for 15,000.00";
                    (OUTSTANDING, reason.to_owned())
                })?,
        ),
    };
    let payee =
        if_any(&row.advance_payee, Label::new).map_err(|error| (PAYEE, error.to_string()))?;
    match (payee, outstanding) {
        (None, None) => Ok(None),
        (Some(payee), Some(outstanding_minor)) => Ok(Some(AdvanceV1 {
            payee,
            outstanding_minor,
        })),
        (Some(_), None) => Err((OUTSTANDING, "it is not said how much is outstanding".into())),
        (None, Some(_)) => Err((PAYEE, "it is not said who lent the advance".into())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEADING: &str =
        "number,name,village,phone,language,premiums,advance_payee,advance_outstanding_minor\n";

    fn refused(rows: &str) -> String {
        read(&(HEADING.to_owned() + rows)).unwrap_err().to_string()
    }

    #[test]
    fn a_spreadsheets_table_is_read() {
        let members = read(&format!(
            "{HEADING}M1,\"Asha \"\"Nyuki\"\" Mrembwe\",,+254 700 000 000,sw,ORG FAIR,,\r\n\
             M2,Baraka,Kilindo,,,,Savings group,1500000\r\n"
        ))
        .unwrap();
        assert_eq!(members[0].name.as_str(), "Asha \"Nyuki\" Mrembwe");
        assert_eq!(members[0].premiums.len(), 2);
        assert_eq!(members[0].village, None);
        assert_eq!(
            members[1]
                .advance
                .as_ref()
                .map(|advance| advance.outstanding_minor),
            Some(1_500_000)
        );
        let least = read("number,name\nM1,Asha\n").unwrap();
        assert_eq!(least.len(), 1);
    }

    /// What is written is read again, formulas and all.
    #[test]
    fn a_register_written_is_the_register_read() {
        let members = read(&format!(
            "{HEADING}M1,=Asha,+Kilindo,+254 700 000 000,sw,ORG FAIR,@Group,1500000\nM2,''=Baraka,,,,,,\n"
        ))
        .unwrap();
        let text = write(&members).unwrap();
        assert!(text.contains("M1,'=Asha,'+Kilindo,'+254 700 000 000,sw,ORG FAIR,'@Group,1500000"));
        assert_eq!(members[1].name.as_str(), "'=Baraka");
        assert_eq!(read(&text).unwrap(), members);
    }

    /// A list taken out is the list taken in, and no rule of the table is passed by.
    #[test]
    fn a_list_as_json_is_read_by_the_same_rules() {
        let table = format!("{HEADING}M1,Asha,Kilindo,,sw,ORG,Group,1500000\nM2,Baraka,,,,,,\n");
        let members = read(&table).unwrap();
        let text = crate::outcome::json(&members).unwrap();
        assert_eq!(read(&text).unwrap(), members);
        for (list, said) in [
            (
                r#"[{"number":"M1","name":"A"},{"number":"M1","name":"B"}]"#,
                "M1 stands twice",
            ),
            (
                r#"[{"number":"M1","name":"A","premiums":["X","X"]}]"#,
                "premiums: X stands twice",
            ),
            (
                r#"[{"number":"M1","name":"A","advance":{"payee":"B","outstanding_minor":-1}}]"#,
                "advance_outstanding_minor: not a whole",
            ),
            (r#"[{"number":"M1","name":"A","age":3}]"#, "age"),
            (r#"[{"number":"M1"}]"#, "name"),
            ("[", "register"),
        ] {
            let message = read(list).unwrap_err().to_string();
            assert!(message.contains(said), "{list}: {message}");
        }
    }

    #[test]
    fn what_is_wrong_is_named_by_line_and_column() {
        for (rows, said) in [
            (
                "M1,Asha,,,,,,\n=1+1,Baraka,,,,,,\n",
                "line 3, number: '=' cannot",
            ),
            ("M1,,,,,,,\n", "line 2, name: the field is empty"),
            (
                "M1,Asha,,,,,Bank,\n",
                "line 2, advance_outstanding_minor: it is not said",
            ),
            (
                "M1,Asha,,,,,,100\n",
                "line 2, advance_payee: it is not said",
            ),
            (
                "M1,Asha,,,,,Bank,1.50\n",
                "line 2, advance_outstanding_minor: not a whole",
            ),
            (
                "M1,Asha,,,,,Bank,-1\n",
                "line 2, advance_outstanding_minor: not a whole",
            ),
            (
                "M1,Asha,,,,ORG FAIR ORG,,\n",
                "line 2, premiums: ORG stands twice",
            ),
            (
                "M1,Asha,,,,,,\nM1,Baraka,,,,,,\n",
                "line 3: member M1 stands twice",
            ),
        ] {
            let message = refused(rows);
            assert!(message.contains(said), "{message}");
        }
        assert!(read("number,surname\nM1,Asha\n").is_err());
        assert!(read("number,name\nM1\n").is_err());
    }
}
