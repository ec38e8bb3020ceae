//! What a set is, and how it is put together.

use drawing::draw::draw;
use drawing::overlay::{self, Overlay};
use drawing::scene::Shape;
use drawing::style::{Ink, Look, look, looks, role_of};
use drawing::svg::{SvgOptions, sheet_of};
use engine::answer::Request;
use engine::document::{Situation, Status};
use engine::finding::Finding;

use crate::facts::Facts;

/// The papers a set may be made for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Paper {
    /// ISO 216 A4.
    #[default]
    A4,
    /// ISO 216 A3.
    A3,
    /// 8 1/2 by 11 inches.
    Letter,
    /// 11 by 17 inches.
    Tabloid,
}

impl Paper {
    /// Every paper with its name.
    pub const NAMES: [(Paper, &'static str); 4] =
        [(Paper::A4, "A4"), (Paper::A3, "A3"), (Paper::Letter, "Letter"), (Paper::Tabloid, "Tabloid")];

    /// Its name.
    pub fn name(self) -> &'static str {
        Paper::NAMES.iter().find(|(paper, _)| *paper == self).map_or("", |(_, name)| name)
    }

    /// Its short and its long side in hundredths of a millimetre.
    pub fn sides(self) -> (i32, i32) {
        match self {
            Paper::A4 => (21_000, 29_700),
            Paper::A3 => (29_700, 42_000),
            Paper::Letter => (21_590, 27_940),
            Paper::Tabloid => (27_940, 43_180),
        }
    }
}

/// What is wanted of a set.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// On which paper.
    pub paper: Paper,
    /// With which inks.
    pub ink: Ink,
    /// The situation whose readings stand on the circuit; none are wanted without one.
    pub readings: Option<Situation>,
    /// Whether findings are marked on the circuit. They are listed in any case.
    pub marks: bool,
}

impl Default for Wanted {
    fn default() -> Wanted {
        Wanted { paper: Paper::A4, ink: Ink::Colored, readings: None, marks: true }
    }
}

/// One shape as it is drawn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// The shape, from the upper left corner of the sheet.
    pub shape: Shape,
    /// How it is drawn.
    pub look: Look,
}

/// One sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    /// What it is called among the others: `Circuit 1`, `Wire list`.
    pub name: String,
    /// Width in hundredths of a millimetre.
    pub width: i32,
    /// Height in hundredths of a millimetre.
    pub height: i32,
    /// Everything on it, in the order it is drawn.
    pub marks: Vec<Mark>,
}

/// A whole set.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Set {
    /// Title of the job.
    pub title: String,
    /// Who drew it; empty when that was not said.
    pub author: String,
    /// With which inks it is made.
    pub ink: Ink,
    /// Its sheets, in order.
    pub sheets: Vec<Sheet>,
    /// What could not be printed as it was written, in sentences: characters that the fonts do not have.
    pub lost: Vec<String>,
}

/// Puts a job on sheets.
pub fn set(facts: &Facts<'_>, wanted: &Wanted) -> Set {
    let document = facts.document();
    let scene = draw(&document.network, &document.placement);
    let findings: &[Finding] = if wanted.marks { facts.findings() } else { &[] };
    let mut overlay = Overlay::of_findings(findings);
    if let Some(situation) = &wanted.readings {
        let request = Request { revision: 0, situation: situation.clone(), load: None };
        let answer = facts.prepared().at_once(&request);
        overlay = overlay.with_readings(&situation.name, &document.network, &answer);
    }
    let marks = overlay::marks(&scene, &overlay);
    let under = sheet_of(&scene, &overlay, &SvgOptions::of(document, String::new()));
    let to = (-under.paper.left, -under.paper.top);
    let mut all: Vec<Mark> = Vec::new();
    for shape in &under.shapes {
        let look = look(role_of(shape), Status::New, wanted.ink);
        all.push(Mark { shape: shape.moved(to.0, to.1), look });
    }
    for (shape, look) in scene.elements().iter().chain(&marks).flat_map(|element| looks(element, wanted.ink))
    {
        all.push(Mark { shape: shape.moved(to.0, to.1), look });
    }
    let sheet = Sheet {
        name: "Circuit".to_owned(),
        width: under.paper.width(),
        height: under.paper.height(),
        marks: all,
    };
    Set {
        title: document.card.title.clone(),
        author: document.card.drawn_by.clone(),
        ink: wanted.ink,
        sheets: vec![sheet],
        lost: Vec::new(),
    }
}
