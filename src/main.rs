//! The program: see [`pacewright::cli`].

fn main() -> std::process::ExitCode {
    pacewright::cli::main()
}
