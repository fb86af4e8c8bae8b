//! Fields drawn on plain paper: the area is worked out here, at the desk, never in the page.

use crate::Look;
use crate::door::Who;
use crate::pages::form::Typed;
use axum::Json;
use axum::extract::Query;
use desk::DeskError;
use desk::outline::{Origin, drawn};
use desk::written::Figures;
use quantity::Units;
use serde::{Deserialize, Serialize};

/// The name of a row's corners.
pub(super) fn corners_name(row: usize) -> String {
    format!("corners{}", row + 1)
}

/// What the page asks while somebody draws.
#[derive(Deserialize)]
pub(super) struct Asked {
    corners: String,
    unit: String,
}

/// How large it is, in words for the page.
#[derive(Serialize)]
pub(super) struct Area {
    says: String,
    known: bool,
}

fn units(look: Look) -> Units {
    if look.metric() {
        Units::Metric
    } else {
        Units::Us
    }
}

/// The area inside corners, as the page says it.
pub(super) async fn area(look: Look, _who: Who, Query(asked): Query<Asked>) -> Json<Area> {
    let text = look.text;
    Json(
        match drawn(&asked.corners, &asked.unit, None, units(look)) {
            Ok(drawn) => Area {
                says: text.fill("{0} inside the line", &[&drawn.shown]),
                known: true,
            },
            Err(why) => Area {
                says: text.say(&why.to_string()).into_owned(),
                known: false,
            },
        },
    )
}

/// Puts a drawn outline's area, and the outline where the place is known, into a field's figures.
pub(super) fn outlined(
    figures: &mut Figures,
    typed: &Typed,
    row: usize,
    look: Look,
) -> Result<(), DeskError> {
    let Some(corners) = typed.one(&corners_name(row)) else {
        return Ok(());
    };
    let origin = Origin::parse(
        typed.one("latitude").unwrap_or_default(),
        typed.one("longitude").unwrap_or_default(),
    )?;
    let unit = typed.one("corner-unit").unwrap_or("ft");
    let drawn = drawn(corners, unit, origin, units(look))?;
    figures.set("measured", vec![drawn.written]);
    if let Some(geojson) = drawn.geojson {
        figures.set("boundary", vec![geojson]);
    }
    Ok(())
}
