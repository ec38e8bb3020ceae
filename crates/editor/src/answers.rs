//! What is known of the job: the last answer about it, whether that still holds, and the manuals that were asked for.
//!
//! Answers come later than their questions, and some never come. Everything here is decided by the number of the
//! question that an answer carries, so that no answer is taken for what it is not about.

use std::collections::BTreeMap;

use engine::answer::{Answer, Request};
use engine::document::Situation;
use engine::ids::PartId;

/// What was answered, and what is asked.
#[derive(Debug, Default)]
pub struct Answers {
    last: Option<Answer>,
    /// Whether the findings in the last answer are those of a check of this job, be it an earlier one.
    listed: bool,
    failure: String,
    /// The number of the question whose answer would hold now.
    asked: u64,
    /// The number of the first question about this job.
    first: u64,
    manuals: BTreeMap<String, String>,
    /// Manuals that are waited for, the one asked for at present first.
    wished: Vec<String>,
}

impl Answers {
    /// Another job is begun: nothing is known of it, and what is still to come is about the last one.
    pub fn begin(&mut self) {
        let manuals = std::mem::take(&mut self.manuals);
        *self = Answers { asked: self.asked, first: self.asked + 1, manuals, ..Answers::default() };
    }

    /// The next question. From now on only its answer holds.
    pub fn ask(&mut self, situation: Situation, load: Option<PartId>) -> Request {
        self.asked += 1;
        Request { revision: self.asked, situation, load, manual: self.wished.first().cloned() }
    }

    /// Takes an answer; tells whether to ask again, for a manual that it left out.
    pub fn take(&mut self, mut answer: Answer) -> bool {
        if let Some((name, manual)) = answer.manual.take() {
            self.wished.retain(|wished| *wished != name);
            self.manuals.insert(name, manual);
        } else if answer.revision == self.asked && !self.wished.is_empty() {
            // There is no manual of that name.
            self.wished.remove(0);
        }
        let asks_again = answer.revision == self.asked && !self.wished.is_empty();
        if answer.revision < self.first {
            return asks_again;
        }
        self.failure.clear();
        if answer.checked {
            self.listed = true;
        } else if let Some(last) = self.last.take() {
            // What was found last stays in the list until it is found anew.
            answer.findings = last.findings;
        }
        self.last = Some(answer);
        asks_again
    }

    /// There is no answer, and why. No old number is shown as if it were the new one.
    pub fn fail(&mut self, why: &str) {
        self.last = None;
        self.listed = false;
        self.failure = why.to_owned();
    }

    /// The number of the last question.
    pub fn asked(&self) -> u64 {
        self.asked
    }

    /// Why nothing is known; empty while nothing went wrong.
    pub fn failure(&self) -> &str {
        &self.failure
    }

    /// The last answer about this job, whether it still holds or not.
    pub fn last(&self) -> Option<&Answer> {
        self.last.as_ref()
    }

    /// The answer, while its readings belong to the job as it is.
    pub fn fresh(&self) -> Option<&Answer> {
        self.last.as_ref().filter(|answer| answer.revision == self.asked)
    }

    /// The answer, while its findings belong to the job as it is too: they come after the readings.
    pub fn checked(&self) -> Option<&Answer> {
        self.fresh().filter(|answer| answer.checked)
    }

    /// Whether the findings of [`Answers::last`] come from a check of this job; none at all then means that an earlier
    /// state of it at least had none.
    pub fn listed(&self) -> bool {
        self.listed
    }

    /// Wishes for the manual of a check or a kind; tells whether to ask for it.
    pub fn wish_for(&mut self, name: &str) -> bool {
        let is_missing = !self.manuals.contains_key(name);
        if is_missing && !self.wished.iter().any(|wished| wished == name) {
            self.wished.push(name.to_owned());
        }
        is_missing
    }

    /// The manual of this name, once it was told.
    pub fn manual(&self, name: &str) -> Option<&str> {
        self.manuals.get(name).map(String::as_str)
    }

    /// How many manuals there are.
    pub fn n_manuals(&self) -> usize {
        self.manuals.len()
    }
}

