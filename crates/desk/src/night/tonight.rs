//! What the Night page holds beside the day sheet: plain results, units in the names. Sentences are
//! facts for the page to word in its reader's language.

use crate::Why;
use crate::held::{Held, MoveWhy};
use crate::morning::NoteLine;
use crate::ranged::Ranged;
use account::square::{Field as SlipField, MistakeKind};
use serde::Serialize;

/// The evening of one harvest day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Evening {
    /// The farm.
    pub farm: String,
    /// Its time zone.
    pub zone: String,
    /// The season.
    pub season: u16,
    /// The harvest day, `2026-10-06`.
    pub day: String,
    /// When that day ends, UTC milliseconds.
    pub day_ends_ms: i64,
    /// The moment asked for, UTC milliseconds.
    pub now_ms: i64,
    /// The answer.
    pub says: EveningSays,
    /// The account, one a crop, what is furthest from square first.
    pub crops: Vec<CropAccount>,
    /// Slips that look wrong, the most certain first.
    pub suspects: Vec<Suspicion>,
    /// Photographs of tickets that nobody has typed, the oldest first.
    pub untyped: Vec<UntypedTicket>,
    /// Load cards that are missing from their pad.
    pub missing_cards: Vec<MissingCards>,
    /// What phones wrote and could not be read, the oldest first.
    pub unread: Vec<UnreadEntry>,
    /// On wheels and in bins tonight; what must move first first.
    pub held: Vec<HeldTonight>,
    /// Loss counts of the day.
    pub counts: Vec<crate::count::Counted>,
    /// Stops of the day.
    pub stops: Stops,
    /// Acres and bushels by field.
    pub fields: Vec<FieldTonight>,
    /// Insured units beside their call-at yields.
    pub units: Vec<UnitTonight>,
    /// Contracts and what is still owed.
    pub contracts: Vec<ContractOwed>,
    /// The last copy kept off this machine; none was ever written down.
    pub copy: Option<LastCopy>,
    /// The day as it went, on the hour ruler.
    pub ruler: Ruler,
    /// Notes of the day, the latest first.
    pub notes: Vec<NoteLine>,
    /// Questions that nobody answered, the oldest first.
    pub questions: Vec<NoteLine>,
    /// What else a person should look at.
    pub look_at: Vec<LookAt>,
    /// Keys of cautions for tonight's acts (`facts::Act`).
    pub cautions: Vec<&'static str>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

/// The evening's sentence.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "says", rename_all = "snake_case")]
pub enum EveningSays {
    /// Nothing is written yet.
    Empty {},
    /// Slips there are, but nothing checks them.
    Unchecked {
        /// How many.
        slips: usize,
    },
    /// Square.
    Square {
        /// Slips and measures that check each other.
        checked: usize,
        /// Slips and measures in all.
        slips: usize,
        /// Names of slips that are odd by themselves, though.
        odd: Vec<String>,
    },
    /// Not square, and one slip or several look wrong.
    Suspect {
        /// Whether grain is short; else it is over.
        short: bool,
        /// By how many dry bushels, without sign; none for a crop without a bushel.
        off_by_dry_bu: Option<Ranged>,
        /// The same in dry pounds.
        off_by_dry_lb: Ranged,
        /// Of which crop, by key.
        crop: String,
        /// On which field, where the slip's filling came off one field.
        field: Option<String>,
        /// The slip that looks wrong first.
        slip: String,
        /// Its likely mistake, where one is likelier than chance or something else.
        likely: Option<Likely>,
        /// Other slips that look wrong.
        others: Vec<String>,
    },
    /// Not square, but chance does as much now and then: no slip is blamed.
    NotSquare {
        /// The slip that fits worst.
        worst: Option<String>,
        /// Its test.
        worst_z: f64,
        /// Clean seasons in a hundred that alarm as much by chance alone.
        by_chance_in_100: f64,
    },
}

/// What may have happened to a slip. What should have been written is never given: it is read from the paper.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Likely {
    /// The kind of mistake.
    pub kind: MistakeKind,
    /// Where on the slip.
    pub field: SlipField,
    /// Its chance among everything considered, 0 to 1.
    pub chance: f64,
    /// What it would change in the slip's dry bushels; in dry pounds for a crop without a bushel.
    pub change: f64,
    /// Whether `change` is in bushels.
    pub in_bushels: bool,
}

