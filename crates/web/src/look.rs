//! How a reader wants it: language, units, light. Kept in cookies, never in the book.

use crate::text::{Language, Text};
use axum::http::HeaderMap;
use axum::http::header::{ACCEPT_LANGUAGE, COOKIE};
use axum::http::request::Parts;
use std::convert::Infallible;

/// In which light a page is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Light {
    /// As the device says.
    #[default]
    Device,
    /// Day and lamp.
    Light,
    /// Night.
    Dark,
    /// Sun on the glass.
    Sun,
}

impl Light {
    /// As cookies and `data-theme` write it; none leaves it to the device.
    pub const fn theme(self) -> Option<&'static str> {
        match self {
            Self::Device => None,
            Self::Light => Some("light"),
            Self::Dark => Some("dark"),
            Self::Sun => Some("sun"),
        }
    }
}

/// US or metric.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// Pounds, acres, bushels.
    #[default]
    Us,
    /// Kilograms, hectares, tonnes.
    Metric,
}

/// How one reader wants it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Look {
    /// Words.
    pub text: Text,
    /// Units.
    pub units: Units,
    /// Light.
    pub light: Light,
}

/// The value of one cookie.
pub(crate) fn cookie<'h>(headers: &'h HeaderMap, name: &str) -> Option<&'h str> {
    headers
        .get_all(COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .find_map(|pair| {
            let (key, value) = pair.trim().split_once('=')?;
            (key == name).then_some(value)
        })
}

impl Look {
    /// From a request's headers.
    pub fn of(headers: &HeaderMap) -> Self {
        let accepted = headers
            .get(ACCEPT_LANGUAGE)
            .and_then(|value| value.to_str().ok());
        let language = cookie(headers, "language")
            .and_then(Language::of)
            .or_else(|| accepted.and_then(Language::of))
            .unwrap_or_default();
        Self {
            text: Text(language),
            units: match cookie(headers, "units") {
                Some("metric") => Units::Metric,
                _ => Units::Us,
            },
            light: match cookie(headers, "light") {
                Some("light") => Light::Light,
                Some("dark") => Light::Dark,
                Some("sun") => Light::Sun,
                _ => Light::Device,
            },
        }
    }

    /// Whether units are metric, for templates.
    pub fn metric(&self) -> bool {
        self.units == Units::Metric
    }
}

impl<S: Send + Sync> axum::extract::FromRequestParts<S> for Look {
    type Rejection = Infallible;
    async fn from_request_parts(parts: &mut Parts, _state: &S) -> Result<Self, Infallible> {
        Ok(Self::of(&parts.headers))
    }
}