#[cfg(test)]
mod tests {
    use engine::document::Document;
    use engine::file::read_json;

    use super::*;

    /// A job with findings.
    const JOB: &str = include_str!("../../../fixtures/jobs/apiary-flatbed-as-bought.json");

    fn ask(answers: &mut Answers) -> Request {
        answers.ask(Situation::at_rest(), None)
    }

    fn told(request: &Request) -> Answer {
        engine::answer::answer(&read_json(JOB).unwrap(), request)
    }

    fn at_once(request: &Request) -> Answer {
        engine::answer::Prepared::new(&Document::default()).at_once(request)
    }

    #[test]
    fn only_the_answer_to_the_last_question_holds() {
        let mut answers = Answers::default();
        let first = ask(&mut answers);
        let second = ask(&mut answers);
        answers.take(told(&first));
        assert!(answers.last().is_some() && answers.fresh().is_none());
        answers.take(at_once(&second));
        assert!(answers.fresh().is_some() && answers.checked().is_none());
        answers.take(told(&second));
        assert!(answers.checked().is_some());
    }

    #[test]
    fn findings_stay_in_the_list_until_they_are_found_anew() {
        let mut answers = Answers::default();
        let request = ask(&mut answers);
        assert!(!answers.listed());
        answers.take(told(&request));
        let found = answers.last().unwrap().findings.clone();
        assert!(!found.is_empty());
        let request = ask(&mut answers);
        answers.take(at_once(&request));
        assert_eq!(answers.last().unwrap().findings, found);
        assert!(answers.listed() && answers.checked().is_none());
    }

    #[test]
    fn an_answer_about_the_job_before_is_not_taken_for_the_new_one() {
        let mut answers = Answers::default();
        let old = ask(&mut answers);
        answers.begin();
        assert!(answers.last().is_none());
        answers.take(told(&old));
        assert!(answers.last().is_none() && !answers.listed());
        let new = ask(&mut answers);
        answers.take(told(&old));
        answers.take(at_once(&new));
        assert_eq!(answers.fresh().map(|answer| answer.findings.len()), Some(0));
    }

    #[test]
    fn a_new_job_has_not_failed() {
        let mut answers = Answers::default();
        ask(&mut answers);
        answers.fail("out of memory");
        assert_eq!((answers.failure(), answers.last()), ("out of memory", None));
        answers.begin();
        assert_eq!(answers.failure(), "");
    }

    #[test]
    fn a_manual_is_kept_under_the_name_it_comes_with() {
        let mut answers = Answers::default();
        let before = ask(&mut answers);
        assert!(answers.wish_for("relay"));
        let relay = ask(&mut answers);
        // The answer to the question before says nothing of it, and the wish stays.
        answers.take(told(&before));
        assert!(answers.wish_for("fuse") && answers.wish_for("fuse"));
        assert_eq!(ask(&mut answers).manual.as_deref(), Some("relay"));
        answers.take(told(&relay));
        assert!(answers.manual("relay").unwrap().starts_with("A plug-in relay"));
        assert_eq!(answers.manual("fuse"), None);
        assert!(!answers.wish_for("relay"));
    }

    #[test]
    fn what_an_answer_left_out_is_asked_for_again_and_once_only() {
        let mut answers = Answers::default();
        answers.wish_for("relay");
        answers.wish_for("no such thing");
        answers.wish_for("fuse");
        let request = ask(&mut answers);
        assert!(answers.take(told(&request)));
        let request = ask(&mut answers);
        assert!(answers.take(told(&request)));
        let request = ask(&mut answers);
        assert!(!answers.take(told(&request)));
        assert_eq!(answers.n_manuals(), 2);
        assert_eq!(ask(&mut answers).manual, None);
    }

    #[test]
    fn a_manual_is_still_wanted_after_the_worker_broke_down() {
        let mut answers = Answers::default();
        answers.wish_for("relay");
        ask(&mut answers);
        answers.fail("it stopped");
        assert_eq!(ask(&mut answers).manual.as_deref(), Some("relay"));
    }
}
