//! What can be done with the carriage that is open, in a line above its scales.

use egui::{Button, Ui, WidgetInfo, accesskit};
use graph::{Document, Edit, Place, Spot};
use ops::{Domain, Mix, Op};

use super::keys::ask;
use super::row::Row;
use super::track::Carriage;
use crate::look::{LABEL_SIZE, figure, label};
use crate::state::Action;

/// Draws the line.
pub fn show(ui: &mut Ui, row: &Row<'_>, own: &Carriage, actions: &mut Vec<Action>) {
    let (candidate, at) = (row.candidate, own.at);
    let mut asked: Option<Edit> = None;
    ui.horizontal(|ui| {
        ui.label(figure(format!("{} on {candidate}", own.place.member)));
        let name = candidate.to_string();
        if act(ui, if own.place.bypass { "let through" } else { "pass by" }, "space") {
            asked = Some(Edit::Bypass { candidate: name.clone(), at, bypass: !own.place.bypass });
        }
        works_in(ui, row, own, &mut asked);
        if let Some(place) = chosen(ui, row, "put before", "another operation in front of this one") {
            asked = place.map(|of| of.put(candidate, Spot::Into(at, graph::Input::Main)));
        }
        if let Some(place) = chosen(ui, row, "put behind", "another operation behind this one") {
            asked = place.map(|of| of.put(candidate, Spot::After(at)));
        }
        let help =
            "a second track past this carriage, with an operation of its own, mixed in by a share that starts at 0";
        if let Some(place) = chosen(ui, row, "siding past it", help) {
            asked = place.map(|of| siding(row, own, of));
        }
        if shared(row.bench.document(), &own.place.member)
            && act(ui, "numbers of its own", "the other rails keep the numbers that there are")
        {
            asked = Some(Edit::Detach { candidate: name.clone(), at });
        }
        if act(ui, "take out", "delete") {
            asked = Some(Edit::Remove { candidate: name, at });
        }
    });
    if let Some(edit) = asked {
        ask(row.bench, candidate, edit, actions);
    }
}

fn act(ui: &mut Ui, words: &str, help: &str) -> bool {
    ui.add(Button::new(label(words))).on_hover_text(help).clicked()
}

/// Where it works.
fn works_in(ui: &mut Ui, row: &Row<'_>, own: &Carriage, asked: &mut Option<Edit>) {
    let Some(op) = row.kit.get(&own.place.member) else { return };
    if own.gate {
        return;
    }
    let now = own.place.domain.unwrap_or_else(|| op.home());
    ui.menu_button(label(format!("works in {now}")), |ui| {
        for domain in Domain::ALL {
            let home = domain == op.home();
            let words = if home { format!("{domain}, its home") } else { domain.to_string() };
            if ui.selectable_label(domain == now, words).clicked() {
                let domain = (!home).then_some(domain);
                *asked = Some(Edit::SetDomain { candidate: row.candidate.to_string(), at: own.at, domain });
                ui.close();
            }
        }
    });
}

/// An operation that is to be put somewhere: one of the kit, or a new one.
enum Of {
    Member(String),
    New(String, Box<Op>),
}

impl Of {
    fn put(self, candidate: &str, spot: Spot) -> Edit {
        let candidate = candidate.to_string();
        match self {
            Self::Member(member) => Edit::Insert { candidate, place: Place::of(member), spot },
            Self::New(member, op) => Edit::Many(vec![
                Edit::AddMember { member: member.clone(), op: *op },
                Edit::Insert { candidate, place: Place::of(member), spot },
            ]),
        }
    }
}

/// A list of what the kit has and this rail has not, and of all operations. Some where one was chosen.
fn chosen(ui: &mut Ui, row: &Row<'_>, words: &str, help: &str) -> Option<Option<Of>> {
    let mut chosen = None;
    let menu = ui.menu_button(label(words), |ui| {
        ui.set_min_width(420.0);
        egui::ScrollArea::vertical().max_height(420.0).show(ui, |ui| {
            let there: Vec<&str> = row.carriages.iter().map(|own| own.place.member.as_str()).collect();
            let free = row.kit.iter().filter(|(member, _)| !there.contains(&member.as_str()));
            for (at, (member, op)) in free.enumerate() {
                if at == 0 {
                    ui.label(label("of the kit, with its numbers"));
                }
                if line(ui, member, op.summary()) {
                    chosen = Some(Some(Of::Member(member.clone())));
                }
            }
            ui.label(label("new"));
            // A mix comes with its siding.
            for op in Op::all().into_iter().filter(|op| !matches!(op, Op::Mix(_))) {
                if line(ui, op.id(), op.summary()) {
                    chosen =
                        Some(row.bench.document().map(|document| Of::New(free_name(document, op.id()), Box::new(op))));
                }
            }
        });
        if chosen.is_some() {
            ui.close();
        }
    });
    menu.response.on_hover_text(help);
    chosen
}

fn line(ui: &mut Ui, name: &str, summary: &str) -> bool {
    let mut words = egui::text::LayoutJob::default();
    let format =
        |ink| egui::TextFormat { font_id: egui::FontId::proportional(LABEL_SIZE), color: ink, ..Default::default() };
    words.append(name, 0.0, format(crate::look::TEXT));
    words.append(summary, 10.0, format(crate::look::LABEL));
    let response = ui.add(Button::new(words).frame(false));
    response.widget_info(|| WidgetInfo::labeled(accesskit::Role::Button, true, format!("{name}: {summary}")));
    response.clicked()
}

/// The name, or the name with the first number that is free.
fn free_name(document: &Document, name: &str) -> String {
    let names = std::iter::once(name.to_string()).chain((2u64..).map(|number| format!("{name}-{number}")));
    names.filter(|name| !document.kit.contains_key(name)).take(1).collect()
}

/// A siding that leaves before a carriage and joins behind it; its mix shows nothing of it yet.
fn siding(row: &Row<'_>, own: &Carriage, of: Of) -> Edit {
    let document = row.bench.document();
    let mix = document.map_or_else(String::new, |document| free_name(document, "mix"));
    let (member, new) = match of {
        Of::Member(member) => (member, None),
        Of::New(member, op) => (member.clone(), Some(Edit::AddMember { member, op: *op })),
    };
    let mut edits: Vec<Edit> = new.into_iter().collect();
    edits.push(Edit::AddMember { member: mix.clone(), op: Mix::default().into() });
    edits.push(Edit::Branch {
        candidate: row.candidate.to_string(),
        place: Place::of(member),
        from: row.wiring.before(own.at),
        mix: Place::of(mix),
        join: Spot::After(own.at),
    });
    Edit::Many(edits)
}

/// Whether a member stands at more than one place.
fn shared(document: Option<&Document>, member: &str) -> bool {
    let places = document.into_iter().flat_map(|document| document.candidates.values());
    places.flat_map(|wiring| wiring.graph().node_weights()).filter(|place| place.member == member).count() > 1
}
