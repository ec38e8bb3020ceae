//! Questions and answers as text, between a program that shows a job and one that computes.
//!
//! A question is one line of JSON, then the job as its file has it: so the job is neither escaped nor parsed to find
//! out that it is still the same. An answer is one JSON object with short keys whose rows are lists, because it is read
//! after every change and never by a person. Both ends are of one build, so there is no version; what does not fit is
//! still refused at its place. `read_answer(write_answer(a)) == a`.

use serde_json::{Map, Value as Json, json};

use super::place::Place;
use super::walk::{Fields, each, expected, flag, list, object, text};
use super::{Problem, ReadError, syntax};
use crate::answer::{Answer, LitPath, PartReading, Request, Told, WireReading, Words};
use crate::document::Situation;
use crate::finding::Severity;
use crate::ids::{PartId, TerminalRef, WireId};
use crate::subject::Subject;

/// The question about a job as text; `job` is the text of the job, as [`super::write_json`] writes it.
pub fn write_request(job: &str, request: &Request) -> String {
    let set: Map<String, Json> =
        request.situation.set.iter().map(|(id, at)| (id.to_string(), json!(at))).collect();
    let head = json!({
        "revision": request.revision,
        "situation": request.situation.name,
        "set": set,
        "load": request.load.as_ref().map(PartId::as_str),
        "manual": request.manual,
    });
    format!("{head}\n{job}")
}

/// Reads a question; beside it the text of the job, which [`super::read_json`] reads.
pub fn read_request(text: &str) -> Result<(Request, &str), ReadError> {
    let (head, job) =
        text.split_once('\n').ok_or_else(|| Problem::new(String::new(), "the job is missing".to_owned()))?;
    let head = syntax::parse(head)?;
    let fields = Fields::of(&head, &Place::Job, &["revision", "situation", "set", "load", "manual"])?;
    let set = fields.required("set", |value, place| {
        let entries = object(value, place)?.iter();
        entries.map(|(key, at)| Ok((part_id(key, place)?, text_of(at, &place.key(key))?))).collect()
    })?;
    let request = Request {
        revision: fields.required("revision", revision)?,
        situation: Situation { name: fields.text("situation")?, set },
        load: fields.required("load", |value, place| unless_null(value, place, part))?,
        manual: fields.required("manual", |value, place| unless_null(value, place, text_of))?,
    };
    Ok((request, job))
}

/// An answer as text.
pub fn write_answer(answer: &Answer) -> String {
    let findings = answer.findings.iter().map(|told| {
        let because: Vec<Json> =
            told.because.iter().map(|(about, title, text)| json!([subject(about), title, text])).collect();
        json!([
            told.severity.word(),
            told.check,
            subject(&told.subject),
            told.title,
            told.message,
            because,
            told.limits,
            told.help,
            told.source
        ])
    });
    let wires = answer
        .wires
        .iter()
        .map(|wire| json!([wire.id.as_str(), wire.amps, wire.drop, wire.share, wire.flow, wire.assumed]));
    let parts = answer.parts.iter().map(|part| {
        let loads: Vec<Json> =
            part.loads.iter().map(|(name, state, of_load)| json!([name, state, words(of_load)])).collect();
        let contact = part.contact.as_ref().map(words);
        json!([part.id.as_str(), part.state, words(&part.words), loads, contact, part.assumed])
    });
    let path = answer.path.as_ref().map(|path| {
        json!([strings(&path.parts), strings(&path.wires), strings(&path.blocked_by), path.words])
    });
    let mut object = Map::new();
    let mut put = |key: &str, value: Json| object.insert(key.to_owned(), value);
    put("revision", json!(answer.revision));
    put("verdict", json!(answer.verdict));
    put("words", json!(answer.verdict_words));
    put("checked", json!(answer.checked));
    put("findings", findings.collect());
    put("wires", wires.collect());
    put("parts", parts.collect());
    put("terminals", answer.terminals.iter().map(|(at, volts)| json!([at.to_string(), volts])).collect());
    put("opening", answer.opening.iter().map(|(id, text)| json!([id.as_str(), text])).collect());
    put("assumed", answer.assumptions.iter().map(|(about, text)| json!([subject(about), text])).collect());
    put("path", json!(path));
    put("manual", json!(answer.manual));
    Json::Object(object).to_string()
}

