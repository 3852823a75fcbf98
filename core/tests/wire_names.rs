//! Golden spellings: what is written in signed documents never changes by itself.
//!
//! A name that is changed inside the program must break a test here, not a signature made last
//! season. Each text below is what version 1 of the format looks like, with every field that it
//! can have. Change none of them; a later version of the format gets texts of its own.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

use combgate_core::honey::{Basis, Scale};
use combgate_core::intake::{
    Answer, Bee, Decision, Fault, FaultWeight, Form, Hive, ScaleCheck, Settle,
};
use combgate_core::record::{
    AcknowledgementV1, BriefV1, DeliveryV1, Digest, GroundCode, HandsetsV1, JournalHead, Keeper,
    KeyId, LineCode, ManifestV1, MarkV1, Means, ParsedEntry, PolicyV1, PriceListV1, StubV1, Typ,
    Unsigned, UnsignedEntry, from_text, to_text,
};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::fmt::Debug;

/// States every variant with its spelling; a variant that is missing does not compile.
macro_rules! spelled {
    ($Type:ident { $($Variant:ident = $name:literal),* $(,)? }) => {{
        let _every_variant_is_here = |value: $Type| match value { $($Type::$Variant => (),)* };
        $(
            let text = format!("\"{}\"", $name);
            assert_eq!(serde_json::to_string(&$Type::$Variant).unwrap(), text);
            assert!(
                matches!(serde_json::from_str(&text), Ok($Type::$Variant)),
                "{text} is not read"
            );
        )*
    }};
}

#[test]
fn every_choice_keeps_its_spelling() {
    spelled!(Typ {
        Entry = "combgate-entry",
        Manifest = "combgate-manifest",
        Brief = "combgate-brief",
        Acknowledgement = "combgate-acknowledgement",
        Stub = "combgate-stub",
        Handsets = "combgate-handsets",
    });
    spelled!(Bee {
        Honeybee = "honeybee",
        StinglessBee = "stingless_bee"
    });
    spelled!(Form {
        CombInFrame = "comb_in_frame",
        CutComb = "cut_comb",
        CrushedComb = "crushed_comb",
        RunHoney = "run_honey",
    });
    spelled!(Hive {
        Frame = "frame",
        TopBar = "top_bar",
        Log = "log",
        StinglessBox = "stingless_box",
    });
    spelled!(Fault {
        ChemicalContainer = "chemical_container",
        BareMetalContainer = "bare_metal_container",
        DirtyContainer = "dirty_container",
        WetContainer = "wet_container",
        LooseLid = "loose_lid",
        UnmarkedContainer = "unmarked_container",
        HarvestedInRain = "harvested_in_rain",
        BroodOrPollen = "brood_or_pollen",
        DirtInHoney = "dirt_in_honey",
        Fermenting = "fermenting",
        ChemicalSmell = "chemical_smell",
        MetalTaste = "metal_taste",
        SmokeTaint = "smoke_taint",
        BitterOrBurning = "bitter_or_burning",
        SuspectedAddition = "suspected_addition",
    });
    spelled!(Answer {
        Clear = "clear",
        Found = "found"
    });
    spelled!(FaultWeight {
        Hard = "hard",
        Soft = "soft",
        Noted = "noted"
    });
    spelled!(Scale {
        RefractiveIndex = "refractive_index",
        Brix = "brix",
        Water = "water",
    });
    spelled!(ScaleCheck {
        Passed = "passed",
        Failed = "failed",
        NotDone = "not_done"
    });
    spelled!(Means {
        Cash = "cash",
        MobileMoney = "mobile_money"
    });
    spelled!(Keeper {
        Member = "member",
        Cooperative = "cooperative"
    });
}

