//! What can be typed of the work in the field.

use clap::Args;

#[derive(Debug, Args)]
#[command(
    after_help = "With no crop: the counts of the book, by season.\n\nExample: stook count soybeans --head 10,9,11,11 --behind 28,19,41,24 --tail \"windrow 5 ft of 30 ft\" --price 11"
)]
pub(crate) struct CountTyped {
    /// The crop; left out, the counts that are in the book
    pub crop: Option<String>,
    /// Seeds in each frame behind the head: back up a machine length first; e.g. 10,9,11,11
    #[arg(long, value_name = "SEEDS", allow_hyphen_values = true)]
    pub head: Option<String>,
    /// Seeds in each frame behind the machine, e.g. 28,19,41,24
    #[arg(long, value_name = "SEEDS", allow_hyphen_values = true)]
    pub behind: Option<String>,
    /// What the tail did: spread, "spread 20 ft of 30 ft", "windrow 5 ft of 30 ft" (its width and the
    /// cut's) or unknown
    #[arg(long)]
    pub tail: Option<String>,
    /// Price of a bushel, e.g. 11
    #[arg(long, allow_hyphen_values = true)]
    pub price: Option<String>,
    /// Seeds in each frame in the standing crop, e.g. 2,1,2,2; for corn also "1 ear"
    #[arg(long, value_name = "SEEDS", allow_hyphen_values = true)]
    pub standing: Option<String>,
    /// Size of a frame: "1 ft2" (if left out), "2 ft x 5 ft", "hoop 34 in"
    #[arg(long)]
    pub frame: Option<String>,
    /// Weight of 1,000 seeds, "180 g", or seeds a pound, "2,900/lb"; else our default for the crop
    #[arg(long, value_name = "WEIGHT")]
    pub seed_weight: Option<String>,
    /// Acres cut an hour, for money an hour
    #[arg(long, value_name = "ACRES", allow_negative_numbers = true)]
    pub acres_an_hour: Option<f64>,
    /// Harvested yield in bushels an acre, for per cent of the total yield
    #[arg(long = "yield", value_name = "BUSHELS", allow_negative_numbers = true)]
    pub bu_per_ac: Option<f64>,
    /// Loss in bushels an acre from which an adjustment is worth trying
    #[arg(long, value_name = "BUSHELS", allow_negative_numbers = true)]
    pub worth: Option<f64>,
    /// The figures are grams in each frame, for seeds too small to count
    #[arg(long)]
    pub weighed: bool,
    /// The season whose counts to list; the latest if left out
    #[arg(long, conflicts_with = "crop")]
    pub season: Option<u16>,
}

#[derive(Debug, Args)]
#[command(
    after_help = "With no word: what the season's stops took, and what the acres left will still bring.\n\nExamples: stook stop breakdown --part \"feeder chain\"\n          stook stop end --because breakdown --part \"feeder chain\" --cost 420\n          stook stop --an-hour 180"
)]
pub(crate) struct StopTyped {
    /// Why it stands now (wagon, plug, breakdown, moving, fuel-grease, weather, setting, rest, other), or end:
    /// it goes on; left out, the season's stops
    pub word: Option<String>,
    /// With end: why it stood, as it turned out
    #[arg(long, value_name = "WHY")]
    pub because: Option<String>,
    /// Which part broke or plugged
    #[arg(long)]
    pub part: Option<String>,
    /// Which combine
    #[arg(long)]
    pub machine: Option<String>,
    /// In which field
    #[arg(long)]
    pub field: Option<String>,
    /// What parts and labor cost, e.g. 420
    #[arg(long, allow_hyphen_values = true)]
    pub cost: Option<String>,
    /// How long it stood, where it is written afterwards, e.g. 25 or 1:10
    #[arg(long, allow_hyphen_values = true)]
    pub minutes: Option<String>,
    /// Which stop ends, by its id; the one that runs, if left out
    #[arg(long, value_name = "ENTRY")]
    pub which: Option<String>,
    /// Anything else
    #[arg(long)]
    pub remark: Option<String>,
    /// When, e.g. "2026-10-06 16:41"; now, if left out
    #[arg(long, value_name = "TIME")]
    pub at: Option<String>,
    /// Who writes
    #[arg(long, default_value = "owner")]
    pub by: String,
    /// What an hour of the machine and its crew costs, dollars, for the bill
    #[arg(long, value_name = "DOLLARS", allow_negative_numbers = true)]
    pub an_hour: Option<f64>,
    /// Price of a part that might lie on the shelf: does a spare pay? With --share, --saves and what an hour costs
    #[arg(long, value_name = "DOLLARS", allow_negative_numbers = true, requires_all = ["share", "saves"])]
    pub spare: Option<f64>,
    /// Of 100 breakdowns so many are that part
    #[arg(long, value_name = "PERCENT", allow_negative_numbers = true)]
    pub share: Option<f64>,
    /// Hours that having it saves at each
    #[arg(long, value_name = "HOURS", allow_negative_numbers = true)]
    pub saves: Option<f64>,
    /// What is paid more for having it rushed
    #[arg(long, value_name = "DOLLARS", allow_negative_numbers = true)]
    pub rush: Option<f64>,
    /// Per cent of the price that holding it a season costs; 20 if left out, a guess
    #[arg(long, value_name = "PERCENT", allow_negative_numbers = true)]
    pub holding: Option<f64>,
    /// Acres cut so far; from the book if left out
    #[arg(long, value_name = "ACRES", allow_negative_numbers = true)]
    pub acres_cut: Option<f64>,
    /// Acres still to cut; from the book if left out
    #[arg(long, value_name = "ACRES", allow_negative_numbers = true)]
    pub acres_left: Option<f64>,
    /// Which season; the latest if left out
    #[arg(long)]
    pub season: Option<u16>,
}