/// That there is no answer, and why, as text in the place of an answer.
pub fn write_failure(why: &str) -> String {
    json!({ "failure": why }).to_string()
}

/// Reads an answer. A failure is an error with its own words.
pub fn read_answer(text: &str) -> Result<Answer, ReadError> {
    let value = syntax::parse(text)?;
    let keys = [
        "revision",
        "verdict",
        "words",
        "checked",
        "findings",
        "wires",
        "parts",
        "terminals",
        "opening",
        "assumed",
        "path",
        "manual",
        "failure",
    ];
    let fields = Fields::of(&value, &Place::Job, &keys)?;
    if let Some(why) = fields.optional("failure", text_of)? {
        return Err(Problem::new(String::new(), why).into());
    }
    Ok(Answer {
        revision: fields.required("revision", revision)?,
        verdict: fields.required("verdict", text_of)?,
        verdict_words: fields.required("words", text_of)?,
        checked: fields.required("checked", flag)?,
        findings: rows(&fields, "findings", told)?,
        wires: rows(&fields, "wires", wire_reading)?,
        parts: rows(&fields, "parts", part_reading)?,
        terminals: rows(&fields, "terminals", |row| Ok((row.next(terminal)?, row.maybe(text_of)?)))?,
        opening: rows(&fields, "opening", |row| Ok((row.next(part)?, row.next(text_of)?)))?,
        assumptions: rows(&fields, "assumed", |row| Ok((row.next(about)?, row.next(text_of)?)))?,
        path: fields.required("path", |value, place| unless_null(value, place, lit_path))?,
        manual: fields.required("manual", |value, place| unless_null(value, place, text_of))?,
    })
}

fn strings<T: ToString>(list: &[T]) -> Vec<String> {
    list.iter().map(ToString::to_string).collect()
}

/// The sort of subject in one letter, and its id.
fn subject(subject: &Subject) -> String {
    format!("{}{}", &subject.key()[..1], subject.id())
}

fn words(words: &Words) -> Json {
    json!([words.volts, words.amps, words.watts, words.flow])
}

fn about(value: &Json, place: &Place) -> Result<Subject, Problem> {
    let text = text_of(value, place)?;
    let (sort, id) = text.split_at_checked(1).unwrap_or(("", ""));
    let found = match sort {
        "p" => PartId::new(id).map(Subject::Part),
        "t" => TerminalRef::parse(id).map(Subject::Terminal),
        "w" => WireId::new(id).map(Subject::Wire),
        "n" => TerminalRef::parse(id).map(Subject::Net),
        _ => None,
    };
    found.ok_or_else(|| expected("a subject", value, place))
}

fn part_id(id: &str, place: &Place) -> Result<PartId, Problem> {
    PartId::new(id).ok_or_else(|| place.problem("expected the id of a part"))
}

fn part(value: &Json, place: &Place) -> Result<PartId, Problem> {
    part_id(value.as_str().unwrap_or_default(), place)
}

fn wire(value: &Json, place: &Place) -> Result<WireId, Problem> {
    value.as_str().and_then(WireId::new).ok_or_else(|| expected("the id of a wire", value, place))
}

fn terminal(value: &Json, place: &Place) -> Result<TerminalRef, Problem> {
    value.as_str().and_then(TerminalRef::parse).ok_or_else(|| expected("a terminal", value, place))
}

/// Under another name, because `text` is a good name for what is read.
fn text_of(value: &Json, place: &Place) -> Result<String, Problem> {
    text(value, place)
}

fn float(value: &Json, place: &Place) -> Result<f64, Problem> {
    value.as_f64().ok_or_else(|| expected("a number", value, place))
}

fn revision(value: &Json, place: &Place) -> Result<u64, Problem> {
    value.as_u64().ok_or_else(|| expected("a count", value, place))
}

fn unless_null<T>(
    value: &Json,
    place: &Place,
    read: impl FnOnce(&Json, &Place) -> Result<T, Problem>,
) -> Result<Option<T>, Problem> {
    if value.is_null() { Ok(None) } else { read(value, place).map(Some) }
}

