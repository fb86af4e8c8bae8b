//! The machine's clock, its chance and its name: the only place that asks for them.

use anyhow::{Context, Result};
use book::Device;
use std::collections::hash_map::DefaultHasher;
use std::hash::{Hash, Hasher};
use std::path::{Path, PathBuf};

/// The machine's clock.
pub(crate) struct MachineClock;

impl desk::Clock for MachineClock {
    fn now_ms(&mut self) -> i64 {
        #[expect(
            clippy::disallowed_methods,
            reason = "the one door to the machine's clock"
        )]
        jiff::Timestamp::now().as_millisecond()
    }
    fn chance(&mut self) -> [u8; 10] {
        let mut bytes = [0; 10];
        bytes.copy_from_slice(&uuid::Uuid::new_v4().as_bytes()[6..]);
        bytes
    }
}

/// The machine's clock, set off by so much: for trying a season that is over.
pub(crate) struct SetClock {
    off_ms: i64,
}

impl SetClock {
    /// A clock that says `at_ms` now and runs on from there; the machine's own without one.
    pub(crate) fn new(at_ms: Option<i64>) -> Self {
        use desk::Clock;
        Self {
            off_ms: at_ms.map_or(0, |at_ms| at_ms - MachineClock.now_ms()),
        }
    }
}

impl desk::Clock for SetClock {
    fn now_ms(&mut self) -> i64 {
        MachineClock.now_ms() + self.off_ms
    }
    fn chance(&mut self) -> [u8; 10] {
        MachineClock.chance()
    }
}

/// The machine's own time zone, or UTC.
pub(crate) fn zone() -> String {
    jiff::tz::TimeZone::system()
        .iana_name()
        .unwrap_or("UTC")
        .to_owned()
}

/// This device, as it signs entries of one book file. Each file on each machine is a device of its
/// own, so that two copies of a book never count the same numbers. `STOOK_DEVICE` names another.
pub(crate) fn device(book: &Path) -> Result<Device> {
    if let Ok(name) = std::env::var("STOOK_DEVICE") {
        return Device::new(&name, &name).context("STOOK_DEVICE");
    }
    let secret = machine()?;
    let full = std::path::absolute(book).unwrap_or_else(|_| book.to_owned());
    let mut hasher = DefaultHasher::new();
    (secret.as_str(), full).hash(&mut hasher);
    let id = format!("d{:016x}", hasher.finish());
    Ok(Device::new(&id, "this computer")?)
}

/// A name that this machine made for itself once, kept in its settings folder.
fn machine() -> Result<String> {
    let folder = std::env::var_os("XDG_CONFIG_HOME")
        .map(PathBuf::from)
        .or_else(|| std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".config")))
        .or_else(|| std::env::var_os("APPDATA").map(PathBuf::from))
        .context("there is no settings folder on this machine (HOME is not set); name the device with STOOK_DEVICE")?
        .join("stook");
    let path = folder.join("machine");
    if let Ok(name) = std::fs::read_to_string(&path)
        && !name.trim().is_empty()
    {
        return Ok(name.trim().to_owned());
    }
    let name = uuid::Uuid::new_v4().simple().to_string();
    std::fs::create_dir_all(&folder).with_context(|| format!("{}", folder.display()))?;
    std::fs::write(&path, &name).with_context(|| format!("{}", path.display()))?;
    Ok(name)
}
