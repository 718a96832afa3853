//! The doors themselves: bodies, paths, methods, ends.

use std::io::Write;
use std::net::TcpStream;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tamis_tests::http::{self, finish};
use tamis_tests::server::Server;
use tamis_tests::{case, repository, run};

use super::problem;

const PATH: &str = "/v1/assessments";

#[test]
fn n27_bodies_over_the_limit() {
    let server = Server::shared();
    let large = format!(
        "{{\"dish\": {{\"name\": \"{}\"}}}}",
        "n".repeat(10 * 1024 * 1024)
    );
    let refusal = problem(
        &http::post(server.rest, PATH, large),
        413,
        "REQUEST_TOO_LARGE",
    );
    assert!(
        refusal.to_string().contains("1048576"),
        "the limit is said: {refusal}"
    );
    // Without a length, in chunks.
    let mut bytes = format!("POST {PATH} HTTP/1.1\r\nhost: x\r\ncontent-type: application/json\r\nconnection: close\r\ntransfer-encoding: chunked\r\n\r\n").into_bytes();
    let chunk = vec![b' '; 64 * 1024];
    for _ in 0..40 {
        bytes.extend(format!("{:x}\r\n", chunk.len()).bytes());
        bytes.extend(&chunk);
        bytes.extend(b"\r\n");
    }
    bytes.extend(b"0\r\n\r\n");
    problem(&http::raw(server.rest, &bytes), 413, "REQUEST_TOO_LARGE");
    let requests = vec![json!({"dish": {"name": "P", "lines": ["1 g rice"]}}); 1_001];
    let answer = http::post(
        server.rest,
        "/v1/assessments:batch",
        json!({"requests": requests}).to_string(),
    );
    let refusal = problem(&answer, 400, "BATCH_TOO_LARGE");
    assert!(refusal.to_string().contains("1000"), "{refusal}");
}

#[test]
fn a_batch_keeps_order_and_each_outcome() {
    let server = Server::shared();
    let good: Value = serde_json::from_str(&case("rice-bowl.json")).unwrap();
    let bad: Value = serde_json::from_str(&case("refused-portions.json")).unwrap();
    let cycle: Value = serde_json::from_str(&case("refused-cycle.json")).unwrap();
    let answer = http::post(
        server.rest,
        "/v1/assessments:batch",
        json!({"requests": [good, bad, cycle, good]}).to_string(),
    );
    assert_eq!(answer.status, 200, "{answer:?}");
    let results = answer.json()["results"].clone();
    let alone = http::post(server.rest, PATH, good.to_string()).json();
    for place in [0, 3] {
        assert_eq!(results[place]["assessment"], alone, "{place}");
        assert_eq!(results[place]["index"], place);
    }
    assert_eq!(results[1]["error"]["reason"], "FIELD_INVALID");
    assert_eq!(results[2]["error"]["reason"], "SUB_RECIPE_CYCLE");
}

#[test]
fn deep_broken_and_foreign_bodies() {
    let server = Server::shared();
    let deep = format!(
        "{{\"dish\": {}{}}}",
        "[".repeat(100_000),
        "]".repeat(100_000)
    );
    let answer = http::post(server.rest, PATH, deep);
    assert_eq!(answer.status, 400);
    assert_eq!(answer.header("content-type"), "application/problem+json");
    for body in [
        "",
        "{",
        "{\"dish\": }",
        "void",
        "{\"dish\": NaN}",
        "\u{feff}{}",
    ] {
        problem(
            &http::post(server.rest, PATH, body),
            400,
            "REQUEST_MALFORMED",
        );
    }
    problem(
        &http::post(
            server.rest,
            PATH,
            b"{\"dish\": {\"name\": \"\xff\xfe\xc3\x28\"}}",
        ),
        400,
        "REQUEST_MALFORMED",
    );
    for body in [
        "[]",
        "7",
        "\"rice\"",
        "{\"dich\": {}}",
        "{\"dish\": {\"name\": 7}}",
        "{\"dish\": {\"lines\": [null]}}",
        "{\"diner\": {\"phase\": \"strict\"}}",
    ] {
        problem(&http::post(server.rest, PATH, body), 400, "FIELD_INVALID");
    }
}

