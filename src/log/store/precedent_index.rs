//! Which words a case shares with each precedent: SQLite's full-text index, held in memory.
//!
//! The index is a projection of the texts in the log, built whenever they are read, and never written to a disk: so
//! it cannot lag behind the log, and a text that was erased there lives on nowhere. Words are split as Unicode
//! has them, accents are taken off, and English endings by Porter's algorithm (M. F. Porter, An algorithm for suffix
//! stripping, Program 14 (3), 1980), so that "punched" finds "punch".
//!
//! English words that every text has, such as "at", "it" and "was", never count: neither a text nor a case has them.
//! FTS5 has no list of such stop words; this one is Snowball's, as the crate `stop-words` carries it. The longer list
//! of that crate is not used: it holds "side", "face" and "line", which tell plays apart.
//!
//! A word that n precedents have counts 1/n: what everybody has tells nothing apart. The share of a precedent is the
//! sum of the words that it has of those of the case, over the sum of those that any precedent has; a word that
//! none has says nothing.

use crate::Error;
use review::precedent::near::Shared;
use rusqlite::Connection;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// An index of texts by id.
#[derive(Debug)]
pub struct Index {
    connection: Connection,
    ids: Vec<String>,
}

/// The case itself is row 0 while it is asked about; the texts are rows from 1.
const CASE: i64 = 0;

/// Weights of words are millionths, so that sums are exact.
const WHOLE: u64 = 1_000_000;

/// The words of a case that are looked at: what a person writes about a play is shorter.
const MOST_BYTES: usize = 20_000;

/// A word of a case that some text has.
struct Found {
    /// As the case has it.
    written: String,
    /// The rows of the texts that have it.
    holders: BTreeSet<i64>,
}

impl Index {
    /// Over these texts.
    ///
    /// # Errors
    /// [`Error`] if the index cannot be made.
    pub fn build(texts: &[(String, String)]) -> Result<Index, Error> {
        let build = || -> rusqlite::Result<Connection> {
            let mut connection = Connection::open_in_memory()?;
            connection.execute_batch(
                "CREATE VIRTUAL TABLE texts USING fts5(text, tokenize = 'porter unicode61');
                 CREATE VIRTUAL TABLE words USING fts5vocab(texts, instance);",
            )?;
            let transaction = connection.transaction()?;
            for (row, (_, text)) in (1_i64..).zip(texts) {
                transaction
                    .prepare_cached("INSERT INTO texts (rowid, text) VALUES (?1, ?2)")?
                    .execute((row, telling(text).join(" ")))?;
            }
            transaction.commit()?;
            Ok(connection)
        };
        let connection = build().map_err(refused)?;
        Ok(Index { connection, ids: texts.iter().map(|(id, _)| id.clone()).collect() })
    }

    /// What each text shares with `words`, by id; none where no word counts.
    ///
    /// # Errors
    /// [`Error`] if the index cannot be asked.
    pub fn shared(&self, words: &str) -> Result<Option<BTreeMap<String, Shared>>, Error> {
        let words = words.get(..words.floor_char_boundary(MOST_BYTES)).unwrap_or(words);
        let words = telling(words);
        if words.is_empty() {
            return Ok(None);
        }
        let found = self.with(&words).map_err(refused)?;
        let weight = |found: &Found| WHOLE / u64::try_from(found.holders.len()).unwrap_or(1).max(1);
        let all: u64 = found.iter().map(weight).sum();
        let share = |row: i64| {
            let own = || found.iter().filter(|found| found.holders.contains(&row));
            let sum: u64 = own().map(weight).sum();
            let mut words: Vec<String> = own().map(|found| found.written.clone()).collect();
            words.sort();
            let share = (sum * 1000).checked_div(all).unwrap_or(0);
            Shared { share: u32::try_from(share).unwrap_or(1000), words }
        };
        Ok(Some((1_i64..).zip(&self.ids).map(|(row, id)| (id.clone(), share(row))).collect()))
    }

    fn with(&self, words: &[&str]) -> rusqlite::Result<Vec<Found>> {
        // Nothing of the question stays: the transaction is rolled back when it is dropped.
        let transaction = self.connection.unchecked_transaction()?;
        transaction.execute("INSERT INTO texts (rowid, text) VALUES (?1, ?2)", (CASE, words.join(" ")))?;
        let first = "SELECT term, min(offset) FROM words WHERE doc = ?1 GROUP BY term";
        let mut own = transaction.prepare_cached(first)?;
        let own = own.query_map([CASE], |row| Ok((row.get(0)?, row.get(1)?)))?;
        let own: Vec<(String, usize)> = own.collect::<Result<_, _>>()?;
        let mut query = transaction.prepare_cached("SELECT DISTINCT doc FROM words WHERE term = ?1")?;
        let mut found = Vec::new();
        for (word, place) in own {
            let holders = query.query_map([&word], |row| row.get(0))?;
            let holders: BTreeSet<i64> = holders.filter(|row| *row != Ok(CASE)).collect::<Result<_, _>>()?;
            if !holders.is_empty() {
                // The index knows a word without its ending; a person reads it as it was written.
                let written = words.get(place).map_or(word, |written| written.to_lowercase());
                found.push(Found { written, holders });
            }
        }
        Ok(found)
    }
}

