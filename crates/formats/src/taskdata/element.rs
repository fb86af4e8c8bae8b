//! XML text to a tree of elements, within limits.

use quick_xml::XmlVersion;
use quick_xml::events::{BytesStart, Event};
use quick_xml::reader::Reader;

/// Elements within elements; task data needs about eight.
const DEEPEST: usize = 64;
/// Elements in one file; a farm of 500 outlines of 1,000 corners has half a million.
const MOST: usize = 1_000_000;
/// Bytes of one XML file.
const MOST_BYTES: usize = 64 << 20;

/// An element: its name, its attributes in order, what is inside. Text between elements is left out,
/// since task data has none.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Element {
    pub(super) name: String,
    pub(super) attributes: Vec<(String, String)>,
    pub(super) inside: Vec<Element>,
}

impl Element {
    /// The text of an attribute: `None` when absent, empty when present and empty.
    pub(super) fn get(&self, name: &str) -> Option<&str> {
        self.attributes
            .iter()
            .find(|(own, _)| own == name)
            .map(|(_, value)| value.as_str())
    }

    /// An attribute that says something, without spaces around it.
    pub(super) fn said(&self, name: &str) -> Option<&str> {
        self.get(name)
            .map(str::trim)
            .filter(|text| !text.is_empty())
    }

    /// An attribute as a number; `None` when absent, empty or no number.
    pub(super) fn number<T: std::str::FromStr>(&self, name: &str) -> Option<T> {
        self.said(name)?.parse().ok()
    }

    /// A data dictionary entry: four hexadecimal digits.
    pub(super) fn ddi(&self, name: &str) -> Option<u16> {
        u16::from_str_radix(self.said(name)?, 16).ok()
    }

    /// The elements of this name directly inside.
    pub(super) fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a Element> {
        self.inside.iter().filter(move |one| one.name == name)
    }
}

/// Reads a file's one root element, or says what is wrong with it. Nothing outside the file is ever
/// read: a document type, which could name other files or define entities, is refused.
pub(super) fn parse(bytes: &[u8]) -> Result<Element, String> {
    if bytes.len() > MOST_BYTES {
        return Err(format!("XML of more than {MOST_BYTES} bytes"));
    }
    let text = text(bytes)?;
    let mut reader = Reader::from_str(&text);
    let mut open: Vec<Element> = Vec::new();
    let mut root = None;
    let mut count = 0;
    loop {
        let at = reader.buffer_position();
        let event = reader
            .read_event()
            .map_err(|why| format!("XML that is not well made at byte {at} ({why})"))?;
        match event {
            Event::Start(tag) | Event::Empty(tag) if root.is_some() && open.is_empty() => {
                return Err(format!(
                    "a second root element {} at byte {at}",
                    brief(tag.name().as_ref())
                ));
            }
            Event::Start(tag) => {
                count += 1;
                if open.len() >= DEEPEST {
                    return Err(format!(
                        "elements nested deeper than {DEEPEST} at byte {at}"
                    ));
                }
                open.push(element(&tag).map_err(|why| format!("{why} at byte {at}"))?);
            }
            Event::Empty(tag) => {
                count += 1;
                let closed = element(&tag).map_err(|why| format!("{why} at byte {at}"))?;
                match open.last_mut() {
                    Some(parent) => parent.inside.push(closed),
                    None => root = Some(closed),
                }
            }
            Event::End(_) => {
                if let Some(closed) = open.pop() {
                    match open.last_mut() {
                        Some(parent) => parent.inside.push(closed),
                        None => root = Some(closed),
                    }
                }
            }
            Event::DocType(_) => {
                return Err(format!(
                    "a document type at byte {at}, which task data does not have"
                ));
            }
            Event::Eof => break,
            _ => {}
        }
        if count > MOST {
            return Err(format!("more than {MOST} elements"));
        }
    }
    if !open.is_empty() {
        return Err("XML that ends before its last element is closed".to_owned());
    }
    root.ok_or_else(|| "no XML element".to_owned())
}

