//! Words in the reader's language. The English sentence is the key; `text/es.toml` has the Spanish.

use askama::filters::HtmlSafe;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;
use std::sync::LazyLock;

/// A language that every page speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Language {
    /// US English.
    #[default]
    En,
    /// Spanish as farm crews speak it.
    Es,
}

impl Language {
    /// As HTML and cookies write it.
    pub const fn code(self) -> &'static str {
        match self {
            Self::En => "en",
            Self::Es => "es",
        }
    }
    /// From a cookie or an `Accept-Language` header: the first language that is spoken here.
    pub fn of(text: &str) -> Option<Self> {
        text.split(',').find_map(
            |part| match part.trim().get(..2)?.to_ascii_lowercase().as_str() {
                "en" => Some(Self::En),
                "es" => Some(Self::Es),
                _ => None,
            },
        )
    }
}

static SPANISH: LazyLock<BTreeMap<String, String>> = LazyLock::new(|| {
    toml::from_str(include_str!("../text/es.toml"))
        .expect("text/es.toml is a table of texts, tested")
});

/// The Spanish words by their English, for page scripts.
pub(crate) fn spanish() -> &'static BTreeMap<String, String> {
    &SPANISH
}

/// Text that is HTML already: put into a page as it is.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Markup(pub String);

impl Markup {
    /// Plain text, escaped.
    pub fn plain(text: impl fmt::Display) -> Self {
        Self(escape(&text.to_string()))
    }
}
impl fmt::Display for Markup {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
impl HtmlSafe for Markup {}

pub(crate) use draw::escape;

/// Speaks one language.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Text(pub Language);

impl Text {
    /// One sentence or word. A sentence that a lower room has filled in already (an error, a rule)
    /// is found by its pattern, and what fills it is said in turn; what is not known stays English.
    pub fn say<'t>(&self, english: &'t str) -> Cow<'t, str> {
        match self.0 {
            Language::En => Cow::Borrowed(english),
            Language::Es => match SPANISH
                .get(english)
                .map(String::as_str)
                .or_else(|| facts::caution_in_spanish(english))
            {
                Some(text) => Cow::Borrowed(text),
                None => matched(english, 0).map_or(Cow::Borrowed(english), Cow::Owned),
            },
        }
    }

    /// A sentence with `{0}`, `{1}`, ... filled in, plain text.
    pub fn fill(&self, english: &str, parts: &[&dyn fmt::Display]) -> String {
        let texts: Vec<String> = parts.iter().map(ToString::to_string).collect();
        filled(&self.say(english), &texts)
    }

    /// A sentence with `{0}` filled in; for templates, which hand over references.
    pub fn with(&self, english: &str, part: impl fmt::Display) -> String {
        self.fill(english, &[&part])
    }

    /// A sentence with `{0}` and `{1}` filled in; for templates.
    pub fn with2(&self, english: &str, one: impl fmt::Display, two: impl fmt::Display) -> String {
        self.fill(english, &[&one, &two])
    }

    /// A sentence of which the parts are markup (figures with their ranges); the sentence itself is escaped.
    pub fn mark(&self, english: &str, parts: &[Markup]) -> Markup {
        let texts: Vec<String> = parts.iter().map(|part| part.0.clone()).collect();
        Markup(filled(&escape(&self.say(english)), &texts))
    }
}

/// A pattern of words around holes: what stands between the holes, and which hole is which.
struct Pattern {
    words: Vec<&'static str>,
    holes: Vec<usize>,
    spanish: &'static str,
}

/// Patterns with holes, those with the most words first.
static PATTERNS: LazyLock<Vec<Pattern>> = LazyLock::new(|| {
    let mut all: Vec<Pattern> = SPANISH
        .iter()
        .filter_map(|(english, spanish)| pattern(english, spanish))
        .collect();
    let weight = |one: &Pattern| one.words.iter().map(|words| words.len()).sum::<usize>();
    all.sort_by_key(|one| std::cmp::Reverse(weight(one)));
    all
});

fn pattern(english: &'static str, spanish: &'static str) -> Option<Pattern> {
    let (mut words, mut holes) = (Vec::new(), Vec::new());
    let (mut rest, mut from) = (english, 0);
    while let Some(start) = rest[from..].find('{').map(|at| at + from) {
        let number = rest[start + 1..].find('}').and_then(|end| {
            let number = rest[start + 1..start + 1 + end].parse().ok()?;
            Some((number, start + end + 2))
        });
        if let Some((number, after)) = number {
            words.push(&rest[..start]);
            holes.push(number);
            rest = &rest[after..];
            from = 0;
        } else {
            from = start + 1;
        }
    }
    words.push(rest);
    // a pattern of hardly any words would match everything
    let letters: usize = words
        .iter()
        .map(|text| text.chars().filter(|c| c.is_alphabetic()).count())
        .sum();
    (!holes.is_empty() && letters >= 4).then_some(Pattern {
        words,
        holes,
        spanish,
    })
}

