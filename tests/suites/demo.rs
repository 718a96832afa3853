//! A start without arguments: what a kitchen sees first.

use std::time::Duration;

use serde_json::json;
use tamis_tests::server::Server;
use tamis_tests::{http, run, tamis};

#[test]
fn without_arguments_it_prints_pass_sheet_tickets_and_addresses_and_serves() {
    let mut server = Server::with(tamis(), &[], &[]);
    let page = &server.printed;
    for site in ["Alder Bay", "Brindlewick"] {
        assert!(page.contains(site), "no menu of {site}:\n{page}");
    }
    for word in ["serve", "alter"] {
        assert!(
            page.to_lowercase().contains(word),
            "no dish rules {word}:\n{page}"
        );
    }
    // Tickets tell the cook what to do, verb first.
    let orders = ["HOLD", "NO ", "SUB", "USE ", "DOWNSIZE", "LESS", "REWORK"];
    assert!(
        orders.iter().any(|o| page.contains(o)),
        "no ticket:\n{page}"
    );
    assert!(
        page.to_lowercase().contains("not medical advice"),
        "no caution:\n{page}"
    );
    assert!(
        page.lines().all(|line| !line.contains('\x1b')),
        "control codes on the page"
    );
    let answer = http::post(
        server.rest,
        "/v1/assessments",
        tamis_tests::case("rice-bowl.json"),
    );
    assert_eq!(answer.status, 200, "{answer:?}");
    assert_eq!(answer.json()["name"], json!("Rice bowl"));
    server.tell_to_stop();
    assert!(server.ended(Duration::from_secs(15)).success());
}

#[test]
fn the_page_is_the_same_every_time() {
    let page = || Server::with(tamis(), &[], &[]).printed.clone();
    assert_eq!(page(), page());
}

/// What the README shows is what the program prints.
#[test]
fn the_readme_tells_the_truth() {
    let readme = include_str!("../../README.md");
    let between = |from: &str, to: &str| {
        let start = readme.find(from).unwrap_or_else(|| panic!("{from}")) + from.len();
        let end = readme[start..].find(to).unwrap_or_else(|| panic!("{to}"));
        &readme[start..start + end]
    };
    let card = between("$ cat plate.txt\n", "$ tamis assess");
    let assessed = between("$ tamis assess plate.txt\n", "\n...\n");
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("plate.txt");
    std::fs::write(&file, card).expect("the card is written");
    let file = file.to_str().expect("a path in UTF-8");
    let printed = run(&["assess", file], "").out;
    assert!(printed.starts_with(assessed), "{printed}");
    let ticket = between("`POST /v1/tickets:render`:\n\n```text\n", "\n```");
    let printed = run(&["ticket", file, "--columns", "42"], "").out;
    assert_eq!(printed.trim_end(), ticket);
}
