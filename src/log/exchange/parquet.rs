//! Records as one flat Parquet file, to be analysed by other programs.
//!
//! A scalar field is a typed column, null where the record has none; what is nested is JSON text; fields
//! that this program does not know are together in `unknown`. Rows are in the order given.

use ::parquet::basic::Compression;
use ::parquet::data_type::{BoolType, ByteArray, ByteArrayType, DataType, DoubleType, Int64Type};
use ::parquet::errors::ParquetError;
use ::parquet::file::properties::WriterProperties;
use ::parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use ::parquet::schema::parser::parse_message_type;
use formats::case::Who;
use formats::case::expect::Partial;
use formats::record::{Kept, Record};
use serde::Serialize;
use serde_json::Value;
use std::io::Write;
use std::sync::Arc;

/// Rows that are written together: enough to compress well, few enough for memory.
const ROWS_A_GROUP: usize = 1 << 16;

struct Column {
    name: &'static str,
    cells: Cells,
}

/// The type of a column, with the cell of one record.
enum Cells {
    Text(fn(&Record) -> Option<&str>),
    Json(fn(&Record) -> Result<Option<String>, serde_json::Error>),
    Instant(fn(&Record) -> Option<i64>),
    Double(fn(&Record) -> Option<f64>),
    Whole(fn(&Record) -> Option<i64>),
    Bool(fn(&Record) -> Option<bool>),
}

impl Cells {
    /// As a line of Parquet's schema language. Times are UTC.
    fn declared(&self, name: &str) -> String {
        let (physical, logical) = match self {
            Cells::Text(_) => ("BYTE_ARRAY", " (STRING)"),
            Cells::Json(_) => ("BYTE_ARRAY", " (JSON)"),
            Cells::Instant(_) => ("INT64", " (TIMESTAMP(MILLIS,true))"),
            Cells::Double(_) => ("DOUBLE", ""),
            Cells::Whole(_) => ("INT64", ""),
            Cells::Bool(_) => ("BOOLEAN", ""),
        };
        format!("OPTIONAL {physical} {name}{logical};")
    }
}

/// The columns, in the order of the record's fields.
const COLUMNS: &[Column] = &[
    Column { name: "id", cells: Cells::Text(|r| Some(&r.id)) },
    Column { name: "review", cells: Cells::Text(|r| r.review.as_deref()) },
    Column { name: "engine", cells: Cells::Whole(|r| r.engine.map(i64::from)) },
    Column { name: "edition", cells: Cells::Text(|r| Some(&r.edition)) },
    Column { name: "book", cells: Cells::Text(|r| r.book.as_deref()) },
    Column { name: "game", cells: Cells::Text(|r| r.game.as_deref()) },
    Column { name: "week", cells: Cells::Whole(|r| r.week.map(i64::from)) },
    Column { name: "play", cells: Cells::Text(|r| r.play.as_deref()) },
    Column { name: "initiator", cells: Cells::Text(|r| r.initiator.map(Who::word)) },
    Column { name: "official", cells: Cells::Text(|r| r.official.as_deref()) },
    Column { name: "situation", cells: Cells::Json(|r| situation(&r.situation)) },
    Column { name: "tree", cells: Cells::Text(|r| Some(&r.tree)) },
    Column { name: "call", cells: Cells::Text(|r| Some(&r.call)) },
    Column { name: "whistle", cells: Cells::Text(|r| r.whistle.as_deref()) },
    Column { name: "fouls", cells: Cells::Json(|r| nested(&r.fouls)) },
    Column { name: "answers", cells: Cells::Json(|r| nested(&r.answers)) },
    Column { name: "proofs", cells: Cells::Json(|r| nested(&r.proofs)) },
    Column { name: "marks", cells: Cells::Json(|r| nested(&r.marks)) },
    Column { name: "possible", cells: Cells::Json(|r| nested(&r.possible)) },
    Column { name: "finding", cells: Cells::Text(|r| r.finding.as_deref()) },
    Column { name: "established", cells: Cells::Bool(|r| r.established) },
    Column { name: "changed", cells: Cells::Bool(|r| r.changed) },
    Column { name: "outcome", cells: Cells::Text(|r| Some(&r.outcome)) },
    Column { name: "after", cells: Cells::Json(|r| situation(&r.after)) },
    Column { name: "moot", cells: Cells::Bool(|r| Some(r.moot)) },
    Column { name: "won", cells: Cells::Bool(|r| r.won) },
    Column { name: "called_at", cells: Cells::Instant(|r| Some(r.called_at.timestamp_millis())) },
    Column { name: "phases_s", cells: Cells::Json(|r| nested(&r.phases_s)) },
    Column { name: "duration_s", cells: Cells::Double(|r| r.duration_s) },
    Column { name: "by_wall_clock", cells: Cells::Json(|r| nested(&r.by_wall_clock)) },
    Column { name: "cut_short", cells: Cells::Bool(|r| Some(r.cut_short)) },
    Column { name: "overrides", cells: Cells::Json(|r| nested(&r.overrides)) },
    Column { name: "grade", cells: Cells::Json(|r| value(&r.grade)) },
    Column { name: "crew_position", cells: Cells::Text(|r| r.crew_position.as_deref()) },
    Column { name: "review_grade", cells: Cells::Json(|r| value(&r.review_grade)) },
    Column { name: "plain", cells: Cells::Json(|r| value(&r.plain)) },
    Column { name: "again_of", cells: Cells::Text(|r| r.again_of.as_deref()) },
    Column { name: "unknown", cells: Cells::Json(|r| nested(&r.unknown)) },
];

