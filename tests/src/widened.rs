//! Inspections against the checks: single values of sound and faulty jobs are made ranges or taken away, and each verdict
//! is compared with what the checks say of the job with the value put back, at many values.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use engine::check::{Context, run_each};
use engine::document::wire::METRIC_SIZES;
use engine::document::{Document, Insulation, Severity, Size, Wire};
use engine::file::read;
use engine::given::Given;
use engine::inspect::{Found, Inspection, Item, Key, Unknown, Verdict, found, inspect};
use engine::kind::{Class, Value};
use engine::laid;
use engine::quantity::{Metres, SquareMillimetres};
use engine::subject::Subject;

use crate::chance::Chance;
use crate::{demonstration, files_in, fixtures, name_of};

/// Values tried of what may have any number in its span.
const FINE: usize = 200;

/// How near to a turning value nothing is asked, as a share of the span: it is found by halving down to less.
const NEAR: f64 = 1e-4;

/// Cases with several unknown values at once, for each job.
const SEVERAL: u64 = 12;

/// A job in which something is not known any more.
pub struct Case {
    /// Which job, and what of it.
    pub name: String,
    /// The job with everything known.
    pub exact: Document,
    /// The same with something unknown.
    pub widened: Document,
}

/// What came of the cases.
#[derive(Clone, Debug, Default)]
pub struct Report {
    /// Jobs with something unknown.
    pub cases: usize,
    /// Jobs on which the checks were run with values put back.
    pub narrowed: usize,
    /// Sure findings, with at least one value unknown.
    pub sure: usize,
    /// Possible findings.
    pub possible: usize,
    /// Those among them that a single value decides.
    pub turning: usize,
    /// Possible findings that stood at every value that was tried.
    pub held_back: usize,
    /// What is wrong, in words.
    pub wrong: Vec<String>,
}

impl Report {
    fn add(&mut self, other: Report) {
        self.cases += other.cases;
        self.narrowed += other.narrowed;
        self.sure += other.sure;
        self.possible += other.possible;
        self.turning += other.turning;
        self.held_back += other.held_back;
        self.wrong.extend(other.wrong);
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Report { cases, narrowed, sure, possible, turning, held_back, wrong } = self;
        writeln!(f, "{cases} jobs with something unknown, {narrowed} with a value put back")?;
        writeln!(
            f,
            "{sure} findings sure, {possible} possible; of these {turning} with their turning value,"
        )?;
        writeln!(f, "{held_back} that stood at every value and are not called sure")?;
        writeln!(f, "{} wrong", wrong.len())?;
        wrong.iter().try_for_each(|line| writeln!(f, "  {line}"))
    }
}

/// All cases of the demonstration jobs.
pub fn cases() -> Vec<Case> {
    let mut all = Vec::new();
    for path in files_in(&fixtures("jobs"), &[".json"]) {
        let bytes = std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let document = read(&bytes).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        // What is assumed of a demonstration job is put in, so that nothing is unknown but what a case says.
        let exact = inspect(&document, &mut |_, _| ()).as_used;
        let single = single(&exact);
        for (what, widened) in &single {
            let name = format!("{}: {what}", name_of(&path));
            all.push(Case { name, exact: exact.clone(), widened: widened.clone() });
        }
        for seed in 0..SEVERAL {
            all.push(several(&exact, seed, &name_of(&path)));
        }
    }
    all
}

/// Changes of a document, with what is not known after each.
type Widening = (String, Box<dyn Fn(&mut Document)>);

fn single(exact: &Document) -> Vec<(String, Document)> {
    let applied = |(what, widen): Widening| {
        let mut document = exact.clone();
        widen(&mut document);
        (what, document)
    };
    widenings(exact).into_iter().map(applied).collect()
}

