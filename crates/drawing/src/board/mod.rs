//! A drawing that is kept up to date while its job is edited.
//!
//! What an edit does not touch stays where it was: symbols, the paths of wires whose ends and way
//! are as before, and texts whose ground is still free. What it does touch is laid out, routed and
//! lettered around that.

mod follow;
mod lifted;
mod spot;

use std::sync::Arc;

use engine::document::{Network, Placement, Pose};

use crate::draw::{Drawing, Texts};
use crate::layout::{Layout, lay_out};
use crate::route::{Memory, Routes};
use crate::scene::Scene;
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
    texts: Texts,
    scene: Arc<Scene>,
    /// What the searches for paths keep from one to the next.
    memory: Memory,
}

impl Board {
    /// The drawing of a job, the same as [`draw`](fn@crate::draw::draw) makes.
    pub fn new(network: &Arc<Network>, placement: &Arc<Placement>) -> Board {
        let layout = lay_out(network, placement);
        let drawing = Drawing::new(network, &layout);
        let homes = drawing.first_homes(&[]);
        let mut memory = Memory::default();
        let routes = drawing.route(&homes, &mut memory);
        let (scene, texts) = drawing.finish(&routes, &homes, &Texts::default());
        let (network, placement) = (Arc::clone(network), Arc::clone(placement));
        Board { network, placement, layout, routes, texts, scene: Arc::new(scene), memory }
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