/// The document of the interface says object; a list of the same values in some order is none.
#[test]
fn a_list_is_no_object() {
    let server = Server::shared();
    let body = json!({"dish": ["Rice", null, 4.0, null, null, "unstated", ["300 g rice"], "", []]});
    problem(
        &http::post(server.rest, PATH, body.to_string()),
        400,
        "FIELD_INVALID",
    );
}

#[test]
fn every_refusal_is_a_problem() {
    let server = Server::shared();
    problem(&http::get(server.rest, "/v1/nothing"), 404, "NOT_FOUND");
    problem(
        &http::get(server.rest, "/v1/foods/wibblefruit"),
        404,
        "FOOD_UNKNOWN",
    );
    problem(&http::get(server.rest, PATH), 405, "METHOD_NOT_ALLOWED");
    problem(
        &http::send(server.rest, "DELETE", "/v1/foods", &[], b""),
        405,
        "METHOD_NOT_ALLOWED",
    );
    problem(
        &http::get(server.rest, "/v1/foods?page_size=-1"),
        400,
        "FIELD_INVALID",
    );
    problem(
        &http::get(server.rest, "/v1/foods?page_size=many"),
        400,
        "FIELD_INVALID",
    );
    problem(
        &http::get(server.rest, "/v1/foods?page_token=zzz"),
        400,
        "PAGE_TOKEN_INVALID",
    );
    let typed =
        |kind: &str| http::send(server.rest, "POST", PATH, &[("content-type", kind)], b"{}");
    for kind in [
        "text/plain",
        "application/xml",
        "application/json; charset=latin1",
    ] {
        problem(&typed(kind), 415, "UNSUPPORTED_MEDIA_TYPE");
    }
    let layout = json!({"request": {"dish": {"name": "P", "lines": ["1 g rice"]}}, "layout": {"kind": "poster"}});
    let answer = http::post(server.rest, "/v1/tickets:render", layout.to_string());
    assert_eq!(answer.status, 400, "{answer:?}");
    assert_eq!(answer.header("content-type"), "application/problem+json");
}

#[test]
fn foods_page_by_page_are_all_foods_once() {
    let server = Server::shared();
    let mut ids = Vec::new();
    let mut token = String::new();
    loop {
        let page = http::get(
            server.rest,
            &format!("/v1/foods?page_size=37&page_token={token}"),
        )
        .json();
        ids.extend(
            page["foods"]
                .as_array()
                .unwrap()
                .iter()
                .map(|f| f["id"].as_str().unwrap().to_owned()),
        );
        token = page["next_page_token"].as_str().unwrap().to_owned();
        if token.is_empty() {
            break;
        }
    }
    let seeds = std::fs::read_dir(repository().join("seed-data/foods")).unwrap();
    let rows: usize = seeds
        .map(|file| csv_rows(&std::fs::read_to_string(file.unwrap().path()).unwrap()))
        .sum();
    assert_eq!(ids.len(), rows);
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), rows, "a food stands on two pages");
}

/// Rows of a CSV file without its header; the food files have no line feed inside a cell.
fn csv_rows(text: &str) -> usize {
    text.lines().filter(|l| !l.is_empty()).count() - 1
}

#[test]
fn n39_an_hl7_message_is_refused() {
    // No door speaks HL7 v2: a diet order is refused as a whole, never read in part.
    let message = "MSH|^~\\&|ADT|ALDERBAY|CARB|ALDERBAY|20260311103015||OMD^O03^OMD_O03|000417|T|2.5.1\rODS|D|LUN^Lunch^L||no | onion\r";
    let server = Server::shared();
    for kind in ["application/hl7-v2", "x-application/hl7-v2+er7"] {
        let answer = http::send(
            server.rest,
            "POST",
            PATH,
            &[("content-type", kind)],
            message.as_bytes(),
        );
        problem(&answer, 415, "UNSUPPORTED_MEDIA_TYPE");
    }
    problem(
        &http::post(server.rest, PATH, message),
        400,
        "REQUEST_MALFORMED",
    );
    let ran = run(&["assess", "--json", "-"], message);
    assert!(ran.code == 2 || ran.json()["ruling"] != "serve", "{ran:?}");
}

