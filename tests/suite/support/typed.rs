//! The program on a terminal of its own, with somebody typing.

use std::fs::File;
use std::io::{Read, Write};
use std::process::{Command, Stdio};

use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use rustix::termios::{Winsize, tcsetwinsize};

/// Runs a command on a terminal, types the lines, and returns its exit status and everything the
/// terminal showed.
pub fn typed(command: Command, lines: &[&str]) -> (i32, String) {
    typed_on(command, lines, (0, 0))
}

/// The same on a terminal of so many columns and rows; 0 as where none are known.
pub fn typed_on(
    mut command: Command,
    lines: &[&str],
    (columns, rows): (u16, u16),
) -> (i32, String) {
    let ours = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).expect("a terminal");
    grantpt(&ours).expect("grant");
    unlockpt(&ours).expect("unlock");
    let size = Winsize {
        ws_row: rows,
        ws_col: columns,
        ws_xpixel: 0,
        ws_ypixel: 0,
    };
    tcsetwinsize(&ours, size).expect("size");
    let name = ptsname(&ours, Vec::new()).expect("name");
    let path = name.to_str().expect("name").to_owned();
    let open = || {
        let options = File::options().read(true).write(true).open(&path);
        Stdio::from(options.expect("the program's end"))
    };
    let mut child = command
        .stdin(open())
        .stdout(open())
        .stderr(open())
        .spawn()
        .expect("the program starts");
    // The command keeps its own handles on the terminal until it is dropped.
    drop(command);
    let mut ours = File::from(ours);
    let mut text = lines.join("\n");
    // End of input: whoever asks for more than was prepared is not waited for.
    text.push_str("\n\u{4}");
    ours.write_all(text.as_bytes()).expect("typing");
    let mut shown = Vec::new();
    let mut piece = [0; 4096];
    // The last handle on the other side gone, reading fails: that is the end.
    while let Ok(count @ 1..) = ours.read(&mut piece) {
        shown.extend_from_slice(&piece[..count]);
    }
    let status = child.wait().expect("wait");
    let shown = String::from_utf8_lossy(&shown).replace('\r', "");
    (status.code().unwrap_or(-1), shown)
}
