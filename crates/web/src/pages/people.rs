//! People and phones: who may come in, on what, and letting somebody in.

use crate::door::record::{Because, Person, ReaderField, Record, Session};
use crate::door::{DoorError, Role, Who, qr, token};
use crate::shell::page;
use crate::{Frame, House, Look, Markup, Refusal, Tab, Text};
use askama::Template;
use axum::Router;
use axum::extract::{Form, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use desk::Farm;
use serde::Deserialize;
use std::collections::BTreeMap;

struct Device {
    session: String,
    name: String,
    paired: String,
    heard: String,
    stands: bool,
    state: String,
}

struct Row {
    id: u32,
    name: String,
    says: String,
    reader: bool,
    passphrase: bool,
    here: bool,
    devices: Vec<Device>,
}

#[derive(Template)]
#[template(path = "people.html")]
struct People {
    frame: Frame,
    lede: String,
    reach: String,
    fingerprint: Vec<String>,
    rows: Vec<Row>,
    names: Vec<String>,
}

#[derive(Template)]
#[template(path = "people_pair.html")]
struct Invite {
    frame: Frame,
    lede: String,
    code: String,
    address: Option<String>,
    picture: Markup,
    certificate: Option<(String, Markup)>,
    fingerprint: Vec<String>,
}

struct Offer {
    field: String,
    share: bool,
    rent: bool,
    because: String,
}

#[derive(Template)]
#[template(path = "people_reading.html")]
struct Reading {
    frame: Frame,
    id: u32,
    lede: String,
    on: bool,
    offers: Vec<Offer>,
}

#[derive(Deserialize)]
struct Added {
    name: String,
    role: String,
    #[serde(default)]
    language: String,
}

#[derive(Deserialize)]
struct Whom {
    person: u32,
    #[serde(default)]
    name: String,
    #[serde(default)]
    passphrase: String,
}

#[derive(Deserialize)]
struct Which {
    session: String,
}

fn role_says(text: Text, person: &Person) -> String {
    match person.role {
        Role::Owner => text.say("owner: everything, people and phones too"),
        Role::Helper => text.say("helper: adds entries and sees the day, no money and no people"),
        Role::Reader if person.reading && person.reader_fields.is_empty() => {
            text.say("reader: no field is chosen yet")
        }
        Role::Reader if person.reading => {
            let fields: Vec<&str> = person
                .reader_fields
                .iter()
                .map(|one| one.field.as_str())
                .collect();
            return text.with(
                "reader of {0}: their tickets and settlements",
                fields.join(", "),
            );
        }
        Role::Reader => text.say("reader: reading is off until it is turned on below"),
    }
    .into_owned()
}

/// A moment on the farm's clock, the same in every language.
fn clock(zone: &str, at_ms: i64) -> String {
    let zone = jiff::tz::TimeZone::get(zone).unwrap_or(jiff::tz::TimeZone::UTC);
    let at = jiff::Timestamp::from_millisecond(at_ms).unwrap_or_default();
    at.to_zoned_datetime(zone)
        .strftime("%Y-%m-%d %H:%M")
        .to_string()
}

fn device(text: Text, zone: &str, session: &Session, now_ms: i64) -> Device {
    let at = |at_ms: i64| clock(zone, at_ms);
    let stands = session.stands(now_ms);
    let state = match session.revoked_ms {
        Some(revoked) => text.with("ended {0}", at(revoked)),
        None if !stands => text.with("not heard for 90 days, ended {0}", at(session.ends_ms)),
        None => text.say("may come in").into_owned(),
    };
    Device {
        session: session.token.clone(),
        name: session.device.clone(),
        paired: at(session.made_ms),
        heard: at(session.seen_ms),
        stands,
        state,
    }
}

fn rows(text: Text, zone: &str, record: &Record, who: &Who, now_ms: i64) -> Vec<Row> {
    let row = |person: &Person| {
        let own = record.sessions.iter().filter(|one| one.person == person.id);
        let mut own: Vec<&Session> = own.collect();
        own.sort_by_key(|one| (!one.stands(now_ms), std::cmp::Reverse(one.seen_ms)));
        Row {
            id: person.id,
            name: person.name.clone(),
            says: role_says(text, person),
            reader: person.role == Role::Reader,
            passphrase: person.passphrase.is_some(),
            here: person.name == who.person,
            devices: own
                .into_iter()
                .map(|one| device(text, zone, one, now_ms))
                .collect(),
        }
    };
    record.people.iter().map(row).collect()
}

async fn people(State(house): State<House>, look: Look, who: Who) -> Result<Response, Refusal> {
    let now = house.run(House::now).await?;
    let text = look.text;
    let door = house.door();
    let record = door.access().record();
    let zone = &now.farm.zone;
    let devices = record.sessions.iter();
    let devices = devices.filter(|one| one.stands(now.now_ms)).count();
    let known = |name: &str| record.people.iter().any(|one| one.name == name);
    let names = now.farm.people.keys().map(ToString::to_string);
    page(&People {
        lede: text.with2(
            "People who may come in: {0}. Phones and computers paired: {1}.",
            record.people.len(),
            devices,
        ),
        reach: match &door.links().phones {
            Some(address) => text.with("Phones open the day at {0}.", address),
            None => text.say("Only this computer reaches the day now. For phones, stop it and start it with stook serve --lan.").into_owned(),
        },
        fingerprint: door.certificate().map(|one| one.fingerprint.clone()).unwrap_or_default(),
        rows: rows(text, zone, &record, &who, now.now_ms),
        names: names.filter(|name| !known(name)).collect(),
        frame: Frame::new(look, &who, Tab::Other, text.say("People and phones")),
    })
}

/// Work with the store on a thread that may wait for the disk, then back to the list.
async fn done(
    house: House,
    work: impl FnOnce(&House, i64) -> Result<(), DoorError> + Send + 'static,
) -> Result<Response, Refusal> {
    house
        .run(move |house| Ok(work(house, house.now_ms())?))
        .await?;
    Ok(Redirect::to("/people").into_response())
}

async fn add(
    State(house): State<House>,
    look: Look,
    who: Who,
    Form(typed): Form<Added>,
) -> Result<Response, Refusal> {
    let role = Role::of(&typed.role).ok_or_else(|| Refusal::not_found("this role"))?;
    let id = house
        .run(move |house| {
            let language = Some(typed.language.as_str()).filter(|one| matches!(*one, "en" | "es"));
            Ok(house.door().access().add(&typed.name, role, language)?)
        })
        .await?;
    if role == Role::Reader {
        return Ok(Redirect::to(&format!("/people/reading?person={id}")).into_response());
    }
    invite(house, look, who, id).await
}

async fn rename(State(house): State<House>, Form(typed): Form<Whom>) -> Result<Response, Refusal> {
    done(house, move |house, _| {
        house.door().access().rename(typed.person, &typed.name)
    })
    .await
}

async fn remove(State(house): State<House>, Form(typed): Form<Whom>) -> Result<Response, Refusal> {
    done(house, move |house, _| {
        house.door().access().remove(typed.person)
    })
    .await
}

async fn revoke(State(house): State<House>, Form(typed): Form<Which>) -> Result<Response, Refusal> {
    done(house, move |house, now_ms| {
        house.door().access().revoke(&typed.session, now_ms)
    })
    .await
}

async fn passphrase(
    State(house): State<House>,
    Form(typed): Form<Whom>,
) -> Result<Response, Refusal> {
    done(house, move |house, _| {
        house
            .door()
            .access()
            .passphrase(typed.person, &typed.passphrase)
    })
    .await
}

async fn pair(
    State(house): State<House>,
    look: Look,
    who: Who,
    Form(typed): Form<Whom>,
) -> Result<Response, Refusal> {
    invite(house, look, who, typed.person).await
}

/// The page with the codes. It answers the form itself, so that no code stands in an address here.
async fn invite(house: House, look: Look, who: Who, person: u32) -> Result<Response, Refusal> {
    let code = house
        .run(move |house| Ok(house.door().access().invite(person, house.now_ms())?))
        .await?;
    let door = house.door();
    let name = door.access().record();
    let name = name
        .person(person)
        .map(|one| one.name.clone())
        .unwrap_or_default();
    let text = look.text;
    let address = door.links().phones.clone();
    let target = address.as_ref().map(|at| format!("{at}/pair?code={code}"));
    let drawn = |target: &str, says: &str| Markup(qr::svg(target, says).unwrap_or_default());
    let certificate = door.links().certificate.as_ref().map(|at| {
        (
            at.clone(),
            drawn(at, &text.say("Code to scan: the farm's certificate")),
        )
    });
    page(&Invite {
        frame: Frame::new(look, &who, Tab::Other, text.say("Pair a phone")),
        lede: text.with("Pair a phone for {0}, within ten minutes.", name),
        picture: target.map_or_else(Markup::default, |target| {
            drawn(&target, &text.say("Code to scan: pair this phone"))
        }),
        code: token::shown_code(&code),
        address,
        certificate,
        fingerprint: door
            .certificate()
            .map(|one| one.fingerprint.clone())
            .unwrap_or_default(),
    })
}

/// The fields of which somebody has a share of the grain, by the book.
fn shares(farm: &Farm, person: &str) -> Vec<String> {
    let theirs = farm.plantings.iter().filter(|planting| {
        let mut shares = planting.says.shares.iter();
        shares.any(|share| share.person.as_str() == person)
    });
    theirs
        .map(|planting| planting.says.field.to_string())
        .collect()
}

async fn reading(
    State(house): State<House>,
    look: Look,
    who: Who,
    Query(asked): Query<Whom>,
) -> Result<Response, Refusal> {
    let now = house.run(House::now).await?;
    let record = house.door().access().record();
    let person = record
        .person(asked.person)
        .filter(|one| one.role == Role::Reader);
    let person = person.ok_or(DoorError::Nobody)?;
    let text = look.text;
    let shared = shares(&now.farm, &person.name);
    let offer = |name: String| {
        let kept = person.reader_fields.iter().find(|one| one.field == name);
        let share = shared.contains(&name);
        Offer {
            share: share && (kept.is_some() || !person.reading),
            rent: kept.is_some_and(|one| one.because == Because::RentByYield),
            because: if share {
                text.say("has a share of its grain, by the book")
                    .into_owned()
            } else {
                String::new()
            },
            field: name,
        }
    };
    page(&Reading {
        id: person.id,
        lede: text.with("What may {0} read?", &person.name),
        on: person.reading,
        offers: now
            .farm
            .fields
            .keys()
            .map(|name| offer(name.to_string()))
            .collect(),
        frame: Frame::new(look, &who, Tab::Other, text.say("What a reader may read")),
    })
}

async fn reading_set(
    State(house): State<House>,
    Form(pairs): Form<Vec<(String, String)>>,
) -> Result<Response, Refusal> {
    done(house, move |house, _| {
        let mut person = None;
        let mut reading = false;
        let mut fields: BTreeMap<String, Because> = BTreeMap::new();
        for (name, value) in pairs {
            match name.as_str() {
                "person" => person = value.parse().ok(),
                "reading" => reading = value == "on",
                "share" => drop(fields.insert(value, Because::ShareOfGrain)),
                "rent" => drop(fields.entry(value).or_insert(Because::RentByYield)),
                _ => {}
            }
        }
        let person: u32 = person.ok_or(DoorError::Nobody)?;
        let access = house.door().access();
        let record = access.record();
        let name = &record.person(person).ok_or(DoorError::Nobody)?.name;
        let farm = house.now().map_err(|_| DoorError::Nobody)?.farm;
        let shared = shares(&farm, name);
        // a share is what the book says, not what the form says
        let good = |(field, because): &(String, Because)| match because {
            Because::ShareOfGrain => shared.contains(field),
            Because::RentByYield => farm.fields.keys().any(|one| one.as_str() == field),
        };
        let fields = fields.into_iter().filter(good);
        let fields = fields.map(|(field, because)| ReaderField { field, because });
        access.read(person, reading, fields.collect())
    })
    .await
}

pub(super) fn routes() -> Router<House> {
    Router::new()
        .route("/people", get(people))
        .route("/people/add", post(add))
        .route("/people/rename", post(rename))
        .route("/people/remove", post(remove))
        .route("/people/pair", post(pair))
        .route("/people/revoke", post(revoke))
        .route("/people/passphrase", post(passphrase))
        .route("/people/reading", get(reading).post(reading_set))
}
