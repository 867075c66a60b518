//! One request on its way to a page: who asks, for what, in which language.
//!
//! A visit that reaches a page has passed the route table; the page may still ask whether a farm's ward is one that the user sees. This room
//! makes no page.

use crate::console::Console;
use crate::console::answer::Refused;
use crate::console::fields::Fields;
use crate::console::printed::Printed;
use crate::console::sessions::Session;
use crate::console::words::Words;
use crate::counter::Counter;
use crate::desk::member::Member;
use crate::desk::user::User;
use crate::domain::MemberNo;
use crate::domain::message::{CoopId, MessageNo};
use crate::domain::user::{Deed, Login, Power};
use crate::units::day::{FarmDay, farm_day};
use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;

/// Rows brought up to the record before a page is made, and for how long: what a quiet minute brings, and a third of the time that a page may take.
const FOLLOWED: usize = 16;
const FOLLOWED_FOR: TimeDelta = TimeDelta::milliseconds(50);

/// Who is signed in.
#[derive(Clone, Debug)]
pub struct Who {
    /// The cooperative.
    pub coop: CoopId,
    /// The name.
    pub login: Login,
    /// The state.
    pub user: User,
    /// What the session's forms carry.
    pub form_token: String,
}

impl Who {
    pub(crate) fn of(session: Session, user: User) -> Self {
        Self {
            coop: session.coop,
            login: session.login,
            user,
            form_token: session.form_token,
        }
    }
}

/// One request.
pub struct Visit<'c> {
    /// The room.
    pub(crate) console: &'c Console,
    /// Whether the route table opens a page for a user of that power: pages name only ways that can be gone.
    pub(crate) opens: fn(&str, Power) -> bool,
    /// Who asks; nobody on the few pages that need nobody.
    pub who: Option<Who>,
    /// The path.
    pub path: String,
    /// What stood in the places of the route's `{}`, in order.
    pub places: Vec<String>,
    /// What the address says after `?`.
    pub query: Fields,
    /// What the form says.
    pub form: Fields,
    /// The form's body as it came, for files.
    pub body: Vec<u8>,
    /// Its media type.
    pub body_kind: String,
    /// The reader's texts.
    pub words: Words<'c>,
    /// The browser's session cookie, whether it is one or not.
    pub(crate) cookie: Option<String>,
    /// The address of the browser.
    pub(crate) address: String,
}

impl Visit<'_> {
    /// Who is signed in.
    ///
    /// # Errors
    /// [`Refused::SignIn`] where nobody is; the route table lets no such visit through to a page that asks.
    pub fn who(&self) -> Result<&Who, Refused> {
        self.who.as_ref().ok_or(Refused::SignIn)
    }

    /// The counter.
    #[must_use]
    pub fn counter(&self) -> &Counter {
        &self.console.counter
    }

    /// Brings rows up to the record before a page is made, as many as there is time for: the rest follows by itself within seconds.
    ///
    /// # Errors
    /// When the store fails.
    pub fn follow(&self) -> Result<(), Refused> {
        let (coop, watch) = (self.who()?.coop, &self.console.watch);
        let until = watch.now() + FOLLOWED_FOR;
        for _ in 0..FOLLOWED {
            if watch.now() >= until || self.counter().follow(coop, 1)? == 0 {
                break;
            }
        }
        Ok(())
    }

    /// The texts of what is printed for members.
    #[must_use]
    pub fn printed(&self) -> &Printed {
        &self.console.printed
    }

    /// The moment of the cooperative's records: the counter's.
    #[must_use]
    pub fn now(&self) -> DateTime<Utc> {
        self.console.counter.clock().now()
    }

    /// The cooperative's time zone; UTC before it is founded.
    ///
    /// # Errors
    /// When the store fails.
    pub fn zone(&self) -> Result<Tz, Refused> {
        let rules = self.counter().rules(self.who()?.coop)?;
        Ok(rules.zone.parse().unwrap_or(Tz::UTC))
    }

    /// The cooperative's farm day.
    ///
    /// # Errors
    /// When the store fails.
    pub fn today(&self) -> Result<FarmDay, Refused> {
        Ok(farm_day(self.now(), self.zone()?))
    }

    /// The wards that the user sees; the empty name stands for members without one.
    ///
    /// # Errors
    /// When the store fails.
    pub fn wards(&self) -> Result<Vec<String>, Refused> {
        let who = self.who()?;
        if !who.user.wards.is_empty() {
            return Ok(who.user.wards.clone());
        }
        let mut wards = self.counter().rules(who.coop)?.wards;
        wards.push(String::new());
        Ok(wards)
    }

    /// The wards to look for farms in: that one where the user sees it, all of theirs where none is named; none at all: everywhere.
    ///
    /// # Errors
    /// [`Refused::SignIn`] where nobody is signed in.
    pub fn looked_in(&self, ward: &str) -> Result<Option<Vec<String>>, Refused> {
        let user = &self.who()?.user;
        Ok(match (ward.is_empty(), user.wards.is_empty()) {
            (true, true) => None,
            (true, false) => Some(user.wards.clone()),
            (false, _) => Some(
                vec![ward.to_owned()]
                    .into_iter()
                    .filter(|ward| user.sees(Some(ward)))
                    .collect(),
            ),
        })
    }

    /// Nothing, where the user sees all wards: for what holds for the whole cooperative.
    ///
    /// # Errors
    /// [`Refused::Wards`] for who is held to some of them.
    pub fn whole_coop(&self) -> Result<(), Refused> {
        if self.who()?.user.wards.is_empty() {
            Ok(())
        } else {
            Err(Refused::Wards)
        }
    }

    /// The member whose number stands in the route's place, where the user sees their ward.
    ///
    /// # Errors
    /// [`Refused::NotFound`] where there is none or the user does not see it.
    pub fn member_in(&self, place: usize) -> Result<Member, Refused> {
        let no = self.places.get(place).and_then(|text| text.parse().ok());
        self.member(MemberNo(no.ok_or(Refused::NotFound)?))
    }

    /// A member, where the user sees their ward.
    ///
    /// # Errors
    /// [`Refused::NotFound`] where there is none or the user does not see it.
    pub fn member(&self, no: MemberNo) -> Result<Member, Refused> {
        let who = self.who()?;
        let member = self.counter().member(who.coop, no)?;
        if member.joined && who.user.sees(member.ward.as_deref()) {
            Ok(member)
        } else {
            Err(Refused::NotFound)
        }
    }

    /// The message number in the route's place.
    ///
    /// # Errors
    /// [`Refused::NotFound`] where it is none.
    pub fn message_in(&self, place: usize) -> Result<MessageNo, Refused> {
        let no = self.places.get(place).and_then(|text| text.parse().ok());
        no.map(MessageNo).ok_or(Refused::NotFound)
    }

    /// Notes what the user did.
    ///
    /// # Errors
    /// When the store fails.
    pub fn note(&self, deed: Deed) -> Result<(), Refused> {
        let who = self.who()?;
        self.counter().note(who.coop, &who.login, deed)?;
        Ok(())
    }
}
