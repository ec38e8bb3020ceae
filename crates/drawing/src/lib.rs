//! From a job to a picture of it, in two steps: a scene of absolute shapes, then SVG text.
//!
//! ```text
//! Network + Placement ──lay_out──> poses ──route──> paths ──draw──> Scene ──svg──> text
//! ```
//!
//! * [`layout`] gives a place to every symbol that has none.
//! * [`route`](mod@route) finds an orthogonal path for every wire.
//! * [`draw`](mod@draw) puts symbols, paths and lettering together.
//! * [`scene`] is what comes out: shapes with roles, keyed by what they stand for.
//! * [`overlay`] adds readings and marks of findings without touching the scene.
//! * [`board`] keeps a drawing up to date while its job is edited, and [`hit`] finds what lies at a point.
//! * [`style`] says what each role looks like, whoever writes it.
//! * [`sheet`] and [`svg`](mod@svg) put it on paper.
//!
//! Beside all that, [`plan`] draws the vehicle plan, and [`overview`] every symbol there is.
//!
//! Coordinates are whole hundredths of a millimetre.
//! Nothing in here reads a font, the time, or a solution, so the same job gives the same bytes on
//! every target.

pub mod geometry;

pub mod text;

pub mod scene;

pub mod symbol;

mod words;
pub use words::wire_words;

mod label;

mod wire_label;

mod course;

pub mod layout;

pub mod route;

pub mod draw;

pub mod overlay;

pub mod overview;

pub mod sheet;

pub mod style;

pub mod svg;

pub mod plan;

pub mod hit;

pub mod board;

use engine::document::Document;
use engine::kind::Kind;

/// The picture of a job: its parts and wires as they stand in the file, what has no place put
/// where it fits, and `overlay` on top. The job itself is not carried in it; see
/// [`annotated_picture`] for that.
pub fn picture(document: &Document, overlay: &overlay::Overlay) -> String {
    annotated_picture(document, overlay, String::new())
}

/// The same with the job carried in it, as the XML element `job`.
pub fn annotated_picture(document: &Document, overlay: &overlay::Overlay, job: String) -> String {
    let scene = draw::draw(&document.network, &document.placement);
    svg::svg(&scene, overlay, &svg::SvgOptions::of(document, job))
}

/// The symbols of a kind as a small picture of their own, in the color of the text around it.
pub fn symbol_picture(kind: &Kind) -> String {
    svg::symbol_picture(kind)
}
