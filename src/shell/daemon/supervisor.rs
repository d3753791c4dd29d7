//! systemd, where it runs the service: what it is told, how programs are started outside the unit, and
//! whether there is a unit to start.

use std::path::{Path, PathBuf};
use std::process::Command;

use sd_notify::NotifyState;

use crate::shell::home::Home;

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

/// Whether a user manager runs that knows the unit. A home in a folder of its own is not the unit's.
pub fn is_managed(home: &Home) -> bool {
    let managed = std::env::var_os("XDG_RUNTIME_DIR")
        .is_some_and(|folder| Path::new(&folder).join("systemd/private").exists());
    managed && !home.single && unit_folders(home).iter().any(|folder| has_unit(folder))
}

/// What a person types to start the service of a home: the unit, where a user manager knows it.
pub fn start_command(home: &Home) -> &'static str {
    if is_managed(home) {
        "systemctl --user enable --now evenfall.service"
    } else {
        "evenfall daemon"
    }
}

/// Where a user manager looks for units, see systemd.unit(5).
fn unit_folders(home: &Home) -> Vec<PathBuf> {
    let own = [&home.config, &home.data]
        .into_iter()
        .flat_map(|folder| folder.parent());
    own.chain([
        Path::new("/etc"),
        Path::new("/usr/local/lib"),
        Path::new("/usr/lib"),
    ])
    .map(|folder| folder.join("systemd/user"))
    .collect()
}

fn has_unit(folder: &Path) -> bool {
    folder.join("evenfall.service").exists()
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

    #[test]
    fn units_of_the_person_and_of_the_machine_are_looked_for() {
        let folder = tempfile::tempdir().expect("a folder");
        let home = Home {
            config: folder.path().join("config/evenfall"),
            data: folder.path().join("data/evenfall"),
            runtime: folder.path().join("run/evenfall"),
            single: false,
        };
        let own = folder.path().join("config/systemd/user");
        assert!(unit_folders(&home).contains(&own));
        assert!(unit_folders(&home).contains(&PathBuf::from("/usr/lib/systemd/user")));
        assert!(!has_unit(&own));
        std::fs::create_dir_all(&own).expect("a folder");
        std::fs::write(own.join("evenfall.service"), "").expect("a unit");
        assert!(has_unit(&own));
    }

    #[test]
    fn a_home_in_a_folder_of_its_own_is_started_by_hand() {
        let home = Home::at(Path::new("/somewhere"));
        assert_eq!(start_command(&home), "evenfall daemon");
    }
}