fn value(value: &Value) -> Result<Option<String>, serde_json::Error> {
    if value.is_null() { Ok(None) } else { nested(value) }
}

fn situation(situation: &Option<Kept<Partial>>) -> Result<Option<String>, serde_json::Error> {
    situation.as_ref().map(serde_json::to_string).transpose()
}

fn nested(value: &impl Serialize) -> Result<Option<String>, serde_json::Error> {
    serde_json::to_string(value).map(Some)
}

/// Why a file was not written.
#[derive(Debug, thiserror::Error)]
#[error("cannot write the Parquet file: {0}")]
pub struct Error(#[from] ParquetError);

impl From<serde_json::Error> for Error {
    fn from(e: serde_json::Error) -> Error {
        Error(ParquetError::External(Box::new(e)))
    }
}

/// Writes `records` as one Parquet file to `to`.
pub fn write(records: &[Record], to: impl Write + Send) -> Result<(), Error> {
    let lines: String = COLUMNS.iter().map(|column| column.cells.declared(column.name)).collect();
    let schema = Arc::new(parse_message_type(&format!("message record {{ {lines} }}"))?);
    let properties = WriterProperties::builder()
        .set_compression(Compression::SNAPPY)
        .set_created_by("tellframe".to_owned())
        .build();
    let mut file = SerializedFileWriter::new(to, schema, Arc::new(properties))?;
    for rows in records.chunks(ROWS_A_GROUP) {
        let mut group = file.next_row_group()?;
        for column in COLUMNS {
            write_column(&mut group, &column.cells, rows)?;
        }
        group.close()?;
    }
    file.close()?;
    Ok(())
}

fn write_column<W: Write + Send>(
    group: &mut SerializedRowGroupWriter<'_, W>,
    cells: &Cells,
    rows: &[Record],
) -> Result<(), Error> {
    match cells {
        Cells::Text(of) => {
            write_cells::<ByteArrayType, W>(group, rows.iter().map(|r| Ok(of(r).map(ByteArray::from))))
        }
        Cells::Json(of) => write_cells::<ByteArrayType, W>(
            group,
            rows.iter().map(|r| Ok(of(r)?.map(|text| ByteArray::from(text.into_bytes())))),
        ),
        Cells::Instant(of) | Cells::Whole(of) => {
            write_cells::<Int64Type, W>(group, rows.iter().map(|r| Ok(of(r))))
        }
        Cells::Double(of) => write_cells::<DoubleType, W>(group, rows.iter().map(|r| Ok(of(r)))),
        Cells::Bool(of) => write_cells::<BoolType, W>(group, rows.iter().map(|r| Ok(of(r)))),
    }
}

/// Writes the cells that are there, and for each row a level: 1 where there is one, 0 where it is null.
fn write_cells<T: DataType, W: Write + Send>(
    group: &mut SerializedRowGroupWriter<'_, W>,
    cells: impl Iterator<Item = Result<Option<T::T>, Error>>,
) -> Result<(), Error> {
    let (mut there, mut levels) = (Vec::new(), Vec::new());
    for cell in cells {
        let cell = cell?;
        levels.push(i16::from(cell.is_some()));
        there.extend(cell);
    }
    let mut column = group.next_column()?.expect("as many columns are written as the schema declares");
    column.typed::<T>().write_batch(&there, Some(&levels), None)?;
    Ok(column.close()?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use ::parquet::file::reader::{FileReader as _, SerializedFileReader};
    use ::parquet::record::Field;
    use serde_json::json;

    fn records() -> Vec<Record> {
        let bare = json!({
            "id": "r-1", "edition": "ab", "tree": "inside-line", "call": "foul", "answers": {"toes": "no"},
            "outcome": "confirmed", "called_at": "2026-05-09T19:42:11.204Z", "duration_s": 61.0,
            "fouls": [{"name": "face mask", "by": "defense"}]
        });
        let mut full = bare.clone();
        full["id"] = json!("r-2 é");
        full["week"] = json!(3);
        full["won"] = json!(false);
        full["situation"] = json!({"down": 4, "to_go": 1.5});
        full["weather"] = json!("dry");
        [bare, full].map(|value| serde_json::from_value(value).expect("a record")).into()
    }

    #[test]
    fn what_is_written_is_read_back_with_its_types_and_nulls() {
        let file = tempfile::tempfile().expect("a file");
        write(&records(), &file).expect("written");
        let reader = SerializedFileReader::new(file).expect("a Parquet file");
        let rows: Vec<_> = reader.into_iter().map(|row| row.expect("read")).collect();
        let cell = |row: usize, name: &str| -> Field {
            let mut columns = rows[row].get_column_iter();
            columns.find(|(column, _)| *column == name).map(|(_, field)| field.clone()).expect(name)
        };
        let text = |text: &str| Field::Str(text.to_owned());
        assert_eq!(rows.len(), 2);
        assert_eq!((cell(0, "id"), cell(1, "id")), (text("r-1"), text("r-2 é")));
        assert_eq!((cell(0, "week"), cell(1, "week")), (Field::Null, Field::Long(3)));
        assert_eq!((cell(0, "won"), cell(1, "won")), (Field::Null, Field::Bool(false)));
        // 2026-05-09T19:42:11.204Z, from `date -u -d 2026-05-09T19:42:11Z +%s`.
        assert_eq!(cell(0, "called_at"), Field::TimestampMillis(1_778_355_731_204));
        assert_eq!(cell(0, "duration_s"), Field::Double(61.0));
        assert_eq!(cell(0, "answers"), text(r#"{"toes":"no"}"#));
        assert_eq!(
            (cell(0, "situation"), cell(1, "situation")),
            (Field::Null, text(r#"{"down":4,"to_go":1.5}"#))
        );
        assert_eq!((cell(0, "unknown"), cell(1, "unknown")), (text("{}"), text(r#"{"weather":"dry"}"#)));
    }

    #[test]
    fn an_empty_log_is_an_empty_table() {
        let file = tempfile::tempfile().expect("a file");
        write(&[], &file).expect("written");
        let reader = SerializedFileReader::new(file).expect("a Parquet file");
        assert_eq!(reader.metadata().file_metadata().num_rows(), 0);
    }

    /// A field that is added to the record and forgotten here would be lost in silence.
    #[test]
    fn every_field_of_a_record_has_its_column() {
        let Ok(Value::Object(fields)) = serde_json::to_value(&records()[0]) else { panic!("an object") };
        let mut fields: Vec<_> = fields.keys().map(String::as_str).chain(["unknown"]).collect();
        let mut columns: Vec<_> = COLUMNS.iter().map(|column| column.name).collect();
        fields.sort_unstable();
        columns.sort_unstable();
        assert_eq!(columns, fields);
    }
}
