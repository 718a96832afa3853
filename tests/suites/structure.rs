//! Dependencies between the crates run one way, as DEVELOPERS.md says.

use std::fs;
use std::path::Path;

/// A crate, and the crates of ours it may depend on.
const MAY_DEPEND_ON: &[(&str, &[&str])] = &[
    ("scoring", &[]),
    ("kitchen-text", &["scoring"]),
    ("catalogue", &["scoring"]),
    ("tickets", &["scoring"]),
    ("app", &["scoring", "kitchen-text", "catalogue", "tickets"]),
    ("wire", &["scoring"]),
    ("client", &["scoring", "wire", "app", "catalogue"]),
    (
        "service",
        &[
            "scoring",
            "kitchen-text",
            "catalogue",
            "tickets",
            "app",
            "wire",
        ],
    ),
];

/// Crates from outside that only some of ours may know.
const FENCED: &[(&str, &[&str])] = &[
    ("axum", &["service"]),
    ("tonic", &["service", "client", "wire"]),
    ("sqlx", &["service"]),
    ("serde", &["wire", "client", "service"]),
    ("serde_json", &["wire", "client", "service"]),
    ("tracing", &["client", "service"]),
    ("tokio", &["client", "service"]),
];

fn dependencies(name: &str) -> Vec<String> {
    let manifest = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../crates")
        .join(name)
        .join("Cargo.toml");
    let text = fs::read_to_string(manifest).expect("every crate has a manifest");
    let mut inside = false;
    let mut found = Vec::new();
    for line in text.lines() {
        if let Some(section) = line.strip_prefix('[') {
            // What only tests use is free.
            inside = section.starts_with("dependencies");
        } else if inside
            && let Some(key) = line.split(['.', '=', ' ']).next().filter(|k| !k.is_empty())
        {
            found.push(key.to_owned());
        }
    }
    found
}

#[test]
fn dependencies_run_one_way() {
    for (name, allowed) in MAY_DEPEND_ON {
        let ours = dependencies(name);
        for dependency in ours.iter().filter_map(|d| d.strip_prefix("tamis-")) {
            assert!(
                allowed.contains(&dependency),
                "{name} depends on {dependency}"
            );
        }
    }
}

#[test]
fn outside_crates_stay_behind_their_fences() {
    for (name, _) in MAY_DEPEND_ON {
        for dependency in dependencies(name) {
            if let Some((_, allowed)) = FENCED.iter().find(|(fenced, _)| *fenced == dependency) {
                assert!(allowed.contains(name), "{name} depends on {dependency}");
            }
        }
    }
}

#[test]
fn the_top_level_is_as_fixed() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let fixed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE-MIT",
        "LICENSE-APACHE",
        "proto",
        "crates",
        "openapi",
        "tests",
        "deploy",
        "seed-data",
        "target",
    ];
    for entry in fs::read_dir(root).expect("the root can be read") {
        let name = entry
            .expect("an entry")
            .file_name()
            .to_string_lossy()
            .into_owned();
        assert!(
            name.starts_with('.') || fixed.contains(&name.as_str()),
            "{name} at the top level"
        );
    }
}