fn several(exact: &Document, seed: u64, job: &str) -> Case {
    let mut chance = Chance::new(seed);
    let all = widenings(exact);
    let mut widened = exact.clone();
    let mut names = Vec::new();
    for _ in 0..2 + seed % 3 {
        let (what, widen) = &all[chance.below(all.len())];
        widen(&mut widened);
        names.push(what.clone());
    }
    Case { name: format!("{job}: {}", names.join(" and ")), exact: exact.clone(), widened }
}

fn widenings(exact: &Document) -> Vec<Widening> {
    let mut all: Vec<Widening> = Vec::new();
    let of_wire = |index: usize, what: &str, widen: fn(&mut Wire, bool), is_gone: bool| -> Widening {
        let how = if is_gone { "not known" } else { "a range" };
        let change = move |document: &mut Document| {
            widen(&mut Arc::make_mut(&mut document.network).wires[index], is_gone);
        };
        (format!("{what} of wire {} {how}", exact.network.wires[index].title()), Box::new(change))
    };
    for index in 0..exact.network.wires.len() {
        all.push(of_wire(index, "size", size, index % 3 == 0));
        all.push(of_wire(index, "length", length, index % 3 == 1));
        all.push(of_wire(index, "insulation", insulation, true));
    }
    for (index, part) in exact.network.parts.iter().enumerate() {
        let key = match part.kind.class {
            Class::Protection => "rating_a",
            Class::Load => "watts",
            _ => continue,
        };
        let Given::Known(Value::Number(number)) = part.values.get(key) else { continue };
        let is_gone = index % 3 == 0;
        let range = match is_gone {
            true => Given::NotKnown,
            false => Given::Between(Value::Number(number / 2.0), Value::Number(2.0 * number)),
        };
        let change = move |document: &mut Document| {
            Arc::make_mut(&mut document.network).parts[index].values.set(key, range.clone());
        };
        let how = if is_gone { "not known" } else { "a range" };
        all.push((format!("{key} of {} {how}", part.title()), Box::new(change)));
    }
    all
}

/// Two sizes thinner to two sizes thicker.
fn size(wire: &mut Wire, is_gone: bool) {
    let Given::Known(Size::Metric(area)) = wire.size else { return };
    let Some(at) = METRIC_SIZES.iter().position(|mm2| *mm2 == area.get()) else { return };
    let of =
        |at: usize| SquareMillimetres::new(METRIC_SIZES[at.min(METRIC_SIZES.len() - 1)]).map(Size::Metric);
    wire.size = match (of(at.saturating_sub(2)), of(at + 2)) {
        (Some(low), Some(high)) if !is_gone => Given::Between(low, high),
        _ => Given::NotKnown,
    };
}

fn length(wire: &mut Wire, is_gone: bool) {
    let Given::Known(length) = wire.length else { return };
    let of = |share: f64| Metres::new((share * length.get()).clamp(0.05, 40.0));
    wire.length = match (of(0.4), of(2.5)) {
        (Some(low), Some(high)) if !is_gone => Given::Between(low, high),
        _ => Given::NotKnown,
    };
}

fn insulation(wire: &mut Wire, _: bool) {
    wire.insulation = None;
}

/// Tries these cases.
pub fn run<'c>(cases: impl Iterator<Item = &'c Case>) -> Report {
    let mut report = Report::default();
    for case in cases {
        report.add(one(case));
    }
    report
}

/// Tries all of these cases, as many at a time as there are processors.
pub fn run_all(cases: &[Case]) -> Report {
    let n = std::thread::available_parallelism().map_or(1, usize::from);
    let mut report = Report::default();
    std::thread::scope(|scope| {
        let part = |first: usize| scope.spawn(move || run(cases.iter().skip(first).step_by(n)));
        let parts: Vec<_> = (0..n).map(part).collect();
        parts.into_iter().for_each(|part| report.add(part.join().expect("no thread panicked")));
    });
    report.wrong.sort();
    report
}

