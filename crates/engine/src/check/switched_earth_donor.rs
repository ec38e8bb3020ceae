//! Relays that a lamp switched on its earth side holds in while it is off.

use crate::check::Context;
use crate::check::interlock_broken::steps;
use crate::check::survey::carries;
use crate::check::swept::is_of_this_job;
use crate::circuit::reach::walk;
use crate::circuit::{Branch, CHASSIS};
use crate::document::Part;
use crate::finding::{Basis, Finding, Harm, Help, Severity};
use crate::kind::{Class, Role};
use crate::quantity::{Ohms, Quantity, Unit};
use crate::subject::Subject;
use crate::sweep::words;
use crate::working::Working;

declare_check! {
    /// Finds relays that pull in through the lamp of a donor circuit while that is off.
    ///
    /// # What it checks
    ///
    /// Every state that working the switches and donor circuits one at a time can lead to, in which a relay is on, a
    /// donor circuit is off, and at least half of the coil's current goes through the donor's own lamp.
    /// And every coil on the wire that is switched to earth which pulls in without the lamp's positive wire, because
    /// another supply feeds it: that is right only where the positive wire is said to be live at all times
    /// (`common_feed`). With one that is switched the coil pulls in through the lamp and the others on that wire while all
    /// of them are off, whether or not those are drawn, which is Look.
    ///
    /// # Why it matters
    ///
    /// The relay works upside down, or always, and drains the battery for ever: a lamp whose earth side is switched
    /// stands at battery voltage on both its wires while it is off.
    ///
    /// # Example
    ///
    /// A coil between the switched wire of such a lamp and earth: 11 V with the lamp off, nothing with it on.
    ///
    /// # What to do
    ///
    /// Put the coil across the lamp's own two wires: 86 to its positive wire, with the cab switch in that lead, and 85 to
    /// the wire that is switched to earth. This is right whatever feeds the lamp.
    name: "switched-earth-donor",
    summary: "a relay pulls in through a lamp that is off",
    harm: Harm::Failure,
    explained_by: &["supply-shorted", "tap-without-signal"],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let lamps: Vec<(usize, usize)> = circuit
        .loads()
        .filter_map(|(branch, _)| {
            let (part, of) = context.part_of(branch)?;
            (of.kind.class == Class::Donor).then_some((part, branch))
        })
        .collect();
    let mut told: Vec<usize> = Vec::new();
    for state in context.survey.states() {
        for (index, device) in circuit.devices.iter().enumerate() {
            let on = state.rest.state.devices[index];
            let is_coil = matches!(circuit.branches[device.branch].role, Role::Coil { .. });
            if !on || !is_coil || told.contains(&index) || !is_of_this_job(context, device.branch) {
                continue;
            }
            let coil_a = state.rest.steady.amps(device.branch).abs();
            let through = lamps.iter().find(|(part, lamp)| {
                let is_off = state.rest.state.positions[*part] == 0;
                is_off
                    && state.rest.steady.amps(*lamp).abs() >= 0.5 * coil_a
                    && !state.is_direct(circuit, device.branch)
            });
            let Some((donor, _)) = through else { continue };
            told.push(index);
            let subject = circuit.subject(device.branch);
            let donor = Subject::Part(network.parts[*donor].id.clone());
            let actions = state.actions(&context.survey);
            findings.push(Finding {
                check: CHECK.name,
                severity: Severity::Stop,
                message: format!(
                    "{} is on through the lamp of {} while that is off, {}",
                    subject.title(network),
                    donor.title(network),
                    words::after(network, &actions)
                ),
                subject: subject.clone(),
                because: steps(context, &actions),
                measured: Quantity::new(coil_a, Unit::Ampere),
                basis: Basis::Calculated,
                allowed: None,
                help: vec![Help::words("put the coil across the lamp's own two wires: 86 with the cab switch on its positive wire, 85 on the wire that is switched to earth")],
                source: "computed: the coil's current goes through the lamp".to_owned(),
                working: Working::of_network("current of the coil", coil_a, Unit::Ampere, "Kirchhoff's current law")
                    .into_iter()
                    .collect(),
                touches: vec![subject, donor],
            });
        }
    }
    for (part, lamp) in lamps {
        let not_proved = |device: &usize| !told.contains(device);
        findings.extend(
            fed_past(context, part, lamp)
                .into_iter()
                .filter(not_proved)
                .map(|device| told_past(context, part, circuit.devices[device].branch)),
        );
    }
}

/// Ohms of a wire that was cut.
const CUT_OHM: f64 = 1e9;

/// Whether nothing proves that the positive wire of a part's lamp is live at all times: a donor that is switched to earth.
fn is_in_doubt(part: &Part) -> bool {
    let word = |key| part.values.word_or(key, "");
    part.kind.class == Class::Donor && word("switching") == "earth" && word("common_feed") != "permanent"
}

