//! Files carried in the binary: style, page scripts, the service worker; with ETag and gzip.

use crate::{House, Refusal};
use axum::Router;
use axum::extract::Path;
use axum::http::header::{
    ACCEPT_ENCODING, CACHE_CONTROL, CONTENT_ENCODING, CONTENT_TYPE, ETAG, IF_NONE_MATCH, VARY,
};
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use rust_embed::RustEmbed;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::io::Write;
use std::sync::LazyLock;

#[derive(RustEmbed)]
#[folder = "static/"]
struct Carried;

/// One file, ready to be handed out.
struct Asset {
    bytes: Vec<u8>,
    gzip: Option<Vec<u8>>,
    etag: String,
    kind: &'static str,
}

fn kind(name: &str) -> &'static str {
    match name.rsplit('.').next() {
        Some("css") => "text/css; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("webmanifest") => "application/manifest+json",
        Some("html") => "text/html; charset=utf-8",
        Some("txt") => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

fn asset(name: &str, bytes: Vec<u8>) -> Asset {
    let kind = kind(name);
    let packed = |bytes: &[u8]| {
        let mut out = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
        out.write_all(bytes).ok()?;
        out.finish().ok()
    };
    let gzip = if kind == "image/png" {
        None
    } else {
        packed(&bytes)
    };
    Asset {
        etag: format!("\"{}\"", short_hash(&bytes)),
        gzip,
        bytes,
        kind,
    }
}

fn short_hash(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    let mut out = String::new();
    for byte in Sha256::digest(bytes).iter().take(10) {
        let _ = write!(out, "{byte:02x}");
    }
    out
}

/// The Spanish words as a module for page scripts.
fn words() -> Vec<u8> {
    let words = serde_json::to_string(crate::text::spanish()).unwrap_or_else(|_| "{}".to_owned());
    format!("export default {words};\n").into_bytes()
}

/// Every file by its path under `/static/`.
static ASSETS: LazyLock<BTreeMap<String, Asset>> = LazyLock::new(|| {
    let mut all: BTreeMap<String, Asset> = Carried::iter()
        .filter_map(|name| {
            let bytes = Carried::get(&name)?.data.into_owned();
            Some((name.to_string(), asset(&name, bytes)))
        })
        .collect();
    all.insert("js/words-es.js".to_owned(), asset("words-es.js", words()));
    // the style of the pictures comes from the room that draws them
    all.insert(
        "draw.css".to_owned(),
        asset("draw.css", draw::PAGE_CSS.into()),
    );
    all
});

/// The service worker with the list of what works without a network and one hash over it.
static WORKER: LazyLock<Asset> = LazyLock::new(|| {
    let mut hash = Sha256::new();
    let mut files = vec!["/cab".to_owned(), "/manifest.webmanifest".to_owned()];
    for (name, asset) in ASSETS.iter().filter(|(name, _)| offline(name)) {
        hash.update(name.as_bytes());
        hash.update(asset.etag.as_bytes());
        files.push(format!("/static/{name}"));
    }
    hash.update(env!("CARGO_PKG_VERSION"));
    let template = include_str!("../templates/cab.html");
    hash.update(template);
    let own = ASSETS.get("js/sw.js").map_or(&[][..], |asset| &asset.bytes);
    hash.update(own);
    let digest = short_hash(&hash.finalize());
    let list = serde_json::to_string(&files).unwrap_or_else(|_| "[]".to_owned());
    let mut text =
        format!("const CACHE = \"stook-{digest}\";\nconst FILES = {list};\n").into_bytes();
    text.extend_from_slice(own);
    asset("sw.js", text)
});

/// Whether the phone keeps a file for when there is no network.
fn offline(name: &str) -> bool {
    !name.starts_with("vendor/") && name != "js/sw.js" && name != "manifest.webmanifest"
}

fn give(asset: &Asset, headers: &HeaderMap) -> Response {
    let tag = HeaderValue::from_str(&asset.etag).unwrap_or(HeaderValue::from_static("\"\""));
    if headers.get(IF_NONE_MATCH) == Some(&tag) {
        return (StatusCode::NOT_MODIFIED, [(ETAG, tag)]).into_response();
    }
    let gzip = headers
        .get(ACCEPT_ENCODING)
        .and_then(|value| value.to_str().ok())
        .is_some_and(|value| value.contains("gzip"));
    let mut response = match &asset.gzip {
        Some(packed) if gzip && packed.len() < asset.bytes.len() => {
            ([(CONTENT_ENCODING, "gzip")], packed.clone()).into_response()
        }
        _ => asset.bytes.clone().into_response(),
    };
    let out = response.headers_mut();
    out.insert(CONTENT_TYPE, HeaderValue::from_static(asset.kind));
    out.insert(CACHE_CONTROL, HeaderValue::from_static("no-cache"));
    out.insert(VARY, HeaderValue::from_static("accept-encoding"));
    out.insert(ETAG, tag);
    response
}

async fn file(Path(name): Path<String>, headers: HeaderMap) -> Result<Response, Refusal> {
    ASSETS
        .get(&name)
        .map(|asset| give(asset, &headers))
        .ok_or_else(|| Refusal::not_found("the file"))
}

async fn worker(headers: HeaderMap) -> Response {
    give(&WORKER, &headers)
}

async fn manifest(headers: HeaderMap) -> Result<Response, Refusal> {
    file(Path("manifest.webmanifest".to_owned()), headers).await
}

/// Where files are asked for.
pub(crate) fn routes() -> Router<House> {
    Router::new()
        .route("/static/{*name}", get(file))
        .route("/sw.js", get(worker))
        .route("/manifest.webmanifest", get(manifest))
}
