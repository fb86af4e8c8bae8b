//! What can be typed: one definition that feeds help, completions and man pages.

use crate::args_account::{AuditTyped, MendTyped, NightTyped, PassTyped, SquareTyped, StrikeTyped};
use crate::args_field::{CountTyped, StopTyped};
use crate::args_ready::{CostTyped, ReadyTyped, SettingsTyped, TiresTyped};
use crate::args_speed::{CapacityTyped, SpeedTyped, WagonsTyped};
use crate::args_write::WriteTyped;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Every bushel of a small harvest, from standing crop to settled sheet.
#[derive(Debug, Parser)]
#[command(
    name = "stook",
    version,
    max_term_width = 100,
    disable_help_subcommand = true
)]
pub(crate) struct Typed {
    /// Print the result as JSON, with units in the keys
    #[arg(long, global = true)]
    pub json: bool,
    /// Print in US or metric units
    #[arg(long, global = true, value_enum, default_value_t = UnitsTyped::Us)]
    pub units: UnitsTyped,
    /// Show inputs, formula, source and evidence behind each figure
    #[arg(long, global = true)]
    pub why: bool,
    /// The farm's book
    #[arg(
        long,
        global = true,
        value_name = "FILE",
        env = "STOOK_BOOK",
        default_value = "farm.stook"
    )]
    pub book: PathBuf,
    /// What to do
    #[command(subcommand)]
    pub act: Option<Act>,
}

/// US or metric.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum UnitsTyped {
    /// Pounds, acres, bushels
    Us,
    /// Kilograms, hectares, tonnes
    Metric,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Act {
    /// Build the demo farm, square it, mend its eight mistakes and print the day sheet
    Demo(DemoTyped),
    /// Arithmetic with no book: shrink, give-away, ticket, bin, pile, cost, tires, convert, grade, capacity, network
    #[command(subcommand)]
    Calc(CalcTyped),
    /// The farm's one file: new, check, backup, merge, export, import, show
    #[command(subcommand)]
    Book(BookTyped),
    /// Write down one thing that happened
    Write(WriteTyped),
    /// Correct an entry: a new entry that names the old one, with a reason
    Mend(MendTyped),
    /// Strike out an entry; it stays visible, with a reason
    Strike(StrikeTyped),
    /// Square the account: what balances, what does not, and which slip looks wrong
    Square(SquareTyped),
    /// Recompute a ticket's settlement line by line against its buyer's schedule
    Audit(AuditTyped),
    /// The day sheet: is it square, what is on wheels, what each field made
    Night(NightTyped),
    /// How fast to drive: the speed of least cost an acre, from losses or from the book's counts
    Speed(SpeedTyped),
    /// Combine points: what a file of raw points adds up to
    #[command(subcommand)]
    Pass(PassTyped),
    /// What lies on the ground: loss in bushels and money from seeds counted in frames
    Count(CountTyped),
    /// The ready lists: what is due, tick by number with a reading, take the starter set in
    Ready(ReadyTyped),
    /// What was set on the combine, and whether it was real, with money; what the trade tries first
    Settings(SettingsTyped),
    /// What stood still: begin a stop, end it, or what the season's stops took and will still take
    Stop(StopTyped),
    /// What is left in a field, and whether it fits the wagons that stand there
    Wagons(WagonsTyped),
    /// Serve the day on this computer, and to phones with --lan; opens the browser
    Serve(ServeTyped),
    /// Print shell completions
    #[command(hide = true)]
    Completions {
        /// For which shell
        shell: clap_complete::Shell,
    },
    /// Write the man pages into a folder
    #[command(hide = true)]
    Man {
        /// Where to
        folder: PathBuf,
    },
}

