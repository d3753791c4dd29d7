//! Compositions that were made already, found again by everything that decides them.

use std::collections::VecDeque;

use super::{Composition, Request, compose};
use crate::pure::routine::{Pattern, Stretch};

/// How many are kept: tonight's, and the lengths and swaps that were tried before it.
const MOST: usize = 8;

/// The newest compositions, each with all that [`compose`] looks at: the same question is answered
/// without composing again, and any other one is never answered with it.
#[derive(Clone, Debug, Default)]
pub struct Memory {
    newest_last: VecDeque<(Question, Composition)>,
    made: u64,
}

#[derive(Clone, Debug, PartialEq)]
struct Question {
    request: Request,
    stretches: Vec<Stretch>,
    pattern: Pattern,
}

impl Memory {
    /// As [`compose`]; composes only what is not kept.
    pub fn compose(
        &mut self,
        request: &Request,
        stretches: &[Stretch],
        pattern: &Pattern,
    ) -> Composition {
        let same = |(question, _): &(Question, Composition)| {
            question.request == *request
                && question.pattern == *pattern
                && question.stretches == stretches
        };
        if let Some((_, composition)) = self.newest_last.iter().find(|kept| same(kept)) {
            return composition.clone();
        }
        let composition = compose(request, stretches, pattern);
        self.made += 1;
        while self.newest_last.len() >= MOST {
            self.newest_last.pop_front();
        }
        let question = Question {
            request: request.clone(),
            stretches: stretches.to_vec(),
            pattern: pattern.clone(),
        };
        self.newest_last.push_back((question, composition.clone()));
        composition
    }

    /// How many were composed so far.
    pub fn made(&self) -> u64 {
        self.made
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pure::avoid::Avoid;
    use crate::pure::region::Region;
    use crate::pure::routine::Library;

    /// One request for each thing that can decide an evening.
    fn requests() -> Vec<Request> {
        let usual = Request {
            seconds: 480,
            ..Request::default()
        };
        let with = |change: fn(&mut Request)| {
            let mut request = usual.clone();
            change(&mut request);
            request
        };
        vec![
            usual.clone(),
            with(|one| one.seconds = 360),
            with(|one| {
                one.trained.insert(Region::Calves, 2);
            }),
            with(|one| {
                one.soreness.insert(Region::Calves, 3);
            }),
            with(|one| {
                one.painful.insert(Region::Calves);
            }),
            with(|one| {
                one.avoid.insert(Avoid::from_id("kneeling").unwrap());
            }),
            with(|one| one.gentle = true),
            with(|one| one.bed_only = true),
        ]
    }

    #[test]
    fn the_same_question_is_composed_once_and_every_other_one_anew() {
        let library = Library::shipped();
        let stretches: Vec<Stretch> = library.stretches.values().cloned().collect();
        let patterns: Vec<&Pattern> = library.patterns.values().take(2).collect();
        let mut memory = Memory::default();
        for _ in 0..3 {
            for request in requests() {
                let given = memory.compose(&request, &stretches, patterns[0]);
                assert_eq!(given, compose(&request, &stretches, patterns[0]));
            }
        }
        assert_eq!(memory.made(), requests().len() as u64);
        let request = &requests()[1];
        memory.compose(request, &stretches, patterns[1]);
        let recent = Request {
            recent: [(stretches[0].id.clone(), 1)].into(),
            ..request.clone()
        };
        memory.compose(&recent, &stretches, patterns[0]);
        memory.compose(request, &stretches[1..], patterns[0]);
        let mut changed = stretches.clone();
        changed[0].hold_s.0 += 5;
        memory.compose(request, &changed, patterns[0]);
        assert_eq!(memory.made(), requests().len() as u64 + 4);
    }

    #[test]
    fn only_the_newest_are_kept() {
        let library = Library::shipped();
        let stretches: Vec<Stretch> = library.stretches.values().take(4).cloned().collect();
        let pattern = library.patterns.values().next().unwrap();
        let mut memory = Memory::default();
        let request = |seconds| Request {
            seconds,
            ..Request::default()
        };
        for seconds in 0..20 {
            memory.compose(&request(300 + seconds), &stretches, pattern);
        }
        assert_eq!(memory.newest_last.len(), MOST);
        memory.compose(&request(319), &stretches, pattern);
        assert_eq!(memory.made(), 20);
        memory.compose(&request(300), &stretches, pattern);
        assert_eq!(memory.made(), 21);
    }
}
