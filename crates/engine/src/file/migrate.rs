//! From the shape of an earlier version to the present one, step by step, on JSON values.
//!
//! A step knows exactly two versions, and never changes again once the later one has shipped.
//! Working on values rather than on types means that no old type has to be kept.

use serde_json::Value;

use super::place::Place;
use super::{Problem, walk};

/// Turns a job of one version into one of the next; it may count on nothing but that version's
/// rules being possibly broken, and must leave what it does not understand for the walk to refuse.
type Step = fn(Value) -> Result<Value, Problem>;

/// The steps, the first from version 1 to version 2.
const STEPS: &[Step] = &[version_2, version_3, version_4, version_5, version_6, version_7];

/// Version 2 has settings besides the nominal voltage, interlocks, the surroundings of parts and more of their values;
/// whatever version 1 said means the same in it.
#[expect(clippy::unnecessary_wraps, reason = "every step has one type")]
fn version_2(job: Value) -> Result<Value, Problem> {
    Ok(job)
}

/// In version 3 an interlock may say why it stands or is waived; whatever version 2 said means the same in it.
#[expect(clippy::unnecessary_wraps, reason = "every step has one type")]
fn version_3(job: Value) -> Result<Value, Problem> {
    Ok(job)
}

/// Version 4 has the vehicle plan, the places of parts, and of wires what leads them along it; whatever version 3 said means
/// the same in it.
#[expect(clippy::unnecessary_wraps, reason = "every step has one type")]
fn version_4(job: Value) -> Result<Value, Problem> {
    Ok(job)
}

/// Version 5 has accepted findings, symbols that are kept in place, and more fields of the card; whatever version 4 said
/// means the same in it.
#[expect(clippy::unnecessary_wraps, reason = "every step has one type")]
fn version_5(job: Value) -> Result<Value, Problem> {
    Ok(job)
}

/// Version 6 has records of what was measured; whatever version 5 said means the same in it.
#[expect(clippy::unnecessary_wraps, reason = "every step has one type")]
fn version_6(job: Value) -> Result<Value, Problem> {
    Ok(job)
}

/// Version 7 has complaints and minutes in records, and readings that were judged; whatever version 6 said means the same in
/// it.
#[expect(clippy::unnecessary_wraps, reason = "every step has one type")]
fn version_7(job: Value) -> Result<Value, Problem> {
    Ok(job)
}

/// The version that the last step leads to.
pub(super) const fn newest() -> u32 {
    STEPS.len() as u32 + 1
}

/// The version `job` says it has, if it is one this program reads.
pub(super) fn version(job: &Value) -> Result<u32, Problem> {
    let place = Place::Job;
    let at = place.key("version");
    let said = walk::object(job, &place)?.get("version").ok_or_else(|| at.problem("missing"))?;
    let number = said.as_u64().filter(|number| *number > 0);
    let number = number.ok_or_else(|| walk::expected("a version from 1 up", said, &at))?;
    match u32::try_from(number) {
        Ok(version) if version <= newest() => Ok(version),
        _ => Err(at.problem(too_new(number))),
    }
}

/// What to say of a file that a later version of the program made.
pub(super) fn too_new(version: u64) -> String {
    format!("this file was made by a newer version: {version}; this one reads up to {}", newest())
}

/// `job` of version `from` in the shape of the newest version.
pub(super) fn migrate(job: Value, from: u32) -> Result<Value, Problem> {
    through(STEPS, job, from)
}

fn through(steps: &[Step], job: Value, from: u32) -> Result<Value, Problem> {
    let mut job = job;
    for (i, step) in steps.iter().enumerate().skip(from.saturating_sub(1) as usize) {
        job = step(job)?;
        if let Some(map) = job.as_object_mut() {
            map.insert("version".to_owned(), Value::from(i + 2));
        }
    }
    Ok(job)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn rename_tint(mut job: Value) -> Result<Value, Problem> {
        if let Some(tint) = job.as_object_mut().and_then(|map| map.remove("tint")) {
            job["colour"] = tint;
        }
        Ok(job)
    }

    fn double_length(mut job: Value) -> Result<Value, Problem> {
        let length = job["length"].as_f64().ok_or_else(|| Place::Job.key("length").problem("missing"))?;
        job["length"] = json!(length * 2.0);
        Ok(job)
    }

    const TWO: &[Step] = &[rename_tint, double_length];

    #[test]
    fn every_step_after_the_own_version_is_taken_once() {
        let first = json!({ "version": 1, "tint": "RD", "length": 2.0 });
        let second = json!({ "version": 2, "colour": "RD", "length": 2.0 });
        let third = json!({ "version": 3, "colour": "RD", "length": 4.0 });
        assert_eq!(through(TWO, first, 1), Ok(third.clone()));
        assert_eq!(through(TWO, second, 2), Ok(third.clone()));
        assert_eq!(through(TWO, third.clone(), 3), Ok(third));
    }

    #[test]
    fn a_step_that_cannot_go_on_names_the_place() {
        let refused = through(TWO, json!({ "version": 1 }), 1).unwrap_err();
        assert_eq!(refused.to_string(), "length: missing");
    }

    #[test]
    fn versions_that_never_were_are_refused() {
        for (said, message) in [
            (json!(8), "version: this file was made by a newer version: 8; this one reads up to 7"),
            (json!(0), "version: expected a version from 1 up, found the number 0"),
            (json!("1"), "version: expected a version from 1 up, found the text `1`"),
            (
                json!(u64::MAX),
                "version: this file was made by a newer version: 18446744073709551615; this one reads up to 7",
            ),
        ] {
            assert_eq!(version(&json!({ "version": said })).unwrap_err().to_string(), message);
        }
        assert_eq!(version(&json!({})).unwrap_err().to_string(), "version: missing");
    }
}
