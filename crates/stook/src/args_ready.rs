//! What can be typed for ready lists, the settings log, running costs and tires.

use crate::args_account::SignedTyped;
use clap::{Args, Subcommand};

/// `stook ready`
#[derive(Debug, Args)]
pub(crate) struct ReadyTyped {
    /// What to do; the lists, if left out
    #[command(subcommand)]
    pub what: Option<ReadyAct>,
    /// Only what is due now
    #[arg(long)]
    pub due: bool,
}

#[derive(Debug, Subcommand)]
pub(crate) enum ReadyAct {
    /// Tick a line by its number on the list
    Tick {
        /// The line's number
        number: usize,
        /// What was read, in the unit that the line asks for
        #[arg(long, allow_hyphen_values = true)]
        value: Option<String>,
        /// What the engine's hour meter showed
        #[arg(long)]
        engine_hours: Option<String>,
        #[command(flatten)]
        signed: SignedTyped,
    },
    /// Show the starter set, and take lines of it in
    Starter {
        /// Numbers of lines to take in; without any, the set is shown
        numbers: Vec<usize>,
        /// Every line that is not on the lists yet
        #[arg(long)]
        all: bool,
        /// In Spanish
        #[arg(long)]
        spanish: bool,
        #[command(flatten)]
        signed: SignedTyped,
    },
}

/// `stook settings`
#[derive(Debug, Args)]
pub(crate) struct SettingsTyped {
    /// Only this season, e.g. 2026
    #[arg(long)]
    pub season: Option<u16>,
    /// Price, e.g. "$10.40/bu", for the money
    #[arg(long)]
    pub price: Option<String>,
    /// Acres cut an hour, e.g. "6.5 ac/h", for the money an hour
    #[arg(long)]
    pub acres_per_hour: Option<String>,
    /// What 1,000 seeds weigh, e.g. "180 g"; the crop's usual weight if left out
    #[arg(long)]
    pub thousand_seeds: Option<String>,
    /// What the trade tries first, for a crop, e.g. soybean
    #[arg(long, value_name = "CROP")]
    pub tries: Option<String>,
}

/// `stook calc cost`
#[derive(Debug, Args)]
pub(crate) struct CostTyped {
    /// combine, pto-combine, tractor, tractor-4wd, wagon or forage-wagon
    #[arg(long, default_value = "combine")]
    pub machine: String,
    /// List price of such a machine, new, today, e.g. "$350,000"
    #[arg(long)]
    pub list: String,
    /// What it is worth today; the list price if left out
    #[arg(long)]
    pub worth: Option<String>,
    /// Years since it was new; 0 if left out
    #[arg(long)]
    pub age: Option<String>,
    /// Hours on it; 0 if left out
    #[arg(long)]
    pub hours: Option<String>,
    /// Hours it works a year, e.g. 200
    #[arg(long)]
    pub per_year: String,
    /// Years to keep it; 10 if left out
    #[arg(long)]
    pub years: Option<String>,
    /// Interest a year; 7% if left out
    #[arg(long)]
    pub interest: Option<String>,
    /// Engine or PTO power, e.g. "250 hp" or "186 kW", for the fuel
    #[arg(long)]
    pub power: Option<String>,
    /// Share of full power, e.g. 75%, for the older fuel equation by load; a year's mean if left out
    #[arg(long)]
    pub load: Option<String>,
    /// Price of fuel, e.g. "$3.60/gal" or "$0.95/L"
    #[arg(long)]
    pub fuel: Option<String>,
    /// Labor, e.g. "$20/h"
    #[arg(long)]
    pub labor: Option<String>,
    /// Acres an hour, e.g. "6.5 ac/h" or "2.6 ha/h", for the cost of an acre
    #[arg(long)]
    pub acres_per_hour: Option<String>,
}

/// `stook calc tires`
#[derive(Debug, Args)]
pub(crate) struct TiresTyped {
    /// Most pressure marked on the tire, e.g. "52 psi" or "360 kPa"
    #[arg(long)]
    pub tire: String,
    /// Most pressure marked on the rim
    #[arg(long)]
    pub rim: String,
    /// The pressure wanted, cold; or give --load and --table
    #[arg(long)]
    pub wanted: Option<String>,
    /// The load on the tire, e.g. "9,200 lb"
    #[arg(long)]
    pub load: Option<String>,
    /// A line of the maker's load table, e.g. --table "40 psi=8,050 lb"; again for each line
    #[arg(long, value_name = "PRESSURE=LOAD")]
    pub table: Vec<String>,
    /// What the gauge shows
    #[arg(long)]
    pub read: Option<String>,
    /// It was driven within the last hours
    #[arg(long)]
    pub warm: bool,
}
