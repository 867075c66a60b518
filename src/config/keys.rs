//! The table of settings: one row for each key, with what it means.
//!
//! Reading, printing, the error for a key that does not exist and `docs/settings.md` all walk this table, so none can forget a key.

use crate::biology::tables::TABLE;

/// What a value looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A string.
    Text,
    /// A whole number, not below zero.
    Whole,
    /// A number that may have decimals.
    Number,
}

/// One setting.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    /// Dotted path; the `*` of `links.*` stands for the link's name.
    pub path: &'static str,
    /// What a value looks like.
    pub kind: Kind,
    /// Shown as `***`.
    pub secret: bool,
    /// A correct value, for error messages.
    pub example: &'static str,
}

const fn row(path: &'static str, kind: Kind, example: &'static str) -> Key {
    Key {
        path,
        kind,
        secret: false,
        example,
    }
}

const fn secret(path: &'static str, example: &'static str) -> Key {
    Key {
        path,
        kind: Kind::Text,
        secret: true,
        example,
    }
}

/// Every setting, in the order of the printed file.
pub const KEYS: &[Key] = &[
    row("server.listen", Kind::Text, "\"127.0.0.1:8080\""),
    row("server.metrics_listen", Kind::Text, "\"127.0.0.1:9464\""),
    row("server.workers", Kind::Whole, "2"),
    row("server.connections_max", Kind::Whole, "2048"),
    row("server.body_bytes_max", Kind::Whole, "16384"),
    row("server.keep_alive_secs", Kind::Whole, "75"),
    row("store.folder", Kind::Text, "\"/var/lib/clutchline\""),
    row("store.cache_mb", Kind::Whole, "64"),
    row("store.cached_streams", Kind::Whole, "30000"),
    row("inbound.sent_at_hours_max", Kind::Whole, "168"),
    row("inbound.default_link", Kind::Text, "\"north\""),
    row("flood.messages", Kind::Whole, "60"),
    row("flood.window_minutes", Kind::Whole, "10"),
    row("pin.tries", Kind::Whole, "3"),
    row("pin.lock_hours", Kind::Whole, "24"),
    row("backup.folder", Kind::Text, "\"/mnt/backup\""),
    row("backup.keep", Kind::Whole, "14"),
    row("backup.keep_days", Kind::Whole, "30"),
    row("backup.hour", Kind::Whole, "1"),
    row("archive.after_days", Kind::Whole, "90"),
    row("archive.texts_days", Kind::Whole, "180"),
    row("archive.folder", Kind::Text, "\"/mnt/archive\""),
    // A row of its own for each is in the table of the sums, with its bounds.
    row("model.*", Kind::Number, "0.7"),
    row("links.*.kind", Kind::Text, "\"modem\""),
    row("links.*.coop", Kind::Whole, "1"),
    row("links.*.country", Kind::Text, "\"255\""),
    secret("links.*.secret", "\"a long random word\""),
    row("links.*.reply", Kind::Text, "\"response\" or \"send\""),
    row(
        "links.*.send_url",
        Kind::Text,
        "\"https://sms.example/send\"",
    ),
    row("links.*.auth", Kind::Text, "\"bearer\""),
    row("links.*.user", Kind::Text, "\"ziwani\""),
    secret("links.*.token", "\"what the network gave you\""),
    row(
        "links.*.body",
        Kind::Text,
        "'{\"to\":{to},\"text\":{text}}'",
    ),
    row("links.*.rate_per_second", Kind::Number, "10.0"),
    row("links.*.failover", Kind::Text, "\"south\""),
    row("links.*.failover_after", Kind::Whole, "3"),
    row("links.*.price_per_part", Kind::Number, "0.015"),
    row("links.*.inbound.format", Kind::Text, "\"form\""),
    row("links.*.inbound.each", Kind::Text, "\"/messages\""),
    row("links.*.inbound.id", Kind::Text, "\"/message/id\""),
    row("links.*.inbound.from", Kind::Text, "\"/message/sender\""),
    row("links.*.inbound.to", Kind::Text, "\"=40123\""),
    row("links.*.inbound.text", Kind::Text, "\"/message/body\""),
    row("links.*.inbound.sent_at", Kind::Text, "\"/message/time\""),
    row("links.*.inbound.time", Kind::Text, "\"%d/%m/%Y %H:%M:%S\""),
    row(
        "links.*.inbound.zone",
        Kind::Text,
        "\"Africa/Dar_es_Salaam\"",
    ),
    row("links.*.inbound.auth", Kind::Text, "\"hmac\""),
    row("links.*.inbound.user", Kind::Text, "\"ziwani\""),
    row("links.*.inbound.header", Kind::Text, "\"x-signature\""),
    row("links.*.inbound.encoding", Kind::Text, "\"base64\""),
    row("links.*.inbound.prefix", Kind::Text, "\"sha256=\""),
    row("links.*.inbound.time_header", Kind::Text, "\"x-timestamp\""),
    row("links.*.inbound.tolerance_secs", Kind::Whole, "300"),
    row("links.*.inbound.answer_status", Kind::Whole, "200"),
    row("links.*.inbound.answer_type", Kind::Text, "\"text/plain\""),
    row("links.*.inbound.answer_body", Kind::Text, "\"{text}\""),
    row("links.*.outbound.method", Kind::Text, "\"GET\""),
    row(
        "links.*.outbound.media_type",
        Kind::Text,
        "\"application/x-www-form-urlencoded\"",
    ),
    row("links.*.outbound.headers", Kind::Text, "\"X-Account: 12\""),
    row("links.*.outbound.from", Kind::Text, "\"40123\""),
    row(
        "links.*.outbound.message_id",
        Kind::Text,
        "\"/messages/0/id\"",
    ),
    row(
        "links.*.outbound.taken_where",
        Kind::Text,
        "\"/status=queued,sent\"",
    ),
    row("links.*.outbound.refused", Kind::Text, "\"400,404-422\""),
    row("links.*.outbound.later", Kind::Text, "\"409,500-599\""),
    row("links.*.outbound.header", Kind::Text, "\"x-signature\""),
    row("links.*.outbound.encoding", Kind::Text, "\"base64\""),
    row("links.*.outbound.prefix", Kind::Text, "\"sha256=\""),
    row(
        "links.*.outbound.time_header",
        Kind::Text,
        "\"x-timestamp\"",
    ),
    row("links.*.outbound.window", Kind::Whole, "8"),
    row("links.*.outbound.silence", Kind::Text, "\"keep\""),
    row("links.*.receipts.format", Kind::Text, "\"json\""),
    row("links.*.receipts.each", Kind::Text, "\"/reports\""),
    row("links.*.receipts.only", Kind::Text, "\"kind=report\""),
    row("links.*.receipts.id", Kind::Text, "\"/report/ref\""),
    row("links.*.receipts.state", Kind::Text, "\"/report/state\""),
    row("links.*.receipts.why", Kind::Text, "\"/report/error\""),
    row("links.*.receipts.at", Kind::Text, "\"/report/time\""),
    row("links.*.receipts.time", Kind::Text, "\"seconds\""),
    row("links.*.receipts.zone", Kind::Text, "\"+03:00\""),
    row(
        "links.*.receipts.delivered",
        Kind::Text,
        "\"delivered,DELIVRD\"",
    ),
    row("links.*.receipts.failed", Kind::Text, "\"failed,UNDELIV\""),
    row(
        "links.*.receipts.expired",
        Kind::Text,
        "\"expired,EXPIRED\"",
    ),
    row("links.*.receipts.unknown", Kind::Text, "\"unknown\""),
    row("links.*.ussd.format", Kind::Text, "\"form\""),
    row("links.*.ussd.session", Kind::Text, "\"dialogue\""),
    row("links.*.ussd.from", Kind::Text, "\"subscriber\""),
    row("links.*.ussd.code", Kind::Text, "\"dialled\""),
    row("links.*.ussd.input", Kind::Text, "\"keys\""),
    row("links.*.ussd.last", Kind::Text, "\"phase\""),
    row("links.*.ussd.final_words", Kind::Text, "\"closed\""),
    row("links.*.ussd.path", Kind::Text, "\"*\""),
    row("links.*.ussd.answer_text", Kind::Text, "\"/screen/text\""),
    row("links.*.ussd.answer_end", Kind::Text, "\"/screen/closes\""),
    row("links.*.ussd.go_on", Kind::Text, "\"MORE \""),
    row("links.*.ussd.stop", Kind::Text, "\"DONE \""),
    row("links.*.ussd.septets", Kind::Whole, "160"),
    row("links.*.ussd.idle_secs", Kind::Whole, "180"),
    row("links.*.ussd.resume_mins", Kind::Whole, "10"),
    row("links.*.smpp.address", Kind::Text, "\"smsc.example:2775\""),
    row("links.*.smpp.tls", Kind::Text, "\"roots\""),
    row("links.*.smpp.tls_name", Kind::Text, "\"smsc.example\""),
    row("links.*.smpp.bind", Kind::Text, "\"transceiver\""),
    row("links.*.smpp.system_id", Kind::Text, "\"ziwani\""),
    secret("links.*.smpp.password", "\"what the carrier gave you\""),
    row("links.*.smpp.system_type", Kind::Text, "\"\""),
    row("links.*.smpp.address_range", Kind::Text, "\"\""),
    row("links.*.smpp.window", Kind::Whole, "10"),
    row("links.*.smpp.taking", Kind::Whole, "256"),
    row("links.*.smpp.enquire_secs", Kind::Whole, "30"),
    row("links.*.smpp.answer_secs", Kind::Whole, "30"),
    row("links.*.smpp.source", Kind::Text, "\"40123\""),
    row("links.*.smpp.source_ton", Kind::Whole, "3"),
    row("links.*.smpp.source_npi", Kind::Whole, "0"),
    row("links.*.smpp.destination_ton", Kind::Whole, "1"),
    row("links.*.smpp.destination_npi", Kind::Whole, "1"),
    row("links.*.smpp.service_type", Kind::Text, "\"\""),
    row("links.*.smpp.centre_alphabet", Kind::Text, "\"gsm7\""),
    row("links.*.smpp.send_as", Kind::Text, "\"default\""),
    row("links.*.smpp.ucs2_order", Kind::Text, "\"big\""),
    row("links.*.smpp.long_by", Kind::Text, "\"udh8\""),
    row("links.*.smpp.registered_delivery", Kind::Whole, "1"),
    row("links.*.smpp.validity", Kind::Text, "\"yes\""),
    row("links.*.smpp.reference", Kind::Text, "\"no\""),
    row("links.*.smpp.ids", Kind::Text, "\"same\""),
    row("links.*.smpp.ussd_service", Kind::Text, "\"USSD\""),
    row("links.*.smpp.ussd_begins", Kind::Text, "\"0,1\""),
    row("links.*.smpp.ussd_goes_on", Kind::Text, "\"18,2,17\""),
    row("links.*.smpp.ussd_ask", Kind::Whole, "2"),
    row("links.*.smpp.ussd_last", Kind::Whole, "17"),
    row("links.*.smpp.ussd_session", Kind::Text, "\"number\""),
    row("links.*.smpp.ussd_end", Kind::Text, "\"both\""),
    row(
        "links.*.modem.path",
        Kind::Text,
        "\"/dev/serial/by-id/usb-modem-if00-port0\"",
    ),
    row("links.*.modem.baud", Kind::Whole, "115200"),
    secret("links.*.modem.pin", "\"1234\""),
    row(
        "links.*.modem.pin_file",
        Kind::Text,
        "\"/etc/clutchline/sim.pin\"",
    ),
    row("links.*.modem.storage", Kind::Text, "\"SM\""),
    row("links.*.modem.poll_secs", Kind::Whole, "30"),
    row("links.*.modem.send_secs", Kind::Whole, "60"),
    row("links.*.modem.receipts", Kind::Text, "\"yes\""),
    row("links.*.modem.validity", Kind::Text, "\"yes\""),
];

