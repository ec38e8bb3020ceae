//! Sizes and ratings: which wires, what they should be, what holds them there, and taking them over.

use engine::document::{Document, Network, Size, Status, Wire};
use engine::given::Given;
use engine::ids::WireId;
use engine::post::{Change, Report};
use engine::quantity::{Quantity, Unit, by_hand};
use engine::sizing::{Reason, Sizing, kilograms, size};
use engine::subject::Subject;

use super::Asked;
use super::markup::Markup;

/// Which wires to size.
pub fn page(asked: &Asked<'_>) -> String {
    let mut page = Markup::new();
    let new: Vec<&Wire> = new_wires(asked.document).collect();
    if new.is_empty() {
        page.paragraph("There is no new wire in this job to size.");
        return page.done();
    }
    page.line("p", "hint", "The least copper and the smallest fuses with which the checks find nothing more. Of the job only new wires and fuses change.");
    page.element("details", &[], |details| {
        details.line("summary", "", "Only some of the wires");
        details.element("div", &[("class", "ticks")], |ticks| {
            for wire in &new {
                ticks.tick(&format!("wire-{}", wire.id), &described(asked, wire));
            }
        });
    });
    page.element("div", &[("class", "row")], |row| row.button_long("Work out the sizes", "sized"));
    page.done()
}

fn new_wires(document: &Document) -> impl Iterator<Item = &Wire> {
    document.network.wires.iter().filter(|wire| wire.status == Status::New)
}

fn described(asked: &Asked<'_>, wire: &Wire) -> String {
    let network = &asked.document.network;
    let size = match &wire.size {
        Given::Known(size) => by_hand(&size.title()),
        _ => "no size yet".to_owned(),
    };
    format!(
        "{}, {size}: {} to {}",
        wire.title(),
        network.terminal_title(&wire.from),
        network.terminal_title(&wire.to)
    )
}

/// Sizes the wires that were ticked, and returns the job with them.
pub fn sized(asked: &Asked<'_>) -> (Report, Option<Document>) {
    let ticked: Vec<WireId> = new_wires(asked.document)
        .map(|wire| wire.id.clone())
        .filter(|id| asked.field(&format!("wire-{id}")).is_some())
        .collect();
    let is_all = ticked.is_empty() || ticked.len() == new_wires(asked.document).count();
    let sized = size(asked.document, (!is_all).then_some(&ticked[..]));
    let mut page = Markup::new();
    match &sized {
        Ok(sizing) => proposal(&mut page, asked, sizing, if is_all { 0 } else { ticked.len() }),
        Err(reason) => none(&mut page, reason),
    }
    page.element("div", &[("class", "row")], |row| row.button("Choose other wires", "sizes"));
    let said = match &sized {
        Ok(_) => "The sizes are worked out.".to_owned(),
        Err(reason) => format!("No sizes were found: {}.", reason.what),
    };
    (Report { markup: page.done(), said, ..Report::default() }, sized.ok().map(|sizing| sizing.document))
}

fn none(page: &mut Markup, reason: &Reason) {
    page.heading("No sizes were found");
    page.paragraph(&format!("{}.", by_hand(&reason.what)));
    if let Some(part) = reason.subject.as_ref() {
        let id = part.id();
        page.element("div", &[("class", "row")], |row| row.button("Show where", &format!("show {id}")));
    }
}

