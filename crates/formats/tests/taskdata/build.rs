//! Task data written from known records, for tests only: each variant of how a machine may write.

use std::fmt::Write as _;
use std::io::{Cursor, Write as _};
use zip::write::SimpleFileOptions;

/// A position field in the header of a log.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Field {
    Absent,
    Constant(&'static str),
    InRecord,
}

/// One value of the header.
#[derive(Clone)]
pub(crate) struct Value {
    pub(crate) ddi: u16,
    pub(crate) element: &'static str,
    pub(crate) constant: Option<i32>,
    pub(crate) group: bool,
}

/// A record as it is known: position fields raw, one value a channel (`None` before the first).
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Known {
    pub(crate) ms: u32,
    pub(crate) days: u16,
    pub(crate) north: i32,
    pub(crate) east: i32,
    pub(crate) up: i32,
    pub(crate) values: Vec<Option<i32>>,
}

/// How one log is written.
#[derive(Clone)]
pub(crate) struct Spec {
    pub(crate) name: &'static str,
    /// PTN A to I.
    pub(crate) position: [Field; 9],
    pub(crate) values: Vec<Value>,
    /// Only values that differ from the record before.
    pub(crate) changes_only: bool,
    pub(crate) records: Vec<Known>,
    /// Bytes missing at the end.
    pub(crate) cut: usize,
}

/// A transfer: its tasks with their logs.
#[derive(Clone)]
pub(crate) struct Transfer {
    pub(crate) version: u8,
    pub(crate) case: Case,
    /// Fields in a linked file.
    pub(crate) linked: bool,
    pub(crate) tasks: Vec<Vec<Spec>>,
}

#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Case {
    Usual,
    Upper,
    Lower,
}

pub(crate) const USUAL: [Field; 9] = {
    let mut fields = [Field::Absent; 9];
    fields[0] = Field::InRecord;
    fields[1] = Field::InRecord;
    fields[3] = Field::InRecord;
    fields
};

/// Mass flow, moisture, width, header status, speed, mass counter.
pub(crate) const DDIS: [u16; 6] = [87, 99, 67, 237, 397, 90];

pub(crate) fn values() -> Vec<Value> {
    DDIS.iter()
        .map(|ddi| Value {
            ddi: *ddi,
            element: if *ddi == 237 { "DET-3" } else { "DET-2" },
            constant: None,
            group: false,
        })
        .collect()
}

/// Records a second apart going north at 2 m/s, noon of 2024-09-30, with a flow that wavers, moisture
/// that falls slowly, the head going up for the last two, and the counter that belongs to the flow.
pub(crate) fn known(n: i32) -> Vec<Known> {
    let mut total = 5_000.0;
    (0..n)
        .map(|i| {
            let flow = 10_000_000 + (i * 7_919) % 3_001 * 1_000 - 1_500_000;
            total += f64::from(flow) * 1e-6;
            Known {
                ms: 43_200_000 + 1_000 * i.unsigned_abs(),
                days: 16_344,
                north: 439_000_000 + 180 * i,
                east: -939_000_000 + (i % 3),
                up: 310_000 + 5 * i,
                values: vec![
                    Some(flow),
                    Some(185_000 - 1_000 * (i / 4)),
                    Some(9_144),
                    Some(i32::from(i < n - 2)),
                    Some(2_000),
                    Some(total as i32),
                ],
            }
        })
        .collect()
}

impl Spec {
    pub(crate) fn usual(name: &'static str, n: i32) -> Self {
        Self {
            name,
            position: USUAL,
            values: values(),
            changes_only: false,
            records: known(n),
            cut: 0,
        }
    }

