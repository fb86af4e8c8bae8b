//! Who may come in: the store behind sessions, one-time tokens and pairing codes.
//!
//! Sessions live in `access.json`, by the hash of their token. One-time tokens and pairing codes live
//! in this program's memory only: they are good for minutes, a restart may well end them, and 8
//! letters would be too few to hide behind a plain hash in a file.

use super::files;
use super::limits::Limits;
use super::passphrase;
use super::record::{DAY_MS, Person, Record, SESSION_MS, Session};
use super::role::{Role, Who};
use super::{DoorError, token};
use std::fs::File;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// The address that opens the owner's browser holds a token good for this long and one use.
pub const ONCE_MS: i64 = 5 * 60 * 1000;
/// A pairing code is good for this long and one use.
pub const CODE_MS: i64 = 10 * 60 * 1000;
/// "Last heard" is written to the disk at most this often for each device.
const SEEN_MS: i64 = DAY_MS / 24;
/// Codes waiting at the same time; the oldest goes first.
const CODES_MOST: usize = 20;

/// Something good for one use until some moment.
#[derive(Debug, Clone)]
struct Once {
    hash: String,
    person: u32,
    ends_ms: i64,
}

#[derive(Debug, Default)]
pub(super) struct Inside {
    pub(super) record: Record,
    once: Vec<Once>,
    codes: Vec<Once>,
}

/// A session that was just made; the token is told this once.
#[derive(Debug, Clone)]
pub struct Opened {
    /// For the cookie.
    pub token: String,
    /// Who came in.
    pub who: Who,
}

/// Who a pairing code is for, shown before it is used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Invited {
    /// The person.
    pub person: String,
    /// What they may do.
    pub role: Role,
    /// Their language.
    pub language: Option<String>,
}

/// The store. All methods may block on the disk for a moment; a handler calls them on a thread of
/// their own.
#[derive(Debug)]
pub struct Access {
    folder: Option<PathBuf>,
    inside: Mutex<Inside>,
    /// Tries at pairing and signing in.
    pub limits: Limits,
    _lock: Option<File>,
}

impl Access {
    /// Opens the store in its folder, which is made when it is not there, and keeps other programs out.
    ///
    /// # Errors
    /// A folder or file that cannot be used, one that others may read, or a book served elsewhere.
    pub fn open(folder: &Path) -> Result<Self, DoorError> {
        files::private_folder(folder)?;
        let lock = files::lock(folder)?;
        let path = folder.join("access.json");
        let record = match files::read_private(&path)? {
            None => Record::default(),
            Some(text) => serde_json::from_str(&text).map_err(|why| {
                DoorError::file(&path, format!("found {why}, expected the access file of this program; delete it and pair every device anew"))
            })?,
        };
        if record.version != 1 {
            return Err(DoorError::file(
                &path,
                format!("form {} is of a newer stook; use that one", record.version),
            ));
        }
        let access = Self {
            folder: Some(folder.to_owned()),
            inside: Mutex::new(Inside {
                record,
                ..Inside::default()
            }),
            limits: Limits::default(),
            _lock: Some(lock),
        };
        if access.mark().is_empty() {
            let mark = token::hex(&token::chance::<4>()?);
            access.change(|record| {
                record.mark = mark;
                Ok(())
            })?;
        }
        Ok(access)
    }

    /// The mark that names the cookie.
    pub fn mark(&self) -> String {
        self.held().record.mark.clone()
    }

    /// A store that keeps nothing on the disk, for tests of pages.
    pub fn in_memory() -> Self {
        Self {
            folder: None,
            inside: Mutex::default(),
            limits: Limits::default(),
            _lock: None,
        }
    }

    /// The folder, if there is one.
    pub fn folder(&self) -> Option<&Path> {
        self.folder.as_deref()
    }

