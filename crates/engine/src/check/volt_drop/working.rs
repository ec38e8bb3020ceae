//! How a loss of voltage came about.

use super::{Drop, GREATEST, Limits, warm_resistance, warm_temperature};
use crate::check::Context;
use crate::conductor::COPPER_PER_K;
use crate::document::settings::{DROP_LOOK, DROP_STOP};
use crate::finding::Basis;
use crate::quantity::Unit;
use crate::solve::Rest;
use crate::working::Working;

/// How the loss came about: battery less load, the limit, and the wire or contact that loses most.
pub(super) fn working(context: &Context<'_>, drop: &Drop, title: &str, limit: f64) -> Vec<Working> {
    const LOSS: &str = "Kirchhoff's voltage law";
    let resolved = &context.circuit.resolved;
    let share = 100.0 * limit / resolved.nominal_v;
    let lost = Working::of(
        format!("voltage lost between the battery and {title}"),
        "U_lost = U_battery - U_load",
        drop.volts,
        Unit::Volt,
        LOSS,
    )
    .map(|working| {
        let posts = drop.volts + drop.left;
        working.with("U_battery", "voltage between the posts", posts, Unit::Volt, Basis::Calculated).with(
            "U_load",
            format!("voltage of {title}"),
            drop.left,
            Unit::Volt,
            Basis::Calculated,
        )
    });
    let allowed = Working::of("voltage that may be lost", "U_max = p / 100 * U_n", limit, Unit::Volt, "")
        .map(|working| {
            let setting = if limit == Limits::of(context.circuit).stop_v { &DROP_STOP } else { &DROP_LOOK };
            let basis = if resolved.settings.is_said(setting) { Basis::Entered } else { Basis::Tabled };
            Working { source: resolved.settings.source(setting), ..working }
                .with("p", "share of the nominal voltage", share, Unit::Percent, basis)
                .with("U_n", "nominal voltage", resolved.nominal_v, Unit::Volt, Basis::Entered)
        });
    let least = drop.least.and_then(|least| {
        let working = Working::of(
            format!("least voltage at which {title} works"),
            "U_min = U_off",
            least,
            Unit::Volt,
            "entered or assumed of the load",
        )?;
        let basis = Basis::Calculated;
        Some(working.with(
            "U_off",
            format!("voltage below which {title} turns off"),
            least,
            Unit::Volt,
            basis,
        ))
    });
    lost.into_iter().chain(allowed).chain(least).chain(drop.cause_working.iter().cloned()).collect()
}

/// How the resistance of a warm wire and the voltage it loses came about.
pub(super) fn wire_working(context: &Context<'_>, cold: &Rest, warm: &Rest, branch: usize) -> Vec<Working> {
    let Some((_, used)) = context.wire_of(branch) else { return Vec::new() };
    let title = context.circuit.subject(branch).title(&context.circuit.resolved.network);
    let Some(temperature) = warm_temperature(used, cold, branch) else { return Vec::new() };
    let (Some(ohm), Some(greatest)) = (warm_resistance(context, cold, branch), used.greatest()) else {
        return Vec::new();
    };
    let amps = warm.steady.amps(branch).abs();
    let volts = Working::of(
        format!("voltage lost in {title}"),
        "U = I * R",
        amps * ohm.get(),
        Unit::Volt,
        "Ohm's law",
    )
    .map(|working| {
        working.with("I", format!("current of {title}"), amps, Unit::Ampere, Basis::Calculated).with(
            "R",
            format!("resistance of {title} when warm"),
            ohm.get(),
            Unit::Ohm,
            Basis::Calculated,
        )
    });
    let resistance = Working::of(
        format!("resistance of {title} when warm"),
        "R = R_20 * (1 + a * (T - 20))",
        ohm.get(),
        Unit::Ohm,
        GREATEST,
    )
    .map(|working| {
        working
            .with("R_20", "greatest resistance at 20 degC", greatest.get(), Unit::Ohm, Basis::Tabled)
            .with("a", "temperature coefficient of copper per kelvin", COPPER_PER_K, Unit::One, Basis::Tabled)
            .with("T", "temperature it reaches", temperature.get(), Unit::Celsius, Basis::Calculated)
    });
    volts.into_iter().chain(resistance).collect()
}