/// The entries of a list one after the other.
struct Row<'a> {
    place: &'a Place<'a>,
    entries: &'a [Json],
    at: usize,
}

impl<'a> Row<'a> {
    fn of(value: &'a Json, place: &'a Place<'a>) -> Result<Row<'a>, Problem> {
        Ok(Row { place, entries: list(value, place)?, at: 0 })
    }

    fn next<T>(&mut self, read: impl FnOnce(&Json, &Place) -> Result<T, Problem>) -> Result<T, Problem> {
        let at = self.at;
        self.at += 1;
        let entry = self.entries.get(at).ok_or_else(|| self.place.problem("the list is too short"))?;
        read(entry, &self.place.item(at))
    }

    fn maybe<T>(
        &mut self,
        read: impl FnOnce(&Json, &Place) -> Result<T, Problem>,
    ) -> Result<Option<T>, Problem> {
        self.next(|value, place| unless_null(value, place, read))
    }

    fn many<T>(&mut self, read: impl Fn(&Json, &Place) -> Result<T, Problem>) -> Result<Vec<T>, Problem> {
        self.next(|value, place| all(value, place, read))
    }

    fn end(&self) -> Result<(), Problem> {
        match self.entries.len() > self.at {
            true => Err(self.place.problem("the list is too long")),
            false => Ok(()),
        }
    }
}

/// What `read` makes of each entry of a list; the first problem ends it.
fn all<T>(
    value: &Json,
    place: &Place,
    read: impl Fn(&Json, &Place) -> Result<T, Problem>,
) -> Result<Vec<T>, Problem> {
    let mut problems = Vec::new();
    let made = each(value, place, &mut problems, |value, place, problems| {
        read(value, place).map_err(|problem| problems.push(problem)).ok()
    });
    match problems.into_iter().next() {
        Some(first) => Err(first),
        None => Ok(made),
    }
}

/// The rows under `key`, each read to its end.
fn rows<T>(
    fields: &Fields,
    key: &str,
    read: impl Fn(&mut Row) -> Result<T, Problem>,
) -> Result<Vec<T>, Problem> {
    fields.required(key, |value, place| all(value, place, |value, place| whole_row(value, place, &read)))
}

fn whole_row<T>(
    value: &Json,
    place: &Place,
    read: impl Fn(&mut Row) -> Result<T, Problem>,
) -> Result<T, Problem> {
    let mut row = Row::of(value, place)?;
    let made = read(&mut row)?;
    row.end()?;
    Ok(made)
}

fn told(row: &mut Row) -> Result<Told, Problem> {
    Ok(Told {
        severity: row.next(|value, place| {
            let meant = Severity::ALL.into_iter().find(|one| value.as_str() == Some(one.word()));
            meant.ok_or_else(|| expected("a severity", value, place))
        })?,
        check: row.next(text_of)?,
        subject: row.next(about)?,
        title: row.next(text_of)?,
        message: row.next(text_of)?,
        because: row.many(|value, place| {
            whole_row(value, place, |row| Ok((row.next(about)?, row.next(text_of)?, row.next(text_of)?)))
        })?,
        limits: row.maybe(text_of)?,
        help: row.many(text_of)?,
        source: row.next(text_of)?,
    })
}

fn wire_reading(row: &mut Row) -> Result<WireReading, Problem> {
    Ok(WireReading {
        id: row.next(wire)?,
        amps: row.maybe(text_of)?,
        drop: row.maybe(text_of)?,
        share: row.maybe(text_of)?,
        flow: row.maybe(float)?,
        assumed: row.next(flag)?,
    })
}

fn part_reading(row: &mut Row) -> Result<PartReading, Problem> {
    Ok(PartReading {
        id: row.next(part)?,
        state: row.maybe(text_of)?,
        words: row.next(read_words)?,
        loads: row.many(|value, place| {
            whole_row(value, place, |row| {
                Ok((row.next(text_of)?, row.maybe(text_of)?, row.next(read_words)?))
            })
        })?,
        contact: row.maybe(read_words)?,
        assumed: row.next(flag)?,
    })
}

fn read_words(value: &Json, place: &Place) -> Result<Words, Problem> {
    whole_row(value, place, |row| {
        Ok(Words {
            volts: row.maybe(text_of)?,
            amps: row.maybe(text_of)?,
            watts: row.maybe(text_of)?,
            flow: row.maybe(float)?,
        })
    })
}

fn lit_path(value: &Json, place: &Place) -> Result<LitPath, Problem> {
    whole_row(value, place, |row| {
        Ok(LitPath {
            parts: row.many(part)?,
            wires: row.many(wire)?,
            blocked_by: row.many(part)?,
            words: row.many(text_of)?,
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::answer;
    use crate::file::{read_json, write_json};

    /// Jobs with findings, races, twin lamps and everything else there is, with the load asked for.
    const JOBS: [(&str, &str); 3] = [
        (include_str!("../../../../fixtures/jobs/apiary-flatbed-as-bought.json"), "E3"),
        (include_str!("../../../../fixtures/jobs/honey-stall-trailer.json"), "M1"),
        (include_str!("../../../../fixtures/files/v1/first-job.json"), "lamp"),
    ];

    fn request(load: &str) -> Request {
        Request {
            revision: 41,
            situation: Situation::at_rest(),
            load: PartId::new(load),
            manual: Some("unfused-run".to_owned()),
        }
    }

    #[test]
    fn questions_read_back_as_written() {
        for (job, load) in JOBS {
            let document = read_json(job).unwrap();
            let mut asked = request(load);
            for situation in document.situations.iter().chain([&Situation::at_rest()]) {
                asked.situation = situation.clone();
                let text = write_request(&write_json(&document), &asked);
                let (read, job) = read_request(&text).unwrap();
                assert_eq!(read, asked);
                assert_eq!(read_json(job).unwrap(), document);
            }
        }
        let least = Request { load: None, manual: None, ..request("x") };
        assert_eq!(read_request(&write_request("{}", &least)).unwrap(), (least, "{}"));
    }

    #[test]
    fn answers_read_back_as_written() {
        for (job, load) in JOBS {
            let document = read_json(job).unwrap();
            for situation in document.situations.iter().chain([&Situation::at_rest()]) {
                let mut told = answer(&document, &Request { situation: situation.clone(), ..request(load) });
                assert_eq!(read_answer(&write_answer(&told)).unwrap(), told);
                told.manual = None;
                told.path = None;
                assert_eq!(read_answer(&write_answer(&told)).unwrap(), told);
            }
        }
        assert_eq!(read_answer(&write_answer(&Answer::default())).unwrap(), Answer::default());
    }

    #[test]
    fn every_sort_of_subject_reads_back_as_written() {
        let at = TerminalRef::parse("K1.30").unwrap();
        for one in [
            Subject::Part(PartId::new("K1").unwrap()),
            Subject::Wire(WireId::new("w1").unwrap()),
            Subject::Terminal(at.clone()),
            Subject::Net(at),
        ] {
            assert_eq!(about(&json!(subject(&one)), &Place::Job).unwrap(), one);
        }
    }

    #[test]
    fn a_failure_keeps_its_words() {
        let error = read_answer(&write_failure("parts[3].id: missing")).unwrap_err();
        assert_eq!(error.to_string(), "parts[3].id: missing");
    }

    #[test]
    fn what_does_not_fit_is_refused_at_its_place() {
        let whole: Json = serde_json::from_str(&write_answer(&Answer::default())).unwrap();
        let told_of = |key: &str, value: Json| {
            let mut changed = whole.clone();
            changed[key] = value;
            read_answer(&changed.to_string()).unwrap_err().to_string()
        };
        assert_eq!(told_of("wires", json!([["w1"]])), "wires[0]: the list is too short");
        let long = json!([["w1", null, null, null, null, false, 1]]);
        assert_eq!(told_of("wires", long), "wires[0]: the list is too long");
        let wrong = json!([["w1", null, null, null, "1", false]]);
        assert_eq!(told_of("wires", wrong), "wires[0][4]: expected a number, found the text `1`; write 1");
        assert_eq!(told_of("verdict", json!(1)), "verdict: expected a text, found the number 1");
        assert!(told_of("assumed", json!([["", "x"]])).starts_with("assumed[0][0]: expected a subject"));
        assert!(read_request("{}").is_err() && read_request("{}\n").is_err());
    }
}
