//! Changes to an input: octet by octet, word by word, line by line, with what has broken readers before.

use crate::support::chance::Chance;

/// Longest input that is made, octets.
const LONGEST: usize = 160 * 1024;

/// Makes inputs from inputs.
pub struct Changer {
    chance: Chance,
    inputs: Vec<Vec<u8>>,
    words: Vec<&'static [u8]>,
}

impl Changer {
    /// From a seed, inputs to start from, and words of the format.
    pub fn new(seed: u64, inputs: Vec<Vec<u8>>, words: Vec<&'static [u8]>) -> Self {
        assert!(!inputs.is_empty() && !words.is_empty());
        Self {
            chance: Chance::new(seed),
            inputs,
            words,
        }
    }

    /// The next input.
    pub fn next(&mut self) -> Vec<u8> {
        let mut input = self.chance.pick(&self.inputs).clone();
        for _ in 0..=self.chance.below(4) {
            self.change(&mut input);
        }
        input.truncate(LONGEST);
        input
    }

    fn at(&mut self, input: &[u8]) -> usize {
        usize::try_from(self.chance.below(input.len() as u64 + 1)).expect("small")
    }

    /// A short span of an input.
    fn span(&mut self, input: &[u8]) -> (usize, usize) {
        let from = self.at(input);
        let most = (input.len() - from).min(200) as u64;
        let length = usize::try_from(self.chance.below(most + 1)).expect("small");
        (from, from + length)
    }

    fn word(&mut self) -> Vec<u8> {
        let all = if self.chance.one_in(2) {
            &self.words
        } else {
            super::words::ANY
        };
        self.chance.pick(all).to_vec()
    }

    fn change(&mut self, input: &mut Vec<u8>) {
        match self.chance.below(10) {
            0 => self.flip(input),
            1 => {
                let (from, to) = self.span(input);
                input.drain(from..to);
            }
            2 => {
                let (from, to) = self.span(input);
                let again: Vec<u8> = input[from..to].to_vec();
                let at = self.at(input);
                input.splice(at..at, again);
            }
            3 => {
                let (at, word) = (self.at(input), self.word());
                input.splice(at..at, word);
            }
            4 => {
                let at = self.at(input);
                input.truncate(at);
            }
            5 => self.another(input),
            6 => self.repeat(input),
            7 => self.lines(input),
            _ => self.value(input),
        }
    }

    fn flip(&mut self, input: &mut [u8]) {
        if input.is_empty() {
            return;
        }
        for _ in 0..=self.chance.below(8) {
            let at = self.at(&input[1..]);
            input[at] = match self.chance.below(3) {
                0 => input[at] ^ (1 << self.chance.below(8)),
                1 => input[at].wrapping_add(1),
                _ => u8::try_from(self.chance.below(256)).expect("octet"),
            };
        }
    }

    /// The end of another input on the beginning of this one.
    fn another(&mut self, input: &mut Vec<u8>) {
        let other = self.chance.pick(&self.inputs).clone();
        let (at, from) = (self.at(input), self.at(&other));
        input.truncate(at);
        input.extend_from_slice(&other[from..]);
    }

    /// A word or a span, very often.
    fn repeat(&mut self, input: &mut Vec<u8>) {
        let (from, to) = self.span(input);
        let what = if self.chance.one_in(2) {
            self.word()
        } else {
            input[from..to].to_vec()
        };
        let times = usize::try_from(self.chance.spread(2, 4096)).expect("positive");
        let times = times.min(LONGEST / what.len().max(1));
        input.splice(from..from, what.repeat(times));
    }

    /// A line twice, gone, or in another place.
    fn lines(&mut self, input: &mut Vec<u8>) {
        let mut lines: Vec<&[u8]> = input.split_inclusive(|octet| *octet == b'\n').collect();
        if lines.is_empty() {
            return;
        }
        let pick = |chance: &mut Chance, lines: &[&[u8]]| {
            usize::try_from(chance.below(lines.len() as u64)).expect("small")
        };
        let (one, other) = (
            pick(&mut self.chance, &lines),
            pick(&mut self.chance, &lines),
        );
        match self.chance.below(3) {
            0 => lines.insert(other, lines[one]),
            1 => drop(lines.remove(one)),
            _ => lines.swap(one, other),
        }
        *input = lines.concat();
    }

    /// A value - what stands between two marks - becomes another.
    fn value(&mut self, input: &mut Vec<u8>) {
        let marks: Vec<usize> = (0..input.len())
            .filter(|at| b"=:,;\"'[]{} \n&|".contains(&input[*at]))
            .collect();
        if marks.len() < 2 {
            return;
        }
        let one = usize::try_from(self.chance.below(marks.len() as u64 - 1)).expect("small");
        let word = self.word();
        input.splice(marks[one] + 1..marks[one + 1].max(marks[one] + 1), word);
    }
}
