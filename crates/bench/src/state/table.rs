//! How the table of shots is looked at, and what was measured for it.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use graph::Document;

use super::{Bench, Small};

/// How long a run-through stays on a shot, in seconds.
pub const RUN_SECONDS: f64 = 2.0;

/// What the rows are ordered by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Order {
    /// As shots follow each other.
    #[default]
    Cut,
    /// By set-up, and in cut order within.
    SetUp,
    /// The most that is clipped first.
    Worst,
}

/// Numbers that are about to be copied.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Copying {
    /// The shot that they come from.
    pub from: String,
    /// The operations whose numbers are meant.
    pub members: BTreeSet<String>,
}

/// A run through shots, two seconds each.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// What is still to come.
    shots: Vec<String>,
    /// When the shot that is seen came up, in the window's seconds; none before the first one.
    pub since: Option<f64>,
}

/// The state of the table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// What the rows are ordered by.
    pub order: Order,
    /// Words that a row must have, all of them.
    pub filter: String,
    /// Where a range of chosen rows begins.
    pub from: Option<String>,
    /// The shot that others are to match.
    pub anchor: Option<String>,
    /// The shot whose note is written, and the note so far.
    pub note: Option<(String, String)>,
    /// Numbers that are about to be copied.
    pub copying: Option<Copying>,
    /// The run through the shots that is under way.
    pub run: Option<Run>,
    /// The share of a shot's picture that is clipped, 0 to 1, or why it is not known.
    pub clipped: BTreeMap<String, Result<f64, String>>,
    /// Small pictures of the shots.
    pub small: BTreeMap<String, Arc<Small>>,
    /// The rows as they were ordered last.
    rows: Vec<String>,
}

/// What is asked for of the table.
#[derive(Debug, Clone, PartialEq)]
pub enum OnTable {
    /// Order the rows, now and by this.
    Order(Order),
    /// Show rows that have these words.
    Filter(String),
    /// Let ranges begin at a row.
    From(String),
    /// Let others match this shot, or none.
    Anchor(Option<String>),
    /// Write on the note of a shot.
    Note(String, String),
    /// Leave the note as it was.
    LeaveNote,
    /// Copy numbers, or do not.
    Copying(Option<Copying>),
    /// Begin to run through the chosen shots, or all where one is chosen.
    Run,
    /// The next shot of the run; the window's time in seconds.
    RunOn(f64),
    /// Stop the run.
    Halt,
    /// So much of a shot is clipped.
    Clipped(String, Result<f64, String>),
    /// So a shot looks.
    Small(String, Arc<Small>),
}

impl Table {
    /// Keeps rows where they are: new shots come in at the end, unless the order is that of the cut.
    pub(super) fn settle(&mut self, document: &Document) {
        let there = |name: &String| document.shots.contains_key(name);
        self.rows.retain(there);
        for name in document.shots.keys() {
            if !self.rows.contains(name) {
                self.rows.push(name.clone());
            }
        }
        if self.order == Order::Cut {
            self.rows = document.shots.keys().cloned().collect();
        }
        self.anchor = self.anchor.take().filter(there);
        self.from = self.from.take().filter(there);
        self.note = self.note.take().filter(|(name, _)| there(name));
        self.copying = self.copying.take().filter(|copying| there(&copying.from));
        self.clipped.retain(|name, _| there(name));
        self.small.retain(|name, _| there(name));
    }

    fn order(&mut self, document: &Document) {
        self.rows = document.shots.keys().cloned().collect();
        match self.order {
            Order::Cut => {}
            Order::SetUp => {
                // What belongs to no set-up comes last.
                let key = |name: &String| document.shots.get(name).and_then(|shot| shot.set_up.clone());
                self.rows.sort_by_key(|name| (key(name).is_none(), key(name)));
            }
            Order::Worst => {
                let share = |name: &String| self.clipped.get(name).and_then(|share| share.clone().ok()).unwrap_or(-1.0);
                self.rows.sort_by(|a, b| share(b).total_cmp(&share(a)));
            }
        }
    }
}

impl Bench {
    /// The rows of the table: ordered and filtered.
    pub fn rows(&self) -> Vec<&str> {
        let Some(document) = self.document() else { return Vec::new() };
        let words: Vec<String> = self.table.filter.split_whitespace().map(str::to_lowercase).collect();
        let has = |name: &&String| {
            let Some(shot) = document.shots.get(*name) else { return false };
            let lock = if shot.locked { "locked" } else { "" };
            let (set_up, candidate) = (shot.set_up.as_deref(), shot.candidate.as_deref());
            let parts =
                [name, set_up.unwrap_or_default(), candidate.unwrap_or_default(), shot.state.name(), lock, &shot.note];
            let text = parts.join(" ").to_lowercase();
            words.iter().all(|word| text.contains(word))
        };
        self.table.rows.iter().filter(has).map(String::as_str).collect()
    }

    /// The shots that an edit in the table is for: the chosen ones where the active tile's is among them, else that one.
    pub fn meant(&self) -> Vec<String> {
        let Some(own) = self.shot() else { return Vec::new() };
        if self.chosen.contains(own) {
            self.cut().into_iter().filter(|name| self.chosen.contains(*name)).map(str::to_string).collect()
        } else {
            vec![own.to_string()]
        }
    }

    pub(super) fn perform_on_table(&mut self, action: OnTable) {
        let Some(project) = &self.project else { return };
        let document = project.document();
        let table = &mut self.table;
        match action {
            OnTable::Order(order) => {
                table.order = order;
                table.order(document);
            }
            OnTable::Filter(words) => table.filter = words,
            OnTable::From(name) => table.from = Some(name),
            OnTable::Anchor(name) => table.anchor = name.filter(|name| document.shots.contains_key(name)),
            OnTable::Note(name, note) => table.note = Some((name, note)),
            OnTable::LeaveNote => table.note = None,
            OnTable::Copying(copying) => table.copying = copying,
            OnTable::Run => {
                let chosen = self.chosen.len() > 1;
                let mut shots: Vec<String> =
                    document.shots.keys().filter(|name| !chosen || self.chosen.contains(*name)).cloned().collect();
                shots.reverse();
                table.run = Some(Run { shots, since: None });
            }
            OnTable::RunOn(now) => self.run_on(now),
            OnTable::Halt => table.run = None,
            OnTable::Small(name, small) => drop(table.small.insert(name, small)),
            OnTable::Clipped(name, share) => {
                // Rows do not move under the hand: only a figure that was not there yet takes its place in the order.
                let is_new = table.clipped.insert(name, share).is_none();
                if is_new && table.order == Order::Worst && self.tried.is_none() && table.note.is_none() {
                    table.order(document);
                }
            }
        }
    }

    fn run_on(&mut self, now: f64) {
        let Some(run) = &mut self.table.run else { return };
        run.since = Some(now);
        match run.shots.pop() {
            Some(next) => self.lead(&next),
            None => self.table.run = None,
        }
    }
}
