//! One text to many members: written, looked at with the number of people and the cost, sent at its time, stopped.
//!
//! An officer who is held to wards writes to those wards only. This room sends nothing itself.

use crate::console::answer::{Answer, Refused};
use crate::console::frame;
use crate::console::shown::money;
use crate::console::visit::Visit;
use crate::counter::broadcasts::{BroadcastFailure, Reached};
use crate::desk::broadcast::{A_MINUTE, Broadcast, BroadcastError, HOURS, Progress, TEXT_MAX};
use crate::domain::broadcast::{Audience, BroadcastPlan};
use crate::domain::lang::Lang;
use crate::domain::user::{Deed, DeedKind};
use crate::links::parts::count;
use chrono::{DateTime, NaiveDate, NaiveTime, TimeZone, Utc};
use maud::{Markup, html};

/// Texts to many that are listed.
const LISTED: u32 = 20;
/// Letters of a text in the trail.
const TOLD: usize = 80;

/// The key of a refusal's text.
const fn refused_key(refused: BroadcastError) -> &'static str {
    match refused {
        BroadcastError::Text => "cast-text",
        BroadcastError::Due => "cast-due",
        BroadcastError::TooMany => "cast-too-many",
        BroadcastError::Nobody => "cast-nobody",
        BroadcastError::Over => "cast-over",
    }
}

/// The form, and what was sent.
///
/// # Errors
/// When the store fails.
pub fn page(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let known = [
        BroadcastError::Text,
        BroadcastError::Due,
        BroadcastError::TooMany,
        BroadcastError::Nobody,
        BroadcastError::Over,
    ];
    let told = visit.query.get("trouble");
    let key = known.into_iter().map(refused_key).find(|key| *key == told);
    let words = &visit.words;
    let middle = html! {
        p.hint { (words.t("cast-hint")) }
        @if let Some(key) = key { p.trouble role="alert" { (words.t(key)) } }
        (frame::form(visit, "/console/broadcast", fields(visit)?))
        h2 { (words.t("cast-sent")) }
        (list(visit)?)
    };
    Ok(frame::page(visit, &words.t("nav-broadcast"), middle))
}

fn fields(visit: &Visit<'_>) -> Result<Markup, Refused> {
    let words = &visit.words;
    let wards = visit.wards()?;
    let whole = visit.who()?.user.wards.is_empty();
    let said = |name: &str| visit.form.get(name).to_owned();
    let day = said("day");
    Ok(html! {
        label { (words.t("cast-write")) textarea name="text" rows="4" maxlength=(TEXT_MAX) required { (said("text")) } }
        fieldset {
            legend { (words.t("cast-to")) }
            label { (words.t("ward")) select name="ward" {
                option value="" { (words.t(if whole { "all-wards" } else { "cast-own-wards" })) }
                @for ward in wards.iter().filter(|ward| !ward.is_empty()) { option selected[*ward == said("ward")] { (ward) } }
            } }
            label { (words.t("lang-label")) select name="lang" {
                option value="" { (words.t("cast-any-lang")) }
                @for lang in visit.printed().langs() { option value=(lang) selected[lang.to_string() == said("lang")] { (visit.printed().own_name(lang)) } }
            } }
            label { (words.t("cast-silent")) " " small { (words.t("cast-silent-hint")) } input name="silent" inputmode="numeric" value=(said("silent")); }
            label.choice { input type="checkbox" name="laying" value="yes" checked[said("laying") == "yes"]; " " (words.t("cast-laying")) }
        }
        label { (words.t("cast-day")) " " small { (words.t("cast-day-hint")) } input name="day" type="date" value=(day); }
        label { (words.t("cast-hour")) input name="hour" type="time" value=(said("hour")); }
        button type="submit" name="step" value="look" { (words.t("cast-look")) }
    })
}

/// What the form says: text, audience, moment.
fn said(visit: &Visit<'_>) -> Result<Result<BroadcastPlan, BroadcastError>, Refused> {
    let form = &visit.form;
    let who = visit.who()?;
    let ward = form.get("ward");
    let wards = if ward.is_empty() {
        who.user.wards.clone()
    } else if visit.wards()?.iter().any(|known| known == ward) {
        vec![ward.to_owned()]
    } else {
        return Err(Refused::NotFound);
    };
    let silent = form.get("silent");
    let silent_days = silent.parse().ok();
    let Some(due) = due(visit)? else {
        return Ok(Err(BroadcastError::Due));
    };
    if !silent.is_empty() && silent_days.is_none() {
        return Err(Refused::NotFound);
    }
    // A browser sends a line's end as two characters; a phone shows one.
    let text = form.get("text").replace("\r\n", "\n");
    Ok(Ok(BroadcastPlan {
        text,
        audience: Audience {
            wards,
            lang: Lang::new(form.get("lang")),
            silent_days,
            laying: form.get("laying") == "yes",
        },
        due,
        by: who.login.clone(),
        people: 0,
    }))
}

