//! The names that an entry carries: each one line of text, none mistaken for another.

use std::fmt;

/// A text that cannot be such a name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{text}` cannot name a{an} {what}: it takes one line of 1 to 120 characters",
    an = if *what == "actor" { "n" } else { "" })]
pub struct LabelError {
    what: &'static str,
    text: String,
}

/// A label must fit a line of a report.
const LONGEST_LABEL: usize = 120;

macro_rules! label {
    ($(#[doc = $doc:literal])+ $name:ident, $what:literal) => {
        $(#[doc = $doc])+
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(String);

        impl $name {
            /// The text: one line of 1 to 120 characters.
            pub fn new(text: impl Into<String>) -> Result<$name, LabelError> {
                let text = text.into();
                let fits = (1..=LONGEST_LABEL).contains(&text.chars().count());
                match fits && !text.contains(char::is_control) {
                    true => Ok($name(text)),
                    false => Err(LabelError { what: $what, text }),
                }
            }

            /// The text.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl AsRef<str> for $name {
            fn as_ref(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

label!(
    /// What an entry is about, e.g. a mark set or a ruling signed.
    Kind, "kind"
);
label!(
    /// The pseudonym of who acted, e.g. `booth-07`; never a person's name.
    Actor, "actor"
);
label!(
    /// The review that an entry belongs to.
    ReviewId, "review"
);
label!(
    /// The name of one attempt to write; giving it again writes nothing again.
    CommandId, "command"
);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_is_one_line() {
        for wrong in ["", "two\nlines", &"x".repeat(121)] {
            assert!(Actor::new(wrong).is_err(), "{wrong:?}");
        }
        let fault = Actor::new("").expect_err("empty").to_string();
        assert_eq!(fault, "`` cannot name an actor: it takes one line of 1 to 120 characters");
    }
}