/// The coils, by device, that the earth side of such a donor pulls in even when the wires to the lamps are cut.
fn fed_past(context: &Context<'_>, donor: usize, lamp: usize) -> Vec<usize> {
    let circuit = context.circuit;
    if !is_in_doubt(&circuit.resolved.network.parts[donor]) {
        return Vec::new();
    }
    let earth = circuit.branches[lamp].to;
    let leads_away = |(_, branch): &(usize, &Branch)| branch.role == Role::Path && branch.from == earth;
    let Some((to_earth, _)) = circuit.branches_of_part(donor).find(leads_away) else { return Vec::new() };
    // Lamps may share their positive wire, so that of one is cut with those of all others.
    let is_cut = |branch: usize| {
        matches!(circuit.branches[branch].role, Role::Protection(_))
            && context.part_of(branch).is_some_and(|(_, part)| is_in_doubt(part))
    };
    let cut = |branch: usize| if is_cut(branch) { Ohms::new(CUT_OHM) } else { None };
    let solver = context.survey.solver().with_resistances(cut);
    let mut found = Vec::new();
    for surveyed in context.survey.situations.iter().filter(|surveyed| surveyed.positions[donor] != 0) {
        let solution = solver.enter(surveyed.positions.clone());
        let Some(rest) = solution.shown() else { continue };
        let to_earth = rest.steady.amps(to_earth).abs();
        let met = walk(circuit, &[earth], |index, near| near != CHASSIS && carries(circuit, rest, index));
        for (index, device) in circuit.devices.iter().enumerate() {
            let is_coil = matches!(circuit.branches[device.branch].role, Role::Coil { .. });
            // Half of its current at least leaves by the wire that the donor switches to earth.
            let coil = rest.steady.amps(device.branch).abs();
            let leaves_there = || {
                let branch = &circuit.branches[device.branch];
                to_earth >= 0.5 * coil && met.iter().any(|(net, _)| [branch.from, branch.to].contains(net))
            };
            if is_coil
                && rest.state.devices[index]
                && !found.contains(&index)
                && is_of_this_job(context, device.branch)
                && leaves_there()
            {
                found.push(index);
            }
        }
    }
    found
}

/// That nothing proves that a coil is off while the lamp it is tapped from is.
fn told_past(context: &Context<'_>, donor: usize, coil: usize) -> Finding {
    let circuit = context.circuit;
    let network = &circuit.resolved.network;
    let subject = circuit.subject(coil);
    let part = &network.parts[donor];
    let lamp = Subject::Part(part.id.clone());
    let (title, lamp_title) = (subject.title(network), lamp.title(network));
    let message = match part.values.word_or("common_feed", "") {
        "switched" => format!(
            "{title} is fed past the positive wire of {lamp_title}, which is switched: with that off it may pull in through this lamp and others on the same wire"
        ),
        _ => format!(
            "{title} is fed past the positive wire of {lamp_title}, and whether that is live at all times is not said: if it is not, it pulls in through this lamp and others on the same wire while they are off"
        ),
    };
    let lights = "measure the lamp's positive wire with the lights off, on dipped and on main beam: only if it is live each time is the common feed permanent";
    let across = "put the coil across the lamp's own two wires: 86 with the cab switch on its positive wire, 85 on the wire that is switched to earth";
    let is_said = part.values.said("common_feed").is_some();
    let measure = (!is_said).then(|| Help::words(lights));
    Finding {
        help: measure.into_iter().chain([Help::words(across)]).collect(),
        touches: vec![subject.clone(), lamp],
        ..Finding::of(
            CHECK.name,
            Severity::Look,
            subject,
            message,
            "computed: the coil pulls in with the lamp's positive wire cut; common practice, no source",
        )
    }
}

#[cfg(test)]
mod tests {
    use crate::finding::{Finding, Severity};

    fn found(text: &str) -> Vec<Finding> {
        super::CHECK.alone_on(text)
    }

    /// A coil from the battery through the cab switch, to the wire that a lamp's earth side is switched with.
    fn from_the_battery(donor: &str) -> String {
        format!(
            "battery G1\ndonor E1 switching=earth lamp_w=60 {donor}\nfuse F1 rating_a=3\nswitch S1\nrelay K1
            wire w1 G1.+ F1.1 mm2=1 m=0.1\nwire w2 F1.2 S1.in mm2=1 m=1\nwire w3 S1.out K1.86 mm2=1 m=1
            wire w4 K1.85 E1.return mm2=1 m=1"
        )
    }

    #[test]
    fn a_coil_from_the_battery_is_right_only_where_the_common_feed_is_permanent() {
        assert_eq!(found(&from_the_battery("common_feed=permanent")), []);
        for (donor, words) in [("", "is not said"), ("common_feed=switched", "which is switched")] {
            let findings = found(&from_the_battery(donor));
            assert_eq!(findings.len(), 1, "{donor}: {findings:?}");
            assert_eq!((findings[0].severity, findings[0].subject.id()), (Severity::Look, "K1".to_owned()));
            assert!(findings[0].message.contains(words), "{}", findings[0].message);
        }
    }

    /// With a switched common feed and the lights off, 12.6 V drive the coil of 90 ohm through the cold filaments of main
    /// and dipped beam, 60 and 55 W: 12 V squared over twelve times their power is 0.2 and 0.22 ohm.
    #[test]
    fn with_both_filaments_drawn_it_pulls_in_with_the_lights_off() {
        let both = format!(
            "{}\nlamp E2 watts=55 status=existing\nearth X1\nwire w5 E1.feed E2.1 mm2=2.5 m=1 status=existing
            wire w6 E2.2 X1.1 mm2=2.5 m=1 status=existing",
            from_the_battery("common_feed=switched")
        );
        let findings = found(&both);
        assert_eq!(findings.iter().map(|one| one.severity).collect::<Vec<_>>(), [Severity::Stop]);
        let amps = findings[0].measured.unwrap().value;
        assert!((amps - 0.139).abs() < 0.0005, "{amps}");
    }

    #[test]
    fn a_coil_across_the_lamps_own_wires_is_right_whatever_feeds_them() {
        for donor in ["", "common_feed=switched", "common_feed=permanent"] {
            let text = format!(
                "battery G1\ndonor E1 switching=earth lamp_w=60 {donor}\nswitch S1\nrelay K1
                wire w1 E1.feed S1.in mm2=1 m=1\nwire w2 S1.out K1.86 mm2=1 m=1\nwire w3 K1.85 E1.return mm2=1 m=1"
            );
            assert_eq!(found(&text), [], "{donor}");
        }
    }
}