#[derive(Debug, Args)]
pub(crate) struct ServeTyped {
    /// Port on this computer; 0 takes a free one
    #[arg(long, env = "STOOK_PORT", default_value_t = 7468)]
    pub port: u16,
    /// Serve phones in the same network over HTTPS, with a certificate authority of the farm's own
    #[arg(long)]
    pub lan: bool,
    /// Serve behind a proxy or tunnel of your own, under this host name
    #[arg(long, value_name = "HOST")]
    pub behind: Option<String>,
    /// A further host name that phones use, or this computer's address in their network
    #[arg(long, value_name = "NAME")]
    pub host: Vec<String>,
    /// Your own certificate, PEM
    #[arg(long, value_name = "FILE", requires = "key")]
    pub cert: Option<PathBuf>,
    /// The certificate's key, PEM
    #[arg(long, value_name = "FILE", requires = "cert")]
    pub key: Option<PathBuf>,
    /// Make a new certificate authority in the place of the one that phones trust now
    #[arg(long, requires = "lan")]
    pub new_authority: bool,
    /// Folder for what is no part of the book: people's access, the authority's key
    #[arg(long, value_name = "FOLDER", env = "STOOK_STATE")]
    pub state: Option<PathBuf>,
    /// Do not open the browser
    #[arg(long)]
    pub no_open: bool,
    /// Go by this time instead of the machine's clock, to try a season that is over, e.g.
    /// "2025-10-14 17:30"
    #[arg(long, value_name = "TIME", env = "STOOK_CLOCK")]
    pub clock: Option<String>,
}

#[derive(Debug, Args)]
pub(crate) struct DemoTyped {
    /// Seed of the invented season
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Folder to build in; an existing one is rebuilt only if it carries the demo's own marker
    #[arg(long, value_name = "FOLDER", default_value = "demo-farm")]
    pub folder: PathBuf,
}

#[derive(Debug, Subcommand)]
pub(crate) enum CalcTyped {
    /// Water shrink, flat shrink and handling loss from one moisture to another
    Shrink(ShrinkTyped),
    /// What grain drier than the buyer's base gives away
    Giveaway(GiveawayTyped),
    /// Settle a weigh ticket by a buyer's schedule, line by line
    Ticket(TicketTyped),
    /// Grain in a round or flat bin
    Bin(BinTyped),
    /// A free pile on the ground
    Pile(PileTyped),
    /// What a machine costs to run, an hour and an acre
    Cost(CostTyped),
    /// What to do with a tire, under what tire and rim are marked for
    Tires(TiresTyped),
    /// Convert a written quantity
    Convert(ConvertTyped),
    /// Grade a sample from its factors
    Grade(GradeTyped),
    /// Acres and bushels an hour, hours left, when a tank is full, whether the rest fits
    Capacity(CapacityTyped),
    /// Square any network of measured flows given as JSON
    Network {
        /// JSON file: unknowns, balances and measurements (see README)
        file: PathBuf,
    },
}

#[derive(Debug, Args)]
pub(crate) struct ShrinkTyped {
    /// Moisture now, e.g. 18.2%
    #[arg(long)]
    pub from: String,
    /// Moisture to, usually the buyer's base, e.g. 15%
    #[arg(long)]
    pub to: String,
    /// Wet weight, e.g. "52,220 lb"
    #[arg(long)]
    pub weight: Option<String>,
    /// Crop, for bushels
    #[arg(long)]
    pub crop: Option<String>,
    /// Flat ("pencil") shrink in per cent a point, e.g. 1.4
    #[arg(long, value_name = "PERCENT")]
    pub flat: Option<f64>,
    /// Handling loss in per cent, e.g. 0.5
    #[arg(long, value_name = "PERCENT")]
    pub handling: Option<f64>,
}

#[derive(Debug, Args)]
pub(crate) struct GiveawayTyped {
    /// Moisture as sold, e.g. 9%
    #[arg(long)]
    pub moisture: String,
    /// The buyer's base moisture, e.g. 13%
    #[arg(long)]
    pub base: String,
    /// Yield at the base, e.g. "75 bu/ac" (needs --acres-are)
    #[arg(long = "yield", value_name = "YIELD")]
    pub yield_at_base: Option<String>,
    /// Which acres the yield counts: reported, planted, measured or cut
    #[arg(long, value_name = "ACRES")]
    pub acres_are: Option<String>,
    /// Price, e.g. "$9.00/bu"
    #[arg(long)]
    pub price: Option<String>,
    /// Crop, for bushels
    #[arg(long)]
    pub crop: Option<String>,
}

