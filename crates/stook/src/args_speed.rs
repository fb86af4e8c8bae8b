//! What can be typed after `stook speed` and `stook calc capacity`.

use clap::Args;
use desk::WagonsAsked;
use desk::calc::CapacityAsked;
use desk::speed::SpeedAsked;

#[derive(Debug, Args)]
pub(crate) struct SpeedTyped {
    /// Machine loss with its speed, e.g. "0.5 bu/ac at 3 mph"; a second at another speed says how loss
    /// grows. Without any, the book's counts that carry a speed
    #[arg(long, value_name = "LOSS")]
    pub loss: Vec<String>,
    /// Crop, for bushels; the last counted in the book if left out
    #[arg(long)]
    pub crop: Option<String>,
    /// Price, e.g. "$11/bu"
    #[arg(long)]
    pub price: String,
    /// Width cut, e.g. 20ft; the count's own if left out
    #[arg(long)]
    pub width: Option<String>,
    /// Cost of an hour of the machine and its people, e.g. "$180"
    #[arg(long, value_name = "MONEY")]
    pub hour: String,
    /// Value of an hour finished sooner, e.g. "$40"
    #[arg(long, value_name = "MONEY")]
    pub sooner: Option<String>,
    /// Field efficiency at the speed driven now, e.g. 70%
    #[arg(long, value_name = "PERCENT")]
    pub efficiency: Option<String>,
    /// Speed driven now, e.g. "4 mph"
    #[arg(long, value_name = "SPEED")]
    pub now: Option<String>,
    /// Head loss with its speed, e.g. "1 bu/ac at 3 mph"
    #[arg(long, value_name = "LOSS")]
    pub head: Option<String>,
    /// Growth of the head loss in per cent for each mile an hour
    #[arg(long, value_name = "PERCENT", requires = "head")]
    pub head_growth: Option<String>,
    /// A speed not to be passed: rough ground, head, power, walkers or operator, e.g. "power=4 mph"
    #[arg(long = "cap", value_name = "WHAT=SPEED")]
    pub caps: Vec<String>,
    /// Acres an hour that the wagons take away, e.g. "6 ac/h"
    #[arg(long, value_name = "RATE")]
    pub haul: Option<String>,
    /// Yield, only if uncut acres will truly be lost: shows the speed of most money an hour too
    #[arg(long, value_name = "YIELD")]
    pub uncut_lost: Option<String>,
}

impl SpeedTyped {
    /// As the desk asks it; `crop` where none was typed.
    pub(crate) fn asked(&self, crop: Option<&str>) -> SpeedAsked {
        let text = |one: &Option<String>| one.clone().unwrap_or_default();
        SpeedAsked {
            loss: self.loss.clone(),
            crop: self.crop.as_deref().or(crop).unwrap_or_default().to_owned(),
            price: self.price.clone(),
            width: text(&self.width),
            hour: self.hour.clone(),
            sooner: text(&self.sooner),
            efficiency: text(&self.efficiency),
            now: text(&self.now),
            head: text(&self.head),
            head_growth: text(&self.head_growth),
            caps: self.caps.clone(),
            haul: text(&self.haul),
            uncut_lost_yield: text(&self.uncut_lost),
        }
    }
}

#[derive(Debug, Args)]
pub(crate) struct CapacityTyped {
    /// Speed, e.g. "3.5 mph"
    #[arg(long)]
    pub speed: Option<String>,
    /// In place of a speed: seconds between two stakes 88 feet apart
    #[arg(long, value_name = "SECONDS")]
    pub stakes: Option<String>,
    /// Width cut, e.g. 20ft
    #[arg(long)]
    pub width: String,
    /// Field efficiency, e.g. 70%
    #[arg(long, value_name = "PERCENT")]
    pub efficiency: String,
    /// Speed at which that efficiency was found, where it is another: it falls with speed
    #[arg(long, value_name = "SPEED")]
    pub efficiency_at: Option<String>,
    /// Crop, for bushels
    #[arg(long)]
    pub crop: Option<String>,
    /// Yield, e.g. "180 bu/ac"
    #[arg(long = "yield", value_name = "YIELD")]
    pub yielding: Option<String>,
    /// Bushels that the grain tank holds
    #[arg(long, value_name = "BUSHELS")]
    pub tank: Option<String>,
    /// Acres left to cut, e.g. "12 ac"
    #[arg(long, value_name = "ACRES")]
    pub left: Option<String>,
    /// Bushels of room in the wagons that stand there
    #[arg(long, value_name = "BUSHELS")]
    pub room: Option<String>,
    /// Test weight of the grain, lb a bushel, for what that room weighs
    #[arg(long, value_name = "LB", requires = "room")]
    pub test_weight: Option<String>,
    /// Pounds that those wagons may still carry, by their plates and tires
    #[arg(long, value_name = "LB", requires = "room")]
    pub may_carry: Option<String>,
}

impl CapacityTyped {
    /// As the desk asks it.
    pub(crate) fn asked(&self) -> CapacityAsked {
        CapacityAsked {
            speed: self.speed.clone(),
            stakes: self.stakes.clone(),
            width: self.width.clone(),
            efficiency: self.efficiency.clone(),
            efficiency_at: self.efficiency_at.clone(),
            crop: self.crop.clone().unwrap_or_default(),
            yielding: self.yielding.clone(),
            tank: self.tank.clone(),
            left: self.left.clone(),
            room: self.room.clone(),
            test_weight: self.test_weight.clone(),
            may_carry: self.may_carry.clone(),
        }
    }
}

#[derive(Debug, Args)]
pub(crate) struct WagonsTyped {
    /// The field; the one last cut if left out
    pub field: Option<String>,
    /// Acres left, e.g. "12 ac"; planted less cut by the book if left out
    #[arg(long, value_name = "ACRES")]
    pub left: Option<String>,
    /// A wagon that stands there, repeated for more; every cart, wagon and truck if left out
    #[arg(long = "wagon", value_name = "NAME")]
    pub wagons: Vec<String>,
    /// Yield expected before anything came off, e.g. "180 bu/ac"
    #[arg(long, value_name = "YIELD")]
    pub expected: Option<String>,
    /// Acres cut an hour, for minutes until the wagons are full, e.g. "6 ac"
    #[arg(long, value_name = "ACRES")]
    pub an_hour: Option<String>,
    /// Season; the latest in the book if left out
    #[arg(long)]
    pub season: Option<u16>,
}

impl WagonsTyped {
    /// As the desk asks it.
    pub(crate) fn asked(&self) -> WagonsAsked {
        WagonsAsked {
            field: self.field.clone(),
            left: self.left.clone(),
            wagons: self.wagons.clone(),
            expected: self.expected.clone(),
            an_hour: self.an_hour.clone(),
            season: self.season,
        }
    }
}
