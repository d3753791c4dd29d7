//! evenfall: arguments in, exit code out.

use std::process::ExitCode;

fn main() -> ExitCode {
    evenfall::shell::cli::main(std::env::args_os())
}