/// The row of a dotted path such as `links.north.secret`.
#[must_use]
pub fn find(path: &str) -> Option<&'static Key> {
    let of_the_sums = path
        .strip_prefix("model.")
        .is_none_or(|name| TABLE.iter().any(|row| row.name == name));
    KEYS.iter().find(|key| of_the_sums && fits(key.path, path))
}

fn fits(pattern: &str, path: &str) -> bool {
    let (mut wanted, mut given) = (pattern.split('.'), path.split('.'));
    loop {
        match (wanted.next(), given.next()) {
            (None, None) => return true,
            (Some("*"), Some(name)) if !name.is_empty() => {}
            (Some(a), Some(b)) if a == b => {}
            _ => return false,
        }
    }
}

/// The known path nearest to one that is not, with the link's name kept.
#[must_use]
pub fn nearest(path: &str) -> String {
    let link = path
        .strip_prefix("links.")
        .and_then(|rest| rest.split('.').next());
    KEYS.iter()
        .filter(|key| key.path != "model.*")
        .map(|key| key.path.replace('*', link.unwrap_or("NAME")))
        .chain(TABLE.iter().map(|row| format!("model.{}", row.name)))
        .min_by_key(|known| slips(known, path))
        .unwrap_or_default()
}

/// Letters to insert, drop or change to come from one word to the other (Levenshtein 1966).
fn slips(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.chars().enumerate() {
        let mut diagonal = row.first().copied().unwrap_or(0);
        let mut left = i + 1;
        let mut next = vec![left];
        for (y, above) in b.iter().zip(row.iter().skip(1)) {
            left = (diagonal + usize::from(x != *y))
                .min(left + 1)
                .min(above + 1);
            diagonal = *above;
            next.push(left);
        }
        row = next;
    }
    row.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::config::Link;
    use crate::config::Settings;

    #[test]
    fn the_table_and_the_types_name_the_same_keys() {
        let mut all = Settings::default();
        let mut link = Link::default();
        // A section that is as if it were not there is not shown.
        link.smpp.window += 1;
        link.modem.baud += 1;
        all.links.insert("*".to_owned(), link);
        let toml::Value::Table(table) = toml::Value::try_from(&all).unwrap() else {
            panic!("settings are a table");
        };
        let mut typed = Vec::new();
        crate::config::layers::each_leaf(&table, "", &mut |path, _| typed.push(path.to_owned()));
        typed.sort();
        let models = TABLE.iter().map(|row| format!("model.{}", row.name));
        let mut listed: Vec<_> = KEYS
            .iter()
            .map(|key| key.path.to_owned())
            .filter(|path| path != "model.*")
            .chain(models)
            .collect();
        listed.sort();
        assert_eq!(typed, listed);
    }

    #[test]
    fn a_slip_leads_to_the_key_that_was_meant() {
        assert_eq!(slips("kitten", "sitting"), 3);
        assert_eq!(nearest("server.lisen"), "server.listen");
        assert_eq!(nearest("links.north.sceret"), "links.north.secret");
        assert_eq!(nearest("flod.messages"), "flood.messages");
        assert!(find("links.north.secret").is_some_and(|key| key.secret));
        assert!(find("links..secret").is_none() && find("links.a").is_none());
    }
}