/// The words of a text that can tell cases apart, in its order.
fn telling(text: &str) -> Vec<&str> {
    // An accent may stand as a letter of its own behind its vowel; the index reads both as one.
    let accent = |letter: char| ('\u{300}'..='\u{36f}').contains(&letter);
    let stop = stop_words::get(stop_words::Language::English);
    text.split(|letter: char| !letter.is_alphanumeric() && !accent(letter))
        .filter(|word| word.contains(char::is_alphanumeric) && !stop.contains(&word.to_lowercase().as_str()))
        .collect()
}

fn refused(error: rusqlite::Error) -> Error {
    Error::of_database(Path::new("(words in memory)"), error)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shared(texts: &[&str], words: &str) -> Option<Vec<(u32, Vec<String>)>> {
        let texts: Vec<(String, String)> =
            (0..).zip(texts).map(|(number, text)| (format!("p-{number}"), (*text).to_owned())).collect();
        let index = Index::build(&texts).expect("built");
        let found = index.shared(words).expect("asked");
        assert_eq!(found, index.shared(words).expect("asked again"), "a question leaves nothing behind");
        Some(found?.into_values().map(|shared| (shared.share, shared.words)).collect())
    }

    /// By hand: `helmet` is in both texts and counts 1/2, `bench` and `dog` in one each and count 1, `moon` in none
    /// and counts nothing. So the first has (1/2 + 1) of 5/2, the second the same; without `dog` the first has all.
    #[test]
    fn a_word_counts_the_less_the_more_precedents_have_it() {
        let texts = ["a helmet on the bench", "the helmet and a dog"];
        let of = |words: &str| shared(&texts, words).expect("there are words");
        let named = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>();
        assert_eq!(
            of("Helmet, bench; DOG! moon"),
            [(600, named(&["bench", "helmet"])), (600, named(&["dog", "helmet"]))]
        );
        assert_eq!(of("helmet bench"), [(1000, named(&["bench", "helmet"])), (333, named(&["helmet"]))]);
        assert_eq!(of("moon"), [(0, Vec::new()), (0, Vec::new())]);
        assert_eq!(shared(&texts, " ;\" ' - "), None, "signs are no words");
    }

    /// `was`, `at`, `it`, `the` and what is left of `didn't` are in the published list; `helmet` and `wall` are not.
    // PROPERTY: words that every text has make no cases near
    #[test]
    fn cases_that_share_only_words_of_every_text_share_no_words() {
        let texts = ["it was at the wall", "He didn't see it"];
        for words in ["It was THE one at it", "he didn't", "was it", "at"] {
            let shared = shared(&texts, words);
            assert!(shared.iter().flatten().all(|(share, words)| *share == 0 && words.is_empty()), "{words}");
        }
        assert_eq!(shared(&texts, "was it at the"), None, "such words alone are no words");
        let of = shared(&texts, "the helmet was at the wall").expect("there are words");
        assert_eq!(of, [(1000, vec!["wall".to_owned()]), (0, Vec::new())]);
        // They take no share from those that count either.
        assert_eq!(shared(&["helmet"], "it was the helmet"), shared(&["helmet"], "helmet"));
    }

    /// Porter's paper, step 1a and 1b: caresses → caress, plastered → plaster, motoring → motor.
    #[test]
    fn endings_are_taken_off_as_porter_has_it() {
        for (text, word) in
            [("caress", "caresses"), ("plaster", "plastered"), ("motor", "motoring"), ("punch", "punches")]
        {
            assert_eq!(shared(&[text], word), Some(vec![(1000, vec![word.to_owned()])]), "{word}");
        }
    }

    #[test]
    fn what_stands_in_a_question_is_never_a_command_of_the_index() {
        for words in ["\"", "a\" OR text:*", "NEAR(", "helmet AND", "text : helmet", "*"] {
            let index = Index::build(&[("p".to_owned(), "helmet".to_owned())]).expect("built");
            assert!(index.shared(words).is_ok(), "{words}");
        }
    }
}