/// One crop's account: two bars at one scale, came off (and opening) against where it went.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CropAccount {
    /// The crop's key.
    pub crop: String,
    /// The crop in print, English.
    pub crop_name: String,
    /// The bushels' base moisture, per cent; none: figures are dry pounds.
    pub base_moisture_pct: Option<f64>,
    /// Came off the fields, monitors set to the scale.
    pub came_off: Ranged,
    /// Opening stock.
    pub opening: Ranged,
    /// Sold.
    pub sold: Ranged,
    /// Tickets behind it.
    pub sold_tickets: usize,
    /// On claim at buyers.
    pub on_claim: Ranged,
    /// On wheels.
    pub on_wheels: Ranged,
    /// In bins, piles and the dryer.
    pub in_bins: Ranged,
    /// Fed, kept for seed or spilt.
    pub used: Ranged,
    /// Unexplained; positive is short.
    pub unexplained: Ranged,
    /// Weighed loads that set the monitors.
    pub weighed_loads: usize,
    /// Fields that it came off.
    pub fields: Vec<String>,
}

/// A slip that looks wrong, beside what its wagon usually weighs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Suspicion {
    /// The slip, by the name people know.
    pub slip: String,
    /// Its entry.
    pub entry: Option<String>,
    /// Kind of entry.
    pub kind: String,
    /// The crop's key.
    pub crop: Option<String>,
    /// When it happened, UTC milliseconds.
    pub at_ms: Option<i64>,
    /// Written less what everything else says, dry bushels; dry pounds for a crop without a bushel.
    pub off_by: Ranged,
    /// Whether `off_by` is in bushels.
    pub in_bushels: bool,
    /// What may have happened, the most likely first.
    pub likely: Vec<Likely>,
    /// Chance that it is only noise, 0 to 1.
    pub noise: f64,
    /// Chance that it is something else, 0 to 1.
    pub something_else: f64,
    /// Other slips that no test tells from it.
    pub alike: Vec<String>,
    /// Its figures as typed, beside the habit of its wagon.
    pub figures: Vec<TypedFigure>,
    /// Its photograph: SHA-256, if one is on record.
    pub photograph: Option<String>,
    /// A question about it that is open, its entry.
    pub question: Option<String>,
}

/// One figure of a slip.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TypedFigure {
    /// Its name in `written::FORMS`.
    pub figure: String,
    /// As typed; several for a list.
    pub typed: Vec<String>,
    /// Whether it was worked out and not typed.
    pub worked_out: bool,
    /// Whether the likeliest mistake sits here.
    pub odd: bool,
    /// What this wagon or machine had on earlier slips.
    pub habit: Option<Habit>,
}

/// The range of earlier figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Habit {
    /// Lowest, as people write it, with its unit.
    pub lowest: String,
    /// Highest.
    pub highest: String,
    /// How many slips.
    pub slips: usize,
    /// Whether this slip's figure lies outside.
    pub outside: bool,
}

/// A photograph of a ticket that no slip carries.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UntypedTicket {
    /// Its file entry.
    pub entry: String,
    /// The photograph.
    pub sha256: String,
    /// What it is of, as written.
    pub of: Vec<String>,
    /// Who took it.
    pub author: String,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// Whether its bytes are in the book; none where nobody looked.
    pub there: Option<bool>,
}

/// Numbers missing from a pad of load cards.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MissingCards {
    /// Whose pad.
    pub machine: String,
    /// The numbers as they would be printed.
    pub numbers: Vec<String>,
    /// The number before the gap.
    pub after: String,
    /// The number after it.
    pub before: String,
}

/// What a phone wrote and could not be read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UnreadEntry {
    /// Its entry; strike it out once it is written anew.
    pub entry: String,
    /// What kind it said it was.
    pub sent_as: String,
    /// Its figures as typed.
    pub figures: Vec<(String, Vec<String>)>,
    /// Why it was not read.
    pub why: String,
    /// Who wrote it.
    pub author: String,
    /// When it happened, UTC milliseconds.
    pub at_ms: i64,
}

/// Grain held tonight.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeldTonight {
    /// What and where.
    pub held: Held,
    /// Bushels dry at the base, with range, where known.
    pub dry_bu: Option<Ranged>,
    /// Hours since the last of it went in.
    pub hours: Option<f64>,
    /// Whether it must move before the others.
    pub move_first: bool,
    /// Why it should move.
    pub why: Vec<MoveWhy>,
}

