//! A folder of its own for one test, and a farm's worth of commands through the real binary.
#![expect(clippy::unwrap_used, reason = "a failed step is a failed test")]

use std::path::Path;
use std::process::{Command, Output};

/// A folder of its own for one test, with a book's worth of commands.
pub(crate) struct Bench {
    folder: tempfile::TempDir,
}

pub(crate) struct Ran {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Bench {
    pub(crate) fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
        }
    }
    pub(crate) fn path(&self) -> &Path {
        self.folder.path()
    }
    pub(crate) fn run(&self, words: &[&str]) -> Ran {
        self.run_as("test-device", words)
    }
    pub(crate) fn run_as(&self, device: &str, words: &[&str]) -> Ran {
        ran(&self.command(device, words).output().unwrap())
    }
    /// Runs a command with text on its standard input.
    pub(crate) fn feed(&self, words: &[&str], text: &str) -> Ran {
        use std::io::Write;
        use std::process::Stdio;
        let mut command = self.command("test-device", words);
        let mut child = command
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        child
            .stdin
            .take()
            .unwrap()
            .write_all(text.as_bytes())
            .unwrap();
        ran(&child.wait_with_output().unwrap())
    }
    /// Starts the server, asks for the morning without being let in, and stops it: its first line
    /// and the answer.
    pub(crate) fn served(&self, words: &[&str]) -> (String, String) {
        use std::io::{BufRead, BufReader, Read, Write};
        let mut child = self
            .command("test-device", words)
            .env("STOOK_PORT", "0")
            .env("STOOK_STATE", self.path().join("state"))
            .env("PATH", "")
            .stdout(std::process::Stdio::piped())
            .stderr(std::process::Stdio::null())
            .spawn()
            .unwrap();
        let mut said = String::new();
        BufReader::new(child.stdout.take().unwrap())
            .read_line(&mut said)
            .unwrap();
        let from = said.find("127.0.0.1:").expect("an address");
        let address: String = said[from..].chars().take_while(|c| *c != '/').collect();
        let mut stream = std::net::TcpStream::connect(&address).unwrap();
        write!(
            stream,
            "GET /morning HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n"
        )
        .unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        child.kill().unwrap();
        child.wait().unwrap();
        (said, answer)
    }
    fn command(&self, device: &str, words: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_stook"));
        command
            .args(words)
            .current_dir(self.path())
            .env("STOOK_DEVICE", device)
            .env_remove("STOOK_BOOK");
        command
    }
    pub(crate) fn ok(&self, words: &[&str]) -> String {
        let ran = self.run(words);
        assert_eq!(ran.code, 0, "{words:?}\n{}\n{}", ran.out, ran.err);
        ran.out
    }
    pub(crate) fn json(&self, words: &[&str]) -> serde_json::Value {
        let mut all = vec!["--json"];
        all.extend(words);
        let ran = self.run(&all);
        serde_json::from_str(&ran.out)
            .unwrap_or_else(|why| panic!("{words:?}: {why}\n{}\n{}", ran.out, ran.err))
    }
    /// Farm, field, machine, places, meter and buyer.
    pub(crate) fn farm() -> Self {
        let bench = Self::new();
        std::fs::write(bench.path().join("beans.toml"), SCHEDULE).unwrap();
        for words in [
            &[
                "book",
                "new",
                "--farm",
                "Creek Bench",
                "--zone",
                "America/Chicago",
            ][..],
            &[
                "write",
                "field",
                "--name",
                "Willow Bench",
                "--unit",
                "A",
                "--planted",
                "30.1 ac",
            ],
            &[
                "write",
                "machine",
                "--name",
                "combine",
                "--tank",
                "10000 lb",
                "--monitor",
                "wet",
            ],
            &[
                "write",
                "place",
                "--name",
                "Gravity 1",
                "--kind",
                "wagon",
                "--capacity",
                "22,400 lb",
            ],
            &["write", "place", "--name", "Pit", "--kind", "pit"],
            &["write", "meter", "--name", "bench", "--kind", "buyer"],
            &["write", "meter", "--name", "sensor", "--kind", "machine"],
            &[
                "write",
                "buyer",
                "--name",
                "Pit",
                "--season",
                "2025",
                "--schedule",
                "beans.toml",
            ],
            &[
                "write",
                "planting",
                "--field",
                "Willow Bench",
                "--crop",
                "soybean",
                "--season",
                "2025",
                "--share",
                "owner=2/3",
                "--share",
                "landowner=1/3",
            ],
        ] {
            bench.ok(words);
        }
        bench
    }
    /// Four trips, two tanks each; the gross of the last is as given.
    pub(crate) fn trips(gross: &str) -> Self {
        let bench = Self::farm();
        let loads = [
            ("9,480 lb", "9,210 lb", "23,880 lb"),
            ("9,650 lb", "9,020 lb", "23,860 lb"),
            ("9,150 lb", "9,390 lb", "23,720 lb"),
            ("9,300 lb", "9,260 lb", "23,740 lb"),
            ("9,700 lb", "9,400 lb", gross),
        ];
        for (day, (a, b, gross)) in loads.iter().enumerate() {
            for (minute, reading) in [("10", a), ("40", b)] {
                let at = format!("2025-10-0{} 14:{minute}", day + 1);
                bench.ok(&[
                    "write",
                    "dump",
                    "--machine",
                    "combine",
                    "--field",
                    "Willow Bench",
                    "--crop",
                    "soybean",
                    "--to",
                    "Gravity 1",
                    "--monitor",
                    reading,
                    "--moisture",
                    "13.0%",
                    "--meter",
                    "sensor",
                    "--at",
                    &at,
                ]);
            }
            let (at, number) = (format!("2025-10-0{} 16:00", day + 1), format!("4821{day}"));
            bench.ok(&[
                "write",
                "weighed",
                "--from",
                "Gravity 1",
                "--to",
                "Pit",
                "--buyer",
                "Pit",
                "--crop",
                "soybean",
                "--gross",
                gross,
                "--tare",
                "5,160 lb",
                "--moisture",
                "13.2%",
                "--meter",
                "bench",
                "--test-weight",
                "57.0 lb/bu",
                "--number",
                &number,
                "--terms",
                "sell",
                "--price",
                "$10.40/bu",
                "--field",
                "Willow Bench",
                "--at",
                &at,
            ]);
        }
        bench
    }
}

fn ran(output: &Output) -> Ran {
    Ran {
        code: output.status.code().unwrap_or(-1),
        out: String::from_utf8_lossy(&output.stdout).into_owned(),
        err: String::from_utf8_lossy(&output.stderr).into_owned(),
    }
}

pub(crate) const SCHEDULE: &str = r#"
name = "soybeans, cash"
buyer = "Pit"
contract = "cash"
crop = "soybean"
base_moisture_pct = 13
unit_lb = 60

[[line]]
name = "shrink"
factor = "moisture"
when = "above"
from = 13
step = 0.5
excess = "step_up"
kind = "percent_of_gross_weight"
charge = { per_step = 1.0 }

[[assessment]]
name = "checkoff"
base = "net_value"
rate = 0.5
"#;