/// How deep sentences stand within sentences.
const DEEPEST: u8 = 4;

fn matched(english: &str, depth: u8) -> Option<String> {
    if depth > DEEPEST || english.len() < 4 {
        return None;
    }
    let whole = PATTERNS.iter().find_map(|pattern| {
        let parts = captured(&pattern.words, english)?;
        let mut filling = vec![String::new(); pattern.holes.iter().max()? + 1];
        for (hole, part) in pattern.holes.iter().zip(parts) {
            filling[*hole] = match SPANISH.get(part) {
                Some(text) => text.clone(),
                None => matched(part, depth + 1).unwrap_or_else(|| part.to_owned()),
            };
        }
        Some(filled(pattern.spanish, &filling))
    });
    whole.or_else(|| halves(english, depth))
}

/// Says what stands before and after a colon or a semicolon; none where neither half is known.
fn halves(english: &str, depth: u8) -> Option<String> {
    let said = |part: &str| {
        SPANISH
            .get(part)
            .cloned()
            .or_else(|| matched(part, depth + 1))
    };
    [": ", "; "].iter().find_map(|mark| {
        let (before, after) = english.split_once(mark)?;
        let (one, two) = (said(before), said(after));
        (one.is_some() || two.is_some()).then(|| {
            let one = one.unwrap_or_else(|| before.to_owned());
            let two = two.unwrap_or_else(|| after.to_owned());
            format!("{one}{mark}{two}")
        })
    })
}

/// What stands between the words, leftmost first; none where the text is not of this pattern.
fn captured<'t>(words: &[&str], text: &'t str) -> Option<Vec<&'t str>> {
    let (first, others) = words.split_first()?;
    let (last, middle) = others.split_last()?;
    let mut rest = text.strip_prefix(first)?.strip_suffix(last)?;
    let mut parts = Vec::with_capacity(others.len());
    for word in middle {
        let at = rest.find(word)?;
        parts.push(&rest[..at]);
        rest = &rest[at + word.len()..];
    }
    parts.push(rest);
    parts.iter().all(|part| !part.is_empty()).then_some(parts)
}

fn filled(pattern: &str, parts: &[String]) -> String {
    let mut out = String::with_capacity(pattern.len() + 16);
    let mut rest = pattern;
    while let Some(start) = rest.find('{') {
        let (before, after) = rest.split_at(start);
        out.push_str(before);
        let number = after[1..].find('}').and_then(|end| {
            let number: usize = after[1..=end].parse().ok()?;
            Some((number, end + 2))
        });
        if let Some((number, length)) = number {
            out.push_str(parts.get(number).map_or("", String::as_str));
            rest = &after[length..];
        } else {
            out.push('{');
            rest = &after[1..];
        }
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_filled_in_and_markup_is_escaped_once() {
        let text = Text(Language::En);
        assert_eq!(text.fill("{0} of {1} ac", &[&62, &"197"]), "62 of 197 ac");
        assert_eq!(text.fill("{1} {0} {x} {", &[&1, &2]), "2 1 {x} {");
        assert_eq!(
            text.mark("<{0}> & more", &[Markup("<b>7</b>".to_owned())])
                .0,
            "&lt;<b>7</b>&gt; &amp; more"
        );
    }

    #[test]
    fn a_sentence_filled_in_below_is_found_by_its_pattern() {
        let found = "{0}: found '{1}', expected {2}";
        let pattern = pattern(found, "{0}: se encontró '{1}', se esperaba {2}").unwrap();
        assert_eq!(
            captured(&pattern.words, "gross: found '5 lx', expected a weight").unwrap(),
            ["gross", "5 lx", "a weight"]
        );
        assert_eq!(captured(&pattern.words, "gross: nothing"), None);
        // a sentence that begins and ends alike does not match itself twice over
        assert_eq!(captured(&["ab", "ba"], "aba"), None);
    }

    #[test]
    fn a_refusal_is_said_with_the_figure_that_it_names() {
        let text = Text(Language::Es);
        assert_eq!(
            text.say("gross: found '5 lx', expected a year like 2026"),
            "bruto: se encontró '5 lx', se esperaba un año como 2026"
        );
        assert_eq!(text.say("Willow Bench: 12:30"), "Willow Bench: 12:30");
    }

    #[test]
    fn the_first_spoken_language_is_taken() {
        assert_eq!(
            Language::of("fr-FR, es-MX;q=0.9, en;q=0.5"),
            Some(Language::Es)
        );
        assert_eq!(Language::of("de"), None);
    }
}
