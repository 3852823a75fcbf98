//! The way of a delivery through a document and back.

use super::*;
use proptest::prelude::*;
use proptest::sample::{select, subsequence};

fn scales() -> impl Strategy<Value = Scale> {
    select(vec![Scale::RefractiveIndex, Scale::Brix, Scale::Water])
}

fn readings(scale: Scale) -> impl Strategy<Value = Vec<Reading>> {
    let range = match scale {
        Scale::RefractiveIndex => 133_000..=153_000_i64,
        Scale::Brix => 0..=9_500,
        Scale::Water => 500..=6_000,
    };
    let one = (range, -300..=1_500_i64).prop_map(move |(count, tenths)| Reading {
        value: on_scale(scale, count).unwrap(),
        temperature: Celsius::new(tenths).unwrap(),
    });
    prop::collection::vec(one, 0..10)
}

fn instruments() -> impl Strategy<Value = (Option<Refractometer>, Vec<Reading>)> {
    let instrument = (
        scales(),
        any::<bool>(),
        prop::option::of(-1_000..=1_000_i64),
    )
        .prop_map(|(scale, compensated, offset)| Refractometer {
            scale,
            compensated,
            offset: offset.map(|offset| Offset::new(offset).unwrap()),
        });
    prop_oneof![
        Just((None, Vec::new())),
        instrument.prop_flat_map(|instrument| {
            readings(instrument.scale).prop_map(move |all| (Some(instrument), all))
        }),
    ]
}

fn pails() -> impl Strategy<Value = Vec<Pail>> {
    let one = (
        0..30_000_i64,
        0..30_000_i64,
        prop::option::of("[A-Z]{2}[0-9]{4}"),
    );
    prop::collection::vec(one, 0..40).prop_map(|rows| {
        rows.into_iter()
            .enumerate()
            .map(|(place, (gross, tare, seal))| Pail {
                number: Code::new(&format!("P-{place}")).unwrap(),
                seal: seal.map(|seal| Code::new(&seal).unwrap()),
                gross: Grams::new(gross).unwrap(),
                tare: Grams::new(tare).unwrap(),
            })
            .collect()
    })
}

fn combs(form: Form) -> impl Strategy<Value = Vec<CombCount>> {
    let points = || (0..=10_000_i64).prop_map(|count| Points::new(count).unwrap());
    let one = (points(), points(), points()).prop_map(|(capped, open, other)| CombCount {
        capped,
        open,
        other,
    });
    let most = if form.has_comb_to_count() { 40 } else { 0 };
    prop::collection::vec(one, 0..=most)
}

fn deliveries() -> impl Strategy<Value = Delivery> {
    let product = (
        select(Bee::ALL.to_vec()),
        select(Form::ALL.to_vec()),
        select(Hive::ALL.to_vec()),
    );
    let answers = subsequence(Fault::ALL.to_vec(), 0..=Fault::ALL.len()).prop_flat_map(|asked| {
        let answer = select(vec![Answer::Clear, Answer::Found]);
        prop::collection::vec(answer, asked.len())
            .prop_map(move |given| asked.iter().copied().zip(given).collect())
    });
    let check = select(vec![
        ScaleCheck::Passed,
        ScaleCheck::Failed,
        ScaleCheck::NotDone,
    ]);
    let scale = (1..=1_000_i64, check).prop_map(|(interval, check)| WeighingScale {
        interval: ScaleInterval::new(interval).unwrap(),
        check,
    });
    (product, instruments(), answers, scale, pails()).prop_flat_map(
        |(product, instruments, answers, scale, pails)| {
            combs(product.1).prop_map(move |combs| Delivery {
                bee: product.0,
                form: product.1,
                hive: product.2,
                combs,
                refractometer: instruments.0,
                readings: instruments.1.clone(),
                answers: BTreeMap::clone(&answers),
                scale: Some(scale),
                pails: pails.clone(),
            })
        },
    )
}

proptest! {
    #[test]
    fn a_delivery_is_the_same_after_the_way_through_a_document(delivery in deliveries()) {
        let wire = DeliveryV1::from(&delivery);
        let text = crate::record::to_text("delivery", &wire).unwrap();
        let read: DeliveryV1 = crate::record::from_text("delivery", &text, text.len()).unwrap();
        prop_assert_eq!(&read, &wire);
        prop_assert_eq!(Delivery::try_from(&read), Ok(delivery));
    }
}

#[test]
fn what_a_delivery_cannot_be_is_refused_with_the_reason() {
    let good = DeliveryV1::from(&Delivery::begun(Bee::Honeybee, Form::RunHoney, Hive::Log));
    let reading = ReadingV1 {
        value: 1_800,
        temperature_tenths_c: Celsius::new(200).unwrap(),
    };
    let refractometer = |scale| RefractometerV1 {
        scale,
        compensated: true,
        offset: None,
    };
    let answer = AnswerV1 {
        fault: Fault::Fermenting,
        answer: Answer::Clear,
    };
    let zero = Points::new(0).unwrap();
    let with = |change: &dyn Fn(&mut DeliveryV1)| {
        let mut wire = good.clone();
        change(&mut wire);
        Delivery::try_from(&wire)
    };
    assert!(with(&|_| ()).is_ok());
    assert!(with(&|wire| wire.answers = vec![answer]).is_ok());
    for (reason, refused) in [
        (
            "answered twice",
            with(&|wire| wire.answers = vec![answer, answer]),
        ),
        (
            "without a refractometer",
            with(&|wire| wire.readings = vec![reading]),
        ),
        (
            "refractive index of 1800",
            with(&|wire| {
                wire.readings = vec![reading];
                wire.refractometer = Some(refractometer(Scale::RefractiveIndex));
            }),
        ),
        (
            "crushed or run",
            with(&|wire| {
                wire.combs = vec![CombV1 {
                    capped: zero,
                    open: zero,
                    other: zero,
                }];
            }),
        ),
    ] {
        let message = refused.unwrap_err().to_string();
        assert!(message.contains(reason), "{message}");
    }
}
