//! The OpenAPI document, made from the routes that answer.

use std::collections::BTreeMap;

use axum::Json;
use tamis_app::error::Reason;
use tamis_wire::problem::{MEDIA_TYPE, Problem};
use utoipa::openapi::response::Response;
use utoipa::openapi::{ContentBuilder, OpenApi, Ref, RefOr, ResponseBuilder};
use utoipa::{IntoResponses, OpenApi as _};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::{assessments, foods, probes, readings, tickets};
use crate::call::Doors;

#[derive(utoipa::OpenApi)]
#[openapi(
    info(
        title = "tamis",
        description = "Grams of each fermentable subgroup in a dish as a kitchen writes it, the \
            ruling for one diner on a low-FODMAP diet, the smallest change, and the ticket.\n\n\
            Not medical advice: the diet is supervised, individual tolerance differs, and \
            allergens need their own controls.",
        license(name = "MIT OR Apache-2.0", identifier = "MIT OR Apache-2.0"),
    ),
    servers((url = "http://127.0.0.1:8080", description = "The address of a start without options.")),
    tags(
        (name = "assessments", description = "Dishes, drinks and sittings for one diner."),
        (name = "foods", description = "The catalogue and its evidence."),
        (name = "readings", description = "What is understood of recipe lines."),
        (name = "tickets", description = "What the cook reads."),
        (name = "operations", description = "For those who run the service."),
    ),
    components(schemas(Problem)),
)]
struct Document;

/// The problems that any request can meet, one response for each status of the table of reasons
/// that a valid path and method can lead to.
pub struct Problems;

impl IntoResponses for Problems {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        let mut words: BTreeMap<u16, Vec<&str>> = BTreeMap::new();
        for reason in Reason::ALL {
            if !matches!(
                reason,
                Reason::NotFound | Reason::FoodUnknown | Reason::MethodNotAllowed
            ) {
                let row = reason.row();
                words.entry(row.http_status).or_default().push(row.word);
            }
        }
        words
            .into_iter()
            .map(|(status, words)| {
                let content = ContentBuilder::new()
                    .schema(Some(Ref::from_schema_name("Problem")))
                    .build();
                let response = ResponseBuilder::new()
                    .description(format!("A problem with reason {}.", words.join(", ")))
                    .content(MEDIA_TYPE, content)
                    .build();
                (status.to_string(), RefOr::T(response))
            })
            .collect()
    }
}

/// The routes with their documentation.
pub fn routes() -> OpenApiRouter<Doors> {
    OpenApiRouter::with_openapi(Document::openapi())
        .routes(routes!(assessments::assess))
        .routes(routes!(assessments::batch))
        .routes(routes!(foods::list))
        .routes(routes!(foods::get))
        .routes(routes!(readings::read))
        .routes(routes!(tickets::render))
        .routes(routes!(probes::healthz))
        .routes(routes!(probes::readyz))
        .routes(routes!(document_route))
}

/// The document.
#[must_use]
pub fn document() -> OpenApi {
    routes().into_openapi()
}

/// The document as it is committed: indented JSON that ends in a line feed.
///
/// # Errors
/// When the document cannot be written as JSON.
pub fn text() -> Result<String, serde_json::Error> {
    document().to_pretty_json().map(|text| text + "\n")
}

/// Shows this document.
#[utoipa::path(
    get, path = "/openapi.json", tag = "operations", operation_id = "openapi",
    responses((status = 200, description = "The OpenAPI document of this service.", body = Object)),
)]
async fn document_route() -> Json<OpenApi> {
    Json(document())
}

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use serde_json::Value;

    const COMMITTED: &str = include_str!(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../openapi/tamis.v1.json"
    ));

    fn operations(document: &Value) -> Vec<(&String, &String, &Value)> {
        let paths = document["paths"].as_object().unwrap();
        paths
            .iter()
            .flat_map(|(path, item)| {
                item.as_object()
                    .unwrap()
                    .iter()
                    .map(move |(method, o)| (path, method, o))
            })
            .collect()
    }

    fn document() -> Value {
        serde_json::from_str(&super::text().unwrap()).unwrap()
    }

    fn references<'a>(value: &'a Value, found: &mut Vec<&'a str>) {
        match value {
            Value::Object(members) => {
                if let Some(Value::String(reference)) = members.get("$ref") {
                    found.push(reference);
                }
                members.values().for_each(|v| references(v, found));
            }
            Value::Array(items) => items.iter().for_each(|v| references(v, found)),
            _ => {}
        }
    }

    #[test]
    fn the_committed_document_is_the_one_of_this_code() {
        assert!(
            super::text().unwrap() == COMMITTED,
            "openapi/tamis.v1.json is not what `tamis openapi` prints; print it anew"
        );
    }

    #[test]
    fn every_operation_is_described_to_the_last_response() {
        let document = document();
        assert!(document["openapi"].as_str().unwrap().starts_with("3.1"));
        let operations = operations(&document);
        assert_eq!(operations.len(), 9);
        let mut ids = HashSet::new();
        for (path, method, operation) in operations {
            let at = format!("{method} {path}");
            assert!(
                ids.insert(operation["operationId"].as_str().unwrap().to_owned()),
                "{at}"
            );
            assert!(
                operation["summary"].as_str().is_some_and(|s| !s.is_empty()),
                "{at}"
            );
            let responses = operation["responses"].as_object().unwrap();
            assert!(
                responses.keys().any(|status| status.starts_with('2')),
                "{at}"
            );
            for (status, response) in responses {
                assert!(
                    response["description"]
                        .as_str()
                        .is_some_and(|d| !d.is_empty()),
                    "{at} {status}"
                );
                let problem = &response["content"]["application/problem+json"]["schema"]["$ref"];
                let error = status.starts_with(['4', '5']);
                assert_eq!(
                    error,
                    *problem == "#/components/schemas/Problem",
                    "{at} {status}"
                );
            }
            for name in path
                .split('{')
                .skip(1)
                .filter_map(|p| p.split_once('}'))
                .map(|p| p.0)
            {
                let parameters = operation["parameters"].as_array().unwrap();
                assert!(
                    parameters
                        .iter()
                        .any(|p| p["name"] == name && p["in"] == "path"),
                    "{at}"
                );
            }
        }
    }

    #[test]
    fn every_reference_leads_somewhere() {
        let document = document();
        let mut found = Vec::new();
        references(&document, &mut found);
        assert!(found.len() > 20);
        for reference in found {
            let pointer = reference.strip_prefix('#').unwrap();
            assert!(document.pointer(pointer).is_some(), "{reference}");
        }
    }
}
