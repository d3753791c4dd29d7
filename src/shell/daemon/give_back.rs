//! What starting up and showing a prompt needed is given back.
//!
//! Reading arguments, files and the store touches a great part of the program's code that a service which
//! sleeps until the evening does not use again, and a prompt touches another. The kernel would keep those
//! pages counted as the service's own until memory is short. They are pages of files that nobody changed, so
//! nothing is lost: one that is needed after all is mapped again from the page cache.

use std::time::Duration;

/// When starting up is over, the desktop's bus included.
pub const BUSY_START: Duration = Duration::from_secs(1);

/// How long after the desktop first said something the service rests again: what comes soon after it, an
/// answer or another prompt, finds all it needs in its place.
pub const BUSY_WITH_A_PROMPT: Duration = Duration::from_secs(60);

/// Gives back what is not needed until something is due. What the kernel refuses stays as it was.
pub fn give_back() {
    #[cfg(target_os = "linux")]
    if let Ok(smaps) = std::fs::read_to_string("/proc/self/smaps") {
        linux::unmapped_again(&smaps);
    }
}

#[cfg(target_os = "linux")]
mod linux {
    use std::ops::Range;

    use rustix::mm::{Advice, madvise};

    #[allow(unsafe_code)]
    pub fn unmapped_again(smaps: &str) {
        for range in unchanged_file_pages(smaps) {
            let start = std::ptr::with_exposed_provenance_mut(range.start);
            // SAFETY: the range is a mapping of this process that is not writable and has no page of its
            // own (`unchanged_file_pages`). Each of its pages is one of the file and comes back as it was
            // at the next access, so that no value behind any reference changes.
            let _ = unsafe { madvise(start, range.len(), Advice::LinuxDontNeed) };
        }
    }

    /// The mappings of files that can be dropped without a trace: not writable, and without one changed
    /// page. Data that the loader relocated and then protected is not writable either, but has pages of
    /// its own. The layout is that of proc_pid_smaps(5).
    pub fn unchanged_file_pages(smaps: &str) -> Vec<Range<usize>> {
        let mut found = Vec::new();
        let mut current = None;
        for line in smaps.lines() {
            if let Some(range) = heading(line) {
                current = range;
            } else if let Some(kept) = line.strip_prefix("Anonymous:") {
                let unchanged = kept.trim() == "0 kB";
                found.extend(current.take().filter(|_| unchanged));
            }
        }
        found
    }

    /// Of the first line of a mapping: its range, if it is of a file and not writable. `None` for other lines.
    fn heading(line: &str) -> Option<Option<Range<usize>>> {
        let mut words = line.split_ascii_whitespace();
        let (start, end) = words.next()?.split_once('-')?;
        let address = |digits| usize::from_str_radix(digits, 16).ok();
        let range = address(start)?..address(end)?;
        let rights = words.next()?;
        let of_file = words.nth(2).is_some_and(|inode| inode != "0");
        Some(Some(range).filter(|_| of_file && rights.starts_with("r-") && rights.ends_with('p')))
    }

    #[cfg(test)]
    mod tests {
        use super::*;

        #[test]
        fn only_unchanged_pages_of_files_are_given_back() {
            let smaps = "\
1000-3000 r--p 00000000 fe:00 77 /usr/bin/evenfall\nSize: 8 kB\nAnonymous:             0 kB\nVmFlags: rd\n\
3000-9000 r-xp 00002000 fe:00 77 /usr/bin/evenfall\nAnonymous:             0 kB\n\
9000-a000 r--p 00008000 fe:00 77 /usr/bin/evenfall\nAnonymous:             4 kB\n\
a000-b000 rw-p 00009000 fe:00 77 /usr/bin/evenfall\nAnonymous:             0 kB\n\
b000-c000 r--s 00000000 fe:00 78 /home/diary.db-shm\nAnonymous:             0 kB\n\
c000-d000 r--p 00000000 00:00 0 [vvar]\nAnonymous:             0 kB\n";
            assert_eq!(
                unchanged_file_pages(smaps),
                [0x1000..0x3000, 0x3000..0x9000]
            );
        }

        #[test]
        fn this_program_goes_on_after_giving_back() {
            let smaps = std::fs::read_to_string("/proc/self/smaps").expect("smaps");
            assert!(unchanged_file_pages(&smaps).len() > 2, "{smaps}");
            unmapped_again(&smaps);
            assert_eq!(format!("{:.3}", 2.0_f64.sqrt()), "1.414");
        }
    }
}
