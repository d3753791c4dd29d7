//! What the man pages say beside what the definitions of the command line know.

/// A name and its meaning.
pub type Entry = (&'static str, &'static str);

/// Date of the newest release, read from the changelog so that a page made twice is the same twice.
pub fn released() -> String {
    let changelog = include_str!("../changelog");
    let signed = changelog
        .lines()
        .find(|line| line.starts_with(" -- "))
        .unwrap_or_default();
    let stamp = signed.rsplit("  ").next().unwrap_or_default();
    chrono::DateTime::parse_from_rfc2822(stamp)
        .map(|date| date.format("%Y-%m-%d").to_string())
        .unwrap_or_default()
}

/// Where a person's files are.
pub const FILES: &[Entry] = &[
    (
        "~/.config/evenfall/settings.toml",
        "Bedtimes, minutes of the evening, prompts, what to leave out.",
    ),
    (
        "~/.config/evenfall/block.toml",
        "The block: the planned weeks of training.",
    ),
    (
        "~/.config/evenfall/routines/",
        "Stretches, patterns and evenings of your own or your coach's, added to those that come with evenfall.",
    ),
    (
        "~/.local/share/evenfall/diary.db",
        "The diary, readable by you alone; daily copies are beside it.",
    ),
    (
        "$XDG_RUNTIME_DIR/evenfall/",
        "Socket and lock of the running service.",
    ),
    (
        "/usr/lib/systemd/user/evenfall.service",
        "The service for systemd's user manager: systemctl --user enable --now evenfall.service.",
    ),
    (
        "/etc/xdg/autostart/evenfall.desktop",
        "Starts the service in a desktop session without systemd's user manager, once there is a settings file.",
    ),
];

/// What is read from the environment.
pub const ENVIRONMENT: &[Entry] = &[
    (
        "EVENFALL_HOME",
        "One folder with everything, as --home DIR; the option counts more.",
    ),
    (
        "XDG_CONFIG_HOME, XDG_DATA_HOME, XDG_RUNTIME_DIR",
        "Where the files above are, in place of ~/.config, ~/.local/share and the runtime folder of the session.",
    ),
    (
        "TZ",
        "A zone in place of the machine's own, where the settings say timezone = \"system\".",
    ),
    (
        "DBUS_SESSION_BUS_ADDRESS",
        "The session bus on which notifications are shown.",
    ),
];

/// What a command's end means.
pub const EXIT_STATUS: &[Entry] = &[
    ("0", "Done."),
    ("1", "Failed; the message says what helps."),
    (
        "2",
        "The arguments, a file or a value is wrong, said with its place and what to write instead. Nothing was changed.",
    ),
];

const JUDGES_NOTHING: &str =
    "This tool cannot judge injuries or illness, and it never says that training is safe.";
const EMERGENCY: &str = "With chest pain, fainting, severe breathlessness, dark urine after hard exercise or any other \
    warning sign call your local emergency number. See a clinician about pain that is not ordinary muscle soreness and \
    about sleep that stays bad.";
const BEFORE: &str = "See a clinician before starting if you have a known heart, lung, metabolic or kidney condition, \
    are pregnant, or had surgery recently.";
const BREATHING: &str = "Breathe without straining, never in water, standing or driving; breathe normally and stop if \
    you feel dizzy, tingling, short of breath or anxious. Stretch to a mild pull, never into pain.";

/// The cautions of a command's page.
pub fn cautions(command: &str) -> &'static [&'static str] {
    match command {
        "evenfall" => &[JUDGES_NOTHING, EMERGENCY, BEFORE, BREATHING],
        "evenfall follow" | "evenfall tonight" | "evenfall routine" | "evenfall routine sound" => {
            &[JUDGES_NOTHING, BEFORE, BREATHING]
        }
        "evenfall morning" | "evenfall train" | "evenfall pain" | "evenfall today"
        | "evenfall review" => &[JUDGES_NOTHING, EMERGENCY],
        "evenfall roster" | "evenfall share" | "evenfall compare" => &[JUDGES_NOTHING],
        _ => &[],
    }
}

/// Paragraphs that follow a command's first sentence.
pub fn description(command: &str) -> &'static [&'static str] {
    match command {
        "evenfall" => &[
            "In the evening evenfall prompts a wind-down of some minutes, timed back from the planned bedtime: light \
             stretches for what was trained, then paced breathing. It guides the evening in the terminal, on a page of \
             this machine, or by a sound track. In the morning it records the night and four ratings; from these it \
             works out readiness and what that means for the planned session, always with the reason and never above \
             the plan. Over the weeks it looks back.",
            "Settings, block and routines are plain files; evenfall check names every slip with its line, its column \
             and what to write instead. Without a settings file the defaults are in force. Nothing leaves the machine.",
        ],
        "evenfall daemon" => &[
            "Shows the prompts and listens for their answers until it is asked to stop. A home has one service: a \
             second one says so and ends. Under systemd's user manager it is evenfall.service. Changed settings, \
             blocks and routines are taken over at once; there is nothing to reload.",
        ],
        "evenfall doctor" => &[
            "Ends with status 1 when something it found would stop prompts; what helps stands beside each finding.",
        ],
        _ => &[],
    }
}
