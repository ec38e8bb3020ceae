//! A server for the web app on this machine, with the headers of the real host.

use std::net::{Ipv4Addr, SocketAddr, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Duration;

use anyhow::{Result, anyhow};
use tiny_http::{Header, Method, Request, Response, Server};

use crate::site::{self, Site};
use crate::{build, run};

/// The port to serve on when none is asked for.
pub const DEFAULT_PORT: u16 = 4180;

/// Builds the web app and serves it until the program is ended.
pub fn command(port: u16) -> Result<()> {
    let site = build::build()?;
    site::write(&site, &run::root().join("dist"))?;
    let server = Serving::start(site, port)?;
    println!("serving {} (end with Ctrl-C)", server.address());
    server.wait()
}

/// A running server; it stops when this is dropped.
pub struct Serving {
    server: Arc<Server>,
    port: u16,
    thread: Option<thread::JoinHandle<()>>,
    stopped: Arc<AtomicBool>,
}

impl Serving {
    /// Serves the site to this machine only; port 0 takes any that is free.
    pub fn start(site: Site, port: u16) -> Result<Serving> {
        let server = Server::http((Ipv4Addr::LOCALHOST, port))
            .map_err(|error| anyhow!("cannot listen on port {port}: {error}"))?;
        let server = Arc::new(server);
        let port = server.server_addr().to_ip().as_ref().map_or(port, SocketAddr::port);
        let listening = Arc::clone(&server);
        // Compressed beforehand, as hosts do it: nobody waits for it who asks for a file.
        for file in site.values() {
            file.compressed();
        }
        let site = Arc::new(site);
        let thread = thread::spawn(move || {
            for request in listening.incoming_requests() {
                // Each by itself: whoever stops reading must not keep the others waiting.
                let site = Arc::clone(&site);
                thread::spawn(move || {
                    // A page that went away before it got its answer is no concern of the server.
                    let _ = answer(&site, request);
                });
            }
        });
        let stopped = Arc::new(AtomicBool::new(false));
        nudge(port, Arc::clone(&stopped));
        Ok(Serving { server, port, thread: Some(thread), stopped })
    }

    /// Where the site is, with a slash at the end.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/", self.port)
    }

    fn wait(mut self) -> Result<()> {
        let thread = self.thread.take().expect("the thread is taken only here and on drop");
        thread.join().map_err(|_| anyhow!("the server broke down"))
    }
}

/// Opens a connection now and then, and closes it at once.
///
/// The server may hand a connection to a thread that has just taken another one; it is then served only when some
/// thread is free, and a browser keeps its connections open for minutes. Any later connection brings a thread that
/// serves what waits, so nothing waits for longer than this.
fn nudge(port: u16, stopped: Arc<AtomicBool>) {
    const EVERY: Duration = Duration::from_millis(100);
    thread::spawn(move || {
        while !stopped.load(Ordering::Relaxed) {
            drop(TcpStream::connect((Ipv4Addr::LOCALHOST, port)));
            thread::sleep(EVERY);
        }
    });
}

impl Drop for Serving {
    fn drop(&mut self) {
        self.stopped.store(true, Ordering::Relaxed);
        self.server.unblock();
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

fn answer(site: &Site, request: Request) -> std::io::Result<()> {
    if !matches!(request.method(), Method::Get | Method::Head) {
        return request
            .respond(with_headers(Response::from_string("only GET and HEAD").with_status_code(405)));
    }
    let path = request.url().split(['?', '#']).next().unwrap_or_default().trim_start_matches('/');
    let path = if path.is_empty() { "index.html" } else { path };
    match site.get(path) {
        Some(file) => {
            let compressed = takes_brotli(&request);
            let content = if compressed { file.compressed() } else { &file.plain };
            // In one piece and with its length, as a host sends it.
            let mut response = Response::from_data(content).with_chunked_threshold(usize::MAX);
            response.add_header(header("Content-Type", site::content_type(path)));
            response.add_header(header("Vary", "Accept-Encoding"));
            if compressed {
                response.add_header(header("Content-Encoding", "br"));
            }
            request.respond(with_headers(response))
        }
        None => request.respond(with_headers(Response::from_string("no such file").with_status_code(404))),
    }
}

/// Whether whoever asks reads brotli.
fn takes_brotli(request: &Request) -> bool {
    let mut encodings = request.headers().iter().filter(|header| header.field.equiv("Accept-Encoding"));
    encodings.any(|header| header.value.as_str().split(',').any(|one| one.trim() == "br"))
}

/// The headers of every response. Nothing is to be kept: here the next build is seconds away.
fn with_headers<R: std::io::Read>(mut response: Response<R>) -> Response<R> {
    for (name, value) in site::headers_of_all() {
        response.add_header(header(name, &value));
    }
    response.add_header(header("Cache-Control", "no-store"));
    response
}

fn header(name: &str, value: &str) -> Header {
    Header::from_bytes(name, value).expect("names and values of headers are plain ASCII")
}

#[cfg(test)]
mod tests {
    use std::io::{Read, Write};

    use super::*;

    fn ask(server: &Serving, request: &str) -> String {
        let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, server.port)).unwrap();
        write!(stream, "{request} HTTP/1.1\r\nHost: here\r\nConnection: close\r\n\r\n").unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer
    }

    #[test]
    fn files_come_with_their_type_and_the_policy() {
        let site = Site::from([
            ("index.html".to_owned(), b"<p>page".to_vec().into()),
            ("assets/a.wasm".to_owned(), b"module".to_vec().into()),
        ]);
        let server = Serving::start(site, 0).unwrap();

        let page = ask(&server, "GET /");
        assert!(page.starts_with("HTTP/1.1 200") && page.ends_with("<p>page"), "{page}");
        assert!(page.contains("Content-Security-Policy: default-src 'none'"), "{page}");
        assert!(page.contains("Cache-Control: no-store"), "{page}");
        assert!(ask(&server, "GET /assets/a.wasm?x").contains("Content-Type: application/wasm"));
        assert!(ask(&server, "GET /../Cargo.toml").starts_with("HTTP/1.1 404"));
        assert!(ask(&server, "POST /").starts_with("HTTP/1.1 405"));
    }

    #[test]
    fn files_come_compressed_to_whoever_reads_that() {
        let text = "wire ".repeat(1000);
        let site = Site::from([("index.html".to_owned(), text.clone().into_bytes().into())]);
        let server = Serving::start(site, 0).unwrap();

        let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, server.port)).unwrap();
        let head = "GET / HTTP/1.1\r\nHost: here\r\nAccept-Encoding: gzip, br\r\nConnection: close\r\n\r\n";
        stream.write_all(head.as_bytes()).unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        let end = answer.windows(4).position(|four| four == b"\r\n\r\n").unwrap() + 4;
        let head = String::from_utf8(answer[..end].to_vec()).unwrap();
        assert!(head.contains("Content-Encoding: br\r\n"), "{head}");
        let mut plain = String::new();
        brotli::Decompressor::new(&answer[end..], 4096).read_to_string(&mut plain).unwrap();
        assert_eq!(plain, text);

        let page = ask(&server, "GET /");
        assert!(page.ends_with(&text) && !page.contains("Content-Encoding"), "{}", &page[..end]);
    }
}
