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

/// Escapes text for HTML and for attributes in double quotes.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

/// Speaks one language.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Text(pub Language);

impl Text {
    /// One sentence or word.
    pub fn say<'t>(&self, english: &'t str) -> Cow<'t, str> {
        match self.0 {
            Language::En => Cow::Borrowed(english),
            Language::Es => SPANISH
                .get(english)
                .map_or(Cow::Borrowed(english), |text| Cow::Borrowed(text.as_str())),
        }
    }

    /// A sentence with `{0}`, `{1}`, ... filled in, plain text.
    pub fn fill(&self, english: &str, parts: &[&dyn fmt::Display]) -> String {
        let texts: Vec<String> = parts.iter().map(ToString::to_string).collect();
        filled(&self.say(english), &texts)
    }

    /// A sentence of which the parts are markup (figures with their ranges); the sentence itself is escaped.
    pub fn mark(&self, english: &str, parts: &[Markup]) -> Markup {
        let texts: Vec<String> = parts.iter().map(|part| part.0.clone()).collect();
        Markup(filled(&escape(&self.say(english)), &texts))
    }
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
    fn the_first_spoken_language_is_taken() {
        assert_eq!(
            Language::of("fr-FR, es-MX;q=0.9, en;q=0.5"),
            Some(Language::Es)
        );
        assert_eq!(Language::of("de"), None);
    }
}
