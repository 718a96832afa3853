//! The JSON schemas of the messages.
#![cfg(feature = "openapi")]
#![allow(clippy::unwrap_used)]

use serde_json::{Value, json};
use tamis_wire::{problem, v1};
use utoipa::OpenApi;

#[derive(OpenApi)]
#[openapi(components(schemas(
    v1::AssessmentRequest,
    v1::Assessment,
    v1::BatchAssessRequest,
    v1::BatchAssessResponse,
    v1::FoodPage,
    v1::ListFoodsResponse,
    v1::ReadLinesRequest,
    v1::ReadLinesResponse,
    v1::RenderTicketRequest,
    v1::RenderTicketResponse,
    problem::Problem,
)))]
struct Document;

fn schemas() -> Value {
    serde_json::to_value(Document::openapi()).unwrap()["components"]["schemas"].clone()
}

fn required(schema: &Value) -> Vec<&str> {
    schema["required"]
        .as_array()
        .map_or(Vec::new(), |r| r.iter().filter_map(Value::as_str).collect())
}

#[test]
fn unknown_numbers_are_required_and_may_be_null() {
    let load = &schemas()["Load"];
    assert_eq!(
        load["properties"]["grams"]["type"],
        json!(["number", "null"])
    );
    assert_eq!(load["properties"]["grams"]["minimum"], json!(0));
    assert_eq!(
        required(load).len(),
        load["properties"].as_object().unwrap().len()
    );
}

#[test]
fn words_are_string_enums() {
    let all = schemas();
    assert_eq!(
        all["Ruling"]["enum"],
        json!(["serve", "alter", "withhold", "refer"])
    );
    assert_eq!(all["Ruling"]["type"], json!("string"));
    assert_eq!(
        all["Assessment"]["properties"]["ruling"]["$ref"],
        json!("#/components/schemas/Ruling")
    );
}

#[test]
fn only_what_does_not_apply_is_left_out_of_an_answer() {
    let all = schemas();
    let assessment = &all["Assessment"];
    let required = required(assessment);
    let optional: Vec<_> = assessment["properties"]
        .as_object()
        .unwrap()
        .keys()
        .filter(|k| !required.contains(&k.as_str()))
        .collect();
    assert_eq!(optional, ["alcohol"]);
}

#[test]
fn every_schema_and_field_is_described() {
    let all = schemas();
    for (name, schema) in all.as_object().unwrap() {
        assert!(schema["description"].is_string(), "{name}");
        for (field, property) in schema["properties"].as_object().into_iter().flatten() {
            // A field that may be null carries its description beside the reference.
            let described = property["description"].is_string()
                || property["oneOf"][0]["description"].is_string()
                || property["oneOf"][1]["description"].is_string();
            assert!(described, "{name}.{field}: {property}");
            assert!(
                property.get("default").is_none(),
                "{name}.{field}: {property}"
            );
        }
    }
}

#[test]
fn every_reference_leads_somewhere() {
    fn walk<'a>(value: &'a Value, found: &mut Vec<&'a str>) {
        match value {
            Value::Object(map) => {
                found.extend(map.get("$ref").and_then(Value::as_str));
                map.values().for_each(|v| walk(v, found));
            }
            Value::Array(items) => items.iter().for_each(|v| walk(v, found)),
            _ => {}
        }
    }
    let all = schemas();
    let mut found = Vec::new();
    walk(&all, &mut found);
    assert!(found.len() > 20, "{}", found.len());
    for reference in found {
        let name = reference.trim_start_matches("#/components/schemas/");
        assert!(all.get(name).is_some(), "{reference}");
    }
}