/// The moment: now where no day was said; at seven where no hour was.
fn due(visit: &Visit<'_>) -> Result<Option<DateTime<Utc>>, Refused> {
    let (day, hour) = (visit.form.get("day"), visit.form.get("hour"));
    let zone = visit.zone()?;
    if day.is_empty() && hour.is_empty() {
        return Ok(Some(visit.now()));
    }
    let today = visit.now().with_timezone(&zone).date_naive();
    let day: Option<NaiveDate> = if day.is_empty() {
        Some(today)
    } else {
        day.parse().ok()
    };
    let hour = if hour.is_empty() { "07:00" } else { hour };
    let hour = NaiveTime::parse_from_str(hour, "%H:%M").ok();
    let moment = day.zip(hour).and_then(|(day, hour)| {
        let local = zone.from_local_datetime(&day.and_time(hour)).earliest()?;
        Some(local.with_timezone(&Utc))
    });
    Ok(moment)
}

/// Looks at what would be sent, or sends it.
///
/// # Errors
/// [`Refused::NotFound`] where the form names a ward that is not the user's.
pub fn write(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let refused = |why: BroadcastError| {
        let key = refused_key(why);
        Ok(Answer::go(&format!("/console/broadcast?trouble={key}")))
    };
    let (coop, counter) = (visit.who()?.coop, visit.counter());
    let mut plan = match said(visit)? {
        Ok(plan) => plan,
        Err(why) => return refused(why),
    };
    visit.follow()?;
    let reached = counter.reached(coop, &plan.audience)?;
    plan.people = reached.people;
    if let Err(why) = crate::desk::broadcast::plan(&plan, 0, visit.now()) {
        return refused(why);
    }
    if visit.form.get("step") != "send" {
        return look(visit, &plan, &reached);
    }
    let deed = Deed {
        kind: DeedKind::Broadcast,
        member: None,
        message: None,
        old: String::new(),
        new: told(&plan.text, reached.people),
    };
    match counter.plan_broadcast(coop, plan, deed) {
        Ok(_) => Ok(Answer::go("/console/broadcast")),
        Err(BroadcastFailure::Refused(why)) => refused(why),
        Err(BroadcastFailure::Counter(error)) => Err(error.into()),
    }
}

fn told(text: &str, people: u32) -> String {
    let start: String = text.chars().take(TOLD).collect();
    format!("{people}: {start}")
}

/// What would be sent, to how many, at what cost.
fn look(visit: &Visit<'_>, plan: &BroadcastPlan, reached: &Reached) -> Result<Answer, Refused> {
    let words = &visit.words;
    let parts = count(&plan.text);
    let zone = visit.zone()?;
    let when = plan
        .due
        .with_timezone(&zone)
        .format("%Y-%m-%d %H:%M")
        .to_string();
    let mut cost = Some(0_u64);
    for (link, people) in &reached.by_link {
        let price = visit
            .console
            .prices
            .get(&link.0)
            .copied()
            .filter(|price| *price > 0);
        let texts = u64::from(*people) * u64::try_from(parts).unwrap_or(1);
        cost = cost
            .zip(price)
            .map(|(sum, price)| sum.saturating_add(price.saturating_mul(texts)));
    }
    let texts = u64::from(reached.people) * u64::try_from(parts).unwrap_or(1);
    let minutes = reached.people.div_ceil(A_MINUTE);
    let kept = ["text", "ward", "lang", "silent", "laying", "day", "hour"];
    let middle = html! {
        p.said { (plan.text) }
        ul.figures {
            li { b { (reached.people) } (words.t("cast-people")) }
            li { b { (parts) } (words.t("cast-parts")) }
            li { b { (texts) } (words.t("cast-all-parts")) }
            li { b { @if let Some(cost) = cost { (money(cost)) } @else { "?" } } (words.t("cast-cost")) }
        }
        @if cost.is_none() { p.hint { (words.t("cast-no-price")) } }
        @if parts > 1 { p.trouble { (words.t("cast-long")) } }
        dl {
            dt { (words.t("cast-to")) } dd { (audience(visit, &plan.audience)) }
            dt { (words.t("when")) } dd { (when) }
        }
        p { (words.say("cast-left-out", &[("n", reached.left_out.into())])) }
        p.hint { (words.say("cast-pace", &[("minutes", minutes.into()), ("from", HOURS.start.into()), ("to", HOURS.end.into())])) }
        (frame::form(visit, "/console/broadcast", html! {
            @for name in kept { input type="hidden" name=(name) value=(visit.form.get(name)); }
            button type="submit" name="step" value="send" { (words.say("cast-send", &[("n", reached.people.into())])) }
        }))
        details { summary { (words.t("cast-change")) } (frame::form(visit, "/console/broadcast", fields(visit)?)) }
    };
    Ok(frame::page(visit, &words.t("cast-title"), middle))
}

