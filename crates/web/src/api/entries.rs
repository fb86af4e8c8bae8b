//! What phones wrote: taken in, each entry once.

use crate::door::{Role, Who};
use crate::{House, Refusal};
use axum::extract::State;
use axum::routing::post;
use axum::{Json, Router};
use desk::sync::{Batch, Rights, Sender, Taken, take};

/// A person's rights as the book knows them.
pub(crate) fn rights(who: &Who) -> Rights {
    match who.role {
        Role::Owner => Rights::Owner,
        Role::Helper | Role::Reader => Rights::Helper,
    }
}

/// Takes a batch. The answer is given when what was good is on the disk.
async fn entries(
    State(house): State<House>,
    who: Who,
    Json(batch): Json<Batch>,
) -> Result<Json<Taken>, Refusal> {
    house
        .run(move |house| {
            house.with_book(|book, now, clock| {
                let sender = Sender {
                    person: &who.person,
                    // a device names itself; what it may take back is held to its person
                    device: &batch.device.id,
                    rights: rights(&who),
                };
                Ok(Json(take(book, &now.farm, &sender, &batch, clock)?))
            })
        })
        .await
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/api/entries", post(entries))
}
