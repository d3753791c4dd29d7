//! The formulas against numbers computed elsewhere.
//!
//! Each file in `tests/data/vectors` was computed with Python (numpy, scipy, pandas, zoneinfo) and names
//! its published sources; every entry of it is compared here with the tolerance it asks for.

mod adjusting;
mod breathing;
mod diary;
mod loads;
mod properties;
mod readiness;
mod stretching;
mod symptoms;

use serde_json::Value;

/// One file of inputs and expected results.
pub struct Vectors {
    tolerance: f64,
    groups: Value,
}

impl Vectors {
    pub fn read(topic: &str) -> Self {
        let path = format!(
            "{}/tests/data/vectors/{topic}.json",
            env!("CARGO_MANIFEST_DIR")
        );
        let text = std::fs::read_to_string(&path).expect("vector file");
        let mut file: Value = serde_json::from_str(&text).expect("json");
        Self {
            tolerance: file["absolute_tolerance"].as_f64().expect("tolerance"),
            groups: file["vectors"].take(),
        }
    }

    /// The names of the groups, so that a test can say that it left none out.
    fn names(&self) -> Vec<&str> {
        let groups = self.groups.as_object().expect("groups");
        groups.keys().map(String::as_str).collect()
    }

    pub fn group(&self, name: &str) -> &Vec<Value> {
        let group = self.groups[name].as_array().expect("a group");
        assert!(!group.is_empty(), "{name} is empty");
        group
    }

    /// Compares a number, or its absence, with what the file says.
    pub fn same(&self, of: &str, computed: Option<f64>, expected: &Value) {
        match (computed, expected.as_f64()) {
            (None, None) => assert!(expected.is_null(), "{of}: expected {expected}, got nothing"),
            (Some(computed), Some(expected)) => assert!(
                (computed - expected).abs() <= self.tolerance,
                "{of}: expected {expected}, got {computed}"
            ),
            _ => panic!("{of}: expected {expected}, got {computed:?}"),
        }
    }
}

/// The id of an entry.
pub fn id(entry: &Value) -> &str {
    entry["id"].as_str().expect("id")
}

/// A list of numbers.
pub fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().expect("list");
    list.iter()
        .map(|number| number.as_f64().expect("number"))
        .collect()
}
