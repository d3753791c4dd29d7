//! The same work on many numbers at once: four are added and compared in one go.
//!
//! Small code is asked of the compiler, which then leaves loops as they are; what is said here in
//! vectors is quick all the same.

use wide::i32x4;

/// How many numbers are worked on at once: as many as every 64-bit processor can.
const AT_ONCE: usize = 4;

/// The same number under each of several lists of prices, which bound together.
pub(super) type Lanes<const L: usize> = [i32; L];

/// Raises each number to that of another row with something more, where that is greater.
pub(super) fn raise<const L: usize>(to: &mut [Lanes<L>], from: &[Lanes<L>], more: Lanes<L>) {
    const {
        assert!(
            L == 1 || L == AT_ONCE,
            "what is added repeats every four numbers"
        )
    };
    let (to, from) = (to.as_flattened_mut(), from.as_flattened());
    let pattern: [i32; AT_ONCE] = std::array::from_fn(|at| more[at % L]);
    let many = i32x4::new(pattern);
    let (to, to_rest) = to.as_chunks_mut::<AT_ONCE>();
    let (from, from_rest) = from.as_chunks::<AT_ONCE>();
    for (to, from) in to.iter_mut().zip(from) {
        *to = i32x4::new(*to).max(i32x4::new(*from) + many).to_array();
    }
    for ((to, from), more) in to_rest.iter_mut().zip(from_rest).zip(pattern) {
        *to = (*to).max(from + more);
    }
}

/// Adds to each.
pub(super) fn add<const L: usize>(to: &mut Lanes<L>, more: &Lanes<L>) {
    let (to, to_rest) = to.as_chunks_mut::<AT_ONCE>();
    let (more, more_rest) = more.as_chunks::<AT_ONCE>();
    for (to, more) in to.iter_mut().zip(more) {
        *to = (i32x4::new(*to) + i32x4::new(*more)).to_array();
    }
    for (to, more) in to_rest.iter_mut().zip(more_rest) {
        *to += more;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_at_once_are_as_one_by_one() {
        for length in 0..11_i32 {
            let from: Vec<[i32; 1]> = (0..length).map(|at| [7 * at % 5]).collect();
            let before: Vec<[i32; 1]> = (0..length).map(|at| [3 * at % 4]).collect();
            let mut to = before.clone();
            raise(&mut to, &from, [-1]);
            for ((to, from), before) in to.iter().zip(&from).zip(&before) {
                assert_eq!(to[0], before[0].max(from[0] - 1));
            }
        }
        let mut to = [[1, 2, 3, 4], [5, 6, 7, 8]];
        raise(&mut to, &[[0, 0, 0, 0], [9, 9, 9, 9]], [2, 1, 4, -2]);
        assert_eq!(to, [[2, 2, 4, 4], [11, 10, 13, 8]]);
        add(&mut to[0], &[1, 0, -1, 5]);
        assert_eq!(to[0], [3, 2, 3, 9]);
    }
}