/// The stops of a day.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Stops {
    /// Minutes in all, a running stop up to now included.
    pub minutes: i64,
    /// By cause, the longest first.
    pub by_why: Vec<StopCause>,
    /// A stop that nobody ended: its entry.
    pub running: Option<String>,
    /// Since when, UTC milliseconds.
    pub running_since_ms: Option<i64>,
    /// Minutes broken or plugged, two stops at once once.
    pub broke_minutes: i64,
    /// What an hour costs by the season's settings, money in dollars; none if the owner gave none or nothing broke.
    pub hour: Option<String>,
    /// Those minutes at that cost, to the cent, money in dollars.
    pub broke_worth: Option<String>,
    /// Written cost of parts and labor, money in dollars as written; none if nothing was written.
    pub cost: Option<String>,
}

/// The stops of one cause.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StopCause {
    /// The cause, by key: wagon, plug, breakdown, moving, fuel_grease, weather, setting, rest, other.
    pub why: &'static str,
    /// Minutes.
    pub minutes: i64,
    /// How many.
    pub stops: usize,
}

/// A field tonight.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldTonight {
    /// The field.
    pub field: String,
    /// The crop's key.
    pub crop: String,
    /// The crop in print, English.
    pub crop_name: String,
    /// Tanks emptied today.
    pub dumps_today: usize,
    /// Tanks emptied this season.
    pub dumps: usize,
    /// Came off today by the dumps, dry bushels at the base, monitors set to the scale.
    pub came_off_today_dry_bu: Option<f64>,
    /// Came off this season, the same.
    pub came_off_dry_bu: Option<f64>,
    /// Loads of it at rest: at buyers, in bins, fed; dry bushels at the base.
    pub at_rest_dry_bu: Option<f64>,
    /// That base, per cent.
    pub base_moisture_pct: Option<f64>,
    /// Acres planted, if written.
    pub planted_ac: Option<f64>,
    /// Acres cut, if written this season.
    pub cut_ac: Option<f64>,
    /// Tanks whose weight nobody knows: the figures are short by those.
    pub unweighed: usize,
}

/// An insured unit beside its call-at yield. What is covered is never said.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UnitTonight {
    /// The unit; none is grain that cannot be tied to one.
    pub unit: Option<String>,
    /// The crop's key.
    pub crop: String,
    /// The crop in print, English.
    pub crop_name: String,
    /// Its fields.
    pub fields: Vec<String>,
    /// Insurance bushels of weighed loads at rest.
    pub insurance_bu: f64,
    /// Loads in it.
    pub loads: usize,
    /// Loads that could not be converted.
    pub unconverted: usize,
    /// Acres that the yield is over.
    pub acres: Option<f64>,
    /// Which acres: `cut` or `planted`.
    pub which_acres: Option<&'static str>,
    /// Insurance bushels an acre so far, over those acres.
    pub bu_per_ac: Option<Ranged>,
    /// The agent's call-at yield, insurance bushels an acre.
    pub call_at_bu_per_ac: Option<f64>,
    /// How the two stand.
    pub against: Option<Against>,
    /// Last day to give notice, `2026-10-21`.
    pub notice_by: Option<String>,
    /// What people call the agent.
    pub agent: Option<String>,
    /// The agent's telephone number.
    pub telephone: Option<String>,
    /// The entry that says so.
    pub entry: Option<String>,
}

/// A yield beside its call-at yield.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Against {
    /// Its whole range lies at or over the call-at yield.
    Over,
    /// It may be under: call the agent before anything is finished, mixed, fed or destroyed.
    MayBeUnder,
    /// Over planted acres, part of which may still stand: write the acres cut to know.
    NotKnownYet,
}

/// A contract and what is owed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ContractOwed {
    /// Its entry.
    pub entry: String,
    /// Its number, if written.
    pub number: Option<String>,
    /// The buyer.
    pub buyer: String,
    /// The crop's key.
    pub crop: String,
    /// The crop in print, English.
    pub crop_name: String,
    /// Promised, the buyer's bushels.
    pub promised_bu: f64,
    /// Delivered under it so far, bushels as `counted` says.
    pub delivered_bu: f64,
    /// Still owed, never below 0.
    pub owed_bu: f64,
    /// Tickets under it.
    pub tickets: usize,
    /// How they were counted.
    pub counted: Counted,
    /// Last day of delivery, `2026-11-30`.
    pub deliver_by: Option<String>,
}