fn element(tag: &BytesStart<'_>) -> Result<Element, String> {
    let mut out = Element {
        name: tag.name().as_ref().to_owned(),
        ..Element::default()
    };
    for attribute in tag.attributes() {
        let attribute = attribute.map_err(|why| {
            format!(
                "an attribute that cannot be read in {} ({why})",
                brief(&out.name)
            )
        })?;
        let value = attribute
            .normalized_value(XmlVersion::Implicit1_0)
            .map_err(|why| {
                format!(
                    "a value that cannot be read in {} ({why})",
                    brief(&out.name)
                )
            })?;
        out.attributes
            .push((attribute.key.as_ref().to_owned(), value.into_owned()));
    }
    Ok(out)
}

fn brief(name: &str) -> String {
    name.chars().filter(|c| !c.is_control()).take(40).collect()
}

/// The text of a file: UTF-8, UTF-16 with its mark, or Latin-1 where the file says so.
fn text(bytes: &[u8]) -> Result<String, String> {
    let wide = |bytes: &[u8], unit: fn([u8; 2]) -> u16| {
        let units = bytes.chunks_exact(2).map(|two| unit([two[0], two[1]]));
        char::decode_utf16(units)
            .collect::<Result<String, _>>()
            .map_err(|_| "UTF-16 text that is damaged".to_owned())
    };
    match bytes {
        [0xff, 0xfe, rest @ ..] => return wide(rest, u16::from_le_bytes),
        [0xfe, 0xff, rest @ ..] => return wide(rest, u16::from_be_bytes),
        _ => {}
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.to_owned()),
        Err(_) if latin(bytes) => Ok(bytes.iter().map(|byte| char::from(*byte)).collect()),
        Err(why) => Err(format!(
            "bytes that are not UTF-8 text at {}",
            why.valid_up_to()
        )),
    }
}

/// Whether the XML declaration names Latin-1 or the code page that widens it.
fn latin(bytes: &[u8]) -> bool {
    let head = bytes[..bytes.len().min(100)].to_ascii_lowercase();
    let head = String::from_utf8_lossy(&head);
    head.starts_with("<?xml")
        && ["iso-8859-1", "iso-8859-15", "windows-1252", "us-ascii"]
            .iter()
            .any(|name| head.contains(name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn present_and_empty_is_not_absent() {
        let tree =
            parse(br#"<?xml version="1.0"?><TIM A="" D="4"><PTN A="" B="1.5"/></TIM>"#).unwrap();
        assert_eq!((tree.get("A"), tree.get("B")), (Some(""), None));
        assert_eq!(tree.said("A"), None);
        let position = tree.all("PTN").next().unwrap();
        assert_eq!(position.number::<f64>("B"), Some(1.5));
    }

    #[test]
    fn what_is_not_task_data_is_a_sentence() {
        let deep = "<A>".repeat(100);
        for (bytes, says) in [
            (&b""[..], "no XML element"),
            (b"<A", "not well made"),
            (b"<A><B></A>", "not well made"),
            (b"<A>", "ends before"),
            (b"<A/><B/>", "second root"),
            (b"<A B='&bomb;'/>", "value that cannot be read"),
            (b"<!DOCTYPE x [<!ENTITY a 'aa'>]><A/>", "document type"),
            (b"<A B='\xff'/>", "not UTF-8"),
            (deep.as_bytes(), "nested deeper"),
        ] {
            let why = parse(bytes).unwrap_err();
            assert!(why.contains(says), "{why}");
        }
    }

    #[test]
    fn other_encodings_are_read() {
        let latin = b"<?xml version=\"1.0\" encoding=\"ISO-8859-1\"?><A B=\"M\xfchle\"/>";
        assert_eq!(parse(latin).unwrap().get("B"), Some("M\u{fc}hle"));
        let wide: Vec<u8> = [0xff, 0xfe]
            .into_iter()
            .chain("<A B=\"x\"/>".encode_utf16().flat_map(u16::to_le_bytes))
            .collect();
        assert_eq!(parse(&wide).unwrap().get("B"), Some("x"));
    }
}
