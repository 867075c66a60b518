//! Command statuses of SMPP 3.4 (clause 5.1.3), and what each means for a text that met it.
//!
//! Numbers stay numbers: a status that is not listed is shown as it came.

use crate::links::sending::Meaning;

/// No error.
pub const OK: u32 = 0x00;
/// The message's length is wrong.
pub const BAD_LENGTH: u32 = 0x01;
/// The command's length is wrong.
pub const BAD_COMMAND_LENGTH: u32 = 0x02;
/// No such command.
pub const BAD_COMMAND: u32 = 0x03;
/// Not in this state, such as a text before the bind.
pub const BAD_STATE: u32 = 0x04;
/// Bound already: the old session still lives.
pub const ALREADY_BOUND: u32 = 0x05;
/// A fault of the message centre.
pub const SYSTEM_ERROR: u32 = 0x08;
/// The sender's address is refused.
pub const BAD_SOURCE: u32 = 0x0A;
/// The receiver's address is refused.
pub const BAD_DESTINATION: u32 = 0x0B;
/// The bind failed.
pub const BIND_FAILED: u32 = 0x0D;
/// Wrong password.
pub const BAD_PASSWORD: u32 = 0x0E;
/// Wrong account.
pub const BAD_ACCOUNT: u32 = 0x0F;
/// The message centre's queue is full.
pub const QUEUE_FULL: u32 = 0x14;
/// The text could not be submitted.
pub const SUBMIT_FAILED: u32 = 0x45;
/// Too many in a second.
pub const THROTTLED: u32 = 0x58;
/// We cannot take it now: the message centre is to try again.
pub const RECEIVER_BUSY: u32 = 0x64;
/// We shall never take it: the message centre is not to try again. Only for what is kept raw here.
pub const RECEIVER_REJECTS: u32 = 0x66;
/// The optional parameters do not hold together.
pub const BAD_PARAMETERS: u32 = 0xC0;

/// What a `submit_sm_resp` of this status means. A status that is not listed is a refusal: trying on would not change it.
#[must_use]
pub const fn meaning(status: u32) -> Meaning {
    match status {
        OK => Meaning::Taken,
        THROTTLED | QUEUE_FULL => Meaning::SlowDown,
        SYSTEM_ERROR | SUBMIT_FAILED | BAD_STATE => Meaning::TryAgain,
        _ => Meaning::Refused,
    }
}

/// Whether a bind that met this status needs a person: trying on would look like guessing passwords.
#[must_use]
pub const fn is_refusal_of_account(status: u32) -> bool {
    matches!(status, BIND_FAILED | BAD_PASSWORD | BAD_ACCOUNT)
}

/// The status for people: a word where it has one, the number always.
#[must_use]
pub fn said(status: u32) -> String {
    let word = match status {
        OK => "ok",
        BAD_LENGTH => "message length refused",
        BAD_COMMAND_LENGTH => "command length refused",
        BAD_COMMAND => "command unknown",
        BAD_STATE => "wrong bind state",
        ALREADY_BOUND => "already bound",
        SYSTEM_ERROR => "system error",
        BAD_SOURCE => "sender's address refused",
        BAD_DESTINATION => "receiver's address refused",
        BIND_FAILED => "bind failed",
        BAD_PASSWORD => "password refused",
        BAD_ACCOUNT => "account refused",
        QUEUE_FULL => "queue full",
        0x43 => "esm_class refused",
        SUBMIT_FAILED => "submit failed",
        0x48 | 0x50 => "type of number refused",
        0x49 | 0x51 => "numbering plan refused",
        THROTTLED => "throttled",
        0x62 => "validity period refused",
        RECEIVER_BUSY => "receiver busy",
        RECEIVER_REJECTS => "receiver rejects",
        BAD_PARAMETERS => "optional parameters refused",
        _ => "status",
    };
    format!("{word} (0x{status:08X})")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// SMPP 3.4 table 5-2 gives the numbers; which of them are worth another try is common practice, no source.
    #[test]
    fn statuses_are_sorted_by_what_can_be_done() {
        assert_eq!(meaning(0x58), Meaning::SlowDown);
        assert_eq!(meaning(0x14), Meaning::SlowDown);
        assert_eq!(meaning(0x08), Meaning::TryAgain);
        assert_eq!(meaning(0x0B), Meaning::Refused);
        assert_eq!(meaning(0x1234), Meaning::Refused);
        assert!(is_refusal_of_account(0x0E) && !is_refusal_of_account(0x05));
        assert_eq!(said(0x0B), "receiver's address refused (0x0000000B)");
    }
}