/// An audience in words.
fn audience(visit: &Visit<'_>, audience: &Audience) -> String {
    let words = &visit.words;
    let mut told = vec![if audience.wards.is_empty() {
        words.t("all-wards")
    } else {
        audience.wards.join(", ")
    }];
    told.extend(audience.lang.map(|lang| visit.printed().own_name(lang)));
    told.extend(
        audience
            .silent_days
            .map(|days| words.say("cast-silent-told", &[("days", days.into())])),
    );
    told.extend(audience.laying.then(|| words.t("cast-laying")));
    told.join("; ")
}

/// Whether a text is this user's to see and stop: all its wards are theirs.
fn is_theirs(visit: &Visit<'_>, broadcast: &Broadcast) -> Result<bool, Refused> {
    let user = &visit.who()?.user;
    let Some(plan) = &broadcast.plan else {
        return Ok(false);
    };
    let wards = &plan.audience.wards;
    Ok(user.wards.is_empty()
        || (!wards.is_empty() && wards.iter().all(|ward| user.sees(Some(ward)))))
}

fn list(visit: &Visit<'_>) -> Result<Markup, Refused> {
    let (words, coop) = (&visit.words, visit.who()?.coop);
    let zone = visit.zone()?;
    let last = visit.counter().affairs(coop)?.last_broadcast;
    let mut rows = Vec::new();
    for no in (last.saturating_sub(LISTED) + 1..=last).rev() {
        let broadcast = visit.counter().broadcast(coop, no)?;
        if is_theirs(visit, &broadcast)? {
            rows.push((no, broadcast));
        }
    }
    Ok(html! {
        @if rows.is_empty() { p.quiet-text { (words.t("cast-none")) } }
        ul.thread { @for (no, cast) in &rows { @if let Some(plan) = &cast.plan { li #(format!("b{no}")) {
            small { (plan.due.with_timezone(&zone).format("%Y-%m-%d %H:%M")) ", " (plan.by) ", " (audience(visit, &plan.audience)) }
            p { span.said { (plan.text) } }
            p { strong { (words.t(progress_key(cast.progress))) } ": "
                (words.say("cast-counts", &[("texts", cast.texts.into()), ("people", plan.people.into()), ("left", cast.left_out.into())])) }
            @if cast.is_open() { (frame::form(visit, &format!("/console/broadcast/{no}/stop"), html! {
                button.quiet type="submit" { (words.t("cast-stop")) }
            })) }
        } } } }
    })
}

const fn progress_key(progress: Progress) -> &'static str {
    match progress {
        Progress::Waits => "cast-waits",
        Progress::Runs => "cast-runs",
        Progress::Finished => "cast-finished",
        Progress::Stopped => "cast-stopped",
    }
}

/// Stops a text to many.
///
/// # Errors
/// [`Refused::NotFound`] where there is none that is the user's.
pub fn stop(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let who = visit.who()?;
    let no = visit.places.first().and_then(|no| no.parse().ok());
    let no: u32 = no.ok_or(Refused::NotFound)?;
    let broadcast = visit.counter().broadcast(who.coop, no)?;
    if !is_theirs(visit, &broadcast)? {
        return Err(Refused::NotFound);
    }
    let text = broadcast.plan.map(|plan| plan.text).unwrap_or_default();
    let deed = Deed {
        kind: DeedKind::Broadcast,
        member: None,
        message: None,
        old: told(&text, broadcast.texts),
        new: visit.words.t("cast-stopped"),
    };
    match visit
        .counter()
        .stop_broadcast(who.coop, no, &who.login, deed)
    {
        Ok(_) => Ok(Answer::go(&format!("/console/broadcast#b{no}"))),
        Err(BroadcastFailure::Refused(why)) => {
            let key = refused_key(why);
            Ok(Answer::go(&format!("/console/broadcast?trouble={key}")))
        }
        Err(BroadcastFailure::Counter(error)) => Err(error.into()),
    }
}
