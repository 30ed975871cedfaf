//! The new menu file: the old one with its entries moved. Whatever an entry holds goes with it as it
//! was; new groups get words of their own.

use std::collections::HashSet;

use serde_json::{Map, Value, json};

use super::parts::{Kind, Part};

/// The entries of a file, numbered as in [`super::parts::Stock`].
struct Entries {
    items: Vec<Value>,
    /// The groups without what is in them.
    groups: Vec<Map<String, Value>>,
    /// All ids in use.
    ids: HashSet<String>,
    rows: u32,
    pages: u32,
}

/// The file `root` with its entries as `parts` say; groups of which `dissolved` says so are left out.
#[must_use]
pub fn rearranged(root: &Value, parts: &[Part], dissolved: impl Fn(&str) -> bool) -> Value {
    let mut entries = Entries { items: Vec::new(), groups: Vec::new(), ids: HashSet::new(), rows: 0, pages: 0 };
    entries.collect(&root["entries"], &dissolved);
    let mut new = root.clone();
    new["entries"] = parts.iter().map(|part| entries.placed(part)).collect();
    new
}

impl Entries {
    fn collect(&mut self, list: &Value, dissolved: &impl Fn(&str) -> bool) {
        for entry in list.as_array().into_iter().flatten() {
            let id = entry["id"].as_str().unwrap_or_default();
            match entry.as_object().filter(|entry| entry.contains_key("entries")) {
                None => self.items.push(entry.clone()),
                Some(_) if dissolved(id) => {}
                Some(group) => self.groups.push(group.clone()),
            }
            self.ids.insert(id.to_string());
            self.collect(&entry["entries"], dissolved);
        }
    }

    fn placed(&mut self, part: &Part) -> Value {
        match part {
            Part::Item(item) => self.items[usize::from(*item)].clone(),
            Part::Group(kind, inside) => {
                let mut group = self.group(*kind);
                group.insert("entries".into(), inside.iter().map(|part| self.placed(part)).collect());
                Value::Object(group)
            }
        }
    }

    fn group(&mut self, kind: Kind) -> Map<String, Value> {
        let group = match kind {
            Kind::Own(number) => return self.groups[usize::from(number)].clone(),
            Kind::Row => {
                self.rows += 1;
                json!({ "id": self.free_id("row"), "label": format!("Row {}", self.rows), "icon": "next" })
            }
            Kind::More => {
                self.pages += 1;
                let label = if self.pages == 1 { "More".into() } else { format!("More {}", self.pages) };
                json!({ "id": self.free_id("more"), "label": label, "icon": "next", "page": true })
            }
        };
        group.as_object().cloned().unwrap_or_default()
    }

    fn free_id(&mut self, stem: &str) -> String {
        let ids = (1..).map(|number| format!("{stem}-{number}"));
        let free = ids.into_iter().find(|id| !self.ids.contains(id)).unwrap_or_default();
        self.ids.insert(free.clone());
        free
    }
}
