//! What a print is of, and what a batch of it gives: shared by the sheets and by the page that chooses them.
//!
//! This room lays nothing out.

use crate::console::answer::Refused;
use crate::console::visit::Visit;
use crate::desk::member::Member;
use crate::domain::MemberNo;
use crate::domain::code::UnitCode;
use crate::sheets::Month;
use maud::Markup;

/// For whom, and from where on.
#[derive(Clone, Debug)]
pub struct Chosen {
    /// One member only.
    pub member: Option<Member>,
    /// One ward only.
    pub ward: Option<String>,
    /// The month of wall sheets.
    pub month: Month,
    /// Labels of these cages, on record or not.
    pub codes: Vec<UnitCode>,
    /// After this member...
    pub after: MemberNo,
    /// ...and so many labels of the next one.
    pub skip: usize,
}

/// One batch of sheets.
pub struct Batch {
    /// Each is one sheet of A4.
    pub sheets: Vec<Markup>,
    /// Where the next batch begins: a member's number, and for labels after a dash how many of theirs are printed.
    pub next: Option<String>,
}

/// The next members of the choice, at most `most` and one more.
///
/// # Errors
/// When the store fails.
pub fn members(visit: &Visit<'_>, chosen: &Chosen, most: usize) -> Result<Vec<MemberNo>, Refused> {
    if let Some(member) = &chosen.member {
        return Ok(vec![member.number]);
    }
    let who = visit.who()?;
    visit.follow()?;
    let looked_in = visit.looked_in(chosen.ward.as_deref().unwrap_or_default())?;
    let rows = visit
        .counter()
        .farm_page(who.coop, chosen.after, most + 1, looked_in.as_deref())?;
    Ok(rows.into_iter().map(|(no, _)| no).collect())
}
