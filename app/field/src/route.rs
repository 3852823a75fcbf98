//! Which screen the part of the address behind `#` asks for.

use combgate_ui::words::Word;
use serde::{Deserialize, Serialize};

/// A screen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Route {
    /// Handset, key, draft to go on with.
    Start,
    /// How safely things are kept, and which version runs.
    Health,
    /// Taking in the brief.
    Brief,
    /// Opening the day.
    OpenDay,
    /// A delivery, at one of its steps.
    Purchase(Step),
    /// A receipt or slip, by its place in the journal.
    Receipt(u32),
    /// The day so far.
    Today,
    /// Closing the day.
    CloseDay,
    /// Bundle out, acknowledgement in.
    HandOver,
    /// Cancelling a receipt, by its place in the journal.
    Cancel(u32),
    /// Paying what is owed on a receipt, by its place in the journal.
    Pay(u32),
    /// The address asks for nothing there is.
    Unknown,
}

/// The steps of a delivery, in the order in which they are asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Step {
    /// Who brings it.
    Member,
    /// Bees and product form.
    Product,
    /// Number, tare, seal.
    Pail,
    /// Container, hygiene, senses.
    Inspection,
    /// Point counts of the comb.
    Comb,
    /// Moisture readings.
    Moisture,
    /// Gross and net.
    Weight,
    /// Decision, grounds, price, issue.
    Decision,
}

impl Step {
    /// Every step, in order.
    pub const ALL: [Self; 8] = [
        Self::Member,
        Self::Product,
        Self::Pail,
        Self::Inspection,
        Self::Comb,
        Self::Moisture,
        Self::Weight,
        Self::Decision,
    ];

    const fn name(self) -> &'static str {
        match self {
            Self::Member => "member",
            Self::Product => "product",
            Self::Pail => "pail",
            Self::Inspection => "inspection",
            Self::Comb => "comb",
            Self::Moisture => "moisture",
            Self::Weight => "weight",
            Self::Decision => "decision",
        }
    }

    /// The step's heading.
    pub const fn title(self) -> Word {
        match self {
            Self::Member => Word::PurchaseMember,
            Self::Product => Word::PurchaseProduct,
            Self::Pail => Word::PurchasePail,
            Self::Inspection => Word::PurchaseInspection,
            Self::Comb => Word::PurchaseComb,
            Self::Moisture => Word::PurchaseMoisture,
            Self::Weight => Word::PurchaseWeight,
            Self::Decision => Word::PurchaseDecision,
        }
    }
}

impl Route {
    /// The places that can be gone to from everywhere, in the order of a day.
    pub const PLACES: [Self; 6] = [
        Self::Start,
        Self::Brief,
        Self::OpenDay,
        Self::Purchase(Step::Member),
        Self::Today,
        Self::CloseDay,
    ];

    /// Reads what stands behind `#`.
    pub fn parse(hash: &str) -> Self {
        let mut parts = hash.trim_start_matches('/').split('/');
        let route = match (parts.next().unwrap_or_default(), parts.next()) {
            ("", None) => Self::Start,
            ("health", None) => Self::Health,
            ("brief", None) => Self::Brief,
            ("open-day", None) => Self::OpenDay,
            ("purchase", None) => Self::Purchase(Step::Member),
            ("purchase", Some(name)) => Step::ALL
                .into_iter()
                .find(|step| step.name() == name)
                .map_or(Self::Unknown, Self::Purchase),
            ("receipt", Some(seq)) => seq.parse().map_or(Self::Unknown, Self::Receipt),
            ("today", None) => Self::Today,
            ("close-day", None) => Self::CloseDay,
            ("hand-over", None) => Self::HandOver,
            ("cancel", Some(seq)) => seq.parse().map_or(Self::Unknown, Self::Cancel),
            ("pay", Some(seq)) => seq.parse().map_or(Self::Unknown, Self::Pay),
            _ => Self::Unknown,
        };
        if parts.next().is_some() {
            Self::Unknown
        } else {
            route
        }
    }

    /// What to put behind `#` to get here.
    pub fn hash(&self) -> String {
        match self {
            Self::Start | Self::Unknown => "/".to_owned(),
            Self::Health => "/health".to_owned(),
            Self::Brief => "/brief".to_owned(),
            Self::OpenDay => "/open-day".to_owned(),
            Self::Purchase(step) => format!("/purchase/{}", step.name()),
            Self::Receipt(seq) => format!("/receipt/{seq}"),
            Self::Today => "/today".to_owned(),
            Self::CloseDay => "/close-day".to_owned(),
            Self::HandOver => "/hand-over".to_owned(),
            Self::Cancel(seq) => format!("/cancel/{seq}"),
            Self::Pay(seq) => format!("/pay/{seq}"),
        }
    }

    /// The same as a link.
    pub fn href(&self) -> String {
        format!("#{}", self.hash())
    }

    /// The screen's name, for its heading and the tab.
    pub const fn title(&self) -> Word {
        match self {
            Self::Start => Word::StartTitle,
            Self::Health => Word::HealthTitle,
            Self::Brief => Word::BriefTitle,
            Self::OpenDay => Word::DayOpenTitle,
            Self::Purchase(_) => Word::PurchaseTitle,
            Self::Receipt(_) => Word::ReceiptTitle,
            Self::Today => Word::TodayTitle,
            Self::CloseDay => Word::DayCloseTitle,
            Self::HandOver => Word::HandoverTitle,
            Self::Cancel(_) => Word::CancelTitle,
            Self::Pay(_) => Word::PayTitle,
            Self::Unknown => Word::ErrorTitle,
        }
    }

    /// The screen's name in the list of places.
    pub const fn place(&self) -> Word {
        match self {
            Self::Start | Self::Health | Self::Unknown => Word::NavStart,
            Self::Brief => Word::NavBrief,
            Self::OpenDay => Word::NavOpenDay,
            Self::Purchase(_) => Word::NavPurchase,
            Self::Receipt(_) | Self::Today | Self::HandOver | Self::Cancel(_) | Self::Pay(_) => {
                Word::NavToday
            }
            Self::CloseDay => Word::NavCloseDay,
        }
    }

    /// Whether both belong to the same place in the list.
    pub const fn is_in_place(&self, place: &Self) -> bool {
        matches!(
            (self, place),
            (Self::Start | Self::Health, Self::Start)
                | (Self::Brief, Self::Brief)
                | (Self::OpenDay, Self::OpenDay)
                | (Self::Purchase(_), Self::Purchase(_))
                | (
                    Self::Receipt(_)
                        | Self::Today
                        | Self::HandOver
                        | Self::Cancel(_)
                        | Self::Pay(_),
                    Self::Today
                )
                | (Self::CloseDay, Self::CloseDay)
        )
    }
}
