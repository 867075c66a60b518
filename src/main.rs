//! The binary: reads the command line and hands over to `clutchline::cli`.

fn main() {}
