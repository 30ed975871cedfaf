//! What is given to others: a page for carers, a report for funders, a report where scanning is not the way.
//!
//! A paper is made of sections, of which the clinician may leave some out; the desk shows the same
//! sections before they are written as HTML.

pub mod carer;
pub mod funder;
pub mod html;
pub mod outcome;

/// A paper.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Paper {
    /// What it is.
    pub title: String,
    /// Its language, as in HTML.
    pub language: String,
    /// Its sections, none of them empty.
    pub sections: Vec<Section>,
}

/// A part of a paper.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Section {
    /// Its title; the one without is the head of the paper and always stays.
    pub title: String,
    /// What stands in it.
    pub blocks: Vec<Block>,
    /// It has to be seen first.
    pub warns: bool,
}

/// A piece of a section.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Block {
    /// A sentence or more.
    Text(String),
    /// Names and values.
    Facts(Vec<(String, String)>),
    /// To be done in this order.
    Steps(Vec<String>),
    /// One beside the other.
    Points(Vec<String>),
    /// Titles of the columns, then rows.
    Table(Vec<String>, Vec<Vec<String>>),
}

impl Paper {
    fn new(title: &str, language: &str, sections: Vec<Section>) -> Paper {
        let sections = sections.into_iter().filter(|section| !section.blocks.is_empty()).collect();
        Paper { title: title.into(), language: language.into(), sections }
    }

    /// The same without the sections of these titles.
    #[must_use]
    pub fn without(mut self, left_out: &std::collections::BTreeSet<String>) -> Paper {
        self.sections.retain(|section| section.title.is_empty() || !left_out.contains(&section.title));
        self
    }
}

fn section(title: &str, blocks: impl IntoIterator<Item = Option<Block>>) -> Section {
    Section { title: title.into(), blocks: blocks.into_iter().flatten().collect(), warns: false }
}

fn text(text: &str) -> Option<Block> {
    (!text.trim().is_empty()).then(|| Block::Text(text.trim().into()))
}

/// A list of names and values; those without a value are left out.
fn facts(pairs: &[(&String, &str)]) -> Option<Block> {
    let told = pairs.iter().filter(|(_, value)| !value.trim().is_empty());
    let told: Vec<_> = told.map(|(name, value)| ((*name).clone(), value.trim().to_string())).collect();
    (!told.is_empty()).then_some(Block::Facts(told))
}

fn table(titles: &[&String], rows: Vec<Vec<String>>) -> Option<Block> {
    (!rows.is_empty()).then(|| Block::Table(titles.iter().map(ToString::to_string).collect(), rows))
}

fn points(points: &[&String]) -> Vec<String> {
    points.iter().map(ToString::to_string).collect()
}
