//! What answers look like: fields with their kinds, as JSON Schema (2020-12, the dialect of OpenAPI 3.1) and as a check of a value.
//!
//! This room does not know which path gives what.

use serde_json::{Map, Value, json};

/// The kind of a field's value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// Letters.
    Text,
    /// One of these words.
    Word(&'static [&'static str]),
    /// A whole number.
    Whole,
    /// Grams, or a share in per cent.
    Number,
    /// A number, or letters where one number does not say it.
    NumberOrText,
    /// `2026-03-10`.
    Day,
    /// `2026-03`.
    Month,
    /// `2026-03-10T05:10:00Z`.
    Moment,
    /// Yes or no.
    Flag,
    /// Several texts.
    Texts,
    /// Fields of its own.
    Object(&'static [Field]),
    /// Several of the same fields.
    List(&'static [Field]),
}

/// One field of an answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    /// Its name.
    pub name: &'static str,
    /// What its value is.
    pub kind: Kind,
    /// It may be null: not known, or does not apply.
    pub nullable: bool,
    /// What it says.
    pub about: &'static str,
}

/// A field that is always known.
pub const fn field(name: &'static str, kind: Kind, about: &'static str) -> Field {
    Field {
        name,
        kind,
        nullable: false,
        about,
    }
}

/// A field that may be null.
pub const fn maybe(name: &'static str, kind: Kind, about: &'static str) -> Field {
    Field {
        name,
        kind,
        nullable: true,
        about,
    }
}

/// The pattern of a month.
pub const MONTH: &str = "^[0-9]{4}-(0[1-9]|1[0-2])$";

/// The schema of an object with these fields, all of them there and no others.
#[must_use]
pub fn object(fields: &[Field]) -> Value {
    let properties: Map<String, Value> = fields
        .iter()
        .map(|field| (field.name.to_owned(), of(field)))
        .collect();
    let names: Vec<&str> = fields.iter().map(|field| field.name).collect();
    json!({"type": "object", "properties": properties, "required": names, "additionalProperties": false})
}

fn of(field: &Field) -> Value {
    let mut schema = match field.kind {
        Kind::Text => json!({"type": "string"}),
        Kind::Word(words) => json!({"type": "string", "enum": words}),
        Kind::Whole => json!({"type": "integer"}),
        Kind::Number => json!({"type": "number"}),
        Kind::NumberOrText => json!({"type": ["number", "string"]}),
        Kind::Day => json!({"type": "string", "format": "date"}),
        Kind::Month => json!({"type": "string", "pattern": MONTH}),
        Kind::Moment => json!({"type": "string", "format": "date-time"}),
        Kind::Flag => json!({"type": "boolean"}),
        Kind::Texts => json!({"type": "array", "items": {"type": "string"}}),
        Kind::Object(fields) => object(fields),
        Kind::List(fields) => json!({"type": "array", "items": object(fields)}),
    };
    if let Some(schema) = schema.as_object_mut() {
        if field.nullable {
            let mut kinds = match schema.get("type") {
                Some(Value::Array(kinds)) => kinds.clone(),
                Some(kind) => vec![kind.clone()],
                None => Vec::new(),
            };
            kinds.push("null".into());
            schema.insert("type".to_owned(), kinds.into());
            if let Some(words) = schema.get_mut("enum").and_then(Value::as_array_mut) {
                words.push(Value::Null);
            }
        }
        schema.insert("description".to_owned(), field.about.into());
    }
    schema
}

/// What of a value is not as its fields say; nothing where all is.
#[must_use]
pub fn faults(fields: &[Field], value: &Value) -> Vec<String> {
    let Some(object) = value.as_object() else {
        return vec![format!("expected an object, found {value}")];
    };
    let known = |name: &String| fields.iter().any(|field| field.name == name);
    let strange = object.keys().filter(|name| !known(name));
    let mut found: Vec<String> = strange.map(|name| format!("{name} is no field")).collect();
    for field in fields {
        match object.get(field.name) {
            None => found.push(format!("{} is missing", field.name)),
            Some(Value::Null) if field.nullable => {}
            Some(value) => found.extend(
                wrong(field.kind, value)
                    .into_iter()
                    .map(|why| format!("{}: {why}", field.name)),
            ),
        }
    }
    found
}

fn wrong(kind: Kind, value: &Value) -> Vec<String> {
    let text = value.as_str();
    let right = match kind {
        Kind::Text => text.is_some(),
        Kind::Word(words) => text.is_some_and(|text| words.contains(&text)),
        Kind::Whole => value.is_i64() || value.is_u64(),
        Kind::Number => value.is_number(),
        Kind::NumberOrText => value.is_number() || text.is_some(),
        Kind::Day => text.is_some_and(|text| text.parse::<chrono::NaiveDate>().is_ok()),
        Kind::Month => text.is_some_and(|text| crate::sheets::Month::read(text).is_some()),
        Kind::Moment => {
            text.is_some_and(|text| text.parse::<chrono::DateTime<chrono::Utc>>().is_ok())
        }
        Kind::Flag => value.is_boolean(),
        Kind::Texts => value
            .as_array()
            .is_some_and(|all| all.iter().all(Value::is_string)),
        Kind::Object(fields) => return faults(fields, value),
        Kind::List(fields) => {
            return match value.as_array() {
                Some(all) => all.iter().flat_map(|one| faults(fields, one)).collect(),
                None => vec![format!("expected a list, found {value}")],
            };
        }
    };
    if right {
        Vec::new()
    } else {
        vec![format!("{value} is no {kind:?}")]
    }
}