    pub(crate) fn header(&self) -> String {
        let mut text =
            String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<TIM A=\"\" D=\"4\"><PTN");
        for (letter, field) in "ABCDEFGHI".chars().zip(self.position) {
            match field {
                Field::Absent => {}
                Field::Constant(value) => write!(text, " {letter}=\"{value}\"").unwrap(),
                Field::InRecord => write!(text, " {letter}=\"\"").unwrap(),
            }
        }
        text += "/>";
        for value in &self.values {
            let constant = value.constant.map_or_else(String::new, |v| v.to_string());
            write!(
                text,
                "<DLV A=\"{:04X}\" B=\"{constant}\" C=\"{}\"",
                value.ddi, value.element
            )
            .unwrap();
            if value.group {
                text += " D=\"65096\" E=\"0\" F=\"15\"";
            }
            text += "/>";
        }
        text + "</TIM>\n"
    }

    pub(crate) fn binary(&self) -> Vec<u8> {
        let mut out: Vec<u8> = Vec::new();
        let mut before = vec![None; self.values.len()];
        for record in &self.records {
            out.extend(record.ms.to_le_bytes());
            out.extend(record.days.to_le_bytes());
            let fields: [Vec<u8>; 9] = [
                record.north.to_le_bytes().to_vec(),
                record.east.to_le_bytes().to_vec(),
                record.up.to_le_bytes().to_vec(),
                vec![4],
                21_u16.to_le_bytes().to_vec(),
                9_u16.to_le_bytes().to_vec(),
                vec![14],
                (record.ms + 18_000_000).to_le_bytes().to_vec(),
                record.days.to_le_bytes().to_vec(),
            ];
            for (field, bytes) in self.position.iter().zip(fields) {
                if *field == Field::InRecord {
                    out.extend(bytes);
                }
            }
            let stored: Vec<(u8, i32)> = self
                .values
                .iter()
                .zip(&record.values)
                .enumerate()
                .filter(|(place, (value, now))| {
                    value.constant.is_none() && (!self.changes_only || **now != before[*place])
                })
                .filter_map(|(place, (_, now))| Some((place as u8, (*now)?)))
                .collect();
            out.push(stored.len() as u8);
            for (place, value) in stored {
                out.push(place);
                out.extend(value.to_le_bytes());
            }
            before.clone_from(&record.values);
        }
        out.truncate(out.len() - self.cut);
        out
    }
}

const DEVICE: &str = r#"<DVC A="DVC-1" B="Combine" C="1.0" D="A000000000000001" F="31" G="FF">
<DET A="DET-1" B="1" C="1" D="Combine" E="0" F="0"/>
<DET A="DET-2" B="2" C="2" D="Yield" E="1" F="3"><DOR A="10"/></DET>
<DET A="DET-3" B="3" C="2" D="Header" E="2" F="1"><DOR A="11"/><DOR A="12"/><DOR A="13"/></DET>
<DET A="DET-4" B="4" C="7" D="Antenna" E="3" F="1"><DOR A="14"/></DET>
<DPD A="10" B="0057" C="1" D="9" E="Mass flow" F="20"/>
<DPT A="11" B="0046" C="9144" D="Width" E="21"/>
<DPT A="12" B="0086" C="2500" D="Forward"/>
<DPT A="13" B="0087" C="0" D="Right"/>
<DPT A="14" B="0086" C="-1500" D="Forward"/>
<DVP A="20" B="0" C="1e-6" D="2" E="kg/s"/>
<DVP A="21" B="0" C="0.001" D="2" E="m"/>
</DVC>"#;

const FIELD: &str = r#"<PFD A="PFD1" B="1" C="North &amp; far" D="48000" G="CTP1">
<PLN A="1"><LSG A="1"><PNT A="2" C="43.899" D="-93.901"/><PNT A="2" C="43.902" D="-93.901"/><PNT A="2" C="43.902" D="-93.899"/><PNT A="2" C="43.899" D="-93.899"/></LSG>
<LSG A="2"><PNT A="2" C="43.9005" D="-93.9002"/><PNT A="2" C="43.9007" D="-93.9002"/><PNT A="2" C="43.9006" D="-93.9001"/></LSG></PLN>
<PLN A="1"><LSG A="1"><PNT A="2" C="43.903" D="-93.901"/><PNT A="2" C="43.904" D="-93.901"/><PNT A="2" C="43.904" D="-93.9"/></LSG></PLN>
</PFD>"#;

impl Transfer {
    pub(crate) fn one(spec: Spec) -> Self {
        Self {
            version: 4,
            case: Case::Usual,
            linked: false,
            tasks: vec![vec![spec]],
        }
    }

