//! Work that two people must share: who buys does not receive, who proposes does not approve.

use crate::units::Label;

/// A person who did an earlier part of the work and so may not do this one.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{name} {did}: another person must do this, so ask a colleague")]
pub struct PersonError {
    /// Who.
    pub name: Label,
    /// What that person did before, such as `bought this honey`.
    pub did: &'static str,
}

/// A person who is none of those who did the earlier parts. There is no other way to make one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Another(Label);

impl Another {
    /// Takes a person's name, unless it is one of the earlier ones.
    ///
    /// # Examples
    /// ```
    /// # use combgate_core::{clerk::Another, units::Label};
    /// let officer = Label::new("Neema Osale")?;
    /// assert!(Another::than(Label::new("neema  OSALE")?, [(&officer, "bought it")]).is_err());
    /// assert!(Another::than(Label::new("Juma Bakari")?, [(&officer, "bought it")]).is_ok());
    /// # Ok::<(), combgate_core::units::TextError>(())
    /// ```
    pub fn than<'a>(
        name: Label,
        earlier: impl IntoIterator<Item = (&'a Label, &'static str)>,
    ) -> Result<Self, PersonError> {
        match earlier
            .into_iter()
            .find(|(other, _)| same_person(&name, other))
        {
            Some((_, did)) => Err(PersonError { name, did }),
            None => Ok(Self(name)),
        }
    }

    /// The name.
    pub const fn name(&self) -> &Label {
        &self.0
    }
}

/// Whether two names are one person's: capitals and blanks do not tell people apart.
pub fn same_person(one: &Label, other: &Label) -> bool {
    folded(one) == folded(other)
}

fn folded(name: &Label) -> String {
    let words: Vec<&str> = name.as_str().split_whitespace().collect();
    words.join(" ").to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capitals_and_blanks_make_no_other_person() {
        let name = |text: &str| Label::new(text).unwrap();
        for (one, other, same) in [
            ("Neema Osale", "NEEMA  OSALE", true),
            ("Neema Osale", "Neema Osale ", true),
            ("Élodie", "élodie", true),
            ("Neema Osale", "Neema Osal", false),
        ] {
            assert_eq!(
                same_person(&name(one), &name(other)),
                same,
                "{one}, {other}"
            );
        }
        let error = Another::than(name("neema osale"), [(&name("Neema Osale"), "bought it")]);
        assert_eq!(
            error.unwrap_err().to_string(),
            "neema osale bought it: another person must do this, so ask a colleague"
        );
    }
}