#[test]
fn n40_idempotency_keys_change_nothing() {
    // Assessments store nothing, so a key has nothing to guard: the same body gives the same bytes,
    // another body under the same key gives its own answer. A key that guards is for what stores.
    let server = Server::shared();
    let send = |body: &str| {
        let headers = [
            ("content-type", "application/json"),
            ("idempotency-key", "\"8e03978e\""),
        ];
        http::send(server.rest, "POST", PATH, &headers, body.as_bytes())
    };
    let (one, other) = (case("rice-bowl.json"), case("margarita.json"));
    let first = send(&one);
    assert_eq!(first.status, 200);
    assert_eq!(first.body, send(&one).body);
    assert_eq!(send(&other).json()["name"], "Agave margarita");
    assert_eq!(
        first.body,
        http::post(server.rest, PATH, &one).body,
        "with the key and without"
    );
}

#[test]
fn many_at_once_get_the_same_answer() {
    let server = Server::shared();
    let body = case("chicken-noodle-soup.json");
    let first = http::post(server.rest, PATH, &body).body;
    std::thread::scope(|scope| {
        for _ in 0..16 {
            scope.spawn(|| {
                for _ in 0..8 {
                    let answer = http::post(server.rest, PATH, &body);
                    assert_eq!((answer.status, &answer.body), (200, &first));
                }
            });
        }
    });
}

#[test]
fn a_request_under_way_is_finished_before_the_end() {
    let mut server = Server::start();
    server.ready();
    let body = case("chicken-noodle-soup.json");
    let wanted = http::post(server.rest, PATH, &body).body;
    let mut stream = http::connect(server.rest);
    let head = format!(
        "POST {PATH} HTTP/1.1\r\nhost: x\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n",
        body.len()
    );
    let (first, second) = body.split_at(body.len() / 2);
    stream
        .write_all(format!("{head}{first}").as_bytes())
        .unwrap();
    std::thread::sleep(Duration::from_millis(300));
    server.tell_to_stop();
    let begun = Instant::now();
    while TcpStream::connect(server.rest).is_ok() {
        assert!(
            begun.elapsed() < Duration::from_secs(5),
            "still takes connections"
        );
        std::thread::sleep(Duration::from_millis(20));
    }
    stream.write_all(second.as_bytes()).unwrap();
    let answer = finish(&mut stream);
    assert_eq!(answer.status, 200, "{answer:?}");
    assert_eq!(answer.body, wanted);
    drop(stream);
    assert!(server.ended(Duration::from_secs(10)).success());
}

#[test]
fn a_silent_client_does_not_hold_up_the_end() {
    let mut server = Server::with(tamis_tests::tamis(), &["serve", "--drain", "1"], &[]);
    server.ready();
    let mut stream = http::connect(server.rest);
    stream.write_all(format!("POST {PATH} HTTP/1.1\r\nhost: x\r\ncontent-type: application/json\r\ncontent-length: 100\r\n\r\n{{").as_bytes()).unwrap();
    std::thread::sleep(Duration::from_millis(200));
    server.tell_to_stop();
    let _ = server.ended(Duration::from_secs(8));
}

#[test]
fn a_port_that_is_taken_is_named() {
    let taken = Server::shared().rest.to_string();
    let ran = run(&["serve", "--rest", &taken, "--grpc", "127.0.0.1:0"], "");
    assert_eq!(ran.code, 2);
    assert!(
        ran.err.contains(&taken) && ran.err.contains("--rest"),
        "{}",
        ran.err
    );
}

