//! One spelling per JSON value: the bytes of RFC 8785 (JSON Canonicalization Scheme).
//!
//! An entry is spelt once, when it is written, and hashed as spelt; it is never spelt again. What
//! I-JSON (RFC 7493) cannot hold is refused here, because RFC 8785 would round it in silence.

use serde_json::Value;

/// The largest whole number that every reader of JSON keeps exactly: 2^53 − 1 (RFC 7493, section 2.2).
const LARGEST_WHOLE: u64 = (1 << 53) - 1;

/// What a value holds that canonical JSON cannot.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CanonicalError {
    /// A whole number outside ±(2^53 − 1); it would be rounded.
    #[error("the number {number} at `{place}` is beyond ±9007199254740991, which JSON cannot hold exactly")]
    TooLarge {
        number: String,
        /// Where it stands, as a path of names and positions.
        place: String,
    },
    #[error("not JSON: {0}")]
    Syntax(String),
}

/// The bytes of `value` after RFC 8785.
pub fn bytes(value: &Value) -> Result<Vec<u8>, CanonicalError> {
    refuse_large(value, &mut Vec::new())?;
    spell(value)
}

/// Adds a text as RFC 8785 spells it (section 3.2.2.2): serde_json escapes the same characters the same way.
pub(crate) fn text(spelt: &mut Vec<u8>, text: &str) {
    serde_json::to_writer(spelt, text).expect("a Vec takes all text");
}

/// Adds a whole number that JSON holds exactly.
pub(crate) fn whole(spelt: &mut Vec<u8>, number: u64) -> Result<(), CanonicalError> {
    match number {
        0..=LARGEST_WHOLE => {
            spelt.extend_from_slice(number.to_string().as_bytes());
            Ok(())
        }
        _ => Err(CanonicalError::TooLarge { number: number.to_string(), place: "at.boot_ms".to_owned() }),
    }
}

/// Whether `given` is already in canonical spelling.
///
/// Numbers are read as RFC 8785 says, as doubles: a double of 1e16 is spelt like the whole number, and
/// that spelling is its own canonical form.
pub fn is_canonical(given: &[u8]) -> Result<bool, CanonicalError> {
    let mut value: Value =
        serde_json::from_slice(given).map_err(|e| CanonicalError::Syntax(e.to_string()))?;
    numbers_as_doubles(&mut value);
    Ok(spell(&value)? == given)
}

fn spell(value: &Value) -> Result<Vec<u8>, CanonicalError> {
    serde_json_canonicalizer::to_vec(value).map_err(|e| CanonicalError::Syntax(e.to_string()))
}

fn refuse_large<'a>(value: &'a Value, place: &mut Vec<Place<'a>>) -> Result<(), CanonicalError> {
    match value {
        Value::Null | Value::Bool(_) | Value::String(_) => Ok(()),
        Value::Number(number) => {
            let size = number.as_u64().or_else(|| number.as_i64().map(i64::unsigned_abs));
            match size {
                Some(size) if size > LARGEST_WHOLE => {
                    Err(CanonicalError::TooLarge { number: number.to_string(), place: path(place) })
                }
                Some(_) | None => Ok(()),
            }
        }
        Value::Array(items) => items.iter().enumerate().try_for_each(|(position, item)| {
            place.push(Place::At(position));
            refuse_large(item, place)?;
            place.pop();
            Ok(())
        }),
        Value::Object(fields) => fields.iter().try_for_each(|(name, field)| {
            place.push(Place::Name(name));
            refuse_large(field, place)?;
            place.pop();
            Ok(())
        }),
    }
}

fn numbers_as_doubles(value: &mut Value) {
    match value {
        Value::Null | Value::Bool(_) | Value::String(_) => {}
        Value::Number(number) => {
            if let Some(double) = number.as_f64().and_then(serde_json::Number::from_f64) {
                *number = double;
            }
        }
        Value::Array(items) => items.iter_mut().for_each(numbers_as_doubles),
        Value::Object(fields) => fields.values_mut().for_each(numbers_as_doubles),
    }
}

/// One stretch of the way to a value inside a value.
enum Place<'a> {
    Name(&'a str),
    At(usize),
}

