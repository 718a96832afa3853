//! The data in the binary pass their own checks.

use tamis_catalogue::Catalogue;

#[test]
fn the_embedded_data_load_without_faults() {
    match Catalogue::embedded() {
        Ok(c) => println!("{} {:?}, {} warnings", c.version(), c.counts(), c.warnings().len()),
        Err(e) => {
            for fault in &e.faults {
                eprintln!("{fault}");
            }
            panic!("{e}");
        }
    }
}
