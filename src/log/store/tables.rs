//! Are the tables of a log those that tellframe makes, and nothing besides?
//!
//! SQLite runs what lies in `sqlite_schema`: a trigger that swallows inserts, a view in the place of a table or a
//! dropped check would let a desk acknowledge acts that are nowhere. So everything there is compared, by kind, name,
//! table and text, with what the migrations up to the log's version make in an empty database. That covers columns,
//! checks, `STRICT`, `WITHOUT ROWID` and generated columns, because all of them stand in the text.
//!
//! Of SQLite's own, the indexes of primary keys (`sqlite_autoindex_…`) are compared like everything else. `sqlite_stat1`
//! and `sqlite_stat4` are let pass where they are the very tables that `ANALYZE` makes: they change which way a query
//! goes, never what it finds. `sqlite_sequence` comes only with `AUTOINCREMENT`, which no table here has, so it is
//! refused. The triggers of a connection's own (`TEMP`) are not in the file.

use crate::store::schema;
use rusqlite::Connection;

/// What `ANALYZE` makes, as SQLite spells it.
const STATISTICS: [(&str, &str); 2] = [
    ("sqlite_stat1", "CREATE TABLE sqlite_stat1(tbl,idx,stat)"),
    ("sqlite_stat4", "CREATE TABLE sqlite_stat4(tbl,idx,neq,nlt,ndlt,sample)"),
];

/// How the tables differ from those that tellframe makes.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TablesError {
    #[error("they claim version {0}, which was never published")]
    Version(i64),
    #[error("the {kind} `{name}` is missing")]
    Missing {
        /// `table`, `index` or `trigger`.
        kind: String,
        name: String,
    },
    #[error("the {kind} `{name}` was changed")]
    Changed {
        /// What it should be: `table`, `index` or `trigger`.
        kind: String,
        name: String,
    },
    #[error("the {kind} `{name}` was added")]
    Added {
        /// `table`, `index`, `trigger` or `view`.
        kind: String,
        name: String,
    },
}

/// A row of `sqlite_schema`, without the page that it begins on.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Item {
    kind: String,
    name: String,
    table: String,
    text: Option<String>,
}

impl Item {
    fn is_of_statistics(&self) -> bool {
        let is = |(name, text): &(&str, &str)| self.name == *name && self.text.as_deref() == Some(*text);
        self.kind == "table" && self.table == self.name && STATISTICS.iter().any(is)
    }
}

/// The first difference from the tables of `version`: what is missing or changed, then what was added.
pub(crate) fn fault(connection: &Connection, version: usize) -> rusqlite::Result<Option<TablesError>> {
    let due = items(&schema::made(version)?)?;
    let found = items(connection)?;
    if let Some(Item { kind, name, .. }) = due.iter().find(|item| !found.contains(item)) {
        let (kind, name) = (kind.clone(), name.clone());
        let there = found.iter().any(|item| item.name == name);
        return Ok(Some(if there {
            TablesError::Changed { kind, name }
        } else {
            TablesError::Missing { kind, name }
        }));
    }
    let added = found.into_iter().find(|item| !due.contains(item) && !item.is_of_statistics());
    Ok(added.map(|Item { kind, name, .. }| TablesError::Added { kind, name }))
}

fn items(connection: &Connection) -> rusqlite::Result<Vec<Item>> {
    let mut query =
        connection.prepare("SELECT type, name, tbl_name, sql FROM sqlite_schema ORDER BY rowid")?;
    let rows = query.query_map((), |row| {
        Ok(Item { kind: row.get(0)?, name: row.get(1)?, table: row.get(2)?, text: row.get(3)? })
    })?;
    rows.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn statistics_pass_only_as_the_tables_that_analyze_makes() {
        let item = |kind: &str, text: &str| Item {
            kind: kind.to_owned(),
            name: "sqlite_stat1".to_owned(),
            table: "sqlite_stat1".to_owned(),
            text: Some(text.to_owned()),
        };
        let [(_, text), _] = STATISTICS;
        assert!(item("table", text).is_of_statistics());
        assert!(!item("view", text).is_of_statistics());
        assert!(!item("table", "CREATE TABLE sqlite_stat1(tbl,idx,stat,also)").is_of_statistics());
    }
}
