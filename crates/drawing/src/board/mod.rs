//! A drawing that is kept up to date while its job is edited.
//!
//! What an edit does not touch stays where it was: symbols, the paths of wires whose ends and way
//! are as before, and texts whose ground is still free. What it does touch is laid out, routed and
//! lettered around that.

mod follow;
mod lifted;
mod spot;

use std::sync::Arc;

use engine::document::{Network, Placement, Pose, Standing};

use crate::draw::{Drawing, Texts};
use crate::layout::{Layout, Rest, lay_out, lay_out_with};
use crate::route::{Memory, Routes};
use crate::scene::Scene;
pub use crate::symbol::SymbolKey;
use crate::words::Words;

pub use lifted::Lifted;
pub use spot::stand;

/// A drawing and what is needed to change it without drawing everything anew.
#[derive(Clone, Debug)]
pub struct Board {
    network: Arc<Network>,
    placement: Arc<Placement>,
    /// What is written beside the parts.
    words: Arc<Words>,
    layout: Layout,
    routes: Routes,
    texts: Texts,
    scene: Arc<Scene>,
    /// What the searches for paths keep from one to the next.
    memory: Memory,
    /// How this board arranges what is wired to nothing that stands.
    rest: Rest,
    /// A job that was laid out elsewhere, for when an undo brings it back.
    given: Option<(Arc<Network>, Layout)>,
}

impl Board {
    /// The drawing of a job, the same as [`draw`](fn@crate::draw::draw) makes.
    pub fn new(network: &Arc<Network>, placement: &Arc<Placement>) -> Board {
        Board::of(network, placement, lay_out(network, placement), Rest::AS_DIAGRAM)
    }

    /// The same of a job that was laid out elsewhere; symbols that are not its own are passed over, all of them.
    pub fn laid_out(network: &Arc<Network>, placement: &Arc<Placement>, standing: &[Standing]) -> Board {
        let layout = Layout::of(network, placement, standing);
        let layout = layout.unwrap_or_else(|| lay_out_with(Rest::IN_A_ROW, network, placement));
        let given = Some((Arc::clone(network), layout.clone()));
        Board { given, ..Board::of(network, placement, layout, Rest::IN_A_ROW) }
    }

    /// The same after an edit that leaves nothing where it was.
    fn anew(&self, network: &Arc<Network>, placement: &Arc<Placement>) -> Board {
        let layout = match &self.given {
            Some((first, layout)) if Arc::ptr_eq(first, network) => layout.clone(),
            _ => lay_out_with(self.rest, network, placement),
        };
        Board { given: self.given.clone(), ..Board::of(network, placement, layout, self.rest) }
    }

    fn of(network: &Arc<Network>, placement: &Arc<Placement>, layout: Layout, rest: Rest) -> Board {
        if layout == Layout::default() {
            return Board::empty(network, placement, rest);
        }
        let words = Arc::new(Words::of(network));
        let drawing = Drawing::new(network, &layout, Arc::clone(&words));
        let homes = drawing.first_homes(&[]);
        let mut memory = Memory::default();
        let routes = drawing.route(&homes, &mut memory);
        let (scene, texts) = drawing.finish(&routes, &homes, &Texts::default());
        let (network, placement) = (Arc::clone(network), Arc::clone(placement));
        let scene = Arc::new(scene);
        Board { network, placement, words, layout, routes, texts, scene, memory, rest, given: None }
    }

    /// Nothing, which needs no search for anything: the app begins with it.
    fn empty(network: &Arc<Network>, placement: &Arc<Placement>, rest: Rest) -> Board {
        Board {
            network: Arc::clone(network),
            placement: Arc::clone(placement),
            words: Arc::default(),
            layout: Layout::default(),
            routes: Routes::default(),
            texts: Texts::default(),
            scene: Arc::default(),
            memory: Memory::default(),
            rest,
            given: None,
        }
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
