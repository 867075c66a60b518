//! The description of the paths for programs, made from the table: OpenAPI 3.1.
//!
//! This room knows no path of its own.

use crate::domain::user::Power;
use crate::web::api::call::{AFTER, MEMBER_MAX, ROWS, ROWS_MAX, TEXT_MAX};
use crate::web::api::shape::{MONTH, object};
use crate::web::api::table::{BASE, ENDPOINTS, Endpoint, Gives, Param, Takes};
use serde_json::{Map, Value, json};

/// The whole description.
#[must_use]
pub fn document() -> Value {
    let paths: Map<String, Value> = ENDPOINTS
        .iter()
        .map(|endpoint| {
            (
                format!("{BASE}{}", endpoint.path),
                json!({"get": operation(endpoint)}),
            )
        })
        .collect();
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "clutchline",
            "version": "1",
            "summary": "A cooperative's records for programs: read only",
            "description": "Grams everywhere, days by the cooperative's farm day (it begins at 03:00), moments in UTC. A list comes in pages: ask again with `after` set to what `next` said, until `next` is null. Rows that are changed meanwhile may come twice or not at all. Forecasts are estimates.",
            "license": {"name": "MIT OR Apache-2.0", "identifier": "MIT OR Apache-2.0"},
        },
        "servers": [{"url": "/"}],
        "security": [{"token": []}],
        "paths": paths,
        "components": {
            "securitySchemes": {"token": {
                "type": "http",
                "scheme": "bearer",
                "description": "Made and taken back by a manager, on the console's page of tokens or with `clutchline token make`. It does and sees no more than its user.",
            }},
            "schemas": {"Problem": problem()},
            "responses": refusals(),
        },
    })
}

fn operation(endpoint: &Endpoint) -> Value {
    let parameters: Vec<Value> = endpoint.takes.iter().map(parameter).collect();
    let mut operation = json!({
        "operationId": endpoint.id,
        "summary": endpoint.about,
        "responses": {
            "200": {
                "description": "As asked.",
                "content": {"application/json": {"schema": schema(endpoint.gives)}},
            },
        },
    });
    let mut refused: Vec<&str> = vec!["503"];
    match endpoint.needs {
        None => put(&mut operation, "security", json!([])),
        Some(needed) => {
            refused.extend(["400", "401"]);
            if needed > Power::Viewer {
                refused.push("403");
                let told = format!("Takes a token of the role {} or more.", needed.word());
                put(&mut operation, "description", told.into());
            }
        }
    }
    if endpoint
        .takes
        .iter()
        .any(|param| param.in_path && param.takes == Takes::Member)
    {
        refused.push("404");
    }
    if !parameters.is_empty() {
        put(&mut operation, "parameters", parameters.into());
    }
    if let Gives::Page(_) = endpoint.gives {
        let link = json!({"Link": {"description": "The next page (RFC 8288), where there is one.", "schema": {"type": "string"}}});
        if let Some(good) = operation.pointer_mut("/responses/200") {
            put(good, "headers", link);
        }
    }
    if let Some(responses) = operation.get_mut("responses") {
        for status in refused {
            put(
                responses,
                status,
                json!({"$ref": format!("#/components/responses/{status}")}),
            );
        }
    }
    operation
}

fn put(object: &mut Value, key: &str, value: Value) {
    if let Some(object) = object.as_object_mut() {
        object.insert(key.to_owned(), value);
    }
}

fn parameter(param: &Param) -> Value {
    let schema = match param.takes {
        Takes::Ward | Takes::Name => {
            json!({"type": "string", "minLength": 1, "maxLength": TEXT_MAX})
        }
        Takes::Month => json!({"type": "string", "pattern": MONTH}),
        Takes::Member => json!({"type": "integer", "minimum": 0, "maximum": MEMBER_MAX}),
        Takes::After => json!({"type": "string", "pattern": AFTER}),
        Takes::Limit => {
            json!({"type": "integer", "minimum": 1, "maximum": ROWS_MAX, "default": ROWS})
        }
    };
    json!({
        "name": param.name,
        "in": if param.in_path { "path" } else { "query" },
        "required": param.in_path,
        "description": format!("Expects {}.", param.takes.expected()),
        "schema": schema,
    })
}

/// The schema of a good answer.
#[must_use]
pub fn schema(gives: Gives) -> Value {
    match gives {
        Gives::Document => json!({"type": "object"}),
        Gives::One(fields) => object(fields),
        Gives::Page(fields) => json!({
            "type": "object",
            "properties": {
                "items": {"type": "array", "items": object(fields)},
                "next": {"type": ["string", "null"], "description": "Where the next page begins; null on the last"},
            },
            "required": ["items", "next"],
            "additionalProperties": false,
        }),
    }
}

/// RFC 9457, section 3.1.
fn problem() -> Value {
    json!({
        "type": "object",
        "description": "Problem details (RFC 9457)",
        "properties": {
            "type": {"type": "string", "description": "A URI that names the kind"},
            "title": {"type": "string"},
            "status": {"type": "integer"},
            "detail": {"type": "string", "description": "What to do about it"},
            "errors": {"type": "array", "description": "Each field that is wrong", "items": {
                "type": "object",
                "properties": {"field": {"type": "string"}, "detail": {"type": "string"}},
                "required": ["field", "detail"],
            }},
        },
        "required": ["type", "title", "status", "detail"],
    })
}

fn refusals() -> Value {
    let told = [
        (
            "400",
            "A field of the address is wrong, not known, or there twice.",
        ),
        ("401", "No token, or one that opens nothing."),
        ("403", "The token's role does not reach so far."),
        (
            "404",
            "There is no such record, or the token does not see it.",
        ),
        (
            "503",
            "Too busy, or the records cannot be reached; try again.",
        ),
    ];
    let responses: Map<String, Value> = told
        .into_iter()
        .map(|(status, about)| {
            let content = json!({"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}});
            (status.to_owned(), json!({"description": about, "content": content}))
        })
        .collect();
    Value::Object(responses)
}