fn one(case: &Case) -> Report {
    let inspection = inspect(&case.widened, &mut |_, _| ());
    let mut report = Report { cases: 1, ..Report::default() };
    let mut wrong = |what: String| report.wrong.push(format!("{}: {what}", case.name));
    let item_of = |key: &Key| inspection.items.iter().find(|item| item.key() == *key);
    // What is sure while everything is known does not go because less is known.
    for item in inspect(&case.exact, &mut |_, _| ()).items {
        if item_of(&item.key()).is_none() {
            wrong(format!("{:?} of the exact job is not found", item.key()));
        }
    }
    let narrowed = narrowed(&inspection, &case.widened);
    let mut standing: BTreeMap<Key, Vec<bool>> = BTreeMap::new();
    for (number, document) in &narrowed {
        let found = found(document);
        for (key, one) in found.iter().filter(|(_, one)| one.is_head) {
            if item_of(key).is_none_or(|item| item.severity > one.severity) {
                wrong(format!("{key:?} is found with {number:?} and was not, or not so grave"));
            }
        }
        let raw = Raw::of(document);
        for item in &inspection.items {
            let stands = stands(item, &found);
            standing.entry(item.key()).or_default().push(stands);
            if item.verdict == Verdict::Sure && !(stands && raw.names(&item.key())) {
                wrong(format!("{:?} is sure and does not stand with {number:?}", item.key()));
            }
            if item.at_least.is_some() && !raw.names(&item.key()) {
                wrong(format!("{:?} is sure in part and does not stand with {number:?}", item.key()));
            }
            if let ([unknown], [number]) = (&inspection.unknowns[..], &number[..])
                && item.verdict == Verdict::Possible
                && let Some(predicted) = predicted(item, unknown, *number)
                && predicted != stands
            {
                wrong(format!("{:?} at {number} is {stands}, told was {predicted}", item.key()));
            }
        }
    }
    for item in &inspection.items {
        let tried = standing.get(&item.key()).map_or(&[][..], Vec::as_slice);
        let (some, all) = (tried.iter().any(|one| *one), tried.iter().all(|one| *one));
        match item.verdict {
            Verdict::Sure => report.sure += usize::from(!inspection.unknowns.is_empty()),
            _ if inspection.unknowns.len() == 1 && !some => {
                report.wrong.push(format!("{}: {:?} is possible and stands nowhere", case.name, item.key()));
            }
            _ => {
                report.possible += 1;
                report.turning += usize::from(!item.decided_by.is_empty());
                report.held_back += usize::from(all);
                if all && !item.decided_by.is_empty() && inspection.unknowns.len() == 1 {
                    report.wrong.push(format!("{}: {:?} turns nowhere", case.name, item.key()));
                }
            }
        }
    }
    report.narrowed = narrowed.len();
    report
}

fn stands(item: &Item, found: &BTreeMap<Key, Found>) -> bool {
    found.get(&item.key()).is_some_and(|found| found.severity <= item.severity)
}

/// Whether a possible finding was told to stand at a value of the only unknown; `None` right at where it turns.
fn predicted(item: &Item, unknown: &Unknown, number: f64) -> Option<bool> {
    let turn = item.decided_by.first()?;
    let near = if unknown.steps.is_empty() { NEAR * (unknown.span.high - unknown.span.low) } else { 0.0 };
    let is_near = |end: f64| near > 0.0 && (number - end).abs() < near;
    if turn.stands.iter().any(|(from, to)| is_near(*from) || is_near(*to)) {
        return None;
    }
    Some(turn.stands.iter().any(|(from, to)| (*from..=*to).contains(&number)))
}

