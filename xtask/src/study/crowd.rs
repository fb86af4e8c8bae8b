//! A crowd: many devices read pages and send entries at once; none errs, no entry is lost or doubled.
//!
//! Each client is a device of its own, paired as a person pairs a phone, with its own connection and its
//! own seeded stream. It reads a page or what the cab needs, or sends a batch of one to three new entries, or
//! sends an earlier batch again as a phone does that never heard the answer, with no pause between. Whole: 50
//! clients for 60 seconds; sample: 10 for 5. In the end the book must hold every acknowledged entry once, with
//! the words it was sent with, and none besides; and its own check must be clean.

use super::ask::Client;
use super::pages::share;
use super::served::Served;
use super::{Request, Verdict, child};
use anyhow::{Context as _, bail, ensure};
use book::{Book, EntryId};
use numeric::stream::Stream;
use std::collections::BTreeMap;
use std::time::{Duration, Instant};

/// What a client asks for when it reads.
const READS: &[&str] = &["/morning", "/night", "/entries", "/cab", "/api/cab"];

/// What one client did and saw.
#[derive(Debug, Default)]
struct Seen {
    /// Milliseconds of each page read.
    read_ms: Vec<f64>,
    /// Milliseconds of each batch sent.
    sent_ms: Vec<f64>,
    /// What each acknowledged entry says.
    acknowledged: BTreeMap<String, String>,
    /// Entries sent again.
    again: usize,
}

/// A device: its client, its id, what it has sent.
struct Phone {
    client: Client,
    id: String,
    /// The laptop's clock when the phone was paired, and how long ago that was.
    clock_ms: i64,
    since: Instant,
    /// The last stamp.
    stamp_ms: i64,
    stream: Stream,
    seq: u32,
    /// Batches sent: body, and each entry's id and words.
    batches: Vec<(String, Vec<(String, String)>)>,
}

/// Serves a farm, lets the crowd at it, and counts.
pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict> {
    let clients = request.number("--clients")?.unwrap_or(request.size(50, 10));
    let seconds = request.number("--seconds")?.unwrap_or(request.size(60, 5));
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("farm.stook");
    drop(desk::demo::seasons(&path, 1, request.seed)?);
    let stook = child::stook()?;
    let served = Served::start(&stook, &path, &folder.path().join("state"))?;
    let mut owner = served.owner()?;
    let mut phones = Vec::new();
    for number in 0..clients {
        phones.push(Phone::pair(&mut owner, &served, request.seed, number)?);
    }
    let before = Book::open(&path)?.length()?;
    let begun = Instant::now();
    let end = begun + Duration::from_secs(seconds);
    let crowd: Vec<_> = phones
        .into_iter()
        .map(|phone| std::thread::spawn(move || phone.work(end)))
        .collect();
    let mut all = Seen::default();
    let mut errors = Vec::new();
    for one in crowd {
        match one.join() {
            Ok(Ok(seen)) => all.take_in(seen),
            Ok(Err(error)) => errors.push(format!("{error:#}")),
            Err(_) => errors.push("a client panicked".to_owned()),
        }
    }
    let took = begun.elapsed().as_secs_f64();
    println!("{clients} clients for {took:.0} s on loopback, each a paired device of its own\n");
    all.print(took);
    if let Some(first) = errors.first() {
        return Ok(Verdict::Fails(format!(
            "{} of {clients} clients erred, the first: {first}",
            errors.len()
        )));
    }
    drop(served);
    Ok(match compare(&path, before, &all.acknowledged) {
        Ok(()) if all.again > 0 => Verdict::Holds(format!(
            "no error in {} requests ({:.0} a second); {} entries acknowledged, each in the book once; {} were sent again",
            all.requests(),
            all.requests() as f64 / took,
            all.acknowledged.len(),
            all.again
        )),
        Ok(()) => Verdict::Fails("nothing was ever sent again".to_owned()),
        Err(error) => Verdict::Fails(format!("{error:#}")),
    })
}

impl Phone {
    /// Pairs a new helper's phone, as the owner and the helper do it by hand.
    fn pair(owner: &mut Client, served: &Served, seed: u64, number: u64) -> anyhow::Result<Self> {
        let name = format!("helper {number}");
        let mut client = served.paired(owner, &name)?;
        // its clock is set by the laptop's: one that is far off would be noted in the book
        let farm: serde_json::Value = serde_json::from_slice(&client.get("/api/cab")?.body)
            .context("/api/cab gives no JSON")?;
        let clock_ms = farm["now_ms"].as_i64().context("/api/cab tells no time")?;
        Ok(Self {
            client,
            id: format!("phone-{number}"),
            clock_ms,
            since: Instant::now(),
            stamp_ms: 0,
            stream: Stream::new(seed, "crowd", number),
            seq: 0,
            batches: Vec::new(),
        })
    }

    /// Reads and writes until the end.
    fn work(mut self, end: Instant) -> anyhow::Result<Seen> {
        let mut seen = Seen::default();
        while Instant::now() < end {
            if self.stream.chance(0.6) {
                let page = READS[self.stream.below(READS.len())];
                let answer = self.client.follow(page)?;
                ensure!(answer.status == 200, "{page} answers {}", answer.status);
                seen.read_ms.push(answer.took.as_secs_f64() * 1000.0);
            } else if self.batches.is_empty() || self.stream.chance(0.75) {
                let batch = self.batch()?;
                self.batches.push(batch);
                self.send(self.batches.len() - 1, &["kept"], &mut seen)?;
            } else {
                let which = self.stream.below(self.batches.len());
                seen.again += self.batches[which].1.len();
                self.send(which, &["known"], &mut seen)?;
            }
        }
        Ok(seen)
    }

