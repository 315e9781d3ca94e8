//! HTTP/1.1 with one connection (RFC 9112): what comes in becomes a plain question, the answer goes out.
//!
//! What is no request, or too large a one, is refused by the library. Of a request's body nothing is ever read.

use super::answer::{self, Answer, Asked, Shown};
use super::body::Outgoing;
use super::guests::{Seat, Turn};
use super::reload;
use hyper::body::Incoming;
use hyper::header::{CONTENT_LENGTH, HOST, HeaderValue, TRANSFER_ENCODING};
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper::{Method, Request, Response, StatusCode};
use hyper_util::rt::TokioIo;
use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;

/// The first line and the headers of a request, in bytes. Browsers send one or two thousand.
const HEAD: usize = 16 << 10;
/// So many headers. Browsers send about twenty.
const HEADERS: usize = 64;
/// What somebody still sends when the last answer is out is thrown away for so long, and so much of it: closing at once
/// would take the answer from them.
const LINGER: Duration = Duration::from_millis(500);
const LEFT_OVER: usize = 256 << 10;

/// Answers the requests of one connection until it is over.
pub(super) async fn with(stream: TcpStream, seat: Seat, shown: Arc<Shown>) {
    let _ = stream.set_nodelay(true);
    let seat = Arc::new(seat);
    let answers = service_fn(|request| answer(request, Turn::begin(&seat), Arc::clone(&shown)));
    let mut http = http1::Builder::new();
    // How long a request may take is `guests`'s.
    http.max_headers(HEADERS).max_header_size(HEAD).max_buf_size(HEAD).header_read_timeout(None);
    let talk = http.serve_connection(TokioIo::new(stream), answers);
    if let Ok(over) = talk.without_shutdown().await {
        let _ = tokio::time::timeout(LINGER, part(over.io.into_inner())).await;
    }
}

async fn part(mut stream: TcpStream) {
    let mut left = LEFT_OVER;
    let mut piece = vec![0; 16 << 10];
    if stream.shutdown().await.is_ok() {
        while let Ok(read @ 1..) = stream.read(&mut piece).await {
            match left.checked_sub(read) {
                Some(less) => left = less,
                None => return,
            }
        }
    }
}

async fn answer(
    request: Request<Incoming>,
    turn: Turn,
    shown: Arc<Shown>,
) -> Result<Response<Outgoing>, Infallible> {
    let asking = Arc::clone(&shown);
    // Files are read beside the thread that everybody waits for.
    let answer = tokio::task::spawn_blocking(move || answered(&request, &asking)).await;
    let (mut response, headers) = match answer {
        Ok(Answer::Changes) => {
            turn.follows();
            (Response::new(Outgoing::changes(&shown.changes, turn)), reload::headers())
        }
        Ok(Answer::Reply(reply)) => {
            let mut response = Response::new(Outgoing::of(reply.body, turn));
            *response.status_mut() =
                StatusCode::from_u16(reply.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
            (response, reply.headers)
        }
        Err(_) => {
            let mut response = Response::new(Outgoing::of(answer::Body::nothing(), turn));
            *response.status_mut() = StatusCode::INTERNAL_SERVER_ERROR;
            (response, Vec::new())
        }
    };
    for (name, value) in headers {
        if let Ok(value) = HeaderValue::from_str(&value) {
            response.headers_mut().insert(name, value);
        }
    }
    Ok(response)
}

fn answered(request: &Request<Incoming>, shown: &Shown) -> Answer {
    let hosts = request.headers().get_all(HOST).iter().map(|host| host.to_str().unwrap_or_default());
    let hosts: Vec<&str> = hosts.collect();
    let method = match *request.method() {
        Method::GET => "GET",
        Method::HEAD => "HEAD",
        _ => "other",
    };
    let target = request.uri().to_string();
    let asked = Asked { method, target: &target, hosts: &hosts, has_body: announces_a_body(request) };
    answer::to(&asked, shown)
}

/// Whether anything is to come behind the headers (RFC 9112, 6.3).
fn announces_a_body(request: &Request<Incoming>) -> bool {
    let length = request.headers().get_all(CONTENT_LENGTH).iter().any(|length| length != "0");
    length || request.headers().contains_key(TRANSFER_ENCODING)
}
