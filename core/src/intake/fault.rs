//! The checklist: what eyes, nose and tongue can find wrong, one name each.

use serde::{Deserialize, Serialize};

/// Where on the checklist a question stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FaultRoom {
    /// The pail or tin it came in.
    Container,
    /// How it was harvested and kept.
    Hygiene,
    /// Smell, sight and taste.
    Senses,
}

/// Something wrong that a person can see, smell or taste.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fault {
    /// The container held fuel, pesticide, paint or another chemical.
    ChemicalContainer,
    /// Galvanised, zinc or bare iron: honey is acid and takes up the metal.
    BareMetalContainer,
    /// Not clean inside.
    DirtyContainer,
    /// Not dry inside.
    WetContainer,
    /// No lid, or one that does not close tight.
    LooseLid,
    /// No farmer's code or date on it.
    UnmarkedContainer,
    /// Harvested in rain or kept open in damp air.
    HarvestedInRain,
    /// Brood or pollen among the honeycomb.
    BroodOrPollen,
    /// Insects, soil, ash or other dirt.
    DirtInHoney,
    /// Sour smell, gas or foam: it ferments.
    Fermenting,
    /// Smell of fuel, pesticide or another chemical.
    ChemicalSmell,
    /// Taste of metal.
    MetalTaste,
    /// Taste or smell of heavy smoking.
    SmokeTaint,
    /// Bitter, burning or numbing: it may come from a poisonous plant.
    BitterOrBurning,
    /// Something suggests added syrup or water; only a laboratory can tell.
    SuspectedAddition,
}

impl Fault {
    /// Every question, in the order asked.
    pub const ALL: [Self; 15] = [
        Self::ChemicalContainer,
        Self::BareMetalContainer,
        Self::DirtyContainer,
        Self::WetContainer,
        Self::LooseLid,
        Self::UnmarkedContainer,
        Self::HarvestedInRain,
        Self::BroodOrPollen,
        Self::DirtInHoney,
        Self::Fermenting,
        Self::ChemicalSmell,
        Self::MetalTaste,
        Self::SmokeTaint,
        Self::BitterOrBurning,
        Self::SuspectedAddition,
    ];

    /// Where on the checklist it stands.
    pub const fn room(self) -> FaultRoom {
        match self {
            Self::ChemicalContainer
            | Self::BareMetalContainer
            | Self::DirtyContainer
            | Self::WetContainer
            | Self::LooseLid
            | Self::UnmarkedContainer => FaultRoom::Container,
            Self::HarvestedInRain | Self::BroodOrPollen | Self::DirtInHoney => FaultRoom::Hygiene,
            Self::Fermenting
            | Self::ChemicalSmell
            | Self::MetalTaste
            | Self::SmokeTaint
            | Self::BitterOrBurning
            | Self::SuspectedAddition => FaultRoom::Senses,
        }
    }
}

/// What the officer found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Answer {
    /// Looked for and not there.
    Clear,
    /// Found.
    Found,
}

/// How much a fault weighs in the cooperative's policy.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FaultWeight {
    /// Refuses, whatever the numbers.
    Hard,
    /// Holds until it is put right or looked into.
    Soft,
    /// Recorded, and may bar a grade; does not stop the purchase.
    Noted,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_holds_every_fault_once_in_checklist_order() {
        let mut sorted = Fault::ALL;
        sorted.sort();
        assert_eq!(sorted, Fault::ALL);
        assert!(Fault::ALL.windows(2).all(|pair| pair[0] < pair[1]));
        assert!(
            Fault::ALL
                .windows(2)
                .all(|pair| pair[0].room() <= pair[1].room())
        );
    }
}