    pub(super) fn held(&self) -> MutexGuard<'_, Inside> {
        self.inside.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Changes the record and writes it; on an error nothing is changed.
    pub(super) fn change<T>(
        &self,
        work: impl FnOnce(&mut Record) -> Result<T, DoorError>,
    ) -> Result<T, DoorError> {
        let mut inside = self.held();
        let mut record = inside.record.clone();
        let done = work(&mut record)?;
        if let Some(folder) = &self.folder {
            let text = serde_json::to_string_pretty(&record)
                .map_err(|why| DoorError::file(folder, why))?;
            files::write_private(&folder.join("access.json"), text.as_bytes())?;
        }
        inside.record = record;
        Ok(done)
    }

    /// The record as it stands.
    pub fn record(&self) -> Record {
        self.held().record.clone()
    }

    /// The owner, who is made at the first start.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub fn owner(&self, name: &str) -> Result<Person, DoorError> {
        let there = |record: &Record| {
            let mut owners = record.people.iter();
            owners.find(|person| person.role == Role::Owner).cloned()
        };
        if let Some(owner) = there(&self.held().record) {
            return Ok(owner);
        }
        self.change(|record| {
            record.add(name, Role::Owner);
            there(record).ok_or(DoorError::Nobody)
        })
    }

    /// A one-time token for somebody, for the address that opens their browser.
    ///
    /// # Errors
    /// No chance to be had.
    pub fn once(&self, person: u32, now_ms: i64) -> Result<String, DoorError> {
        let token = token::fresh()?;
        let mut inside = self.held();
        inside.once.retain(|once| now_ms < once.ends_ms);
        inside.once.push(Once {
            hash: token::hash(&token),
            person,
            ends_ms: now_ms.saturating_add(ONCE_MS),
        });
        Ok(token)
    }

    /// Comes in by a one-time token; a device that is in already keeps its session.
    ///
    /// # Errors
    /// [`DoorError::Code`] for a token that was never made, was used, or is too old.
    pub fn enter(
        &self,
        once: &str,
        device: &str,
        now: Option<&Who>,
        now_ms: i64,
    ) -> Result<Option<Opened>, DoorError> {
        let person = take(&mut self.held().once, once, now_ms).ok_or(DoorError::Code)?;
        let name = self
            .held()
            .record
            .person(person)
            .map(|person| person.name.clone());
        if now.is_some_and(|who| Some(&who.person) == name.as_ref()) {
            return Ok(None);
        }
        self.begin(person, device, now_ms).map(Some)
    }

    /// A pairing code for somebody.
    ///
    /// # Errors
    /// Nobody of that number, or no chance to be had.
    pub fn invite(&self, person: u32, now_ms: i64) -> Result<String, DoorError> {
        let code = token::code()?;
        let mut inside = self.held();
        inside.record.person(person).ok_or(DoorError::Nobody)?;
        // one code a person: a new one ends the one before
        inside
            .codes
            .retain(|once| now_ms < once.ends_ms && once.person != person);
        if inside.codes.len() >= CODES_MOST {
            inside.codes.remove(0);
        }
        inside.codes.push(Once {
            hash: token::hash(&code),
            person,
            ends_ms: now_ms.saturating_add(CODE_MS),
        });
        Ok(code)
    }

    /// Who a code is for; it is not used up.
    ///
    /// # Errors
    /// [`DoorError::Code`], the same for every way of not being good.
    pub fn invited(&self, code: &str, now_ms: i64) -> Result<Invited, DoorError> {
        let code = token::typed_code(code).ok_or(DoorError::Code)?;
        let inside = self.held();
        let hash = token::hash(&code);
        let once = inside
            .codes
            .iter()
            .find(|once| once.hash == hash && now_ms < once.ends_ms)
            .ok_or(DoorError::Code)?;
        let person = inside.record.person(once.person).ok_or(DoorError::Code)?;
        Ok(Invited {
            person: person.name.clone(),
            role: person.role,
            language: person.language.clone(),
        })
    }

    /// Uses a code up and begins a session.
    ///
    /// # Errors
    /// [`DoorError::Code`], the same for every way of not being good.
    pub fn pair(&self, code: &str, device: &str, now_ms: i64) -> Result<Opened, DoorError> {
        let code = token::typed_code(code).ok_or(DoorError::Code)?;
        let person = take(&mut self.held().codes, &code, now_ms).ok_or(DoorError::Code)?;
        self.begin(person, device, now_ms)
    }

    /// Begins a session by name and passphrase. An unknown name costs the same work as a known one.
    ///
    /// # Errors
    /// [`DoorError::SignIn`], the same whatever does not fit.
    pub fn sign_in(
        &self,
        name: &str,
        typed: &str,
        device: &str,
        now_ms: i64,
    ) -> Result<Opened, DoorError> {
        let found = {
            let inside = self.held();
            let mut people = inside.record.people.iter();
            people
                .find(|person| person.name.eq_ignore_ascii_case(name.trim()))
                .map(|person| (person.id, person.passphrase.clone()))
        };
        let kept = found.as_ref().and_then(|(_, kept)| kept.as_deref());
        let fits = passphrase::fits(typed, kept);
        match found {
            Some((person, Some(_))) if fits => self.begin(person, device, now_ms),
            _ => Err(DoorError::SignIn),
        }
    }

    fn begin(&self, person: u32, device: &str, now_ms: i64) -> Result<Opened, DoorError> {
        let token = token::fresh()?;
        let hash = token::hash(&token);
        let who = self.change(|record| {
            record.tidy(now_ms);
            let session = Session {
                token: hash.clone(),
                person,
                device: device_name(device),
                made_ms: now_ms,
                seen_ms: now_ms,
                ends_ms: now_ms.saturating_add(SESSION_MS),
                revoked_ms: None,
            };
            let who = who(record, &session).ok_or(DoorError::Nobody)?;
            record.sessions.push(session);
            Ok(who)
        })?;
        Ok(Opened { token, who })
    }

    /// Who a cookie's token is, if it stands; its end slides on. Returns whether "last heard" is due
    /// to be written ([`Access::heard`]).
    pub fn who(&self, token: &str, now_ms: i64) -> Option<(Who, bool)> {
        if !token::is_token(token) {
            return None;
        }
        let inside = self.held();
        let session = inside.record.session(&token::hash(token))?;
        if !session.stands(now_ms) {
            return None;
        }
        let due = now_ms.saturating_sub(session.seen_ms) >= SEEN_MS;
        Some((who(&inside.record, session)?, due))
    }

    /// Writes that a device was heard of.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub fn heard(&self, session: &str, now_ms: i64) -> Result<(), DoorError> {
        self.change(|record| {
            for one in record
                .sessions
                .iter_mut()
                .filter(|one| one.token == session)
            {
                one.seen_ms = now_ms;
                one.ends_ms = now_ms.saturating_add(SESSION_MS);
            }
            Ok(())
        })
    }
}

/// Takes what is good for one use, if it is there and not too old.
fn take(all: &mut Vec<Once>, secret: &str, now_ms: i64) -> Option<u32> {
    let hash = token::hash(secret);
    let at = all.iter().position(|once| once.hash == hash)?;
    let once = all.remove(at);
    (now_ms < once.ends_ms).then_some(once.person)
}

/// The person and device of a session.
fn who(record: &Record, session: &Session) -> Option<Who> {
    let person = record.person(session.person)?;
    Some(Who {
        person: person.name.clone(),
        role: person.role,
        device: session.device.clone(),
        session: session.token.clone(),
        language: person.language.clone(),
        fields: match person.role {
            Role::Reader => person
                .reader_fields
                .iter()
                .map(|one| one.field.clone())
                .collect(),
            Role::Owner | Role::Helper => std::collections::BTreeSet::new(),
        },
        reading: person.role != Role::Reader || person.reading,
    })
}

/// A device's name as somebody typed it: one line, not too long.
fn device_name(text: &str) -> String {
    let name: String = text
        .chars()
        .filter(|c| !c.is_control())
        .take(60)
        .collect::<String>()
        .trim()
        .to_owned();
    if name.is_empty() {
        "a phone".to_owned()
    } else {
        name
    }
}
