use std::os::unix::fs::symlink;

use tempfile::TempDir;

use super::*;
use crate::pure::civil::ZoneSource;

/// A machine of our own below a temporary folder: `zoneinfo/` and `etc/`.
struct Machine {
    folder: TempDir,
}

/// A zone file (TZif version 2, RFC 8536) without any change, with a footer rule.
fn zone_file(offset_s: i32, rule: &str) -> Vec<u8> {
    let header = |version: u8| {
        let mut bytes = b"TZif".to_vec();
        bytes.push(version);
        bytes.extend([0; 15]);
        for count in [0_u32, 0, 0, 0, 1, 4] {
            bytes.extend(count.to_be_bytes());
        }
        bytes.extend(offset_s.to_be_bytes());
        bytes.extend([0, 0]);
        bytes.extend(b"OWN\0");
        bytes
    };
    let mut bytes = header(b'2');
    bytes.extend(header(b'2'));
    bytes.extend(format!("\n{rule}\n").bytes());
    bytes
}

impl Machine {
    fn new() -> Self {
        let folder = tempfile::tempdir().expect("temporary folder");
        fs::create_dir_all(folder.path().join("etc")).expect("folder");
        let machine = Self { folder };
        machine.write("zoneinfo/Made/Up", &zone_file(3600, "OWN-1"));
        machine.write("zoneinfo/Made/Other", &zone_file(7200, "OWN-2"));
        machine
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn write(&self, name: &str, bytes: &[u8]) {
        let path = self.path(name);
        fs::create_dir_all(path.parent().expect("parent")).expect("folder");
        fs::write(path, bytes).expect("write");
    }

    fn files(&self, variable: Option<&str>) -> ZoneFiles {
        ZoneFiles::at(&self.path("zoneinfo"), &self.path("etc"), variable)
    }
}

#[test]
fn the_machines_file_comes_first_and_the_tables_stand_in() {
    let machine = Machine::new();
    let files = machine.files(None);
    assert_eq!(
        files.load("Made/Up").expect("own zone").source(),
        ZoneSource::System
    );
    assert_eq!(
        files.load("Europe/Oslo").expect("known").source(),
        ZoneSource::Embedded
    );
    machine.write("zoneinfo/Europe/Oslo", &zone_file(3600, "OWN-1"));
    assert_eq!(
        files.load("Europe/Oslo").expect("known").source(),
        ZoneSource::System
    );
    machine.write("zoneinfo/Europe/Oslo", b"TZif2 cut short");
    assert!(files.system_file("Europe/Oslo").is_err());
    assert_eq!(
        files.load("Europe/Oslo").expect("known").source(),
        ZoneSource::Embedded
    );
}

#[test]
fn names_stay_inside_the_folder() {
    let machine = Machine::new();
    machine.write("outside", &zone_file(3600, "OWN-1"));
    machine.write("zoneinfo/posixrules", &zone_file(3600, "OWN-1"));
    machine.write("zoneinfo/right/Made/Up", &zone_file(3600, "OWN-1"));
    machine.write("zoneinfo/tzdata.zi", b"# version 2031c\n");
    let files = machine.files(None);
    let absolute = machine.path("outside");
    for name in [
        "../outside",
        "Made/../../outside",
        "Made/./Up",
        "Made//Up",
        "/Made/Up",
        "Made/Up/",
        "Made",
        "",
        ".",
        "posixrules",
        "right/Made/Up",
        "tzdata.zi",
        "Made/Up\0",
        "Mars/Olympus",
        absolute.to_str().expect("text"),
    ] {
        assert!(!files.knows(name), "{name:?}");
        assert_eq!(files.system_file(name), Ok(None), "{name:?}");
    }
    assert!(files.knows("Made/Up") && files.knows("Europe/Oslo") && files.knows("UTC"));
    assert!(
        files
            .load("../outside")
            .expect_err("refused")
            .to_string()
            .contains("Write a name")
    );
}

#[test]
fn broken_files_are_errors_and_never_a_panic() {
    let machine = Machine::new();
    let whole = zone_file(3600, "OWN-1OWS,M3.5.0,M10.5.0/3");
    machine.write("zoneinfo/Made/Broken", &whole);
    assert!(machine.files(None).knows("Made/Broken"));
    for end in 0..whole.len() - 1 {
        // The footer may be missing altogether, but never a part of what the header counts.
        machine.write("zoneinfo/Made/Broken", &whole[..end]);
        let read = machine.files(None).system_file("Made/Broken");
        assert!(
            read.is_err(),
            "cut after {end} of {} octets was read",
            whole.len()
        );
    }
    for at in 0..whole.len() {
        let mut changed = whole.clone();
        changed[at] ^= 0xff;
        machine.write("zoneinfo/Made/Broken", &changed);
        let _ = machine.files(None).load("Made/Broken");
    }
}

#[test]
fn the_variable_wins() {
    let machine = Machine::new();
    symlink(
        machine.path("zoneinfo/Made/Up"),
        machine.path("etc/localtime"),
    )
    .expect("link");
    let by = |text: &str| machine.files(Some(text)).system();
    let path = machine.path("zoneinfo/Made/Other");
    let path = path.to_str().expect("text");
    for text in ["Made/Other", ":Made/Other", path, &format!(":{path}")] {
        let found = by(text);
        assert_eq!(found.zone.name(), "Made/Other", "{text}");
        assert_eq!(found.found_by, FoundBy::Variable);
        assert!(!found.follows_travel());
    }
    assert_eq!(by("").zone.name(), "UTC");
    let rule = by("CET-1CEST,M3.5.0,M10.5.0/3");
    let summer = "2026-07-01T00:00:00Z".parse().expect("instant");
    assert_eq!(rule.zone.offset_at(summer).local_minus_utc(), 7200);
    let wrong = by("Nowhere/Land");
    assert_eq!(wrong.zone.name(), "Made/Up");
    assert_eq!(wrong.found_by, FoundBy::Link);
    assert!(wrong.complaint.expect("complaint").contains("Nowhere/Land"));
}

#[test]
fn without_the_variable_link_then_name_then_rules() {
    let machine = Machine::new();
    let now = || machine.files(None).system();
    let nothing = now();
    assert_eq!(nothing.found_by, FoundBy::Nowhere);
    assert_eq!(nothing.zone.name(), "UTC");
    assert!(
        nothing
            .complaint
            .expect("complaint")
            .contains("settings.toml")
    );

    machine.write("etc/localtime", &zone_file(1800, "OWN-0:30"));
    let unnamed = now();
    assert_eq!(unnamed.found_by, FoundBy::PlainFile);
    assert_eq!(
        unnamed
            .zone
            .offset_at(Instant::UNIX_EPOCH)
            .local_minus_utc(),
        1800
    );

    machine.write("etc/timezone", b"# set by hand\nMade/Other\n");
    assert_eq!(now().found_by, FoundBy::NameFile);
    assert_eq!(now().zone.name(), "Made/Other");

    // Links relative to their folder, and over another link.
    fs::remove_file(machine.path("etc/localtime")).expect("remove");
    symlink("../zoneinfo/Made/Up", machine.path("etc/step")).expect("link");
    symlink("step", machine.path("etc/localtime")).expect("link");
    assert_eq!(now().found_by, FoundBy::Link);
    assert_eq!(now().zone.name(), "Made/Up");
    assert!(now().complaint.is_none() && now().follows_travel());

    // A link in a circle ends.
    fs::remove_file(machine.path("etc/step")).expect("remove");
    symlink("localtime", machine.path("etc/step")).expect("link");
    assert_eq!(now().found_by, FoundBy::NameFile);
}

#[test]
fn a_link_to_a_second_copy_has_the_plain_name() {
    let machine = Machine::new();
    machine.write("zoneinfo/posix/Made/Up", &zone_file(3600, "OWN-1"));
    symlink(
        machine.path("zoneinfo/posix/Made/Up"),
        machine.path("etc/localtime"),
    )
    .expect("link");
    assert_eq!(machine.files(None).system().zone.name(), "Made/Up");
}

#[test]
fn the_choice_of_the_settings() {
    let machine = Machine::new();
    machine.write("etc/timezone", b"Made/Other\n");
    let files = machine.files(None);
    let name = |choice| files.choose(&choice).map(|zone| zone.name().to_owned());
    assert_eq!(name(ZoneChoice::System), Ok("Made/Other".to_owned()));
    assert_eq!(
        name(ZoneChoice::Named("Made/Up".into())),
        Ok("Made/Up".to_owned())
    );
    assert!(name(ZoneChoice::Named("Made/Down".into())).is_err());
}

#[test]
fn versions_and_differences() {
    let machine = Machine::new();
    let files = machine.files(None);
    assert_eq!(files.versions().system, None);
    assert!(files.versions().embedded.starts_with("20"));
    machine.write("zoneinfo/+VERSION", b"2031b\n");
    assert_eq!(files.versions().system.as_deref(), Some("2031b"));
    machine.write("zoneinfo/tzdata.zi", b"# version 2031c\nR d 1916 o\n");
    assert_eq!(files.versions().system.as_deref(), Some("2031c"));

    // Oslo without summer time, as if it had been given up: differs from the change on 29 March 2026.
    machine.write("zoneinfo/Europe/Oslo", &zone_file(3600, "OWN-1"));
    let at = |text: &str| text.parse::<Instant>().expect("instant");
    let (from, until) = (at("2026-01-01T00:00:00Z"), at("2027-01-01T00:00:00Z"));
    let differs = files
        .differs("Europe/Oslo", from, until)
        .expect("they differ");
    assert_eq!(differs.first, at("2026-03-29T01:00:00Z"));
    assert_eq!(differs.system.local_minus_utc(), 3600);
    assert_eq!(differs.embedded.local_minus_utc(), 7200);
    assert_eq!(
        files.differs("Europe/Oslo", from, at("2026-03-29T01:00:00Z")),
        None
    );
    // Only one of the two knows these.
    assert_eq!(files.differs("Made/Up", from, until), None);
    assert_eq!(files.differs("Europe/Berlin", from, until), None);
}
