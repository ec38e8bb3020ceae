//! What is known of the job: the last answer about it, and whether that still holds.
//!
//! Answers come later than their questions, and some never come. Everything here is decided by the number of the
//! question that an answer carries, so that no answer is taken for what it is not about.

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
}

impl Answers {
    /// Another job is begun: nothing is known of it, and what is still to come is about the last one.
    pub fn begin(&mut self) {
        *self = Answers { asked: self.asked, first: self.asked + 1, ..Answers::default() };
    }

    /// The next question. From now on only its answer holds.
    pub fn ask(&mut self, situation: Situation, load: Option<PartId>) -> Request {
        self.asked += 1;
        Request { revision: self.asked, situation, load }
    }

    /// Takes an answer.
    pub fn take(&mut self, mut answer: Answer) {
        if answer.revision < self.first {
            return;
        }
        self.failure.clear();
        if answer.checked {
            self.listed = true;
        } else if let Some(last) = self.last.take() {
            // What was found last stays in the list until it is found anew.
            answer.findings = last.findings;
        }
        self.last = Some(answer);
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
}
