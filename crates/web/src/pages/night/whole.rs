//! The whole season behind an evening: every slip, shares and claims.

use super::says::slip_name;
use crate::figures::{self, Set};
use crate::house::Now;
use crate::look::Look;
use crate::{House, Refusal};
use desk::Ranged;

/// One slip.
pub(super) struct Slip {
    /// Its entry.
    pub(super) entry: String,
    /// Its name.
    pub(super) name: String,
    /// Local time.
    pub(super) at: String,
    /// Where from and to.
    pub(super) way: String,
    /// As written.
    pub(super) written: String,
    /// Squared dry matter.
    pub(super) squared: Option<Set>,
    /// Whether it looks wrong, or was corrected.
    pub(super) state: String,
}

/// One person's part.
pub(super) struct Share {
    /// Whose.
    pub(super) person: String,
    /// Of which field.
    pub(super) field: String,
    /// Which crop.
    pub(super) crop: String,
    /// Dry matter.
    pub(super) amount: Set,
}

/// The season.
pub(super) struct View {
    /// Slips, in order of time.
    pub(super) slips: Vec<Slip>,
    /// Parts.
    pub(super) shares: Vec<Share>,
}

pub(super) fn view(house: &House, now: &Now, look: Look, year: u16) -> Result<View, Refusal> {
    let text = look.text;
    let night = house.keep(&format!("whole {year}"), now, |farm| {
        let season = desk::season(farm, year)?;
        Ok(desk::night::night(farm, &season, None, desk::LEVEL)?)
    })?;
    let crop = |key: &str| {
        let name = key.parse::<facts::Crop>().map(facts::Crop::name);
        text.say(name.unwrap_or(key)).into_owned()
    };
    Ok(View {
        slips: night
            .slips
            .iter()
            .map(|one| Slip {
                entry: one.entry.clone(),
                name: slip_name(text, &one.slip.0),
                at: one.at.clone(),
                way: text.fill("{0} to {1}", &[&one.from, &one.to]),
                written: one.written.clone(),
                squared: one.squared_dry_lb.map(|lb| {
                    let doubt = one.squared_se_lb.unwrap_or(0.0);
                    figures::pounds(look, Ranged::of(lb, doubt))
                }),
                state: if one.suspect {
                    text.say("looks wrong").into_owned()
                } else if one.mended {
                    text.say("corrected").into_owned()
                } else {
                    String::new()
                },
            })
            .collect(),
        shares: night
            .shares
            .iter()
            .map(|one| Share {
                person: one.person.0.clone(),
                field: one.field.0.clone(),
                crop: crop(&one.crop.0),
                amount: figures::pounds(look, figures::exact(one.dry_lb)),
            })
            .collect(),
    })
}
