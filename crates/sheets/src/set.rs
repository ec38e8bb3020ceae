//! What a set is, and how it is put together.

use std::collections::BTreeSet;

use drawing::geometry::Rect;
use drawing::overlay::Overlay;
use drawing::scene::Shape;
use drawing::style::{Ink, Look};
use drawing::text::{clean, is_in_font};
use engine::answer::Request;
use engine::document::{Card, Situation};
use engine::file::workshop::Picture;
use engine::finding::Finding;

use crate::facts::Facts;
use crate::flow::Part;
use crate::letterhead::Letterhead;
use crate::page::{self, Page};
use crate::{circuit, cover, flow, labels, lists, plan, png};

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
    /// The picture of the workshop, if it has one.
    pub stamp: Option<Stamp>,
}

/// A picture, and where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// The picture.
    pub picture: Picture,
    /// The index of each sheet that it stands on, and where.
    pub at: Vec<(usize, Rect)>,
}

impl Stamp {
    /// Where it stands on the sheet of this index.
    pub(crate) fn on(&self, sheet: usize) -> impl Iterator<Item = Rect> + '_ {
        self.at.iter().filter(move |(index, _)| *index == sheet).map(|(_, at)| *at)
    }
}

/// Puts a job on sheets: an overview, the circuit, then the lists.
pub fn set(facts: &Facts<'_>, wanted: &Wanted) -> Set {
    let document = facts.document();
    let Wanted { paper, ink, .. } = *wanted;
    let findings: &[Finding] = if wanted.marks { facts.findings() } else { &[] };
    let mut overlay = Overlay::of_findings(findings);
    let readings = wanted.readings.as_ref().map(|situation| {
        let request = Request { revision: 0, situation: situation.clone(), load: None };
        (situation.name.as_str(), facts.prepared().at_once(&request))
    });
    if let Some((name, answer)) = &readings {
        overlay = overlay.with_readings(name, &document.network, answer);
    }
    let of_plan = plan::page(document, paper, ink);
    let groups = lists::groups(facts);
    let lists: Vec<Part<'_>> = groups
        .iter()
        .flat_map(|group| group.tables.iter().map(|table| Part { name: group.name, table }))
        .collect();
    // What was found comes right after the circuit that it is marked on, whichever way round its sheets are.
    let (first, others): (Vec<_>, Vec<_>) =
        lists.into_iter().partition(|part| [lists::INSPECTION, lists::FINDINGS].contains(&part.name));
    // What is to be filled in is one run, before the records of what was filled in.
    let proving = others.iter().position(|part| part.name == lists::PROVING);
    let (before, others) = others.split_at(proving.unwrap_or(others.len()));
    let (proving, after): (Vec<_>, Vec<_>) =
        others.iter().copied().partition(|part| part.name == lists::PROVING);
    let rest: Vec<Page> = one_after_other(&first, before, paper, ink)
        .into_iter()
        .chain(flow::in_one_run(&proving, paper, ink))
        .chain(flow::pages(&after, paper, None, ink))
        .chain(of_plan)
        .chain(labels::pages(&lists::labels(facts), paper, ink))
        .collect();
    let card = facts.card();
    let picture = facts.workshop().and_then(|workshop| workshop.card.picture.as_ref());
    let shown = picture.filter(|picture| png::pixels(&picture.bytes()).is_some());
    let head = facts.workshop().map(|workshop| Letterhead::of(&workshop.card, shown.is_some()));
    let letterhead = head.unwrap_or_default();
    // The circuit comes after the overview, which may take more than one sheet: its references count from there.
    let overview = |before: usize, pages: &[Page], lost: &[String]| {
        let tables = cover::tables(facts, readings.as_ref(), before, pages, lost);
        let parts: Vec<Part<'_>> = tables.iter().map(|table| Part { name: "Overview", table }).collect();
        flow::pages(&parts, paper, Some(letterhead.height()), ink)
    };
    let mut before = 1;
    loop {
        let mut pages = circuit::pages(document, &overlay, paper, before + 1, ink);
        pages.extend(rest.iter().cloned());
        let mut lost = lost(pages.iter().flat_map(|page| &page.marks), card, &letterhead);
        if picture.is_some() && shown.is_none() {
            lost.push("The picture of the workshop is damaged and is left out.".to_owned());
        }
        let mut all = overview(before, &pages, &lost);
        // One more sheet of overview makes no fewer of them, so this comes to an end.
        if all.len() > before {
            before = all.len();
            continue;
        }
        let at: Vec<(usize, Rect)> = (0..)
            .zip(&all)
            .filter_map(|(index, page)| Some((index, letterhead.picture(page::above_block(page.form))?)))
            .collect();
        let stamp = shown.map(|picture| Stamp { picture: picture.clone(), at });
        all.extend(pages);
        return Set {
            title: document.card.title.clone(),
            author: card.drawn_by.clone(),
            ink,
            sheets: page::finished(all, card, &letterhead, ink),
            lost,
            stamp,
        };
    }
}

/// What comes first, then the others: on sheets of their own, unless it takes fewer when the others begin below it.
fn one_after_other(first: &[Part<'_>], others: &[Part<'_>], paper: Paper, ink: Ink) -> Vec<Page> {
    let of = |parts: &[Part<'_>]| flow::pages(parts, paper, None, ink);
    let apart: Vec<Page> = of(first).into_iter().chain(of(others)).collect();
    let together = of(&[first, others].concat());
    // Lists that lie come after those that stand upright, whichever are wanted first.
    let names: Vec<&str> = first.iter().map(|part| part.table.name).collect();
    let told: Vec<&String> = together.iter().flat_map(|page| &page.holds).collect();
    let n_told = told.iter().filter(|name| names.contains(&name.as_str())).count();
    let is_first = told.iter().take(n_told).all(|name| names.contains(&name.as_str()));
    if together.len() < apart.len() && is_first { together } else { apart }
}

/// What cannot be printed as it was written: the characters that the fonts do not have.
fn lost<'m>(marks: impl Iterator<Item = &'m Mark>, card: &Card, letterhead: &Letterhead) -> Vec<String> {
    let mut missing: BTreeSet<char> = BTreeSet::new();
    let mut look_at = |text: &str| missing.extend(clean(text).chars().filter(|c| !is_in_font(*c)));
    for mark in marks {
        if let Shape::Text(lettering) = &mark.shape {
            look_at(&lettering.text);
        }
    }
    letterhead.texts().for_each(&mut look_at);
    let of_card = [
        &card.title,
        &card.customer,
        &card.vehicle,
        &card.owner,
        &card.drawn_by,
        &card.approved_by,
        &card.date,
        &card.number,
        &card.revision,
    ];
    of_card.into_iter().for_each(|text| look_at(text));
    let mut says = Vec::new();
    // What cannot be drawn at all became this one before it was put on a sheet; nobody wrote it.
    if missing.remove(&char::REPLACEMENT_CHARACTER) {
        says.push(
            "Control characters, and signs that turn the direction of writing, stand as empty boxes."
                .to_owned(),
        );
    }
    if !missing.is_empty() {
        let codes: Vec<String> = missing.into_iter().map(|c| format!("U+{:04X}", u32::from(c))).collect();
        let codes = codes.join(", ");
        says.push(format!(
            "The fonts of this set have no letters for these characters, which stand as empty boxes: {codes}."
        ));
    }
    says
}