fn proposal(page: &mut Markup, asked: &Asked<'_>, sizing: &Sizing, n_chosen: usize) {
    let network = &asked.document.network;
    let dash = || "–".to_owned();
    let size = |size: Size| unbroken(&by_hand(&size.title()));
    let n_changes = sizing.changes.len();
    page.heading(&match (n_changes, n_chosen) {
        (0, _) => "Nothing has to change".to_owned(),
        (1, _) => "1 change".to_owned(),
        (n, _) => format!("{n} changes"),
    });
    page.paragraph(&copper(sizing));
    if n_changes > 0 {
        page.element("div", &[("class", "row")], |row| row.button_long("Apply these sizes", "sized-apply"));
    }
    let mut rows = vec![["wire", "now", "needed", "copper", "held by"].map(str::to_owned).to_vec()];
    for sized in &sizing.wires {
        let before = sized.before.map_or_else(dash, size);
        let after = size(sized.after);
        let mark = if before == after { "" } else { "→\u{a0}" };
        let length = match &sized.subject {
            Subject::Wire(id) => network.wire(id).and_then(|wire| wire.length.known()),
            _ => None,
        };
        let mass = length.map_or_else(dash, |length| {
            let of = |size: Size| unbroken(&grams(size.area().get() * length.get()));
            match sized.before {
                Some(before) if before != sized.after => format!("{} →\u{a0}{}", of(before), of(sized.after)),
                _ => of(sized.after),
            }
        });
        rows.push(vec![
            name(network, &sized.subject),
            before,
            format!("{mark}{after}"),
            mass,
            by_hand(&sized.hold.words(network)),
        ]);
    }
    page.table("Wires: size now and size needed", &rows);
    if !sizing.fuses.is_empty() {
        let mut rows = vec![["fuse", "now", "needed"].map(str::to_owned).to_vec()];
        for fuse in &sizing.fuses {
            let before = fuse.before.map_or_else(dash, |amps| unbroken(&amps.to_string()));
            let after = unbroken(&fuse.after.to_string());
            let mark = if before == after { "" } else { "→\u{a0}" };
            rows.push(vec![name(network, &fuse.subject), before, format!("{mark}{after}")]);
        }
        page.table("Fuses: rating now and rating needed", &rows);
    }
    page.line("p", "hint", "Sizes and ratings usually sold (common practice, no source). All checks were run on the job with them and find nothing new; a wire a size smaller would make them find what holds it. Calculated, not measured.");
}

/// A number and its unit, which stay on one line.
fn unbroken(quantity: &str) -> String {
    quantity.replace(' ', "\u{a0}")
}

/// The name of a wire or fuse, whose column says what it is.
fn name(network: &Network, subject: &Subject) -> String {
    match subject {
        Subject::Wire(id) => network.wire(id).map_or_else(|| id.to_string(), |wire| wire.title().to_owned()),
        other => other
            .part()
            .and_then(|id| network.part(id))
            .map_or_else(String::new, |part| part.title().to_owned()),
    }
}

/// Copper now and then, and how near that is to the least there can be.
fn copper(sizing: &Sizing) -> String {
    let before = sizing.copper_before.map_or_else(|| "not known, as sizes are missing".to_owned(), grams);
    let after = grams(sizing.copper_after);
    let near = match sizing.is_least() {
        true => "That is the least that passes.".to_owned(),
        false => {
            let percent = Quantity::new(100.0 * sizing.gap(), Unit::Percent)
                .map_or_else(String::new, |share| share.to_string());
            format!(
                "The least that passes is no less than {}, so this is at most {percent} more.",
                grams(sizing.bound)
            )
        }
    };
    format!("Copper of these wires: now {before}, needed {after}. {near}")
}

fn grams(mm2_m: f64) -> String {
    Quantity::new(1000.0 * kilograms(mm2_m), Unit::One)
        .map_or_else(|| "–".to_owned(), |grams| format!("{grams} g"))
}

/// Takes over the sizes that were worked out last.
pub fn apply(asked: &Asked<'_>, sized: Option<Document>) -> Report {
    let Some(after) = sized else {
        return Report {
            said: "These sizes are no longer at hand. Work them out again.".to_owned(),
            ..Report::default()
        };
    };
    let change = Change::between("apply sizes", asked.document, &after);
    let mut page = Markup::new();
    page.element("p", &[("tabindex", "-1")], |line| {
        line.text("The sizes are applied. Undo takes all of them back in one step.")
    });
    page.element("div", &[("class", "row")], |row| row.button("Size again", "sizes"));
    let said = "Sizes applied; Undo takes them back.".to_owned();
    Report { markup: page.done(), said, change: Some(change), ..Report::default() }
}
