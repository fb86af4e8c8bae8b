//! Closing: a place that is emptied, or whose stock is known, leaves its difference unexplained.

use super::hold::Hold;
use super::movement::{Basis, End, Movement, Refusal, SourceRule, StockCheck, Unexplained};
use super::post::Poster;
use crate::slip::{CropId, PlaceId, PlaceKind, SlipId, Stock};
use quantity::{DryMass, Mass};

impl Poster<'_> {
    /// A stock measured: exact ones close the place, others are set beside the record.
    pub(super) fn measured(&mut self, stock: &Stock) -> Result<(), Refusal> {
        if self.kind(&stock.place)? == PlaceKind::Standing {
            return Err(Refusal::IntoStanding {
                place: stock.place.clone(),
            });
        }
        let (dry, wet) = self.stock_mass(stock)?;
        let record = self.held(&stock.place, &stock.crop).map_or(0, Hold::dry);
        self.ledger.checks.push(StockCheck {
            id: stock.id.clone(),
            at_ms: stock.at_ms,
            place: stock.place.clone(),
            crop: stock.crop.clone(),
            record: DryMass::from_units(record),
            measured: DryMass::from_units(dry),
        });
        if stock.relative_sd == Some(0.0) {
            self.close(
                &stock.id,
                stock.at_ms,
                &stock.place,
                &stock.crop,
                (dry, wet),
            );
        }
        Ok(())
    }

    /// Brings a place to a known stock; the difference is unexplained.
    pub(super) fn close(
        &mut self,
        by: &SlipId,
        at_ms: i64,
        place: &PlaceId,
        crop: &CropId,
        keep: (i64, i64),
    ) {
        if self.places[place].kind == PlaceKind::Standing {
            return;
        }
        let hold = self.hold(place, crop);
        hold.unweighed.clear();
        let (dry, wet) = (hold.dry() - keep.0, hold.wet() - keep.1);
        let parts = if keep == (0, 0) {
            hold.all()
        } else {
            hold.split(dry, wet)
        };
        hold.touch(by, at_ms);
        let from_ms = hold.since_ms.take().unwrap_or(at_ms);
        let slips = std::mem::take(&mut hold.slips);
        for one in &parts {
            hold.remove(one);
        }
        hold.parts.retain(|_, mass| *mass != (0, 0));
        if keep != (0, 0) {
            hold.touch(by, at_ms);
        }
        let dry = DryMass::from_units(dry);
        if !dry.is_zero() {
            let (place, crop) = (place.clone(), crop.clone());
            self.ledger.unexplained.push(Unexplained {
                place,
                crop,
                from_ms,
                to_ms: at_ms,
                dry,
                slips,
            });
        }
        self.ledger.movements.push(Movement {
            slip: by.clone(),
            at_ms,
            crop: crop.clone(),
            from: End::Place(place.clone()),
            to: End::Unexplained(place.clone()),
            dry,
            wet: Mass::from_units(wet),
            parts,
            basis: Basis::Stated,
            rule: SourceRule::Single,
            closes: true,
        });
    }
}
