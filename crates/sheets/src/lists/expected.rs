//! What a fault walk expected of a reading, short enough for a record.

use engine::quantity::capital;

/// What stands between what would be found and the cause that leads there.
const IF: &str = " if ";

/// What stands between causes that lead to the same.
const OR_IF: &str = ", or if ";

/// Most outcomes that are told where it is not known which counts.
const MOST: usize = 2;

/// What may be found, and the causes that lead there.
struct Outcome<'a> {
    told: &'a str,
    causes: Vec<&'a str>,
}

/// What the cause that was found leads to, where these words know it; else the first outcomes, each with its first cause.
///
/// `expected` is written by the walk, `0.1 V if wire W1 is open, or if fuse F1 is open, or 3 more; 12 V if ...`, and
/// `answer` proposed by it, `Wire W1 is open, or fuse F1 is open.`. Whatever else a user wrote there names no cause.
pub fn in_short(expected: &str, answer: &str) -> String {
    let outcomes: Vec<Outcome<'_>> = expected.split("; ").map(outcome).collect();
    let mut led_to = outcomes.iter().filter(|one| one.causes.iter().any(|cause| is_named(cause, answer)));
    if let (Some(one), None) = (led_to.next(), led_to.next()) {
        return one.told.to_owned();
    }
    let told = outcomes.iter().take(MOST).map(|one| match one.causes.first() {
        Some(cause) => format!("{}{IF}{cause}", one.told),
        None => one.told.to_owned(),
    });
    let short = told.collect::<Vec<_>>().join("; ");
    if short == expected { short } else { format!("{short} … and others") }
}

fn outcome(words: &str) -> Outcome<'_> {
    let Some((told, causes)) = words.split_once(IF) else {
        return Outcome { told: words, causes: Vec::new() };
    };
    let without_count = |cause| match str::rsplit_once(cause, ", or ") {
        Some((cause, count)) if count.ends_with(" more") => cause,
        _ => cause,
    };
    Outcome { told, causes: causes.split(OR_IF).map(without_count).collect() }
}

/// Whether an answer names a cause; behind a bad joint stands how bad it is, behind a wrong drawing what it asks for.
fn is_named(cause: &str, answer: &str) -> bool {
    let cause = capital(cause);
    answer.trim_end_matches('.').split(", or ").map(capital).any(|one| {
        let behind = one.strip_prefix(&cause);
        behind.is_some_and(|behind| {
            behind.is_empty() || behind.starts_with(", about ") || behind.starts_with(": ")
        })
    })
}

#[cfg(test)]
mod tests {
    use super::in_short;

    const EXPECTED: &str = "0.1 V, give or take 0.1 V if wire W1 is open, or if coil of relay K1 is open, or 3 more; \
                            12 V if fuse F1 is open; 8 V if wire W5 has a bad joint at one of its ends; 9 V if the drawing itself is wrong";

    #[test]
    fn what_the_cause_leads_to_is_told_where_it_is_known() {
        for (answer, told) in [
            ("Wire W1 is open.", "0.1 V, give or take 0.1 V"),
            ("Coil of relay K1 is open, or wire W1 is open.", "0.1 V, give or take 0.1 V"),
            ("Fuse F1 is open", "12 V"),
            ("Wire W5 has a bad joint at one of its ends, about 1.3 ohm.", "8 V"),
            ("The drawing itself is wrong: built as it is drawn, lamp E3 stays dark. Move wire W11.", "9 V"),
        ] {
            assert_eq!(in_short(EXPECTED, answer), told, "{answer}");
        }
    }

    #[test]
    fn where_it_is_not_known_the_first_outcomes_are_told() {
        let short = "0.1 V, give or take 0.1 V if wire W1 is open; 12 V if fuse F1 is open … and others";
        // Nothing, another cause, words of the user's own, and two causes that lead to two outcomes.
        for answer in
            ["", "Wire W11 is open.", "It was never wire W1 is open.", "Wire W1 is open, or fuse F1 is open."]
        {
            assert_eq!(in_short(EXPECTED, answer), short, "{answer}");
        }
        for whole in ["", "clicks", "clicks if fuse F1 is open; silent if fuse F2 is open"] {
            assert_eq!(in_short(whole, ""), whole);
        }
    }
}
