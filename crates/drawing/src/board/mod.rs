//! A drawing that is kept up to date while its job is edited.
//!
//! What was not touched stays where it was.

mod lifted;
mod spot;

use std::sync::Arc;

use engine::document::{Network, Placement, Pose};

use crate::draw;
use crate::layout::{Layout, lay_out, lay_out_beside};
use crate::route::Routes;
use crate::scene::Scene;
use crate::symbol::Symbol;
pub use crate::symbol::SymbolKey;

pub use lifted::Lifted;
pub use spot::stand;

/// A drawing and what is needed to change it without drawing everything anew.
#[derive(Clone, Debug)]
pub struct Board {
    network: Arc<Network>,
    placement: Arc<Placement>,
    layout: Layout,
    routes: Routes,
    scene: Arc<Scene>,
}

impl Board {
    /// The drawing of a job, the same as [`draw`](fn@draw::draw) makes.
    pub fn new(network: &Arc<Network>, placement: &Arc<Placement>) -> Board {
        let layout = lay_out(network, placement);
        Board::of(network, placement, layout)
    }

    fn of(network: &Arc<Network>, placement: &Arc<Placement>, layout: Layout) -> Board {
        let (scene, routes) = draw::compose(network, &layout);
        let (network, placement) = (Arc::clone(network), Arc::clone(placement));
        Board { network, placement, layout, routes, scene: Arc::new(scene) }
    }

    /// Follows an edit. Symbols without a pose stay where they stood, unless nothing has a pose:
    /// then everything that takes part in a change of the circuit is laid out anew.
    pub fn update(&mut self, network: &Arc<Network>, placement: &Arc<Placement>) {
        if Arc::ptr_eq(&self.network, network) && Arc::ptr_eq(&self.placement, placement) {
            return;
        }
        let stand: Vec<(SymbolKey, Symbol)> = if placement.poses.is_empty() {
            Vec::new()
        } else {
            self.layout.symbols.iter().map(|s| (SymbolKey::of(&self.network, s), s.clone())).collect()
        };
        let layout = lay_out_beside(network, placement, &stand);
        *self = Board::of(network, placement, layout);
    }

    /// The drawing as it is now.
    pub fn scene(&self) -> &Arc<Scene> {
        &self.scene
    }

    /// Where every symbol stands now, so that a placement can pin all of them.
    pub fn poses(&self) -> Vec<Pose> {
        self.layout.symbols.iter().map(|symbol| symbol.pose(&self.network.parts[symbol.part])).collect()
    }
}
