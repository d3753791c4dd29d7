//! How much goes wrong.

/// One kind of misfortune.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The service is killed, and started again after a while.
    Kill,
    /// The machine is off for a while, and every notification is gone.
    Reboot,
    /// The power goes: as after a reboot, and of what was written without waiting for the disk the end is lost.
    PowerCut,
    /// The machine sleeps, from seconds to days.
    Suspend,
    /// The clock is set by up to 26 hours either way, and put right again some time later.
    ClockSet,
    /// The machine is in another zone, for good or for a while.
    Zone,
    /// The person edits the settings.
    Edit,
    /// The notification server goes and another comes.
    ServerGone,
    /// The notification server takes calls and answers none, for a while or until it is killed.
    ServerHangs,
}

impl Fault {
    /// Every kind.
    pub const ALL: [Self; 9] = [
        Self::Kill,
        Self::Reboot,
        Self::PowerCut,
        Self::Suspend,
        Self::ClockSet,
        Self::Zone,
        Self::Edit,
        Self::ServerGone,
        Self::ServerHangs,
    ];

    /// Its name in the figures.
    pub fn name(self) -> &'static str {
        match self {
            Self::Kill => "kills",
            Self::Reboot => "reboots",
            Self::PowerCut => "power cuts",
            Self::Suspend => "suspends",
            Self::ClockSet => "clock sets",
            Self::Zone => "zone changes",
            Self::Edit => "edits",
            Self::ServerGone => "servers gone",
            Self::ServerHangs => "servers hung",
        }
    }
}

/// How much goes wrong, and how often the person answers.
#[derive(Clone, Copy, Debug)]
pub struct Weather {
    /// Milliseconds between two faults, from and to; none for calm.
    pub fault_every: Option<(i64, i64)>,
    /// Which faults.
    pub faults: &'static [Fault],
    /// One step in so many is cut off between two of its effects; 0 = none.
    pub kill_inside: u64,
    /// Milliseconds between two commands, from and to; 0 = none are typed.
    pub command_every: (i64, i64),
    /// Reactions to so many of a hundred notifications.
    pub presence: u64,
}

const MINUTE: i64 = 60_000;
const HOUR: i64 = 60 * MINUTE;

impl Weather {
    /// Nothing goes wrong.
    pub const CALM: Self = Self {
        fault_every: None,
        faults: &[],
        kill_inside: 0,
        command_every: (0, 0),
        presence: 60,
    };

    /// A fault every two days or so, as on a laptop with a hard life.
    pub const FAIR: Self = Self {
        fault_every: Some((HOUR, 96 * HOUR)),
        faults: &Fault::ALL,
        kill_inside: 400,
        command_every: (HOUR, 72 * HOUR),
        presence: 60,
    };

    /// Faults upon faults, also within one evening.
    pub const STORM: Self = Self {
        fault_every: Some((MINUTE, 4 * HOUR)),
        faults: &Fault::ALL,
        kill_inside: 25,
        command_every: (MINUTE, 6 * HOUR),
        presence: 50,
    };

    /// One kind of fault alone, often.
    pub const fn only(faults: &'static [Fault]) -> Self {
        Self {
            fault_every: Some((5 * MINUTE, 20 * HOUR)),
            faults,
            kill_inside: 0,
            command_every: (0, 0),
            presence: 60,
        }
    }

    /// The person types while the server hangs: what it shows afterwards was answered meanwhile.
    pub const HUNG_AND_IMPATIENT: Self = Self {
        fault_every: Some((5 * MINUTE, 2 * HOUR)),
        faults: &[Fault::ServerHangs],
        kill_inside: 0,
        command_every: (MINUTE, 20 * MINUTE),
        presence: 10,
    };

    /// Kills in the middle of a step while the clock goes to and fro.
    pub const CUT_OFF_BY_A_WRONG_CLOCK: Self = Self {
        fault_every: Some((5 * MINUTE, 3 * HOUR)),
        faults: &[Fault::ClockSet],
        kill_inside: 6,
        command_every: (0, 0),
        presence: 10,
    };

    /// Whether nothing goes wrong and nobody types.
    pub fn is_calm(&self) -> bool {
        self.fault_every.is_none() && self.kill_inside == 0 && self.command_every.1 == 0
    }
}
