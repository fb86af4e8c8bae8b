//! Official grade limits (7 CFR 810), by crop.

use crate::{Crop, Provenance};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// Whether a limit is the least or the greatest value that the grade allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LimitSide {
    /// The grade needs at least this.
    Min,
    /// The grade allows at most this.
    Max,
}

/// One factor's limits, best grade first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GradeLimits {
    /// The factor's key ("test_weight", "total_damage").
    pub factor: String,
    /// Least or greatest.
    pub side: LimitSide,
    /// Unit of the limits.
    pub unit: String,
    /// One limit a grade, No. 1 first.
    pub values: Vec<f64>,
    /// How these limits were come by.
    pub tag: Provenance,
}

/// A crop's grade table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GradeTable {
    /// The crop.
    pub crop: Crop,
    /// The regulation.
    pub standard: String,
    /// Where it was read, or "from memory".
    pub source: String,
    /// Number of numbered grades.
    pub grades: usize,
    /// Limits by factor.
    pub limits: Vec<GradeLimits>,
}

/// Something that makes grain sample grade whatever its other factors.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SampleReason {
    /// The factor or flag that states it ("stones", "musty").
    pub factor: String,
    /// More than this makes sample grade; none for a flag that is simply there or not.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub more_than: Option<f64>,
    /// The rule in words.
    pub words: String,
    /// The crop keys it stands for.
    pub crops: Vec<String>,
    /// Where it was read, or "from memory".
    pub source: String,
    /// How it was come by.
    pub tag: Provenance,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    crops: Vec<Crop>,
    standard: String,
    source: String,
    grades: usize,
    limit: Vec<GradeLimits>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    table: Vec<Table>,
    sample: Vec<SampleReason>,
}

static FILE: LazyLock<File> = LazyLock::new(|| {
    toml::from_str(include_str!("../data/grades.toml")).expect("the embedded grades file is tested")
});
static TABLES: LazyLock<BTreeMap<Crop, GradeTable>> = LazyLock::new(|| {
    FILE.table
        .iter()
        .flat_map(|table| table.crops.iter().map(move |crop| (table, *crop)))
        .map(|(table, crop)| {
            let whole = GradeTable {
                crop,
                standard: table.standard.clone(),
                source: table.source.clone(),
                grades: table.grades,
                limits: table.limit.clone(),
            };
            (crop, whole)
        })
        .collect()
});

/// A crop's grade table; `None` where nobody here has one (barley).
///
/// ```
/// let corn = facts::grade_table(facts::Crop::Corn).expect("listed");
/// assert_eq!(corn.limits[0].values, [56.0, 54.0, 52.0, 49.0, 46.0]);
/// ```
pub fn grade_table(crop: Crop) -> Option<&'static GradeTable> {
    TABLES.get(&crop)
}

/// What makes this crop sample grade, apart from failing the lowest numbered grade.
pub fn sample_reasons(crop: Crop) -> impl Iterator<Item = &'static SampleReason> {
    FILE.sample
        .iter()
        .filter(move |reason| reason.crops.iter().any(|key| key == crop.key()))
}
