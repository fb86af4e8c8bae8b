//! s
use anyhow::Result;
use std::path::Path;
pub(crate) fn write(_p: &Path, _t: &str) -> Result<()> {
    Ok(())
}
pub(crate) fn tests(_s: &desk::Squaring) -> String {
    String::new()
}
pub(crate) fn sheet(_s: &desk::night::Night) -> String {
    String::new()
}
pub(crate) fn points(_a: &desk::passes::PassAnswer, _r: &formats::delimited::PointsRead) -> String {
    String::new()
}
