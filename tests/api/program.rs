//! A program that reads by HTTP with a token.

use crate::browser::{COOP, House};
use actix_web::http::Method;
use actix_web::web::Data;
use actix_web::{App, test};
use clutchline::counter::tokens::fresh;
use clutchline::domain::user::{Login, Power, Token, TokenNo, UserEvent};
use clutchline::web::api;
use serde_json::Value;

/// A fresh token's text, and the event that makes it.
pub(crate) fn token(login: &Login, power: Power, wards: &[&str]) -> (String, UserEvent) {
    let (text, digest) = fresh(COOP, login).unwrap();
    let token = Token {
        no: TokenNo(0),
        about: "a sheet in the office".to_owned(),
        digest,
        power,
        wards: wards.iter().map(|ward| (*ward).to_owned()).collect(),
    };
    (text, UserEvent::TokenMade(token))
}

/// The program.
pub(crate) struct Program<'h> {
    pub(crate) house: &'h House,
    pub(crate) token: Option<String>,
}

/// What it got.
pub(crate) struct Told {
    pub(crate) status: u16,
    pub(crate) kind: String,
    pub(crate) body: Value,
    headers: Vec<(String, String)>,
}

impl Told {
    /// A header; empty where there is none.
    pub(crate) fn header(&self, name: &str) -> &str {
        let found = self.headers.iter().find(|(known, _)| known == name);
        found.map_or("", |(_, value)| value)
    }
}

impl<'h> Program<'h> {
    /// With a token of the manager.
    pub(crate) fn new(house: &'h House, power: Power, wards: &[&str]) -> Self {
        let login = Login::new("manager").unwrap();
        let (text, made) = token(&login, power, wards);
        house
            .counter
            .change_user(COOP, &login, vec![made], None)
            .unwrap();
        Self {
            house,
            token: Some(text),
        }
    }

    pub(crate) fn get(&self, address: &str) -> Told {
        self.ask("GET", address)
    }

    pub(crate) fn ask(&self, method: &str, address: &str) -> Told {
        actix_web::rt::System::new().block_on(async {
            let app = App::new()
                .app_data(Data::new(self.house.counter.clone()))
                .configure(api::attach);
            let app = test::init_service(app).await;
            let mut request = test::TestRequest::with_uri(address)
                .method(Method::from_bytes(method.as_bytes()).unwrap());
            if let Some(token) = &self.token {
                request = request.insert_header(("authorization", format!("Bearer {token}")));
            }
            let response = test::call_service(&app, request.to_request()).await;
            let headers: Vec<(String, String)> = response
                .headers()
                .iter()
                .map(|(name, value)| (name.to_string(), value.to_str().unwrap().to_owned()))
                .collect();
            let status = response.status().as_u16();
            let body = test::read_body(response).await;
            let kind = headers.iter().find(|(name, _)| name == "content-type");
            Told {
                status,
                kind: kind.map_or_else(String::new, |(_, kind)| kind.clone()),
                body: serde_json::from_slice(&body).unwrap_or_default(),
                headers,
            }
        })
    }
}
