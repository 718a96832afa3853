//! What the tests of the whole share: the built program, started as a kitchen starts it.
//!
//! The program is the one that `TAMIS_BIN` names, or else the one that cargo builds.

pub mod http;
pub mod server;

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::OnceLock;

use serde_json::Value;

/// The `tamis` program under test.
///
/// # Panics
/// When it cannot be built: no test of the whole means anything then.
#[must_use]
pub fn tamis() -> &'static Path {
    static PROGRAM: OnceLock<PathBuf> = OnceLock::new();
    PROGRAM.get_or_init(|| match std::env::var_os("TAMIS_BIN") {
        Some(path) => {
            let path = PathBuf::from(path);
            assert!(
                path.is_file(),
                "TAMIS_BIN names {}, which is no file",
                path.display()
            );
            path
        }
        None => build(&[]),
    })
}

/// Builds the program with more arguments for cargo, and tells where it is.
///
/// # Panics
/// When it cannot be built.
#[must_use]
pub fn build(arguments: &[&str]) -> PathBuf {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let built = Command::new(cargo)
        .args([
            "build",
            "--quiet",
            "-p",
            "tamis",
            "--message-format",
            "json-render-diagnostics",
        ])
        .args(arguments)
        .current_dir(repository())
        .stderr(Stdio::inherit())
        .output()
        .expect("cargo runs");
    assert!(built.status.success(), "the program does not build");
    let messages = String::from_utf8(built.stdout).expect("cargo writes UTF-8");
    messages
        .lines()
        .filter_map(|line| serde_json::from_str::<Value>(line).ok())
        .find_map(|message| message["executable"].as_str().map(PathBuf::from))
        .expect("cargo names the program it built")
}

/// The root of the repository.
#[must_use]
pub fn repository() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .expect("tests lies in the repository")
}

/// The text of a file under `tests/cases`.
///
/// # Panics
/// When it cannot be read.
#[must_use]
pub fn case(name: &str) -> String {
    let path = repository().join("tests/cases").join(name);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// The requests under `tests/cases`, by name.
///
/// # Panics
/// When the folder cannot be read.
#[must_use]
pub fn requests() -> Vec<(String, String)> {
    let folder = repository().join("tests/cases");
    let mut names: Vec<String> = std::fs::read_dir(&folder)
        .expect("the folder of cases is there")
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .into_string()
                .expect("UTF-8")
        })
        .filter(|name| name.ends_with(".json"))
        .collect();
    names.sort();
    names
        .into_iter()
        .map(|name| {
            let text = case(&name);
            (name, text)
        })
        .collect()
}

/// How a command of the program ended.
#[derive(Debug)]
pub struct Ran {
    /// Its exit code.
    pub code: i32,
    /// Its standard output.
    pub out: String,
    /// Its standard error.
    pub err: String,
}

impl Ran {
    /// Its standard output as JSON.
    ///
    /// # Panics
    /// When it is not.
    #[must_use]
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.out)
            .unwrap_or_else(|e| panic!("no JSON: {e}\n{}\n{}", self.out, self.err))
    }
}

/// Runs a command of the program with a text on standard input.
///
/// # Panics
/// When it cannot be run, or is ended by a signal.
#[must_use]
pub fn run(arguments: &[&str], input: impl AsRef<[u8]>) -> Ran {
    let mut child = Command::new(tamis())
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs");
    let mut stdin = child.stdin.take().expect("a pipe");
    let input = input.as_ref().to_vec();
    // A program that refuses early closes its input; that is its right.
    let feeder = std::thread::spawn(move || {
        let _ = stdin.write_all(&input);
    });
    let output = child.wait_with_output().expect("the program ends");
    feeder.join().expect("the input was fed");
    Ran {
        code: output.status.code().expect("the program ends by itself"),
        out: String::from_utf8(output.stdout).expect("output in UTF-8"),
        err: String::from_utf8(output.stderr).expect("messages in UTF-8"),
    }
}

/// Assesses a card in plain text or a request in JSON by the command line.
///
/// # Panics
/// When it is refused.
#[must_use]
pub fn assess(card: &str) -> Value {
    let ran = run(&["assess", "--json", "-"], card);
    assert!(ran.code < 2, "refused: {}\n{card}", ran.err);
    ran.json()
}

/// Assesses one portion made of these lines.
#[must_use]
pub fn plate(lines: &[&str]) -> Value {
    assess(
        &serde_json::json!({"dish": {"name": "Plate", "portions": 1, "lines": lines}}).to_string(),
    )
}

/// What `tamis read --json` understood of lines, one object each.
///
/// # Panics
/// When they are refused.
#[must_use]
pub fn read(lines: &str) -> Vec<Value> {
    let ran = run(&["read", "--json", "-"], lines);
    assert!(ran.code < 2, "refused: {}\n{lines}", ran.err);
    ran.out
        .lines()
        .map(|line| serde_json::from_str(line).expect("an object a line"))
        .collect()
}

/// What `tamis read --json` understood of one line.
///
/// # Panics
/// When it is not read as one line.
#[must_use]
pub fn read_one(line: &str) -> Value {
    let mut rows = read(line);
    assert_eq!(rows.len(), 1, "{line}: {rows:?}");
    rows.remove(0)
}

/// The load of one subgroup in an assessment.
///
/// # Panics
/// When there is no row of it.
#[must_use]
pub fn load<'a>(assessment: &'a Value, subgroup: &str) -> &'a Value {
    assessment["loads"]
        .as_array()
        .and_then(|rows| rows.iter().find(|row| row["subgroup"] == subgroup))
        .unwrap_or_else(|| panic!("no load of {subgroup} in {assessment}"))
}
