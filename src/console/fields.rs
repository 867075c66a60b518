//! What a form or an address says: names and values.
//!
//! This room does not know which form it was.

use actix_web::web::Query;

/// Fields of one form at the most: a catch-up form for a paper book has a line a day for a month and more.
const FIELDS_MAX: usize = 2_000;

/// Names and values, in the order in which they came.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fields(Vec<(String, String)>);

impl Fields {
    /// Of `application/x-www-form-urlencoded` text (WHATWG URL, section 5); nothing where it is none.
    #[must_use]
    pub fn read(text: &str) -> Self {
        let read = Query::<Vec<(String, String)>>::from_query(text);
        let mut fields = read.map_or_else(|_| Vec::new(), Query::into_inner);
        fields.truncate(FIELDS_MAX);
        Self(fields)
    }

    /// The first value of that name, without spaces at its ends; empty where there is none.
    #[must_use]
    pub fn get(&self, name: &str) -> &str {
        let found = self.0.iter().find(|(known, _)| known == name);
        found.map_or("", |(_, value)| value.trim())
    }

    /// The first value of that name as it came: passwords may begin with a space.
    #[must_use]
    pub fn exact(&self, name: &str) -> &str {
        let found = self.0.iter().find(|(known, _)| known == name);
        found.map_or("", |(_, value)| value.as_str())
    }

    /// Every name with its value, in the order in which they came.
    pub fn pairs(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
    }

    /// Every value of that name.
    pub fn all<'f>(&'f self, name: &'f str) -> impl Iterator<Item = &'f str> {
        self.0
            .iter()
            .filter(move |(known, _)| known == name)
            .map(|(_, value)| value.trim())
    }
}