    pub(crate) fn files(&self) -> Vec<(String, Vec<u8>)> {
        let mut main = format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<ISO11783_TaskData VersionMajor=\"{}\" VersionMinor=\"{}\" ManagementSoftwareManufacturer=\"x\" ManagementSoftwareVersion=\"1\" DataTransferOrigin=\"2\">\n<CTP A=\"CTP1\" B=\"Corn\"/>\n",
            self.version,
            if self.version == 3 { 3 } else { 2 }
        );
        let mut files = Vec::new();
        if self.linked {
            main += "<XFR A=\"PFD00001\" B=\"1\"/>\n";
            files.push((
                "PFD00001.XML".to_owned(),
                format!("<?xml version=\"1.0\"?>\n<XFC>{FIELD}</XFC>\n").into_bytes(),
            ));
        } else {
            main += FIELD;
        }
        main += DEVICE;
        main += "<PDT A=\"PDT1\" B=\"Seed\"/>\n";
        for (task, logs) in self.tasks.iter().enumerate() {
            let number = task + 1;
            writeln!(
                main,
                "<TSK A=\"TSK{number}\" B=\"Task {number}\" E=\"PFD1\" G=\"4\">"
            )
            .unwrap();
            for log in logs {
                let binary = log.binary();
                writeln!(
                    main,
                    "<TLG A=\"{}\" B=\"{}\" C=\"1\"/>",
                    log.name,
                    binary.len()
                )
                .unwrap();
                files.push((format!("{}.xml", log.name), log.header().into_bytes()));
                files.push((format!("{}.bin", log.name), binary));
            }
            main += "<TIM A=\"2024-09-30T12:00:00\" B=\"2024-09-30T12:10:00\" C=\"600\" D=\"4\"><DLV A=\"005A\" B=\"160\" C=\"DET-2\"/></TIM>\n</TSK>\n";
        }
        main += "</ISO11783_TaskData>\n";
        files.push(("TASKDATA.XML".to_owned(), main.into_bytes()));
        for (name, _) in &mut files {
            match self.case {
                Case::Usual => {}
                Case::Upper => *name = name.to_uppercase(),
                Case::Lower => *name = name.to_lowercase(),
            }
        }
        files.sort();
        files
    }

    pub(crate) fn zip(&self) -> Vec<u8> {
        let files = self.files();
        zipped(
            files
                .iter()
                .map(|(name, bytes)| (format!("TASKDATA/{name}"), bytes.as_slice())),
        )
    }
}

/// A zip archive of these names and bytes.
pub(crate) fn zipped<'a>(files: impl IntoIterator<Item = (String, &'a [u8])>) -> Vec<u8> {
    let mut out = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default().compression_method(zip::CompressionMethod::Deflated);
    for (name, bytes) in files {
        out.start_file(name, options).unwrap();
        out.write_all(bytes).unwrap();
    }
    out.finish().unwrap().into_inner()
}

/// Every variant by name; the independent reader of `reference/isoxml` reads the same.
pub(crate) fn variants() -> Vec<(&'static str, Transfer)> {
    let usual = || Spec::usual("TLG00001", 16);
    let mut all = vec![
        ("every-value", Transfer::one(usual())),
        (
            "version-3",
            Transfer {
                version: 3,
                ..Transfer::one(usual())
            },
        ),
        (
            "changes-only",
            Transfer::one(Spec {
                changes_only: true,
                ..usual()
            }),
        ),
        (
            "full-position",
            Transfer::one(Spec {
                position: [Field::InRecord; 9],
                ..usual()
            }),
        ),
    ];
    let mut constant = usual();
    constant.position[2] = Field::Constant("310000");
    constant.position[3] = Field::Constant("4");
    constant.position[5] = Field::Constant("0.9");
    constant.values[1].constant = Some(180_000);
    all.push(("constants", Transfer::one(constant)));
    for (name, case) in [("upper-case", Case::Upper), ("lower-case", Case::Lower)] {
        let one = Transfer::one(usual());
        all.push((name, Transfer { case, ..one }));
    }
    all.push(("cut-short", Transfer::one(Spec { cut: 9, ..usual() })));
    let mut lost = usual();
    (lost.records[4].north, lost.records[4].east) = (0, 0);
    (lost.records[5].north, lost.records[5].east) = (i32::MAX, i32::MAX);
    all.push(("no-fix", Transfer::one(lost)));
    let mut reset = usual();
    for record in &mut reset.records[8..] {
        record.values[5] = record.values[5].map(|total| total - 5_060);
    }
    all.push(("counter-reset", Transfer::one(reset)));
    let mut group = usual();
    group.values.insert(
        1,
        Value {
            ddi: 0xDFFE,
            element: "DET-1",
            constant: None,
            group: true,
        },
    );
    group.values.push(Value {
        ddi: 0x7ABC,
        element: "DET-1",
        constant: None,
        group: false,
    });
    for (i, record) in (0_i32..).zip(&mut group.records) {
        record.values.insert(1, Some(-i));
        record.values.push(Some(i * 11));
    }
    all.push(("bus-message-and-unknown", Transfer::one(group)));
    let mut later = Spec::usual("TLG00002", 12);
    for record in &mut later.records {
        record.ms += 600_000;
        record.east += 1_370;
    }
    let mut other = Spec::usual("TLG00003", 10);
    for record in &mut other.records {
        record.ms += 1_200_000;
        record.east += 2_740;
    }
    all.push((
        "several-linked",
        Transfer {
            version: 4,
            case: Case::Usual,
            linked: true,
            tasks: vec![vec![usual(), later], vec![other]],
        },
    ));
    all
}
