//! What programs of the farm can ask for, in our own look, made from the description itself.

use super::winter::in_path;
use crate::api::openapi::{DESCRIPTION, meant};
use crate::door::Who;
use crate::door::role::Need;
use crate::door::routes::find;
use crate::shell::page;
use crate::text::Text;
use crate::{Frame, House, Look, Refusal, Tab};
use askama::Template;
use axum::Router;
use axum::http::Method;
use axum::response::Response;
use axum::routing::get;
use serde_json::Value;

struct Parameter {
    name: String,
    what: String,
    example: String,
}

struct Answer {
    status: String,
    what: String,
}

struct Operation {
    id: String,
    method: String,
    path: String,
    summary: String,
    more: String,
    who: String,
    parameters: Vec<Parameter>,
    body: String,
    example: String,
    answers: Vec<Answer>,
}

#[derive(Template)]
#[template(path = "api.html")]
struct Page {
    frame: Frame,
    about: String,
    door: String,
    operations: Vec<Operation>,
}

fn needed(text: Text, method: &str, path: &str) -> String {
    let need = method
        .parse::<Method>()
        .ok()
        .and_then(|method| find(&method, path))
        .map(|route| route.need);
    match need {
        Some(Need::Anyone) => text.say("anybody"),
        Some(Need::Paired) => text.say("any paired device"),
        Some(Need::Hands) => text.say("the owner and helpers"),
        Some(Need::Readers) => text.say("the owner, and readers for their own fields"),
        Some(Need::All) => text.say("the owner, helpers and readers"),
        Some(Need::Owner) | None => text.say("the owner"),
    }
    .into_owned()
}

fn words(text: Text, value: &Value) -> String {
    value
        .as_str()
        .map(|words| text.say(words).into_owned())
        .unwrap_or_default()
}

/// A request as it goes over the wire, from the examples of the description.
fn example(method: &str, path: &str, one: &Value) -> String {
    let mut address = path.to_owned();
    let mut asked = Vec::new();
    for parameter in one["parameters"]
        .as_array()
        .into_iter()
        .flatten()
        .map(meant)
    {
        let name = parameter["name"].as_str().unwrap_or_default();
        let value = match &parameter["example"] {
            Value::Null => continue,
            Value::String(value) => in_path(value),
            other => other.to_string(),
        };
        if parameter["in"] == "path" {
            address = address.replace(&format!("{{{name}}}"), &value);
        } else {
            asked.push(format!("{name}={value}"));
        }
    }
    if !asked.is_empty() {
        address = format!("{address}?{}", asked.join("&"));
    }
    let mut lines = vec![
        format!("{method} {address}"),
        "Host: localhost:8080".to_owned(),
        "Cookie: stook-MARK=…".to_owned(),
    ];
    if method != "GET" {
        lines.push("Origin: http://localhost:8080".to_owned());
    }
    let content = one["requestBody"]["content"].as_object();
    if let Some((kind, body)) = content.and_then(|content| content.iter().next()) {
        lines.push(format!("Content-Type: {kind}"));
        let body = &body["example"];
        if !body.is_null() {
            lines.push(format!("\n{body:#}"));
        }
    }
    lines.join("\n")
}

fn operation(text: Text, method: &str, path: &str, one: &Value) -> Operation {
    let parameters = one["parameters"].as_array().into_iter().flatten();
    let answers = one["responses"].as_object().into_iter().flatten();
    let body = one["requestBody"]["content"].as_object();
    Operation {
        id: one["operationId"].as_str().unwrap_or_default().to_owned(),
        method: method.to_uppercase(),
        path: path.to_owned(),
        summary: words(text, &one["summary"]),
        more: words(text, &one["description"]),
        who: needed(text, &method.to_uppercase(), path),
        parameters: parameters
            .map(meant)
            .map(|parameter| Parameter {
                name: parameter["name"].as_str().unwrap_or_default().to_owned(),
                what: words(text, &parameter["description"]),
                example: match &parameter["example"] {
                    Value::Null => String::new(),
                    Value::String(example) => example.clone(),
                    other => other.to_string(),
                },
            })
            .collect(),
        body: body.map_or_else(String::new, |content| {
            let kinds: Vec<&str> = content.keys().map(String::as_str).collect();
            kinds.join(", ")
        }),
        example: example(&method.to_uppercase(), path, one),
        answers: answers
            .map(|(status, answer)| Answer {
                status: status.clone(),
                what: words(text, &meant(answer)["description"]),
            })
            .collect(),
    }
}

async fn show(look: Look, who: Who) -> Result<Response, Refusal> {
    let text = look.text;
    let operations = DESCRIPTION["paths"]
        .as_object()
        .into_iter()
        .flatten()
        .flat_map(|(path, methods)| {
            let methods = methods.as_object().into_iter().flatten();
            methods.map(move |(method, one)| operation(text, method, path, one))
        })
        .collect();
    page(&Page {
        frame: Frame::new(look, &who, Tab::Other, text.say("For programs")),
        about: words(text, &DESCRIPTION["info"]["description"]),
        door: words(
            text,
            &DESCRIPTION["components"]["securitySchemes"]["session"]["description"],
        ),
        operations,
    })
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/api", get(show))
}