    /// One to three new entries as a body, with each one's id and words.
    fn batch(&mut self) -> anyhow::Result<(String, Vec<(String, String)>)> {
        let now_ms = self.clock_ms + i64::try_from(self.since.elapsed().as_millis())?;
        let (mut entries, mut said) = (Vec::new(), Vec::new());
        for _ in 0..self.stream.whole(1, 3) {
            self.seq += 1;
            // as a phone stamps: never the same moment twice
            self.stamp_ms = now_ms.max(self.stamp_ms + 1);
            let mut chance = [0; 10];
            for byte in &mut chance {
                *byte = u8::try_from(self.stream.below(256))?;
            }
            let id = EntryId::from_clock(now_ms, chance)?.to_string();
            let words = format!("{} wrote line {}", self.id, self.seq);
            entries.push(serde_json::json!({
                "id": id, "seq": self.seq, "stamp_ms": self.stamp_ms, "happened_ms": now_ms,
                "zone": "America/Chicago", "kind": "note", "figures": { "text": [words] }, "replaces": [],
            }));
            said.push((id, words));
        }
        let batch = serde_json::json!({
            "device": { "id": self.id, "name": self.id }, "sent_ms": now_ms, "entries": entries,
        });
        Ok((batch.to_string(), said))
    }

    /// Sends a batch; every entry must be answered with one of `wanted`.
    fn send(&mut self, which: usize, wanted: &[&str], seen: &mut Seen) -> anyhow::Result<()> {
        let (body, said) = &self.batches[which];
        let answer = self.client.json("/api/entries", body)?;
        ensure!(
            answer.status == 200,
            "/api/entries answers {}: {}",
            answer.status,
            answer.text()
        );
        let told: serde_json::Value = serde_json::from_slice(&answer.body)?;
        for (id, words) in said {
            let state = told["results"]
                .as_array()
                .and_then(|all| all.iter().find(|one| one["id"] == id.as_str()))
                .and_then(|one| one["state"].as_str())
                .with_context(|| format!("entry {id} was not answered"))?;
            if !wanted.contains(&state) {
                bail!("entry {id} is {state}: {}", answer.text());
            }
            seen.acknowledged.insert(id.clone(), words.clone());
        }
        seen.sent_ms.push(answer.took.as_secs_f64() * 1000.0);
        Ok(())
    }
}

impl Seen {
    fn take_in(&mut self, other: Self) {
        self.read_ms.extend(other.read_ms);
        self.sent_ms.extend(other.sent_ms);
        self.acknowledged.extend(other.acknowledged);
        self.again += other.again;
    }

    fn requests(&self) -> usize {
        self.read_ms.len() + self.sent_ms.len()
    }

    fn print(&mut self, took: f64) {
        println!("| what | requests | a second | p50 ms | p95 ms | p99 ms |");
        println!("| --- | --- | --- | --- | --- | --- |");
        for (what, times) in [
            ("pages and /api/cab read", &mut self.read_ms),
            ("batches of 1 to 3 entries sent", &mut self.sent_ms),
        ] {
            times.sort_by(f64::total_cmp);
            println!(
                "| {what} | {} | {:.0} | {:.1} | {:.1} | {:.1} |",
                times.len(),
                times.len() as f64 / took,
                share(times, 0.5),
                share(times, 0.95),
                share(times, 0.99)
            );
        }
        println!();
    }
}

/// Whether the book holds what was acknowledged, each once as it was sent, and nothing besides.
fn compare(
    path: &std::path::Path,
    before: u64,
    acknowledged: &BTreeMap<String, String>,
) -> anyhow::Result<()> {
    let book = Book::open(path)?;
    let entries = book.entries()?;
    let added = entries.len() as u64 - before;
    ensure!(
        added == acknowledged.len() as u64,
        "{} entries were acknowledged and {added} are in the book",
        acknowledged.len()
    );
    let there: BTreeMap<String, String> = entries
        .iter()
        .map(|entry| (entry.id.to_string(), entry.record().join(" ")))
        .collect();
    for (id, words) in acknowledged {
        let kept = there
            .get(id)
            .with_context(|| format!("entry {id} was acknowledged and is not in the book"))?;
        ensure!(
            kept.contains(words.as_str()),
            "entry {id} does not say `{words}`: {kept}"
        );
    }
    let report = book.check()?;
    ensure!(
        report.is_clean(),
        "the book's check finds {}, the first: {:?}",
        report.findings.len(),
        report.findings.first()
    );
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_entry_that_was_lost_or_came_besides_would_show() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("farm.stook");
        let mut book = desk::demo::seasons(&path, 1, 1).unwrap();
        let before = book.length().unwrap();
        let entry = super::super::slips::set_up(&mut book).unwrap();
        drop(book);
        let said: BTreeMap<String, String> = entry
            .iter()
            .map(|id| (id.to_string(), String::new()))
            .collect();
        compare(&path, before, &said).unwrap();
        let mut more = said.clone();
        more.insert("another".to_owned(), String::new());
        assert!(
            compare(&path, before, &more)
                .unwrap_err()
                .to_string()
                .contains("acknowledged")
        );
        let fewer: BTreeMap<_, _> = said.clone().into_iter().skip(1).collect();
        assert!(compare(&path, before, &fewer).is_err());
        let other = said
            .keys()
            .map(|id| (id.clone(), "not said".to_owned()))
            .collect();
        assert!(
            compare(&path, before, &other)
                .unwrap_err()
                .to_string()
                .contains("does not say")
        );
    }
}