/// How delivered bushels were counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Counted {
    /// Every ticket in the buyer's bushels, by its schedule.
    BuyersBushels,
    /// Some or all tickets as weighed over the legal bushel, since no schedule settles them.
    AsWeighed,
    /// The contract has no number: no ticket can be told to be under it.
    NoNumber,
}

/// The last copy kept off this machine.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LastCopy {
    /// Its entry.
    pub entry: String,
    /// Where it is kept.
    pub kept_at: String,
    /// Entries in it.
    pub entries: u64,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// How old, whole days.
    pub days: i64,
}

/// The day on the hour ruler, 6 in the morning to 10 in the evening, local time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ruler {
    /// Where the ruler begins, hours.
    pub from_h: f64,
    /// Where it ends, hours.
    pub to_h: f64,
    /// What the combines did, each machine's in order of time.
    pub spans: Vec<Span>,
    /// Dumps, each by its number, in order of time.
    pub dumps: Vec<Tick>,
    /// Tickets, in order of time.
    pub tickets: Vec<Tick>,
    /// Minutes cutting, by the dumps.
    pub cutting_minutes: i64,
    /// Minutes stopped, as written.
    pub stopped_minutes: i64,
}

/// Something that lasted.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Span {
    /// Which combine, if written.
    pub machine: Option<String>,
    /// From when, local hours of the ruler.
    pub from_h: f64,
    /// Until when.
    pub to_h: f64,
    /// Whether it goes on beyond the ruler.
    pub beyond: bool,
    /// What.
    pub did: Did,
    /// Its length, minutes.
    pub minutes: i64,
}

/// What a combine did.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "did", rename_all = "snake_case")]
pub enum Did {
    /// It cut, as its dumps tell.
    Cut {
        /// The field.
        field: String,
        /// The crop's key.
        crop: String,
    },
    /// It stood, as written.
    Stood {
        /// Why, by key.
        why: &'static str,
        /// Whether it still stands.
        running: bool,
    },
    /// It went to another field, as its dumps tell.
    Moved {
        /// To which.
        to: String,
    },
}

/// Something at a moment.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Tick {
    /// When, local hours of the ruler.
    pub at_h: f64,
    /// Whether it lies beyond the ruler, and so at its end.
    pub beyond: bool,
    /// The number on the card or ticket, if any.
    pub number: Option<String>,
    /// How it stands.
    pub state: TickState,
    /// Its entry.
    pub entry: String,
    /// UTC milliseconds.
    pub at_ms: i64,
}

/// How a dump or ticket stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TickState {
    /// Written.
    Typed,
    /// A photograph that nobody typed.
    Untyped,
    /// It looks wrong.
    Suspect,
}

/// What else a person should look at.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "look", rename_all = "snake_case")]
pub enum LookAt {
    /// An entry was corrected several times, none knowing of the others; the last holds.
    Conflict {
        /// The entry.
        entry: String,
        /// How many wordings are left.
        wordings: usize,
    },
    /// An entry needs a newer stook; it is kept.
    NeedsNewer {
        /// The entry.
        entry: String,
        /// Its kind.
        kind: String,
    },
    /// The clock behind an entry disagrees with the rest of the book.
    ClockOdd {
        /// The entry.
        entry: String,
        /// By how many minutes.
        minutes: f64,
    },
    /// A device's clock was off when it sent; its entries keep what it said.
    ClockOff {
        /// The device, as people call it.
        device: String,
        /// Minutes; positive is ahead.
        minutes: i64,
        /// Entries sent then.
        entries: usize,
    },
    /// A slip could not be posted.
    SetAside {
        /// The slip.
        slip: String,
        /// Why, English.
        why: String,
    },
    /// A slip has no weight, and nothing later weighed it.
    NoWeight {
        /// The slip.
        slip: String,
        /// Its entry.
        entry: Option<String>,
    },
    /// Something about a slip, English.
    Slip {
        /// The slip.
        slip: String,
        /// What, English.
        what: String,
    },
    /// A ticket does not say sell, store or price later.
    TermsBlank {
        /// Its number, if it has one.
        number: Option<String>,
        /// Its entry.
        entry: String,
    },
    /// Two load cards of one machine carry one number.
    NumberTwice {
        /// The machine.
        machine: String,
        /// The number.
        number: String,
        /// The entries.
        entries: Vec<String>,
    },
    /// Something was assumed on the way, English.
    Assumed {
        /// What.
        what: String,
    },
}
