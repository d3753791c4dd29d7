//! systemd, where it runs the service: what it is told, and how programs are started outside the unit.

use std::process::Command;

use sd_notify::NotifyState;

/// Tells systemd how things stand; without systemd nobody listens, and that is no fault.
pub fn tell(state: NotifyState<'_>) {
    let _ = sd_notify::notify(&[state]);
}

/// Whether systemd started this very process. A program that was opened from here, or from a terminal
/// that is a unit itself, inherits the variable but has another process id.
pub fn is_unit() -> bool {
    std::env::var("SYSTEMD_EXEC_PID").is_ok_and(|pid| pid == std::process::id().to_string())
}

/// The command that asks systemd to start a program as a unit of its own. A child of the service would be
/// confined as the service is (a browser cannot build its own sandbox there), would see the session as it
/// was at login, without the display, and would end with the service.
pub fn outside(program: &str, arguments: &[String]) -> Command {
    let mut command = Command::new("systemd-run");
    command.args(["--user", "--collect", "--quiet"]);
    // xdg-open ends at once; the browser it started stays.
    command.arg("--property=KillMode=process");
    // In place of the command line, which may hold the page's address: descriptions are logged.
    command.arg("--description=Opened by evenfall");
    if let Some(home) = std::env::var_os("EVENFALL_HOME") {
        let mut set = std::ffi::OsString::from("--setenv=EVENFALL_HOME=");
        set.push(home);
        command.arg(set);
    }
    command.arg("--").arg(program);
    // systemd replaces $NAME in the arguments of a service; two stand for one.
    command.args(arguments.iter().map(|argument| argument.replace('$', "$$")));
    command
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_opened_from_a_unit_is_a_unit_of_its_own_and_gets_its_arguments_as_they_are() {
        let command = outside("foot", &["-e".to_owned(), "echo $HOME".to_owned()]);
        let words: Vec<_> = command
            .get_args()
            .map(|word| word.to_string_lossy())
            .collect();
        assert_eq!(command.get_program(), "systemd-run");
        assert!(words.contains(&"--property=KillMode=process".into()));
        let last = words
            .iter()
            .position(|word| word == "--")
            .map(|at| &words[at..]);
        assert_eq!(
            last.expect("a separator"),
            ["--", "foot", "-e", "echo $$HOME"]
        );
    }
}
