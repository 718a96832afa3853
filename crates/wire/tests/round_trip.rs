//! Messages survive the domain, JSON and protobuf unchanged.

mod common;

use std::fmt::Debug;

use proptest::prelude::*;
use prost::Message;
use serde::{Serialize, de::DeserializeOwned};
use tamis_wire::ConversionErrors;
use tamis_wire::number::round;
use tamis_wire::scoring::assessment::Assessment;
use tamis_wire::scoring::foods::{FoodPage, FoodSummary};
use tamis_wire::scoring::reading::LineReading;
use tamis_wire::scoring::request::AssessmentRequest;
use tamis_wire::v1;

/// From the domain to the wire, and from there by every way back to the same message.
fn survives<D, W>(domain: &D) -> Result<(), TestCaseError>
where
    for<'a> W: From<&'a D>,
    W: Message + Default + Serialize + DeserializeOwned + Clone + PartialEq + Debug,
    D: TryFrom<W, Error = ConversionErrors>,
{
    let message = W::from(domain);
    let again = D::try_from(message.clone()).map_err(|e| TestCaseError::fail(e.to_string()))?;
    prop_assert_eq!(&W::from(&again), &message, "through the domain");

    let json = serde_json::to_string(&message).map_err(|e| TestCaseError::fail(e.to_string()))?;
    let read: W = serde_json::from_str(&json).map_err(|e| TestCaseError::fail(e.to_string()))?;
    prop_assert_eq!(&read, &message, "through JSON");

    let decoded = W::decode(message.encode_to_vec().as_slice())
        .map_err(|e| TestCaseError::fail(e.to_string()))?;
    prop_assert_eq!(&decoded, &message, "through protobuf");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(128) })]

    #[test]
    fn requests(request in common::request()) {
        survives::<_, v1::AssessmentRequest>(&request)?;
        // A request is not rounded: the domain itself comes back.
        let back = AssessmentRequest::try_from(v1::AssessmentRequest::from(&request));
        prop_assert_eq!(back, Ok(request));
    }

    #[test]
    fn assessments(assessment in common::assessment()) {
        survives::<Assessment, v1::Assessment>(&assessment)?;
    }

    #[test]
    fn readings(reading in common::reading()) {
        survives::<LineReading, v1::LineReading>(&reading)?;
    }

    #[test]
    fn foods(summary in common::summary(), page in common::page()) {
        survives::<FoodSummary, v1::FoodSummary>(&summary)?;
        survives::<FoodPage, v1::FoodPage>(&page)?;
    }

    #[test]
    fn rounding_is_idempotent_and_near(value in 1e-12..1e12f64) {
        let once = round(value);
        prop_assert_eq!(round(once).to_bits(), once.to_bits());
        prop_assert!((once - value).abs() <= value * 0.000_500_1, "{} to {}", value, once);
    }

    #[test]
    fn rounding_keeps_order(a in 0.0..1e3f64, b in 0.0..1e3f64) {
        prop_assert_eq!(round(a.min(b)) <= round(a.max(b)), true);
    }
}