/// What checks name in a document, without any help of the inspection.
struct Raw(Vec<(&'static str, Vec<Subject>)>);

impl Raw {
    fn of(document: &Document) -> Raw {
        let circuit = laid::circuit(document);
        let context = Context::new(&circuit, &document.situations, &document.interlocks);
        let named = run_each(&context).into_iter().map(|finding| {
            let because = finding.because.into_iter().map(|label| label.subject);
            (finding.check, std::iter::once(finding.subject).chain(because).collect())
        });
        Raw(named.collect())
    }

    /// Whether a check names a thing; a wire that is too hot to carry anything stands no fuse either.
    fn names(&self, (check, subject): &Key) -> bool {
        self.0.iter().any(|(name, subjects)| {
            let is_told =
                name == check || *name == "insulation-too-cool" && *check == "fuse-larger-than-wire";
            is_told && subjects.contains(subject)
        })
    }
}

/// The job with values put back: every one there is of a single unknown, or many of its span; of several, some by
/// chance.
fn narrowed(inspection: &Inspection, widened: &Document) -> Vec<(Vec<f64>, Document)> {
    let mut chance = Chance::new(inspection.unknowns.len() as u64);
    let any = |unknown: &Unknown, chance: &mut Chance| match unknown.steps[..] {
        [] => chance.between(unknown.span.low, unknown.span.high),
        ref steps => chance.one_of(steps).number,
    };
    let numbers: Vec<Vec<f64>> = match &inspection.unknowns[..] {
        [] => return Vec::new(),
        [unknown] if unknown.steps.is_empty() => {
            let even = |i: usize| {
                unknown.span.low + (unknown.span.high - unknown.span.low) * i as f64 / (FINE / 2) as f64
            };
            let random = (0..FINE / 2).map(|_| any(unknown, &mut chance)).collect::<Vec<_>>();
            (0..=FINE / 2).map(even).chain(random).map(|number| vec![number.min(unknown.span.high)]).collect()
        }
        [unknown] => unknown.steps.iter().map(|step| vec![step.number]).collect(),
        several => (0..FINE / 4).map(|_| several.iter().map(|one| any(one, &mut chance)).collect()).collect(),
    };
    let put = |numbers: Vec<f64>| {
        // The status of what is judged is part of the exact job already.
        let mut document = Document { network: Arc::clone(&inspection.as_used.network), ..widened.clone() };
        let network = Arc::make_mut(&mut document.network);
        for (unknown, number) in inspection.unknowns.iter().zip(&numbers) {
            put_back(network, unknown, *number);
        }
        (numbers, document)
    };
    numbers.into_iter().map(put).collect()
}

/// Puts a value back, written a second time.
fn put_back(network: &mut engine::document::Network, unknown: &Unknown, number: f64) {
    match &unknown.subject {
        Subject::Wire(id) => {
            let wire = network.wires.iter_mut().find(|wire| wire.id == *id).expect("the wire is there");
            match unknown.key {
                "size" => {
                    let area = SquareMillimetres::new(number).expect("a size is finite");
                    wire.size = Given::Known(Size::Metric(area));
                }
                "length_m" => wire.length = Given::Known(Metres::new(number).expect("a length is finite")),
                "insulation" => wire.insulation = Some(Insulation::Rated(number)),
                other => panic!("no case makes `{other}` unknown"),
            }
        }
        other => {
            let part = network.parts.iter_mut().find(|part| Some(&part.id) == other.part());
            let part = part.expect("the part is there");
            let key = part.kind.value(unknown.key).expect("the kind has the value").name;
            part.values.set(key, Given::Known(Value::Number(number)));
        }
    }
}

/// The demonstration jobs without a mistake in them, with what an inspection finds that is no mere note.
pub fn sound() -> Vec<(String, Vec<String>)> {
    let names = ["apiary-flatbed", "honey-stall-trailer", "switched-earth-donor"];
    let of = |name: &str| {
        let document = demonstration(name);
        let inspection = inspect(&document, &mut |_, _| ());
        let grave = inspection.items.iter().filter(|item| item.severity != Severity::Note);
        (name.to_owned(), grave.map(|item| item.finding.message.clone()).collect())
    };
    names.into_iter().map(of).collect()
}