#[test]
fn every_judgement_keeps_its_spelling() {
    spelled!(Decision {
        Buy = "buy",
        Hold = "hold",
        Refuse = "refuse"
    });
    spelled!(Basis {
        PublishedTable = "published_table",
        MakersScale = "makers_scale"
    });
    spelled!(Settle {
        FinishChecklist = "finish_checklist",
        ReadMoisture = "read_moisture",
        ReadMoistureAgain = "read_moisture_again",
        OtherRefractometer = "other_refractometer",
        CountComb = "count_comb",
        CountMoreComb = "count_more_comb",
        Weigh = "weigh",
        WeighAgain = "weigh_again",
        MendContainer = "mend_container",
        CleanHoney = "clean_honey",
        LeaveToRipen = "leave_to_ripen",
        LaboratorySample = "laboratory_sample",
        AskOffice = "ask_office",
        Nothing = "nothing",
    });
    spelled!(GroundCode {
        ProductNotBought = "product_not_bought",
        Unanswered = "unanswered",
        HardFault = "hard_fault",
        SoftFault = "soft_fault",
        NotedFault = "noted_fault",
        MoistureNotRead = "moisture_not_read",
        MoistureUnusable = "moisture_unusable",
        MoistureMeets = "moisture_meets",
        MoistureTooNear = "moisture_too_near",
        MoistureFailsOnTooLittle = "moisture_fails_on_too_little",
        MoistureFails = "moisture_fails",
        CappedNotCounted = "capped_not_counted",
        CappedMeets = "capped_meets",
        CappedTooNear = "capped_too_near",
        CappedFailsOnTooLittle = "capped_fails_on_too_little",
        CappedFails = "capped_fails",
        NotWeighed = "not_weighed",
        WeightUnusable = "weight_unusable",
        NoGradeFits = "no_grade_fits",
    });
    spelled!(MarkV1 {
        UnderLeastLoad = "under_least_load",
        ScaleCheckFailed = "scale_check_failed",
        ScaleCheckNotDone = "scale_check_not_done",
    });
    spelled!(LineCode {
        Honey = "honey",
        MoistureStep = "moisture_step",
        Premium = "premium",
        Levy = "levy",
        Advance = "advance",
        Rounding = "rounding",
    });
}

const KID: &str = "zqOaUTjWYLx7wuHQfmhrTuJEANxY0xT7F3ikoNtsDyM";
const HASH: &str = "ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa0";

const TERMS: &str = r#"{"policy":"POL-1","policy_digest":"ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa0","price_list":"PL-1","price_list_digest":"ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa0"}"#;
const DELIVERY: &str = r#"{"bee":"honeybee","form":"cut_comb","hive":"top_bar","combs":[{"capped":80,"open":15,"other":5}],"refractometer":{"scale":"water","compensated":true,"offset":-10},"readings":[{"value":1820,"temperature_tenths_c":245}],"answers":[{"fault":"smoke_taint","answer":"found"}],"scale":{"interval_g":10,"check":"passed"},"pails":[{"number":"P-014","seal":"S-0901","gross_g":12340,"tare_g":900}]}"#;
const ASSESSMENT: &str = r#"{"decision":"buy","grounds":[{"code":"moisture_meets","leads_to":"buy","limit_hundredths":2000,"probability_hundredths":9987},{"code":"noted_fault","leads_to":"buy","fault":"smoke_taint"}],"settled_by":["weigh_again"],"grade":"B","moisture":{"moisture_hundredths":1830,"standard_uncertainty_hundredths":27,"basis":"published_table"},"capped":{"share_hundredths":8421,"low_hundredths":7556,"high_hundredths":9019,"honey_points":95,"estimate":false},"gross_g":12340,"tare_g":900,"net_g":11440,"marks":["under_least_load"],"lines":[{"line":"honey","code":"B","per_kg_minor":35000,"amount_minor":"400400"},{"line":"moisture_step","above_hundredths":1800,"per_kg_minor":500,"amount_minor":"-5720"},{"line":"levy","code":"CESS","label":"County cess","payee":"Invented County","of_value_hundredths":100,"amount_minor":"-3946.8"},{"line":"rounding","amount_minor":"266.8"}],"payable_minor":391000,"currency":"KES"}"#;

