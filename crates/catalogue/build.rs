//! Rebuilds when the seed data change: the macro that embeds them does not watch the folder.

fn main() {
    println!("cargo:rerun-if-changed=../../seed-data");
}
