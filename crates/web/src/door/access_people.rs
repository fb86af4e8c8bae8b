//! What the owner does with people and devices.

use super::DoorError;
use super::access::Access;
use super::passphrase;
use super::record::{ReaderField, Record};
use super::role::Role;

/// A name as somebody typed it.
fn name(text: &str) -> Result<String, DoorError> {
    let text = text.trim();
    let count = text.chars().count();
    if count == 0 || count > 80 || text.chars().any(char::is_control) {
        return Err(DoorError::NameOdd);
    }
    Ok(text.to_owned())
}

fn free(record: &Record, name: &str, but: Option<u32>) -> Result<(), DoorError> {
    let lower = name.to_lowercase();
    let mut people = record.people.iter();
    match people.find(|person| Some(person.id) != but && person.name.to_lowercase() == lower) {
        Some(person) => Err(DoorError::NameTaken(person.name.clone())),
        None => Ok(()),
    }
}

fn owners(record: &Record) -> usize {
    let people = record.people.iter();
    people.filter(|person| person.role == Role::Owner).count()
}

impl Access {
    /// Adds somebody.
    ///
    /// # Errors
    /// A name that is taken or is none, or a file that cannot be written.
    pub fn add(&self, typed: &str, role: Role, language: Option<&str>) -> Result<u32, DoorError> {
        let name = name(typed)?;
        self.change(|record| {
            free(record, &name, None)?;
            let id = record.add(&name, role);
            for person in record.people.iter_mut().filter(|person| person.id == id) {
                person.language = language.map(str::to_owned);
            }
            Ok(id)
        })
    }

    /// Mends a name; what is in the book already keeps the old one.
    ///
    /// # Errors
    /// As [`Access::add`], and nobody of that number.
    pub fn rename(&self, id: u32, typed: &str) -> Result<(), DoorError> {
        let name = name(typed)?;
        self.change(|record| {
            free(record, &name, Some(id))?;
            let mut people = record.people.iter_mut();
            let person = people.find(|person| person.id == id);
            person.ok_or(DoorError::Nobody)?.name = name;
            Ok(())
        })
    }

    /// Takes somebody off the list, and their devices with them.
    ///
    /// # Errors
    /// Nobody of that number, the last owner, or a file that cannot be written.
    pub fn remove(&self, id: u32) -> Result<(), DoorError> {
        self.change(|record| {
            let person = record.person(id).ok_or(DoorError::Nobody)?;
            if person.role == Role::Owner && owners(record) == 1 {
                return Err(DoorError::LastOwner);
            }
            record.people.retain(|person| person.id != id);
            record.sessions.retain(|session| session.person != id);
            Ok(())
        })
    }

    /// Ends a device's session, named by the hash of its token.
    ///
    /// # Errors
    /// No such device, or a file that cannot be written.
    pub fn revoke(&self, session: &str, now_ms: i64) -> Result<(), DoorError> {
        self.change(|record| {
            let mut sessions = record.sessions.iter_mut();
            let one = sessions.find(|one| one.token == session);
            one.ok_or(DoorError::Nobody)?
                .revoked_ms
                .get_or_insert(now_ms);
            Ok(())
        })
    }

    /// Chooses a reader's fields, and whether they may read.
    ///
    /// # Errors
    /// Nobody of that number who is a reader, or a file that cannot be written.
    pub fn read(&self, id: u32, reading: bool, fields: Vec<ReaderField>) -> Result<(), DoorError> {
        self.change(|record| {
            let mut people = record.people.iter_mut();
            let person = people
                .find(|person| person.id == id && person.role == Role::Reader)
                .ok_or(DoorError::Nobody)?;
            person.reading = reading;
            person.reader_fields = fields;
            Ok(())
        })
    }

    /// Gives somebody a passphrase, or takes it away when nothing was typed. Their other devices stay
    /// paired.
    ///
    /// # Errors
    /// One that is too short, nobody of that number, or a file that cannot be written.
    pub fn passphrase(&self, id: u32, typed: &str) -> Result<(), DoorError> {
        let kept = match typed {
            "" => None,
            typed => Some(passphrase::keep(typed)?),
        };
        self.change(|record| {
            let mut people = record.people.iter_mut();
            let person = people.find(|person| person.id == id);
            person.ok_or(DoorError::Nobody)?.passphrase = kept;
            Ok(())
        })
    }
}
