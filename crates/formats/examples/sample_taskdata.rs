//! Writes the archives of `reference/isoxml`: `cargo run -p stook-formats --example sample_taskdata FOLDER`.

#[path = "../tests/taskdata/build.rs"]
#[expect(
    clippy::unwrap_used,
    reason = "shared with the tests, where a failed step is a failed test"
)]
mod build;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args()
        .nth(1)
        .ok_or("name the folder to write to")?;
    for (name, transfer) in build::variants() {
        let path = std::path::Path::new(&folder).join(format!("{name}.zip"));
        std::fs::write(path, transfer.zip())?;
    }
    Ok(())
}
