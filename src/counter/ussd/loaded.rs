//! What a screen looks at: the phone's members, the farm that the session is about, its open question.
//!
//! This room does not know what was typed.

use crate::counter::bench::Bench;
use crate::counter::people::{self, Household};
use crate::desk;
use crate::desk::farm::Farm;
use crate::desk::member::Member;
use crate::desk::reply::{Ask, Fragment};
use crate::domain::event::StreamId;
use crate::domain::lang::Lang;
use crate::domain::message::CoopId;
use crate::domain::phone::PhoneNumber;
use crate::domain::rules::Rules;
use crate::menu::{Menus, Question, Session, View};
use crate::store::StoreError;
use crate::store::draft::Draft;
use chrono::{DateTime, Utc};
use std::sync::LazyLock;

static MENUS: LazyLock<Menus> = LazyLock::new(Menus::builtin);

/// What a view looks at.
pub(crate) struct Loaded {
    rules: Rules,
    people: Vec<Member>,
    owner: Option<usize>,
    farm: Farm,
    question: Option<Question>,
    now: DateTime<Utc>,
}

impl Loaded {
    pub(crate) fn of(
        bench: &Bench<'_>,
        draft: &mut Draft<'_>,
        coop: CoopId,
        from: &PhoneNumber,
        session: &Session,
    ) -> Result<Self, StoreError> {
        let phone = draft.load(coop, &StreamId::Phone(from.clone()))?;
        let mut members = Vec::new();
        for no in &people::phone(&phone)?.serves {
            let home = Household::load(draft, coop, *no)?;
            members.push(people::member(&home.member)?.clone());
        }
        let ward = members.first().and_then(|member| member.ward.clone());
        let model = &bench.settings.model;
        let rules = people::rules_in(draft, coop, ward.as_deref(), model)?;
        let owner = match (session.owner, members.len()) {
            (Some(no), _) => members.iter().position(|member| member.number == no),
            (None, 1) => Some(0),
            (None, _) => None,
        };
        let whose = session.speaks_for.or(owner
            .and_then(|at| members.get(at))
            .map(|member| member.number));
        let (farm, question) = match whose {
            None => (Farm::default(), None),
            Some(no) => {
                let home = Household::load(draft, coop, no)?;
                let farm = people::farm(&home.farm)?.clone();
                let question = owner.and_then(|at| members.get(at)).and_then(|sender| {
                    let owner = people::member(&home.member).ok()?;
                    let (reply, addable, answerable) =
                        desk::open_question(&rules, sender, owner, &farm, bench.now)?;
                    Some(Question {
                        pin: matches!(reply.fragments.as_slice(), [Fragment::Ask(Ask::Pin(_))]),
                        text: bench.wording.render(&reply),
                        addable,
                        answerable,
                    })
                });
                (farm, question)
            }
        };
        Ok(Self {
            rules,
            people: members,
            owner,
            farm,
            question,
            now: bench.now,
        })
    }

    pub(crate) fn speaker(&self) -> Option<&Member> {
        self.owner.and_then(|at| self.people.get(at))
    }

    pub(crate) fn view(&self, septets: u16) -> View<'_> {
        let lang = self
            .speaker()
            .or(self.people.first())
            .map_or(Lang::EN, |member| member.lang);
        View {
            lang,
            texts: MENUS.of(lang),
            rules: &self.rules,
            people: self.people.iter().collect(),
            speaker: self.speaker(),
            farm: &self.farm,
            today: desk::today(&self.rules, &self.farm, self.now),
            question: self.question.clone(),
            septets: septets.into(),
        }
    }
}
