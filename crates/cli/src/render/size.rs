//! The answer of `size`, as text and as JSON.

use engine::circuit::Circuit;
use engine::document::{Document, Size};
use engine::quantity::{Quantity, Unit};
use engine::sizing::{Hold, Reason, Sizing, kilograms};
use serde_json::{Map, Value, json};

use super::json::{assumed as assumptions, rules, subject, text as reply};
use super::layout::{table, wrapped};
use super::{assumed, harmless, rules_in_force};

/// What a result rests on.
const FOOT: &str = "Sizes and ratings are those usually sold (common practice, no source). All checks were run on the \
    job with them: nothing they find is new, and any wire a size smaller makes them find what stands in its row. The \
    least is meant with these fuses and the currents as they now are.";

/// Answer for people.
pub fn text(document: &Document, circuit: &Circuit, sized: &Result<Sizing, Reason>) -> String {
    let network = &document.network;
    let mut out = String::new();
    if !document.card.title.is_empty() {
        wrapped(&mut out, "", &document.card.title);
        out.push('\n');
    }
    let sizing = match sized {
        Ok(sizing) => sizing,
        Err(reason) => {
            wrapped(&mut out, "", &format!("No sizes were found: {}.", reason.what));
            return out;
        }
    };
    if !sizing.fuses.is_empty() {
        out.push_str("Fuses\n");
        let mut rows = vec![["", "now", "needed"].map(str::to_owned).to_vec()];
        rows.extend(sizing.fuses.iter().map(|fuse| {
            let before = fuse.before.map_or_else(|| "-".to_owned(), |amps| amps.to_string());
            vec![harmless(&fuse.subject.title(network)), before, fuse.after.to_string()]
        }));
        table(&mut out, &rows);
        out.push('\n');
    }
    out.push_str("Wires\n");
    let mut rows = vec![["", "now", "needed", "held by"].map(str::to_owned).to_vec()];
    rows.extend(sizing.wires.iter().map(|wire| {
        let before = wire.before.map_or_else(|| "-".to_owned(), Size::title);
        let hold = harmless(&wire.hold.words(network));
        vec![harmless(&wire.subject.title(network)), before, wire.after.title(), hold]
    }));
    table(&mut out, &rows);
    out.push('\n');
    let weight = |mm2_m: f64| match Quantity::new(1000.0 * kilograms(mm2_m), Unit::One) {
        Some(grams) => format!("{grams} g"),
        None => "-".to_owned(),
    };
    let before = sizing.copper_before.map_or_else(|| "not known, as sizes are missing".to_owned(), weight);
    let percent =
        Quantity::new(100.0 * sizing.gap(), Unit::Percent).map_or_else(String::new, |q| q.to_string());
    let how_near = match sizing.is_least() {
        true => "That is the least that passes.".to_owned(),
        false => format!(
            "The least that passes is not known: it is no less than {}, so this is at most {percent} more.",
            weight(sizing.bound)
        ),
    };
    let after = weight(sizing.copper_after);
    wrapped(&mut out, "", &format!("Copper of these wires: now {before}, needed {after}. {how_near}"));
    out.push('\n');
    wrapped(&mut out, "", FOOT);
    rules_in_force(&mut out, circuit);
    out.push_str("Calculated, not measured.\n");
    assumed::for_checks(&mut out, circuit);
    out
}

/// A size as the job file has it.
fn size(size: Size) -> Value {
    match size {
        Size::Metric(area) => json!({ "mm2": area.get() }),
        Size::Gauge(_) => json!({ "awg": size.title().trim_end_matches(" AWG") }),
    }
}

/// Answer for programs.
pub fn json(document: &Document, circuit: &Circuit, sized: &Result<Sizing, Reason>) -> String {
    let title = &document.card.title;
    let sizing = match sized {
        Ok(sizing) => sizing,
        Err(reason) => {
            let about = reason.subject.as_ref().map(subject);
            return reply(&json!({ "job": title, "sized": false, "reason": reason.what, "subject": about }));
        }
    };
    let fuses: Map<String, Value> = sizing
        .fuses
        .iter()
        .map(|fuse| {
            let before = fuse.before.map(|amps| amps.get());
            (fuse.subject.id(), json!({ "before_a": before, "after_a": fuse.after.get() }))
        })
        .collect();
    let wires: Map<String, Value> = sizing
        .wires
        .iter()
        .map(|wire| {
            let load = match &wire.hold {
                Hold::Drop(load) => Some(subject(load)),
                _ => None,
            };
            let told = json!({
                "before": wire.before.map(size),
                "after": size(wire.after),
                "held_by": wire.hold.word(),
                "load": load,
                "otherwise": wire.otherwise,
            });
            (wire.subject.id(), told)
        })
        .collect();
    reply(&json!({
        "job": title,
        "sized": true,
        "fuses": fuses,
        "wires": wires,
        "copper_before_kg": sizing.copper_before.map(kilograms),
        "copper_after_kg": kilograms(sizing.copper_after),
        "bound_kg": kilograms(sizing.bound),
        "gap": sizing.gap(),
        "rules": rules(circuit),
        "assumed": assumptions(circuit),
    }))
}
