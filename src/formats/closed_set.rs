//! Closed sets of words: strings in JSON and in RON alike, checked with the nearest known one.

/// Defines an enum whose values are written as the given strings; `Name = Twin`: with conversions to and from an enum that
/// has the same values.
macro_rules! words {
    ($(#[$meta:meta])* $name:ident = $twin:ty { $($(#[$of:meta])* $value:ident = $text:literal,)+ }) => {
        $crate::closed_set::words! { $(#[$meta])* $name { $($(#[$of])* $value = $text,)+ } }

        const _: () = {
            type Twin = $twin;

            impl From<$name> for Twin {
                fn from(one: $name) -> Twin {
                    match one { $($name::$value => Twin::$value,)+ }
                }
            }

            impl From<Twin> for $name {
                fn from(one: Twin) -> $name {
                    match one { $(Twin::$value => $name::$value,)+ }
                }
            }
        };
    };
    ($(#[$meta:meta])* $name:ident { $($(#[$of:meta])* $value:ident = $text:literal,)+ }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum $name { $($(#[$of])* $value,)+ }

        impl $name {
            /// The word.
            pub fn word(self) -> &'static str {
                match self { $($name::$value => $text,)+ }
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, to: S) -> std::result::Result<S::Ok, S::Error> {
                to.serialize_str(self.word())
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(from: D) -> std::result::Result<Self, D::Error> {
                let text = String::deserialize(from)?;
                match text.as_str() {
                    $($text => Ok($name::$value),)+
                    _ => Err(serde::de::Error::unknown_variant(&text, &[$($text),+])),
                }
            }
        }

        impl schemars::JsonSchema for $name {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                stringify!($name).trim_end_matches("Json").into()
            }
            fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
                schemars::json_schema!({"type": "string", "enum": [$($text),+]})
            }
        }
    };
}

pub(super) use words;