fn path(places: &[Place<'_>]) -> String {
    let mut path = String::new();
    for place in places {
        match place {
            Place::Name(name) if path.is_empty() => path.push_str(name),
            Place::Name(name) => path.extend([".", name]),
            Place::At(position) => path.push_str(&format!("[{position}]")),
        }
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn spelt(text: &str) -> String {
        let value: Value = serde_json::from_str(text).expect("the example is JSON");
        String::from_utf8(bytes(&value).expect("the example is I-JSON")).expect("JSON is UTF-8")
    }

    /// RFC 8785, section 3.2.2 (the example) and 3.2.3 (its canonical form), transcribed by hand.
    // PROPERTY: the spelling of entries is that of RFC 8785
    #[test]
    fn the_main_example_is_spelt_as_printed() {
        let given = r#"{
          "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
          "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
          "literals": [null, true, false]
        }"#;
        let printed = concat!(
            r#"{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"#,
            r#""string":"€$\u000f\nA'B\"\\\\\"/"}"#
        );
        assert_eq!(spelt(given), printed);
    }

    /// RFC 8785, section 3.2.4, the last bytes of the same example: UTF-8 of the Euro sign is e2 82 ac.
    #[test]
    fn text_is_utf8() {
        assert_eq!(bytes(&json!("€$")).expect("text"), [0x22, 0xe2, 0x82, 0xac, 0x24, 0x22]);
    }

    /// RFC 8785, section 3.2.3: names sort by their UTF-16 code units, so a surrogate pair (😀) comes
    /// before U+FB33.
    #[test]
    fn names_sort_by_utf16_code_units() {
        let given = r#"{"\u20ac": "Euro Sign", "\r": "Carriage Return",
            "\ufb33": "Hebrew Letter Dalet With Dagesh", "1": "One",
            "\ud83d\ude00": "Emoji: Grinning Face", "\u0080": "Control",
            "\u00f6": "Latin Small Letter O With Diaeresis"}"#;
        let spelt = spelt(given);
        let order = [
            "Carriage Return",
            "\"One\"",
            "Control",
            "Latin Small Letter O With Diaeresis",
            "Euro Sign",
            "Emoji: Grinning Face",
            "Hebrew Letter Dalet With Dagesh",
        ];
        let places: Vec<_> = order.iter().map(|name| spelt.find(name).expect("kept")).collect();
        assert!(places.is_sorted(), "{spelt}");
    }

    /// RFC 8785, Appendix B: the bits of a double and how it is spelt (NaN and infinity aside, which a
    /// JSON value cannot be).
    #[test]
    fn numbers_are_spelt_as_in_appendix_b() {
        let table: &[(u64, &str)] = &[
            (0x0000000000000000, "0"),
            (0x8000000000000000, "0"),
            (0x0000000000000001, "5e-324"),
            (0x8000000000000001, "-5e-324"),
            (0x7fefffffffffffff, "1.7976931348623157e+308"),
            (0xffefffffffffffff, "-1.7976931348623157e+308"),
            (0x4340000000000000, "9007199254740992"),
            (0xc340000000000000, "-9007199254740992"),
            (0x4430000000000000, "295147905179352830000"),
            (0x44b52d02c7e14af5, "9.999999999999997e+22"),
            (0x44b52d02c7e14af6, "1e+23"),
            (0x44b52d02c7e14af7, "1.0000000000000001e+23"),
            (0x444b1ae4d6e2ef4e, "999999999999999700000"),
            (0x444b1ae4d6e2ef4f, "999999999999999900000"),
            (0x444b1ae4d6e2ef50, "1e+21"),
            (0x3eb0c6f7a0b5ed8c, "9.999999999999997e-7"),
            (0x3eb0c6f7a0b5ed8d, "0.000001"),
            (0x41b3de4355555553, "333333333.3333332"),
            (0x41b3de4355555554, "333333333.33333325"),
            (0x41b3de4355555555, "333333333.3333333"),
            (0x41b3de4355555556, "333333333.3333334"),
            (0x41b3de4355555557, "333333333.33333343"),
            (0xbecbf647612f3696, "-0.0000033333333333333333"),
            (0x43143ff3c1cb0959, "1424953923781206.2"),
        ];
        for (bits, printed) in table {
            let spelt = bytes(&json!(f64::from_bits(*bits))).expect("a double");
            assert_eq!(String::from_utf8_lossy(&spelt), *printed, "{bits:016x}");
            assert_eq!(is_canonical(&spelt), Ok(true), "{printed}");
        }
    }

    #[test]
    fn a_whole_number_is_kept_up_to_2_to_the_53_and_refused_beyond() {
        assert_eq!(bytes(&json!(9_007_199_254_740_991_u64)), Ok(b"9007199254740991".to_vec()));
        assert_eq!(bytes(&json!(-9_007_199_254_740_991_i64)), Ok(b"-9007199254740991".to_vec()));
        let refused = bytes(&json!({"body": {"marks": [1, 9_007_199_254_740_993_u64]}}));
        assert_eq!(
            refused.expect_err("beyond 2^53").to_string(),
            "the number 9007199254740993 at `body.marks[1]` is beyond ±9007199254740991, \
             which JSON cannot hold exactly"
        );
        assert!(bytes(&json!(i64::MIN)).is_err());
    }

    #[test]
    fn another_spelling_of_the_same_value_is_not_canonical() {
        assert_eq!(is_canonical(br#"{"a":1,"b":2}"#), Ok(true));
        for other in [r#"{"b":2,"a":1}"#, r#"{"a":1, "b":2}"#, r#"{"a":1.0,"b":2}"#, r#"{"a":1,"a":1,"b":2}"#]
        {
            assert_eq!(is_canonical(other.as_bytes()), Ok(false), "{other}");
        }
        assert!(is_canonical(b"{").is_err());
    }
}
