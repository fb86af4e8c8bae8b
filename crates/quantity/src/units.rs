//! Which of the two systems a reader wants, and how a unit is named.

/// The system in which results are shown; what was typed keeps the unit it was typed in.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum Units {
    /// Pounds, bushels, acres, feet, miles an hour.
    #[default]
    Us,
    /// Kilograms and tonnes, hectares, meters, kilometers an hour.
    Metric,
}

/// Declares a unit enum: its variants, their printed symbol and the names they are known by.
macro_rules! unit_names {
    (
        $(#[$doc:meta])* $name:ident ($example:literal) {
            $($(#[$vdoc:meta])* $variant:ident = $symbol:literal [$($alias:literal),* $(,)?]),* $(,)?
        }
    ) => {
        $(#[$doc])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
        )]
        #[serde(rename_all = "snake_case")]
        pub enum $name {
            $($(#[$vdoc])* $variant),*
        }

        impl $name {
            /// Every unit of this quantity.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];

            /// The symbol it is printed with.
            pub const fn symbol(self) -> &'static str {
                match self {
                    $(Self::$variant => $symbol),*
                }
            }

            /// Reads the name of a unit, as in a flag or a column's header.
            ///
            /// # Errors
            /// Refuses what is not a unit of this quantity.
            pub fn parse(text: &str) -> Result<Self, $crate::QuantityError> {
                Self::named(text.trim()).ok_or_else(|| $crate::QuantityError::unreadable(text, $example))
            }

            /// The unit of that name; the symbol exactly, other names in any case.
            pub(crate) fn named(text: &str) -> Option<Self> {
                $(if text == $symbol {
                    return Some(Self::$variant);
                })*
                let plain = $crate::text::plain(text);
                match plain.as_str() {
                    $($($alias)|* => Some(Self::$variant),)*
                    _ => None,
                }
            }
        }

        impl std::str::FromStr for $name {
            type Err = $crate::QuantityError;
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                Self::parse(text)
            }
        }
    };
}

/// Gives a quantity `FromStr` by its `parse`, and serde by its canonical text.
macro_rules! by_text {
    ($name:ident, $expected:expr) => {
        impl std::str::FromStr for $name {
            type Err = $crate::QuantityError;
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                Self::parse(text)
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.serialize_str(&self.canonical())
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                struct Text;
                impl serde::de::Visitor<'_> for Text {
                    type Value = $name;
                    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                        f.write_str($expected)
                    }
                    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<$name, E> {
                        $name::from_canonical(text).map_err(E::custom)
                    }
                }
                from.deserialize_str(Text)
            }
        }
    };
}

pub(crate) use {by_text, unit_names};