#[test]
fn exit_codes() {
    let code = |arguments: &[&str], input: &str| run(arguments, input).code;
    assert_eq!(
        code(&["assess", "-"], &case("plain-chicken.json")),
        0,
        "goes out"
    );
    assert_eq!(
        code(&["assess", "-"], &case("not-understood.json")),
        1,
        "referred"
    );
    assert_eq!(
        code(&["assess", "-"], &case("refused-cycle.json")),
        2,
        "refused"
    );
    assert_eq!(code(&["assess", "-"], ""), 2, "nothing");
    assert_eq!(code(&["assess", "/nowhere/card.txt"], ""), 2, "no file");
    assert_eq!(code(&["read", "-"], "300 g rice\n"), 0);
    assert_eq!(code(&["read", "-"], "3 flurbs of zint\n"), 1);
    assert_eq!(code(&["foods", "scallion-green"], ""), 0);
    assert_eq!(code(&["nonsense"], ""), 2);
    assert_eq!(code(&["assess", "--phase", "strict", "-"], "x"), 2);
    assert_eq!(code(&["check-data"], ""), 0);
    assert_eq!(code(&["check-data", "/nowhere"], ""), 2);
}

#[test]
fn data_that_does_not_hold_together_is_told_by_place() {
    let folder = tempfile::tempdir().unwrap();
    let copied = std::process::Command::new("cp")
        .arg("-r")
        .arg(repository().join("seed-data/."))
        .arg(folder.path())
        .status();
    assert!(copied.is_ok_and(|s| s.success()));
    let path = folder.path().to_str().unwrap();
    let checked = run(&["check-data", path], "");
    assert_eq!(checked.code, 0, "{}{}", checked.out, checked.err);
    let file = folder.path().join("measures/vegetables.csv");
    let mut text = std::fs::read_to_string(&file).unwrap();
    text += "wibblefruit,,cup,-3,,,usda-sr28,NDB 0,measured\n";
    std::fs::write(&file, &text).unwrap();
    let ran = run(&["check-data", path], "");
    assert_eq!(ran.code, 2, "{}", ran.out);
    let said = ran.out + &ran.err;
    let line = text.lines().count().to_string();
    assert!(
        said.contains("measures/vegetables.csv") && said.contains(&line),
        "{said}"
    );
}

#[test]
fn completions_for_each_shell() {
    for shell in ["bash", "zsh", "fish"] {
        let ran = run(&["completions", shell], "");
        assert_eq!(ran.code, 0, "{}", ran.err);
        for command in ["assess", "check-data", "ticket"] {
            assert!(ran.out.contains(command), "{shell} does not know {command}");
        }
    }
    assert_eq!(run(&["completions", "abacus"], "").code, 2);
    // The script is one that bash reads.
    let script = run(&["completions", "bash"], "").out;
    let mut bash = std::process::Command::new("bash")
        .args(["-n"])
        .stdin(std::process::Stdio::piped())
        .spawn()
        .expect("bash runs");
    bash.stdin
        .take()
        .unwrap()
        .write_all(script.as_bytes())
        .unwrap();
    assert!(bash.wait().unwrap().success());
}

#[test]
fn answers_that_people_read_carry_the_caution() {
    let card = case("rice-bowl.json");
    for arguments in [&["assess", "-"][..], &["ticket", "-"], &["audit", "-"]] {
        let ran = run(arguments, &card);
        assert!(ran.code < 2, "{}", ran.err);
        assert!(
            ran.out.to_lowercase().contains("medical"),
            "{arguments:?}:\n{}",
            ran.out
        );
    }
    let cautions = http::post(Server::shared().rest, PATH, &card).json()["cautions"].clone();
    let text = cautions.to_string().to_lowercase();
    for word in ["medical", "gluten", "allergen", "dietitian", "tolerance"] {
        assert!(text.contains(word), "no word of {word}: {cautions}");
    }
}
