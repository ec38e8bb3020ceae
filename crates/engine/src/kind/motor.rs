//! Motors.

use super::{
    Assumed, Class, Counts, End, Law, Load, PartBranch, Role, Used, ValueSpec, When, glyph, no_joins,
    terminals,
};
use crate::quantity::{Ohms, Unit, Watts};

declare_kind! {
    /// A direct-current motor (pump, fan, compressor), as the resistance it shows while running or stalled.
    name: "motor",
    noun: "motor",
    letter: "M",
    class: Class::Load,
    values: &[
        ValueSpec::number("run_a", Unit::Ampere, (0.0, 1000.0), Assumed::Nothing, "current while running").unjudged("so its current is left out and not judged").simplified(Counts::Always, "taken as a plain resistance"),
        ValueSpec::number("stall_a", Unit::Ampere, (0.0, 10_000.0), Assumed::Nothing, "current while stalled").unjudged("so its current while stalled is left out and not judged"),
        ValueSpec::number("at_v", Unit::Volt, (0.1, 100.0), Assumed::ByNominal(12.0, 24.0), "voltage at which the currents hold"),
    ],
    terminals: |_| terminals(&[("+", "supply side", true), ("-", "earth side", true)]),
    positions: |_| &["running", "stalled"],
    joins: no_joins,
    branches: branches,
    views: |_| vec![glyph::two_terminal("+", "-", glyph::ROUND, glyph::machine("M"))],
}

fn branches(used: &Used) -> Vec<PartBranch> {
    let rated = || Watts::new(used.number("run_a")? * used.number("at_v")?);
    let winding = |key: &str, position: &'static [&'static str]| {
        let law = || {
            let amps = used.number(key).filter(|amps| *amps > 0.0)?;
            Ohms::new(used.number("at_v")? / amps).map(Law::Resistance)
        };
        PartBranch {
            from: End::terminal("+"),
            to: End::terminal("-"),
            law: law(),
            when: When::In(position),
            role: Role::Load(Load { name: "", rated: rated(), least: None, seen_from: None }),
        }
    };
    vec![winding("run_a", &["running"]), winding("stall_a", &["stalled"])]
}