#[derive(Debug, Args)]
pub(crate) struct TicketTyped {
    /// The schedule, as TOML or JSON
    #[arg(long, value_name = "FILE")]
    pub schedule: PathBuf,
    /// Loaded weight, e.g. "78,460 lb"
    #[arg(long)]
    pub gross: Option<String>,
    /// Empty weight
    #[arg(long)]
    pub tare: Option<String>,
    /// Net weight, where gross and tare are not known
    #[arg(long)]
    pub net: Option<String>,
    /// Moisture, e.g. 18.2%
    #[arg(long)]
    pub moisture: Option<String>,
    /// Test weight, e.g. "54.0 lb/bu"
    #[arg(long)]
    pub test_weight: Option<String>,
    /// Other factors, e.g. --factor "foreign material=1.2"
    #[arg(long = "factor", value_name = "NAME=VALUE")]
    pub factors: Vec<String>,
    /// Price, e.g. "$4.15/bu"
    #[arg(long)]
    pub price: Option<String>,
}

#[derive(Debug, Args)]
pub(crate) struct BinTyped {
    /// Inside diameter of a round bin, e.g. 30ft
    #[arg(long, conflicts_with_all = ["length", "width"])]
    pub across: Option<String>,
    /// Length of a flat store
    #[arg(long, requires = "width")]
    pub length: Option<String>,
    /// Width of a flat store
    #[arg(long, requires = "length")]
    pub width: Option<String>,
    /// Depth of grain at the wall, e.g. 16ft; several points as "16ft;15.5ft" are averaged
    #[arg(long)]
    pub depth: String,
    /// Height of the peak above the wall line
    #[arg(long, conflicts_with = "hollow")]
    pub peak: Option<String>,
    /// Depth of the hollow (inverted cone) below the wall line
    #[arg(long)]
    pub hollow: Option<String>,
    /// Depth of a cone-shaped bottom below the wall (hopper)
    #[arg(long)]
    pub hopper: Option<String>,
    /// Crop
    #[arg(long)]
    pub crop: String,
    /// Test weight, e.g. "58 lb/bu"
    #[arg(long)]
    pub test_weight: Option<String>,
    /// Packing factor, e.g. 1.02 for 2 % more than the volume says
    #[arg(long)]
    pub packing: Option<f64>,
}

#[derive(Debug, Args)]
pub(crate) struct PileTyped {
    /// Crop
    #[arg(long)]
    pub crop: String,
    /// Bushels by volume, to find the width of the pile
    #[arg(long, conflicts_with = "across")]
    pub bushels: Option<f64>,
    /// Width of the pile on the ground, to find the bushels
    #[arg(long)]
    pub across: Option<String>,
    /// Height at the peak, if measured; otherwise the crop's angle of repose is used
    #[arg(long)]
    pub height: Option<String>,
}

#[derive(Debug, Args)]
pub(crate) struct ConvertTyped {
    /// What is written, e.g. "52,220 lb", "200 bu/ac", "9.1 m"
    pub what: String,
    /// Unit wanted, e.g. kg, bu, t, kg/ha, ft
    #[arg(long)]
    pub to: String,
    /// Crop, where bushels are on one side
    #[arg(long)]
    pub crop: Option<String>,
}

#[derive(Debug, Args)]
pub(crate) struct GradeTyped {
    /// Crop, e.g. corn, soybean, wheat-hrw
    #[arg(long)]
    pub crop: String,
    /// Factors, e.g. --factor "test weight=53.5" --factor "total damage=4.0"
    #[arg(long = "factor", value_name = "NAME=VALUE", required = true)]
    pub factors: Vec<String>,
}

#[derive(Debug, Subcommand)]
pub(crate) enum BookTyped {
    /// Make a new book; an existing file is never touched
    New {
        /// The farm's name
        #[arg(long)]
        farm: String,
        /// Time zone, e.g. America/Chicago; this computer's if left out
        #[arg(long)]
        zone: Option<String>,
    },
    /// Check the whole book: file, order, entries, attachments
    Check,
    /// Copy the book while it is in use, and check the copy
    Backup {
        /// Where to; an existing file is never overwritten
        to: PathBuf,
    },
    /// Bring in every entry of another book
    Merge {
        /// The other book
        from: PathBuf,
    },
    /// Write all entries, attachments and fields into a folder (CSV and GeoPackage)
    Export {
        /// An empty or new folder
        folder: PathBuf,
    },
    /// Read such a folder into this book; a book that is not there yet is made
    Import {
        /// The folder
        folder: PathBuf,
    },
    /// Show entries, or one entry with its whole history
    Show {
        /// An entry's id or its first letters
        id: Option<String>,
        /// Only this kind
        #[arg(long)]
        kind: Option<String>,
        /// Also what was corrected or struck out
        #[arg(long)]
        all: bool,
    },
}