/// One body of each kind, with every field.
fn bodies() -> Vec<(&'static str, String)> {
    let jwk = r#"{"crv":"P-256","kty":"EC","x":"f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU","y":"x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0"}"#;
    let id = "0199c0de-0000-7000-8000-000000000001";
    vec![
        ("handset_enrolled", format!(r#"{{"jwk":{jwk},"name":"Gate telephone"}}"#)),
        ("day_opened", r#"{"day":"2026-10-09","officer":"Neema Osale","brief_serial":3,"float_minor":12000000,"currency":"KES","pails":20,"seals":40,"scale":{"id":"SC-2","sticker":"VS-2026-118","interval_g":10,"known_g":5000,"shown_g":5010},"refractometer":{"id":"RF-1","scale":"water","compensated":true,"check":{"reference":1830,"reading":1820,"temperature_tenths_c":200}}}"#.to_owned()),
        ("member_registered", r#"{"member":"K7-N1","name":"Tumaini Barua","village":"Sarafi","phone":"0000 000 001","consent":true,"photos":true,"sharing":true}"#.to_owned()),
        ("receipt", format!(r#"{{"number":"K7-26-00042","delivery_id":"{id}","day":"2026-10-09","member":"M002","terms":{TERMS},"delivery":{DELIVERY},"premiums":["ORG"],"advance":{{"payee":"Savings group","outstanding_minor":1500000}},"assessment":{ASSESSMENT},"settlement":{{"paid_minor":300000,"means":"mobile_money","reference":"TX1","owed_minor":91000,"due":"2026-10-23"}},"replaces":"K7-26-00041"}}"#)),
        ("slip", format!(r#"{{"number":"K7-26-00043","delivery_id":"{id}","day":"2026-10-09","member":"M002","terms":{TERMS},"delivery":{DELIVERY},"assessment":{ASSESSMENT},"pails_with":"cooperative"}}"#)),
        ("cancellation", r#"{"number":"K7-26-00042","day":"2026-10-09","reason":"Wrong member","net_g":11440,"payable_minor":391000,"returned_minor":300000,"pails":1,"means":"cash"}"#.to_owned()),
        ("payment", r#"{"number":"K7-26-00042","day":"2026-10-09","paid_minor":91000,"means":"mobile_money","reference":"TX2"}"#.to_owned()),
        ("clock_noticed", r#"{"before":"2026-10-09T08:00:00+03:00","jump_seconds":-3600}"#.to_owned()),
        ("day_closed", r#"{"day":"2026-10-09","cash_minor":11700000,"full_pails":1,"empty_pails":19,"explanation":"One pail broke"}"#.to_owned()),
    ]
}

#[test]
fn every_kind_of_entry_is_written_as_it_is_read() {
    let kid = KeyId::try_from(KID.to_owned()).unwrap();
    let head = JournalHead {
        seq: 6,
        hash: Digest::try_from(HASH.to_owned()).unwrap(),
    };
    for (kind, body) in bodies() {
        let payload = format!(
            r#"{{"seq":7,"prev":"{HASH}","at":"2026-10-09T07:10:00+03:00","kind":"{kind}","body":{body}}}"#
        );
        let given = Unsigned::new(Typ::Entry, kid, &payload).unwrap();
        let entry = ParsedEntry::parse(&given.with_signature(&[1; 64])).unwrap_or_else(|error| {
            panic!("{kind}: {error}");
        });
        assert_eq!(entry.body().kind(), kind);
        assert_eq!(
            (entry.seq(), entry.prev(), entry.kid()),
            (7, head.hash, kid)
        );
        let written = UnsignedEntry::after(head, kid, entry.at(), entry.body()).unwrap();
        assert_eq!(
            String::from_utf8_lossy(written.unsigned().bytes()),
            String::from_utf8_lossy(given.bytes()),
            "{kind}"
        );
    }
}

#[test]
fn the_header_is_written_in_one_way() {
    let kid = KeyId::try_from(KID.to_owned()).unwrap();
    // `{"alg":"ES256","kid":"zqOa…","typ":"combgate-entry"}` and `{}` in base64url.
    assert_eq!(
        Unsigned::new(Typ::Entry, kid, "{}").unwrap().bytes(),
        b"eyJhbGciOiJFUzI1NiIsImtpZCI6InpxT2FVVGpXWUx4N3d1SFFmbWhyVHVKRUFOeFkweFQ3RjNpa29OdHNEeU0\
          iLCJ0eXAiOiJjb21iZ2F0ZS1lbnRyeSJ9.e30"
    );
}

fn unchanged<T: Debug + Serialize + DeserializeOwned>(text: &str) {
    let read: T = from_text("document", text, text.len()).unwrap();
    assert_eq!(to_text("document", &read).unwrap(), text);
}

#[test]
fn every_document_is_written_as_it_is_read() {
    unchanged::<DeliveryV1>(DELIVERY);
    unchanged::<ManifestV1>(
        r#"{"format":"combgate-bundle/1","jwk":{"crv":"P-256","kty":"EC","x":"f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU","y":"x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0"},"handset":"K7","made_at":"2026-10-09T17:40:00+03:00","first_seq":2,"last_seq":9,"count":8,"prev":"ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa0","head":"ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa0","previous_bundle":"ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa0","days":[{"day":"2026-10-09","receipts":3,"slips":1,"cancellations":1,"pails":4,"net_g":40120,"payable_minor":1404000,"paid_minor":1204000}]}"#,
    );
    unchanged::<BriefV1>(
        r#"{"format":"combgate-brief/1","serial":3,"issued_at":"2026-10-08T16:00:00+03:00","valid_until":"2026-10-31","cooperative":{"name":"Ridge Hives","place":"Ndulele Gate","complaints":"Office"},"desk_jwk":{"crv":"P-256","kty":"EC","x":"f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU","y":"x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0"},"handset":{"code":"K7","kid":"zqOaUTjWYLx7wuHQfmhrTuJEANxY0xT7F3ikoNtsDyM"},"float_minor":12000000,"policy":{"any":1},"price_list":{"any":2},"members":[{"number":"M002","name":"Baraka Othuma","village":"Kilindo","phone":"0000 000 002","language":"sw","premiums":["ORG"],"advance":{"payee":"Savings group","outstanding_minor":1500000}}]}"#,
    );
    unchanged::<AcknowledgementV1>(
        r#"{"format":"combgate-acknowledgement/1","handset":"zqOaUTjWYLx7wuHQfmhrTuJEANxY0xT7F3ikoNtsDyM","made_at":"2026-10-09T18:00:00+03:00","booked_to":9,"head":"ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa0","questions":[{"seq":8,"finding":"cash-differs","sentence":"Count again."}]}"#,
    );
    unchanged::<StubV1>(
        r#"{"number":"K7-26-00042","day":"2026-10-09","decision":"buy","net_g":11440,"money":{"currency":"KES","paid_minor":300000,"owed_minor":91000},"entry":"ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa0"}"#,
    );
    unchanged::<HandsetsV1>(
        r#"{"format":"combgate-handsets/1","issued_at":"2026-10-09T18:00:00+03:00","cooperative":"Ridge Hives","desk_jwk":{"crv":"P-256","kty":"EC","x":"f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU","y":"x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0"},"handsets":[{"code":"K7","jwk":{"crv":"P-256","kty":"EC","x":"l8tFrhx-34tV3hRICRDY9zCkDlpBhF42UQUfWVAWBFs","y":"9VE4jf_Ok_o64zbTTlcuNJajHmt6v9TDVrU0CdvGRDA"}}]}"#,
    );
    unchanged::<PolicyV1>(
        r#"{"format":"combgate-policy/1","id":"POL-1","title":"Policy","from":"2026-01-01","until":"2026-12-31","confidence_hundredths":9500,"guard_band_hundredths":100,"measuring":{"checked_half_width_hundredths":30,"unchecked_half_width_hundredths":100,"repeatability_hundredths":20,"temperature_half_width_tenths_c":10},"products":[{"bee":"honeybee","forms":["cut_comb"],"moisture_at_most_hundredths":2000,"capped_at_least_hundredths":6670,"source":"Committee"}],"faults":[{"fault":"fermenting","weight":"hard","source":"Committee"}],"grades":[{"grade":"A","bee":"honeybee","forms":["cut_comb"],"moisture_at_most_hundredths":1860,"capped_at_least_hundredths":8000,"barred_by":["smoke_taint"],"source":"Committee"}]}"#,
    );
    unchanged::<PriceListV1>(
        r#"{"format":"combgate-price-list/1","id":"PL-1","title":"Prices","from":"2026-10-05","until":"2027-03-31","currency":"KES","coin_minor":500,"advance_share_at_most_hundredths":3000,"prices":[{"bee":"honeybee","forms":["cut_comb"],"grade":"A","per_kg_minor":42000,"source":"Committee"}],"moisture_steps":[{"bee":"honeybee","forms":["cut_comb"],"above_hundredths":1800,"per_kg_minor":500,"source":"Committee"}],"premiums":[{"code":"ORG","label":"Organic group","per_kg_minor":2500,"source":"Committee"}],"levies":[{"code":"CESS","label":"County cess","payee":"County","of_value_hundredths":100,"source":"County"},{"code":"BAG","label":"Pails","payee":"Store","per_kg_minor":100,"source":"Store"}]}"#,
    );
}
