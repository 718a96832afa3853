//! Compiles `proto/` without an external compiler, and gives the messages their JSON form.

use std::collections::HashSet;
use std::path::PathBuf;

use prost_types::field_descriptor_proto::{Label, Type};
use prost_types::{DescriptorProto, FieldDescriptorProto};

const PACKAGE: &str = "tamis.v1";
const FILES: [&str; 4] = [
    "tamis/v1/assessments.proto",
    "tamis/v1/foods.proto",
    "tamis/v1/readings.proto",
    "tamis/v1/tickets.proto",
];

/// Messages that a caller writes, besides those named `...Request`: an unknown field is an error,
/// since ignoring one could change a ruling.
const WRITTEN_BY_CALLERS: [&str; 6] = [
    "RecipeCard",
    "Serving",
    "Diner",
    "Tolerance",
    "Policy",
    "TicketLayout",
];

/// Fields of answers that are left out where they do not apply. All others are always there, with
/// `null` for what is unknown.
const LEFT_OUT: [&str; 5] = [
    "Assessment.alcohol",
    "AssessStreamResponse.assessment",
    "AssessStreamResponse.error",
    "BatchAssessResult.assessment",
    "BatchAssessResult.error",
];

/// Enum fields of answers that can be unspecified, which is `null` in JSON.
const NULLABLE_WORDS: [&str; 4] = [
    "Load.cutoff_basis",
    "Load.cutoff_applies_to",
    "Load.grade",
    "AnalyteRow.grade",
];

/// Messages of answers that are always present, so that their schema has no `null`.
const ALWAYS_PRESENT: [&str; 3] = [
    "Assessment.excess_fructose",
    "GetFoodResponse.food",
    "RenderTicketResponse.assessment",
];

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let root = PathBuf::from(std::env::var("CARGO_MANIFEST_DIR")?).join("../../proto");
    println!("cargo::rerun-if-changed={}", root.display());

    let mut compiler = protox::Compiler::new([&root])?;
    compiler
        .include_source_info(true)
        .include_imports(true)
        .open_files(FILES)?;
    let out = PathBuf::from(std::env::var("OUT_DIR")?);
    std::fs::write(
        out.join("tamis.v1.fds"),
        compiler.encode_file_descriptor_set(),
    )?;
    let descriptors = compiler.file_descriptor_set();

    let mut builder = tonic_prost_build::configure().build_transport(false);
    for file in descriptors.file.iter().filter(|f| f.package() == PACKAGE) {
        for message in &file.message_type {
            builder = annotate(builder, message);
        }
    }
    builder.compile_fds(descriptors)?;
    Ok(())
}

fn annotate(
    builder: tonic_prost_build::Builder,
    message: &DescriptorProto,
) -> tonic_prost_build::Builder {
    let written_by_callers: HashSet<_> = WRITTEN_BY_CALLERS.into();
    let name = message.name();
    let request = name.ends_with("Request") || written_by_callers.contains(name);
    let strict = if request {
        "#[serde(deny_unknown_fields)]\n"
    } else {
        ""
    };
    let mut builder = builder.message_attribute(
        format!(".{PACKAGE}.{name}"),
        format!(
            "#[derive(serde::Serialize, serde::Deserialize)]\n{strict}\
             #[cfg_attr(feature = \"openapi\", derive(utoipa::ToSchema))]"
        ),
    );
    for field in &message.field {
        let path = format!("{name}.{}", field.name());
        let (serde, schema) = attributes(&path, field, request);
        let path = format!(".{PACKAGE}.{path}");
        builder = builder.field_attribute(&path, format!("#[serde({})]", serde.join(", ")));
        if !schema.is_empty() {
            let schema = schema.join(", ");
            builder = builder.field_attribute(
                &path,
                format!("#[cfg_attr(feature = \"openapi\", schema({schema}))]"),
            );
        }
    }
    builder
}

/// The attributes of one field for serde and for its schema.
fn attributes(
    path: &str,
    field: &FieldDescriptorProto,
    request: bool,
) -> (Vec<String>, Vec<String>) {
    // Each field has its default, not the struct: else the schema would show the defaults of
    // protobuf, which for an enum is a number.
    let (mut serde, mut schema) = (vec!["default".to_owned()], Vec::new());
    let repeated = field.label() == Label::Repeated;
    let message = field.r#type() == Type::Message;
    let optional = field.proto3_optional() || (message && !repeated);
    let type_name = field.type_name().rsplit('.').next().unwrap_or_default();

    if field.r#type() == Type::Enum {
        let (shape, value) = match (repeated, NULLABLE_WORDS.contains(&path)) {
            (true, _) => ("List", format!("Vec<{type_name}>")),
            (false, true) => ("One", format!("Option<{type_name}>")),
            (false, false) => ("One", type_name.to_owned()),
        };
        serde.push(format!("with = \"crate::words::{shape}::<{type_name}>\""));
        schema.push(format!("value_type = {value}"));
    }
    if field.r#type() == Type::Double {
        schema.push("minimum = 0".to_owned());
    }
    if message && path.split('.').next() == Some(type_name) {
        schema.push("no_recursion".to_owned());
    }
    if ALWAYS_PRESENT.contains(&path) {
        schema.push(format!("value_type = {type_name}"));
    }
    if request {
        if optional {
            serde.push("skip_serializing_if = \"Option::is_none\"".to_owned());
        } else if repeated {
            serde.push("skip_serializing_if = \"Vec::is_empty\"".to_owned());
        } else if field.r#type() == Type::Enum {
            serde.push("skip_serializing_if = \"crate::words::is_unspecified\"".to_owned());
        } else if field.r#type() == Type::Bool {
            serde.push("skip_serializing_if = \"std::ops::Not::not\"".to_owned());
        }
    } else if LEFT_OUT.contains(&path) {
        serde.push("skip_serializing_if = \"Option::is_none\"".to_owned());
    } else {
        schema.push("required".to_owned());
    }
    (serde, schema)
}
