//! Looking a book over: the file, the order, what the entries say, the attachments.

use super::{Book, attach, rows, schema};
use crate::kinds::{Payload, Reading};
use crate::{BookError, DeviceId, Entry, EntryId, Sha256Key};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// How bad a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
    /// The file or an entry is not as it was written: go back to a backup.
    Damage,
    /// Two copies of the book were written to as one device: nothing is lost, but one should take another.
    Copied,
    /// Something is named that has not arrived yet: merge the book that has it.
    Missing,
}

/// One thing found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// How bad.
    pub grade: Grade,
    /// What was found, in a sentence.
    pub said: String,
}

/// What a check found.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct CheckReport {
    /// Entries looked at.
    pub entries: u64,
    /// Attachments unpacked and compared with their keys.
    pub attachments: u64,
    /// Entries that only a newer stook understands (kept; no fault).
    pub needs_newer: u64,
    /// What was found, worst first; empty when all is well.
    pub findings: Vec<Finding>,
}

impl CheckReport {
    /// Whether nothing was found.
    pub fn is_clean(&self) -> bool {
        self.findings.is_empty()
    }

    fn add(&mut self, grade: Grade, said: String) {
        self.findings.push(Finding { grade, said });
    }
}

impl Book {
    /// Looks the whole book over. It reports; it never repairs.
    ///
    /// # Errors
    /// [`BookError::Busy`] or [`BookError::Sql`] when the file cannot be read at all.
    pub fn check(&self) -> Result<CheckReport, BookError> {
        let mut report = CheckReport::default();
        self.check_file(&mut report)?;
        match rows::all(&self.db) {
            Ok(entries) => {
                report.entries = entries.len() as u64;
                check_entries(&entries, &mut report);
                let keys = self.check_attachments(&mut report)?;
                check_named(&entries, &keys, &mut report);
            }
            Err(error) => report.add(Grade::Damage, error.to_string()),
        }
        report.findings.sort_by_key(|finding| finding.grade);
        Ok(report)
    }

    fn check_file(&self, report: &mut CheckReport) -> Result<(), BookError> {
        let mut rows = self.db.prepare("PRAGMA integrity_check(20)")?;
        for said in rows.query_map([], |row| row.get::<_, String>(0))? {
            let said = said?;
            if said != "ok" {
                report.add(Grade::Damage, said);
            }
        }
        let mut rows = self.db.prepare("PRAGMA foreign_key_check")?;
        for table in rows.query_map([], |row| row.get::<_, String>(0))? {
            report.add(
                Grade::Damage,
                format!("a row of {} names one that is not there", table?),
            );
        }
        if let Some(why) = schema::differs(&self.db, schema::SCHEMA_VERSION)? {
            report.add(Grade::Damage, why);
        }
        Ok(())
    }

    fn check_attachments(
        &self,
        report: &mut CheckReport,
    ) -> Result<BTreeSet<Sha256Key>, BookError> {
        let mut keys = BTreeSet::new();
        for one in attach::list(&self.db)? {
            report.attachments += 1;
            keys.insert(one.sha256);
            if let Err(error) = self.attachment(one.sha256) {
                report.add(Grade::Damage, error.to_string());
            }
        }
        Ok(keys)
    }
}

/// Every entry by itself, then each device's count and stamps.
fn check_entries(entries: &[Entry], report: &mut CheckReport) {
    let mut devices: BTreeMap<&DeviceId, Vec<&Entry>> = BTreeMap::new();
    for entry in entries {
        match entry.check().and_then(|()| entry.read()) {
            Ok(Reading::Known(_)) => {}
            Ok(Reading::NeedsNewer) => report.needs_newer += 1,
            Err(error) => report.add(Grade::Damage, format!("entry {}: {error}", entry.id)),
        }
        devices.entry(&entry.device).or_default().push(entry);
    }
    for (device, mut list) in devices {
        list.sort_by_key(|entry| (entry.seq, entry.stamp_ms));
        let mut before = 0;
        let mut stamp = 0;
        for entry in list {
            if entry.seq == before {
                report.add(
                    Grade::Copied,
                    format!(
                        "{device} wrote two entries no. {before}: the book was copied and both copies written to; give one copy another device"
                    ),
                );
            } else if entry.seq > before + 1 {
                report.add(
                    Grade::Missing,
                    format!(
                        "{device} wrote entries no. {} to {} that are not here",
                        before + 1,
                        entry.seq - 1
                    ),
                );
            } else if entry.stamp_ms <= stamp {
                report.add(
                    Grade::Damage,
                    format!(
                        "{device} no. {} is stamped no later than the one before it",
                        entry.seq
                    ),
                );
            }
            (before, stamp) = (entry.seq, entry.stamp_ms);
        }
    }
}

/// Everything that entries name: other entries, attachments.
fn check_named(entries: &[Entry], keys: &BTreeSet<Sha256Key>, report: &mut CheckReport) {
    let ids: BTreeSet<EntryId> = entries.iter().map(|entry| entry.id).collect();
    for entry in entries {
        for id in entry.replaces.iter().filter(|id| !ids.contains(id)) {
            report.add(
                Grade::Missing,
                format!("entry {} replaces {id}, which is not here", entry.id),
            );
        }
        let Ok(Reading::Known(payload)) = entry.read() else {
            continue;
        };
        for key in attachments_of(&payload).filter(|key| !keys.contains(key)) {
            report.add(
                Grade::Missing,
                format!(
                    "entry {} names attachment {key}, which is not here",
                    entry.id
                ),
            );
        }
    }
}

fn attachments_of(payload: &Payload) -> impl Iterator<Item = Sha256Key> {
    match payload {
        Payload::Correction(correction) => one_attachment(&correction.now),
        other => one_attachment(other),
    }
    .into_iter()
}

fn one_attachment(payload: &Payload) -> Option<Sha256Key> {
    match payload {
        Payload::Weighed(weighed) => weighed.paper,
        Payload::Move(one) => one.paper,
        Payload::Dump(dump) => dump.paper,
        Payload::File(file) => Some(file.sha256),
        _ => None,
    }
}
