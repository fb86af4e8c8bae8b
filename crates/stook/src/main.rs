//! The command line: arguments to a typed request, a call, a printed result. No arithmetic here.
//!
//! stdout is the answer, stderr is conversation. Exit codes: 0 done, 1 the work says no (an account
//! that is not square, a book with findings, a load rejected), 2 bad usage or input.

mod act;
mod act_book;
mod act_calc;
mod act_field;
mod act_ready;
mod act_serve;
mod act_speed;
mod act_stop;
mod act_yield;
mod args;
mod args_account;
mod args_field;
mod args_ready;
mod args_speed;
mod args_write;
mod args_yield;
mod clock;
mod page;
mod print;
mod print_night;
mod progress;

use clap::Parser;
use print::Out;
use std::process::ExitCode;

fn main() -> ExitCode {
    let typed = match args::Typed::try_parse() {
        Ok(typed) => typed,
        Err(why) => return print::usage(&why),
    };
    let mut out = Out::new(&typed);
    match act::act(&typed, &mut out) {
        Ok(code) => {
            out.flush();
            ExitCode::from(code)
        }
        Err(why) => {
            out.flush();
            print::complain(&why);
            ExitCode::from(2)
        }
    }
}
