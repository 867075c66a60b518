//! The phone page as a browser without script meets it: forms posted, pages read, one running demo.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

use reqwest::header::{CONTENT_SECURITY_POLICY, CONTENT_TYPE, ORIGIN};
use reqwest::{Client, StatusCode};
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};

/// A demo of its own, ended when it is dropped.
struct Demo {
    process: Child,
    url: String,
    join_code: String,
    browser: Client,
}

impl Drop for Demo {
    fn drop(&mut self) {
        self.process.kill().ok();
        self.process.wait().ok();
    }
}

impl Demo {
    fn start(data: &std::path::Path) -> Self {
        let mut process = Command::new(env!("CARGO_BIN_EXE_clutchline"))
            .args(["serve", "--demo", "--today", "2026-03-10", "--data"])
            .arg(data.join("demo"))
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(process.stdout.as_mut().unwrap())
            .read_line(&mut line)
            .unwrap();
        let ready: serde_json::Value = serde_json::from_str(&line).unwrap();
        let word = |key: &str| ready[key].as_str().unwrap().to_owned();
        Self {
            url: word("url"),
            join_code: word("join_code"),
            process,
            browser: Client::new(),
        }
    }

    async fn page(&self, digits: &str) -> String {
        let page = self.browser.get(format!("{}/phone?as={digits}", self.url));
        let page = page.send().await.unwrap();
        assert_eq!(page.status(), StatusCode::OK);
        page.text().await.unwrap()
    }

    /// Posts a form and follows to the page, as a browser does.
    async fn post(&self, to: &str, form: &[(&str, &str)]) -> (StatusCode, String) {
        let sent = self.browser.post(format!("{}{to}", self.url)).form(form);
        let page = sent.send().await.unwrap();
        (page.status(), page.text().await.unwrap())
    }

    async fn text(&self, digits: &str, text: &str) -> String {
        let (status, page) = self
            .post("/phone/send", &[("as", digits), ("text", text)])
            .await;
        assert_eq!(status, StatusCode::OK, "{text}: {page}");
        page
    }
}

/// The texts that the phone got, oldest first.
fn got(page: &str) -> Vec<&str> {
    page.split("clutchline: </span>")
        .skip(1)
        .map(|rest| rest.split("<time>").next().unwrap())
        .collect()
}

const STEADY: &str = "255700000101";
const FREE: &str = "255700000190";

#[tokio::test]
async fn a_visitor_texts_joins_and_sees_the_next_morning() {
    let data = tempfile::tempdir().unwrap();
    let demo = Demo::start(data.path());
    the_page_stands_alone(&demo).await;
    a_line_is_answered_in_the_thread(&demo).await;
    a_free_number_joins(&demo).await;
    the_morning_brings_reminders(&demo).await;
    what_is_not_ours_is_turned_away(&demo).await;
}

async fn the_page_stands_alone(demo: &Demo) {
    let page = demo.browser.get(format!("{}/", demo.url));
    let page = page.send().await.unwrap();
    assert_eq!(page.url().path(), "/phone", "the bare address leads to it");
    let head = demo.browser.head(format!("{}/phone", demo.url));
    assert_eq!(head.send().await.unwrap().status(), StatusCode::OK);
    let policy = page.headers()[CONTENT_SECURITY_POLICY].to_str().unwrap();
    assert!(policy.starts_with("default-src 'none'"), "{policy}");
    let page = page.text().await.unwrap();
    assert!(page.contains("invented"), "the page says what its data is");
    assert!(page.contains("Tue 10 March 2026, 20:00"));
    assert!(page.matches("<option").count() >= 10);
    for outside in ["http://", "https://", "//cdn", "url("] {
        assert!(!page.contains(outside), "{outside} in the page");
    }
    for (asset, kind) in [("phone.css", "text/css"), ("phone.js", "text/javascript")] {
        let asset = demo.browser.get(format!("{}/phone/{asset}", demo.url));
        let asset = asset.send().await.unwrap();
        assert!(
            asset.headers()[CONTENT_TYPE]
                .to_str()
                .unwrap()
                .starts_with(kind)
        );
        assert!(!asset.text().await.unwrap().contains("://"));
    }
}

async fn a_line_is_answered_in_the_thread(demo: &Demo) {
    let page = demo.text(STEADY, "C4 9.5 water").await;
    let last = *got(&page).last().unwrap();
    assert!(last.starts_with("Saved C4 9.5g, water."), "{last}");
    // A suggested line is a button that sends itself where there is no script.
    let (_, page) = demo
        .post("/phone/send", &[("as", STEADY), ("line", "tasks")])
        .await;
    assert!(
        got(&page).last().unwrap().starts_with("Today:"),
        "{:?}",
        got(&page).last()
    );
    let page = demo.text(STEADY, "<b>C4</b> & \"5\"").await;
    assert!(page.contains("&lt;b&gt;C4&lt;/b&gt; &amp; &quot;5&quot;") && !page.contains("<b>"));
}

async fn a_free_number_joins(demo: &Demo) {
    let page = demo.text(FREE, "C1 5").await;
    assert!(got(&page).last().unwrap().contains("not a member yet"));
    let page = demo
        .text(FREE, &format!("join {} Asheri", demo.join_code))
        .await;
    assert!(got(&page).last().unwrap().starts_with("Welcome Asheri!"));
    let page = demo.text(FREE, "C1 stock 8000").await;
    let last = *got(&page).last().unwrap();
    assert!(last.starts_with("Saved C1 stocked 8000 pupae"), "{last}");
}

async fn the_morning_brings_reminders(demo: &Demo) {
    let before = demo.page(STEADY).await;
    let (_, page) = demo.post("/phone/morning", &[("as", STEADY)]).await;
    assert!(page.contains("Wed 11 March 2026, 07:00"));
    assert_eq!(got(&page).len(), got(&before).len() + 1);
    let list = *got(&page).last().unwrap();
    assert!(list.contains("C4"), "{list}");
    let (_, page) = demo.post("/phone/morning", &[("as", STEADY)]).await;
    assert!(page.contains("Thu 12 March 2026, 07:00"));
    assert_eq!(
        got(&page).len(),
        got(&before).len() + 2,
        "one list a morning"
    );
    assert_eq!(
        got(&page),
        got(&demo.page(STEADY).await),
        "shown again, not sent again"
    );
}

async fn what_is_not_ours_is_turned_away(demo: &Demo) {
    let refused = |(status, _): (StatusCode, String)| status == StatusCode::BAD_REQUEST;
    assert!(refused(
        demo.post("/phone/send", &[("as", "255700000999"), ("text", "C1 5")])
            .await
    ));
    assert!(refused(
        demo.post("/phone/send", &[("as", STEADY), ("text", "  ")])
            .await
    ));
    let long = "x".repeat(1_531);
    assert!(refused(
        demo.post("/phone/send", &[("as", STEADY), ("text", &long)])
            .await
    ));
    let before = demo.page(STEADY).await;
    let foreign = demo
        .browser
        .post(format!("{}/phone/send", demo.url))
        .header(ORIGIN, "http://other.example")
        .form(&[("as", STEADY), ("text", "C4 9")])
        .send()
        .await
        .unwrap();
    assert_eq!(foreign.status(), StatusCode::BAD_REQUEST);
    assert_eq!(got(&before), got(&demo.page(STEADY).await));
}
