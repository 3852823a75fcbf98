use super::*;

fn instrument(scale: Scale, compensated: bool) -> Refractometer {
    Refractometer {
        scale,
        compensated,
        offset: Some(Offset::new(0).unwrap()),
    }
}

fn index(value: i64, tenths: i64) -> Reading {
    Reading {
        value: ScaleReading::RefractiveIndex(RefractiveIndex::new(value).unwrap()),
        temperature: Celsius::new(tenths).unwrap(),
    }
}

fn water(value: i64, tenths: i64) -> Reading {
    Reading {
        value: ScaleReading::Water(Moisture::new(value).unwrap()),
        temperature: Celsius::new(tenths).unwrap(),
    }
}

fn determine(
    readings: &[Reading],
    tool: Refractometer,
) -> Result<MoistureResult, RefractometerError> {
    determine_moisture(readings, tool, &UncertaintyBudget::default())
}

#[test]
fn a_compensated_reading_is_never_corrected_twice() {
    let tool = instrument(Scale::Water, true);
    assert_eq!(
        determine(&[water(18_60, 350)], tool)
            .unwrap()
            .moisture
            .get(),
        18_60
    );
    let bare = instrument(Scale::Water, false);
    // 15 degrees above 20 read about 1.4 points too wet (domain arithmetic from 0.00023 per degree).
    let corrected = determine(&[water(18_60, 350)], bare)
        .unwrap()
        .moisture
        .get();
    assert!((17_15..=17_30).contains(&corrected), "{corrected}");
}

#[test]
fn brix_goes_through_the_index() {
    let tool = instrument(Scale::Brix, true);
    let reading = |hundredths| Reading {
        value: ScaleReading::Brix(Brix::new(hundredths).unwrap()),
        temperature: Celsius::new(200).unwrap(),
    };
    // 80.35 Brix has the index of honey at 18.0 % (CRC rows); "100 less Brix" would say 19.65.
    let result = determine(&[reading(80_35)], tool).unwrap().moisture.get();
    assert!((17_95..=18_05).contains(&result), "{result}");
}

#[test]
fn the_check_offset_is_taken_off() {
    let off = Refractometer {
        offset: Some(Offset::new(40).unwrap()),
        ..instrument(Scale::Water, true)
    };
    assert_eq!(
        determine(&[water(18_60, 200)], off).unwrap().moisture.get(),
        18_20
    );
}

#[test]
fn table_edges_hold_and_nothing_beyond() {
    let tool = instrument(Scale::RefractiveIndex, true);
    assert!(determine(&[index(147_400, 200)], tool).is_ok());
    assert!(determine(&[index(150_440, 200)], tool).is_ok());
    assert_eq!(
        determine(&[index(147_399, 200)], tool),
        Err(RefractometerError::OutsideTable)
    );
    assert_eq!(
        determine(&[index(150_441, 200)], tool),
        Err(RefractometerError::OutsideTable)
    );
}

#[test]
fn a_water_scale_beyond_the_table_needs_compensation() {
    let wet = [water(31_00, 300)];
    let result = determine(&wet, instrument(Scale::Water, true)).unwrap();
    assert_eq!(
        (result.moisture.get(), result.basis),
        (31_00, Basis::MakersScale)
    );
    assert_eq!(
        determine(&wet, instrument(Scale::Water, false)),
        Err(RefractometerError::BeyondTableUncorrected)
    );
}

/// Chataway's table (1932) begins at 13.0 %, and honeys of stingless bees are wetter than it, 13 to
/// 46 % (Nordin and others, J. Food Compos. Anal. 73 (2018) 91, a review of 522 samples; the two ends from
/// memory). A reading below is a digit left out, whatever the instrument.
#[test]
fn drier_than_any_honey_is_no_reading() {
    for compensated in [true, false] {
        let tool = instrument(Scale::Water, compensated);
        assert!(determine(&[water(13_00, 200)], tool).is_ok());
        for value in [7_80, 12_99] {
            assert_eq!(
                determine(&[water(value, 200)], tool),
                Err(RefractometerError::OutsideTable)
            );
        }
    }
}

#[test]
fn more_readings_and_a_check_make_the_value_surer() {
    let tool = instrument(Scale::Water, true);
    let unchecked = Refractometer {
        offset: None,
        ..tool
    };
    let one = determine(&[water(18_60, 200)], tool)
        .unwrap()
        .standard_uncertainty;
    let three = determine(&[water(18_60, 200); 3], tool)
        .unwrap()
        .standard_uncertainty;
    let doubtful = determine(&[water(18_60, 200)], unchecked)
        .unwrap()
        .standard_uncertainty;
    assert!(three < one && one < doubtful);
    // sqrt((0.30/sqrt 3)^2 + 0.20^2) = 0.2646, rounded up.
    assert_eq!(one.get(), 27);
}

#[test]
fn readings_that_disagree_widen_the_uncertainty() {
    let tool = instrument(Scale::Water, true);
    let apart = [water(17_00, 200), water(19_00, 200)];
    let result = determine(&apart, tool).unwrap();
    assert_eq!(result.moisture.get(), 18_00);
    assert!(result.standard_uncertainty.get() >= 100);
}

#[test]
fn nothing_too_much_and_mixed_are_errors() {
    let tool = instrument(Scale::Water, true);
    assert_eq!(determine(&[], tool), Err(RefractometerError::NoReading));
    assert_eq!(
        determine(&[water(18_00, 200); 10], tool),
        Err(RefractometerError::TooManyReadings)
    );
    assert_eq!(
        determine(&[index(149_000, 200)], tool),
        Err(RefractometerError::MixedScales)
    );
    assert!(matches!(
        determine(&[water(18_00, 451)], tool),
        Err(RefractometerError::TemperatureOutOfRange(_))
    ));
}
