//! Tidying a drawing: what is chosen anew, what stays, and that once is enough.

use crate::faults;
use crate::geometry::circuits;
use crate::support::Chance;
use drawing::draw::draw;
use drawing::layout::{lay_out, tidy};
use engine::document::{Placement, Pose};

/// Some poses of a drawing, moved by chance and pinned, so that none lies on another.
fn pins(placement: &Placement, chance: &mut Chance) -> Vec<Pose> {
    let some = placement.poses.iter().filter(|_| chance.one_in(5)).cloned().collect::<Vec<_>>();
    let moved = some.into_iter().enumerate().map(|(i, pose)| Pose {
        // Farther apart than they were, each by its own row.
        x: pose.x * 2 + chance.below(9) as i32,
        y: pose.y + 40 * i as i32,
        turn: chance.below(4) as u8,
        pinned: true,
        ..pose
    });
    moved.collect()
}

#[test]
fn a_tidy_drawing_is_the_one_that_a_job_without_poses_has() {
    for (circuit, network) in circuits().step_by(2) {
        let tidied = tidy(&network, &Placement::default());
        assert_eq!(tidied.poses.len(), lay_out(&network, &Placement::default()).symbols.len(), "{circuit}");
        assert_eq!(draw(&network, &tidied), draw(&network, &Placement::default()), "{circuit}");
        assert_eq!(tidy(&network, &tidied), tidied, "{circuit}");
        // What the user put without pinning it is chosen anew.
        let mut strewn = tidied.clone();
        strewn.poses.iter_mut().for_each(|pose| pose.x = 3 * pose.y - pose.x);
        strewn.poses.truncate(strewn.poses.len() / 2);
        assert_eq!(tidy(&network, &strewn), tidied, "{circuit}");
    }
}

#[test]
fn what_is_pinned_stays_and_the_rest_is_arranged_around_it() {
    let mut chance = Chance::new(7);
    for (circuit, network) in circuits().step_by(2) {
        let mut placement = tidy(&network, &Placement::default());
        let pinned = pins(&placement, &mut chance);
        placement
            .poses
            .retain(|pose| !pinned.iter().any(|pin| (&pin.part, &pin.view) == (&pose.part, &pose.view)));
        placement.poses.extend(pinned.iter().cloned());
        let tidied = tidy(&network, &placement);
        for pin in &pinned {
            assert!(tidied.poses.contains(pin), "{circuit}: {pin:?}");
        }
        let n_kept = tidied.poses.iter().filter(|pose| pose.pinned).count();
        assert_eq!(n_kept, pinned.len(), "{circuit}");
        assert_eq!(tidy(&network, &tidied), tidied, "{circuit}");
        let scene = draw(&network, &tidied);
        let found = faults::faults(&network, &scene);
        assert!(found.is_empty(), "{circuit}: {found:?}");
    }
}
