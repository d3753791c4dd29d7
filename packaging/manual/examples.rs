//! Examples of the man pages: what is typed, and what it does.

/// A line as it is typed, and what it does.
pub type Example = (&'static str, &'static str);

/// The examples of a command's page.
pub fn examples_of(command: &str) -> &'static [Example] {
    ALL.iter()
        .find(|(name, _)| *name == command)
        .map_or(&[], |(_, examples)| examples)
}

/// Every command with its examples; dates and people are made up.
const ALL: &[(&str, &[Example])] = &[
    (
        "evenfall",
        &[
            (
                "evenfall setup",
                "Answer a few questions; settings and block are written.",
            ),
            (
                "evenfall daemon",
                "The service, in a terminal that stays open.",
            ),
            (
                "evenfall tonight",
                "When to start, which stretches and why, when lights out is.",
            ),
            (
                "evenfall morning --sleep 3 --fresh 4 --sore 3 --mood 3",
                "Record the morning by four ratings.",
            ),
            (
                "evenfall today",
                "Readiness, and today's session as planned and as suggested.",
            ),
            (
                "evenfall --at 2026-01-05T18:00 --json tonight",
                "The plan as it stands on that evening, for a machine.",
            ),
        ],
    ),
    (
        "evenfall setup",
        &[(
            "evenfall setup --defaults --starts 2026-01-05",
            "Ask nothing; the block begins on that Monday.",
        )],
    ),
    (
        "evenfall tonight",
        &[("evenfall tonight", "Tonight's plan with its reasons.")],
    ),
    (
        "evenfall routine",
        &[("evenfall routine list", "Everything in the library.")],
    ),
    (
        "evenfall routine list",
        &[(
            "evenfall routine list --region calves --position standing",
            "Standing stretches for the calves.",
        )],
    ),
    (
        "evenfall routine show",
        &[(
            "evenfall routine show longer_out_4_6",
            "One pattern, in words.",
        )],
    ),
    (
        "evenfall routine timeline",
        &[(
            "evenfall --json routine timeline tonight",
            "The cues of tonight, in milliseconds.",
        )],
    ),
    (
        "evenfall routine count",
        &[(
            "evenfall routine count",
            "Press the space bar at each breath.",
        )],
    ),
    (
        "evenfall routine sound",
        &[(
            "evenfall routine sound tonight tonight.flac",
            "Tonight's evening as a track, and its words beside it.",
        )],
    ),
    (
        "evenfall block",
        &[(
            "evenfall block shift 7",
            "A week off: all that is planned from today on moves by a week.",
        )],
    ),
    (
        "evenfall block shift",
        &[(
            "evenfall block shift 3 --from 2026-02-02",
            "What is planned from that Monday on moves by three days.",
        )],
    ),
    (
        "evenfall check",
        &[(
            "evenfall check",
            "Every slip in settings, block and routine files, at once.",
        )],
    ),
    (
        "evenfall daemon",
        &[(
            "evenfall --home ./trial daemon",
            "A service of its own for the files in one folder.",
        )],
    ),
    (
        "evenfall doctor",
        &[(
            "evenfall doctor",
            "What would stop prompts, and what helps.",
        )],
    ),
    (
        "evenfall status",
        &[(
            "evenfall status",
            "What is next, and which zone data are in use.",
        )],
    ),
    (
        "evenfall agenda",
        &[(
            "evenfall agenda --from 2026-03-28 --days 2",
            "The prompts around a clock change.",
        )],
    ),
    (
        "evenfall follow",
        &[
            ("evenfall follow", "Tonight's evening."),
            (
                "evenfall follow --plain",
                "Plain lines, for a screen reader.",
            ),
            (
                "evenfall follow longer_out_4_6 --pace 20",
                "One pattern, rehearsed in a few seconds.",
            ),
        ],
    ),
    (
        "evenfall morning",
        &[
            (
                "evenfall morning",
                "A few questions about the night that ended last.",
            ),
            (
                "evenfall morning --lights-out 22:50 --asleep-after 15 --woke 06:20 --up 06:30 --sleep 4",
                "The times of the night, and how the sleep was.",
            ),
            ("evenfall morning --as-usual", "Everything as usual."),
        ],
    ),
    (
        "evenfall train",
        &[
            (
                "evenfall train --rpe 7 --minutes 40",
                "The planned session, with its effort and minutes.",
            ),
            ("evenfall train --rest", "Nothing was trained."),
        ],
    ),
    (
        "evenfall pain",
        &[
            (
                "evenfall pain --in knee_left --level 4 --kind sharp",
                "A sharp pain in the left knee.",
            ),
            ("evenfall pain --over knee_left", "It is over."),
            ("evenfall pain --signs", "The warning signs and their ids."),
        ],
    ),
    (
        "evenfall today",
        &[("evenfall today --keep", "Train as planned anyway.")],
    ),
    (
        "evenfall import",
        &[
            (
                "evenfall import mornings.csv --dry-run",
                "Say what would be taken in.",
            ),
            (
                "evenfall import training.ics --write",
                "Training days from a calendar.",
            ),
        ],
    ),
    (
        "evenfall export",
        &[
            (
                "evenfall export all copy.evenfall",
                "Everything in one archive; import restores it.",
            ),
            (
                "evenfall export nights nights.ics --days 14",
                "The coming nights, for a calendar.",
            ),
        ],
    ),
    (
        "evenfall later",
        &[(
            "evenfall later 20",
            "The standing prompt again in 20 minutes.",
        )],
    ),
    (
        "evenfall not-tonight",
        &[("evenfall not-tonight", "No wind-down tonight.")],
    ),
    (
        "evenfall review",
        &[("evenfall review --weeks 4", "The last four weeks.")],
    ),
    (
        "evenfall share",
        &[(
            "evenfall share for-coach.html --with load --without notes",
            "A page and a csv for the coach.",
        )],
    ),
    (
        "evenfall roster",
        &[(
            "evenfall roster ./received --stopped-after 3",
            "Who has not answered for three days.",
        )],
    ),
    (
        "evenfall compare",
        &[(
            "evenfall compare show",
            "How a comparison is set up, and what was drawn so far.",
        )],
    ),
    (
        "evenfall compare plan",
        &[(
            "evenfall compare plan --a longer_out_4_6 --b none --outcome minutes_to_fall_asleep",
            "Longer out-breaths against no evening, over six pairs of nights.",
        )],
    ),
    (
        "evenfall compare result",
        &[("evenfall compare result", "What came out.")],
    ),
    (
        "evenfall compare show",
        &[("evenfall compare show", "The nights drawn so far.")],
    ),
    (
        "evenfall compare stop",
        &[("evenfall compare stop", "Nothing is drawn any more.")],
    ),
    (
        "evenfall shift-bedtime",
        &[(
            "evenfall shift-bedtime --to 22:00 --by 2026-01-20",
            "Bedtime moves there in small steps.",
        )],
    ),
    (
        "evenfall travel",
        &[(
            "evenfall travel --zone America/New_York --from 2026-03-02 --to 2026-03-09",
            "A week on the clock of New York.",
        )],
    ),
    (
        "evenfall page",
        &[("evenfall page --open", "Open the page in the browser.")],
    ),
];

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use clap::{CommandFactory, Parser};
    use evenfall::shell::cli::Arguments;

    use super::*;
    use crate::page;

    #[test]
    fn every_example_is_accepted_by_the_command_line_it_explains() {
        for (command, examples) in ALL {
            for (line, _) in *examples {
                assert!(
                    *command == crate::NAME
                        || line
                            .replace("--json ", "")
                            .contains(command.trim_start_matches("evenfall ")),
                    "{line} is no example of {command}"
                );
                if let Err(error) = Arguments::try_parse_from(line.split(' ')) {
                    panic!("{line}: {error}");
                }
            }
        }
    }

    #[test]
    fn every_command_has_an_example_and_none_is_for_a_command_that_is_gone() {
        let commands: BTreeSet<String> = page::commands(&Arguments::command())
            .iter()
            .map(|command| page::typed(command).to_owned())
            .collect();
        let explained: BTreeSet<String> = ALL
            .iter()
            .map(|(command, _)| (*command).to_owned())
            .collect();
        assert_eq!(explained, commands);
    }

    #[test]
    fn the_pages_carry_the_date_and_the_version_of_the_newest_release() {
        let changelog = include_str!("../changelog");
        let version = format!("evenfall ({}) ", env!("CARGO_PKG_VERSION"));
        assert!(
            changelog.starts_with(&version),
            "packaging/changelog has to begin with {version}"
        );
        assert_eq!(crate::words::released().len(), 10);
    }
}
