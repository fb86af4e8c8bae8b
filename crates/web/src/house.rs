//! What every page shares: the book behind one lock, the farm as last read, the clock.

use crate::Refusal;
use crate::door::{Door, Who};
use book::Book;
use desk::written::Figures;
use desk::{Clock, Farm, Pen};
use std::any::Any;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use tokio::sync::watch;

/// A clock that may be asked from any thread.
pub type SharedClock = Box<dyn Clock + Send>;

/// Results worked out once for each state of the book.
type Kept = BTreeMap<String, (u64, Arc<dyn Any + Send + Sync>)>;

/// How many worked-out results are kept; the oldest state goes first.
const KEPT_MOST: usize = 200;

struct Inside {
    book: Mutex<Book>,
    path: PathBuf,
    farm: Mutex<Option<(u64, Arc<Farm>)>>,
    kept: Mutex<Kept>,
    clock: Mutex<SharedClock>,
    length: watch::Sender<u64>,
    door: Door,
}

/// The shared state, cheap to clone.
#[derive(Clone)]
pub struct House(Arc<Inside>);

impl std::fmt::Debug for House {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("House")
            .field("book", &self.0.path)
            .finish_non_exhaustive()
    }
}

/// The farm as it stood at one length of the book, and the moment of asking.
#[derive(Clone)]
pub struct Now {
    /// The farm.
    pub farm: Arc<Farm>,
    /// Entries in the book.
    pub length: u64,
    /// UTC milliseconds.
    pub now_ms: i64,
}

fn held<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    // what a panicking request left behind is still whole: the book's own transactions see to that
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

impl House {
    /// Opens the shared state over a book.
    ///
    /// # Errors
    /// A book that cannot be read.
    pub fn new(book: Book, clock: SharedClock, door: Door) -> Result<Self, Refusal> {
        let length = book.length().map_err(desk::DeskError::from)?;
        Ok(Self(Arc::new(Inside {
            path: book.path().to_owned(),
            book: Mutex::new(book),
            farm: Mutex::new(None),
            kept: Mutex::new(Kept::new()),
            clock: Mutex::new(clock),
            length: watch::Sender::new(length),
            door,
        })))
    }

    /// The moment, UTC milliseconds.
    pub fn now_ms(&self) -> i64 {
        held(&self.0.clock).now_ms()
    }

    /// Who may come in.
    pub fn door(&self) -> &Door {
        &self.0.door
    }

    /// The book's file.
    pub fn path(&self) -> &std::path::Path {
        &self.0.path
    }

    /// Tells when the book has grown.
    pub fn watch(&self) -> watch::Receiver<u64> {
        self.0.length.subscribe()
    }

    /// The farm as it stands, read anew only when the book has grown (by another program too).
    ///
    /// # Errors
    /// A book that cannot be read.
    pub fn now(&self) -> Result<Now, Refusal> {
        let book = held(&self.0.book);
        self.now_of(&book)
    }

    fn now_of(&self, book: &Book) -> Result<Now, Refusal> {
        let length = book.length().map_err(desk::DeskError::from)?;
        let mut last = held(&self.0.farm);
        let farm = match last.as_ref() {
            Some((at, farm)) if *at == length => farm.clone(),
            _ => {
                let farm = Arc::new(Farm::read(book)?);
                *last = Some((length, farm.clone()));
                farm
            }
        };
        drop(last);
        self.0
            .length
            .send_if_modified(|was| std::mem::replace(was, length) != length);
        Ok(Now {
            farm,
            length,
            now_ms: self.now_ms(),
        })
    }

    /// Works with the book itself: attachments, entries, writing. Holds the one lock, so briefly.
    ///
    /// # Errors
    /// Whatever the work says.
    pub fn with_book<T>(
        &self,
        work: impl FnOnce(&mut Book, &Now, &mut dyn Clock) -> Result<T, Refusal>,
    ) -> Result<T, Refusal> {
        let mut book = held(&self.0.book);
        let now = self.now_of(&book)?;
        let done = {
            let mut clock = held(&self.0.clock);
            work(&mut book, &now, &mut **clock)
        };
        let length = book.length().map_err(desk::DeskError::from)?;
        drop(book);
        self.0
            .length
            .send_if_modified(|was| std::mem::replace(was, length) != length);
        done
    }

    /// A result that holds as long as the book does not grow, worked out once.
    ///
    /// # Errors
    /// Whatever the work says; errors are not kept.
    pub fn keep<T: Send + Sync + 'static>(
        &self,
        key: &str,
        now: &Now,
        work: impl FnOnce(&Farm) -> Result<T, Refusal>,
    ) -> Result<Arc<T>, Refusal> {
        if let Some((length, kept)) = held(&self.0.kept).get(key)
            && *length == now.length
            && let Ok(kept) = kept.clone().downcast::<T>()
        {
            return Ok(kept);
        }
        let made = Arc::new(work(&now.farm)?);
        let mut kept = held(&self.0.kept);
        if kept.len() >= KEPT_MOST {
            kept.retain(|_, (length, _)| *length == now.length);
            if kept.len() >= KEPT_MOST {
                kept.clear();
            }
        }
        kept.insert(key.to_owned(), (now.length, made.clone()));
        Ok(made)
    }

    /// Does work that may take more than an instant on a thread of its own.
    ///
    /// # Errors
    /// Whatever the work says.
    pub async fn run<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Self) -> Result<T, Refusal> + Send + 'static,
    ) -> Result<T, Refusal> {
        let house = self.clone();
        tokio::task::spawn_blocking(move || work(&house))
            .await
            .map_err(|_| Refusal::broken())?
    }

    /// Writes one entry of figures, signed by who asks.
    ///
    /// # Errors
    /// What the desk says of a figure.
    pub(crate) async fn write(
        &self,
        who: Who,
        kind: &'static str,
        figures: Figures,
    ) -> Result<(), Refusal> {
        self.run(move |house| {
            house.with_book(|book, now, clock| {
                let mut pen = Pen::new(&who.person, None, &now.farm.zone, clock)?;
                desk::write(book, &now.farm, &mut pen, kind, &figures)?;
                Ok(())
            })
        })
        .await
    }
}
